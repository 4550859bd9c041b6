"""The design spell: cold, dark and windy days built on a design temperature and set into a record."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics.films import STEFAN_BOLTZMANN
from heatloss.physics.sky import berdahl_martin
from heatloss.weather.humidity import humidity_over_water
from heatloss.weather.weather import Weather

Floats = NDArray[np.float64]

SWING = 8.0
"""From the coldest to the warmest hour of the spell's day [K]; common practice, no source."""
WIND = 6.7
"""At the station [m/s]; the wind of greenhouse practice's own U-values (ANSI/ASAE EP406, from memory)."""
DEW_DEPRESSION = 3.0
"""Air less dew point in the spell [K]; common practice, no source."""
COLDEST_HOUR = 6
"""The hour of the day that begins when it is coldest, before a winter's sunrise [h]."""


def design_spell(
    weather: Weather, minimum: float, *, days: int = 3, swing: float = SWING, wind: float = WIND
) -> Weather:
    """A record with a design spell set into it, where its own coldest days begin.

    Parameters
    ----------
    weather : Weather
        The record; outside the spell it stays as it is.
    minimum : float
        Coldest hour of every day of the spell, the design temperature [degC].
    days : int
        Length of the spell, from midnight to midnight [d].
    swing : float
        From the coldest to the warmest hour [K].
    wind : float
        Wind at the station [m/s].

    Returns
    -------
    Weather
        As long as the record; its readings, and so degree days and quantiles, are still those of the record.

    Raises
    ------
    InputError
        For a minimum outside -90 to 40, a spell under a day or as long as the record, a negative swing, a wind
        outside 0 to 50.

    Notes
    -----
    T(h) = minimum + swing / 2 (1 - cos(2 pi (h - 6) / 24)) for the hour h at which a row begins. No sun; sky clear, by
    Berdahl and Martin; the dew point lies 3 K below the air, snow and albedo stay. The spell is built and not taken
    from the record, since a typical year has no extreme cold in it.

    References
    ----------
    .. [1] Heating design days as a daily cosine: handbooks of heating, from memory.

    Examples
    --------
    >>> from heatloss.weather import read_weather
    >>> weather = read_weather("chicago")
    >>> first, made = spell_start(weather), design_spell(weather, -28.0)
    >>> made.hours["temp_air"].iloc[first : first + 8].round(1).tolist()
    [-24.0, -25.0, -26.0, -26.8, -27.5, -27.9, -28.0, -27.9]
    """
    if not -90.0 <= minimum <= 40.0:
        raise InputError(f"minimum must be between -90 and 40 [degC], got {minimum:g}. Give the design temperature.")
    if not swing >= 0.0:
        raise InputError(f"swing must be 0 or more [K], got {swing:g}. A dark winter day warms by 4 to 10.")
    if not 0.0 <= wind <= 50.0:
        raise InputError(f"wind must be between 0 and 50 [m/s], got {wind:g}. A windy winter night has 5 to 10.")
    first = spell_start(weather, days=days)
    rows = slice(first, first + 24 * days)
    hours = weather.hours.copy()
    clock = np.asarray(pd.DatetimeIndex(hours.index).hour)[rows]
    air = minimum + 0.5 * swing * (1.0 - np.cos(2.0 * np.pi * (clock - COLDEST_HOUR) / 24.0))
    for name, values in _columns(air, wind).items():
        if name in hours:
            hours.loc[hours.index[rows], name] = values
    note = (
        f"Design spell of {days} days set in from {hours.index[first]:%d %b}: coldest hour {minimum:g} degC, "
        f"{swing:g} K warmer by day, no sun, clear sky, wind {wind:g} m/s."
    )
    return replace(weather, hours=hours, notes=(*weather.notes, note))


def spell_start(weather: Weather, *, days: int = 3) -> int:
    """Row of the midnight at which :func:`design_spell` begins: that before the record's coldest spell of that length.

    Parameters
    ----------
    weather : Weather
        The record.
    days : int
        Length of the spell [d].

    Returns
    -------
    int
        Number of the first hour.

    Raises
    ------
    InputError
        For a spell under a day or as long as the record.
    """
    hours = weather.hours
    longest = len(hours) // 24 - 1
    if not (isinstance(days, int) and 1 <= days <= longest):
        raise InputError(f"days must be a whole number from 1 to {longest} [d], got {days!r}. Sizing takes 3.")
    coldest = pd.Timestamp(weather.coldest(float(days))["start"].iloc[0])
    first = int(pd.DatetimeIndex(hours.index).searchsorted(coldest.normalize()))
    return min(first, len(hours) - 24 * days)


def _columns(air: Floats, wind: float) -> dict[str, Floats | float]:
    dew = air - DEW_DEPRESSION
    sky = np.asarray(berdahl_martin(air, temp_dew=dew))
    return {
        "temp_air": air,
        "temp_dew": dew,
        "relative_humidity": humidity_over_water(air, dew),
        "wind_speed": wind,
        "ghi": 0.0,
        "dni": 0.0,
        "dhi": 0.0,
        "longwave_down": STEFAN_BOLTZMANN * (sky + 273.15) ** 4,
        "opaque_cloud": 0.0,
        "precipitation": 0.0,
    }
