"""A shape that is one cross-section drawn out along its ridge: every kind but the dome and free surfaces."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

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
from heatloss.house.sides import compass_words

if TYPE_CHECKING:
    from heatloss.house import Shape

STRIP_RING = 15.0
"""Strips of a curved roof may share a temperature within this step of tilt [deg]."""


@dataclass(frozen=True)
class Words:
    """Compass words of a house that lies along a bearing.

    ``left`` and ``right`` are the sides 90 deg before and after the bearing, ``front`` and ``back`` its two ends, for a
    bearing from 0 up to 180 deg.
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


def words_of(shape: Shape) -> Words:
    """Compass words of the sides of a shape by where its bearing puts them."""
    bearing = bearing_of(shape)
    first, second, front, back = compass_words(bearing)
    if bearing > 135.0:
        return Words(first, second, back, front)
    return Words(first, second, front, back) if bearing >= 45.0 else Words(second, first, front, back)


def bearing_of(shape: Shape) -> float:
    """Bearing of the ridge from 0 up to 180 [deg]; where it is not given, 0."""
    return (shape.bearing or 0.0) % 180.0


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
    faces = tuple(_face(name, side, outward(polygon, middle), behind) for name, side, polygon in sheets)
    left, right = section[0], section[-1]
    floor = (place(-half, left), place(-half, right), place(half, right), place(half, left))
    if area_vector(floor)[2] < 0.0:
        floor = floor[::-1]
    width = right[0] - left[0]
    shared = sum(length for side in behind if side.endswith("wall"))
    return Body(faces, width * length, 2.0 * (width + length) - shared, section_area(section) * length, floor)


def _face(name: str, side: str, polygon: Polygon, behind: Mapping[str, str]) -> Face:
    area, tilt, azimuth = orientation(area_vector(polygon))
    group = name if name == side else ring_group(side, tilt, STRIP_RING)
    return Face(name, side, area, tilt, azimuth, name, group, behind.get(side, "outdoors"), polygon)


def section_area(section: Sequence[tuple[float, float]]) -> float:
    """Area of a cross-section given by its corners [m2], by the shoelace sum."""
    pairs = zip(section, [*section[1:], section[0]], strict=True)
    return abs(0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs))


def vault(shape: Shape, curve: Sequence[tuple[float, float]]) -> Body:
    """The body under a curved roof on side walls.

    ``curve`` holds the corners of the plane strips from the left eave to the right one; its middle corner is the
    ridge. Each strip is a plane of its own; those of a side within one step of 15 deg of tilt share a group.
    """
    words = words_of(shape)
    strips = len(curve) - 1
    edges = [Edge((curve[0][0], 0.0), curve[0], f"{words.left} wall")]
    for i, (start, end) in enumerate(pairwise(curve)):
        side = words.left if i < strips // 2 else words.right
        edges.append(Edge(start, end, f"{side} roof", f"roof strip {i + 1}"))
    edges.append(Edge(curve[-1], (curve[-1][0], 0.0), f"{words.right} wall"))
    return prism(shape, edges)
