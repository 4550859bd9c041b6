"""From a weather year to what drives a house: air, wind and sky at the site, and the sun on every surface."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import timedelta, timezone
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.physics import films, moist_air, sky, snow, sun
from heatloss.weather.shift import shifted

if TYPE_CHECKING:
    from heatloss.geometry import Geometry
    from heatloss.house import House
    from heatloss.house.models import Place
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
SHELTERS = {"open": "wind_shelter_open", "partial": "wind_shelter_partial", "sheltered": "wind_shelter_sheltered"}
LOWEST_WIND_HEIGHT = 2.0
"""The power law of wind is not used nearer the ground [m]; common practice, no source."""


@dataclass(frozen=True)
class Drivers:
    """The site, hour by hour; columns are shared by all houses that stand on it.

    Attributes
    ----------
    index : DatetimeIndex
        Starts of the hours.
    temp_air, temp_sky : (hours,) [degC]
    wind : (hours,) [m/s]
        At the house.
    pressure : float [Pa]
        Mean of the record.
    ratio : (hours,) [kg/kg]
        Humidity ratio of the outdoor air.
    ghi : (hours,) [W/m2]
        Sun on level ground.
    zenith, azimuth : (hours,) [deg]
        Of the sun in the middle of its interval.
    daylight : (hours,) bool
    beam, sky_diffuse, ground_diffuse : (hours, surfaces) [W/m2]
        On the outside of every surface of the geometry.
    cos_incidence : (hours, surfaces) [1]
    sky_form : str
        How the sky's temperature was found.
    albedo_known : bool
        Whether the file's own albedo was used.
    snowfall : (hours,) [mm of water] or None
        Rain of cold hours, or what a snow depth grew by; None where the file knows neither.
    """

    index: pd.DatetimeIndex
    temp_air: Floats
    temp_sky: Floats
    wind: Floats
    pressure: float
    ratio: Floats
    ghi: Floats
    zenith: Floats
    azimuth: Floats
    daylight: NDArray[np.bool_]
    beam: Floats
    sky_diffuse: Floats
    ground_diffuse: Floats
    cos_incidence: Floats
    sky_form: str
    albedo_known: bool
    snowfall: Floats | None = None

    @property
    def month(self) -> Floats:
        """Running month, 1 in the middle of January [1]."""
        day = np.asarray(self.index.day_of_year) - 1 + (np.asarray(self.index.hour) + 0.5) / 24.0
        return 0.5 + 12.0 * day / np.where(self.index.is_leap_year, 366.0, 365.0)

    def hours_of_day(self, first: int) -> NDArray[np.bool_]:
        """Whether an hour is among the first ones after sunrise."""
        hours = np.arange(len(self.daylight))
        since = hours - np.maximum.accumulate(np.where(self.daylight, -1, hours))
        return (since > 0) & (since <= first)

    def by_month(self, values: Floats) -> Floats:
        """Mean of hourly values in each calendar month, January first (12,)."""
        months = np.asarray(self.index.month)
        return np.array([values[months == m].mean() for m in range(1, 13)])


@dataclass(frozen=True)
class Site:
    """One weather record, and what has been worked out on it: houses that agree share the very same arrays.

    Attributes
    ----------
    weather : Weather
    """

    weather: Weather
    _known: dict[Hashable, Any] = field(default_factory=dict)

    def once(self, what: str, key: Hashable, work: Callable[[], Any]) -> Any:
        """What ``work`` gives, worked out for the first that asks with the same key."""
        if (what, key) not in self._known:
            self._known[what, key] = work()
        return self._known[what, key]


def prepare(house: House, geometry: Geometry, weather: Weather | Site) -> Drivers:
    """Work out once what the weather does to this place and these surfaces.

    Parameters
    ----------
    house : House
        Its place and method words.
    geometry : Geometry
        Tilts and azimuths.
    weather : Weather or Site
        A ``Site`` keeps what the next house on it can use again: sun, sky, and the light on like surfaces.

    Returns
    -------
    Drivers

    Notes
    -----
    Latitude, longitude, altitude and clock offset of ``place`` overrule the record's; another altitude changes the air
    pressure in proportion to the standard atmosphere's. The sun stands where it is at the stamp plus
    ``weather.mid_offset``. Wind is the station's, carried to the mean
    inside height of the house (at least 2 m) and lessened by shelter. The ground reflects the file's albedo where that
    is known, otherwise the catalogue's.
    """
    site = weather if isinstance(weather, Site) else Site(weather)
    site = _moved(site, house.place)
    weather, place = site.weather, house.place
    hours = weather.hours
    where = tuple(
        getattr(weather.site if getattr(place, name) is None else place, name)
        for name in ("latitude", "longitude", "altitude")
    )
    temp_air = site.once("air", None, lambda: hours["temp_air"].to_numpy(float))
    index = site.once("index", place.utc_offset, lambda: _clock(hours, place.utc_offset))
    middle = pd.Timedelta(minutes=weather.mid_offset)
    spot = (*where, place.utc_offset)
    position = site.once("sun", spot, lambda: sun.sun_position(index + middle, *where, temperature=temp_air.mean()))
    falls = site.once("snowfall", house.method.snow, lambda: _snowfall(house, hours, temp_air))
    lit = (
        spot, house.method.sun, house.method.snow, repr(place.obstacles),
        catalogue.default("albedo", house.own), catalogue.default("albedo_snow", house.own),
        tuple((s.tilt, s.azimuth) for s in geometry.surfaces),
    )  # fmt: skip
    facets = site.once(
        "facets", lit, lambda: _facets(house, geometry, hours, position, _albedo(house, hours, temp_air, falls))
    )
    temp_sky, form = site.once("sky", house.method.sky, lambda: _sky(house.method.sky, hours, temp_air))
    shelter = catalogue.default(SHELTERS[house.place.shelter], house.own)
    height = max(geometry.height, LOWEST_WIND_HEIGHT)
    station = hours["wind_speed"].to_numpy(float)
    exponent = catalogue.default("wind_exponent", house.own)
    pressure = hours["pressure"].mean() if "pressure" in hours else moist_air.standard_pressure(where[2])
    if house.place.altitude is not None:
        pressure *= moist_air.standard_pressure(where[2]) / moist_air.standard_pressure(weather.site.altitude)
    return Drivers(
        index=index,
        temp_air=temp_air,
        temp_sky=temp_sky,
        wind=np.asarray(films.site_wind(station, shelter=shelter, height=height, exponent=exponent)),
        pressure=float(pressure),
        ratio=site.once("ratio", float(pressure), lambda: _ratio(hours, temp_air, float(pressure))),
        ghi=site.once("ghi", None, lambda: hours["ghi"].to_numpy(float)),
        zenith=position.zenith,
        azimuth=position.azimuth,
        daylight=position.zenith < 90.0,
        beam=facets.beam,
        sky_diffuse=facets.sky_diffuse,
        ground_diffuse=facets.ground_diffuse,
        cos_incidence=facets.cos_incidence,
        sky_form=form,
        albedo_known="albedo" in hours,
        snowfall=falls,
    )


def _ratio(hours: pd.DataFrame, temp_air: Floats, pressure: float) -> Floats:
    """Humidity ratio of the outdoor air [kg/kg]."""
    humid = np.clip(hours["relative_humidity"].to_numpy(float), 0.0, 100.0)
    return np.asarray(moist_air.humidity_ratio(temp_air, humid, pressure))


def at_place(weather: Weather, place: Place) -> Weather:
    """The record moved from its station to the house, as far as ``place`` asks for it; otherwise the same object."""
    altitude = place.altitude if place.lapse == "standard" else None
    return shifted(weather, altitude=altitude, frost_hollow=max(place.frost_hollow, weather.hollow))


def _moved(site: Site, place: Place) -> Site:
    """The site that houses of one place share."""
    if place.lapse == "none" and place.frost_hollow == 0.0:
        return site
    return site.once(  # type: ignore[no-any-return]
        "place", (place.altitude, place.lapse, place.frost_hollow), lambda: Site(at_place(site.weather, place))
    )


def _clock(hours: pd.DataFrame, utc_offset: float | None) -> pd.DatetimeIndex:
    """The record's hours, on the clock of the place where that is typed."""
    index = hours.index
    assert isinstance(index, pd.DatetimeIndex)
    if utc_offset is None:
        return index
    return index.tz_localize(None).tz_localize(timezone(timedelta(hours=utc_offset)))


def _snowfall(house: House, hours: pd.DataFrame, temp_air: Floats) -> Floats | None:
    """Water that falls as snow in each hour [mm], by the file's snow depth (at 100 kg/m3) or its rain in the cold."""
    if house.method.snow == "none":
        return None
    if "snow_depth" in hours:
        depth = hours["snow_depth"].to_numpy(float)
        falls = np.maximum(np.diff(depth, prepend=depth[-1]), 0.0) * 100.0
    elif "precipitation" in hours:
        falls = np.where(temp_air < snow.FREEZES, hours["precipitation"].to_numpy(float), 0.0)
    else:
        return None
    return falls if falls.any() else None


def _albedo(house: House, hours: pd.DataFrame, temp_air: Floats, falls: Floats | None) -> Floats | float:
    """The file's own, else that of bare ground and, where snow lies, of snow; a day above freezing clears it."""
    if "albedo" in hours:
        return hours["albedo"].to_numpy(float)
    bare = catalogue.default("albedo", house.own)
    if falls is None:
        return bare
    lying = snow.lies(temp_air, precipitation=falls, temp_surface=temp_air, hours_to_shed=24)
    return np.where(lying, catalogue.default("albedo_snow", house.own), bare)


def _obstructed(house: House, position: sun.SunPosition) -> tuple[NDArray[np.bool_], float]:
    """Hours in which an obstacle hides the sun, and the share of the sky's diffuse light that obstacles hide.

    An obstacle of angular height h over a share s of the horizon hides s sin^2 h of what a level surface sees.
    """
    hidden, lost = np.zeros(len(position.zenith), dtype=bool), 0.0
    for it in house.place.obstacles:
        span = (it.bearing_to - it.bearing_from) % 360.0 or 360.0
        within = (position.azimuth - it.bearing_from) % 360.0 <= span
        hidden |= within & (90.0 - position.zenith < it.height)
        lost += span / 360.0 * float(np.sin(np.radians(it.height))) ** 2
    return hidden, min(lost, 1.0)


def _facets(
    house: House, geometry: Geometry, hours: pd.DataFrame, position: sun.SunPosition, albedo: Floats | float
) -> sun.FacetSun:
    count = len(geometry.surfaces)
    if house.method.sun == "none":
        dark = np.zeros((len(hours), count))
        return sun.FacetSun(dark, dark, dark, dark)
    hidden, lost = _obstructed(house, position)
    return sun.facet_irradiance(
        position.zenith,
        azimuth=position.azimuth,
        dni=np.where(hidden, 0.0, hours["dni"].to_numpy(float)),
        dhi=hours["dhi"].to_numpy(float) * (1.0 - lost),
        ghi=hours["ghi"].to_numpy(float),
        dni_extra=position.dni_extra,
        airmass=position.airmass,
        tilt=np.array([s.tilt for s in geometry.surfaces]),
        surface_azimuth=np.array([s.azimuth for s in geometry.surfaces]),
        albedo=albedo,
        model=house.method.sun,
    )


def _sky(form: str, hours: pd.DataFrame, temp_air: Floats) -> tuple[Floats, str]:
    """Sky temperature and the word of the form that gave it."""
    if form == "outdoor":
        return temp_air, form
    known = {
        name: hours[name].to_numpy(float) for name in ("temp_dew", "opaque_cloud", "longwave_down") if name in hours
    }
    used = sky.chosen_form(*known) if form == "auto" else form
    hour = np.asarray(pd.DatetimeIndex(hours.index).hour) + 0.5
    pressure = hours["pressure"].to_numpy(float) if "pressure" in hours else None
    return np.asarray(sky.sky_temperature(temp_air, form=form, hour=hour, pressure=pressure, **known)), used
