"""A synthetic year: hours of weather that have the normals of a place, and the days of no year that ever was."""

from __future__ import annotations

from datetime import timedelta, timezone

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.physics import climate
from heatloss.weather.checks import cos_zenith, sun_course
from heatloss.weather.humidity import dew_over_water, humidity_over_water
from heatloss.weather.normals import Normals
from heatloss.weather.record import YEAR, Record, Site
from heatloss.weather.weather import Weather

Floats = NDArray[np.float64]

LEAST_SPAN = 1.0
"""No day has less between its highest and lowest temperature [K]; common practice, no source."""
BRIGHTEST_BEAM = 1050.0
"""Direct sun beyond this is counted as diffuse [W/m2]; common practice, no source."""
_SLICES = 12
_MONTH = np.repeat(np.arange(12), climate.DAYS_OF_MONTH)
_HOUR_MONTH = np.repeat(_MONTH, 24)


def synthetic_year(normals: Normals, *, source: str = "normals") -> Weather:
    """Hours of a year that has the normals given.

    Parameters
    ----------
    normals : Normals
        Twelve means of temperature, daily range, sun, wind and humidity.
    source : str
        Name of the file, for messages and print.

    Returns
    -------
    Weather
        A typical year on 2001; the same normals and seed give the same hours.

    Raises
    ------
    WeatherError
        For a place off the earth or values no place has.

    Notes
    -----
    Days: highest and lowest temperature and clearness follow Richardson's autoregression; the spread of the days is
    Erbs', the law of clearness that of Bendt, Collares-Pereira and Rabl. Hours: temperature by the course of Erbs,
    sun by that of Collares-Pereira and Rabl, diffuse share by Erbs, cloud by Kasten and Czeplak from the day's sun,
    wind by a Rayleigh course of its own. Monthly means of temperature and sun are then set to the normals exactly.
    Left out: cold spells tied to wind, clear nights colder than the mean tie of the published matrices, cloud within a
    day, snow, the extremes of the place.

    References
    ----------
    .. [1] As the functions of :mod:`heatloss.physics.climate`, from memory; Erbs, Klein and Duffie 1982 as in pvlib.

    Examples
    --------
    >>> from heatloss.weather.normals import crude
    >>> year = synthetic_year(crude(44.0, january=-7.0, july=20.0))
    >>> year.monthly()["temp_air"].round(1).tolist()[::6]
    [-7.0, 20.0]
    """
    site = Site(
        name=normals.name,
        latitude=normals.latitude,
        longitude=normals.longitude,
        altitude=normals.altitude,
        utc_offset=normals.utc_offset,
        source=source,
        kind="normals",
    )
    days = _about_normals(climate.daily_departures(365, seed=normals.seed))
    temp_air = _temperature(normals, days)
    sun, clear = _sun(normals, site, days[:, 2])
    frame = pd.DataFrame({"temp_air": temp_air, "temp_dew": _dew(normals, temp_air), **sun}, index=_stamps())
    frame["relative_humidity"] = humidity_over_water(temp_air, frame["temp_dew"].to_numpy())
    wind = climate.wind_course(8760, seed=normals.seed + 1)
    frame["wind_speed"] = np.minimum(_scaled(wind, normals.wind), 49.0)
    frame["opaque_cloud"] = np.clip(_hourly(np.asarray(climate.cloud_of_sun(clear))), 0.0, 1.0)
    notes = (
        f"A synthetic year, seed {normals.seed}: monthly means of temperature and sun are those given, days and hours "
        "are made by published laws. Its coldest hours are chance: type minimum_20_year or design_temperature.",
        *normals.assumed,
    )
    return Weather.from_record(Record(site, frame, reading_minute=30.0, sun_minute=30.0, notes=notes))


def _stamps() -> pd.DatetimeIndex:
    return pd.date_range(pd.Timestamp(YEAR, 1, 1), periods=8760, freq="h")


def _hourly(daily: Floats) -> Floats:
    """Hours on straight lines from noon to noon, the year closing on itself."""
    noons = np.arange(-1, 366) + 0.5
    hours = (np.arange(8760) + 0.5) / 24.0
    return np.asarray(np.interp(hours, noons, np.concatenate([daily[-1:], daily, daily[:1]])))


def _by_month(values: Floats) -> Floats:
    return np.asarray(np.bincount(_HOUR_MONTH, values) / np.bincount(_HOUR_MONTH))


def _scaled(values: Floats, means: Floats) -> Floats:
    """Hours times one factor a month, so that the months have the means given."""
    found = _by_month(values)
    return np.asarray(values * np.divide(means, found, out=np.zeros(12), where=found > 0.0)[_HOUR_MONTH])


def _about_normals(days: Floats) -> Floats:
    """Departures freed of their monthly means, since those are given, and brought back to a spread of one."""
    month = pd.DataFrame(days).groupby(_MONTH)
    free = np.column_stack([
        days[:, k] - climate.smooth_days(month[k].mean().to_numpy()) for k in range(days.shape[1])
    ])  # fmt: skip
    return np.asarray(free / free.std(axis=0))


def _temperature(normals: Normals, days: Floats) -> Floats:
    spread = climate.daily_spread(normals.mean, yearly_spread=float(np.std(normals.mean)))
    # the mean of two that correlate varies less than each of them
    each = climate.smooth_days(np.asarray(spread)) / np.sqrt((1.0 + climate.SAME_DAY[0, 1]) / 2.0)
    highs, lows = each * days[:, 0], each * days[:, 1]
    mean = climate.smooth_days(normals.mean) + (highs + lows) / 2.0
    span = np.maximum(climate.smooth_days(normals.span) + highs - lows, LEAST_SPAN)
    course = np.tile(np.asarray(climate.day_course(np.arange(24) + 0.5)), 365)
    out = _hourly(mean) + np.repeat(span, 24) * course
    for _ in range(6):  # each turn leaves a hundredth of what the months are off
        out = out + _hourly(climate.smooth_days(normals.mean - _by_month(out)))
    return np.asarray(out)


def _sun(normals: Normals, site: Site, departures: Floats) -> tuple[dict[str, Floats], Floats]:
    """GHI, DNI and DHI of the hours [W/m2], and each day's sun by that of the clearest day [1]."""
    from pvlib.irradiance import erbs
    from scipy.special import ndtr

    zone = timezone(timedelta(hours=site.utc_offset))
    above = 0.024 * np.asarray(climate.sun_above_air(np.arange(1, 366), latitude=site.latitude))
    clearness, clear = np.empty(365), np.empty(365)
    for month in range(12):
        rows = month == _MONTH
        whole = above[rows].mean()
        mean = float(np.clip(normals.sun[month] / whole if whole > 0.0 else 0.0, 0.12, 0.78))
        clearness[rows] = climate.daily_clearness(ndtr(departures[rows]), clearness=mean)
        clear[rows] = clearness[rows] / climate.clearest(mean)
    fine = pd.date_range(f"{YEAR}-01-01 00:02:30", periods=8760 * _SLICES, freq="5min", tz=zone)
    hour_angle, declination = sun_course(fine, site.longitude)
    latitude = np.radians(np.clip(site.latitude, -89.99, 89.99))
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
    shape = np.asarray(climate.hour_shape(hour_angle, sunset=sunset)).reshape(8760, _SLICES).mean(axis=1)
    day = np.repeat(shape.reshape(365, 24).sum(axis=1), 24)
    energy = 1000.0 * np.repeat(clearness * above, 24)
    ghi = np.divide(energy * shape, day, out=np.zeros(8760), where=day > 0.0)
    ghi = _scaled(ghi, normals.sun / 24.0 * 1000.0)
    middles = _stamps().tz_localize(zone) + pd.Timedelta(minutes=30)
    cosine = cos_zenith(middles, site)
    split = erbs(ghi, np.degrees(np.arccos(cosine)), middles.day_of_year.to_numpy())
    dni = np.minimum(np.where(cosine > 0.0, split["dni"], 0.0), BRIGHTEST_BEAM)
    return {"ghi": ghi, "dni": dni, "dhi": np.maximum(ghi - dni * cosine, 0.0)}, clear


def _dew(normals: Normals, temp_air: Floats) -> Floats:
    """Dew point: one value a day, never above the air; the months' relative humidity where it is given."""
    table = temp_air.reshape(365, 24)
    if normals.humidity is None:
        return np.repeat(table.min(axis=1), 24)
    aim = normals.humidity.copy()
    for _ in range(4):  # the day's own saturation trims the mean; four turns bring it back within a point
        dew = np.minimum(np.repeat(dew_over_water(table.mean(axis=1), np.clip(aim, 5.0, 130.0)[_MONTH]), 24), temp_air)
        aim = aim * normals.humidity / _by_month(humidity_over_water(temp_air, dew))
    return dew
