"""Many years of weather: a folder of files, and the whole winters in a long record."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from heatloss.errors import InputError, WeatherError
from heatloss.weather.files import read_weather
from heatloss.weather.weather import Weather


def read_years(
    path: str | os.PathLike[str],
    kind: str | None = None,
    *,
    fill: str | None = None,
    sun: str | os.PathLike[str] | Weather | None = None,
) -> tuple[Weather, ...]:
    """Read all weather files of a folder, or one long file.

    Parameters
    ----------
    path : str or path
        A folder in which every file whose name does not begin with a dot is weather of one place, or one file.
    kind, fill, sun
        As :func:`heatloss.read_weather`, for each file.

    Returns
    -------
    tuple of Weather
        In the order of their hours.

    Raises
    ------
    WeatherError
        For an empty folder, a file that does not read, a typical year among real ones, files of several places.
    """
    folder = Path(path)
    if not folder.is_dir():
        return _in_order([read_weather(path, kind, fill=fill, sun=sun)])
    files = sorted(file for file in folder.iterdir() if file.is_file() and not file.name.startswith("."))
    if not files:
        raise WeatherError(f"folder must hold weather files, got none ({folder.name}). Put the years into it.")
    return _in_order([read_weather(file, kind, fill=fill, sun=sun) for file in files])


def _in_order(records: Sequence[Weather]) -> tuple[Weather, ...]:
    for record in records:
        if record.typical:
            raise WeatherError(
                f"years must be real ones, got a typical year ({record.site.source}). Take it out of the folder."
            )
    first = records[0].site
    for record in records:
        site = record.site
        if abs(site.latitude - first.latitude) > 0.3 or abs(site.longitude - first.longitude) > 0.3:
            raise WeatherError(
                f"years must be of one place, got {site.source} at {site.latitude:g}, {site.longitude:g} and "
                f"{first.source} at {first.latitude:g}, {first.longitude:g}. Keep one place in a folder."
            )
    return tuple(sorted(records, key=lambda record: record.hours.index[0]))


def whole_winters(records: Weather | Sequence[Weather]) -> tuple[dict[str, Weather], tuple[str, ...]]:
    """The whole winters of one long record, or of several that follow one another.

    Parameters
    ----------
    records : Weather or sequence of Weather
        Real years of one place.

    Returns
    -------
    dict, tuple of str
        Name (``2015-16``; in the south the calendar year) to a record of that winter's year: July to June, in the south
        January to December. And a sentence on every part that is no whole winter and is left out.

    Raises
    ------
    InputError
        For no record, or records that tell the same hour twice.
    """
    parts = [records] if isinstance(records, Weather) else list(records)
    if not parts:
        raise InputError("weather must be one record or more, got none. Read it first: read_years(folder).")
    hours = pd.concat([part.hours for part in parts], join="inner").sort_index()
    readings = pd.concat([part.readings for part in parts]).sort_index()
    index = pd.DatetimeIndex(hours.index)
    if index.has_duplicates:
        hours = hours[~index.duplicated()]  # the years of files in UTC share the hours around new year
        index = pd.DatetimeIndex(hours.index)
    readings = readings[~readings.index.duplicated()]
    north = parts[0].site.latitude >= 0.0
    month = 7 if north else 1
    found: dict[str, Weather] = {}
    notes = []
    notes_of = tuple(dict.fromkeys(note for part in parts for note in part.notes))
    for year in range(index[0].year - 1, index[-1].year + 1):
        start = pd.Timestamp(year, month, 1, tz=index.tz)
        end = pd.Timestamp(year + 1, month, 1, tz=index.tz)
        rows = (index >= start) & (index < end)
        held, whole = int(rows.sum()), round((end - start) / pd.Timedelta(hours=1))
        name = f"{year}-{(year + 1) % 100:02d}" if north else f"{year}"
        if held == whole:
            mine = pd.DatetimeIndex(readings.index)
            found[name] = replace(
                parts[0],
                hours=hours[rows],
                readings=readings[(mine >= start) & (mine <= end)],
                notes=notes_of,
            )
        elif held > 0:
            notes.append(f"{name} is left out: {held:,} of its {whole:,} hours are at hand.")
    return found, tuple(notes)
