"""The rest of this winter: whether the fuel on hand lasts, until when, and what to order by when."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.decisions.logs import read_log
from heatloss.decisions.matching import daily_weather
from heatloss.errors import InputError
from heatloss.physics.comparison import heating_line

if TYPE_CHECKING:
    from heatloss.decisions.signature import Signature
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
WINTERS = 2000
BLOCK = 5
"""Days of weather that are taken from the record together; common practice, no source."""
NEAR = 21
"""How far from a date its weather is taken, either way [d]; common practice, no source."""
BETWEEN_WINTERS = 1.5
"""Standard deviation of a winter's mean temperature from year to year [K]; common practice, no source."""
SURE = 0.95


@dataclass(frozen=True, eq=False)
class Remaining:
    """Whether the fuel lasts.

    Attributes
    ----------
    start, until : Timestamp
        The last row of the log, and the end of the heating.
    stock : float
        On hand at the start, in the log's unit.
    need, low, high : float
        Fuel from start to end: median, 5 % and 95 %.
    chance : float
        That it runs out before the end [1].
    likely, early : Timestamp or None
        When it runs out in half of the winters, and in one of twenty; None where it does not so often.
    order : float
        So much more is enough in 95 winters of 100, rounded up to whole units.
    order_by : Timestamp or None
        So that it arrives in time in 95 of 100; None where nothing must be ordered.
    unit : str
    used : frame
        Index date; ``low``, ``median``, ``high`` of fuel burned since the start.
    lead : float
        From order to delivery [d].
    """

    start: pd.Timestamp
    until: pd.Timestamp
    stock: float
    need: float
    low: float
    high: float
    chance: float
    likely: pd.Timestamp | None
    early: pd.Timestamp | None
    order: float
    order_by: pd.Timestamp | None
    unit: str
    used: pd.DataFrame
    lead: float


def rest_of_winter(
    signature: Signature,
    weather: Weather,
    stock: float,
    until: pd.Timestamp,
    *,
    lead: float = 7.0,
    forecast: str | Path | None = None,
    seed: int = 1,
) -> Remaining:
    """Run the rest of the winter many times, on weather drawn from a record.

    Parameters
    ----------
    signature : Signature
        Of the log so far.
    weather : Weather
        A typical year, or several years, of the place.
    stock : float
        Fuel on hand at the log's last row, in its unit.
    until : Timestamp
        When the heating ends.
    lead : float
        From order to delivery [d].
    forecast : str or Path, optional
        CSV with ``date`` and ``outside [degF]`` (or degC) for the days to come; they are taken as they stand.
    seed : int

    Returns
    -------
    Remaining

    Raises
    ------
    InputError
        For a stock below 0, an end before the log's, or a lead that cannot be.

    Notes
    -----
    2000 winters. Each takes five days at a time from within three weeks of the date in the record, temperature and sun
    together, the whole shifted by a normal draw of 1.5 K for the winter; and a line that fits the log about as well,
    with the scatter of single weeks. Left out: what changes in house or setpoint.
    """
    start = pd.Timestamp(signature.log.intervals["end"].max())
    _check(stock, lead, start, until)
    dates = pd.date_range(start.normalize(), until.normalize(), freq="D", inclusive="left")
    rng = np.random.default_rng(seed)
    temp, sun = _drawn(weather, dates, rng)
    if forecast is not None:
        known = _forecast(forecast).reindex(dates).to_numpy()
        temp = np.where(np.isnan(known), temp, known)
    lines = signature.draws(WINTERS, seed=seed)
    daily = heating_line(lines, temp, sun)
    scatter = signature.line.deviation * rng.standard_normal(daily.shape)
    daily = np.maximum(daily + np.where(daily > lines[:, :1], scatter, 0.0), 0.0)
    used = np.cumsum(daily, axis=1)
    return _told(signature, stock, until, lead, start, dates, used)


def _told(
    signature: Signature,
    stock: float,
    until: pd.Timestamp,
    lead: float,
    start: pd.Timestamp,
    dates: pd.DatetimeIndex,
    used: Floats,
) -> Remaining:
    low, need, high = np.quantile(used[:, -1], [1.0 - SURE, 0.5, SURE])
    out = used > stock
    ends = np.where(out.any(axis=1), out.argmax(axis=1), len(dates))
    order = max(0.0, math.ceil(float(high) - stock - 1e-9))
    early = _date(dates, float(np.quantile(ends, 1.0 - SURE, method="lower")))
    by = max(start.normalize(), early - pd.Timedelta(days=lead)) if order > 0.0 and early is not None else None
    quantiles = np.quantile(used, [1.0 - SURE, 0.5, SURE], axis=0)
    frame = pd.DataFrame(quantiles.T, columns=["low", "median", "high"], index=dates + pd.Timedelta(days=1))
    return Remaining(
        start=start, until=until, stock=stock, need=float(need), low=float(low), high=float(high),
        chance=float(out.any(axis=1).mean()), likely=_date(dates, float(np.quantile(ends, 0.5, method="lower"))),
        early=early, order=order, order_by=by, unit=signature.log.unit, used=frame.rename_axis("date"), lead=lead,
    )  # fmt: skip


def _date(dates: pd.DatetimeIndex, place: float) -> pd.Timestamp | None:
    return None if place >= len(dates) else dates[int(place)]


def _drawn(weather: Weather, dates: pd.DatetimeIndex, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Winters x days of temperature and sun."""
    daily = daily_weather(weather)
    of_year = pd.DatetimeIndex(daily.index).day_of_year.to_numpy()
    count, blocks = len(daily), math.ceil(len(dates) / BLOCK)
    place = np.empty((WINTERS, blocks * BLOCK), dtype=np.int64)
    for block in range(blocks):
        date = dates[block * BLOCK]
        apart = np.abs((of_year - date.day_of_year + 182) % 365 - 182)
        near = np.flatnonzero(apart <= NEAR)
        first = rng.choice(near, WINTERS)
        place[:, block * BLOCK : (block + 1) * BLOCK] = (first[:, None] + np.arange(BLOCK)) % count
    place = place[:, : len(dates)]
    shift = BETWEEN_WINTERS * rng.standard_normal((WINTERS, 1))
    return daily["temp_air"].to_numpy()[place] + shift, daily["ghi"].to_numpy()[place]


def _forecast(path: str | Path) -> pd.Series[float]:
    """Daily means of a forecast's outside column."""
    outside = read_log(path).temperatures["outside"].dropna()
    if not len(outside):
        raise InputError(f'the forecast must have outside temperatures, got none ({path}). Head them "outside [degF]".')
    return outside.groupby(pd.DatetimeIndex(outside.index).normalize()).mean()


def _check(stock: float, lead: float, start: pd.Timestamp, until: pd.Timestamp) -> None:
    if not (stock >= 0.0 and math.isfinite(stock)):
        raise InputError(f"stock must be 0 or more, got {stock:g}. Count what is on hand at the log's last row.")
    if not 0.0 <= lead <= 365.0:
        raise InputError(f"lead must be from 0 to 365 [d], got {lead:g}. It is the time from order to delivery.")
    if not until.normalize() > start.normalize():
        raise InputError(f"until must be after the log's last row, {start:%Y-%m-%d}, got {until:%Y-%m-%d}.")
    if until - start > pd.Timedelta(days=365):
        raise InputError(f"until must be within a year of the log's last row, {start:%Y-%m-%d}, got {until:%Y-%m-%d}.")
