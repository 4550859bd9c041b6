"""From the station to the house: another height, a hollow that cold air runs into."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heatloss.errors import InputError
from heatloss.physics.moist_air import standard_pressure
from heatloss.weather.weather import Weather

LAPSE = 0.0065
"""Of the standard atmosphere [K/m] (ISO 2533, from memory)."""
CALM = 4.0
"""Wind at the station from which no cold air gathers in a hollow [m/s]; common practice, no source."""


def shifted(
    weather: Weather, *, altitude: float | None = None, lapse: float = LAPSE, frost_hollow: float = 0.0
) -> Weather:
    """A record moved to a house that stands higher or lower than the station, or in a hollow.

    Parameters
    ----------
    weather : Weather
        The station's record.
    altitude : float, optional
        Height of the house above the sea; None: the station's [m].
    lapse : float
        By how much it is colder a metre higher up [K/m].
    frost_hollow : float
        By how much the hollow is colder in a still, clear night [K].

    Returns
    -------
    Weather
        The same object where nothing moves. Moving it again to the same place changes nothing.

    Raises
    ------
    InputError
        For a height outside -450 to 6000 m, a lapse outside 0 to 0.01 K/m or a hollow outside 0 to 15 K.

    Notes
    -----
    T + lapse (station - house), in every hour; less the hollow's in hours without sun, by (1 - wind / 4 m/s) and by the
    share of sky without opaque cloud. The dew point moves with the air, long wave keeps the sky's emissivity, pressure
    follows the standard atmosphere. Design temperatures and minima of a file's head move by the height and by the
    whole of the hollow. A mean lapse is poor on winter nights: on a slope above a cold valley it can be reversed.

    References
    ----------
    .. [1] ISO 2533 standard atmosphere, 6.5 K/km, from memory; the hollow's course: common practice, no source.

    Examples
    --------
    >>> from heatloss.weather import read_weather
    >>> golden = read_weather("golden")
    >>> higher = shifted(golden, altitude=golden.site.altitude + 300.0)
    >>> round(float((higher.readings - golden.readings).mean()), 2)
    -1.95
    """
    for name, value, low, high, unit in (
        ("altitude", weather.site.altitude if altitude is None else altitude, -450.0, 6000.0, "m"),
        ("lapse", lapse, 0.0, 0.01, "K/m"),
        ("frost_hollow", frost_hollow, 0.0, 15.0, "K"),
    ):
        if not low <= value <= high:
            raise InputError(f"{name} must be between {low:g} and {high:g} [{unit}], got {value:g}.")
    height = weather.site.altitude if altitude is None else altitude
    climb = height - weather.site.altitude
    rise, more = -lapse * climb, frost_hollow - weather.hollow
    if climb == 0.0 and more == 0.0:
        return weather
    hours = weather.hours.copy()
    air = hours["temp_air"].to_numpy()
    move = rise - more * _still_and_clear(weather)
    hours["temp_air"] = air + move
    hours["temp_dew"] += move
    if "longwave_down" in hours:
        hours["longwave_down"] *= ((air + move + 273.15) / (air + 273.15)) ** 4
    hours["pressure"] *= standard_pressure(height) / standard_pressure(weather.site.altitude)
    moves = np.asarray(
        (hours["temp_air"] - weather.hours["temp_air"]).reindex(weather.readings.index, method="nearest")
    )
    notes = weather.notes
    if climb != 0.0:
        notes += (f"Moved from {weather.site.altitude:g} to {height:g} m above the sea: {rise:+.1f} K in every hour.",)
    if more != 0.0:
        notes += (f"A frost hollow: up to {more:g} K colder in still, clear nights, {-move.mean() + rise:.2f} K mean.",)
    return replace(
        weather,
        hours=hours,
        site=replace(weather.site, altitude=height),
        readings=weather.readings + moves,
        header={
            name: value + rise - more if isinstance(value, float) and name != "extreme_sd" else value
            for name, value in weather.header.items()
        },
        notes=notes,
        hollow=frost_hollow,
    )


def _still_and_clear(weather: Weather) -> np.ndarray:
    """How fully cold air gathers in each hour [1]."""
    hours = weather.hours
    calm = np.maximum(1.0 - hours["wind_speed"].to_numpy() / CALM, 0.0)
    clear = 1.0 - hours["opaque_cloud"].to_numpy() if "opaque_cloud" in hours else np.ones(len(hours))
    return np.asarray(np.where(hours["ghi"].to_numpy() > 0.0, 0.0, calm * clear))
