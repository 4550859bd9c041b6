"""Oxygen in the water of a fish tank: what it holds, and how long it lasts when the air pump stops."""

from __future__ import annotations

import math

import numpy as np

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive

CRITICAL = 4.0
"""Below this most farmed fish are in distress [mg/L]; aquaculture texts, from memory."""
DOUBLES_EVERY = 10.0
"""Warming that doubles a fish's uptake [K]; metabolism doubles every 10 degC (read)."""
TRANSFER = 0.5
"""Oxygen that a small air pump with its stones brings into the water [kg/kWh]; aquaculture texts, from memory."""


def oxygen_saturation(temp_water: Numeric, *, pressure: float = 101325.0) -> Numeric:
    """Oxygen that fresh water holds under air.

    Parameters
    ----------
    temp_water : numeric
        Water temperature, 0 to 40 [degC].
    pressure : float
        Air pressure [Pa].

    Returns
    -------
    numeric
        Dissolved oxygen [mg/L].

    Raises
    ------
    InputError
        For a temperature outside 0 to 40, or a pressure that is not above zero.

    Notes
    -----
    (14.652 - 0.41022 t + 0.0079910 t^2 - 0.000077774 t^3) p / 101325.

    References
    ----------
    .. [1] Elmore and Hayes 1960, solubility of oxygen in water, polynomial, from memory.

    Examples
    --------
    >>> round(oxygen_saturation(20.0), 2)
    9.02
    """
    between("temp_water", temp_water, 0.0, 40.0, "degC")
    positive("pressure", pressure, "Pa")
    t = np.asarray(temp_water, dtype=float)
    return like((14.652 + t * (-0.41022 + t * (0.0079910 - 0.000077774 * t))) * pressure / 101325.0, temp_water)


def oxygen_uptake(uptake: float, *, temp_water: float, temp_rated: float) -> float:
    """A fish's uptake of oxygen at another temperature of the water.

    Parameters
    ----------
    uptake : float
        Uptake at the rated temperature [mg/(kg h)].
    temp_water, temp_rated : float
        Water, and the temperature the uptake is stated for [degC].

    Returns
    -------
    float
        Uptake [mg/(kg h)].

    Raises
    ------
    InputError
        For an uptake that is not above zero.

    Notes
    -----
    uptake x 2^((T - T_rated) / 10). Fed, frightened or crowded fish take up to twice as much.

    References
    ----------
    .. [1] Metabolism of fish doubles every 10 degC: a page on farmed fish, read.

    Examples
    --------
    >>> oxygen_uptake(150.0, temp_water=10.0, temp_rated=20.0)
    75.0
    """
    positive("uptake", uptake, "mg/(kg h)")
    return float(uptake * 2.0 ** ((temp_water - temp_rated) / DOUBLES_EVERY))


def oxygen_time(oxygen: float, *, stocking: float, uptake: float, critical: float = CRITICAL) -> float:
    """Time until fish have used the oxygen of still water down to a limit.

    Parameters
    ----------
    oxygen : float
        In the water at the start [mg/L].
    stocking : float
        Weight of fish per volume [kg/m3].
    uptake : float
        At the water's temperature [mg/(kg h)].
    critical : float
        Oxygen at which they are in distress [mg/L].

    Returns
    -------
    float
        Time [h]; 0 where it starts below the limit, infinite without fish.

    Raises
    ------
    InputError
        For a negative value, or an uptake that is not above zero.

    Notes
    -----
    1000 (O - O_critical) / (stocking uptake). What filters, plants and mud use is left out, and what the still surface
    takes in.

    References
    ----------
    .. [1] Arithmetic; the number below: (9 - 4) mg/L at 30 kg/m3 and 100 to 200 mg/(kg h) is 0.8 to 1.7 h, calculated.

    Examples
    --------
    >>> round(oxygen_time(9.0, stocking=30.0, uptake=200.0), 2), round(oxygen_time(9.0, stocking=30.0, uptake=100.0), 2)
    (0.83, 1.67)
    """
    positive("oxygen", oxygen, "mg/L", zero=True)
    positive("stocking", stocking, "kg/m3", zero=True)
    positive("uptake", uptake, "mg/(kg h)")
    if not stocking > 0.0:
        return math.inf
    return max(0.0, 1000.0 * (oxygen - critical) / (stocking * uptake))


def aeration_power(fish: float, *, uptake: float, transfer: float = TRANSFER) -> float:
    """Power of an air pump that brings in what fish use.

    Parameters
    ----------
    fish : float
        Their weight [kg].
    uptake : float
        At the water's temperature [mg/(kg h)].
    transfer : float
        Oxygen brought in by energy spent [kg/kWh].

    Returns
    -------
    float
        Power [W].

    Raises
    ------
    InputError
        For a weight below zero, or another value that is not above zero.

    Notes
    -----
    fish uptake / 1e6 / transfer x 1000.

    References
    ----------
    .. [1] Aquaculture texts, diffused air in shallow tanks 0.3 to 0.9 kg/kWh in the field, from memory.

    Examples
    --------
    >>> aeration_power(100.0, uptake=150.0)
    30.0
    """
    positive("fish", fish, "kg", zero=True)
    positive("uptake", uptake, "mg/(kg h)")
    if not transfer > 0.0:
        raise InputError(f"transfer must be above 0 [kg/kWh], got {transfer:g}.")
    return fish * uptake / 1e6 / transfer * 1000.0
