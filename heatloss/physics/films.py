"""Surface films: convection outside and inside, long-wave exchange inside, and the fixed films of the standards."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics._numeric import Numeric, between, like, positive

STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan-Boltzmann constant [W/(m2 K4)], exact in the SI since 2019 to the digits shown."""

KELVIN = 273.15
"""0 degC in K."""

INSIDE_CONVECTION = {"up": 5.0, "horizontal": 2.5, "down": 0.7}
"""ISO 6946 convective part of the inside film by direction of heat flow [W/(m2 K)], from memory."""

OUTSIDE_FORMS = ("flat_plate", "iso_6946", "glasshouse", "film_tunnel", "film_house", "rough_surface")
"""Words for :func:`outside_convection`."""


def outside_convection(wind_speed: Numeric, form: str = "flat_plate") -> tuple[Numeric, float]:
    """Convection coefficient of an outside surface, as a forced part and a buoyant part.

    Parameters
    ----------
    wind_speed : numeric
        Wind speed at the height of the building [m/s].
    form : str
        One of ``OUTSIDE_FORMS``.

    Returns
    -------
    forced : numeric
        Forced part [W/(m2 K)].
    buoyant : float
        Factor of the cube root of the temperature difference [W/(m2 K^(4/3))]. It is zero except for
        ``"rough_surface"``, where the two parts add as the root of their squares.

    Raises
    ------
    InputError
        For a negative wind speed.
    UnknownNameError
        For a word that is not a form.

    Notes
    -----
    With u the wind speed: ``flat_plate`` 2.8 + 3.0 u; ``iso_6946`` 4 + 4 u; ``glasshouse`` 2.8 + 1.2 u below 4 m/s,
    2.5 u^0.8 from there; ``film_tunnel`` 0.95 + 6.76 u^0.49, fitted up to 6.3 m/s; ``film_house`` 7.2 + 3.84 u;
    ``rough_surface`` 3.0 u^0.75 with 0.84 dT^(1/3). Long wave is in none of them. For a double cover the choice moves
    the season by a few per cent, for a single one by more.

    References
    ----------
    .. [1] Watmuff et al. 1977 (flat plate); ISO 6946 annex; Bot 1983 (saw-tooth glasshouse); Papadakis et al. 1992
       (film tunnel); Garzoli and Blackwell 1981 (film house): all from memory. The rough-surface numbers are a
       rounding of field data, common practice, no source.

    Examples
    --------
    >>> outside_convection(4.0)
    (14.8, 0.0)
    >>> outside_convection(4.0, "glasshouse")[0]  # doctest: +ELLIPSIS
    7.57...
    """
    positive("wind_speed", wind_speed, "m/s", zero=True)
    u = np.asarray(wind_speed, dtype=float)
    if form == "flat_plate":
        forced = 2.8 + 3.0 * u
    elif form == "iso_6946":
        forced = 4.0 + 4.0 * u
    elif form == "glasshouse":
        forced = np.where(u < 4.0, 2.8 + 1.2 * u, 2.5 * u**0.8)
    elif form == "film_tunnel":
        forced = 0.95 + 6.76 * u**0.49
    elif form == "film_house":
        forced = 7.2 + 3.84 * u
    elif form == "rough_surface":
        forced = 3.0 * u**0.75
    else:
        raise UnknownNameError("form of the outside film", form, OUTSIDE_FORMS)
    return like(forced, wind_speed), 0.84 if form == "rough_surface" else 0.0


def natural_convection(cos_tilt: Numeric) -> tuple[Numeric, Numeric]:
    """Factors of still-air convection at an inside surface, for either sign of the temperature difference.

    Parameters
    ----------
    cos_tilt : numeric
        Cosine of the tilt as the air inside sees the surface [1]: floor +1, wall 0, ceiling -1, a roof slope minus the
        cosine of its tilt.

    Returns
    -------
    surface_warmer : numeric
        Factor of the cube root of the temperature difference where the surface is the warmer [W/(m2 K^(4/3))].
    air_warmer : numeric
        The same where the air is the warmer [W/(m2 K^(4/3))].

    Raises
    ------
    InputError
        For a cosine outside -1 to 1.

    Notes
    -----
    Vertical 1.31; where buoyancy carries the air away from the surface (warm floor, cold roof) 9.482 / (7.283 - |c|);
    where it holds the air there 1.810 / (1.382 + |c|). Turbulent still air of room size; a fan makes more.

    References
    ----------
    .. [1] Walton 1983, Thermal Analysis Research Program reference manual, from memory.

    Examples
    --------
    >>> warm, cold = natural_convection(1.0)
    >>> round(cold * 5 ** (1 / 3), 2)  # a floor 5 K colder than the air
    1.3
    """
    between("cos_tilt", cos_tilt, -1.0 - 1e-12, 1.0 + 1e-12, "1")
    c = np.asarray(cos_tilt, dtype=float)
    carried = np.where(np.abs(c) < 1e-9, 1.31, 9.482 / (7.283 - np.abs(c)))
    held = np.where(np.abs(c) < 1e-9, 1.31, 1.810 / (1.382 + np.abs(c)))
    return like(np.where(c > 0, carried, held), cos_tilt), like(np.where(c > 0, held, carried), cos_tilt)


def site_wind(wind_speed: Numeric, *, shelter: float, height: float = 3.0, exponent: float = 0.22) -> Numeric:
    """Wind speed at the building from the wind of a weather station.

    Parameters
    ----------
    wind_speed : numeric
        Wind speed at 10 m over open ground [m/s].
    shelter : float
        What trees and buildings leave of it [1], 1 for open ground.
    height : float
        Height above ground of the building's middle to ridge [m].
    exponent : float
        Of the power law [1], larger over rougher ground; 0 takes the station's wind as it is.

    Returns
    -------
    numeric
        Local wind speed [m/s].

    Raises
    ------
    InputError
        For a negative speed, a shelter outside 0 to 1 or a height that is not above zero.

    Notes
    -----
    shelter u10 (z / 10)^exponent. At 3 m and 0.22 the power law alone gives 0.77; suburbs give 0.6 to 0.7 in all.

    References
    ----------
    .. [1] Power law of wind over suburban ground, handbooks of building physics, from memory.

    Examples
    --------
    >>> round(site_wind(5.0, shelter=0.78), 2)
    2.99
    """
    positive("wind_speed", wind_speed, "m/s", zero=True)
    between("shelter", shelter, 0.0, 1.0, "1")
    positive("height", height, "m")
    between("exponent", exponent, 0.0, 1.0, "1")
    return like(np.asarray(wind_speed, dtype=float) * shelter * (height / 10.0) ** exponent, wind_speed)


def sky_split(tilt: Numeric) -> tuple[Numeric, Numeric]:
    """Shares of an outside surface's long-wave view that go to the sky and to things at outdoor temperature.

    Parameters
    ----------
    tilt : numeric
        Tilt from horizontal [deg].

    Returns
    -------
    sky : numeric
        Share that sees the sky temperature, F_s beta [1].
    air : numeric
        The rest, ground and air near the horizon, taken at outdoor temperature [1].

    Raises
    ------
    InputError
        For a tilt outside 0 to 180 deg.

    Notes
    -----
    F_s = (1 + cos tilt) / 2 is the view of the sky dome; beta, the root of F_s, leaves the part of the dome near the
    horizon to the air. Obstacles are left out.

    References
    ----------
    .. [1] Walton 1983, Thermal Analysis Research Program reference manual, from memory.

    Examples
    --------
    >>> round(sky_split(90.0)[0], 6)
    0.353553
    """
    between("tilt", tilt, 0.0, 180.0, "deg")
    dome = np.maximum((1.0 + np.cos(np.radians(np.asarray(tilt, dtype=float)))) / 2.0, 0.0)
    sky = dome * np.sqrt(dome)
    return like(sky, tilt), like(1.0 - sky, tilt)


def radiant_coefficient(temperature_1: Numeric, temperature_2: Numeric) -> Numeric:
    """Black long-wave coefficient between two temperatures, exact for the difference of fourth powers.

    Parameters
    ----------
    temperature_1, temperature_2 : numeric
        The two temperatures [degC].

    Returns
    -------
    numeric
        Coefficient [W/(m2 K)].

    Notes
    -----
    sigma (T1^2 + T2^2)(T1 + T2) with both in K, so that times T1 - T2 it is sigma (T1^4 - T2^4).

    References
    ----------
    .. [1] Stefan-Boltzmann law; the number below calculated from it.

    Examples
    --------
    >>> round(0.9 * radiant_coefficient(0.0, -25.0) * 25.0, 1)
    90.6
    """
    a = np.asarray(temperature_1, dtype=float) + KELVIN
    b = np.asarray(temperature_2, dtype=float) + KELVIN
    return like(STEFAN_BOLTZMANN * (a * a + b * b) * (a + b), temperature_1, temperature_2)


def radiant_exchange_areas(
    areas: Sequence[float] | NDArray[np.float64],
    emissivities: Sequence[float] | NDArray[np.float64],
    planes: Sequence[Hashable],
) -> NDArray[np.float64]:
    """Areas through which the surfaces of an enclosure exchange long wave with one common radiant node.

    Parameters
    ----------
    areas : array
        Area of each surface [m2].
    emissivities : array
        Long-wave emissivity of each [1].
    planes : sequence
        A key for each; surfaces of one key lie in one plane, face the same way and do not see each other.

    Returns
    -------
    array
        Effective areas [m2]. The conductance from surface j to the star node is
        A_eff sigma (Tj^2 + T*^2)(Tj + T*), temperatures in K.

    Raises
    ------
    InputError
        When one plane is not smaller than the sum of the others, which no closed room of flat planes can have: a
        curved or lumped cover was given as one plane.

    Notes
    -----
    A_eff = A / ((1 - e)/e + 1/F), with F of each plane the root of F = 1 / (1 - A F / sum(A F)), solved on pooled
    planes so that cutting a floor in pieces changes nothing. For convex rooms it is within a few per cent of exact
    view factors. Where one plane comes above about 0.95 of the others (a curtain drawn under a roof) the star is a
    poor picture: link that plane straight to the others by area.

    With x the largest plane's share A F / sum(A F), every other share follows from x (1 - x), and one increasing line
    in x is left, which is halved down to the last bit.

    References
    ----------
    .. [1] Carroll 1980, An MRT method of computing radiant energy exchange in rooms, from memory.

    Examples
    --------
    A cube, black inside: F = 1 / (1 - 1/6).

    >>> radiant_exchange_areas([1.0] * 6, [1.0] * 6, list("abcdef")).round(6).tolist()
    [1.2, 1.2, 1.2, 1.2, 1.2, 1.2]
    """
    area = np.asarray(areas, dtype=float)
    emissivity = np.asarray(emissivities, dtype=float)
    positive("areas", area, "m2", zero=True)
    between("emissivities", emissivity, 0.0, 1.0, "1")
    keys = list(dict.fromkeys(planes))
    place = np.array([keys.index(p) for p in planes])
    pooled = np.bincount(place, weights=area, minlength=len(keys)).astype(float)
    factor = _plane_factors(pooled, keys)[place]
    with np.errstate(divide="ignore"):
        return np.asarray(area / ((1.0 - emissivity) / emissivity + 1.0 / factor))


def _plane_factors(pooled: NDArray[np.float64], keys: Sequence[Hashable]) -> NDArray[np.float64]:
    """Carroll's F of each plane [1]."""
    top = int(np.argmax(pooled))
    rest = float(pooled.sum() - pooled[top])
    if not pooled[top] < rest:
        raise InputError(
            f"plane {keys[top]!r} must be smaller than all others together [m2], got {pooled[top]:g} against {rest:g}. "
            "A curved or lumped cover sees itself: give it as its flat facets."
        )
    ratio = np.delete(pooled, top) / pooled[top]

    def share(x: float) -> NDArray[np.float64]:
        z = ratio * x * (1.0 - x)
        return np.asarray(2.0 * z / (1.0 + np.sqrt(np.maximum(1.0 - 4.0 * z, 0.0))))

    def over(x: float) -> float:
        return float(share(x).sum()) - (1.0 - x)

    low, gap = 0.0, 0.5
    while over(1.0 - gap) < 0.0 and gap > 1e-9:
        low, gap = 1.0 - gap, gap / 2.0
    x = _halve(over, low, 1.0 - gap)
    return np.asarray(1.0 / (1.0 - np.insert(share(x), top, x)))


def _halve(function: Any, low: float, high: float) -> float:
    """Root of an increasing function between two points, to the last bit."""
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return middle
        if function(middle) < 0.0:
            low = middle
        else:
            high = middle


def surface_resistance(
    direction: str, *, wind_speed: float = 4.0, emissivity: float = 0.9, temperature: float | None = None
) -> float:
    """Fixed surface resistance of ISO 6946, convection and long wave together.

    Parameters
    ----------
    direction : str
        ``"up"``, ``"horizontal"`` or ``"down"`` for an inside surface by the way the heat flows, or ``"outside"``.
    wind_speed : float
        Wind speed, used outside only [m/s].
    emissivity : float
        Emissivity of the surface [1].
    temperature : float, optional
        Mean temperature of surface and surroundings [degC]; 20 inside and 10 outside when left out.

    Returns
    -------
    float
        Surface resistance [m2 K/W].

    Raises
    ------
    UnknownNameError
        For another word.

    Notes
    -----
    1 / (h_c + e 4 sigma T^3), with h_c 5.0, 2.5, 0.7 inside and 4 + 4 v outside [W/(m2 K)]. The standard's table
    rounds to 0.10, 0.13, 0.17 and 0.04.

    References
    ----------
    .. [1] ISO 6946:2017, annex on surface resistances, from memory.

    Examples
    --------
    >>> round(surface_resistance("horizontal"), 4), round(surface_resistance("outside"), 5)
    (0.1308, 0.04059)
    """
    between("emissivity", emissivity, 0.0, 1.0, "1")
    if direction == "outside":
        positive("wind_speed", wind_speed, "m/s", zero=True)
        convection, mean = 4.0 + 4.0 * wind_speed, 10.0
    elif direction in INSIDE_CONVECTION:
        convection, mean = INSIDE_CONVECTION[direction], 20.0
    else:
        raise UnknownNameError("direction", direction, (*INSIDE_CONVECTION, "outside"))
    return float(1.0 / (convection + emissivity * black_coefficient(mean if temperature is None else temperature)))


def black_coefficient(temperature: Numeric) -> Numeric:
    """Black long-wave coefficient at one mean temperature, 4 sigma T^3.

    Parameters
    ----------
    temperature : numeric
        Mean temperature [degC].

    Returns
    -------
    numeric
        Coefficient [W/(m2 K)].

    Notes
    -----
    The limit of :func:`radiant_coefficient` for equal temperatures.

    References
    ----------
    .. [1] ISO 6946:2017, annex on surface resistances, from memory.

    Examples
    --------
    >>> round(black_coefficient(10.0), 2)
    5.15
    """
    return like(4.0 * STEFAN_BOLTZMANN * (np.asarray(temperature, dtype=float) + KELVIN) ** 3, temperature)


def gap_resistance(
    thickness: float,
    *,
    direction: str = "horizontal",
    emissivity_1: float = 0.9,
    emissivity_2: float = 0.9,
    temperature: float = 10.0,
) -> float:
    """Resistance of an unventilated air gap between two wide parallel surfaces.

    Parameters
    ----------
    thickness : float
        Thickness of the gap along the heat flow [m], up to 0.3.
    direction : str
        Way of the heat flow: ``"up"``, ``"horizontal"`` or ``"down"``.
    emissivity_1, emissivity_2 : float
        Emissivities of the two faces [1].
    temperature : float
        Mean temperature of the gap [degC].

    Returns
    -------
    float
        Resistance [m2 K/W].

    Raises
    ------
    InputError
        For a gap that is not above zero and at most 0.3 m, or an emissivity outside 0 to 1.
    UnknownNameError
        For another direction.

    Notes
    -----
    1 / (h_a + 4 sigma T^3 / (1/e1 + 1/e2 - 1)), h_a the larger of 0.025/d and 1.25 (horizontal), 1.95 (up) or
    0.12 d^-0.44 (down) [W/(m2 K)]. For temperature differences across the gap up to 5 K; beyond that the gap
    convects more.

    References
    ----------
    .. [1] ISO 6946:2017, annex on airspaces, from memory.

    Examples
    --------
    >>> round(gap_resistance(0.015), 3)
    0.17
    """
    positive("thickness", thickness, "m")
    between("thickness", thickness, 0.0, 0.3, "m")
    between("emissivity_1", emissivity_1, 0.0, 1.0, "1")
    between("emissivity_2", emissivity_2, 0.0, 1.0, "1")
    floors = {"horizontal": 1.25, "up": 1.95, "down": 0.12 * thickness**-0.44}
    if direction not in floors:
        raise UnknownNameError("direction", direction, floors)
    convection = max(floors[direction], 0.025 / thickness)
    if min(emissivity_1, emissivity_2) == 0.0:
        return float(1.0 / convection)
    pair = 1.0 / (1.0 / emissivity_1 + 1.0 / emissivity_2 - 1.0)
    return float(1.0 / (convection + pair * black_coefficient(temperature)))


def panel_conductance(u: float, *, r_si: float, r_se: float, bare: float = math.inf) -> float:
    """Conductance of a panel between its two faces, from a rated U-value.

    Parameters
    ----------
    u : float
        Rated U-value with its films [W/(m2 K)].
    r_si, r_se : float
        Inside and outside film of the rating [m2 K/W]; 0.13 and 0.04 in ISO and EN ratings, about 0.12 and 0.03 in
        North American winter ratings.
    bare : float
        Conductance of the solid sheet alone [W/(m2 K)], taken where the films use up the whole rated resistance.

    Returns
    -------
    float
        Conductance from face to face [W/(m2 K)].

    Raises
    ------
    InputError
        Where the films leave nothing of the rated resistance and no bare conductance is given.

    Notes
    -----
    1 / (1/U - R_si - R_se). The film of a real hour then takes the place of the rated one.

    References
    ----------
    .. [1] Films of the ratings: ISO 6946 and the fenestration chapter of the ASHRAE handbook, from memory.

    Examples
    --------
    >>> round(panel_conductance(3.5, r_si=0.13, r_se=0.04), 3)
    8.642
    """
    positive("u", u, "W/(m2 K)")
    left = 1.0 / u - r_si - r_se
    if left > 1.0 / bare:
        return 1.0 / left
    if not math.isfinite(bare):
        raise InputError(
            f"u must be below {1.0 / (r_si + r_se):.3g} [W/(m2 K)] with these films, got {u:g}. "
            "Give the conductance of the bare sheet, its conductivity over its thickness."
        )
    return bare
