"""From the rows of a file to whole hours: time first, then the readings at the two ends of each hour."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta, timezone

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import WeatherError
from heatloss.physics.moist_air import standard_pressure
from heatloss.weather.checks import best_minutes, check_site, check_steps, check_sun, check_values, gaps
from heatloss.weather.gaps import filled as short_filled
from heatloss.weather.humidity import dew_over_water, humidity_over_water
from heatloss.weather.record import AT_READING, YEAR, Record, Site, on_one_year, one_year

Floats = NDArray[np.float64]

ALWAYS = ("temp_air", "temp_dew", "relative_humidity", "wind_speed", "pressure", "ghi", "dni", "dhi")
"""Columns that the hours always have."""

WHERE_KNOWN = ("longwave_down", "opaque_cloud", "albedo", "snow_depth", "precipitation")
"""Columns that the hours have where the file knows them in every hour."""

_YEARS = (1800, 2200)
"""No weather file is older or younger; a stray year would make a gap of billions of hours."""

_REQUIRED = ("temp_air", "wind_speed", "ghi", "dni", "dhi")


@dataclass(frozen=True)
class Hours:
    """What :func:`whole_hours` gives: the parts of a ``Weather``."""

    frame: pd.DataFrame
    readings: pd.Series[float]
    reading_offset: float
    mid_offset: float
    notes: tuple[str, ...]
    typical: bool


def whole_hours(record: Record, *, fill: str | None = None) -> Hours:
    """Make whole hours of a record, or say why it cannot be.

    Parameters
    ----------
    record : Record
        One file's rows.
    fill : str, optional
        ``"short"``: gaps of up to six hours are filled.

    Returns
    -------
    Hours
        The frame of hours, the readings, the minutes and the notes.

    Raises
    ------
    WeatherError
        For a place off the earth, gaps, missing or impossible values, a sun that does not close.

    Notes
    -----
    Temperature, humidity, wind, pressure and cloud of an hour are the mean of the readings at its two ends (a typical
    year closes on itself; at the open end of real years the last reading is held); a file whose only reading lies in
    the middle of the hour keeps that. The sun of several rows in an hour is averaged. Rows stamped in another zone
    are moved to local standard time by whole hours, those that fall off one end joining at the other.
    """
    site = record.site
    check_site(site)
    rows, per_hour, typical, notes = _in_time(record, fill)
    if fill == "short":
        rows, told = short_filled(rows, per_hour, site.source, dated=not typical)
        notes = (*notes, *told)
    rows, filled = _complete(rows, site, dated=not typical)
    check_values(rows, site.source, dated=not typical)
    notes = (*notes, *check_steps(rows, per_hour, site.source, dated=not typical))
    index = pd.date_range(
        rows.index[0],
        periods=len(rows) // per_hour,
        freq="h",
        name="time",
        tz=timezone(timedelta(hours=site.utc_offset)),
    )
    frame = pd.DataFrame(
        {name: np.roll(_hourly(rows[name], per_hour, record, typical), record.roll) for name in rows.columns},
        index=index,
    )
    if record.roll:
        notes = (*notes, _moved(record))
    if record.sun_minute is None:
        mid_offset = best_minutes(frame, site, 0.0, 60.0, 1.0)
        notes = (*notes, f"The file does not tell the minute of its sun; it closes best at {mid_offset:g}.")
    else:
        mid_offset = record.sun_minute + 30.0 * (per_hour - 1) / per_hour
    notes = (*record.notes, *notes, *filled, *check_sun(frame, site, mid_offset))
    return Hours(frame, _readings(rows, record), record.reading_minute, mid_offset, notes, typical)


def _in_time(record: Record, fill: str | None) -> tuple[pd.DataFrame, int, bool, tuple[str, ...]]:
    """Rows proven to be a year or more without a gap, rows per hour, whether the year is a typical one, notes."""
    source = record.site.source
    stamps = pd.DatetimeIndex(record.frame.index)
    if len(stamps) < 3 or stamps.hasnans:
        raise WeatherError(
            f"hours must be 8760 or more, each with its time, got {len(stamps)} rows ({source}). "
            "The file is cut short or altered: download it again."
        )
    first, last = stamps.year.min(), stamps.year.max()
    if not (_YEARS[0] <= first and last <= _YEARS[1]):
        odd = first if first < _YEARS[0] else last
        raise WeatherError(
            f"years must be between {_YEARS[0]} and {_YEARS[1]}, got {odd} ({source}). "
            "The file is altered: download it again."
        )
    steps = stamps[1:] - stamps[:-1]
    per_hour = _rows_per_hour(steps, source)
    step, year = pd.Timedelta(hours=1) / per_hour, 8760 * per_hour
    if stamps[0] != stamps[0].floor("h"):
        raise WeatherError(
            f"time must start on a whole hour of local standard time, got {stamps[0]} ({source}). "
            "Set utc_offset so that the stamps fall on whole hours, or drop the rows before the first one."
        )
    if len(stamps) >= year and bool((steps == step).all()):
        return record.frame, per_hour, False, ()
    if _real(stamps, step):
        every = pd.date_range(stamps[0], stamps[-1], freq=step)
        if fill == "short" and len(every) >= year and not stamps.has_duplicates:
            return record.frame.reindex(every), per_hour, False, ()
        if len(stamps) > year:
            raise gaps(stamps, every, source, dated=True)
    wanted, keys = one_year(per_hour), on_one_year(stamps)
    if fill == "short" and not keys.has_duplicates and keys.isin(wanted).all():
        frame = record.frame.set_axis(keys).reindex(wanted)
    elif not (len(keys) == year and bool((keys == wanted).all())):
        raise gaps(keys, wanted, source, dated=False)
    else:
        frame = record.frame.set_axis(wanted)
    what = f"months from {first} to {last}" if last > first else f"{first} without its 29 February"
    return frame, per_hour, True, (f"A typical year, {what}, laid on {YEAR}.",)


def _real(stamps: pd.DatetimeIndex, step: pd.Timedelta) -> bool:
    """Whether the rows run through real time, at most a tenth of them missing; a typical year jumps between years."""
    if not stamps.is_monotonic_increasing:
        return False
    return bool((stamps[-1] - stamps[0]) / step < 1.1 * len(stamps))


def _rows_per_hour(steps: pd.TimedeltaIndex, source: str) -> int:
    """How many rows make an hour, from the commonest step."""
    minutes = float(np.median(steps / pd.Timedelta(minutes=1)))
    if minutes > 0.0 and (60.0 / minutes) == round(60.0 / minutes):
        return round(60.0 / minutes)
    raise WeatherError(
        f"the step between rows must be an hour or a whole part of one [min], got {minutes:g} ({source}). "
        "Take an hourly file, or resample to hours."
    )


def _complete(rows: pd.DataFrame, site: Site, dated: bool) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Rows with the columns of :data:`ALWAYS`, the others only where known throughout, and what was done."""
    absent = [name for name in _REQUIRED if name not in rows]
    if not {"temp_dew", "relative_humidity"} & set(rows.columns):
        absent.append("temp_dew or relative_humidity")
    if absent:
        raise WeatherError(
            f"columns must include {', '.join(absent)}, got {', '.join(map(str, rows.columns)) or 'none'} "
            f"({site.source}). Add what is missing, under that name."
        )
    for name in ("temp_air", "relative_humidity", "temp_dew"):  # before one is made of another
        given = rows[[name]] if name in rows else rows[[]]
        check_values(given if name == "temp_air" else given.dropna(), site.source, dated)
    notes: list[str] = []
    out = rows[list(_REQUIRED)].copy()
    out["temp_dew"], out["relative_humidity"] = _humidity(rows, notes)
    out["pressure"] = _pressure(rows, site, notes)
    for name in WHERE_KNOWN:
        if name not in rows:
            continue
        lacking = int(rows[name].isna().sum())
        if lacking:
            notes.append(f"{name} is left out: {lacking} of {len(rows)} values are missing.")
        else:
            out[name] = rows[name]
    return out[[name for name in (*ALWAYS, *WHERE_KNOWN) if name in out]], tuple(notes)


def _humidity(rows: pd.DataFrame, notes: list[str]) -> tuple[Floats, Floats]:
    """Dew point and relative humidity, each from the other where the file lacks it."""
    temp = rows["temp_air"].to_numpy()
    nothing = np.full(len(rows), np.nan)
    dew = rows["temp_dew"].to_numpy() if "temp_dew" in rows else nothing
    humidity = rows["relative_humidity"].to_numpy() if "relative_humidity" in rows else nothing
    no_dew, no_humidity = np.isnan(dew), np.isnan(humidity)
    if no_dew.any():
        notes.append(f"Dew point of {no_dew.sum()} readings from relative humidity, over water.")
    if no_humidity.any():
        notes.append(f"Relative humidity of {no_humidity.sum()} readings from dew point, over water.")
    return (
        np.where(no_dew, dew_over_water(temp, humidity), dew),
        np.where(no_humidity, humidity_over_water(temp, dew), humidity),
    )


def _pressure(rows: pd.DataFrame, site: Site, notes: list[str]) -> Floats:
    """The file's pressure, or that of the standard atmosphere where it is not known throughout."""
    standard = float(standard_pressure(site.altitude))
    if "pressure" not in rows or rows["pressure"].isna().any():
        notes.append(f"Pressure is not known throughout: {standard:.0f} Pa, the standard at {site.altitude:g} m.")
        return np.full(len(rows), standard)
    pressure = rows["pressure"].to_numpy()
    if pressure.min() == pressure.max():
        notes.append(
            f"Pressure is {pressure[0]:.0f} Pa in every hour, filled in and not measured; "
            f"the standard at {site.altitude:g} m is {standard:.0f} Pa."
        )
    return pressure


def _hourly(column: pd.Series[float], per_hour: int, record: Record, typical: bool) -> Floats:
    """One column as hours: the mean of its ends for readings, of its rows for the sun and the rest."""
    table = column.to_numpy().reshape(-1, per_hour)
    if column.name not in AT_READING or record.reading_minute == 30.0:
        return np.asarray(table.mean(axis=1))
    if record.reading_minute == 60.0:
        start, end = np.roll(table[:, -1], 1), table[:, -1]
        if not typical:
            start[0] = end[0]
    else:
        start, end = table[:, 0], np.roll(table[:, 0], -1)
        if not typical:
            end[-1] = table[-1, -1]
    return np.asarray((start + end) / 2.0)


def _readings(rows: pd.DataFrame, record: Record) -> pd.Series[float]:
    """The dry-bulb readings as the file has them, at their own times on the clock of the file."""
    clock = timezone(timedelta(hours=record.site.utc_offset - record.roll))
    times = pd.DatetimeIndex(rows.index).tz_localize(clock) + pd.Timedelta(minutes=record.reading_minute)
    return pd.Series(rows["temp_air"].to_numpy(), index=times.rename("time"), name="temp_air")


def _moved(record: Record) -> str:
    home = record.site.utc_offset
    return (
        f"Rows stamped in UTC{home - record.roll:+g} moved by {record.roll:+d} h to local standard time, UTC{home:+g}; "
        "what falls off one end of the year joins at the other."
    )
