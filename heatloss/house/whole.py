"""The whole house: its tables together, the checks between them, and the schema."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Annotated, Any, ClassVar

from pydantic import PrivateAttr

from heatloss import catalogue
from heatloss.errors import InputError, nearest
from heatloss.house import contents as c
from heatloss.house import fields as f
from heatloss.house import models as m
from heatloss.house import stores as s
from heatloss.house.entry import Entry, Fault, HouseError, Many, One, given, key, keys
from heatloss.house.fields import KEY, OWN, shown
from heatloss.house.shape import Shape
from heatloss.house.sides import PIECE, side_words

ORIGIN: ContextVar[tuple[str, Path]] = ContextVar("what is read and its folder", default=("the house", Path()))


class House(Entry):
    """A greenhouse, as a house file describes it. All quantities are floats in SI units.

    Parameters
    ----------
    **typed
        The tree of a house file: quantities are strings with units or pairs such as ``(2.4, "m")``.

    Raises
    ------
    InputError
        With every fault of the description, one a line.

    Examples
    --------
    >>> house = House(
    ...     shape={"kind": "box", "length": "44 ft", "width": "20 ft", "eave": (2.4, "m"), "bearing": "90 deg"},
    ...     cover={"glazing": "polycarbonate twin-wall 8 mm"},
    ...     air={"ach": 0.8},
    ... )
    >>> house.shape.eave, round(house.shape.length, 4)
    (2.4, 13.4112)
    """

    label: ClassVar[str] = "house"
    title: Annotated[str, f.Text()] = key("What you call the house.", "", example="Larkfield greens and perch house")
    catalogue: Annotated[str | None, f.Text()] = key(
        "File with catalogue rows of your own, beside the house file.", None, example="rows.toml"
    )
    crop: Annotated[str | None, f.Name("crops")] = key("What grows in it: a name in the crop catalogue.", None)
    place: Annotated[m.Place, One(m.Place)] = key("Where the house stands and which winter it meets.", None)
    shape: Annotated[Shape, One(Shape)] = key("The form of the house and its outside dimensions.")
    cover: Annotated[m.Cover, One(m.Cover)] = key(
        "What the light comes through, wherever no part says otherwise.", None
    )
    floor: Annotated[m.Floor, One(m.Floor)] = key("The floor and the ground under it.", None)
    air: Annotated[m.Air, One(m.Air)] = key("How leaky the house is, said in one of four ways.")
    canopy: Annotated[c.Canopy, One(c.Canopy)] = key("How much grows in it.", None)
    gains: Annotated[m.Gains, One(m.Gains)] = key("Heat from lamps, pumps and people.", None)
    method: Annotated[m.Method, One(m.Method)] = key("Which published form each part of the sum uses.", None)
    part: Annotated[tuple[m.Part, ...], Many(m.Part)] = key("Parts that are made differently from the cover.", ())
    surface: Annotated[tuple[m.FreeSurface, ...], Many(m.FreeSurface)] = key("The surfaces of a free shape.", ())
    space: Annotated[tuple[m.Space, ...], Many(m.Space)] = key("Cold rooms against the house: shed, porch.", ())
    water: Annotated[tuple[c.Water, ...], Many(c.Water)] = key("Tanks, ponds, barrels.", ())
    bed: Annotated[tuple[c.Bed, ...], Many(c.Bed)] = key("Raised beds, gravel beds, pots.", ())
    curtain: Annotated[tuple[c.Curtain, ...], Many(c.Curtain)] = key("Night curtains.", ())
    setpoint: Annotated[tuple[m.Setpoint, ...], Many(m.Setpoint)] = key(
        "Temperatures to hold: one for the year, or one for each range of dates.", ()
    )
    heater: Annotated[tuple[m.HeaterUse, ...], Many(m.HeaterUse)] = key("Heaters; the first is the main one.", ())
    lamps: Annotated[tuple[s.Lamps, ...], Many(s.Lamps)] = key("Lamps over the plants.", ())
    people: Annotated[tuple[s.People, ...], Many(s.People)] = key("People at work in the house.", ())
    buried_pipe: Annotated[tuple[s.BuriedPipe, ...], Many(s.BuriedPipe)] = key(
        "House air moved through pipes in the soil.", ()
    )
    mass_stove: Annotated[tuple[s.MassStove, ...], Many(s.MassStove)] = key("Masonry heaters.", ())
    compost: Annotated[tuple[s.Compost, ...], Many(s.Compost)] = key("Heaps that warm the house.", ())
    _own: dict[str, Any] | None = PrivateAttr(default=None)

    def __init__(self, /, **typed: Any) -> None:
        what, folder = ORIGIN.get()
        own = OWN.get()
        if own is None and isinstance(typed.get("catalogue"), str):
            own = _own_rows(folder / typed["catalogue"], what)
        with own_rows(own):
            values, faults = self.checked(typed)
            if faults:
                raise HouseError(faults, what)
            super(Entry, self).__init__(**values)
        self._own = own

    @property
    def own(self) -> dict[str, Any] | None:
        """The catalogue rows that came with the house, None if none did."""
        return self._own

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        for name, field, kind in keys(cls):
            if name not in typed and isinstance(kind, One) and not field.is_required():
                values[name] = kind.entry()
        yield from _cover(values)
        yield from _free(values, typed)
        yield from _twice(values)
        yield from _on(values, typed)
        yield from _behind(values)
        yield from _tank_heaters(values)
        yield from _dates(values, typed)
        yield from _heated(typed)
        yield from _reserved(values)

    def tree(self) -> dict[str, Any]:
        """The house as the tree that `House` takes, quantities as strings with SI units."""
        with own_rows(self._own):
            tree = super().tree()
        return {name: value for name, value in tree.items() if value != {}}

    def changed(self, **typed: Any) -> House:
        """The same house with whole tables or keys of the top level replaced, checked as a file would be.

        Raises
        ------
        InputError
            With every fault of the changed house.
        """
        with own_rows(self._own or {}):
            house = House(**{**self.tree(), **typed})
        house._own = self._own
        return house

    def to_toml(self) -> str:
        """The text of a house file that reads back to an equal house."""
        from heatloss.house.toml import toml_text

        return toml_text(self.tree())

    @classmethod
    def json_schema(cls) -> dict[str, Any]:
        """JSON schema (draft 2020-12) of the house file, for editors that complete what is typed."""
        head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "House file of heatloss"}
        return head | cls.schema_of()


@contextmanager
def own_rows(rows: dict[str, Any] | None) -> Iterator[None]:
    """Let the readers of names see a person's own catalogue rows."""
    token = OWN.set(rows)
    try:
        yield
    finally:
        OWN.reset(token)


def _own_rows(path: Path, what: str) -> dict[str, Any]:
    try:
        return catalogue.read_own(path)
    except InputError as error:
        raise HouseError([Fault(("catalogue",), f"{KEY}: {error}")], what) from None


def _cover(values: Mapping[str, Any]) -> Iterator[Fault]:
    shape, cover = values.get("shape"), values.get("cover")
    if shape and cover and shape.kind != "free" and cover.glazing is None:
        yield given("glazing", f"for a {shape.kind}", 'glazing = "polycarbonate twin-wall 8 mm"').under("cover")


def _free(values: Mapping[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    shape = values.get("shape")
    if shape and shape.kind == "free" and not typed.get("surface"):
        yield Fault(("surface",), f"{KEY} must be given for a free shape, got nothing. Write a [[surface]] for each.")
    if shape and shape.kind != "free" and typed.get("surface"):
        yield Fault(
            ("surface",),
            f"{KEY} must be left out for a {shape.kind}, got {len(typed['surface'])}. "
            'Only kind = "free" lists surfaces; elsewhere use [[part]].',
        )


STORES = ("lamps", "people", "buried_pipe", "mass_stove", "compost")
NAMED = ("part", "surface", "space", "water", "bed", "heater", *STORES)
"""Tables whose entries have names of their own."""


def _twice(values: Mapping[str, Any]) -> Iterator[Fault]:
    for table in NAMED:
        seen: set[str] = set()
        for i, entry in enumerate(values.get(table, ())):
            if entry is not None and entry.name in seen:
                yield Fault((table, i, "name"), f"{KEY} must be used once, got {shown(entry.name)} again. Rename one.")
            seen.add(entry.name if entry is not None else "")


def _on(values: Mapping[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    """Parts and curtains stand on sides that the shape has."""
    shape = values.get("shape")
    if shape is None or (shape.kind == "free" and None in values.get("surface", (None,))):
        return
    known = side_words(shape, [s.name for s in values.get("surface", ())])
    for table in ("part", "curtain"):
        for i, entry in enumerate(values.get(table, ())):
            for word in entry.on if entry is not None else ():
                if word not in known and not PIECE.fullmatch(word):
                    close = nearest(word, known) or known
                    yield Fault(
                        (table, i, "on"),
                        f"{KEY} must be a side of this {shape.kind}, got {shown(word)}. "
                        f"{'The nearest' if close != known else 'Its sides'}: {', '.join(close)}.",
                    )


def _behind(values: Mapping[str, Any]) -> Iterator[Fault]:
    """What lies behind a part is a word or the name of a space."""
    spaces = values.get("space", ())
    if None in spaces:
        return
    known = ["outdoors", "ground", "house", *(s.name for s in spaces)]
    for table in ("part", "surface"):
        for i, entry in enumerate(values.get(table, ())):
            if entry is not None and isinstance(entry.behind, str) and entry.behind not in known:
                choices = ", ".join(f'"{w}"' for w in known)
                yield Fault(
                    (table, i, "behind"),
                    f'{KEY} must be {choices} or a temperature such as "50 degF", got {shown(entry.behind)}. '
                    "A [[space]] with this name would do too.",
                )


def _tank_heaters(values: Mapping[str, Any]) -> Iterator[Fault]:
    heaters = values.get("heater", ())
    names = [h.name for h in heaters if h is not None]
    for i, tank in enumerate(values.get("water", ())):
        if tank is not None and tank.heater is not None and tank.heater not in names and None not in heaters:
            tell = f"The heaters: {', '.join(names)}." if names else "Add a [[heater]] with this name."
            yield Fault(
                ("water", i, "heater"), f"{KEY} must be the name of a [[heater]], got {shown(tank.heater)}. {tell}"
            )


def _dates(values: Mapping[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
    """The setpoints cover each day of the year once."""
    ranges = values.get("setpoint", ())
    if not ranges or None in ranges or (len(ranges) == 1 and ranges[0].from_ is None):
        return
    taken: dict[int, int] = {}
    for i, entry in enumerate(ranges):
        if entry.from_ is None:
            yield Fault(
                ("setpoint", i, "from"),
                f"{KEY} must be given where there are several setpoints, got nothing. "
                'Type, for example, from = "10-01" and to = "04-30".',
            )
            return
        days = f.days(entry.from_, entry.to)
        both = next((taken[d] for d in days if d in taken), None)
        if both is not None:
            first = f.month_day(next(d for d in days if d in taken))
            yield Fault(
                ("setpoint", i, "from"),
                f"{KEY} must leave {first} to one setpoint, got it in setpoint[{both + 1}] too. Both dates of a range "
                "belong to it.",
            )
        taken |= dict.fromkeys(days, i)
    left = [d for d in range(365) if d not in taken]
    if left:
        start = next(d for d in left if (d - 1) % 365 not in left)
        end = next(d % 365 for d in range(start, start + 365) if (d + 1) % 365 not in left)
        yield Fault(
            ("setpoint",),
            f"{KEY} must cover every day of the year, got none from {f.month_day(start)} to {f.month_day(end)}. "
            "A low setpoint serves where the house may go cold.",
        )


RESERVED = ("vents", "cooler")
"""Names the balance gives to its own controls."""


def _reserved(values: Mapping[str, Any]) -> Iterator[Fault]:
    for i, heater in enumerate(values.get("heater", ())):
        if heater is not None and heater.name in RESERVED:
            yield Fault(
                ("heater", i, "name"),
                f"{KEY} must be another word than {' and '.join(RESERVED)}, got {shown(heater.name)}. Rename it.",
            )


def _heated(typed: Mapping[str, Any]) -> Iterator[Fault]:
    if typed.get("heater") and not typed.get("setpoint"):
        line = '[[setpoint]] with day = "55 degF"'
        yield Fault(("setpoint",), f"{KEY} must be given where there is a heater, got nothing. Add {line}.")
