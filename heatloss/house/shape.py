"""The table [shape]: the form of the house and what each form needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from heatloss.house import fields as f
from heatloss.house.entry import Entry, Fault, given, key, left_out
from heatloss.house.fields import KEY, shown
from heatloss.house.sides import compass_words

_RIDGE = ("length", "width", "eave", "ridge", "bearing")
_NEEDED = {
    "gable": _RIDGE, "box": ("length", "width", "eave", "bearing"), "hoop": ("length", "width", "bearing"),
    "gothic": ("length", "width", "ridge", "bearing"), "lean-to": (*_RIDGE, "shared_wall"), "dome": ("radius",),
    "free": ("floor_area", "perimeter", "volume"),
}  # fmt: skip
_ALLOWED = {
    "hoop": ("eave", "ridge", "radius", "strips"), "gothic": ("eave", "strips"),
    "dome": ("width", "ridge", "riser", "frequency", "portion", "bearing"),
}  # fmt: skip
KINDS = tuple(_NEEDED)


class Shape(Entry):
    """The form of the house and its outside dimensions, heights measured from the ground."""

    label: ClassVar[str] = "shape"
    kind: Annotated[Literal["gable", "box", "free", "hoop", "gothic", "lean-to", "dome"], f.Word(KINDS)] = key(
        "gable (two slopes), box (flat roof), hoop (round), gothic (pointed arch), lean-to, dome (geodesic), or free "
        "(you list the surfaces).",
        example="gable",
    )
    length: Annotated[float | None, f.LENGTH] = key("Along the ridge.", None, example="44 ft")
    width: Annotated[float | None, f.LENGTH] = key("Across the ridge, outside.", None, example="20 ft")
    eave: Annotated[float | None, f.LENGTH_OR_NONE] = key(
        "Height where the side wall meets the roof; for a box the height; for a hoop or gothic the height of the "
        "straight side wall, if any; for a lean-to the height of its low wall.",
        None,
        example="6 ft",
    )
    ridge: Annotated[float | None, f.LENGTH] = key(
        "Height of the highest line; for a lean-to where the roof meets the house.", None, example="11 ft"
    )
    radius: Annotated[float | None, f.LENGTH] = key(
        "Half of a dome's diameter, or of a half-round hoop's width.", None, example="15 ft"
    )
    riser: Annotated[float | None, f.LENGTH_OR_NONE] = key(
        "Height of the upright wall a dome stands on.", None, example="2 ft"
    )
    frequency: Annotated[int | None, f.Count(1, 12)] = key(
        "Into how many parts each edge of the dome's icosahedron is divided: 3 for a 3V dome.", None, example=3
    )
    portion: Annotated[Literal["1/2", "5/8"] | None, f.Word(("1/2", "5/8"))] = key(
        "How much of the sphere the dome is.", None, example="5/8"
    )
    bearing: Annotated[float | None, f.BEARING] = key(
        "Compass bearing along which the ridge lies: 90 deg for a ridge that runs east and west.",
        None,
        example="90 deg",
    )
    shared_wall: Annotated[str | None, f.Text()] = key(
        "The side of a lean-to that stands against the house, such as the north wall.", None, example="north wall"
    )
    strips: Annotated[int | None, f.Count(2, 200, even=True)] = key(
        "Into how many flat strips a round roof is divided for the sum.", None, example=12
    )
    floor_area: Annotated[float | None, f.AREA] = key("Floor of a free shape.", None, example="880 ft2")
    perimeter: Annotated[float | None, f.LENGTH] = key(
        "Length around the floor of a free shape.", None, example="128 ft"
    )
    volume: Annotated[float | None, f.VOLUME] = key("Air inside a free shape.", None, example="7480 ft3")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        kind = values.get("kind")
        if kind is None:
            return
        yield from _width_or_radius(values, typed)
        needed, allowed = _NEEDED[kind], (*_NEEDED[kind], *_ALLOWED.get(kind, ()))
        for name in needed:
            other = {"hoop": "radius", "dome": "width"}.get(kind) if name in ("width", "radius") else None
            if name not in typed and other not in typed:
                example = (cls.model_fields[name].examples or [""])[0]
                yield given(name, f"for a {kind}", f"{name} = {shown(example)}")
        for name in cls.model_fields:
            if name in typed and name not in ("kind", *allowed):
                yield left_out(name, f"for a {kind}", typed[name], f"A {kind} takes {', '.join(allowed)}.")
        _fill(values, kind)
        yield from _heights(values, typed)
        yield from _arch(values, typed)
        yield from _shared_wall(values)


def _width_or_radius(values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    """A half-round hoop and a dome are measured across or by half of it."""
    if values["kind"] not in ("hoop", "dome"):
        return
    if "width" in typed and "radius" in typed:
        yield left_out("radius", "where width is given", typed["radius"], "Keep the one you measured.")
    if "width" not in typed and values.get("radius"):
        values["width"] = 2.0 * values["radius"]
    elif "radius" not in typed and values.get("width"):
        values["radius"] = 0.5 * values["width"]


def _fill(values: dict[str, Any], kind: str) -> None:
    """Defaults that follow from the kind."""
    if kind in ("hoop", "gothic"):
        values.setdefault("eave", 0.0)
        values.setdefault("strips", 12)
    if kind == "hoop" and "width" in values:
        values.setdefault("ridge", values["eave"] + 0.5 * values["width"])
        values.pop("radius", None)
    if kind == "dome":
        values.pop("width", None)
        for name, value in (("riser", 0.0), ("frequency", 3), ("portion", "1/2"), ("bearing", 0.0)):
            values.setdefault(name, value)


def _heights(values: Mapping[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    ridge, eave = values.get("ridge"), values.get("eave")
    if ridge is not None and eave is not None and not ridge > eave:
        yield Fault(
            ("ridge",),
            f"{KEY} must be higher than shape.eave {shown(typed.get('eave'))}, got {shown(typed.get('ridge'))}. "
            "Measure both from the ground; the ridge is the highest line of the roof.",
        )
    if eave == 0.0 and values["kind"] == "box":
        yield Fault(("eave",), f"{KEY} must be above 0 for a box, got {shown(typed['eave'])}. It is its height.")


def _arch(values: Mapping[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    """A hoop is at most half a round."""
    width, ridge = values.get("width"), values.get("ridge")
    if values["kind"] != "hoop" or width is None or ridge is None:
        return
    if ridge - values["eave"] > 0.5 * width * (1.0 + 1e-6):
        yield Fault(
            ("ridge",),
            f"{KEY} must be at most half the width above the eave for a hoop, got {shown(typed.get('ridge'))}. "
            'A higher arch is kind = "gothic".',
        )


def _shared_wall(values: Mapping[str, Any]) -> Iterator[Fault]:
    bearing, wall = values.get("bearing"), values.get("shared_wall")
    if values["kind"] == "lean-to" and bearing is not None and wall is not None:
        first, second, _, _ = compass_words(bearing)
        if wall not in (f"{first} wall", f"{second} wall"):
            yield Fault(
                ("shared_wall",),
                f'{KEY} must be "{first} wall" or "{second} wall" with this bearing, got {shown(wall)}. '
                "The bearing is that of the ridge, which lies along the shared wall.",
            )
