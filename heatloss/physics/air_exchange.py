"""Air that leaks through a house: rules by class, by leakage area and by pressure test, doors, and the heat in it."""

from __future__ import annotations

import math

import numpy as np

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.films import KELVIN
from heatloss.physics.moist_air import CP_AIR, density

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s2], exact."""

STACK = {1: 0.000145, 2: 0.000290, 3: 0.000435}
"""Stack coefficient by storeys [(L/s)^2/(cm4 K)], ASHRAE Handbook of Fundamentals, basic model, from memory."""

WIND = {1: 0.000319, 2: 0.000246, 3: 0.000174, 4: 0.000104, 5: 0.000032}
"""Wind coefficient of one storey by shelter class [(L/s)^2/(cm4 (m/s)^2)], same handbook, from memory."""

SHELTER = {1: 1.0, 2: 0.9, 3: 0.7, 4: 0.5, 5: 0.3}
"""Shelter factor by class [1], ASHRAE Handbook of Fundamentals, enhanced model, from memory."""


def heat_per_ach(volume: Numeric, pressure: Numeric, temp: Numeric, specific_heat: float = CP_AIR) -> Numeric:
    """Loss coefficient of one air change an hour.

    Parameters
    ----------
    volume : numeric
        Volume of air in the house [m3].
    pressure : numeric
        Air pressure [Pa].
    temp : numeric
        Temperature at which the volume is counted, that inside [degC].
    specific_heat : float
        Heat capacity of air [J/(kg K)].

    Returns
    -------
    numeric
        Coefficient for each air change an hour [W/K].

    Raises
    ------
    InputError
        For a volume or pressure that is not above zero.

    Notes
    -----
    V rho c_p / 3600 with the density of dry air. At 1650 m the same leak carries 18 per cent less heat than at the
    sea.

    References
    ----------
    .. [1] Ideal gas; the number below calculated from it.

    Examples
    --------
    >>> round(heat_per_ach(270.0, 101325.0, 20.0), 2)
    90.85
    """
    positive("volume", volume, "m3")
    mass = np.asarray(volume, dtype=float) * np.asarray(density(temp, pressure))
    return like(mass * specific_heat / 3600.0, volume, pressure, temp)


def linear_ach(
    wind_speed: Numeric, *, temperature_difference: Numeric, base: float, wind: float, stack: float
) -> Numeric:
    """Air changes of a class of house, growing with wind and with the temperature difference.

    Parameters
    ----------
    wind_speed : numeric
        Wind at the house [m/s].
    temperature_difference : numeric
        Inside less outdoor temperature; its size counts [K].
    base : float
        Air changes in still air without a difference [1/h].
    wind : float
        Air changes by wind speed [1/h per m/s].
    stack : float
        Air changes by the root of the difference [1/h per K^0.5].

    Returns
    -------
    numeric
        Air changes [1/h].

    Raises
    ------
    InputError
        For a negative wind speed or coefficient.

    Notes
    -----
    base + wind u + stack sqrt(|dT|). Wind terms of 0.05 to 0.25 are plausible.

    References
    ----------
    .. [1] Common form of fits to tracer-gas tests, from memory.

    Examples
    --------
    >>> linear_ach(2.5, temperature_difference=16.0, base=0.25, wind=0.2, stack=0.0625)
    1.0
    """
    positive("wind_speed", wind_speed, "m/s", zero=True)
    for name, value in (("base", base), ("wind", wind), ("stack", stack)):
        positive(name, value, "1/h", zero=True)
    root = np.sqrt(np.abs(np.asarray(temperature_difference, dtype=float)))
    return like(base + wind * np.asarray(wind_speed, dtype=float) + stack * root, wind_speed, temperature_difference)


def leakage_flow(
    leakage_area: float,
    *,
    temperature_difference: Numeric,
    wind_speed: Numeric,
    shelter_class: int = 3,
    storeys: int = 1,
) -> Numeric:
    """Air flow from the effective leakage area, basic model.

    Parameters
    ----------
    leakage_area : float
        Effective leakage area at 4 Pa [m2].
    temperature_difference : numeric
        Inside less outdoor temperature; its size counts [K].
    wind_speed : numeric
        Wind of the weather station [m/s].
    shelter_class : int
        1 (none) to 5 (very heavy) [1].
    storeys : int
        1 to 3; the wind coefficients are those of one storey [1].

    Returns
    -------
    numeric
        Air flow [m3/s].

    Raises
    ------
    InputError
        For an area or wind below zero, or a class or number of storeys out of the table.

    Notes
    -----
    Q = A sqrt(Cs dT + Cw U^2), Q in L/s and A in cm2 as printed, changed here to SI. Sherman and Grimsrud's model.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals, residential infiltration, basic model, from memory.

    Examples
    --------
    >>> round(1000 * leakage_flow(0.05, temperature_difference=20.0, wind_speed=4.0), 2)
    37.7
    """
    positive("leakage_area", leakage_area, "m2", zero=True)
    positive("wind_speed", wind_speed, "m/s", zero=True)
    _in_table("shelter_class", shelter_class, WIND)
    _in_table("storeys", storeys, STACK)
    stack = STACK[storeys] * np.abs(np.asarray(temperature_difference, dtype=float))
    wind = WIND[shelter_class] * np.asarray(wind_speed, dtype=float) ** 2
    return like(leakage_area * 1e4 * np.sqrt(stack + wind) / 1000.0, temperature_difference, wind_speed)


def enhanced_flow(
    coefficient: float,
    *,
    temperature_difference: Numeric,
    wind_speed: Numeric,
    exponent: float = 0.67,
    stack: float = 0.054,
    wind: float = 0.156,
    shelter_class: int = 3,
    wind_share: float = 0.48,
) -> Numeric:
    """Air flow from a pressure test's coefficient, enhanced model.

    Parameters
    ----------
    coefficient : float
        Flow coefficient c of the pressure test [m3/(s Pa^n)].
    temperature_difference : numeric
        Inside less outdoor temperature; its size counts [K].
    wind_speed : numeric
        Wind of the weather station [m/s].
    exponent : float
        Pressure exponent n [1].
    stack : float
        Stack coefficient [(Pa/K)^n]; one storey, slab, no flue when left out.
    wind : float
        Wind coefficient [(Pa s2/m2)^n]; the same.
    shelter_class : int
        1 (none) to 5 (very heavy) [1].
    wind_share : float
        Wind at the eaves over that of the station [1]; one storey when left out.

    Returns
    -------
    numeric
        Air flow [m3/s].

    Raises
    ------
    InputError
        For a coefficient or wind below zero, an exponent outside 0.5 to 1, or a class out of the table.

    Notes
    -----
    Qs = c Cs dT^n, Qw = c Cw (s G U)^(2n), Q = sqrt(Qs^2 + Qw^2).

    References
    ----------
    .. [1] Walker and Wilson 1998 (AIM-2) as in the ASHRAE Handbook of Fundamentals, from memory.

    Examples
    --------
    >>> round(enhanced_flow(0.05, temperature_difference=20.0, wind_speed=4.0), 4)
    0.0232
    """
    positive("coefficient", coefficient, "m3/(s Pa^n)", zero=True)
    positive("wind_speed", wind_speed, "m/s", zero=True)
    between("exponent", exponent, 0.5, 1.0, "1")
    _in_table("shelter_class", shelter_class, SHELTER)
    local = SHELTER[shelter_class] * wind_share * np.asarray(wind_speed, dtype=float)
    by_stack = stack * np.abs(np.asarray(temperature_difference, dtype=float)) ** exponent
    by_wind = wind * local ** (2.0 * exponent)
    return like(coefficient * np.hypot(by_stack, by_wind), temperature_difference, wind_speed)


def ach_from_n50(n50: float, divisor: float = 20.0) -> float:
    """Mean air changes of a winter from a pressure test.

    Parameters
    ----------
    n50 : float
        Air changes at 50 Pa [1/h].
    divisor : float
        What it is divided by [1]: more where sheltered, less where tall or windy.

    Returns
    -------
    float
        Air changes [1/h].

    Raises
    ------
    InputError
        For a negative test result or a divisor that is not above zero.

    Notes
    -----
    n50 / 20, a rule for houses.

    References
    ----------
    .. [1] Rule of pressure testing, from memory.

    Examples
    --------
    >>> ach_from_n50(15.0)
    0.75
    """
    positive("n50", n50, "1/h", zero=True)
    positive("divisor", divisor, "1")
    return n50 / divisor


def stack_pressure(height: float, *, temperature_difference: float, temp: float, pressure: float = 101325.0) -> float:
    """Pressure that warm air of a given height makes.

    Parameters
    ----------
    height : float
        Height between the openings [m].
    temperature_difference : float
        Inside less outdoor temperature [K].
    temp : float
        Outdoor temperature [degC].
    pressure : float
        Air pressure [Pa].

    Returns
    -------
    float
        Pressure [Pa].

    Notes
    -----
    rho g H dT / T_inside, rho that outdoors, T in K.

    References
    ----------
    .. [1] Hydrostatics; the number below calculated from it.

    Examples
    --------
    >>> round(stack_pressure(2.5, temperature_difference=10.0, temp=10.0), 2)
    1.04
    """
    positive("height", height, "m")
    warm = temp + temperature_difference + KELVIN
    return float(density(temp, pressure) * GRAVITY * height * temperature_difference / warm)


def door_flow(
    area: float, *, height: float, temperature_difference: Numeric, temp_mean: float = 0.0, discharge: float = 0.5
) -> Numeric:
    """Air exchanged through an open door by the difference in density.

    Parameters
    ----------
    area : float
        Area of the opening [m2].
    height : float
        Height of the opening [m].
    temperature_difference : numeric
        Inside less outdoor temperature; its size counts [K].
    temp_mean : float
        Mean of inside and outdoor temperature [degC].
    discharge : float
        Discharge coefficient, 0.4 to 0.6 [1].

    Returns
    -------
    numeric
        Air flow while the door is open [m3/s].

    Raises
    ------
    InputError
        For a size that is not above zero or a coefficient outside 0 to 1.

    Notes
    -----
    C A sqrt(g H dT / T) / 3, still air. Ten openings of 20 s a day are 0.01 air changes an hour in a house of 270 m3;
    a door left open is another matter.

    References
    ----------
    .. [1] Two-way flow through a doorway, handbooks of ventilation, from memory.

    Examples
    --------
    >>> round(door_flow(2.0, height=2.0, temperature_difference=20.0), 2)
    0.4
    """
    positive("area", area, "m2")
    positive("height", height, "m")
    between("discharge", discharge, 0.0, 1.0, "1")
    difference = np.abs(np.asarray(temperature_difference, dtype=float))
    speed = np.sqrt(GRAVITY * height * difference / (temp_mean + KELVIN))
    return like(discharge * area * speed / 3.0, temperature_difference)


def door_ach(flow: Numeric, *, openings_per_day: float, seconds: float, volume: float) -> Numeric:
    """Air changes that door openings add, spread over the day.

    Parameters
    ----------
    flow : numeric
        Air flow while open, from :func:`door_flow` [m3/s].
    openings_per_day : float
        Openings [1/d].
    seconds : float
        Time open at each [s].
    volume : float
        Volume of air in the house [m3].

    Returns
    -------
    numeric
        Air changes [1/h].

    Raises
    ------
    InputError
        For a count or time below zero, or a volume that is not above zero.

    Notes
    -----
    flow seconds openings / (24 volume).

    References
    ----------
    .. [1] Arithmetic; the number below calculated from it.

    Examples
    --------
    >>> round(door_ach(0.39, openings_per_day=10, seconds=20, volume=270.0), 3)
    0.012
    """
    positive("openings_per_day", openings_per_day, "1/d", zero=True)
    positive("seconds", seconds, "s", zero=True)
    positive("volume", volume, "m3")
    return like(np.asarray(flow, dtype=float) * seconds * openings_per_day / (24.0 * volume), flow)


def _in_table(name: str, value: int, table: dict[int, float]) -> None:
    if value not in table or not math.isfinite(value):
        raise InputError(f"{name} must be a whole number from {min(table)} to {max(table)} [1], got {value}.")
