"""Heat into the ground: slab on ground through the year, the perimeter method, and undisturbed soil."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics._numeric import Numeric, between, like, positive

R_SI = 0.17
"""Inside film over a floor, heat flowing down [m2 K/W], ISO 13370:2017, from memory."""

R_SE = 0.04
"""Outside film [m2 K/W], ISO 13370:2017, from memory."""

YEAR = 3.15e7
"""Seconds in the year as ISO 13370 rounds them, from memory."""

SOIL_CELLS = (0.02, 0.03, 0.05, 0.10, 0.15, 0.15)
"""Soil kept in the balance under the floor, from the top [m]: 0.5 m in all, as the standard's note on hourly use."""

F_FACTORS = {
    "uninsulated": 1.263,
    "vertical 0.6 m R-5": 1.004,
    "vertical 0.6 m R-10": 0.935,
    "vertical 0.6 m R-15": 0.900,
    "vertical 1.2 m R-5": 0.935,
    "vertical 1.2 m R-10": 0.831,
    "vertical 1.2 m R-15": 0.779,
    "horizontal 0.6 m R-5": 1.212,
    "horizontal 0.6 m R-10": 1.212,
    "horizontal 0.6 m R-15": 1.194,
    "horizontal 1.2 m R-5": 1.160,
    "horizontal 1.2 m R-10": 1.108,
    "horizontal 1.2 m R-15": 1.090,
    "fully insulated R-10": 0.623,
    "fully insulated R-15": 0.537,
    "fully insulated R-20": 0.450,
    "fully insulated R-30": 0.363,
    "heated uninsulated": 1.454,
    "greenhouse bare": 1.385,
    "greenhouse insulated": 0.692,
}
"""Loss by length of floor edge [W/(m K)]: Washington State Energy Code 2013, table A106.1, read; the two greenhouse
rows are a rule of greenhouse handbooks, from memory."""


@dataclass(frozen=True)
class Slab:
    """A slab on ground by ISO 13370.

    Attributes
    ----------
    area, perimeter : float
        Floor area [m2] and exposed perimeter [m].
    conductivity : float
        Conductivity of the ground [W/(m K)].
    r_floor : float
        Resistance of the floor build-up [m2 K/W].
    b : float
        Characteristic dimension, area over half the perimeter [m].
    d_f : float
        Equivalent thickness of floor, films and wall in ground [m].
    u : float
        Transmittance of the floor without edge insulation [W/(m2 K)].
    psi_edge : float
        Edge insulation, a negative correction by length [W/(m K)].
    h_ground : float
        Steady coefficient, edge and junction in it [W/K].
    h_pi, h_pe : float
        Periodic coefficients towards inside and outside [W/K].
    """

    area: float
    perimeter: float
    conductivity: float
    r_floor: float
    b: float
    d_f: float
    u: float
    psi_edge: float
    h_ground: float
    h_pi: float
    h_pe: float


def slab(
    area: float,
    perimeter: float,
    *,
    wall_thickness: float,
    conductivity: float,
    volumetric_heat: float,
    r_floor: float = 0.0,
    edge_resistance: float = 0.0,
    edge_depth: float = 0.0,
    edge_thickness: float = 0.0,
    edge_direction: str = "vertical",
    psi_junction: float = 0.0,
    r_si: float = R_SI,
    r_se: float = R_SE,
) -> Slab:
    """Steady and periodic coefficients of a floor that lies on the ground.

    Parameters
    ----------
    area : float
        Floor area, inside [m2].
    perimeter : float
        Perimeter towards outdoors or cold rooms [m].
    wall_thickness : float
        Thickness of the wall at the floor, zero allowed [m].
    conductivity : float
        Conductivity of the ground [W/(m K)].
    volumetric_heat : float
        Volumetric heat of the ground [J/(m3 K)].
    r_floor : float
        Resistance of slab, insulation and covering [m2 K/W]; dense slabs and gravel count as ground.
    edge_resistance : float
        Resistance of the edge insulation, zero for none [m2 K/W].
    edge_depth : float
        Its depth below ground (vertical) or width (horizontal) [m].
    edge_thickness : float
        Its thickness, for the ground it takes the place of [m].
    edge_direction : str
        ``"vertical"`` or ``"horizontal"``.
    psi_junction : float
        Wall-to-floor junction by length [W/(m K)].
    r_si, r_se : float
        Films [m2 K/W].

    Returns
    -------
    Slab
        All coefficients.

    Raises
    ------
    InputError
        For sizes or soil values that are not above zero, or edge insulation without a depth.
    UnknownNameError
        For another direction.

    Notes
    -----
    B = A / (P/2); d_f = w + k (R_si + R_f + R_se); U = 2k / (pi B + d_f) ln(pi B / d_f + 1) where d_f < B, else
    k / (0.457 B + d_f). Edge insulation: d' = (R_n - d_n/k) k, psi = -(k/pi)[ln(D/d_f + 1) - ln(D/(d_f + d') + 1)],
    with 2 D for D where vertical. Periodic: delta = sqrt(3.15e7 k / (pi rho c)),
    H_pi = A (k/d_f) sqrt(2 / ((1 + delta/d_f)^2 + 1)), H_pe = 0.37 P k ln(delta/d_f + 1), the latter with its two
    parts weighted by exp(-D/delta) under edge insulation. About 3 per cent above the exact solution of a square slab.
    Ground water is left out.

    References
    ----------
    .. [1] ISO 13370:2017, slab on ground, edge insulation and annex on periodic coefficients, from memory.

    Examples
    --------
    >>> floor = slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6)
    >>> round(floor.u, 4), round(floor.h_pi, 3), round(floor.h_pe, 3)
    (0.7615, 71.558, 49.906)
    """
    _check_slab(area, perimeter, wall_thickness, conductivity, volumetric_heat, r_floor, edge_resistance)
    if edge_direction not in ("vertical", "horizontal"):
        raise UnknownNameError("edge_direction", edge_direction, ("vertical", "horizontal"))
    k = conductivity
    b = area / (0.5 * perimeter)
    d_f = wall_thickness + k * (r_si + r_floor + r_se)
    u = 2.0 * k / (math.pi * b + d_f) * math.log(math.pi * b / d_f + 1.0) if d_f < b else k / (0.457 * b + d_f)
    psi, d_more, reach = 0.0, 0.0, 0.0
    if edge_resistance > 0.0:
        positive("edge_depth", edge_depth, "m")
        d_more = max(edge_resistance * k - edge_thickness, 0.0)
        reach = 2.0 * edge_depth if edge_direction == "vertical" else edge_depth
        psi = -(k / math.pi) * (math.log(reach / d_f + 1.0) - math.log(reach / (d_f + d_more) + 1.0))
    delta = math.sqrt(YEAR * k / (math.pi * volumetric_heat))
    inner = math.exp(-reach / delta)
    swing = (1.0 - inner) * math.log(delta / (d_f + d_more) + 1.0) + inner * math.log(delta / d_f + 1.0)
    return Slab(
        area=area,
        perimeter=perimeter,
        conductivity=k,
        r_floor=r_floor,
        b=b,
        d_f=d_f,
        u=u,
        psi_edge=psi,
        h_ground=area * u + perimeter * (psi + psi_junction),
        h_pi=area * (k / d_f) * math.sqrt(2.0 / ((1.0 + delta / d_f) ** 2 + 1.0)),
        h_pe=0.37 * perimeter * k * swing,
    )


def _check_slab(area: float, perimeter: float, wall: float, k: float, heat: float, floor: float, edge: float) -> None:
    positive("area", area, "m2")
    positive("perimeter", perimeter, "m")
    positive("wall_thickness", wall, "m", zero=True)
    positive("conductivity", k, "W/(m K)")
    positive("volumetric_heat", heat, "J/(m3 K)")
    positive("r_floor", floor, "m2 K/W", zero=True)
    positive("edge_resistance", edge, "m2 K/W", zero=True)


def month_number(day: Numeric) -> Numeric:
    """Month as a running number, 1 in the middle of January and 12 in the middle of December.

    Parameters
    ----------
    day : numeric
        Days since the start of the year, fractions allowed [d].

    Returns
    -------
    numeric
        Month [1].

    Notes
    -----
    0.5 + 12 day / 365.

    References
    ----------
    .. [1] ISO 13370:2017, where the mean of a month stands at its middle, from memory.

    Examples
    --------
    >>> round(month_number(15.2), 2)
    1.0
    """
    return like(0.5 + np.asarray(day, dtype=float) * 12.0 / 365.0, day)


def _swings(
    month: Numeric, floor: Slab, inside_amplitude: float, outdoor_amplitude: float, coldest_month: float
) -> Numeric:
    """Periodic part of the ground flow [W]."""
    turn = 2.0 * np.pi * (np.asarray(month, dtype=float) - coldest_month) / 12.0
    late = turn - 2.0 * np.pi / 12.0
    return -floor.h_pi * inside_amplitude * np.cos(turn) + floor.h_pe * outdoor_amplitude * np.cos(late)


def monthly_flow(
    month: Numeric,
    *,
    floor: Slab,
    inside_mean: float,
    outdoor_mean: float,
    outdoor_amplitude: float,
    inside_amplitude: float = 0.0,
    coldest_month: float = 1.0,
) -> Numeric:
    """Heat flow from the room into the ground in each month.

    Parameters
    ----------
    month : numeric
        Running month, 1 in the middle of January [1].
    floor : Slab
        Coefficients of the floor.
    inside_mean, outdoor_mean : float
        Yearly mean temperatures [degC].
    outdoor_amplitude, inside_amplitude : float
        Half the yearly swing of the monthly means [K].
    coldest_month : float
        Month of the lowest outdoor mean [1].

    Returns
    -------
    numeric
        Flow, positive out of the room [W].

    Notes
    -----
    H_g (Ti - Te) - H_pi Ti^ cos(2 pi (m - tau)/12) + H_pe Te^ cos(2 pi (m - tau - 1)/12), ^ the amplitudes: inside
    without lead, outside one month late.

    References
    ----------
    .. [1] ISO 13370:2017, annex on the monthly flow, from memory.

    Examples
    --------
    >>> floor = slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6)
    >>> round(monthly_flow(1.0, floor=floor, inside_mean=20.0, outdoor_mean=10.0, outdoor_amplitude=10.0), 1)
    1193.7
    """
    between("coldest_month", coldest_month, 0.0, 13.0, "1")
    mean = floor.h_ground * (inside_mean - outdoor_mean)
    return like(mean + _swings(month, floor, inside_amplitude, outdoor_amplitude, coldest_month), month)


def virtual_temperature(
    month: Numeric,
    *,
    floor: Slab,
    inside_mean: float,
    outdoor_mean: float,
    outdoor_amplitude: float,
    inside_amplitude: float = 0.0,
    coldest_month: float = 1.0,
) -> Numeric:
    """Temperature under the soil column that draws from the room just the flow of ISO 13370.

    Parameters
    ----------
    month : numeric
        Running month, 1 in the middle of January [1]; continuous, see :func:`month_number`.
    floor : Slab
        Coefficients of the floor.
    inside_mean, outdoor_mean : float
        Yearly mean temperatures [degC].
    outdoor_amplitude, inside_amplitude : float
        Half the yearly swing of the monthly means [K].
    coldest_month : float
        Month of the lowest outdoor mean [1].

    Returns
    -------
    numeric
        Virtual temperature [degC].

    Raises
    ------
    InputError
        Where the steady coefficient is not above zero.

    Notes
    -----
    Ti(m) - flow(m) / H_g, with Ti(m) the inside mean of the month. Edge insulation and junction are in H_g, so the
    resistance that goes with it is that of :func:`virtual_resistance`.

    References
    ----------
    .. [1] ISO 13370:2017, annex for dynamic calculation, and ISO 52016-1:2017, from memory.

    Examples
    --------
    >>> floor = slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6)
    >>> round(virtual_temperature(1.0, floor=floor, inside_mean=20.0, outdoor_mean=10.0, outdoor_amplitude=10.0), 3)
    4.324
    """
    positive("h_ground", floor.h_ground, "W/K")
    flow = monthly_flow(
        month,
        floor=floor,
        inside_mean=inside_mean,
        outdoor_mean=outdoor_mean,
        outdoor_amplitude=outdoor_amplitude,
        inside_amplitude=inside_amplitude,
        coldest_month=coldest_month,
    )
    turn = 2.0 * np.pi * (np.asarray(month, dtype=float) - coldest_month) / 12.0
    inside = inside_mean - inside_amplitude * np.cos(turn)
    return like(inside - np.asarray(flow) / floor.h_ground, month)


def virtual_resistance(floor: Slab, *, soil_depth: float = 0.5, r_si: float = R_SI) -> float:
    """Resistance between the bottom of the soil column and the virtual temperature.

    Parameters
    ----------
    floor : Slab
        Coefficients of the floor.
    soil_depth : float
        Depth of soil kept in the balance [m].
    r_si : float
        Inside film [m2 K/W].

    Returns
    -------
    float
        Resistance without storage [m2 K/W].

    Raises
    ------
    InputError
        Where less than 0.05 m2 K/W is left: the soil column must be shorter.

    Notes
    -----
    A / H_g - R_si - R_floor - depth / k.

    References
    ----------
    .. [1] ISO 13370:2017, annex for dynamic calculation, from memory.

    Examples
    --------
    >>> floor = slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6)
    >>> round(virtual_resistance(floor), 4)
    0.8932
    """
    positive("h_ground", floor.h_ground, "W/K")
    left = floor.area / floor.h_ground - r_si - floor.r_floor - soil_depth / floor.conductivity
    if not left >= 0.05:
        room = floor.area / floor.h_ground - r_si - floor.r_floor - 0.05
        raise InputError(
            f"soil_depth must be at most {max(room, 0.0) * floor.conductivity:.2f} [m], got {soil_depth:g}. "
            "A small floor lets so much through that a deep column would hold it back."
        )
    return left


def perimeter_loss(kind: str, *, perimeter: float, temperature_difference: Numeric) -> Numeric:
    """Steady loss through the edge of a floor by the perimeter method.

    Parameters
    ----------
    kind : str
        A key of ``F_FACTORS``.
    perimeter : float
        Length of the edge [m].
    temperature_difference : numeric
        Inside less outdoor temperature [K].

    Returns
    -------
    numeric
        Loss [W].

    Raises
    ------
    UnknownNameError
        For another key.
    InputError
        For a perimeter that is not above zero.

    Notes
    -----
    F P dT. The ground's delay is left out, so it is for design loads.

    References
    ----------
    .. [1] Washington State Energy Code 2013, table A106.1, read.

    Examples
    --------
    >>> round(perimeter_loss("uninsulated", perimeter=45.3, temperature_difference=30.0), 1)
    1716.4
    """
    if kind not in F_FACTORS:
        raise UnknownNameError("kind of floor edge", kind, F_FACTORS)
    positive("perimeter", perimeter, "m")
    return like(F_FACTORS[kind] * perimeter * np.asarray(temperature_difference, float), temperature_difference)


def soil_temperature(
    depth: Numeric, *, day: Numeric, mean: float, amplitude: float, diffusivity: float, coldest_day: float
) -> Numeric:
    """Temperature of undisturbed soil through the year.

    Parameters
    ----------
    depth : numeric
        Depth below the surface [m].
    day : numeric
        Day of the year [d].
    mean : float
        Yearly mean at the surface [degC].
    amplitude : float
        Half the yearly swing at the surface [K].
    diffusivity : float
        Conductivity over volumetric heat [m2/s].
    coldest_day : float
        Day of the lowest surface temperature [d].

    Returns
    -------
    numeric
        Temperature [degC].

    Raises
    ------
    InputError
        For a negative depth or a diffusivity that is not above zero.

    Notes
    -----
    mean - amplitude exp(-z g) cos(2 pi (d - d0)/365 - z g), g = sqrt(pi / (365 a)), a in m2/d. One soil all through,
    no snow, no frost heat.

    References
    ----------
    .. [1] Kusuda and Achenbach 1965, Earth temperature and thermal diffusivity at selected stations, from memory.

    Examples
    --------
    >>> cold = soil_temperature(1.0, day=15, mean=8.0, amplitude=12.0, diffusivity=0.6e-6, coldest_day=30)
    >>> round(cold, 3)
    1.721
    """
    positive("depth", depth, "m", zero=True)
    positive("diffusivity", diffusivity, "m2/s")
    falling = np.asarray(depth, dtype=float) * math.sqrt(math.pi / (365.0 * diffusivity * 86400.0))
    turn = 2.0 * np.pi * (np.asarray(day, dtype=float) - coldest_day) / 365.0
    return like(mean - amplitude * np.exp(-falling) * np.cos(turn - falling), depth, day)
