"""Descriptions for the tests of this folder: the shape as a house file gives it, the rest as plain attributes."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from heatloss.house import Shape

UNITS = {"bearing": "deg", "floor_area": "m2", "volume": "m3"}
PART_KEYS = ("area", "width", "height", "glazing", "layers", "u", "door")
FACES = {"solar_absorptance": 0.6, "emissivity": 0.9, "behind": "outdoors"}


def shape(kind: str, **given: Any) -> Shape:
    """A shape from floats in metres and degrees."""
    typed = {k: (v, UNITS.get(k, "m")) if isinstance(v, float) else v for k, v in given.items() if v is not None}
    return Shape(kind=kind, **typed)


def part(name: str, *on: str, **given: Any) -> SimpleNamespace:
    made = {} if {"glazing", "layers", "door"} & set(given) else {"u": 0.5}
    return SimpleNamespace(name=name, on=on, **(dict.fromkeys(PART_KEYS) | FACES | made | given))


def free_surface(name: str, area: float, tilt: float, azimuth: float, **given: Any) -> SimpleNamespace:
    keys = dict.fromkeys(("glazing", "layers", "u", "door")) | FACES
    return SimpleNamespace(name=name, area=area, tilt=tilt, azimuth=azimuth, **(keys | given))


def house(form: Shape, *parts: SimpleNamespace, surface: tuple[SimpleNamespace, ...] = ()) -> SimpleNamespace:
    cover = SimpleNamespace(glazing="polycarbonate twin-wall 8 mm", bridging=1.05, frame=0.1, soiling=0.95)
    return SimpleNamespace(shape=form, cover=cover, part=parts, surface=surface, own=None)
