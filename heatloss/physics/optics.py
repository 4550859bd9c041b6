"""Light through clear sheets: one sheet, a stack of several, its diffuse value, and a stack fitted to a data sheet."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive

Array = NDArray[np.float64]

_TABLE = 8193  # points of a transmittance curve in the cosine of incidence


class Optics(NamedTuple):
    """Shares of the light that a sheet or stack passes, reflects and absorbs; they sum to 1.

    Attributes
    ----------
    transmittance, reflectance, absorptance : numeric
        Shares [1].
    """

    transmittance: Numeric
    reflectance: Numeric
    absorptance: Numeric


def _checked(n: float, kl: float) -> None:
    if not n > 1.0:
        raise InputError(f"n must be above 1 [1], got {n:g}.")
    positive("kl", kl, "1", zero=True)


def sheet(cos_incidence: Numeric, *, n: float, kl: float) -> tuple[Optics, Optics]:
    """One sheet, for each polarisation.

    Parameters
    ----------
    cos_incidence : numeric
        Cosine of the angle of incidence [1]; at zero and behind the sheet all is reflected.
    n : float
        Refractive index, above 1 [1].
    kl : float
        Extinction coefficient times thickness [1].

    Returns
    -------
    perpendicular, parallel : Optics
        The two polarisations.

    Raises
    ------
    InputError
        For an index that is not above 1 or an extinction below zero.

    Notes
    -----
    Snell, Fresnel's reflectances of one face, absorption exp(-KL / cos refracted), and all inner reflections:
    tau = a (1 - r)^2 / (1 - r^2 a^2), rho = r (1 + a tau). Clear, flat and parallel faces; no haze.

    References
    ----------
    .. [1] Textbooks of solar engineering, sections on transmission through covers, from memory.

    Examples
    --------
    >>> perpendicular, parallel = sheet(0.5, n=1.526, kl=32 * 0.0023)
    >>> [round(x, 5) for x in perpendicular]
    [0.62469, 0.29144, 0.08388]
    """
    _checked(n, kl)
    given = np.asarray(cos_incidence, dtype=float)
    c1 = np.clip(given, 0.0, 1.0)
    c2 = np.sqrt(1.0 - (1.0 - c1 * c1) / (n * n))
    passed = np.exp(-kl / c2)
    faces = ((c1 - n * c2) / (c1 + n * c2)) ** 2, ((n * c1 - c2) / (n * c1 + c2)) ** 2
    answer = []
    for r in faces:
        grazing = r >= 1.0
        inner = np.where(grazing, 0.0, r)
        tau = np.where(grazing, 0.0, passed * (1.0 - inner) ** 2 / (1.0 - (inner * passed) ** 2))
        rho = np.where(grazing, 1.0, inner * (1.0 + passed * tau))
        answer.append(Optics(*(like(x, cos_incidence) for x in (tau, rho, 1.0 - rho - tau))))
    return answer[0], answer[1]


def stack(cos_incidence: Numeric, *, n: float, kl: float, sheets: int) -> Optics:
    """Several equal sheets one behind the other, both polarisations averaged at the end.

    Parameters
    ----------
    cos_incidence : numeric
        Cosine of the angle of incidence [1].
    n : float
        Refractive index, above 1 [1].
    kl : float
        Extinction coefficient times thickness of each sheet [1].
    sheets : int
        Number of sheets, 1 to 5.

    Returns
    -------
    Optics
        Transmittance, reflectance and absorptance of the stack.

    Raises
    ------
    InputError
        For another number of sheets, an index that is not above 1 or an extinction below zero.

    Notes
    -----
    Sheets are added one by one: T' = T tau / (1 - R rho), R' = R + T^2 rho / (1 - R rho); a stack of equal sheets is
    the same from both sides. Ribs between the walls
    of a panel are left out; a factor below 1 stands for them.

    References
    ----------
    .. [1] Textbooks of solar engineering, sections on transmission through covers, from memory.

    Examples
    --------
    >>> round(stack(1.0, n=1.526, kl=0.0125, sheets=2).transmittance, 4)
    0.8254
    """
    if sheets not in (1, 2, 3, 4, 5):
        raise InputError(f"sheets must be a whole number from 1 to 5 [1], got {sheets}.")
    perpendicular, parallel = (grown[-1] for grown in _stacks(cos_incidence, n=n, kl=kl, sheets=sheets))
    through, back = (0.5 * (a + b) for a, b in zip(perpendicular, parallel, strict=True))
    return Optics(*(like(x, cos_incidence) for x in (through, back, 1.0 - through - back)))


def inner_share(cos_incidence: Numeric, *, n: float, kl: float, sheets: int) -> Numeric:
    """Share of the light a stack absorbs that warms its inner face, for light from outside.

    Parameters
    ----------
    cos_incidence : numeric
        Cosine of the angle of incidence [1].
    n : float
        Refractive index, above 1 [1].
    kl : float
        Extinction coefficient times thickness of each sheet, above 0 [1].
    sheets : int
        Number of sheets, 1 to 5.

    Returns
    -------
    numeric
        Share [1]; half for a single sheet, less for several, since the outer ones take first.

    Raises
    ------
    InputError
        As :func:`stack`; for lossless sheets.

    Notes
    -----
    Sheets stand evenly between the two faces, and what one absorbs divides as the resistance to either: sheet k of N,
    counted from outside, gives (k - 1) / (N - 1) inward. Summed, that is the mean over the gaps m of what is absorbed
    behind them, T_m (1 - R_b - T_b) / (1 - R_m R_b) with b = N - m, for each polarisation.

    References
    ----------
    .. [1] :func:`stack`; the number below calculated from it.

    Examples
    --------
    >>> round(inner_share(1.0, n=1.526, kl=0.0937, sheets=2), 3)
    0.441
    """
    positive("kl", kl, "1")
    whole = stack(cos_incidence, n=n, kl=kl, sheets=sheets)
    if sheets == 1:
        return like(np.full_like(np.asarray(cos_incidence, dtype=float), 0.5), cos_incidence)
    inward: Numeric = 0.0
    for stacks in _stacks(cos_incidence, n=n, kl=kl, sheets=sheets - 1):
        for (t, r), (t_behind, r_behind) in zip(stacks, reversed(stacks), strict=True):
            met = t / np.maximum(1.0 - r * r_behind, 1e-300)
            inward = inward + met * (1.0 - r_behind - t_behind) / (2.0 * (sheets - 1))
    kept = np.asarray(whole.absorptance)
    return like(np.where(kept > 1e-12, inward / np.maximum(kept, 1e-12), 0.5), cos_incidence)


def _stacks(cos_incidence: Numeric, *, n: float, kl: float, sheets: int) -> list[list[tuple[Array, Array]]]:
    """Transmittance and reflectance of 1, 2, ... sheets, for each polarisation."""
    found = []
    for one in sheet(cos_incidence, n=n, kl=kl):
        tau, rho = np.asarray(one.transmittance), np.asarray(one.reflectance)
        grown = [(tau, rho)]
        for _ in range(sheets - 1):
            t, r = grown[-1]
            lost = np.maximum(1.0 - r * rho, 1e-300)
            grown.append((t * tau / lost, r + t * t * rho / lost))
        found.append(grown)
    return found


def hemispherical(*, n: float, kl: float, sheets: int) -> Optics:
    """A stack under evenly diffuse light.

    Parameters
    ----------
    n : float
        Refractive index, above 1 [1].
    kl : float
        Extinction coefficient times thickness of each sheet [1].
    sheets : int
        Number of sheets, 1 to 5.

    Returns
    -------
    Optics
        Transmittance, reflectance and absorptance.

    Raises
    ------
    InputError
        As :func:`stack`.

    Notes
    -----
    2 times the integral of tau sin cos over the angle from 0 to 90 deg, by 64 Gauss-Legendre points.

    References
    ----------
    .. [1] Textbooks of solar engineering, sections on diffuse transmittance, from memory.

    Examples
    --------
    >>> round(hemispherical(n=1.526, kl=0.0, sheets=1).transmittance, 4)
    0.8451
    """
    points, weights = np.polynomial.legendre.leggauss(64)
    angle = np.pi / 4.0 * (points + 1.0)
    weight = np.pi / 4.0 * weights * 2.0 * np.sin(angle) * np.cos(angle)
    part = stack(np.cos(angle), n=n, kl=kl, sheets=sheets)
    through, back = float(weight @ part.transmittance), float(weight @ part.reflectance)
    return Optics(through, back, 1.0 - through - back)


def fit_extinction(*, n: float, sheets: int, solar_normal: float) -> tuple[float, float]:
    """Extinction that gives a stack its rated transmittance, and a factor for what extinction cannot give.

    Parameters
    ----------
    n : float
        Refractive index, above 1 [1].
    sheets : int
        Number of sheets, 1 to 5.
    solar_normal : float
        Rated transmittance at normal incidence [1].

    Returns
    -------
    kl : float
        Extinction times thickness of each sheet, at least 0 [1].
    scale : float
        Factor such that scale times the transmittance of the stack is the rating; it differs from 1 only where the
        rating is above what lossless sheets of this index pass (coated, or with fewer walls than said) [1].

    Raises
    ------
    InputError
        For a rating that is not above 0 and at most 1.

    Notes
    -----
    Transmittance falls steadily with extinction, so the root is halved down between 0 and 50.

    References
    ----------
    .. [1] :func:`stack`; the number below calculated from it.

    Examples
    --------
    >>> kl, scale = fit_extinction(n=1.586, sheets=2, solar_normal=0.80)
    >>> round(kl, 4), scale
    (0.0134, 1.0)
    """
    positive("solar_normal", solar_normal, "1")
    between("solar_normal", solar_normal, 0.0, 1.0, "1")

    def normal(kl: float) -> float:
        return float(stack(1.0, n=n, kl=kl, sheets=sheets).transmittance)

    if normal(0.0) <= solar_normal:
        return 0.0, solar_normal / normal(0.0)
    low, high = 0.0, 50.0
    while low < (middle := 0.5 * (low + high)) < high:
        low, high = (middle, high) if normal(middle) > solar_normal else (low, middle)
    return middle, 1.0


def transmittance_curve(*, n: float, kl: float, sheets: int, scale: float, cos_incidence: Array) -> Array:
    """Beam transmittance for whole years of many facets.

    Parameters
    ----------
    n : float
        Refractive index, above 1 [1].
    kl : float
        Extinction coefficient times thickness of each sheet [1].
    sheets : int
        Number of sheets, 1 to 5.
    scale : float
        Factor on the transmittance [1].
    cos_incidence : array
        Cosines of the angle of incidence [1]; zero and below pass nothing.

    Returns
    -------
    array
        Transmittance, of the shape of ``cos_incidence`` [1].

    Raises
    ------
    InputError
        As :func:`stack`.

    Notes
    -----
    :func:`stack` on 8193 even steps of the cosine and straight lines between them, within 1e-6 of it.

    References
    ----------
    .. [1] :func:`stack`; the number below calculated from it.

    Examples
    --------
    >>> transmittance_curve(n=1.526, kl=0.0, sheets=1, scale=1.0, cos_incidence=np.array([1.0, 0.5, -0.2])).round(4)
    array([0.9169, 0.8421, 0.    ])
    """
    last = _TABLE - 1
    table = scale * np.asarray(stack(np.linspace(0.0, 1.0, _TABLE), n=n, kl=kl, sheets=sheets).transmittance)
    place = np.clip(cos_incidence, 0.0, 1.0) * last
    cell = np.minimum(place.astype(np.int32), last - 1)
    return np.asarray(table[cell] + (place - cell) * np.diff(table)[cell])
