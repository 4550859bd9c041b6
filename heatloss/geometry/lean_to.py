"""Lean-to: one roof slope from the wall of a heated house down to a lower wall."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatloss.geometry.prism import Edge, prism, words_of
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A lean-to of given length along the house, width away from it, low eave and high ridge at the shared wall.

    Sides: the two walls named like a gable's, one of them the shared wall with the house behind it; one roof, named
    after the side it looks to; two ends. The floor's edge along the house is not part of the perimeter.
    """
    half, ridge, eave = 0.5 * length_of(shape, "width"), length_of(shape, "ridge"), shape.eave or 0.0
    words = words_of(shape)
    left, right = f"{words.left} wall", f"{words.right} wall"
    if shape.shared_wall == left:
        shared, roof, start, end = left, f"{words.right} roof", (-half, ridge), (half, eave)
    else:
        shared, roof, start, end = right, f"{words.left} roof", (-half, eave), (half, ridge)
    edges = [
        Edge((-half, 0.0), start, left),
        Edge(start, end, roof),
        Edge(end, (half, 0.0), right),
    ]
    return prism(shape, edges, behind={shared: "house"})
