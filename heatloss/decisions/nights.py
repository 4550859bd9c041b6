"""What nights tell: the fall of the temperature without heat, and fuel against temperature without sun."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics.cooling import Cooling, cooling

if TYPE_CHECKING:
    from heatloss.decisions.logs import FuelLog
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
DARK = 5.0
"""Mean sun on the level under which an interval counts as night [W/m2]; common practice, no source."""
FEWEST = 5
"""Nights that a fit must have; common practice, no source."""
CONFIDENCE = 0.9


@dataclass(frozen=True, eq=False)
class CoolDown:
    """A night without heat.

    Attributes
    ----------
    start, end : Timestamp
    hours, inside, outside : array
        The readings [h from the start, degC].
    fit : Cooling
    """

    start: pd.Timestamp
    end: pd.Timestamp
    hours: Floats
    inside: Floats
    outside: Floats
    fit: Cooling

    @property
    def time_constant(self) -> tuple[float, float, float]:
        """Of the slow fall: value and 90 % range [h]."""
        return self._range(self.fit.time_constant, self.fit.spread)

    @property
    def store(self) -> tuple[float, float, float]:
        """C/UA of a house that was in balance before: value and 90 % range [h]."""
        return self._range(self.fit.store, self.fit.store_spread)

    def capacity(self, ua: float) -> tuple[float, float, float]:
        """Heat stored for each kelvin, with a heat loss [W/K]: value and 90 % range [J/K].

        Raises
        ------
        InputError
            For a heat loss that is not above 0.
        """
        if not ua > 0.0:
            raise InputError(f"ua must be above 0 [W/K], got {ua:g}. Take that of the signature or the house.")
        value, low, high = self.store
        return value * ua * 3600.0, low * ua * 3600.0, high * ua * 3600.0

    def _range(self, value: float, spread: float) -> tuple[float, float, float]:
        from scipy.stats import t

        half = float(t.ppf(0.5 + CONFIDENCE / 2.0, self.fit.freedom)) * spread
        return value, value * math.exp(-half), value * math.exp(half)


def cool_down(log: FuelLog, start: pd.Timestamp | None = None, end: pd.Timestamp | None = None) -> CoolDown:
    """Time constant and C/UA from temperatures of a night without heat and sun.

    Parameters
    ----------
    log : FuelLog
        With inside and outside columns.
    start, end : Timestamp, optional
        When the heat went off and when it, or the sun, came back; all readings without them.

    Returns
    -------
    CoolDown

    Raises
    ------
    InputError
        For too few readings, or temperatures that do not fall towards outdoors.
    """
    frame = log.temperatures.dropna()
    if start is not None:
        frame = frame[frame.index >= start]
    if end is not None:
        frame = frame[frame.index <= end]
    if len(frame) < 2:
        raise InputError(
            f"the log must hold inside and outside temperatures in that time, got {len(frame)} rows ({log.name}). "
            "Give both columns, and start and end as 2024-01-15 22:00."
        )
    hours = np.asarray((frame.index - frame.index[0]) / pd.Timedelta(hours=1), dtype=float)
    inside, outside = frame["inside"].to_numpy(), frame["outside"].to_numpy()
    return CoolDown(frame.index[0], frame.index[-1], hours, inside, outside, cooling(hours, inside, outside))


@dataclass(frozen=True, eq=False)
class NightFit:
    """Fuel of dark intervals against the difference of temperature.

    Attributes
    ----------
    slope, slope_low, slope_high : float
        Fuel a day for each kelvin, with its 90 % range, in the log's unit.
    base : float
        Fuel a day at no difference; below 0 where floor and tanks give back heat of the day.
    frame : frame
        ``start``, ``end``, ``rate`` (a day), ``difference`` [K] of the dark intervals.
    unit : str
    """

    slope: float
    slope_low: float
    slope_high: float
    base: float
    frame: pd.DataFrame
    unit: str

    def conductance(self, unit_energy: float, efficiency: float) -> tuple[float, float, float]:
        """Heat loss and its 90 % range [W/K], for the energy in a unit [kWh] and an efficiency [1]."""
        by = unit_energy * 1000.0 / 24.0 * efficiency
        return self.slope * by, self.slope_low * by, self.slope_high * by


def night_fit(log: FuelLog, weather: Weather) -> NightFit:
    """Heat loss from fuel burned between dusk and dawn, where the log has inside temperatures.

    Parameters
    ----------
    log : FuelLog
        With rows at dusk and dawn, and an inside column.
    weather : Weather
        Of the log's dates, for the sun, and for outdoor temperatures where the log has none.

    Returns
    -------
    NightFit

    Raises
    ------
    InputError
        For fewer than five dark intervals with temperatures.

    Notes
    -----
    Ordinary least squares of the daily rate on the mean inside less the mean outside temperature. No sun comes in, so
    that the slope is the heat loss alone; heat that floor and tanks give back stays in the intercept.
    """
    from scipy.stats import linregress, t

    rows = []
    local = weather.hours.tz_localize(None)
    for start, end, amount in zip(*(log.intervals[name] for name in ("start", "end", "amount")), strict=True):
        inside = _mean(log.temperatures["inside"], start, end)
        hours = local.loc[start.floor("h") : end.ceil("h") - pd.Timedelta(hours=1)]
        if not len(hours) or not hours["ghi"].mean() < DARK or math.isnan(inside):
            continue
        outside = _mean(log.temperatures["outside"], start, end)
        outdoors = float(hours["temp_air"].mean()) if math.isnan(outside) else outside
        rows.append((start, end, float(amount) / ((end - start) / pd.Timedelta(days=1)), inside - outdoors))
    if len(rows) < FEWEST:
        raise InputError(
            f"the log must hold at least {FEWEST} intervals between dusk and dawn with inside temperatures, got "
            f"{len(rows)} ({log.name}). Write a row at dusk and one at dawn."
        )
    frame = pd.DataFrame(rows, columns=["start", "end", "rate", "difference"])
    found = linregress(frame["difference"], frame["rate"])
    half = float(t.ppf(0.5 + CONFIDENCE / 2.0, len(rows) - 2)) * float(found.stderr)
    slope = float(found.slope)
    return NightFit(slope, slope - half, slope + half, float(found.intercept), frame, log.unit)


def _mean(temperatures: pd.Series[float], start: pd.Timestamp, end: pd.Timestamp) -> float:
    """Mean of the readings between two times; NaN where there are none."""
    found = temperatures[(temperatures.index >= start) & (temperatures.index <= end)].dropna()
    return float(found.mean()) if len(found) else math.nan
