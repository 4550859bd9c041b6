"""Box: four walls under a flat roof."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatloss.geometry.prism import Edge, prism, words_of
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A box of given length, width and eave height; the bearing is that of its length.

    Sides: two walls and two ends named like a gable's, and "roof", which is one and flat.
    """
    half, eave = 0.5 * length_of(shape, "width"), length_of(shape, "eave")
    words = words_of(shape)
    return prism(
        shape,
        [
            Edge((-half, 0.0), (-half, eave), f"{words.left} wall"),
            Edge((-half, eave), (half, eave), "roof"),
            Edge((half, eave), (half, 0.0), f"{words.right} wall"),
        ],
    )
