"""The sun: where it stands, what falls on each surface, and what an enclosure keeps of the light that came in."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics._numeric import between, positive

Array = NDArray[np.float64]

MODELS = ("perez", "haydavies", "isotropic")
"""Words for the sky of :func:`facet_irradiance`."""


@dataclass(frozen=True)
class SunPosition:
    """Where the sun stands, and what the sky models need besides.

    Attributes
    ----------
    zenith : array
        Apparent zenith angle, refraction included [deg].
    azimuth : array
        Azimuth clockwise from north [deg].
    dni_extra : array
        Normal irradiance above the atmosphere [W/m2].
    airmass : array
        Relative air mass, that of 89 deg from there on [1].
    """

    zenith: Array
    azimuth: Array
    dni_extra: Array
    airmass: Array


def sun_position(
    times: Any,
    latitude: float,
    longitude: float,
    altitude: float,
    *,
    pressure: float | None = None,
    temperature: float = 12.0,
    delta_t: float | None = 67.0,
) -> SunPosition:
    """Position of the sun at each time.

    Parameters
    ----------
    times : DatetimeIndex
        Times with their offset. For hourly sums they are the middles of the hours.
    latitude : float
        Latitude, north positive [deg].
    longitude : float
        Longitude, east positive [deg].
    altitude : float
        Height above the sea [m].
    pressure : float, optional
        Air pressure, for refraction [Pa]; that of the standard atmosphere when left out.
    temperature : float
        Yearly mean air temperature, for refraction [degC].
    delta_t : float, optional
        Terrestrial time minus universal time [s]; computed for each time when None.

    Returns
    -------
    SunPosition
        Zenith, azimuth, extraterrestrial irradiance and air mass.

    Raises
    ------
    InputError
        For times without an offset, or a place off the globe.

    Notes
    -----
    The algorithm of NREL, good to 0.0003 deg from the year -2000 to 6000, as pvlib computes it.

    References
    ----------
    .. [1] Reda and Andreas 2004, Solar position algorithm for solar radiation applications, Solar Energy 76, from
       memory; its worked example is the number below.

    Examples
    --------
    >>> import pandas as pd
    >>> at = pd.DatetimeIndex(["2003-10-17 12:30:30-07:00"])
    >>> sun = sun_position(at, 39.742476, -105.1786, 1830.14, pressure=82000.0, temperature=11.0)
    >>> round(float(sun.zenith[0]), 5), round(float(sun.azimuth[0]), 5)
    (50.11162, 194.34024)
    """
    from pvlib import atmosphere, irradiance, solarposition

    between("latitude", latitude, -90.0, 90.0, "deg")
    between("longitude", longitude, -180.0, 180.0, "deg")
    between("altitude", altitude, -500.0, 9000.0, "m")
    if getattr(times, "tz", None) is None:
        raise InputError("times must be stamped with their offset from UTC, got bare times. Localize them first.")
    place = solarposition.get_solarposition(
        times,
        latitude,
        longitude,
        altitude,
        atmosphere.alt2pres(altitude) if pressure is None else pressure,
        temperature=temperature,
        delta_t=delta_t,
    )
    zenith, day = place["apparent_zenith"].to_numpy(), times.tz_convert("UTC").day_of_year
    return SunPosition(
        zenith=zenith,
        azimuth=place["azimuth"].to_numpy(),
        dni_extra=np.asarray(irradiance.get_extra_radiation(day.to_numpy()), dtype=float),
        airmass=np.asarray(atmosphere.get_relative_airmass(np.minimum(zenith, 89.0)), dtype=float),
    )


def perez_factors(
    zenith: ArrayLike, *, dhi: ArrayLike, dni: ArrayLike, dni_extra: ArrayLike, airmass: ArrayLike
) -> tuple[Array, Array]:
    """Circumsolar and horizon brightening of Perez, which are the same for every surface.

    Parameters
    ----------
    zenith : array
        Apparent zenith angle [deg].
    dhi : array
        Diffuse horizontal irradiance [W/m2].
    dni : array
        Direct normal irradiance [W/m2].
    dni_extra : array
        Extraterrestrial normal irradiance [W/m2].
    airmass : array
        Relative air mass [1].

    Returns
    -------
    f1 : array
        Circumsolar brightening [1].
    f2 : array
        Horizon brightening [1]. Both are zero where there is no diffuse light or no air mass.

    Notes
    -----
    Read back from the components that pvlib gives for one surface, so that the coefficients stay pvlib's: isotropic
    dhi (1 - F1)(1 + cos t) / 2, horizon dhi F2 sin t. The surface leans a little towards the sun, more for a low one,
    so that its sum is never below zero, where pvlib would clip the parts.

    References
    ----------
    .. [1] Perez et al. 1990, Modeling daylight availability and irradiance components, Solar Energy 44, as in pvlib,
       from memory.

    Examples
    --------
    >>> f1, f2 = perez_factors([60.0], dhi=[100.0], dni=[700.0], dni_extra=[1400.0], airmass=[2.0])
    >>> round(float(f1[0]), 4), round(float(f2[0]), 4)
    (0.5238, 0.2291)
    """
    from pvlib import irradiance

    diffuse = np.asarray(dhi, dtype=float)
    mass = np.asarray(airmass, dtype=float)
    some = (diffuse > 0) & np.isfinite(mass)
    safe = np.where(some, diffuse, 1.0)
    tilt = np.maximum(np.asarray(zenith, dtype=float) - 80.0, 5.0)
    parts = irradiance.perez(
        tilt,
        0.0,
        safe,
        np.asarray(dni, dtype=float),
        np.asarray(dni_extra, dtype=float),
        np.asarray(zenith, dtype=float),
        np.zeros_like(safe),
        np.where(some, mass, 1.0),
        return_components=True,
    )
    f1 = 1.0 - parts["poa_isotropic"] / (safe * 0.5 * (1.0 + np.cos(np.radians(tilt))))
    f2 = parts["poa_horizon"] / (safe * np.sin(np.radians(tilt)))
    return np.where(some, f1, 0.0), np.where(some, f2, 0.0)


@dataclass(frozen=True)
class FacetSun:
    """What falls on each facet, hours down and facets across.

    Attributes
    ----------
    beam, sky_diffuse, ground_diffuse : array
        Irradiance straight from the sun, from the sky (its circumsolar part too) and from the ground [W/m2].
    cos_incidence : array
        Cosine of the angle of incidence, negative behind the facet [1].
    """

    beam: Array
    sky_diffuse: Array
    ground_diffuse: Array
    cos_incidence: Array


def facet_irradiance(
    zenith: ArrayLike,
    *,
    azimuth: ArrayLike,
    dni: ArrayLike,
    dhi: ArrayLike,
    ghi: ArrayLike,
    dni_extra: ArrayLike,
    airmass: ArrayLike,
    tilt: ArrayLike,
    surface_azimuth: ArrayLike,
    albedo: ArrayLike,
    model: str = "perez",
) -> FacetSun:
    """Irradiance on many facets at once.

    Parameters
    ----------
    zenith, azimuth : array
        Apparent zenith and azimuth of the sun, one for each hour [deg].
    dni, dhi, ghi : array
        Direct normal, diffuse horizontal and global horizontal irradiance [W/m2].
    dni_extra : array
        Extraterrestrial normal irradiance [W/m2].
    airmass : array
        Relative air mass [1].
    tilt, surface_azimuth : array
        Tilt from horizontal and azimuth clockwise from north, one for each facet [deg].
    albedo : float or array
        Reflectance of the ground, one number or one for each hour [1].
    model : str
        Sky: ``"perez"``, ``"haydavies"`` or ``"isotropic"``.

    Returns
    -------
    FacetSun
        Beam, sky and ground parts apart, and the cosine of incidence.

    Raises
    ------
    InputError
        For an albedo outside 0 to 1 or irradiance that is below zero or missing.
    UnknownNameError
        For another model.

    Notes
    -----
    Equal to pvlib's ``get_total_irradiance`` to rounding, save that hours without light or without air mass give zero
    diffuse where pvlib may give NaN. The brightness of the sky is worked out once for all facets, and incidence is one
    matrix product of sun and facet vectors. Obstacles on the horizon are left out.

    References
    ----------
    .. [1] Perez et al. 1990, Solar Energy 44; Hay and Davies 1980; both as in pvlib, from memory.

    Examples
    --------
    >>> sun = facet_irradiance([60.0], azimuth=[180.0], dni=[700.0], dhi=[100.0], ghi=[450.0], dni_extra=[1400.0],
    ...                        airmass=[2.0], tilt=[30.0], surface_azimuth=[180.0], albedo=0.2)
    >>> round(float((sun.beam + sun.sky_diffuse + sun.ground_diffuse)[0, 0]), 3)
    758.858
    """
    if model not in MODELS:
        raise UnknownNameError("model of the sun", model, MODELS)
    between("albedo", albedo, 0.0, 1.0, "1")
    normal, diffuse, total = (np.asarray(x, dtype=float) for x in (dni, dhi, ghi))
    for name, light in (("dni", normal), ("dhi", diffuse), ("ghi", total)):
        positive(name, light, "W/m2", zero=True)
    slope = np.radians(np.asarray(tilt, dtype=float))
    up = np.cos(np.radians(np.asarray(zenith, dtype=float)))
    cosine = _unit(zenith, azimuth) @ _unit(tilt, surface_azimuth).T
    np.clip(cosine, -1.0, 1.0, out=cosine)
    front = np.maximum(cosine, 0.0)
    even, circum, rim = _sky_parts(
        model, up=up, zenith=zenith, dhi=diffuse, dni=normal, dni_extra=dni_extra, airmass=airmass
    )
    sky = np.column_stack([even, rim]) @ np.vstack([0.5 * (1.0 + np.cos(slope)), np.sin(slope)])
    sky += circum[:, None] * front
    np.maximum(sky, 0.0, out=sky)
    ground = np.outer(total * np.asarray(albedo, dtype=float), 0.5 * (1.0 - np.cos(slope)))
    front *= normal[:, None]
    return FacetSun(beam=front, sky_diffuse=sky, ground_diffuse=ground, cos_incidence=cosine)


def _unit(from_vertical: ArrayLike, azimuth: ArrayLike) -> Array:
    """Unit vectors (north, east, up), one a row, of directions given by angle from the vertical and azimuth [deg]."""
    a, b = np.radians(np.asarray(from_vertical, dtype=float)), np.radians(np.asarray(azimuth, dtype=float))
    return np.column_stack([np.sin(a) * np.cos(b), np.sin(a) * np.sin(b), np.cos(a)])


def _sky_parts(model: str, *, up: Array, **light: Any) -> tuple[Array, Array, Array]:
    """Even sky, circumsolar light by unit cosine of incidence, and horizon band of each hour [W/m2]."""
    dhi = light["dhi"]
    if model == "isotropic":
        return dhi, np.zeros_like(dhi), np.zeros_like(dhi)
    if model == "haydavies":
        share = light["dni"] / np.asarray(light["dni_extra"], dtype=float)
        return np.maximum(dhi * (1.0 - share), 0.0), dhi * share / np.maximum(up, 0.01745), np.zeros_like(dhi)
    f1, f2 = perez_factors(**light)
    known = np.where(np.isfinite(np.asarray(light["airmass"], dtype=float)), dhi, 0.0)
    return known * (1.0 - f1), known * f1 / np.maximum(up, np.cos(np.radians(85.0))), known * f2


PHOTONS_PER_JOULE = 0.45 * 4.57e-6
"""Photosynthetic photons in sunlight [mol/J]: 45 % of its energy, 4.57 micromole for each joule of that; McCree 1972
and Thimijan and Heins 1983, from memory."""


def daily_light_integral(irradiance: float | Array) -> float | Array:
    """Photosynthetic light of a day from its mean solar irradiance.

    Parameters
    ----------
    irradiance : numeric
        Mean over the 24 hours [W/m2].

    Returns
    -------
    numeric
        Daily light integral [mol/(m2 d)].

    Notes
    -----
    0.45 x 4.57e-6 mol/J x 86400 s. The share of photosynthetic light inside a cover is taken as outdoors.

    References
    ----------
    .. [1] McCree 1972, Agricultural Meteorology 10; Thimijan and Heins 1983, HortScience 18; from memory.

    Examples
    --------
    >>> round(daily_light_integral(100.0), 2)
    17.77
    """
    return irradiance * (PHOTONS_PER_JOULE * 86400.0)


@dataclass(frozen=True)
class Cavity:
    """What becomes of the light that enters an enclosure.

    Attributes
    ----------
    absorbed : array
        Share absorbed by each surface, in the last axis [1].
    lost : array
        Share that leaves again through each surface, in the last axis [1].
    """

    absorbed: Array
    lost: Array


def cavity(
    areas: ArrayLike,
    *,
    absorptance: ArrayLike,
    transmittance: ArrayLike,
    planes: Sequence[Hashable],
    first_hit: ArrayLike,
) -> Cavity:
    """Where light ends that entered an enclosure, all reflections counted.

    Parameters
    ----------
    areas : array
        Area of each surface [m2].
    absorptance : array
        Share of diffuse light from inside that each absorbs [1].
    transmittance : array
        Share that each lets out [1]; the rest is reflected.
    planes : sequence
        A key for each; surfaces of one key lie in one plane and do not light each other.
    first_hit : array
        Share of the entering light that first meets each surface, in the last axis [1]. Further axes hold further
        cases.

    Returns
    -------
    Cavity
        Absorbed and lost shares; together they sum to the sum of ``first_hit``.

    Raises
    ------
    InputError
        When absorptance and transmittance exceed 1 together, when nothing in the enclosure takes up light, or when
        there is only one plane.

    Notes
    -----
    Light reflected from a plane is diffuse and spreads over the other planes by area; with x the light met in all,
    x = first_hit + R x, solved exactly instead of bounce by bounce. Shares by area stand for view factors.

    References
    ----------
    .. [1] Balance of light in a diffuse enclosure; the number below calculated from it.

    Examples
    --------
    A greenhouse floor under a cover taken as one surface:

    >>> light = cavity([100.0, 209.4], absorptance=[0.75, 0.135], transmittance=[0.0, 0.624],
    ...                planes=["floor", "cover"], first_hit=[1.0, 0.0])
    >>> light.absorbed.round(3).tolist(), round(float(light.lost[1]), 3)
    ([0.798, 0.036], 0.166)
    """
    area = np.asarray(areas, dtype=float)
    keep, let = np.asarray(absorptance, dtype=float), np.asarray(transmittance, dtype=float)
    positive("areas", area, "m2", zero=True)
    for name, share in (("absorptance", keep), ("transmittance", let), ("their sum", keep + let)):
        between(name, share, 0.0, 1.0 + 1e-12, "1")
    keys = list(dict.fromkeys(planes))
    place = np.array([keys.index(p) for p in planes])
    other = place[:, None] != place[None, :]
    seen = other @ area
    if not np.all(seen > 0):
        raise InputError("planes must be at least two with area [m2], got one. Light from it would have nowhere to go.")
    spread = np.where(other, area[None, :], 0.0) / seen[:, None]
    system = np.eye(len(area)) - ((1.0 - keep - let)[:, None] * spread).T
    if not (keep + let).max() > 0:
        raise InputError("absorptance must be above 0 [1] somewhere, got 0 everywhere. The light would never end.")
    met = np.linalg.solve(system, np.atleast_2d(np.asarray(first_hit, dtype=float)).T).T
    met = met.reshape(np.shape(first_hit))
    return Cavity(absorbed=met * keep, lost=met * let)
