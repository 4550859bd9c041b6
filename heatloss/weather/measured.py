"""Measured temperatures without a sun: a station's or a logger's, paired with the days of a typical year."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta, timezone
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import UnknownNameError, WeatherError
from heatloss.units import parse
from heatloss.weather.checks import check_steps, check_values, cos_zenith, gaps
from heatloss.weather.gaps import SHORT, fill_word, filled
from heatloss.weather.humidity import dew_over_water, humidity_over_water
from heatloss.weather.record import Record
from heatloss.weather.weather import Weather

Floats = NDArray[np.float64]

NEAR = 15
"""Days before and after a date among which its sun is looked for [d]; common practice, no source."""

_ISD = ("year", "month", "day", "hour", "temp_air", "temp_dew", "sea_level", "bearing", "wind_speed", "cloud")
_UNITS = {"temp_air": "degC", "temp_dew": "degC", "relative_humidity": "1", "wind_speed": "m/s", "ghi": "W/m2"}
_MEASURED = ("temp_air", "temp_dew", "relative_humidity", "wind_speed")


@dataclass(frozen=True, eq=False)
class Readings:
    """What was measured at one place.

    Parameters
    ----------
    frame : frame
        ``temp_air`` [degC] and any of ``temp_dew`` [degC], ``relative_humidity`` [%], ``wind_speed`` [m/s], by hours of
        local standard time without a zone.
    minute : float
        From an hour's start to its reading; 30 says that it is the mean of the hour [min].
    notes : tuple of str
        What was done to it.
    """

    frame: pd.DataFrame
    minute: float
    notes: tuple[str, ...] = ()


def isd_lite(text: str, source: str, utc_offset: float, *, fill: str | None = None) -> Readings:
    """Read ISD-Lite, the hours of one station and year.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.
    utc_offset : float
        Local standard time less UTC [h].
    fill : str, optional
        ``"short"`` fills gaps of up to six hours.

    Returns
    -------
    Readings

    Raises
    ------
    WeatherError
        For a gap that may not be filled.

    Notes
    -----
    Rows are stamped in UTC with the hour of the reading; temperature, dew point and wind stand in tenths, -9999 is
    missing, and missing hours have no row. The first hours of the first day, still of the year before on the local
    clock, are kept.

    References
    ----------
    .. [1] NOAA, ISD-Lite format description, from memory.
    """
    rows = pd.read_csv(io.StringIO(text), sep=r"\s+", header=None, names=list(_ISD), usecols=range(len(_ISD)))
    stamps = pd.DatetimeIndex(pd.to_datetime(rows[["year", "month", "day", "hour"]]))
    frame = rows[["temp_air", "temp_dew", "wind_speed"]].astype(float).where(lambda t: t > -9999.0) / 10.0
    ahead = pd.Timedelta(hours=utc_offset)
    year = pd.Timestamp(stamps[0].year, 1, 1)
    ends = (year + ahead, year.replace(year=year.year + 1) - pd.Timedelta(hours=1) + ahead)
    whole, notes = _without_gaps(frame.set_axis(stamps + ahead), source, fill, ends)
    return Readings(whole, 0.0, (f"{source}: stamped in UTC, moved by {utc_offset:+g} h.", *notes))


def logger(text: str, table: Mapping[str, Any], source: str, utc_offset: float, *, fill: str | None = None) -> Readings:
    """Read the CSV of a logger by a small table that names its columns.

    Parameters
    ----------
    text : str
        The file.
    table : mapping
        ``time`` (name of the time's column), ``time_format`` if it is not understood, ``utc_offset`` of its clock if
        that is not the place's, ``skip`` (lines before the head), and ``columns``: our name to theirs and its unit.
    source : str
        Its name, for messages.
    utc_offset : float
        Local standard time less UTC at the place [h].
    fill : str, optional
        ``"short"`` fills gaps of up to six hours.

    Returns
    -------
    Readings
        Means of the hours where there are several rows in one.

    Raises
    ------
    WeatherError
        For a column or a time that is not there, or a gap that may not be filled.
    """
    try:
        rows = pd.read_csv(io.StringIO(text), skiprows=int(table.get("skip", 0)), sep=None, engine="python")
    except (ValueError, pd.errors.ParserError) as error:
        raise WeatherError(
            f"logger file must be CSV, got {error} ({source}). Set skip to the lines above its head."
        ) from error
    rows.columns = [str(name).strip() for name in rows.columns]
    time = str(table.get("time", rows.columns[0]))
    wanted = {ours: _column(entry, ours) for ours, entry in dict(table.get("columns", {})).items()}
    if "temp_air" not in wanted:
        raise WeatherError(
            f"columns must name temp_air, got {', '.join(wanted) or 'none'} ({source}). "
            'Type: temp_air = {column = "Temp", unit = "degF"}'
        )
    for theirs in (time, *(column for column, _ in wanted.values())):
        if theirs not in rows.columns:
            raise UnknownNameError("column", theirs, rows.columns, source)
    stamps = pd.to_datetime(rows[time], format=table.get("time_format"), errors="coerce")
    if stamps.isna().any():
        row = int(stamps.isna().to_numpy().argmax())
        raise WeatherError(
            f"time must be understood in every row, got {rows[time].iloc[row]!r} ({source}, row {row + 1}). "
            'Set time_format, such as "%m/%d/%Y %H:%M".'
        )
    ahead = pd.Timedelta(hours=utc_offset - float(table.get("utc_offset", utc_offset)))
    frame = pd.DataFrame(
        {ours: _in_si(rows[theirs], ours, unit, source).to_numpy() for ours, (theirs, unit) in wanted.items()},
        index=pd.DatetimeIndex(stamps) + ahead,
    )
    hourly, minute, note = _by_hours(frame, source)
    whole, notes = _without_gaps(hourly, source, fill)
    return Readings(whole, minute, (note, *notes))


def _column(entry: object, ours: str) -> tuple[str, str]:
    if ours not in _UNITS or ours == "ghi":
        raise UnknownNameError("logger column", ours, _MEASURED)
    if isinstance(entry, Mapping) and isinstance(entry.get("column"), str) and isinstance(entry.get("unit"), str):
        return entry["column"], entry["unit"]
    raise WeatherError(
        f'{ours} must name a column and its unit, got {entry!r}. Type: {ours} = {{column = "Temp", unit = "degF"}}'
    )


def _in_si(values: pd.Series[Any], ours: str, unit: str, source: str) -> pd.Series[float]:
    """A logger's numbers in SI; a unit is a straight line, so two points of it are enough."""
    numbers = pd.to_numeric(values, errors="coerce").astype(float)
    zero, ten = (parse(f"{n} {unit}", _UNITS[ours], name=f"unit of {ours}", where=source) for n in (0, 10))
    percent = 100.0 if ours == "relative_humidity" else 1.0
    return percent * (zero + numbers * (ten - zero) / 10.0)


def _by_hours(frame: pd.DataFrame, source: str) -> tuple[pd.DataFrame, float, str]:
    """Rows by hours: means where several fall in one, else the readings at the minute nearest to what they have."""
    stamps = pd.DatetimeIndex(frame.index)
    step = float(np.median(np.diff(stamps.to_numpy()) / np.timedelta64(1, "m"))) if len(stamps) > 1 else 0.0
    if not 0.0 < step <= 60.0:
        raise WeatherError(
            f"rows must be at most an hour apart [min], got {step:g} ({source}). Log every hour or more often."
        )
    if step < 60.0:
        means = frame.groupby(stamps.floor("h")).mean()
        return means, 30.0, f"{source}: rows every {step:g} min, averaged by hours."
    minute = 30.0 * round(float(np.median(stamps.minute)) / 30.0)
    return frame.set_axis(stamps.floor("h")), minute, f"{source}: one reading an hour, near minute {minute:g}."


def _without_gaps(
    frame: pd.DataFrame, source: str, fill: str | None, year: tuple[pd.Timestamp, pd.Timestamp] | None = None
) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Hours one after another; gaps filled if asked, also at the ends of a station's ``year``, else refused."""
    stamps = pd.DatetimeIndex(frame.index)
    if len(stamps) < 2 or stamps.has_duplicates or not stamps.is_monotonic_increasing:
        raise gaps(stamps, pd.date_range(stamps.min(), stamps.max(), freq="h"), source, dated=True)
    first, last = stamps[0], stamps[-1]
    if fill is not None and year is not None:
        near = pd.Timedelta(hours=SHORT)
        first = year[0] if first - year[0] <= near else first
        last = year[1] if year[1] - last <= near else last
    wanted = pd.date_range(first, last, freq="h")
    if fill is None and len(wanted) != len(stamps):
        raise gaps(stamps, wanted, source, dated=True)
    if fill is None:
        return frame, ()
    return filled(frame.reindex(wanted), 1, source, dated=True, needed=("temp_air",))


def paired(readings: Readings, typical: Weather, source: str, kind: str) -> Weather:
    """Measured temperatures with the sun, cloud and whatever else was not measured of a typical year's matching days.

    Parameters
    ----------
    readings : Readings
        What was measured, a year or more.
    typical : Weather
        A typical year of the same place.
    source, kind : str
        Name of the file and its format word.

    Returns
    -------
    Weather

    Raises
    ------
    WeatherError
        For less than a year, missing or impossible values.

    Notes
    -----
    A clear winter day is cold and a cloudy one mild; a typical year's sun by date would break that tie. So for every
    measured day the typical year's days within 15 days of the date are searched for the one whose mean temperature
    and range (highest less lowest) are nearest, each by its standard deviation among them; direct and diffuse sun and
    cloud are that day's, the global follows from the sun's own height. Long wave keeps the day's sky emissivity:
    L = L' (T / T')^4.

    References
    ----------
    .. [1] Nearest days as in resampling of weather, common practice, no source.
    """
    rows = readings.frame.sort_index()
    check_values(rows[["temp_air"]], source, dated=True)
    steps = check_steps(rows, 1, source, dated=True)
    offset = typical.site.utc_offset
    site = replace(typical.site, name=f"{typical.site.name}, measured", source=source, kind=kind)
    hours = pd.DataFrame({name: _hour_means(rows[name], readings.minute) for name in rows}, index=rows.index)
    take = _matching(hours["temp_air"], typical)
    other = typical.hours.iloc[take].set_axis(hours.index)
    frame = other.copy()
    for name in hours.columns:
        frame[name] = hours[name].where(hours[name].notna(), other[name])
    _moisture(frame, hours, other)
    if "longwave_down" in frame:
        frame["longwave_down"] *= ((frame["temp_air"] + 273.15) / (other["temp_air"] + 273.15)) ** 4
    zone = timezone(timedelta(hours=offset))
    middles = pd.DatetimeIndex(hours.index).tz_localize(zone) + pd.Timedelta(minutes=typical.mid_offset)
    cosine = cos_zenith(middles, site)
    frame["ghi"] = frame["dhi"] + frame["dni"] * cosine
    lacking = ", ".join(name for name in ("wind_speed", "temp_dew") if name not in hours and not _moist(name, hours))
    note = (
        f"Measured temperatures with the sun of {typical.site.source}: each day takes the typical day within {NEAR} "
        "days of its date that is most like it in mean and range of temperature"
        + (f"; so do {lacking}." if lacking else ".")
    )
    made = Weather.from_record(
        Record(site, frame, reading_minute=30.0, sun_minute=typical.mid_offset, notes=(*readings.notes, note, *steps))
    )
    times = pd.DatetimeIndex(rows.index).tz_localize(zone) + pd.Timedelta(minutes=readings.minute)
    raw = pd.Series(rows["temp_air"].to_numpy(), index=times.rename("time"), name="temp_air")
    return replace(made, readings=raw, reading_offset=readings.minute, header=dict(typical.header))


def _moist(name: str, hours: pd.DataFrame) -> bool:
    return name == "temp_dew" and "relative_humidity" in hours


def _hour_means(column: pd.Series[float], minute: float) -> Floats:
    """Means of hours from readings at their start, middle or end."""
    values: Floats = np.asarray(column, dtype=np.float64)
    if minute == 0.0:
        return np.asarray((values + np.append(values[1:], values[-1])) / 2.0)
    if minute == 60.0:
        return np.asarray((values + np.concatenate([values[:1], values[:-1]])) / 2.0)
    return values


def _moisture(frame: pd.DataFrame, hours: pd.DataFrame, other: pd.DataFrame) -> None:
    """Dew point and relative humidity that agree with the measured air, in place."""
    air = frame["temp_air"].to_numpy()
    if "temp_dew" in hours:
        frame["temp_dew"] = np.minimum(frame["temp_dew"], air)
    elif "relative_humidity" in hours:
        frame["temp_dew"] = dew_over_water(air, frame["relative_humidity"].to_numpy())
    else:  # the typical day's depression stands for the measured day
        frame["temp_dew"] = air - np.maximum(other["temp_air"] - other["temp_dew"], 0.0)
    frame["relative_humidity"] = humidity_over_water(air, frame["temp_dew"].to_numpy())


def _matching(temp: pd.Series[float], typical: Weather) -> NDArray[np.intp]:
    """For every measured hour the row of the typical year that lends its sun."""
    index = pd.DatetimeIndex(temp.index)
    theirs = typical.hours["temp_air"].to_numpy()[:8760].reshape(365, 24)
    traits = np.column_stack([theirs.mean(axis=1), np.ptp(theirs, axis=1)])
    days = index.normalize()
    groups = temp.groupby(days)
    ours = np.column_stack([groups.mean().to_numpy(), (groups.max() - groups.min()).to_numpy()])
    dates = np.minimum(pd.DatetimeIndex(groups.mean().index).day_of_year.to_numpy() - 1, 364)
    window = np.arange(-NEAR, NEAR + 1)
    chosen = np.empty(len(dates), dtype=np.intp)
    for row, date in enumerate(dates):
        near = (date + window) % 365
        apart = (traits[near] - ours[row]) / np.maximum(traits[near].std(axis=0), 0.1)
        chosen[row] = near[int(np.argmin((apart**2).sum(axis=1)))]
    which = np.searchsorted(np.unique(days), days)
    return np.asarray(chosen[which] * 24 + index.hour.to_numpy(), dtype=np.intp)


def joined_years(parts: list[Readings]) -> Readings:
    """Files of one place in the order of their times, as one."""
    if len({part.minute for part in parts}) != 1:
        raise WeatherError("files must be read at the same minute [min], got several. Pair them one by one.")
    frame = pd.concat([part.frame for part in parts]).sort_index()
    frame = frame[~frame.index.duplicated()]
    every = pd.date_range(frame.index[0], frame.index[-1], freq="h")
    if len(every) != len(frame):
        raise gaps(pd.DatetimeIndex(frame.index), every, "the files joined", dated=True)
    return Readings(frame, parts[0].minute, tuple(note for part in parts for note in part.notes))


def is_isd_lite(text: str) -> bool:
    """Whether a file's first line has the twelve numbers of ISD-Lite."""
    return re.match(r"\d{4} \d\d \d\d \d\d( +-?\d+){8}\s*(\n|$)", text) is not None


_KEYS = ("files", "typical", "fill", "time", "time_format", "utc_offset", "skip", "columns")


def measured_weather(
    text: str,
    source: str,
    *,
    opened: Callable[[str], str],
    typical_of: Callable[[str], Weather],
    fill: str | None = None,
) -> Weather:
    """Weather by a small file that names measured files, their columns, and a typical year for what they lack.

    Parameters
    ----------
    text : str
        TOML with one table ``[measured]``: ``files``, ``typical``, ``fill``, and for a logger's CSV what
        :func:`logger` takes.
    source : str
        Its name, for messages.
    opened : callable (name) -> text
        Opens a file beside it.
    typical_of : callable (name) -> Weather
        Reads the typical year.
    fill : str, optional
        As in the file.

    Returns
    -------
    Weather

    Raises
    ------
    WeatherError
        For a key that is missing or unknown, and for whatever the files lack.
    """
    try:
        tree: Any = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WeatherError(f"file of measured weather must be TOML, got {error} ({source}). See README.") from error
    table = tree.get("measured")
    if not isinstance(table, Mapping) or len(tree) != 1:
        raise WeatherError(f"file must hold one table [measured], got {', '.join(tree)} ({source}).")
    for key in table:
        if key not in _KEYS:
            raise UnknownNameError("key of [measured]", key, _KEYS, source)
    files, typical_name = table.get("files"), table.get("typical")
    if not isinstance(files, list) or not files or not all(isinstance(name, str) for name in files):
        raise WeatherError(f'files must list one file or more, got {files!r} ({source}). Type: files = ["door.csv"]')
    if not isinstance(typical_name, str):
        raise WeatherError(
            f'typical must name a typical year, got {typical_name!r} ({source}). Type: typical = "chicago"'
        )
    fill = fill or table.get("fill")
    fill_word(fill)
    typical = typical_of(typical_name)
    offset = typical.site.utc_offset
    parts = []
    for name in files:
        content = opened(name)
        if is_isd_lite(content):
            parts.append(isd_lite(content, name, offset, fill=fill))
        else:
            parts.append(logger(content, table, name, offset, fill=fill))
    return paired(joined_years(parts), typical, source, "measured")
