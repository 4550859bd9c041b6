"""From the description of a house to its plane surfaces: areas, tilts, azimuths, floor, edge and volume.

A shape is one file with a ``body`` function and one line in ``SHAPES``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from heatloss.errors import InputError, UnknownNameError
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
    UnknownNameError
        If the kind of shape, or a side a part is on, is not known.
    InputError
        If a dimension is missing or does not fit, or a part is larger than what is left of its side.
    """
    shape = house.shape
    if shape.kind == "free":
        body = free.body(house)
    elif shape.kind in SHAPES:
        if house.surface:
            raise InputError(
                f'surface must be empty for a {shape.kind}, got {len(house.surface)} (surface). Use kind = "free".'
            )
        body = SHAPES[shape.kind](shape)
    else:
        raise UnknownNameError("kind", shape.kind, [*SHAPES, "free"], "shape.kind")
    return Geometry(cut(body, house), body.floor_area, body.perimeter, body.volume, body.floor)
