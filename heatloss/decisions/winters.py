"""Many winters: the house through each of them, the hard ones, and where a typical year stands among them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss.errors import InputError
from heatloss.season import Season, simulate
from heatloss.weather.years import whole_winters

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

ENOUGH = 10
"""Whole winters below which no 1-in-10 winter is told."""
HIGH_BASE = (65.0 - 32.0) / 1.8
LOW_BASE = 5.0
"""Bases of degree days [degC]: that of weather services, and one near what a cool greenhouse with sun asks for."""


@dataclass(frozen=True, eq=False)
class Winters:
    """One house through many winters.

    Attributes
    ----------
    house : House
    frame : frame
        One row a winter by name, in the order of time: ``heat_kwh``, ``fuel`` and ``cost`` of the first heater (NaN
        without one), ``peak_w``, ``lowest`` (coldest reading outdoors) [degC], ``degree_days`` and ``degree_days_low``
        below 18.3 and 5 degC [K d], ``unmet_hours``.
    typical : Series or None
        The same of the typical year.
    first : Season
        The first of the winters, for names and units.
    notes : tuple of str
        What was left out, what was paired.
    """

    house: House
    frame: pd.DataFrame
    typical: pd.Series[float] | None
    first: Season
    notes: tuple[str, ...]

    @property
    def measure(self) -> str:
        """The column that winters are ranked by: ``fuel`` where the house has a heater, else ``heat_kwh``."""
        return "fuel" if self.house.heater else "heat_kwh"

    @cached_property
    def ranked(self) -> pd.DataFrame:
        """The winters from the mildest to the hardest."""
        return self.frame.sort_values(self.measure)

    @property
    def median(self) -> float:
        """The middle winter, in the unit of :attr:`measure`."""
        return float(self.frame[self.measure].median())

    @property
    def worst(self) -> str:
        """Name of the hardest winter."""
        return str(self.ranked.index[-1])

    @property
    def one_in_ten(self) -> float | None:
        """What nine winters in ten do not exceed, in the unit of :attr:`measure`; None below ten winters.

        Linear between the winters in order (numpy's quantile): of ten, nine tenths of the way from the mildest.
        """
        if len(self.frame) < ENOUGH:
            return None
        return float(np.quantile(self.frame[self.measure], 0.9))

    @property
    def harder(self) -> int | None:
        """How many winters take more than the typical year; None without one."""
        if self.typical is None:
            return None
        return int((self.frame[self.measure] > self.typical[self.measure]).sum())

    @property
    def more(self) -> float | None:
        """What the 1-in-10 winter, else the hardest at hand, takes beyond the typical year; None without one."""
        if self.typical is None:
            return None
        hard = self.one_in_ten if self.one_in_ten is not None else float(self.ranked[self.measure].iloc[-1])
        return max(0.0, hard - float(self.typical[self.measure]))


def winters(
    house: House, years: Weather | Sequence[Weather], *, typical: Weather | None = None, steps_per_hour: int = 4
) -> Winters:
    """Run a house through every whole winter of many years.

    Parameters
    ----------
    house : House
    years : Weather or sequence of Weather
        One long record, or several of the same place: ``read_years(folder)``, ``Weather.from_frame``.
    typical : Weather, optional
        A typical year to be ranked among them.
    steps_per_hour : int
        As :func:`heatloss.simulate`.

    Returns
    -------
    Winters

    Raises
    ------
    InputError
        Where no whole winter is at hand, or the typical year is a real one.

    Notes
    -----
    Each winter's year, July to June, is simulated by itself. Winters are never scaled by degree days of another: at a
    low base they differ more than at a high one.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> try:
    ...     winters(sample_house(), read_weather("nw_colorado"))
    ... except InputError as problem:
    ...     print(str(problem)[:61])
    weather must hold a whole winter, July to June, got none: 202
    """
    parts, left = whole_winters(years)
    if not parts:
        raise InputError(f"weather must hold a whole winter, July to June, got none: {' '.join(left)}")
    if typical is not None and len(typical.hours) > 8784:
        raise InputError(f"typical must be one year, got {len(typical.hours):,} hours ({typical.site.source}).")
    seasons = {name: simulate(house, weather, steps_per_hour=steps_per_hour) for name, weather in parts.items()}
    first = next(iter(seasons.values()))
    return Winters(
        house=house,
        frame=_frame(seasons),
        typical=None
        if typical is None
        else _row(simulate(house, typical, steps_per_hour=steps_per_hour)).rename(typical.site.source),
        first=first,
        notes=(*left, *first.weather.notes),
    )


def _frame(seasons: Mapping[str, Season]) -> pd.DataFrame:
    rows = pd.DataFrame([_row(season) for season in seasons.values()], index=list(seasons))
    return rows.rename_axis("winter")


def _row(season: Season) -> pd.Series[float]:
    fuel = season.fuels[0] if season.fuels else None
    return pd.Series(
        {
            "heat_kwh": season.heat_kwh,
            "fuel": np.nan if fuel is None else fuel.amount,
            "cost": np.nan if fuel is None else fuel.cost,
            "peak_w": season.peak_w,
            "lowest": float(season.weather.readings.min()),
            "degree_days": season.weather.degree_days(HIGH_BASE),
            "degree_days_low": season.weather.degree_days(LOW_BASE),
            "unmet_hours": season.unmet["hours"],
        },
        dtype=float,
    )
