"""Moist air: saturation over water and ice, humidity, density, pressure at altitude, and condensation on a surface."""

from __future__ import annotations

import numpy as np

from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.films import KELVIN

R_DRY_AIR = 287.042
"""Gas constant of dry air [J/(kg K)], ASHRAE Handbook of Fundamentals 2017 chapter 1, from memory."""

CP_AIR = 1006.0
"""Heat capacity of dry air [J/(kg K)], ASHRAE Handbook of Fundamentals 2017 chapter 1, from memory."""

MASS_RATIO = 0.621945
"""Molar mass of water by that of dry air [1]."""

LEWIS = 0.87 ** (2.0 / 3.0)
"""Le^(2/3) of water vapour in air [1], Le 0.87, handbooks of heat transfer, from memory."""

_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def saturation_pressure(temp: Numeric, over: str = "either") -> Numeric:
    """Vapour pressure of saturated air.

    Parameters
    ----------
    temp : numeric
        Temperature, -100 to 200 [degC].
    over : str
        ``"either"`` is over ice up to the triple point, 0.01 degC, and over water from there; ``"water"`` and
        ``"ice"`` name one.

    Returns
    -------
    numeric
        Pressure [Pa].

    Raises
    ------
    InputError
        For a temperature outside the range.

    Notes
    -----
    ln p = C1/T + C2 + C3 T + C4 T^2 + C5 T^3 + C6 T^4 + C7 ln T, T in K. Water below freezing stays liquid on many a
    surface, yet over ice the pressure is 10 % lower at -10 degC.

    References
    ----------
    .. [1] Hyland and Wexler 1983 as in the ASHRAE Handbook of Fundamentals 2017, chapter 1, equations 5 and 6, from
       memory.

    Examples
    --------
    >>> round(saturation_pressure(20.0), 3), round(saturation_pressure(-10.0), 3)
    (2338.804, 259.903)
    """
    between("temp", temp, -100.0, 200.0, "degC")
    t = np.asarray(temp, dtype=float)
    kelvin = t + KELVIN

    def pressure(c: tuple[float, ...]) -> Numeric:
        power = c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * (c[4] + kelvin * c[5])))
        return np.exp(c[0] / kelvin + power + c[6] * np.log(kelvin))

    if over == "water":
        return like(pressure(_WATER), temp)
    if over == "ice":
        return like(pressure(_ICE), temp)
    return like(np.where(t <= 0.01, pressure(_ICE), pressure(_WATER)), temp)


def humidity_ratio(temp: Numeric, relative_humidity: Numeric, pressure: Numeric) -> Numeric:
    """Water in air, as mass of vapour per mass of dry air.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    relative_humidity : numeric
        Relative humidity, 0 to 100 [%].
    pressure : numeric
        Air pressure [Pa].

    Returns
    -------
    numeric
        Humidity ratio [kg/kg].

    Raises
    ------
    InputError
        For a humidity outside 0 to 100 or a pressure that is not above zero.

    Notes
    -----
    0.621945 p_w / (p - p_w).

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 20, from memory.

    Examples
    --------
    >>> round(humidity_ratio(20.0, 50.0, 101325.0), 8)
    0.00726174
    """
    between("relative_humidity", relative_humidity, 0.0, 100.0, "%")
    positive("pressure", pressure, "Pa")
    vapour = np.asarray(relative_humidity, dtype=float) / 100.0 * np.asarray(saturation_pressure(temp), dtype=float)
    return like(MASS_RATIO * vapour / (np.asarray(pressure, dtype=float) - vapour), temp, relative_humidity, pressure)


def vapour_pressure(ratio: Numeric, pressure: Numeric) -> Numeric:
    """Vapour pressure that goes with a humidity ratio.

    Parameters
    ----------
    ratio : numeric
        Humidity ratio [kg/kg].
    pressure : numeric
        Air pressure [Pa].

    Returns
    -------
    numeric
        Vapour pressure [Pa].

    Notes
    -----
    p w / (0.621945 + w), the inverse of :func:`humidity_ratio`.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 36, from memory.

    Examples
    --------
    >>> round(vapour_pressure(0.00726174, 101325.0), 1)
    1169.4
    """
    w = np.asarray(ratio, dtype=float)
    return like(np.asarray(pressure, dtype=float) * w / (MASS_RATIO + w), ratio, pressure)


def dew_point(vapour: Numeric, over: str = "either") -> Numeric:
    """Temperature at which air of a given vapour pressure is saturated.

    Parameters
    ----------
    vapour : numeric
        Vapour pressure [Pa], of temperatures from -90 to 150 degC.
    over : str
        ``"either"`` gives a frost point below freezing; ``"water"`` stays over water, as weather services report it.

    Returns
    -------
    numeric
        Dew point [degC].

    Raises
    ------
    InputError
        For a pressure that is not above zero.

    Notes
    -----
    :func:`saturation_pressure` inverted by Newton steps on its logarithm from a Magnus start.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, from memory.

    Examples
    --------
    >>> round(dew_point(1169.402), 3)
    9.272
    """
    positive("vapour", vapour, "Pa")
    target = np.log(np.asarray(vapour, dtype=float))
    icy = (target <= np.log(saturation_pressure(0.01, "ice"))) & (over != "water")
    c = [np.where(icy, ice, water) for ice, water in zip(_ICE, _WATER, strict=True)]
    magnus = target - np.log(611.2)
    t = np.clip(243.12 * magnus / (17.62 - magnus), -99.0, 199.0)
    for _ in range(12):
        k = t + KELVIN
        value = c[0] / k + c[1] + k * (c[2] + k * (c[3] + k * (c[4] + k * c[5]))) + c[6] * np.log(k)
        slope = -c[0] / k**2 + c[2] + k * (2 * c[3] + k * (3 * c[4] + k * 4 * c[5])) + c[6] / k
        t = np.clip(t - (value - target) / slope, -99.0, 199.0)
    return like(t, vapour)


def relative_humidity(temp: Numeric, temp_dew: Numeric) -> Numeric:
    """Relative humidity from air temperature and dew point.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    temp_dew : numeric
        Dew point [degC].

    Returns
    -------
    numeric
        Relative humidity, over ice below freezing [%].

    Notes
    -----
    100 p_ws(dew point) / p_ws(air). Meteorological services count it over water at all temperatures; below freezing
    theirs is the lower.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 22, from memory.

    Examples
    --------
    >>> round(relative_humidity(20.0, 9.272), 1)
    50.0
    """
    share = np.asarray(saturation_pressure(temp_dew)) / np.asarray(saturation_pressure(temp))
    return like(100.0 * share, temp, temp_dew)


def enthalpy(temp: Numeric, ratio: Numeric) -> Numeric:
    """Heat content of moist air above dry air at 0 degC.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    ratio : numeric
        Humidity ratio [kg/kg].

    Returns
    -------
    numeric
        Enthalpy [J/kg of dry air].

    Notes
    -----
    1006 t + w (2501000 + 1860 t).

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 30, from memory.

    Examples
    --------
    >>> round(enthalpy(20.0, 0.00726174))
    38552
    """
    t = np.asarray(temp, dtype=float)
    return like(CP_AIR * t + np.asarray(ratio, dtype=float) * (2.501e6 + 1860.0 * t), temp, ratio)


def wet_bulb(temp: float, ratio: float, pressure: float) -> float:
    """Wet-bulb temperature of air above freezing or below, by the psychrometer's balance.

    Parameters
    ----------
    temp : float
        Air temperature [degC].
    ratio : float
        Humidity ratio [kg/kg].
    pressure : float
        Air pressure [Pa].

    Returns
    -------
    float
        Wet-bulb temperature [degC].

    Notes
    -----
    Halved down between 100 K below the air and the air on
    w = ((2501 - 2.326 tw) ws(tw) - 1.006 (t - tw)) / (2501 + 1.86 t - 4.186 tw), below freezing
    ((2830 - 0.24 tw) ws(tw) - 1.006 (t - tw)) / (2830 + 1.86 t - 2.1 tw).

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equations 33 and 35, from memory.

    Examples
    --------
    >>> round(wet_bulb(20.0, 0.00726174, 101325.0), 3)
    13.784
    """

    def of(tw: float) -> float:
        ws = humidity_ratio(tw, 100.0, pressure)
        if tw >= 0.0:
            held = (2501.0 - 2.326 * tw) * ws - 1.006 * (temp - tw)
            return float(held / (2501.0 + 1.86 * temp - 4.186 * tw))
        return float(((2830.0 - 0.24 * tw) * ws - 1.006 * (temp - tw)) / (2830.0 + 1.86 * temp - 2.1 * tw))

    low, high = max(temp - 100.0, -100.0), temp
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if of(middle) < ratio else (low, middle)
    return 0.5 * (low + high)


def density(temp: Numeric, pressure: Numeric, ratio: Numeric = 0.0) -> Numeric:
    """Mass of moist air per volume.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    pressure : numeric
        Air pressure [Pa].
    ratio : numeric
        Humidity ratio [kg/kg].

    Returns
    -------
    numeric
        Density of the mixture [kg/m3].

    Raises
    ------
    InputError
        For a pressure that is not above zero.

    Notes
    -----
    p (1 + w) / (R T (1 + 1.607858 w)), an ideal gas.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equations 26 and 11, from memory.

    Examples
    --------
    >>> round(density(20.0, 101325.0), 4)
    1.2042
    """
    positive("pressure", pressure, "Pa")
    w = np.asarray(ratio, dtype=float)
    specific = R_DRY_AIR * (np.asarray(temp, dtype=float) + KELVIN) * (1.0 + 1.607858 * w)
    return like(np.asarray(pressure, dtype=float) * (1.0 + w) / specific, temp, pressure, ratio)


def standard_pressure(altitude: Numeric) -> Numeric:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : numeric
        Height above the sea, -500 to 11000 [m].

    Returns
    -------
    numeric
        Pressure [Pa].

    Raises
    ------
    InputError
        For a height outside the range.

    Notes
    -----
    101325 (1 - 2.25577e-5 z)^5.2559.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 3, from memory.

    Examples
    --------
    >>> round(standard_pressure(1650.0))
    83011
    """
    between("altitude", altitude, -500.0, 11000.0, "m")
    return like(101325.0 * (1.0 - 2.25577e-5 * np.asarray(altitude, dtype=float)) ** 5.2559, altitude)


def latent_heat(temp: Numeric) -> Numeric:
    """Heat that evaporates a kilogram of water.

    Parameters
    ----------
    temp : numeric
        Temperature, 0 to 100 [degC].

    Returns
    -------
    numeric
        Latent heat [J/kg].

    Notes
    -----
    2.501e6 - 2361 t, a straight line.

    References
    ----------
    .. [1] Handbooks of meteorology, from memory.

    Examples
    --------
    >>> latent_heat(10.0)
    2477390.0
    """
    return like(2.501e6 - 2361.0 * np.asarray(temp, dtype=float), temp)


def condensation(
    temp_surface: Numeric, *, ratio: Numeric, convection: Numeric, pressure: Numeric = 101325.0
) -> Numeric:
    """Water that condenses from air on a colder surface.

    Parameters
    ----------
    temp_surface : numeric
        Temperature of the surface [degC].
    ratio : numeric
        Humidity ratio of the air [kg/kg].
    convection : numeric
        Convection coefficient at the surface [W/(m2 K)].
    pressure : numeric
        Air pressure [Pa].

    Returns
    -------
    numeric
        Condensate, zero where the surface is above the dew point [kg/(m2 s)].

    Notes
    -----
    h_c / (c_p Le^(2/3)) max(0, w - w_s), the Lewis analogy with Le = 0.87, so Le^(2/3) = 0.911.

    References
    ----------
    .. [1] Handbooks of heat transfer, from memory.

    Examples
    --------
    >>> w = humidity_ratio(12.0, 90.0, 101325.0)
    >>> round(3600 * condensation(4.0, ratio=w, convection=4.0), 4)
    0.0442
    """
    saturated = np.asarray(humidity_ratio(temp_surface, 100.0, pressure))
    flux = np.asarray(convection, dtype=float) / (CP_AIR * LEWIS) * (np.asarray(ratio, dtype=float) - saturated)
    return like(np.maximum(flux, 0.0), temp_surface, ratio, convection, pressure)
