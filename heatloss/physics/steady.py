"""Steady sums: design load by two standards, degree-hours and bins, extreme minima, time to cool down."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive

EULER = 0.5772156649015329
"""Euler's constant [1]."""


def en_12831_load(
    areas: Sequence[float],
    *,
    u_values: Sequence[float],
    temp_inside: float,
    temp_outside: float,
    temp_mean: float,
    volume: float,
    ach: float,
    floor_area: float = 0.0,
    floor_u: float = 0.0,
    bridge: float = 0.1,
    ground_water: float = 1.0,
    reheat: float = 0.0,
) -> float:
    """Design load by EN 12831-1.

    Parameters
    ----------
    areas : sequence
        Areas towards outdoors [m2].
    u_values : sequence
        Transmittance of each [W/(m2 K)].
    temp_inside, temp_outside : float
        Inside and design outdoor temperature [degC].
    temp_mean : float
        Yearly mean outdoors [degC].
    volume : float
        Volume of air [m3].
    ach : float
        Air changes, at least 0.5 by the standard [1/h].
    floor_area : float
        Floor on the ground [m2].
    floor_u : float
        Transmittance of the floor with the ground in it, by ISO 13370 [W/(m2 K)].
    bridge : float
        Allowance for thermal bridges, 0.05 to 0.10 [W/(m2 K)].
    ground_water : float
        1.0, or 1.15 where ground water is near [1].
    reheat : float
        Extra power after a setback, by floor area [W/m2].

    Returns
    -------
    float
        Load [W].

    Raises
    ------
    InputError
        For lists of unlike length, or an inside temperature that is not above the outdoor one.

    Notes
    -----
    sum A (U + bridge) dT + 0.34 n V dT + 1.45 f_ig f_gw A U_floor dT + reheat A, with
    f_ig = (Ti - Tmean) / (Ti - To). No sun, no stored heat: such sums carry a hidden margin of 15 to 25 per cent.

    References
    ----------
    .. [1] EN 12831-1:2017, from memory.

    Examples
    --------
    >>> round(en_12831_load([209.4], u_values=[3.5], temp_inside=10.0, temp_outside=-20.0, temp_mean=8.0, volume=270.0,
    ...                     ach=1.0, floor_area=100.02, floor_u=0.74351))
    25585
    """
    difference = _difference(temp_inside, temp_outside)
    walls = _ua(areas, u_values) + bridge * float(np.sum(areas))
    air = 0.34 * ach * volume
    ground = 1.45 * ground_water * floor_area * floor_u * (temp_inside - temp_mean)
    return (walls + air) * difference + ground + reheat * floor_area


def ep406_load(
    areas: Sequence[float],
    *,
    u_values: Sequence[float],
    temp_inside: float,
    temp_outside: float,
    volume: float,
    ach: float,
    perimeter: float = 0.0,
    perimeter_factor: float = 1.35,
    air_factor: float = 0.5,
) -> float:
    """Design load by the greenhouse practice ANSI/ASAE EP406.

    Parameters
    ----------
    areas : sequence
        Areas towards outdoors [m2].
    u_values : sequence
        Transmittance of each, films for a wind of 6.7 m/s in it [W/(m2 K)].
    temp_inside, temp_outside : float
        Inside and design outdoor temperature [degC].
    volume : float
        Volume of air [m3].
    ach : float
        Air changes [1/h].
    perimeter : float
        Edge of the floor [m].
    perimeter_factor : float
        Loss of the edge, 0.5 insulated to 1.4 bare [W/(m K)].
    air_factor : float
        Heat of a cubic metre of air by kelvin and hour, its moisture in it [W h/(m3 K)].

    Returns
    -------
    float
        Load [W].

    Raises
    ------
    InputError
        For lists of unlike length, or an inside temperature that is not above the outdoor one.

    Notes
    -----
    (sum A U + 0.5 V N + F P) dT. The factor 0.5 stands for the practice's sum of sensible and latent heat; dry air at
    the sea has 0.335.

    References
    ----------
    .. [1] ANSI/ASAE EP406.4, formulas from memory (title page read).

    Examples
    --------
    >>> round(ep406_load([209.4], u_values=[3.5], temp_inside=10.0, temp_outside=-20.0, volume=270.0, ach=1.0,
    ...                  perimeter=45.3))
    27872
    """
    difference = _difference(temp_inside, temp_outside)
    return (_ua(areas, u_values) + air_factor * volume * ach + perimeter_factor * perimeter) * difference


def _difference(inside: float, outside: float) -> float:
    if not inside > outside:
        raise InputError(f"temp_inside must be above temp_outside [degC], got {inside:g} against {outside:g}.")
    return inside - outside


def _ua(areas: Sequence[float], u_values: Sequence[float]) -> float:
    if len(areas) != len(u_values):
        raise InputError(f"u_values must be as many as areas [1], got {len(u_values)} and {len(areas)}.")
    positive("areas", areas, "m2", zero=True)
    positive("u_values", u_values, "W/(m2 K)", zero=True)
    return float(np.dot(areas, u_values))


def degree_hours(temp_air: Numeric, *, base: float, step_hours: float = 1.0) -> float:
    """Sum of what the outdoor temperature lacks to a base.

    Parameters
    ----------
    temp_air : numeric
        Outdoor temperatures at even steps [degC].
    base : float
        Base temperature [degC].
    step_hours : float
        Length of a step [h].

    Returns
    -------
    float
        Degree-hours [K h].

    Raises
    ------
    InputError
        For a step that is not above zero, or a temperature that is missing.

    Notes
    -----
    sum max(0, base - T) step. Degree-days of weather services come from daily means and are fewer.

    References
    ----------
    .. [1] Definition.

    Examples
    --------
    >>> degree_hours(np.array([0.0, 12.0, 5.0]), base=10.0)
    15.0
    """
    positive("step_hours", step_hours, "h")
    between("temp_air", temp_air, -100.0, 100.0, "degC")
    return float(np.sum(np.maximum(base - np.asarray(temp_air, dtype=float), 0.0)) * step_hours)


def balance_temperature(setpoint: float, *, gains: float, ua: float) -> float:
    """Outdoor temperature above which gains alone hold the setpoint.

    Parameters
    ----------
    setpoint : float
        Inside temperature [degC].
    gains : float
        Mean gains of sun and machines [W].
    ua : float
        Loss coefficient [W/K].

    Returns
    -------
    float
        Balance temperature [degC].

    Raises
    ------
    InputError
        For a loss coefficient that is not above zero.

    Notes
    -----
    setpoint - gains / UA. A mean gain stands for a daily one only where the house stores the day's sun.

    References
    ----------
    .. [1] Handbooks of heating, degree-day method, from memory.

    Examples
    --------
    >>> balance_temperature(10.0, gains=2000.0, ua=500.0)
    6.0
    """
    positive("ua", ua, "W/K")
    return setpoint - gains / ua


def degree_day_heat(ua: float, degree_days: float) -> float:
    """Season's heat from degree-days.

    Parameters
    ----------
    ua : float
        Loss coefficient [W/K].
    degree_days : float
        Degree-days to the balance temperature [K d].

    Returns
    -------
    float
        Heat [kWh].

    Raises
    ------
    InputError
        For a negative value.

    Notes
    -----
    24 UA D / 1000.

    References
    ----------
    .. [1] Handbooks of heating, degree-day method, from memory.

    Examples
    --------
    >>> degree_day_heat(500.0, 1000.0)
    12000.0
    """
    positive("ua", ua, "W/K", zero=True)
    positive("degree_days", degree_days, "K d", zero=True)
    return 24.0 * ua * degree_days / 1000.0


def bin_heat(hours: Sequence[float], *, temperatures: Sequence[float], balance: float, ua: float) -> float:
    """Season's heat from hours counted in temperature bins.

    Parameters
    ----------
    hours : sequence
        Hours in each bin [h].
    temperatures : sequence
        Middle of each bin [degC].
    balance : float
        Balance temperature [degC].
    ua : float
        Loss coefficient [W/K].

    Returns
    -------
    float
        Heat [kWh].

    Raises
    ------
    InputError
        For lists of unlike length or a negative value.

    Notes
    -----
    sum hours UA max(0, balance - T) / 1000.

    References
    ----------
    .. [1] Handbooks of heating, bin method, from memory.

    Examples
    --------
    >>> bin_heat([100.0, 50.0], temperatures=[0.0, -10.0], balance=5.0, ua=500.0)
    625.0
    """
    if len(hours) != len(temperatures):
        raise InputError(f"temperatures must be as many as hours [1], got {len(temperatures)} and {len(hours)}.")
    positive("hours", hours, "h", zero=True)
    positive("ua", ua, "W/K", zero=True)
    lack = np.maximum(balance - np.asarray(temperatures, dtype=float), 0.0)
    return float(np.dot(hours, lack) * ua / 1000.0)


def extreme_minimum(mean: float, *, deviation: float, years: float) -> float:
    """Lowest temperature to expect once in a number of years.

    Parameters
    ----------
    mean : float
        Mean of the yearly minima [degC].
    deviation : float
        Their standard deviation [K].
    years : float
        Return period, above 1 [year].

    Returns
    -------
    float
        Minimum [degC].

    Raises
    ------
    InputError
        For a period that is not above 1 or a negative deviation.

    Notes
    -----
    mean + s (sqrt(6)/pi)(0.5772 + ln ln(n / (n - 1))), the extreme-value law of Gumbel.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals, climatic design information, return periods, from memory.

    Examples
    --------
    >>> round(extreme_minimum(-22.3, deviation=3.8, years=20), 1)
    -29.4
    """
    positive("deviation", deviation, "K", zero=True)
    if not years > 1.0:
        raise InputError(f"years must be above 1 [year], got {years:g}.")
    return mean + deviation * math.sqrt(6.0) / math.pi * (EULER + math.log(math.log(years / (years - 1.0))))


def cooling_time(capacity: Numeric, *, ua: float, start: float, outside: float, limit: float = 0.0) -> Numeric:
    """Time in which a house without heat cools to a limit.

    Parameters
    ----------
    capacity : numeric
        Heat stored by kelvin, all at one temperature [J/K].
    ua : float
        Loss coefficient [W/K].
    start : float
        Temperature at the start [degC].
    outside : float
        Outdoor temperature, steady [degC].
    limit : float
        Temperature to be reached [degC].

    Returns
    -------
    numeric
        Time [s]; zero where it starts at the limit or below, infinite where outdoors is not below the limit.

    Raises
    ------
    InputError
        For a capacity or loss coefficient that is not above zero.

    Notes
    -----
    (C / UA) ln((start - outside) / (limit - outside)). Soil and water give their heat more slowly than this one lump:
    an upper bound.

    References
    ----------
    .. [1] Newton's law of cooling; the number below calculated from it.

    Examples
    --------
    >>> round(cooling_time(27.57e6, ua=600.0, start=10.0, outside=-20.0) / 3600, 1)
    5.2
    """
    positive("capacity", capacity, "J/K")
    positive("ua", ua, "W/K")
    if start <= limit:
        ratio = 0.0
    elif outside >= limit:
        ratio = math.inf
    else:
        ratio = math.log((start - outside) / (limit - outside))
    return like(np.asarray(capacity, dtype=float) / ua * ratio, capacity)
