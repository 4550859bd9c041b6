"""The plane pieces a house is made of, before and after parts are cut out of them.

Places are metres east, north and up of the middle of the floor; azimuths are degrees clockwise from true north.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.house import FreeSurface, Layer, Shape

Point = tuple[float, float, float]
Polygon = tuple[Point, ...]


@dataclass(frozen=True)
class Surface:
    """One plane piece of one construction.

    Attributes
    ----------
    name : str
        Unique in the house.
    part : str
        The side it belongs to, or the name of the part that was cut out of that side.
    role : str
        ``"cover"`` (it has a glazing), ``"door"`` (it has a row of the door catalogue) or ``"opaque"``.
    area : float
        Net area, parts taken off [m2].
    tilt : float
        Angle between the outward normal and the zenith [deg]: 0 roof, 90 wall, above 90 leaning outward.
    azimuth : float
        Direction of the outward normal, clockwise from north [deg]; 0 where the tilt is 0 or 180.
    plane : str
        Surfaces with the same key lie in one plane, or face the same way, and cannot see each other.
    group : str
        Surfaces with the same key have one construction and may share a temperature.
    glazing, layers, u :
        What it is made of; exactly one of the three is given. u in [W/(m2 K)], of a door that of its catalogue row.
    solar_absorptance, emissivity : float or None
        Inside face; None where the glazing's catalogue row decides [1].
    behind : str or float
        ``"outdoors"``, ``"ground"``, ``"house"`` (a heated house) or a fixed temperature [degC].
    polygon : tuple of points or None
        Outline seen from outside, counter-clockwise [m]. An opening given by its area alone has no place, so it
        has no outline and leaves no hole in its side's outline.
    side : str
        The side it stands in: of a part, the side it was cut out of.
    """

    name: str
    part: str
    role: str
    area: float
    tilt: float
    azimuth: float
    plane: str
    group: str
    glazing: str | None = None
    layers: tuple[Layer, ...] | None = None
    u: float | None = None
    solar_absorptance: float | None = None
    emissivity: float | None = None
    behind: str | float = "outdoors"
    polygon: Polygon | None = None
    side: str = ""


@dataclass(frozen=True)
class Geometry:
    """A whole house as plane surfaces over a floor.

    Attributes
    ----------
    surfaces : tuple of Surface
        In a fixed order: side by side, in each side first what is left of the cover, then its parts as declared.
    floor_area, perimeter, volume : float
        Floor [m2], its edge towards the outdoors (a wall shared with a house left out) [m], and air [m3].
    floor : tuple of points or None
        Outline of the floor [m]; None for free surfaces.
    notes : tuple of str
        What was assumed where the description left something open.
    """

    surfaces: tuple[Surface, ...]
    floor_area: float
    perimeter: float
    volume: float
    floor: Polygon | None = None
    notes: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """Mean inside height, the volume over the floor area [m]."""
        return self.volume / self.floor_area


@dataclass(frozen=True)
class Face:
    """One plane piece of a bare shape; ``filling`` is its own construction, None for the house's cover."""

    name: str
    side: str
    area: float
    tilt: float
    azimuth: float
    plane: str
    group: str
    behind: str | float = "outdoors"
    polygon: Polygon | None = None
    filling: FreeSurface | None = None


@dataclass(frozen=True)
class Body:
    """A bare shape: its faces in order, its floor, its volume, and what was assumed."""

    faces: tuple[Face, ...]
    floor_area: float
    perimeter: float
    volume: float
    floor: Polygon | None = None
    notes: tuple[str, ...] = ()


def length_of(shape: Shape, key: str) -> float:
    """A dimension that the shape cannot do without [m, m2 or m3].

    Raises
    ------
    InputError
        If it is absent or not above zero.
    """
    value: float | None = getattr(shape, key)
    if value is None or not value > 0.0:
        got = "nothing" if value is None else f"{value:g}"
        raise InputError(f"{key} must be above 0 for a {shape.kind}, got {got} (shape.{key}).")
    return value


def ring_group(side: str, tilt: float, step: float) -> str:
    """Key of the faces of a curved side whose tilts lie in one step.

    Examples
    --------
    >>> ring_group("south roof", 52.5, 15.0)
    'south roof tilt 45-60'
    """
    low = step * (round(tilt, 6) // step)
    return f"{side} tilt {low:g}-{low + step:g}"


def area_vector(polygon: Sequence[Point]) -> Point:
    """Area times normal of a plane polygon [m2]; the normal points to where its corners run counter-clockwise.

    Notes
    -----
    Half the sum of the cross products of neighbouring corners (Newell's form of the shoelace sum).

    Examples
    --------
    >>> area_vector([(0.0, 0.0, 2.0), (3.0, 0.0, 2.0), (3.0, 4.0, 2.0), (0.0, 4.0, 2.0)])
    (0.0, 0.0, 12.0)
    """
    x0, y0, z0 = polygon[0]
    x = y = z = 0.0
    corners = [(px - x0, py - y0, pz - z0) for px, py, pz in polygon[1:]]
    for (ax, ay, az), (bx, by, bz) in pairwise(corners):
        x += 0.5 * (ay * bz - az * by)
        y += 0.5 * (az * bx - ax * bz)
        z += 0.5 * (ax * by - ay * bx)
    return x, y, z


def orientation(vector: Point) -> tuple[float, float, float]:
    """Length, tilt [deg] and azimuth [deg] of an outward area vector.

    Examples
    --------
    >>> orientation((0.0, -3.0, 0.0))
    (3.0, 90.0, 180.0)
    """
    x, y, z = vector
    level = math.hypot(x, y)
    tilt = math.degrees(math.atan2(level, z))
    if level <= 1e-12 * abs(z):
        return abs(z), 0.0 if z > 0.0 else 180.0, 0.0
    azimuth = round(math.degrees(math.atan2(x, y)), 10) % 360.0  # rounded so that north is 0, never 360
    return math.hypot(level, z), tilt, azimuth


def outward(polygon: Polygon, inside: Point) -> Polygon:
    """The polygon with its corners in the order that is counter-clockwise seen from outside."""
    normal = area_vector(polygon)
    towards = sum(n * (p - i) for n, p, i in zip(normal, polygon[0], inside, strict=True))
    return polygon if towards > 0.0 else polygon[::-1]


def below(polygon: Polygon, level: float) -> Polygon:
    """The part of a convex polygon at or under a height, empty if there is none.

    Examples
    --------
    >>> below(((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (0.0, 0.0, 2.0)), 1.0)
    ((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (1.0, 0.0, 1.0), (0.0, 0.0, 1.0))
    """
    return _clipped(polygon, level, 1.0)


def above(polygon: Polygon, level: float) -> Polygon:
    """The part of a convex polygon at or over a height, empty if there is none."""
    return _clipped(polygon, level, -1.0)


def _clipped(polygon: Polygon, level: float, sign: float) -> Polygon:
    kept: list[Point] = []
    for a, b in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        da, db = sign * (level - a[2]), sign * (level - b[2])
        if da >= 0.0:
            kept.append(a)
        if da * db < 0.0:
            share = da / (da - db)
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), level))
    return tuple(kept) if len(kept) >= 3 else ()
