"""Geodesic dome: an icosahedron divided, blown up to a sphere and cut flat at the base.

The icosahedron stands on a corner and each of its faces is divided into frequency^2 triangles with edges parallel
to its own (class I); every corner is then moved out to the sphere along its radius.

The corners lie in 3 x frequency rings one under the other. The base of half a sphere is its equator; that of five
eighths lies a quarter of the radius under it, so that the dome is five eighths of the diameter high. An even
frequency has a ring of corners exactly on the equator. In all other cases (odd frequencies, and five eighths) no
ring is level there: the ring nearest to the base is taken, the upper one of two equally near, its corners slide
along their meridians to the height of the base, and all rings under it go. They stay on the sphere, the floor is a
plane polygon with every corner on one circle, and the triangles over it close it without gaps or trimmed facets.

A kit cut level at a ring itself may stand lower (three divisions, "5/8": 1.18 radii over the base, not 1.25). Its
measured height, given as ridge, puts the base where it is.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.surface import (
    Body,
    Face,
    Point,
    Polygon,
    area_vector,
    length_of,
    orientation,
    outward,
    ring_group,
)

if TYPE_CHECKING:
    from heatloss.house import Shape

PORTIONS = {"1/2": 1.0, "5/8": 1.25}
"""Height of the dome over its base in radii."""
RING = 30.0
"""Facets may share a temperature within this step of tilt [deg], a quarter of the compass at a time."""
QUARTERS = ("north", "east", "south", "west")

Corner = tuple[tuple[int, int], ...]  # (icosahedron corner, weight) pairs: exact, so shared corners are one


def body(shape: Shape) -> Body:
    """A dome of given sphere radius, frequency and portion, on an optional riser wall.

    Sides: "dome north", "dome east", "dome south", "dome west" hold the facets by the quarter they face, "riser" the
    plane panels plumb under the edges of the base. Facets are named "facet 1" on, panels "riser 1" on, from the top
    down and clockwise from north. Five icosahedron edges run down from the top, one of them towards the bearing.

    Raises
    ------
    InputError
        If a height given as ridge leaves no dome.

    Notes
    -----
    Each facet is a plane of its own. The group of a facet is its quarter and its tilt in steps of 30 deg. The hull
    is inscribed: areas and volume are below those of the sphere, and reach them as the frequency grows.

    References
    ----------
    H. Kenner, Geodesic Math and How to Use It, University of California Press 1976, for class I division; from
    memory. The rule for the base is this library's own.
    """
    radius, rise, riser = _sphere(shape)
    corners, triangles = mesh(shape.frequency or 3, rise / radius)
    turn = math.radians(shape.bearing or 0.0)
    lift = riser - (radius - rise)
    placed = {k: _placed(p, radius, turn, lift) for k, p in corners.items()}
    middle = (0.0, 0.0, riser + 0.3 * rise)
    facets = sorted((outward(tuple(placed[k] for k in t), middle) for t in triangles), key=_from_the_top)
    rim = sorted((p for p in placed.values() if abs(p[2] - riser) < 1e-9 * radius), key=_clockwise)
    floor: Polygon = tuple((x, y, 0.0) for x, y, _ in rim)[::-1]
    floor_area = area_vector(floor)[2]
    edges = list(zip(rim, [*rim[1:], rim[0]], strict=True))
    faces = [_face(f"facet {i + 1}", polygon, "dome") for i, polygon in enumerate(facets)]
    if riser > 0.0:
        faces += [
            _face(f"riser {i + 1}", outward((a, b, (b[0], b[1], 0.0), (a[0], a[1], 0.0)), middle), "riser")
            for i, (a, b) in enumerate(edges)
        ]
    cap = sum(_height_weight(polygon, riser) for polygon in facets) / 3.0
    perimeter = sum(math.dist(a, b) for a, b in edges)
    return Body(tuple(faces), floor_area, perimeter, floor_area * riser + cap, floor)


def mesh(frequency: int, height: float) -> tuple[dict[Corner, Point], list[tuple[Corner, Corner, Corner]]]:
    """Corners and triangles of a dome cut from the unit sphere.

    Parameters
    ----------
    frequency : int
        Divisions of an icosahedron edge.
    height : float
        Height of the top over the base in radii.

    Returns
    -------
    corners : dict
        Place of each corner on the unit sphere, its centre at zero.
    triangles : list
        Triples of corners.

    Examples
    --------
    >>> corners, triangles = mesh(2, 1.0)
    >>> len(corners), len(triangles)
    (26, 40)
    """
    tops, levels, faces = _icosahedron()
    level: dict[Corner, int] = {}
    triangles = [t for face in faces for t in _divided(face, frequency)]
    for corner in {k for t in triangles for k in t}:
        level[corner] = sum(weight * levels[i] for i, weight in corner)
    sphere = {k: _blown_up(k, tops) for k in level}
    base = 1.0 - height
    rings = range(1, 3 * frequency)
    heights = {n: [sphere[k][2] for k in sphere if level[k] == n] for n in rings}
    last = min(rings, key=lambda n: round(abs(0.5 * (min(heights[n]) + max(heights[n])) - base), 9))
    if last > 1 and not min(heights[last - 1]) > base + 1e-6:
        raise InputError(
            f"ridge must leave a ring of facets over the base, got a dome {height:.4g} radii high (shape.ridge)."
        )
    kept = {k: _slid(p, base) if level[k] == last else p for k, p in sphere.items() if level[k] <= last}
    return kept, [t for t in triangles if all(k in kept for k in t)]


def _sphere(shape: Shape) -> tuple[float, float, float]:
    """Radius of the sphere, height of the dome over its base, height of the riser wall [m]."""
    radius, riser = length_of(shape, "radius"), shape.riser or 0.0
    if shape.ridge is None:
        return radius, PORTIONS[shape.portion or "1/2"] * radius, riser
    rise = shape.ridge - riser
    if not 0.5 * radius < rise < 1.6 * radius:
        raise InputError(
            f"ridge must be 0.5 to 1.6 radii over the riser, got {rise / radius:.3g} radii (shape.ridge). "
            "It is the height of the top over the floor."
        )
    return radius, rise, riser


def _icosahedron() -> tuple[list[Point], list[int], list[tuple[int, int, int]]]:
    """Corners of the unit icosahedron on a corner, the level 0 to 3 of each, and its 20 faces."""
    up = 1.0 / math.sqrt(5.0)
    corners: list[Point] = [(0.0, 0.0, 1.0)]
    for z, start in ((up, 0.0), (-up, 36.0)):
        for k in range(5):
            a = math.radians(start + 72.0 * k)
            corners.append((2.0 * up * math.sin(a), 2.0 * up * math.cos(a), z))
    corners.append((0.0, 0.0, -1.0))
    edge = math.sqrt(2.0 - 2.0 * up)
    near = {(i, j) for i, j in combinations(range(12), 2) if math.dist(corners[i], corners[j]) < 1.01 * edge}
    faces = [(i, j, k) for i, j, k in combinations(range(12), 3) if {(i, j), (i, k), (j, k)} <= near]
    return corners, [0] + [1] * 5 + [2] * 5 + [3], faces


def _divided(face: tuple[int, int, int], frequency: int) -> list[tuple[Corner, Corner, Corner]]:
    """The frequency^2 triangles of one icosahedron face."""

    def corner(i: int, j: int) -> Corner:
        weights = zip(face, (i, j, frequency - i - j), strict=True)
        return tuple((c, w) for c, w in weights if w)

    found = []
    for i in range(frequency):
        for j in range(frequency - i):
            found.append((corner(i, j), corner(i + 1, j), corner(i, j + 1)))
            if i + j < frequency - 1:
                found.append((corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)))
    return found


def _blown_up(corner: Corner, tops: list[Point]) -> Point:
    x, y, z = (sum(weight * tops[i][axis] for i, weight in corner) for axis in range(3))
    r = math.hypot(x, y, z)
    return x / r, y / r, z / r


def _slid(point: Point, level: float) -> Point:
    """The point of the unit sphere on the same meridian at a height."""
    scale = math.sqrt(1.0 - level**2) / math.hypot(point[0], point[1])
    return point[0] * scale, point[1] * scale, level


def _placed(point: Point, radius: float, turn: float, lift: float) -> Point:
    """A corner turned clockwise, at full size, with the floor at zero."""
    x, y, z = point
    east = radius * (x * math.cos(turn) + y * math.sin(turn))
    north = radius * (y * math.cos(turn) - x * math.sin(turn))
    return east, north, radius * z + lift


def _face(name: str, polygon: Polygon, kind: str) -> Face:
    area, tilt, azimuth = orientation(area_vector(polygon))
    quarter = QUARTERS[int(round(azimuth + 45.0, 6) % 360.0 // 90.0)]
    side, group = kind, f"{kind} {quarter}"
    if kind == "dome":
        side, group = group, ring_group(group, tilt, RING)
    return Face(name, side, area, tilt, azimuth, plane=name, group=group, polygon=polygon)


def _from_the_top(polygon: Polygon) -> tuple[float, float]:
    middle = tuple(sum(p[axis] for p in polygon) / len(polygon) for axis in range(3))
    return -round(middle[2], 6), round(math.atan2(middle[0], middle[1]) % math.tau, 6) % round(math.tau, 6)


def _clockwise(point: Point) -> float:
    return round(math.atan2(point[0], point[1]) % math.tau, 9) % round(math.tau, 9)


def _height_weight(polygon: Polygon, level: float) -> float:
    """Three times the volume of the pyramid from the middle of the base to a facet."""
    x, y, z = area_vector(polygon)
    px, py, pz = polygon[0]
    return x * px + y * py + z * (pz - level)
