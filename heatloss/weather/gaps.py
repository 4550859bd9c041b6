"""Short gaps of a record, filled where a person asks for it; long ones are refused."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError, WeatherError
from heatloss.weather.checks import shown

Fill = Literal["short"]

SHORT = 6
"""The longest gap that is filled [h]; common practice, no source."""
SUN = ("ghi", "dni", "dhi")
NEEDED = ("temp_air", "wind_speed", *SUN)


def fill_word(fill: str | None) -> None:
    """Refuse a word for filling that does not exist."""
    if fill not in (None, "short"):
        raise InputError(f'fill must be "short" or left out, got {fill!r}. Gaps of up to {SHORT} h can be filled.')


def filled(
    rows: pd.DataFrame, per_hour: int, source: str, dated: bool, *, needed: Collection[str] = NEEDED
) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Rows with their short gaps filled.

    Parameters
    ----------
    rows : frame
        Columns of a record on times without a gap; missing values are NaN.
    per_hour : int
        Rows in an hour.
    source : str
        Name of the file, for messages.
    dated : bool
        Whether the year of the times means something.
    needed : collection of str
        Columns in which a long gap is refused; the others keep it.

    Returns
    -------
    frame, tuple of str
        The rows, and for each column what was filled and when.

    Raises
    ------
    WeatherError
        For a gap of more than :data:`SHORT` hours in a column that a house needs, with its times.

    Notes
    -----
    Readings lie on a straight line between the values before and after, the sun is the mean of the same time a day
    before and a day after; at an end of the record the nearest value holds. Columns that a house can do without keep
    their long gaps.
    """
    out, notes = rows.copy(), []
    for name in rows.columns:
        lacking = rows[name].isna().to_numpy()
        if not lacking.any() or (lacking.all() and name not in needed):
            continue
        starts, ends = _runs(lacking)
        long = (ends - starts) > SHORT * per_hour
        if long.any():
            if name not in needed:
                continue
            first = int(np.argmax(long))
            when = _span(rows.index, starts[first], ends[first], dated)
            raise WeatherError(
                f"gaps must be at most {SHORT} h to be filled [h], got {(ends - starts)[first] / per_hour:g} h of "
                f"{name} ({source}, {when}; {int(long.sum())} such). Take another file, or fill it yourself."
            )
        day = 24 * per_hour
        if name in SUN:
            around = pd.concat([rows[name].shift(day), rows[name].shift(-day)], axis=1).mean(axis=1)
            out[name] = rows[name].fillna(around)
        else:
            out[name] = rows[name].interpolate(limit_direction="both")
        times = ", ".join(_span(rows.index, a, b, dated) for a, b in list(zip(starts, ends, strict=True))[:5])
        more = f" and {len(starts) - 5} more" if len(starts) > 5 else ""
        notes.append(f"{name}: {int(lacking.sum())} missing values filled as asked ({times}{more}).")
    return out, tuple(notes)


def _runs(lacking: NDArray[np.bool_]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First row of each run of missing values, and the row after its last."""
    edges = np.diff(np.concatenate([[0], lacking.astype(int), [0]]))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def _span(index: pd.Index, start: int, end: int, dated: bool) -> str:
    first = shown(index[start], dated)
    return first if end - start == 1 else f"{first} to {shown(index[end - 1], dated)}"
