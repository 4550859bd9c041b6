"""From the description of a house to its plane surfaces: areas, tilts, azimuths, floor, edge and volume.

A shape is one file with a ``body`` function and one line in ``SHAPES``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from heatloss.geometry import box, dome, free, gable, gothic, hoop, lean_to
from heatloss.geometry.parts import cut
from heatloss.geometry.surface import Body, Geometry, Surface
from heatloss.geometry.table import surfaces

if TYPE_CHECKING:
    from heatloss.house import House, Shape

__all__ = ["SHAPES", "Geometry", "Surface", "build", "surfaces"]

SHAPES: dict[str, Callable[[Shape], Body]] = {
    "gable": gable.body,
    "box": box.body,
    "hoop": hoop.body,
    "gothic": gothic.body,
    "lean-to": lean_to.body,
    "dome": dome.body,
}


def build(house: House) -> Geometry:
    """Surfaces, floor and volume of a house.

    Parameters
    ----------
    house : House
        Its shape, cover, parts and, for the kind "free", its surfaces.

    Returns
    -------
    Geometry
        Lengths in [m], areas in [m2], volume in [m3], angles in [deg].

    Raises
    ------
    InputError
        If the dimensions do not fit together, or a part is larger than what is left of its side.
    """
    shape = house.shape
    body = free.body(house) if shape.kind == "free" else SHAPES[shape.kind](shape)
    return Geometry(cut(body, house), body.floor_area, body.perimeter, body.volume, body.floor, body.notes)
