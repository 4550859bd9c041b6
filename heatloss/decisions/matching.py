"""The weather of a log's own dates."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError, WeatherError
from heatloss.weather.humidity import dew_over_water
from heatloss.weather.record import YEAR

if TYPE_CHECKING:
    from heatloss.decisions.logs import FuelLog
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
YEAR_HOURS = 8760
LONGEST_GAP = 6
"""Hours of a logger's silence that are bridged by a straight line; common practice, no source."""
COVERED = 0.9
"""Share of a log's hours that its outside column must know to stand for the weather; common practice, no source."""
APART = 10.0
"""Mean difference between logger and weather beyond which one of them is wrong [K]; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Days:
    """Daily weather and how intervals lie on it.

    Attributes
    ----------
    dates : DatetimeIndex
    temp_air : array
        Daily means outdoors [degC].
    sun : array
        Daily means of the sun on the level [W/m2].
    shares : array
        Intervals x days; each row sums to 1.
    """

    dates: pd.DatetimeIndex
    temp_air: Floats
    sun: Floats
    shares: Floats

    @property
    def outdoors(self) -> Floats:
        """Mean outdoor temperature of each interval [degC]."""
        return np.asarray(self.shares @ self.temp_air)

    @property
    def mean_sun(self) -> Floats:
        """Mean sun on the level of each interval [W/m2]."""
        return np.asarray(self.shares @ self.sun)


def weather_for(log: FuelLog, weather: Weather, *, typical: bool = False) -> tuple[Weather, tuple[str, ...]]:
    """The weather of the log's dates, a year long or as long as the log.

    Parameters
    ----------
    log : FuelLog
    weather : Weather
        Of the log's own dates; or a typical year, where the log has its own outside column or ``typical`` is set.
    typical : bool
        Whether a typical year may stand for the log's own.

    Returns
    -------
    Weather, tuple of str
        On the log's dates, and what was done.

    Raises
    ------
    WeatherError
        For dates outside the weather, or a typical year that was not asked for.
    InputError
        For a log without intervals, or an outside column that is far from the weather.
    """
    if not len(log.intervals):
        raise InputError(f"the log must hold fuel burned between two dates, got none ({log.name}). Add rows.")
    first, last = log.intervals["start"].min(), log.intervals["end"].max()
    outside = _hourly_outside(log, first, last)
    if _is_typical(weather) and last.year != YEAR:
        if outside is None and not typical:
            raise WeatherError(
                f"the weather must be that of the log's dates, {first:%Y-%m-%d} to {last:%Y-%m-%d}, got a typical year "
                f"({weather.site.source}). Take a file of those dates, or ask for the typical year and expect the "
                "difference between winters in the answer."
            )
        record = _redated(weather, first, last)
        said = f"A typical year ({weather.site.name}) stands for the weather of the log's dates."
        if outside is None:
            return record, (said,)
        return _with_outside(record, outside), (
            f"Outdoor temperatures are the logger's own; sun, wind and humidity are a typical year's "
            f"({weather.site.name}).",
        )
    record = _cut(weather, log, first, last)
    return record, _compared(record, outside)


def days_of(log: FuelLog, weather: Weather) -> Days:
    """Daily weather with the log's intervals laid on it."""
    daily = daily_weather(weather)
    dates = pd.DatetimeIndex(daily.index)
    return Days(dates, daily["temp_air"].to_numpy(), daily["ghi"].to_numpy(), shares_of(log, dates))


def daily_weather(weather: Weather) -> pd.DataFrame:
    """Daily means of ``temp_air`` [degC] and ``ghi`` [W/m2] on the days of local standard time."""
    stamps = _index(weather).tz_localize(None)
    return weather.hours[["temp_air", "ghi"]].groupby(stamps.normalize()).mean()


def shares_of(log: FuelLog, dates: pd.DatetimeIndex) -> Floats:
    """Intervals x days: what share of each interval lies on each day."""
    begin = _as_days(dates)
    start, end = _as_days(pd.DatetimeIndex(log.intervals["start"])), _as_days(pd.DatetimeIndex(log.intervals["end"]))
    overlap = np.minimum(end[:, None], begin + 1.0) - np.maximum(start[:, None], begin)
    return np.asarray(np.maximum(overlap, 0.0) / (end - start)[:, None])


def _as_days(stamps: pd.DatetimeIndex) -> Floats:
    return np.asarray((stamps - pd.Timestamp(1970, 1, 1)) / pd.Timedelta(days=1), dtype=float)


def _index(weather: Weather) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(weather.hours.index)


def _is_typical(weather: Weather) -> bool:
    """Whether a record lies on the year that typical years are laid on."""
    index = _index(weather)
    return bool(index[0].year == YEAR and index[-1].year == YEAR and len(index) == YEAR_HOURS)


def _wanted(weather: Weather, first: pd.Timestamp, last: pd.Timestamp) -> pd.DatetimeIndex:
    """A year of hours, or more, that ends with the log."""
    end = last.ceil("D")
    hours = max(YEAR_HOURS, int((end - first.floor("D")) / pd.Timedelta(hours=1)))
    return pd.date_range(end=end - pd.Timedelta(hours=1), periods=hours, freq="h", tz=_index(weather).tz, name="time")


def _redated(weather: Weather, first: pd.Timestamp, last: pd.Timestamp) -> Weather:
    """A typical year laid on the log's dates; 29 February is the day before it once more."""
    index = _wanted(weather, first, last)
    day = np.where((index.month == 2) & (index.day == 29), 28, index.day)
    keys = pd.MultiIndex.from_arrays([index.month, day, index.hour])
    own = _index(weather)
    source = weather.hours.set_axis(pd.MultiIndex.from_arrays([own.month, own.day, own.hour]))
    hours = source.loc[keys].set_axis(index)
    return replace(weather, hours=hours, readings=hours["temp_air"], reading_offset=30.0)


def _cut(weather: Weather, log: FuelLog, first: pd.Timestamp, last: pd.Timestamp) -> Weather:
    """A year of a longer record, with all of the log in it."""
    index = _index(weather)
    begin, end = index[0].tz_localize(None), index[-1].tz_localize(None) + pd.Timedelta(hours=1)
    if first < begin or last > end:
        outside = log.intervals[(log.intervals["start"] < begin) | (log.intervals["end"] > end)]
        raise WeatherError(
            f"the log's dates must lie within the weather, {begin:%Y-%m-%d} to {end:%Y-%m-%d}, got "
            f"{outside['start'].iloc[0]:%Y-%m-%d} to {outside['end'].iloc[0]:%Y-%m-%d} ({log.name}, line "
            f"{outside['line'].iloc[0]}). Take weather of those dates too, or leave those rows out."
        )
    if len(index) <= YEAR_HOURS + 24:
        return weather
    wanted = _wanted(weather, first, last)
    if wanted[0] < index[0]:
        wanted = pd.date_range(index[0], periods=max(YEAR_HOURS, len(wanted)), freq="h", name="time")
    hours = weather.hours.loc[wanted[0] : wanted[-1]]
    return replace(weather, hours=hours, readings=weather.readings.loc[wanted[0] : wanted[-1]])


def _hourly_outside(log: FuelLog, first: pd.Timestamp, last: pd.Timestamp) -> pd.Series[float] | None:
    """The logger's outside column as hourly means, where it covers the log; None else."""
    read = log.temperatures["outside"].dropna()
    if not len(read):
        return None
    hourly = read.resample("h").mean()
    hourly = hourly.reindex(pd.date_range(first.floor("h"), last.ceil("h"), freq="h", inclusive="left"))
    filled = hourly.interpolate(limit=LONGEST_GAP, limit_direction="both")
    return filled if filled.notna().mean() >= COVERED else None


def _with_outside(weather: Weather, outside: pd.Series[float]) -> Weather:
    """The weather with a logger's temperatures where they are known; relative humidity stays."""
    hours = weather.hours.copy()
    known = outside.set_axis(pd.DatetimeIndex(outside.index).tz_localize(_index(weather).tz)).reindex(hours.index)
    hours["temp_air"] = known.fillna(hours["temp_air"])
    hours["temp_dew"] = dew_over_water(hours["temp_air"].to_numpy(), hours["relative_humidity"].to_numpy())
    return replace(weather, hours=hours, readings=hours["temp_air"], reading_offset=30.0)


def _compared(weather: Weather, outside: pd.Series[float] | None) -> tuple[str, ...]:
    """What the logger's outside says of a weather file of the same dates."""
    if outside is None:
        return ()
    there = weather.hours["temp_air"].tz_localize(None).reindex(outside.index)
    apart = float((outside - there).mean())
    if not abs(apart) <= APART:
        raise InputError(
            f"outside must be within {APART:g} K of the weather's on the mean, got {apart:+.1f} K. "
            "Check its unit and the place of the weather file."
        )
    return (f"The logger's outside reads {apart:+.1f} K against the weather file on the mean; the file was used.",)
