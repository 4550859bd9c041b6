"""The words for the sides of each shape, which parts and curtains stand on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from heatloss.house.shape import Shape

QUARTERS = ("dome north", "dome east", "dome south", "dome west")
GROUPS = {"walls": "wall", "ends": "end", "roof": "roof"}
"""Words for several sides, each with the last word of the sides it means."""
PIECE = re.compile(r"(roof strip|facet|riser) [0-9]{1,4}")
"""A single strip, facet or panel of a curved cover."""


def compass_words(bearing: float) -> tuple[str, str, str, str]:
    """The two long sides and the two ends of a house whose ridge lies along a bearing [deg], which counts modulo 180.

    Examples
    --------
    >>> compass_words(80.0)
    ('north', 'south', 'east', 'west')
    >>> compass_words(10.0)
    ('east', 'west', 'north', 'south')
    """
    if 45.0 <= bearing % 180.0 <= 135.0:
        return "north", "south", "east", "west"
    return "east", "west", "north", "south"


def sides(shape: Shape) -> tuple[str, ...]:
    """The side words of a shape; none for free surfaces, where each surface is its own side.

    A ridge between 45 and 135 deg lies east and west, so the long sides are the north and the south one. A lean-to
    slopes away from its shared wall, so its one roof is called after the low wall. A dome's facets
    belong to the quarter of the compass they face; the upright panels under them are its riser.
    """
    if shape.kind == "free":
        return ()
    if shape.kind == "dome":
        return (*QUARTERS, "riser") if shape.riser else QUARTERS
    first, second, front, back = compass_words(shape.bearing or 0.0)
    ends = (f"{front} end", f"{back} end")
    walls = (f"{first} wall", f"{second} wall")
    if shape.kind == "lean-to":
        low = second if shape.shared_wall == walls[0] else first
        return (*walls, f"{low} roof", *ends)
    if shape.kind == "box":
        return (*walls, "roof", *ends)
    roofs = (f"{first} roof", f"{second} roof")
    return (*(walls if shape.eave else ()), *roofs, *ends)


def side_words(shape: Shape, surfaces: Iterable[str] = ()) -> tuple[str, ...]:
    """Every word that a part of the shape may stand on: its sides, its free surfaces, and the words for several."""
    words = (*sides(shape), *surfaces)
    several = [word for word, last in GROUPS.items() if any(w.split()[-1:] == [last] for w in words)]
    dome = ["dome"] if shape.kind == "dome" else []
    return tuple(dict.fromkeys([*words, *several, *dome, "all"]))


def means(words: Iterable[str], shape: Shape, *, part: str, name: str = "", side: str = "") -> bool:
    """Whether words of an ``on`` key mean a piece: its own name, its part or side, or a word for several sides.

    Parameters
    ----------
    words : iterable of str
    shape : Shape
    part : str
        The side a surface belongs to, or the part it is.
    name : str
        The surface's own name.
    side : str
        The side that a part was cut out of; without it the part is taken for a side.
    """
    stands_in = side or part
    meant = {"all", part, name, stands_in}
    if stands_in in sides(shape):
        *first, last = stands_in.split()
        meant |= {word for word, ending in GROUPS.items() if ending == last} | {"dome"}.intersection(first)
    return bool(meant & set(words))
