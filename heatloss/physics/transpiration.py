"""Water that leaves give off: how much light they take, how far their pores open, and the vapour that follows."""

from __future__ import annotations

import numpy as np

from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.moist_air import CP_AIR, density, saturation_pressure

PSYCHROMETRIC = 66.0
"""Psychrometric constant near sea level [Pa/K], from memory."""
BOUNDARY_RESISTANCE = 275.0
"""Of the air around a leaf in a house without strong wind, 200 to 300 [s/m]; Stanghellini 1987, from memory."""
LEAST_RESISTANCE = 82.0
"""Of a leaf's pores wide open [s/m]; Stanghellini 1987, from memory."""


BY_LIGHT, BY_DRYNESS = 0.5, 0.02
"""Of the regression: share of the light on leaves [1], and by leaf area and deficit [W/(m2 Pa)]; Baille 1994, from
memory."""


def intercepted_light(leaf_area: Numeric, *, extinction: float = 0.7) -> Numeric:
    """Share of the light on a crop that its leaves take from what lies under them.

    Parameters
    ----------
    leaf_area : numeric
        Leaf area by ground area [1].
    extinction : float
        Coefficient of the leaves' layout, 0.64 to 0.86 [1].

    Returns
    -------
    numeric
        Share [1].

    Raises
    ------
    InputError
        For a negative leaf area or extinction.

    Notes
    -----
    1 - exp(-k LAI).

    References
    ----------
    .. [1] Baille, Baille and Laury 1994, Scientia Horticulturae 59, from memory.

    Examples
    --------
    >>> round(intercepted_light(2.5), 4)
    0.8262
    """
    positive("leaf_area", leaf_area, "1", zero=True)
    positive("extinction", extinction, "1", zero=True)
    return like(-np.expm1(-extinction * np.asarray(leaf_area, dtype=float)), leaf_area)


def leaf_resistance(absorbed_sun: Numeric) -> Numeric:
    """Resistance of a leaf's pores to vapour, which open in the light.

    Parameters
    ----------
    absorbed_sun : numeric
        Sun that a square metre of leaf surface takes up, both sides counted [W/m2].

    Returns
    -------
    numeric
        Resistance [s/m].

    Raises
    ------
    InputError
        For negative light.

    Notes
    -----
    82 (I + 4.30) / (I + 0.54), about 650 in the dark. The factors for leaf temperature, carbon dioxide and dryness of
    the air are left out: they were found on tomatoes in summer, and close the pores of a cool crop further.

    References
    ----------
    .. [1] Stanghellini 1987, Transpiration of greenhouse crops, from memory.

    Examples
    --------
    >>> round(leaf_resistance(0.0))
    653
    >>> round(leaf_resistance(50.0))
    88
    """
    positive("absorbed_sun", absorbed_sun, "W/m2", zero=True)
    taken = np.asarray(absorbed_sun, dtype=float)
    return like(LEAST_RESISTANCE * (taken + 4.30) / (taken + 0.54), absorbed_sun)


def stanghellini(
    temp: Numeric,
    *,
    deficit: Numeric,
    net_radiation: Numeric,
    leaf_area: Numeric,
    leaf_resistance: Numeric,
    boundary_resistance: float = BOUNDARY_RESISTANCE,
    pressure: float = 101325.0,
) -> Numeric:
    """Latent heat of a crop's transpiration by the combination equation.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    deficit : numeric
        Vapour pressure deficit of the air [Pa].
    net_radiation : numeric
        Radiation that the crop keeps, by ground area [W/m2].
    leaf_area : numeric
        Leaf area by ground area [1].
    leaf_resistance, boundary_resistance : numeric
        Of pores, and of the air around a leaf [s/m].
    pressure : float
        Air pressure [Pa].

    Returns
    -------
    numeric
        Latent heat by ground area [W/m2].

    Raises
    ------
    InputError
        For a resistance that is not above zero or a negative leaf area.

    Notes
    -----
    ((s/g) R_n + 2 LAI rho c_p D / (g r_e)) / (1 + s/g + r_i/r_e). The balance of a house solves the same leaf without
    this linearisation, as a node; this form is its check.

    References
    ----------
    .. [1] Stanghellini 1987, Transpiration of greenhouse crops, from memory.

    Examples
    --------
    >>> dry = 0.3 * saturation_pressure(20.0)
    >>> round(stanghellini(20.0, deficit=dry, net_radiation=100.0, leaf_area=2.5, leaf_resistance=200.0))
    116
    """
    positive("leaf_resistance", leaf_resistance, "s/m")
    positive("boundary_resistance", boundary_resistance, "s/m")
    positive("leaf_area", leaf_area, "1", zero=True)
    air = np.asarray(temp, dtype=float)
    step = 0.05
    slope = (np.asarray(saturation_pressure(air + step)) - np.asarray(saturation_pressure(air - step))) / (2.0 * step)
    steep = slope / PSYCHROMETRIC
    dry = 2.0 * np.asarray(leaf_area) * np.asarray(density(air, pressure)) * CP_AIR * np.asarray(deficit)
    driven = steep * np.asarray(net_radiation) + dry / (PSYCHROMETRIC * boundary_resistance)
    found = driven / (1.0 + steep + np.asarray(leaf_resistance) / boundary_resistance)
    return like(found, temp, deficit, net_radiation, leaf_area, leaf_resistance)


def regression(
    sun_on_crop: Numeric, *, deficit: Numeric, leaf_area: Numeric, a: float = BY_LIGHT, b: float = BY_DRYNESS
) -> Numeric:
    """Latent heat of a crop's transpiration by the regression on light and dryness.

    Parameters
    ----------
    sun_on_crop : numeric
        By ground area [W/m2].
    deficit : numeric
        Vapour pressure deficit of the air [Pa].
    leaf_area : numeric
        Leaf area by ground area [1].
    a : float
        Share of the light on leaves that goes into vapour, 0.4 to 0.6 [1].
    b : float
        By leaf area and deficit, 0.01 to 0.03 [W/(m2 Pa)].

    Returns
    -------
    numeric
        Latent heat by ground area [W/m2].

    Raises
    ------
    InputError
        For a share outside 0 to 1 or a negative leaf area.

    Notes
    -----
    a (1 - exp(-k LAI)) S + b LAI D with k = 0.7.

    References
    ----------
    .. [1] Baille, Baille and Laury 1994, Scientia Horticulturae 59, from memory.

    Examples
    --------
    >>> round(regression(100.0, deficit=700.0, leaf_area=2.5), 1)
    76.3
    """
    between("a", a, 0.0, 1.0, "1")
    taken = np.asarray(intercepted_light(leaf_area)) * np.asarray(sun_on_crop, dtype=float)
    dry = b * np.asarray(leaf_area, dtype=float) * np.asarray(deficit, dtype=float)
    return like(a * taken + dry, sun_on_crop, deficit, leaf_area)
