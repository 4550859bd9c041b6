"""What a record says of cold: quantiles, degree days, monthly means, coldest spells."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from heatloss.errors import WeatherError
from heatloss.physics.steady import extreme_minimum

RETURN_YEARS = (5, 10, 20, 50)
WINTERS = 10
"""Whole winters from which extremes may be fitted."""
_HEADER = ("heating_996", "heating_99", "minimum_5_year", "minimum_10_year", "minimum_20_year", "minimum_50_year")


def design_temperatures(readings: pd.Series[float], header: Mapping[str, Any]) -> pd.Series[float]:
    """Candidates for the outdoor temperature to size a heater for, side by side.

    Parameters
    ----------
    readings : hourly
        Dry-bulb readings [degC].
    header : mapping
        Head of the file: ``heating_996``, ``heating_99``, ``minimum_5_year`` ... [degC].

    Returns
    -------
    Series
        ``file_996`` and ``file_99``: what 99.6 % and 99 % of the readings exceed or reach; ``file_coldest``: the
        lowest; ``header_996``, ``header_99``, ``minimum_5_year`` to ``minimum_50_year`` where the head has them [degC].

    Notes
    -----
    Of n readings in order, the one with n x 0.4 % (35 of 8760) or n x 1 % (88) colder ones before it. A typical year
    is chosen for its means, not its extremes: the published value can lie 3 K off either way.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2021, chapter 14, definition of annual cumulative frequency, from memory.

    Examples
    --------
    >>> design_temperatures(pd.Series(range(8760), dtype=float), {}).to_dict()
    {'file_996': 35.0, 'file_99': 88.0, 'file_coldest': 0.0}
    """
    ordered = np.sort(readings.to_numpy())
    out = {
        "file_996": ordered[round(0.004 * len(ordered))],
        "file_99": ordered[round(0.01 * len(ordered))],
        "file_coldest": ordered[0],
    }
    out |= {name.replace("heating", "header"): header[name] for name in _HEADER if name in header}
    return pd.Series(out, name="temp_air", dtype=float)


def annual_minima(readings: pd.Series[float], header: Mapping[str, Any], *, north: bool = True) -> pd.Series[float]:
    """Mean and standard deviation of the yearly minima, and the minima met once in 5, 10, 20 and 50 years.

    Parameters
    ----------
    readings : hourly
        Dry-bulb readings [degC].
    header : mapping
        Head of the file; its extremes come first.
    north : bool
        Whether a winter lies from July to June, and not in a calendar year.

    Returns
    -------
    Series
        ``mean`` [degC], ``sd`` [K], ``minimum_5_year`` to ``minimum_50_year`` [degC]; named ``header`` or ``fitted``.

    Raises
    ------
    WeatherError
        When the head has none and the readings hold fewer than ten whole winters.

    Notes
    -----
    Of ten winters or more, the coldest reading of each, and Gumbel's law with their mean and standard deviation
    (:func:`heatloss.physics.steady.extreme_minimum`). A typical year is chosen for its means and has no extremes.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2021, chapter 14, annual extremes and return periods, from memory.

    Examples
    --------
    >>> head = {"extreme_mean": -22.3, "extreme_sd": 3.8, "minimum_5_year": -25.1}
    >>> annual_minima(pd.Series(dtype=float), head).to_dict()
    {'mean': -22.3, 'sd': 3.8, 'minimum_5_year': -25.1}
    """
    if "extreme_mean" in header:
        known = {
            f"minimum_{n}_year": header[f"minimum_{n}_year"] for n in RETURN_YEARS if f"minimum_{n}_year" in header
        }
        out = {"mean": header["extreme_mean"], "sd": header["extreme_sd"], **known}
        return pd.Series(out, name="header", dtype=float)
    index = pd.DatetimeIndex(readings.index)
    winter = index.year - (index.month < 7) if north else index.year
    groups = readings.groupby(np.asarray(winter))
    hours = 365.0 * 24.0 * len(readings) / max((index[-1] - index[0]) / pd.Timedelta(hours=1) + 1.0, 1.0)
    minima = groups.min()[groups.count() > 0.99 * hours]
    if len(minima) < WINTERS:
        raise WeatherError(
            f"yearly minima must come from a file's head or from {WINTERS} whole winters, got {len(minima)} "
            "(and a typical year has no extremes). Type minimum_20_year under [place] of the house file."
        )
    mean, sd = float(minima.mean()), float(minima.std())
    fitted = {f"minimum_{n}_year": extreme_minimum(mean, deviation=sd, years=n) for n in RETURN_YEARS}
    return pd.Series({"mean": mean, "sd": sd, **fitted}, name="fitted", dtype=float)


def daily_means(readings: pd.Series[float], reading_offset: float) -> pd.Series[float]:
    """Mean of the readings of each day on the clock of the file.

    Parameters
    ----------
    readings : hourly
        Readings at their own times [degC].
    reading_offset : float
        Minutes from the start of an hour to its reading: a reading at the end of the last hour belongs to the day that
        ends there [min].

    Returns
    -------
    Series
        Daily means on the days' midnights [degC].
    """
    days = (pd.DatetimeIndex(readings.index) - pd.Timedelta(minutes=reading_offset)).tz_localize(None).normalize()
    return readings.groupby(days.rename("day")).mean()


def degree_days(daily: pd.Series[float], base: float) -> float:
    """Heating degree days of a year.

    Parameters
    ----------
    daily : Series
        Daily means [degC].
    base : float
        Temperature below which days count [degC].

    Returns
    -------
    float
        Sum of (base - daily mean) over the days below the base; of several years, the mean of a year [K d].

    Notes
    -----
    Sum over days of max(base - mean, 0).

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2021, chapter 14, degree-days from daily means, from memory.

    Examples
    --------
    >>> degree_days(pd.Series([10.0, 20.0, -2.0]), 18.0)
    28.0
    """
    years = max(round(len(daily) / 365.25, 2), 1.0) if len(daily) > 366 else 1.0
    return float(np.maximum(base - daily.to_numpy(), 0.0).sum() / years)


def cooling_degree_days(daily: pd.Series[float], base: float) -> float:
    """Cooling degree days of a year.

    Parameters
    ----------
    daily : Series
        Daily means [degC].
    base : float
        Temperature above which days count [degC].

    Returns
    -------
    float
        Sum of (daily mean - base) over the days above the base; of several years, the mean of a year [K d].

    Notes
    -----
    Sum over days of max(mean - base, 0): heating degree days of temperatures turned round.

    References
    ----------
    .. [1] As :func:`degree_days`, from memory.

    Examples
    --------
    >>> cooling_degree_days(pd.Series([10.0, 20.0, 25.0]), 18.0)
    9.0
    """
    return degree_days(-daily, -base)


def monthly(hours: pd.DataFrame, daily: pd.Series[float]) -> pd.DataFrame:
    """Means of each calendar month.

    Parameters
    ----------
    hours : frame
        The hours of a record.
    daily : Series
        Daily means of the readings [degC].

    Returns
    -------
    frame
        Index ``month`` 1 to 12; columns ``temp_air`` (mean of the readings) and ``temp_low`` (lowest hour) [degC],
        ``relative_humidity`` [%], ``wind_speed`` [m/s], ``ghi_kwh`` (sun on the level, a day) [kWh/m2].
    """
    months = pd.DatetimeIndex(hours.index).month
    groups = hours.groupby(months)
    out = pd.DataFrame(
        {
            "temp_air": daily.groupby(pd.DatetimeIndex(daily.index).month).mean(),
            "temp_low": groups["temp_air"].min(),
            "relative_humidity": groups["relative_humidity"].mean(),
            "wind_speed": groups["wind_speed"].mean(),
            "ghi_kwh": groups["ghi"].mean() * 24.0 / 1000.0,
        }
    )
    return out.rename_axis("month")


def coldest(hours: pd.DataFrame, days: float, count: int) -> pd.DataFrame:
    """The coldest spells of a given length, none overlapping another.

    Parameters
    ----------
    hours : frame
        The hours of a record.
    days : float
        Length of a spell [d].
    count : int
        How many spells.

    Returns
    -------
    frame
        One row per spell, coldest first: ``start``, mean ``temp_air`` and lowest hour ``temp_low`` [degC], mean
        ``wind_speed`` [m/s], ``ghi_kwh`` (sun on the level, a day) [kWh/m2].
    """
    length = round(24.0 * days)
    mean = hours["temp_air"].rolling(length).mean().to_numpy().copy()
    rows: list[dict[str, Any]] = []
    while len(rows) < count and np.isfinite(mean).any():
        last = int(np.nanargmin(mean))
        spell = hours.iloc[last - length + 1 : last + 1]
        rows.append(
            {
                "start": spell.index[0],
                "temp_air": spell["temp_air"].mean(),
                "temp_low": spell["temp_air"].min(),
                "wind_speed": spell["wind_speed"].mean(),
                "ghi_kwh": spell["ghi"].mean() * 24.0 / 1000.0,
            }
        )
        mean[max(last - length + 1, 0) : last + length] = np.nan
    return pd.DataFrame(rows)


def cold_wind(hours: pd.DataFrame, share: float) -> float:
    """Mean wind of the coldest hours.

    Parameters
    ----------
    hours : frame
        The hours of a record.
    share : float
        Share of the hours that counts as cold [1].

    Returns
    -------
    float
        Mean wind speed [m/s].
    """
    limit = hours["temp_air"].quantile(share)
    return float(hours.loc[hours["temp_air"] <= limit, "wind_speed"].mean())
