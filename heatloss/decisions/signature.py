"""From a log alone: fuel against outdoor temperature and sun, next winter's fuel, and what a measure saved."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.decisions.matching import Days, daily_weather, days_of, weather_for
from heatloss.errors import InputError
from heatloss.physics.comparison import (
    ChangePoint,
    change_point,
    cv_rmse,
    determination,
    heating_line,
    saving_uncertainty,
)

if TYPE_CHECKING:
    from heatloss.decisions.logs import FuelLog
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
WARMEST = 40.0
"""No house needs heat on a dark day this warm outdoors [degC]; common practice, no source."""
LOOSE = 0.3
"""CV(RMSE) from which fuel is said to hardly follow the weather; common practice, no source."""
WARM = 0.15
"""An interval counts as warm where it asks for less than this share of the coldest one's heat; practice, no source."""
WARM_INTERVALS = 3
"""So many warm intervals tell what is burned when no heat is needed; common practice, no source."""
CONFIDENCE = 0.9
SUN_INTERVALS = 8
"""From so many intervals on the line of a saving has its term for the sun; common practice, no source."""
TEMPERATURE_ROOM, SUN_ROOM = 2.0, 20.0
"""How far weeks after a measure may lie outside what was met before it [K, W/m2]; common practice, no source."""
DRAWS = 2000


@dataclass(frozen=True, eq=False)
class Signature:
    """The heating line of a log.

    Attributes
    ----------
    log : FuelLog
    days : Days
    line : ChangePoint
        Daily fuel in the log's unit.
    parameters : int
        Numbers that were fitted.
    weather : str
        Name of the place.
    notes : tuple of str
    """

    log: FuelLog
    days: Days
    line: ChangePoint
    parameters: int
    weather: str
    notes: tuple[str, ...]

    @property
    def measured(self) -> Floats:
        """Fuel of each interval, in the log's unit."""
        return np.asarray(self.log.intervals["amount"].to_numpy(dtype=float))

    @property
    def modelled(self) -> Floats:
        """The same by the line."""
        return np.asarray(self.line.fitted * self.log.days)

    @property
    def cv_rmse(self) -> float:
        """CV(RMSE) of the intervals with p the fitted numbers [1]."""
        return cv_rmse(self.measured, self.modelled, parameters=self.parameters)

    @property
    def r_squared(self) -> float:
        """Of the daily rates [1]."""
        return determination(self.measured / self.log.days, self.line.fitted)

    @cached_property
    def frame(self) -> pd.DataFrame:
        """Index base_load, slope, balance_temperature, sun_relief; columns value, low, high (90 %)."""
        from scipy.stats import t

        half = float(t.ppf(0.5 + CONFIDENCE / 2.0, self.line.freedom)) * np.sqrt(np.diag(self.line.robust))
        v = self.line.numbers
        return pd.DataFrame(
            {"value": v, "low": v - half, "high": v + half},
            index=["base_load", "slope", "balance_temperature", "sun_relief"],
        )

    def conductance(self, unit_energy: float, efficiency: float) -> tuple[float, float, float]:
        """Effective heat loss and its 90 % range [W/K], for the energy in a unit [kWh] and an efficiency [1]."""
        if not (unit_energy > 0.0 and 0.0 < efficiency <= 10.0):
            raise InputError(f"efficiency must be above 0 [1], got {efficiency:g}. Type 0.8 for 80 per cent.")
        value, low, high = self.frame.loc["slope"].to_numpy(dtype=float) * unit_energy * 1000.0 / 24.0 * efficiency
        return float(value), float(low), float(high)

    def draws(self, count: int = DRAWS, *, seed: int = 1) -> Floats:
        """Lines that fit the log about as well (count, 4), by Student's t with the robust covariance."""
        rng = np.random.default_rng(seed)
        values, vectors = np.linalg.eigh(self.line.robust)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        stretch = np.sqrt(self.line.freedom / rng.chisquare(self.line.freedom, size=(count, 1)))
        lines = self.line.numbers + stretch * (rng.standard_normal((count, 4)) @ root.T)
        lines[:, 0] = np.maximum(lines[:, 0], 0.0)
        lines[:, 1] = np.maximum(lines[:, 1], 0.0)
        return np.asarray(lines)

    def forecast(self, weather: Weather) -> Forecast:
        """Fuel of a year of any weather record, with the range that the log leaves open; no colder winter is in it."""
        daily = daily_weather(weather)
        temp, sun = daily["temp_air"].to_numpy(), daily["ghi"].to_numpy()
        best = heating_line(self.line.numbers, temp, sun)
        years = max(len(temp) / 365.25, 1.0) if len(temp) > 366 else 1.0
        many = heating_line(self.draws(), temp, sun).sum(axis=1) / years
        low, high = np.quantile(many, [0.05, 0.95])
        return Forecast(float(best.sum() / years), float(low), float(high), self.log.unit, weather.site.name,
                        pd.Series(best, index=daily.index))  # fmt: skip


@dataclass(frozen=True, eq=False)
class Forecast:
    """Fuel of a year by a heating line: amount and 90 % range in the log's unit, and day by day."""

    amount: float
    low: float
    high: float
    unit: str
    weather: str
    daily: pd.Series[float]


def signature(log: FuelLog, weather: Weather, *, sun: bool | None = None, typical: bool = False) -> Signature:
    """Fit fuel against outdoor temperature and sun, with no house file.

    Parameters
    ----------
    log : FuelLog
        From ``read_log``.
    weather : Weather
        Of the log's dates.
    sun : bool, optional
        Whether the line has a term for the sun; without a word, where it lowers Akaike's criterion for small samples.
    typical : bool
        Whether a typical year may stand for the log's own.

    Returns
    -------
    Signature

    Raises
    ------
    InputError
        For a log too short, or a use that does not rise with cold.

    Notes
    -----
    :func:`heatloss.physics.comparison.change_point` on daily weather. What is burned when no heat is needed is fitted
    only where at least three intervals ask for little heat; else it is 0, since cold weeks alone cannot tell it from
    the balance temperature.
    """
    record, notes = weather_for(log, weather, typical=typical)
    days = days_of(log, record)
    forms = [False, True] if sun is None else [sun]
    fits = [fit for form in forms if (fit := _fitted(log, days, form)) is not None]
    if not fits:
        raise InputError(
            f"the log must hold at least 5 intervals of fuel for its line, got {len(log.intervals)} ({log.name}). "
            "Go on with the log."
        )
    fits = [fit for fit in fits if fit[0].balance_temperature <= WARMEST]
    if not fits:
        raise InputError(
            f"fuel must follow the weather, got a line by which heat is needed above {WARMEST:g} degC ({log.name}). "
            "Check that the weather is that of the dates, and the amounts."
        )
    line, parameters = min(fits, key=lambda fit: _criterion(fit[0], fit[1]))
    found = Signature(log, days, line, parameters, record.site.name, (*log.notes, *notes, *_said(line, days)))
    return found if found.cv_rmse <= LOOSE else replace(found, notes=(*found.notes, HARDLY))


HARDLY = "The fuel hardly follows this weather. Is it that of the dates, and is the log in order?"


def _fitted(log: FuelLog, days: Days, sunny: bool) -> tuple[ChangePoint, int] | None:
    """The line with or without sun, its base load held at 0 where the log cannot tell it; None for a short log."""
    if len(log.intervals) < 4 + sunny:
        return None
    rate = log.intervals["amount"].to_numpy(dtype=float) / log.days
    sun = days.sun if sunny else None
    line = change_point(rate, days.temp_air, sun=sun, shares=days.shares, lengths=log.days, base_load=0.0)
    warm = int((line.fitted < WARM * line.fitted.max()).sum())
    if warm < WARM_INTERVALS or len(log.intervals) < 5 + sunny:
        return line, 2 + sunny
    free = change_point(rate, days.temp_air, sun=sun, shares=days.shares, lengths=log.days)
    return (free, 3 + sunny) if free.base_load > 0.0 else (line, 2 + sunny)


def _criterion(line: ChangePoint, parameters: int) -> float:
    """Akaike's, for small samples."""
    n = line.freedom + parameters
    k = parameters + 1
    if n <= k + 1:
        return math.inf if parameters > 2 else 0.0
    return n * math.log(line.deviation**2 * line.freedom / n + 1e-300) + 2.0 * k * n / (n - k - 1.0)


def _said(line: ChangePoint, days: Days) -> tuple[str, ...]:
    said = []
    if line.base_load == 0.0:
        said.append("Fuel when no heat is needed is taken as nothing: the log has too few warm weeks to tell.")
    if line.sun_relief == 0.0:
        said.append("No term for the sun: the log shows none beside the temperature.")
    warmest = float(days.outdoors.max())
    if line.balance_temperature > warmest + 12.0:
        said.append("The balance temperature lies far above all that was met: do not forecast spring and fall by it.")
    return tuple(said)


@dataclass(frozen=True, eq=False)
class Saving:
    """What a measure saved, the weather taken out.

    Attributes
    ----------
    expected, measured : float
        Fuel of the intervals after it: by the line of those before, and as burned; in the log's unit.
    saved, low, high : float
        Their difference and its 90 % range by the lines that fit the intervals before.
    share : float
        Of what would have been burned [1].
    guideline : float
        Half the range over the saving by the guideline's simplified form [1].
    before, after, aside : int
        Intervals before and after it, and those after it that are not like any before and are left aside.
    line : Signature
        Of those before.
    notes : tuple of str
    """

    expected: float
    measured: float
    saved: float
    low: float
    high: float
    share: float
    guideline: float
    before: int
    after: int
    aside: int
    line: Signature
    notes: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether the whole range lies above nothing."""
        return self.low > 0.0


OTHER_SEASON = (
    "The weeks before and after lie in different months: soil and tanks are warm in fall and cold in spring, which "
    "looks like a saving or a loss. Compare with the same months of another winter."
)


def _met_before(after: FuelLog, days: Days, before: Days) -> tuple[FuelLog, Days]:
    """Those intervals, with their days, whose mean temperature and sun lie in the range of those before."""
    keep = np.ones(len(after.intervals), dtype=bool)
    for now, then, room in (
        (days.outdoors, before.outdoors, TEMPERATURE_ROOM),
        (days.mean_sun, before.mean_sun, SUN_ROOM),
    ):
        keep &= (now >= then.min() - room) & (now <= then.max() + room)
    kept = replace(after, intervals=after.intervals[keep].reset_index(drop=True))
    return kept, replace(days, shares=days.shares[keep])


def saving(log: FuelLog, weather: Weather, on: pd.Timestamp, *, typical: bool = False) -> Saving:
    """What a measure that was done on a date has saved since.

    Parameters
    ----------
    log : FuelLog
    weather : Weather
        Of the log's dates.
    on : Timestamp
        When it was done; an interval that it falls in is left out.
    typical : bool
        Whether a typical year may stand for the log's own.

    Returns
    -------
    Saving

    Raises
    ------
    InputError
        For too few intervals before, or none after.

    Notes
    -----
    The line is fitted to the intervals before and asked for those after; only after intervals whose outdoor temperature
    and sun were met before, since cold dark weeks say little of spring. The range counts the spread of
    the line and of single intervals; the guideline's simplified form stands beside it.
    """
    before, after = log.between(end=on), log.between(start=on)
    if not len(after.intervals):
        raise InputError(f"the log must go on after the measure, got no interval after {on:%Y-%m-%d} ({log.name}).")
    sunny = len(before.intervals) >= SUN_INTERVALS
    fit = signature(before, weather, sun=sunny, typical=typical)
    whole = len(after.intervals)
    after, days = _met_before(after, days_of(after, weather_for(after, weather, typical=typical)[0]), fit.days)
    if not len(after.intervals):
        raise InputError(
            f"the log must hold weeks after the measure like those before it, got 0 of {whole} ({log.name}). "
            "Wait for such weather."
        )
    lengths = after.days
    expected = float((days.shares @ heating_line(fit.line.numbers, days.temp_air, days.sun)) @ lengths)
    measured = after.total
    many = (heating_line(fit.draws(), days.temp_air, days.sun) @ days.shares.T) @ lengths
    noise = np.random.default_rng(2).standard_normal(len(many)) * fit.line.deviation * math.sqrt(float(lengths.sum()))
    low, high = np.quantile(many + noise - measured, [0.05, 0.95])
    saved = expected - measured
    share = saved / expected if expected > 0.0 else math.nan
    n, m = len(before.intervals), len(after.intervals)
    months = set(pd.DatetimeIndex(before.intervals["end"]).month)
    shared = np.isin(pd.DatetimeIndex(after.intervals["end"]).month, list(months)).mean()
    notes = (OTHER_SEASON,) if shared < 0.5 else ()
    half = math.inf
    if saved != 0.0:
        half = saving_uncertainty(
            fit.cv_rmse, share, before=n, after=m, parameters=fit.parameters, confidence=CONFIDENCE
        )
    return Saving(expected, measured, saved, float(low), float(high), share, half, n, m, whole - m, fit, notes)
