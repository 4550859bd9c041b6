"""Free surfaces: a house given as a plain list of areas with tilt and azimuth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatloss.geometry.surface import Body, Face, length_of

if TYPE_CHECKING:
    from heatloss.house import House


def body(house: House) -> Body:
    """The surfaces as listed; floor area, perimeter and volume as typed.

    Every surface is a side of its own name. Those that face the same way are taken to lie in one plane, because
    two of them cannot see each other (two parallel roofs hardly do).
    """
    shape = house.shape
    faces = []
    for s in house.surface:
        level = abs(s.tilt) < 1e-9 or abs(s.tilt - 180.0) < 1e-9
        azimuth = 0.0 if level else s.azimuth % 360.0
        plane = f"tilt {s.tilt:.2f} azimuth {azimuth:.2f}"
        faces.append(Face(s.name, s.name, s.area, s.tilt, azimuth, plane, s.name, s.behind, filling=s))
    return Body(tuple(faces), length_of(shape, "floor_area"), length_of(shape, "perimeter"), length_of(shape, "volume"))
