"""Water in a house: tanks as stores, the film of their walls, evaporation, and the heat of freezing."""

from __future__ import annotations

import math

import numpy as np

from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.films import natural_convection, radiant_coefficient
from heatloss.physics.moist_air import CP_AIR, LEWIS, humidity_ratio, latent_heat, saturation_pressure

VOLUMETRIC_HEAT = 4.186e6
"""Heat of water by volume and kelvin [J/(m3 K)], common practice, no source."""

FREEZING_HEAT = 3.337e8
"""Heat that freezes a cubic metre of water [J/m3], 92.7 kWh; tables of physics, from memory."""


def tank_capacity(volume: Numeric) -> Numeric:
    """Heat that a tank stores by kelvin, unfrozen.

    Parameters
    ----------
    volume : numeric
        Volume of water [m3].

    Returns
    -------
    numeric
        Capacity [J/K].

    Raises
    ------
    InputError
        For a negative volume.

    Notes
    -----
    4.186e6 V; walls, gravel and fish left out.

    References
    ----------
    .. [1] Tables of physics, from memory.

    Examples
    --------
    >>> tank_capacity(1.0)
    4186000.0
    """
    positive("volume", volume, "m3", zero=True)
    return like(VOLUMETRIC_HEAT * np.asarray(volume, dtype=float), volume)


def tank_areas(volume: float, *, aspect: float = 1.0) -> tuple[float, float]:
    """Top and side of an upright round tank.

    Parameters
    ----------
    volume : float
        Volume of water [m3].
    aspect : float
        Height over diameter [1].

    Returns
    -------
    top, side : float
        Area of the water's surface and of the wall [m2]; the bottom is as large as the top.

    Raises
    ------
    InputError
        For a value that is not above zero.

    Notes
    -----
    d = (4 V / (pi aspect))^(1/3).

    References
    ----------
    .. [1] Geometry of a cylinder; the number below calculated from it.

    Examples
    --------
    >>> [round(x, 3) for x in tank_areas(1.0)]
    [0.923, 3.691]
    """
    positive("volume", volume, "m3")
    positive("aspect", aspect, "1")
    diameter = (4.0 * volume / (math.pi * aspect)) ** (1.0 / 3.0)
    return math.pi * diameter**2 / 4.0, math.pi * diameter**2 * aspect


def tank_side_coefficient(
    temp_water: Numeric, *, temp_air: Numeric, emissivity: float = 0.9, wall_resistance: float = 0.0
) -> Numeric:
    """Coefficient of a tank's side towards the room, convection and long wave together.

    Parameters
    ----------
    temp_water : numeric
        Water temperature [degC].
    temp_air : numeric
        Temperature of air and surroundings [degC].
    emissivity : float
        Emissivity of the wall [1].
    wall_resistance : float
        Resistance of wall and insulation [m2 K/W].

    Returns
    -------
    numeric
        Coefficient [W/(m2 K)].

    Raises
    ------
    InputError
        For an emissivity outside 0 to 1 or a negative resistance.

    Notes
    -----
    1 / (R + 1 / (1.31 dT^(1/3) + e sigma (T1^2 + T2^2)(T1 + T2))), still air; the film on the water side is left out.
    Bare barrels come to 6 to 8.

    References
    ----------
    .. [1] Walton 1983 for a vertical surface, from memory.

    Examples
    --------
    >>> round(tank_side_coefficient(15.0, temp_air=10.0), 1)
    7.0
    """
    between("emissivity", emissivity, 0.0, 1.0, "1")
    positive("wall_resistance", wall_resistance, "m2 K/W", zero=True)
    difference = np.abs(np.asarray(temp_water, dtype=float) - np.asarray(temp_air, dtype=float))
    still = natural_convection(0.0)[0] * np.cbrt(difference)
    film = still + emissivity * np.asarray(radiant_coefficient(temp_water, temp_air))
    return like(1.0 / (wall_resistance + 1.0 / np.maximum(film, 1e-12)), temp_water, temp_air)


def evaporation(temp_water: Numeric, *, ratio: Numeric, convection: Numeric, pressure: Numeric) -> Numeric:
    """Water that evaporates from a still surface.

    Parameters
    ----------
    temp_water : numeric
        Temperature of the water's surface [degC].
    ratio : numeric
        Humidity ratio of the air [kg/kg].
    convection : numeric
        Convection coefficient at the surface [W/(m2 K)].
    pressure : numeric
        Air pressure [Pa].

    Returns
    -------
    numeric
        Evaporation, zero where the air is the moister [kg/(m2 s)].

    Notes
    -----
    h_c / (c_p Le^(2/3)) (w_s - w), the Lewis analogy with Le = 0.87.

    References
    ----------
    .. [1] Handbooks of heat transfer, from memory.

    Examples
    --------
    >>> w = humidity_ratio(10.0, 80.0, 101325.0)
    >>> round(3600 * evaporation(15.0, ratio=w, convection=3.0, pressure=101325.0), 4)
    0.0537
    """
    wet = np.asarray(humidity_ratio(temp_water, 100.0, pressure))
    flux = np.asarray(convection, dtype=float) / (CP_AIR * LEWIS) * (wet - np.asarray(ratio, dtype=float))
    return like(np.maximum(flux, 0.0), temp_water, ratio, convection, pressure)


def pool_evaporation(temp_water: Numeric, *, vapour: Numeric, air_speed: float = 0.1, activity: float = 1.0) -> Numeric:
    """Water that evaporates from a pool, an upper bound for tanks.

    Parameters
    ----------
    temp_water : numeric
        Temperature of the water's surface [degC].
    vapour : numeric
        Vapour pressure of the air [Pa].
    air_speed : float
        Speed of the air over the water [m/s].
    activity : float
        1 for water in use, 0.5 for a pool at rest [1].

    Returns
    -------
    numeric
        Evaporation [kg/(m2 s)].

    Raises
    ------
    InputError
        For a negative speed or activity.

    Notes
    -----
    activity (0.089 + 0.0782 v)(p_w - p_a) / latent heat, zero where the air is the moister.

    References
    ----------
    .. [1] ASHRAE Handbook, HVAC Applications, natatoriums, from memory.

    Examples
    --------
    >>> round(3600 * pool_evaporation(15.0, vapour=0.8 * saturation_pressure(10.0)), 3)
    0.102
    """
    positive("air_speed", air_speed, "m/s", zero=True)
    positive("activity", activity, "1", zero=True)
    gap = np.maximum(np.asarray(saturation_pressure(temp_water)) - np.asarray(vapour, dtype=float), 0.0)
    flux = activity * (0.089 + 0.0782 * air_speed) * gap / np.asarray(latent_heat(temp_water))
    return like(flux, temp_water, vapour)
