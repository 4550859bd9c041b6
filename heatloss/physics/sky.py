"""Temperature of the sky for long-wave exchange, from what the weather file knows."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.films import KELVIN, STEFAN_BOLTZMANN
from heatloss.physics.moist_air import saturation_pressure

FORMS = ("auto", "longwave", "berdahl_martin", "swinbank", "brutsaert", "clark_allen", "fixed_11k", "outdoor")
"""Words for :func:`sky_temperature`."""

CLOUD_FACTOR = 0.84
"""Share of the missing emissivity that opaque cloud fills [1]: of three tried on a Denver year the one nearest the
published mean sky temperature, with the terms of hour and pressure (calculated)."""

_NEEDS = {
    "longwave": ("longwave_down",),
    "berdahl_martin": ("temp_dew", "opaque_cloud"),
    "brutsaert": ("temp_dew",),
    "clark_allen": ("temp_dew", "opaque_cloud"),
}


def sky_temperature(
    temp_air: Numeric,
    *,
    temp_dew: Numeric | None = None,
    opaque_cloud: Numeric | None = None,
    longwave_down: Numeric | None = None,
    hour: Numeric | None = None,
    pressure: Numeric | None = None,
    form: str = "auto",
) -> Numeric:
    """Sky temperature by the form named, or by the best one the columns allow.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].
    temp_dew : numeric, optional
        Dew point outdoors [degC].
    opaque_cloud : numeric, optional
        Opaque sky cover, 0 to 1 [1].
    longwave_down : numeric, optional
        Long-wave radiation of the sky on a horizontal surface [W/m2].
    hour : numeric, optional
        Hour of the day from midnight, for Berdahl and Martin [h].
    pressure : numeric, optional
        Air pressure, for Berdahl and Martin; worth 1 K at 1650 m [Pa].
    form : str
        One of ``FORMS``. ``"auto"`` takes what :func:`chosen_form` says.

    Returns
    -------
    numeric
        Sky temperature [degC].

    Raises
    ------
    InputError
        When the form needs a column that was not given.
    UnknownNameError
        For a word that is not a form.

    Notes
    -----
    ``"outdoor"`` sets the sky to the outdoor temperature, so that nothing is lost to it beyond what the air takes.

    References
    ----------
    .. [1] The functions of this module, one for each form.

    Examples
    --------
    >>> round(sky_temperature(0.0, temp_dew=-5.0, opaque_cloud=0.0), 2)
    -24.67
    """
    given: dict[str, Any] = {"temp_dew": temp_dew, "opaque_cloud": opaque_cloud, "longwave_down": longwave_down}
    if form not in FORMS:
        raise UnknownNameError("form of the sky temperature", form, FORMS)
    form = chosen_form(*(name for name, value in given.items() if value is not None)) if form == "auto" else form
    for name in _NEEDS.get(form, ()):
        if given[name] is None:
            raise InputError(f"{name} must be known for the sky form {form!r}, got nothing. Take the form 'auto'.")
    if form == "longwave":
        return from_longwave(longwave_down)
    if form == "fixed_11k":
        return fixed_11k(temp_air)
    if form == "outdoor":
        return like(np.asarray(temp_air, dtype=float), temp_air)
    if form == "swinbank":
        return swinbank(temp_air)
    if form == "brutsaert":
        return brutsaert(temp_air, temp_dew=temp_dew)
    if form == "clark_allen":
        return clark_allen(temp_air, temp_dew=temp_dew, opaque_cloud=opaque_cloud)
    return berdahl_martin(temp_air, temp_dew=temp_dew, opaque_cloud=opaque_cloud, hour=hour, pressure=pressure)


def chosen_form(*known: str) -> str:
    """The form that ``"auto"`` stands for, given the names of the columns that are known.

    Parameters
    ----------
    *known : str
        Any of ``"longwave_down"``, ``"temp_dew"``, ``"opaque_cloud"``.

    Returns
    -------
    str
        ``"longwave"`` where the file has it; else ``"berdahl_martin"`` where dew point and cloud are known; else
        ``"fixed_11k"``.

    Notes
    -----
    Without cloud the clear-sky forms would show every night as cloudless and overstate the loss, so the all-weather
    mean of ISO 52016 is taken instead. Name a clear-sky form to have it all the same.

    References
    ----------
    .. [1] ISO 52016-1:2017, table B.19: 11 K below the air, read.

    Examples
    --------
    >>> chosen_form("temp_dew")
    'fixed_11k'
    """
    if "longwave_down" in known:
        return "longwave"
    return "berdahl_martin" if {"temp_dew", "opaque_cloud"} <= set(known) else "fixed_11k"


def from_longwave(longwave_down: Numeric) -> Numeric:
    """Sky temperature from measured or modelled long-wave radiation.

    Parameters
    ----------
    longwave_down : numeric
        Long-wave radiation of the sky on a horizontal surface [W/m2].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Raises
    ------
    InputError
        For radiation that is not above zero.

    Notes
    -----
    (L / sigma)^(1/4), the sky taken as black.

    References
    ----------
    .. [1] Stefan-Boltzmann law; the number below calculated from it.

    Examples
    --------
    >>> round(from_longwave(250.0), 2)
    -15.47
    """
    positive("longwave_down", longwave_down, "W/m2")
    return like((np.asarray(longwave_down, dtype=float) / STEFAN_BOLTZMANN) ** 0.25 - KELVIN, longwave_down)


def berdahl_martin_emissivity(
    temp_dew: Numeric, *, opaque_cloud: Numeric = 0.0, hour: Numeric | None = None, pressure: Numeric | None = None
) -> Numeric:
    """Emissivity of the sky by Berdahl and Martin, with cloud.

    Parameters
    ----------
    temp_dew : numeric
        Dew point outdoors [degC].
    opaque_cloud : numeric
        Opaque sky cover, 0 to 1 [1].
    hour : numeric, optional
        Hour of the day from midnight [h]; brings in the small daily term.
    pressure : numeric, optional
        Air pressure [Pa]; brings in the small term of altitude.

    Returns
    -------
    numeric
        Emissivity [1].

    Raises
    ------
    InputError
        For cloud outside 0 to 1.

    Notes
    -----
    Clear: 0.711 + 0.56 (t/100) + 0.73 (t/100)^2 [+ 0.013 cos(2 pi h/24)] [+ 0.00012 (p_mbar - 1000)]. Cloud fills
    0.84 n of what is missing to 1, one number for all heights of cloud. Fitted to dew points of -20 to 30 degC.

    References
    ----------
    .. [1] Berdahl and Martin 1984, Emissivity of clear skies, Solar Energy 32: terms of dew point and hour read,
       term of pressure from memory. Martin and Berdahl 1984 for cloud, from memory.

    Examples
    --------
    >>> round(berdahl_martin_emissivity(5.0), 4)
    0.7408
    """
    between("opaque_cloud", opaque_cloud, 0.0, 1.0, "1")
    t = np.asarray(temp_dew, dtype=float) / 100.0
    clear = 0.711 + 0.56 * t + 0.73 * t * t
    if hour is not None:
        clear = clear + 0.013 * np.cos(2.0 * np.pi * np.asarray(hour, dtype=float) / 24.0)
    if pressure is not None:
        clear = clear + 0.00012 * (np.asarray(pressure, dtype=float) / 100.0 - 1000.0)
    cloudy = clear + (1.0 - clear) * CLOUD_FACTOR * np.asarray(opaque_cloud, dtype=float)
    return like(cloudy, temp_dew, opaque_cloud, hour, pressure)


def berdahl_martin(
    temp_air: Numeric,
    *,
    temp_dew: Numeric,
    opaque_cloud: Numeric = 0.0,
    hour: Numeric | None = None,
    pressure: Numeric | None = None,
) -> Numeric:
    """Sky temperature by Berdahl and Martin, with cloud.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].
    temp_dew : numeric
        Dew point outdoors [degC].
    opaque_cloud : numeric
        Opaque sky cover, 0 to 1 [1].
    hour : numeric, optional
        Hour of the day from midnight [h].
    pressure : numeric, optional
        Air pressure [Pa].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Notes
    -----
    e^(1/4) times the air temperature in K, e from :func:`berdahl_martin_emissivity`.

    References
    ----------
    .. [1] Berdahl and Martin 1984, Emissivity of clear skies, Solar Energy 32, read in part (see there).

    Examples
    --------
    >>> round(berdahl_martin(10.0, temp_dew=5.0), 2)
    -10.46
    """
    emissivity = berdahl_martin_emissivity(temp_dew, opaque_cloud=opaque_cloud, hour=hour, pressure=pressure)
    return _from_emissivity(emissivity, temp_air, temp_dew, opaque_cloud, hour, pressure)


def swinbank(temp_air: Numeric) -> Numeric:
    """Clear-sky temperature by Swinbank.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Notes
    -----
    0.0552 T^1.5, both in K. No humidity, no cloud.

    References
    ----------
    .. [1] Swinbank 1963, Long-wave radiation from clear skies, from memory.

    Examples
    --------
    >>> round(swinbank(-10.0), 2)
    -37.51
    """
    return like(0.0552 * (np.asarray(temp_air, dtype=float) + KELVIN) ** 1.5 - KELVIN, temp_air)


def brutsaert_emissivity(temp_air: Numeric, *, temp_dew: Numeric) -> Numeric:
    """Emissivity of a clear sky by Brutsaert.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].
    temp_dew : numeric
        Dew point outdoors [degC].

    Returns
    -------
    numeric
        Emissivity [1].

    Notes
    -----
    1.24 (e / T)^(1/7), e vapour pressure [mbar], T air temperature [K]; a reported dew point is over water, below
    freezing too.

    References
    ----------
    .. [1] Brutsaert 1975, On a derivable formula for long-wave radiation from clear skies, from memory.

    Examples
    --------
    >>> round(brutsaert_emissivity(10.0, temp_dew=5.0), 3)
    0.754
    """
    vapour = np.asarray(saturation_pressure(temp_dew, "water"), dtype=float) / 100.0
    return like(1.24 * (vapour / (np.asarray(temp_air, dtype=float) + KELVIN)) ** (1.0 / 7.0), temp_air, temp_dew)


def brutsaert(temp_air: Numeric, *, temp_dew: Numeric) -> Numeric:
    """Clear-sky temperature by Brutsaert.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].
    temp_dew : numeric
        Dew point outdoors [degC].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Notes
    -----
    e^(1/4) times the air temperature in K, e from :func:`brutsaert_emissivity`. No cloud.

    References
    ----------
    .. [1] Brutsaert 1975, On a derivable formula for long-wave radiation from clear skies, from memory.

    Examples
    --------
    >>> round(brutsaert(10.0, temp_dew=5.0), 1)
    -9.3
    """
    return _from_emissivity(brutsaert_emissivity(temp_air, temp_dew=temp_dew), temp_air, temp_dew)


def clark_allen_emissivity(temp_dew: Numeric, *, opaque_cloud: Numeric = 0.0) -> Numeric:
    """Emissivity of the sky by Clark and Allen, with cloud.

    Parameters
    ----------
    temp_dew : numeric
        Dew point outdoors [degC].
    opaque_cloud : numeric
        Opaque sky cover, 0 to 1 [1].

    Returns
    -------
    numeric
        Emissivity [1], at most 1.

    Raises
    ------
    InputError
        For cloud outside 0 to 1.

    Notes
    -----
    (0.787 + 0.764 ln(T_dp / 273)) (1 + 0.0224 N - 0.0035 N^2 + 0.00028 N^3), N cloud in tenths, T_dp in K.

    References
    ----------
    .. [1] Clark and Allen 1978, The estimation of atmospheric radiation for clear and cloudy skies, from memory.

    Examples
    --------
    >>> round(clark_allen_emissivity(5.0), 3)
    0.801
    """
    between("opaque_cloud", opaque_cloud, 0.0, 1.0, "1")
    tenths = 10.0 * np.asarray(opaque_cloud, dtype=float)
    clear = 0.787 + 0.764 * np.log((np.asarray(temp_dew, dtype=float) + KELVIN) / 273.0)
    cloud = 1.0 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3
    return like(np.minimum(clear * cloud, 1.0), temp_dew, opaque_cloud)


def clark_allen(temp_air: Numeric, *, temp_dew: Numeric, opaque_cloud: Numeric = 0.0) -> Numeric:
    """Sky temperature by Clark and Allen, with cloud.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].
    temp_dew : numeric
        Dew point outdoors [degC].
    opaque_cloud : numeric
        Opaque sky cover, 0 to 1 [1].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Notes
    -----
    e^(1/4) times the air temperature in K, e from :func:`clark_allen_emissivity`. Under a clear sky it is warmer than
    the other forms by several K.

    References
    ----------
    .. [1] Clark and Allen 1978, The estimation of atmospheric radiation for clear and cloudy skies, from memory.

    Examples
    --------
    >>> round(clark_allen(10.0, temp_dew=5.0), 1)
    -5.3
    """
    emissivity = clark_allen_emissivity(temp_dew, opaque_cloud=opaque_cloud)
    return _from_emissivity(emissivity, temp_air, temp_dew, opaque_cloud)


def fixed_11k(temp_air: Numeric) -> Numeric:
    """Sky temperature 11 K below the air, the default of a standard for intermediate climates.

    Parameters
    ----------
    temp_air : numeric
        Outdoor air temperature [degC].

    Returns
    -------
    numeric
        Sky temperature [degC].

    Notes
    -----
    A mean over clear and cloudy hours. The same standard has 9 K for sub-polar and 13 K for tropical climates.

    References
    ----------
    .. [1] ISO 52016-1:2017, table B.19, read; the other climates from memory.

    Examples
    --------
    >>> fixed_11k(-4.0)
    -15.0
    """
    return like(np.asarray(temp_air, dtype=float) - 11.0, temp_air)


def _from_emissivity(emissivity: Numeric, temp_air: Numeric, *others: Numeric | None) -> Numeric:
    kelvin = np.asarray(temp_air, dtype=float) + KELVIN
    return like(np.asarray(emissivity, dtype=float) ** 0.25 * kelvin - KELVIN, temp_air, *others)
