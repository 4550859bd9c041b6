"""Descriptions for the tests of this folder, without files."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

SHAPE_KEYS = (
    "length", "width", "eave", "ridge", "radius", "riser", "frequency", "portion", "bearing",
    "floor_area", "perimeter", "volume", "shared_wall", "strips",
)  # fmt: skip
PART_KEYS = ("area", "width", "height", "glazing", "layers", "u", "solar_absorptance", "emissivity", "behind")


def shape(kind: str, **given: Any) -> SimpleNamespace:
    return SimpleNamespace(kind=kind, **(dict.fromkeys(SHAPE_KEYS) | given))


def part(name: str, on: str | tuple[str, ...], **given: Any) -> SimpleNamespace:
    return SimpleNamespace(name=name, on=on, **(dict.fromkeys(PART_KEYS) | {"u": 0.5} | given))


def free_surface(name: str, area: float, tilt: float, azimuth: float, **given: Any) -> SimpleNamespace:
    keys = dict.fromkeys(("glazing", "layers", "u", "solar_absorptance", "emissivity")) | {"behind": "outdoors"}
    return SimpleNamespace(name=name, area=area, tilt=tilt, azimuth=azimuth, **(keys | given))


def house(form: SimpleNamespace, *parts: SimpleNamespace, surface: tuple[SimpleNamespace, ...] = ()) -> SimpleNamespace:
    cover = SimpleNamespace(glazing="polycarbonate twin-wall 8 mm", bridging=1.05, frame=0.1, soiling=0.95)
    return SimpleNamespace(shape=form, cover=cover, part=parts, surface=surface, own=None)
