"""Gable house: two side walls, two equal roof slopes, two pentagonal ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatloss.geometry.prism import Edge, prism, words_of
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A gable house of given length, width, eave and ridge height.

    Sides: "north wall", "north roof", "south roof", "south wall", "east end", "west end" for a ridge that lies
    east and west, and their neighbours of the compass for one that lies north and south.
    """
    width, ridge, eave = length_of(shape, "width"), length_of(shape, "ridge"), shape.eave or 0.0
    words, half = words_of(shape), 0.5 * width
    return prism(
        shape,
        [
            Edge((-half, 0.0), (-half, eave), f"{words.left} wall"),
            Edge((-half, eave), (0.0, ridge), f"{words.left} roof"),
            Edge((0.0, ridge), (half, eave), f"{words.right} roof"),
            Edge((half, eave), (half, 0.0), f"{words.right} wall"),
        ],
    )
