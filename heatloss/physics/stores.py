"""Odd stores and sources: air through buried pipes, compost that decays, a masonry heater's body."""

from __future__ import annotations

import math

import numpy as np

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric

CONDUCTIVITY_AIR, VISCOSITY_AIR, PRANDTL_AIR = 0.025, 1.8e-5, 0.71
LAMINAR, TURBULENT = 2300.0, 4000.0


def pipe_film(mass_flow: float, diameter: float) -> float:
    """Film inside one round pipe.

    Parameters
    ----------
    mass_flow : float [kg/s]
        Of air through one pipe, above 0.
    diameter : float [m]

    Returns
    -------
    float [W/(m2 K)]

    Raises
    ------
    InputError
        For a flow or a diameter that is not above 0.

    Notes
    -----
    Nu = 3.66 below Re 2300, 0.023 Re^0.8 Pr^0.4 (Dittus and Boelter) above 4000, a straight line between. Smooth pipe,
    air near 15 degC; ribs of drain pipe raise it, and are not counted.

    References
    ----------
    Dittus and Boelter 1930, from memory.

    Examples
    --------
    >>> round(pipe_film(0.03, 0.1), 2)
    14.51
    """
    _above(mass_flow, "mass_flow", "kg/s")
    _above(diameter, "diameter", "m")
    reynolds = 4.0 * mass_flow / (math.pi * diameter * VISCOSITY_AIR)

    def turbulent(re: float) -> float:
        return 0.023 * float(re**0.8) * float(PRANDTL_AIR**0.4)

    between = (min(max(reynolds, LAMINAR), TURBULENT) - LAMINAR) / (TURBULENT - LAMINAR)
    nusselt = 3.66 + between * (turbulent(max(reynolds, TURBULENT)) - 3.66)
    return nusselt * CONDUCTIVITY_AIR / diameter


def exchange_conductance(heat_flow: float, film_area: float) -> float:
    """Conductance between air as it enters a pipe and the pipe's wall at one temperature.

    Parameters
    ----------
    heat_flow : float [W/K]
        Mass flow times specific heat, above 0.
    film_area : float [W/K]
        Film times inside area, 0 or more.

    Returns
    -------
    float [W/K]

    Raises
    ------
    InputError
        For a number out of range.

    Notes
    -----
    m cp (1 - exp(-NTU)), NTU = film_area / (m cp): the exact mean of a steady flow past a wall of one temperature.

    References
    ----------
    Heat exchanger of one stream; textbooks, from memory.

    Examples
    --------
    >>> round(exchange_conductance(100.0, 100.0), 3)
    63.212
    """
    _above(heat_flow, "heat_flow", "W/K")
    if not film_area >= 0.0:
        raise InputError(f"film_area must be >= 0 [W/K], got {film_area:g}.")
    return -heat_flow * math.expm1(-film_area / heat_flow)


def compost_heat(days: Numeric, *, volume: float, heat: float, decay: float) -> Numeric:
    """Heat of a heap, falling exponentially since it was built.

    Parameters
    ----------
    days : float or (n,) [day]
        Since it was built; before that it gives nothing.
    volume : float [m3]
    heat : float [W/m3]
        On the first day.
    decay : float [day]
        Time in which it falls to 1/e.

    Returns
    -------
    float or (n,) [W]

    Raises
    ------
    InputError
        For a time of decay that is not above 0.

    Notes
    -----
    volume x heat x exp(-days / decay). A heap that freezes or dries stops; that is not known here.

    References
    ----------
    First-order decay, common practice, no source.

    Examples
    --------
    >>> round(compost_heat(90.0, volume=10.0, heat=200.0, decay=90.0), 2)
    735.76
    """
    _above(decay, "decay", "day")
    age = np.asarray(days, dtype=float)
    power = np.where(age >= 0.0, volume * heat * np.exp(-np.maximum(age, 0.0) / decay), 0.0)
    return float(power) if np.isscalar(days) else power


def compost_for(load: float, *, heat: float, share: float) -> float:
    """Volume of fresh compost that carries a load.

    Parameters
    ----------
    load : float [W]
    heat : float [W/m3]
    share : float [1]
        Of the heat that reaches the house, above 0.

    Returns
    -------
    float [m3]

    Raises
    ------
    InputError
        For a heat or a share that is not above 0.

    Notes
    -----
    load / (heat x share): a heap on its best day.

    References
    ----------
    Calculated.

    Examples
    --------
    >>> compost_for(10000.0, heat=200.0, share=0.5)
    100.0
    """
    _above(heat, "heat", "W/m3")
    _above(share, "share", "1")
    return load / (heat * share)


def _above(value: float, name: str, unit: str) -> None:
    if not value > 0.0:
        raise InputError(f"{name} must be > 0 [{unit}], got {value:g}.")
