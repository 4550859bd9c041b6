"""Lean-to: one roof slope from the wall of a heated house down to a lower wall."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.prism import Edge, prism, words_of
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A lean-to of given length along the house, width away from it, low eave and high ridge at the shared wall.

    Sides: the two walls named like a gable's, one of them the shared wall with the house behind it; one roof, named
    after the side it looks to; two ends. The floor's edge along the house is not part of the perimeter.

    Raises
    ------
    InputError
        If a dimension is missing, the ridge is not above the eave, or the shared wall is not one of the two long
        walls.
    """
    half, ridge, eave = 0.5 * length_of(shape, "width"), length_of(shape, "ridge"), shape.eave or 0.0
    if not ridge > eave >= 0.0:
        raise InputError(
            f"ridge must be above the eave of {eave:.4g} m, got {ridge:.4g} m (shape.ridge). "
            "The ridge is the high edge at the house."
        )
    words = words_of(shape)
    left, right = f"{words.left} wall", f"{words.right} wall"
    if shape.shared_wall not in (left, right):
        got = "nothing" if shape.shared_wall is None else repr(shape.shared_wall)
        raise InputError(
            f'shared_wall must be "{left}" or "{right}" at this bearing, got {got} (shape.shared_wall). '
            "It is the long wall at the house."
        )
    if shape.shared_wall == left:
        high, low, roof = (-half, ridge), (half, eave), f"{words.right} roof"
    else:
        high, low, roof = (half, ridge), (-half, eave), f"{words.left} roof"
    start, end = sorted((high, low))
    edges = [
        Edge((-half, 0.0), start, left),
        Edge(start, end, roof),
        Edge(end, (half, 0.0), right),
    ]
    return prism(shape, edges, behind={shape.shared_wall: "house"})
