"""A shape that is one cross-section drawn out along its ridge: every kind but the dome and free surfaces."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.surface import Body, Face, Point, Polygon, area_vector, length_of, orientation, outward

if TYPE_CHECKING:
    from heatloss.house import Shape


@dataclass(frozen=True)
class Words:
    """Compass words of a house that lies along a bearing.

    ``left`` and ``right`` are the sides 90 deg before and after the bearing, ``front`` and ``back`` its two ends.
    """

    left: str
    right: str
    front: str
    back: str


@dataclass(frozen=True)
class Edge:
    """One straight edge of a cross-section, from foot to foot over the roof.

    Across is metres to the right of the ridge line; ``side`` is the side word it belongs to; ``name`` is its own
    name, the side word if empty.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    side: str
    name: str = ""


def side_words(bearing: float) -> Words:
    """Compass words of the four sides of a house whose ridge lies along a bearing [deg].

    Notes
    -----
    The bearing counts modulo 180. From 45 to 135 the house lies east and west, so that its long sides are the
    north and the south one; otherwise it lies north and south.

    Examples
    --------
    >>> side_words(80.0)
    Words(left='north', right='south', front='east', back='west')
    """
    b = bearing % 180.0
    if b < 45.0:
        return Words("west", "east", "north", "south")
    if b <= 135.0:
        return Words("north", "south", "east", "west")
    return Words("east", "west", "south", "north")


def words_of(shape: Shape) -> Words:
    """Side words of a shape that must have a bearing."""
    return side_words(bearing_of(shape))


def bearing_of(shape: Shape) -> float:
    """Bearing of the ridge from 0 up to 180 [deg].

    Raises
    ------
    InputError
        If the shape has none.
    """
    if shape.bearing is None:
        raise InputError(
            f"bearing must be the direction of the ridge [deg] for a {shape.kind}, got nothing (shape.bearing). "
            'Write bearing = "90 deg" for a house that lies east and west.'
        )
    return shape.bearing % 180.0


def prism(shape: Shape, edges: Sequence[Edge], behind: Mapping[str, str] | None = None) -> Body:
    """The body over a convex cross-section, with its two ends.

    Parameters
    ----------
    shape : Shape
        Gives the length [m] and the bearing [deg].
    edges : sequence of Edge
        From the left foot to the right foot; edges without length are left out.
    behind : mapping, optional
        What lies behind a side, where it is not the outdoors.

    Returns
    -------
    Body
        Faces in the order of the edges, then the end the bearing points to, then the other.

    Notes
    -----
    The volume is the area of the polygonal cross-section times the length, so that it belongs to the same plane
    strips as the areas.
    """
    behind = behind or {}
    length, words = length_of(shape, "length"), words_of(shape)
    half = 0.5 * length
    b = math.radians(bearing_of(shape))

    def place(along: float, point: tuple[float, float]) -> Point:
        across, up = point
        return (along * math.sin(b) + across * math.cos(b), along * math.cos(b) - across * math.sin(b), up)

    edges = [e for e in edges if math.dist(e.start, e.end) > 0.0]
    section = [edges[0].start, *(e.end for e in edges)]
    middle = place(0.0, (sum(p[0] for p in section) / len(section), sum(p[1] for p in section) / len(section)))
    sheets: list[tuple[str, str, Polygon]] = []
    for e in edges:
        corners = (place(-half, e.start), place(half, e.start), place(half, e.end), place(-half, e.end))
        sheets.append((e.name or e.side, e.side, corners))
    for word, along in ((f"{words.front} end", half), (f"{words.back} end", -half)):
        sheets.append((word, word, tuple(place(along, p) for p in section)))
    faces = tuple(
        flat_face(name, side, outward(polygon, middle), behind=behind.get(side, "outdoors"))
        for name, side, polygon in sheets
    )
    left, right = section[0], section[-1]
    floor = (place(-half, left), place(-half, right), place(half, right), place(half, left))
    if area_vector(floor)[2] < 0.0:
        floor = floor[::-1]
    width = right[0] - left[0]
    shared = sum(length for side in behind if side.endswith("wall"))
    return Body(faces, width * length, 2.0 * (width + length) - shared, section_area(section) * length, floor)


def flat_face(name: str, side: str, polygon: Polygon, *, group: str = "", behind: str = "outdoors") -> Face:
    """A face with the area, tilt and azimuth of its polygon, in a plane of its own."""
    area, tilt, azimuth = orientation(area_vector(polygon))
    return Face(name, side, area, tilt, azimuth, plane=name, group=group or name, behind=behind, polygon=polygon)


def section_area(section: Sequence[tuple[float, float]]) -> float:
    """Area of a cross-section given by its corners [m2], by the shoelace sum."""
    pairs = zip(section, [*section[1:], section[0]], strict=True)
    return abs(0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs))


def vault(shape: Shape, curve: Sequence[tuple[float, float]]) -> Body:
    """The body under a curved roof on side walls.

    ``curve`` holds the corners of the plane strips from the left eave to the right one; its middle corner is the
    ridge.
    """
    words = words_of(shape)
    strips = len(curve) - 1
    edges = [Edge((curve[0][0], 0.0), curve[0], f"{words.left} wall")]
    for i, (start, end) in enumerate(pairwise(curve)):
        side = words.left if i < strips // 2 else words.right
        edges.append(Edge(start, end, f"{side} roof", f"roof strip {i + 1}"))
    edges.append(Edge(curve[-1], (curve[-1][0], 0.0), f"{words.right} wall"))
    return prism(shape, edges)


def strip_count(shape: Shape) -> int:
    """Number of plane strips of a curved roof, 12 unless the shape says otherwise.

    Raises
    ------
    InputError
        If it is odd (the ridge must fall between two strips) or below 2.
    """
    strips = 12 if shape.strips is None else shape.strips
    if strips < 2 or strips % 2:
        raise InputError(
            f"strips must be an even number of 2 or more, got {strips} (shape.strips). "
            "The ridge falls between two strips."
        )
    return strips
