"""Parts of another construction, cut out of the sides of a bare shape."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from heatloss.errors import InputError, UnknownNameError
from heatloss.geometry.surface import Body, Face, Polygon, Surface, above, area_vector, below, orientation
from heatloss.house.sides import GROUPS

if TYPE_CHECKING:
    from heatloss.house import FreeSurface, House, Part

_NOTHING = 1e-9  # share of a face below which nothing is left of it


@dataclass
class _Rest:
    """What is left of one face, and the pieces cut out of it so far."""

    face: Face
    area: float
    polygon: Polygon | None
    pieces: dict[str, tuple[float, Polygon | None]] = field(default_factory=dict)

    def take(self, part: Part, area: float, polygon: Polygon | None = None) -> None:
        self.pieces[part.name] = (area, polygon)
        self.area -= area
        if self.area <= _NOTHING * self.face.area:
            self.area = 0.0


def cut(body: Body, house: House) -> tuple[Surface, ...]:
    """All surfaces of a house: its faces, with the parts taken out of them.

    A part stands on every side it names, once on each. A part with a height alone is a strip along the whole side
    from its lowest edge up, measured plumb; a second strip stands on the first. A part with an area, or a width
    and a height, is an opening: it takes its area from what the strips leave, and from each face of a curved side
    in proportion. A part without size takes what is left of its sides. The order in which openings are declared
    changes nothing.

    Raises
    ------
    UnknownNameError
        If a part is on a side the shape does not have.
    InputError
        If a part is larger than what is left of its side, or bears the name of a surface that is left.
    """
    rests = [_Rest(f, f.area, f.polygon) for f in body.faces]
    by_size: dict[str, list[Part]] = {"strip": [], "opening": [], "whole": []}
    for part in house.part:
        by_size[_size(part)].append(part)
    feet: dict[str, float] = {}
    for part in by_size["strip"]:
        for side in _sides(part, body):
            feet[side] = _cut_strip(part, side, _on(rests, side), feet.get(side))
    for part in by_size["opening"]:
        for side in _sides(part, body):
            _cut_opening(part, side, _on(rests, side))
    for part in by_size["whole"]:
        for side in _sides(part, body):
            _cut_whole(part, side, _on(rests, side))
    return _surfaces(rests, house)


def _size(part: Part) -> str:
    if part.area is not None or (part.width is not None and part.height is not None):
        return "opening"
    return "whole" if part.height is None else "strip"


def _sides(part: Part, body: Body) -> list[str]:
    """Sides a part stands on, each once; a word for several sides leaves out one shared with a house."""
    known = list(dict.fromkeys(f.side for f in body.faces))
    free = [s for s in known if all(f.behind != "house" for f in body.faces if f.side == s)]
    several = {word: [s for s in free if s.split()[-1:] == [last]] for word, last in GROUPS.items()}
    several["dome"] = [s for s in free if s.split()[:1] == ["dome"]]
    several = {word: sides for word, sides in several.items() if sides} | {"all": free}
    faces = [f.name for f in body.faces]
    found: list[str] = []
    for word in part.on:
        if word in known or word in faces:
            found.append(word)
        elif word in several:
            found.extend(several[word])
        else:
            raise UnknownNameError("on", word, [*known, *several, *faces], f'part "{part.name}"')
    within = {f.name for f in body.faces if f.side in found and f.side != f.name}
    return [side for side in dict.fromkeys(found) if side not in within]


def _on(rests: list[_Rest], side: str) -> list[_Rest]:
    return [r for r in rests if side in (r.face.side, r.face.name)]


def _cut_strip(part: Part, side: str, rests: list[_Rest], foot: float | None) -> float:
    """Cut a strip of the part's height along a side and give the height of its upper edge."""
    height = part.height or 0.0
    levels = [p[2] for r in rests for p in r.face.polygon or ()]
    if not levels:
        raise InputError(
            f"height must come with a width on {side}, whose outline is not known, got {height:g} m alone "
            f'(part "{part.name}"). Give the part\'s area.'
        )
    foot = min(levels) if foot is None else foot
    left = max(levels) - foot
    if not 0.0 < height <= left * (1.0 + 1e-9):
        raise InputError(
            f"height must be above 0 and at most {left:.4g} m, what is left of {side}, got {height:.4g} m "
            f'(part "{part.name}").'
        )
    top = foot + min(height, left)
    for rest in rests:
        lower = below(rest.polygon or (), top)
        if lower and (area := orientation(area_vector(lower))[0]) > _NOTHING * rest.face.area:
            rest.take(part, min(area, rest.area), lower)
            rest.polygon = above(rest.polygon or (), top) or None
    if not any(part.name in r.pieces for r in rests):
        raise InputError(
            f'height must reach above the other strips on {side}, got {height:.4g} m (part "{part.name}").'
        )
    return top


def _cut_opening(part: Part, side: str, rests: list[_Rest]) -> None:
    wanted = part.area if part.area is not None else (part.width or 0.0) * (part.height or 0.0)
    left = sum(r.area for r in rests)
    if not 0.0 < wanted <= left * (1.0 + 1e-9):
        raise InputError(
            f"area must be above 0 and at most {left:.4g} m2, what is left of {side}, got {wanted:.4g} m2 "
            f'(part "{part.name}").'
        )
    for rest in rests:
        if rest.area > 0.0:
            rest.take(part, rest.area * min(wanted / left, 1.0))


def _cut_whole(part: Part, side: str, rests: list[_Rest]) -> None:
    if not any(r.area > 0.0 for r in rests):
        raise InputError(
            f'area must be free on {side}, got nothing left of it (part "{part.name}"). Other parts take it whole.'
        )
    for rest in rests:
        if rest.area > 0.0:
            rest.take(part, rest.area, rest.polygon)


def _surfaces(rests: list[_Rest], house: House) -> tuple[Surface, ...]:
    parts = {p.name: p for p in house.part}
    count = {name: sum(name in r.pieces for r in rests) for name in parts}
    found: list[Surface] = []
    for rest in rests:
        if rest.area > 0.0:
            found.append(_left_over(rest, house))
        for name in parts:
            if name in rest.pieces:
                found.append(_piece(rest, parts[name], alone=count[name] == 1))
    names = [s.name for s in found]
    if len(set(names)) < len(names):
        twice = next(n for n in names if names.count(n) > 1)
        raise InputError(f'name must differ from the names of the sides, got "{twice}" (part.name).')
    return tuple(found)


def _left_over(rest: _Rest, house: House) -> Surface:
    face = rest.face
    if face.filling is None and face.behind == "house":
        raise InputError(
            f"{face.side} must be described by parts as a whole, got {rest.area:.4g} m2 left to the cover "
            f'(shape.shared_wall). Add a [[part]] with on = "{face.side}" and its layers or u.'
        )
    bare = _bare(face, face.name, face.side, face.group, rest.area, rest.polygon)
    return _made(bare, face.filling) if face.filling is not None else replace(bare, glazing=house.cover.glazing)


def _piece(rest: _Rest, part: Part, *, alone: bool) -> Surface:
    face = rest.face
    name = part.name if alone else f"{part.name} on {face.name}"
    return _made(_bare(face, name, part.name, f"{part.name} on {face.group}", *rest.pieces[part.name]), part)


def _bare(face: Face, name: str, part: str, group: str, area: float, polygon: Polygon | None) -> Surface:
    """A surface on a face, without its construction."""
    place = (face.tilt, face.azimuth, face.plane, group)
    return Surface(name, part, "cover", area, *place, behind=face.behind, polygon=polygon, side=face.side)


def _made(bare: Surface, made: Part | FreeSurface) -> Surface:
    """The surface with the construction of a part or a free surface."""
    return replace(
        bare,
        role="cover" if made.glazing else "door" if made.door else "opaque",
        glazing=made.glazing,
        layers=made.layers,
        u=made.u,
        solar_absorptance=made.solar_absorptance,
        emissivity=made.emissivity,
        behind=bare.behind if made.behind == "outdoors" else made.behind,
    )
