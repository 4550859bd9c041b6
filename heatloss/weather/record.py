"""What one weather file says, in SI units and pvlib's names, before its rows are made into hours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

AT_READING = ("temp_air", "temp_dew", "relative_humidity", "wind_speed", "pressure", "opaque_cloud")
"""Columns that are readings at one moment."""

OF_THE_HOUR = ("ghi", "dni", "dhi", "longwave_down", "albedo", "snow_depth", "precipitation")
"""Columns that are means of an interval, or that change too slowly to tell."""

YEAR = 2001
"""The non-leap year that typical years are laid on."""

_DAYS_BEFORE = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])


@dataclass(frozen=True)
class Site:
    """Where a weather record was taken.

    Parameters
    ----------
    name : str
        Name the file gives itself.
    latitude, longitude : float
        North and east positive [deg].
    altitude : float
        Height above the sea [m].
    utc_offset : float
        Local standard time less UTC, east positive [h].
    source : str
        Name of the file or sample; ``"frame"`` for a frame.
    kind : str
        Format word, one of :data:`heatloss.weather.KINDS`, or ``"frame"``.
    """

    name: str
    latitude: float
    longitude: float
    altitude: float
    utc_offset: float
    source: str
    kind: str


@dataclass(frozen=True)
class Record:
    """Rows of one file as they stand: SI units, pvlib's names, missing values as NaN.

    Parameters
    ----------
    site : Site
        Place and origin.
    frame : frame
        Float columns of :data:`AT_READING` and :data:`OF_THE_HOUR`; index: the start of each row's interval, naive.
    reading_minute : float
        From a row's stamp to the moment of its readings; 30 says that they stand for the whole hour [min].
    sun_minute : float or None
        From a row's stamp to the middle of its sun; None when the file does not tell [min].
    roll : int
        Hours by which local standard time runs ahead of the clock the rows are stamped with [h].
    header : mapping
        What the head of the file says of design temperatures and ground.
    notes : tuple of str
        What the reader did, one sentence each.
    """

    site: Site
    frame: pd.DataFrame
    reading_minute: float
    sun_minute: float | None
    roll: int = 0
    header: Mapping[str, Any] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def columns(
    data: pd.DataFrame,
    names: Mapping[str, str],
    *,
    factors: Mapping[str, float],
    missing: Mapping[str, float] | float | None = None,
) -> pd.DataFrame:
    """Pick columns of a reader's frame, make them float, blank the codes for missing, scale to SI.

    Parameters
    ----------
    data : frame
        The reader's frame.
    names : mapping
        Name in the reader's frame to name here; those that the file lacks are left out.
    factors : mapping
        Name here to the factor that gives SI.
    missing : mapping or float, optional
        The code for missing (name here to code; or one for all), in the file's unit; values at or beyond it are
        missing (beyond: above a positive code, below a negative one).

    Returns
    -------
    frame
        Float columns with the names used here, on the index of ``data``.
    """
    out = {}
    for theirs, ours in names.items():
        if theirs not in data.columns:
            continue
        values = pd.to_numeric(data[theirs], errors="coerce").to_numpy(dtype=float)
        code = missing.get(ours) if isinstance(missing, Mapping) else missing
        if code is not None:
            values = np.where(values >= code if code > 0 else values <= code, np.nan, values)
        out[ours] = values * factors.get(ours, 1.0)
    return pd.DataFrame(out, index=data.index)


def without_filled_zeros(frame: pd.DataFrame) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Leave out what is zero in every row: some makers write that for unknown.

    Parameters
    ----------
    frame : frame
        A record's columns.

    Returns
    -------
    frame, tuple of str
        The frame without long wave, cloud, albedo, snow or rain that are zero throughout, and a sentence for each.
    """
    names = ("longwave_down", "opaque_cloud", "albedo", "snow_depth", "precipitation")
    filled = [name for name in names if name in frame and not frame[name].to_numpy().any()]
    notes = tuple(f"{name} is zero in every hour, which means unknown here, and is left out." for name in filled)
    return frame.drop(columns=filled), notes


def local(index: pd.DatetimeIndex | pd.Index) -> pd.DatetimeIndex:
    """The clock reading of stamps with a time zone, the zone itself dropped."""
    stamps = pd.DatetimeIndex(index)
    return stamps.tz_localize(None) if stamps.tz is not None else stamps


def joined(words: Iterable[str]) -> str:
    """Words in a row with commas, the quotes and blanks around each dropped, empty ones and dashes left out."""
    clean = (word.strip().strip('"').strip() for word in words)
    return ", ".join(word for word in clean if word not in {"", "-"})


def one_year(per_hour: int) -> pd.DatetimeIndex:
    """The stamps of :data:`YEAR`, ``per_hour`` to the hour."""
    return pd.date_range(pd.Timestamp(YEAR, 1, 1), periods=8760 * per_hour, freq=pd.Timedelta(hours=1) / per_hour)


def on_one_year(stamps: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """Month, day and time of each stamp in :data:`YEAR`; 29 February falls on 1 March and so shows as doubled."""
    day = _DAYS_BEFORE[stamps.month.to_numpy() - 1] + stamps.day.to_numpy() - 1
    minutes = (day * 24 + stamps.hour.to_numpy()) * 60 + stamps.minute.to_numpy()
    return pd.DatetimeIndex(pd.Timestamp(YEAR, 1, 1) + pd.to_timedelta(minutes, unit="min"))
