"""Measures: small changes to a house file, with what they cost.

A file of measures is TOML, one ``[[measure]]`` for each::

    [[measure]]
    name = "foundation foam"
    cost = { fixed = "100 usd", each = "6 usd/ft", of = "perimeter", low = "4 usd/ft", high = "10 usd/ft" }
    life = 30                          # years until it must be bought again
    upkeep = "20 usd/year"             # may be left out
    source = "a quote from the yard"   # where the cost comes from

    [measure.set.floor]                # keys of the house file and their new values
    edge = "R-10"
    depth = "2 ft"

The other ways to change a house, any of them together:

``set``    new values. In a list of tables they go to every entry, or to the one whose ``name`` is given.
``scale``  a factor on what is there: ``air = { ach = 0.7 }``.
``shift``  a difference to what is there: ``setpoint = { night = "-5 delta_degF" }``.
``swap``   what is there to what it becomes: ``cover = { glazing = { "glass single 3 mm" = "glass sealed double" } }``.
           With ``on`` the new glazing goes to these sides alone.
``close``  days in which the house goes cold: ``{ from = "12-15", to = "02-01", keep = "38 degF" }``.
``add``    new entries of a list of tables: ``[[measure.add.curtain]]`` with the keys of a ``[[curtain]]``.

A key of a table in a table is reached through it (``[measure.scale.air.doors]``), and one that the file leaves at its
default stands at that default. Sides that a house lacks, or that are all parts, are passed over where others are left.

``cost`` is a sum such as ``"500 usd"``, or a table: ``fixed``, and ``each`` of an area or length ``of`` the changed
house: ``"floor"``, ``"cover"`` (all glazing that faces outdoors), ``"perimeter"``, or a side, part or surface. ``note``
says what the reckoning leaves out; ``alone = true`` keeps a measure out of what is taken together.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from math import isfinite
from pathlib import Path
from typing import Any

from heatloss.decisions.changes import changed
from heatloss.errors import InputError, nearest
from heatloss.geometry import build
from heatloss.house import House, side_words
from heatloss.house.fields import days
from heatloss.house.sides import means
from heatloss.units import parse, parse_price

CHANGES = ("set", "scale", "shift", "swap", "close", "add")
KEYS = ("name", "cost", "life", "upkeep", "source", "note", "alone", *CHANGES)
COST_KEYS = ("fixed", "each", "of", "low", "high")
CLOSE_KEYS = ("from", "to", "keep")
TOGETHER = "all together"


@dataclass(frozen=True)
class Cost:
    """What a measure costs: a fixed sum, and a price by area or length.

    Attributes
    ----------
    fixed : float [usd]
    each : float [usd/m2 or usd/m]
    of : str
        What ``each`` is counted on; empty where there is none.
    low, high : float
        The range of ``each``, or of ``fixed`` where there is no ``each``.
    """

    fixed: float
    each: float
    of: str
    low: float
    high: float


@dataclass(frozen=True)
class Price:
    """Money to lay out now [usd]: what is reckoned with, and its range."""

    value: float
    low: float
    high: float

    def __add__(self, other: Price) -> Price:
        return Price(self.value + other.value, self.low + other.low, self.high + other.high)


@dataclass(frozen=True)
class Measure:
    """One change to a house.

    Attributes
    ----------
    name : str
    changes : mapping
        ``set``, ``scale``, ``shift``, ``swap``, ``add``, each by table of the house file, and the days of ``close``.
    cost : Cost
    life : int [year]
    upkeep : float [usd/year]
    source : str
        Where the cost comes from.
    note : str
        What the reckoning leaves out.
    alone : bool
        Whether it is weighed by itself and never taken together with others: another heater, half a house.
    """

    name: str
    changes: Mapping[str, Any]
    cost: Cost
    life: int
    upkeep: float = 0.0
    source: str = ""
    note: str = ""
    alone: bool = False

    def changed(self, house: House) -> House:
        """The house with this measure; InputError where it does not fit that house."""
        return changed(house, [self])

    def touched(self) -> frozenset[str]:
        """The keys of the house file that it changes; entries it adds are not among them."""
        found = {"close"} if "close" in self.changes else set()
        for way in ("set", "scale", "shift", "swap"):
            for table, keys in self.changes.get(way, {}).items():
                if not isinstance(keys, Mapping):
                    found.add(table)
                    continue
                entry = f"{table} {keys['name']!r}" if "name" in keys else table
                sides = keys.get("on", ()) if way == "swap" else ()
                for key in keys.keys() - {"name"} - ({"on"} if sides else set()):
                    found |= {f"{entry}.{key} on {side}" for side in sides} or {f"{entry}.{key}"}
        return frozenset(found)

    def overlap(self, other: Measure) -> str:
        """The first key that both change; empty where there is none."""
        for mine in sorted(self.touched()):
            for its in other.touched():
                if mine == its or mine.startswith(f"{its} on ") or its.startswith(f"{mine} on "):
                    return mine
        return ""

    def price(self, house: House) -> Price:
        """What it costs on a house that has it [usd]."""
        amount = _amount(self.cost.of, house, self.name) if self.cost.of else 0.0
        fixed, cost = self.cost.fixed, self.cost
        if cost.of:
            return Price(fixed + cost.each * amount, fixed + cost.low * amount, fixed + cost.high * amount)
        return Price(fixed, cost.low, cost.high)


def starter() -> tuple[Measure, ...]:
    """The measures that come with the package; their costs are examples."""
    return _from_text(starter_text(), "starter measures")


def starter_text() -> str:
    """The file of the starter measures, to edit."""
    return resources.files("heatloss").joinpath("decisions", "starter.toml").read_text(encoding="utf-8")


def read_measures(path: str | Path) -> tuple[Measure, ...]:
    """Read a file of measures.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    tuple of Measure

    Raises
    ------
    InputError
        For a file that cannot be read, an unknown key, a cost without unit, a life of zero, a name used twice.
    """
    try:
        text = Path(path).read_bytes().decode("utf-8-sig")
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "it is no UTF-8 text"
        raise InputError(
            f"file of measures must be readable, got {str(path)!r} ({reason}). Start from: heatloss payback --starter"
        ) from None
    return _from_text(text, str(path))


def _from_text(text: str, where: str) -> tuple[Measure, ...]:
    try:
        tree = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        raise InputError(f"file of measures must be TOML, got {problem} ({where}). Mend that line.") from None
    for key in tree:
        if key != "measure":
            raise InputError(f"file of measures must hold [[measure]] tables alone, got {key!r} ({where}).")
    entries = tree.get("measure", [])
    if not isinstance(entries, list) or not entries:
        raise InputError(f"file of measures must hold a [[measure]], got none ({where}). Write one.")
    return measures_of(entries, where)


def measures_of(entries: Iterable[Measure | Mapping[str, Any]], where: str = "measures") -> tuple[Measure, ...]:
    """Measures from their trees; those made already pass.

    Raises
    ------
    InputError
        For the first fault, or a name used twice.
    """
    found = tuple(e if isinstance(e, Measure) else _measure(e, i + 1, where) for i, e in enumerate(entries))
    for i, measure in enumerate(found):
        if measure.name in [m.name for m in found[:i]]:
            raise InputError(f"name must be used once, got {measure.name!r} twice ({where}). Rename one.")
    return found


def _measure(tree: Mapping[str, Any], number: int, where: str) -> Measure:
    if not isinstance(tree, Mapping):
        raise InputError(f"measure must be a table of keys, got {type(tree).__name__} ({where}, measure {number}).")
    name = tree.get("name")
    if not isinstance(name, str) or not name.strip() or not name.isprintable() or name == TOGETHER:
        raise InputError(
            f'name must be given to each measure, got {name!r} ({where}, number {number}). Type name = "night curtain".'
        )
    place = f"measure {name!r}"
    _known(tree, KEYS, place)
    changes = {way: tree[way] for way in CHANGES if way in tree}
    if not changes:
        raise InputError(
            f"measure must change something by {', '.join(CHANGES[:-1])} or {CHANGES[-1]}, got none ({place})."
        )
    for way, tables in changes.items():
        _check_tables(way, tables, place)
    if "cost" not in tree:
        raise InputError(f'cost must be given, got nothing ({place}). Type cost = "500 usd", or "0 usd" if it is free.')
    life = tree.get("life")
    if not isinstance(life, int) or isinstance(life, bool) or not 1 <= life <= 200:
        raise InputError(f"life must be whole years from 1 to 200, got {life!r} ({place}). Type life = 10.")
    if not isinstance(tree.get("alone", False), bool):
        raise InputError(f"alone must be true or false, got {tree['alone']!r} ({place}). Leave it out for false.")
    upkeep = tree.get("upkeep", "0 usd/year")
    return Measure(
        name=name,
        changes=changes,
        cost=_cost(tree["cost"], place),
        life=life,
        upkeep=parse_price(upkeep, "year", name="upkeep", where=place),
        source=str(tree.get("source", "")),
        note=str(tree.get("note", "")),
        alone=tree.get("alone", False),
    )


def _check_tables(way: str, tables: Any, place: str) -> None:
    if not isinstance(tables, Mapping):
        raise InputError(f"{way} must be a table of the house file's tables, got {tables!r} ({place}).")
    if way == "close":
        _check_dates(tables, place)
        return
    for table, keys in tables.items():
        if way == "swap" and isinstance(keys, Mapping) and "on" in keys:
            _check_sides(table, keys, place)
        if way == "add":
            if not isinstance(keys, list) or not keys or not all(isinstance(k, Mapping) for k in keys):
                raise InputError(f"add must hold lists, got {table} ({place}). Write [[measure.add.{table}]].")
        elif way != "set" and (not isinstance(keys, Mapping) or not keys):
            raise InputError(f"{way} must hold tables of the house file, got {table} ({place}). Name a key in it.")


def _check_dates(dates: Mapping[str, Any], place: str) -> None:
    _known(dates, CLOSE_KEYS, f"close of {place}")
    if "from" not in dates or "to" not in dates:
        raise InputError(f'close must have from and to, got one of them ({place}). Type from = "12-15", to = "02-01".')
    days(str(dates["from"]), str(dates["to"]))
    if "keep" in dates:
        parse(dates["keep"], "degC", name="close.keep", where=place)


def _check_sides(table: str, keys: Mapping[str, Any], place: str) -> None:
    on = keys["on"]
    if table != "cover" or set(keys) != {"on", "glazing"}:
        raise InputError(f"swap must have on with cover.glazing alone, got {table} ({place}). Leave on out.")
    if not isinstance(on, list) or not on or not all(isinstance(word, str) for word in on):
        raise InputError(f'on must be a list of sides, got {on!r} ({place}). Type on = ["north roof"].')


def _known(tree: Mapping[str, Any], keys: Sequence[str], place: str) -> None:
    for key in tree:
        if key not in keys:
            close = nearest(str(key), keys)
            tell = f"The nearest: {', '.join(close)}." if close else f"The keys: {', '.join(keys)}."
            raise InputError(f"measure must have known keys, got {key!r} ({place}). {tell}")


def _cost(typed: Any, place: str) -> Cost:
    if not isinstance(typed, Mapping):
        fixed = sum_of(typed, "cost", place)
        return Cost(fixed, 0.0, "", fixed, fixed)
    _known(typed, COST_KEYS, f"cost of {place}")
    fixed = sum_of(typed.get("fixed", "0 usd"), "cost.fixed", place)
    if ("each" in typed) != ("of" in typed):
        raise InputError(
            f'cost must have each and of together, got one of them ({place}). Type each = "2 usd/ft2", of = "cover".'
        )
    if "each" not in typed:
        low, high = (sum_of(typed.get(k, typed.get("fixed", "0 usd")), f"cost.{k}", place) for k in ("low", "high"))
        return _ranged(Cost(fixed, 0.0, "", low, high), fixed, place)
    of = str(typed["of"])
    unit = "m" if of == "perimeter" else "m2"
    each, low, high = (
        parse_price(typed.get(k, typed["each"]), unit, name=f"cost.{k}", where=place) for k in ("each", "low", "high")
    )
    return _ranged(Cost(fixed, each, of, low, high), each, place)


def _ranged(cost: Cost, value: float, place: str) -> Cost:
    if not cost.low <= value <= cost.high:
        raise InputError(f"cost must lie between low and high, got {cost.low:g}, {value:g}, {cost.high:g} ({place}).")
    return cost


def sum_of(typed: Any, name: str, place: str) -> float:
    """A sum of money as a person types it [usd]; InputError where it has no unit."""
    text = typed.strip() if isinstance(typed, str) else ""
    number = r"(\d+(?:\.\d+)?)"
    found = re.fullmatch(rf"\$ ?{number}|{number} ?(?:usd|USD|\$|dollars?)", text)
    if not found or not isfinite(value := float(found[1] or found[2])):
        raise InputError(f'{name} must be a sum of money with its unit [usd], got {typed!r} ({place}). Type "500 usd".')
    return value


def _amount(of: str, house: House, measure: str) -> float:
    """Area [m2] or length [m] of what a cost is counted on."""
    geometry = build(house)
    if of == "floor":
        return geometry.floor_area
    if of == "perimeter":
        return geometry.perimeter
    faces = [s for s in geometry.surfaces if s.behind == "outdoors"]
    if of == "cover":
        return sum(s.area for s in faces if s.role == "cover")
    words = [*side_words(house.shape), *(p.name for p in house.part), *(s.name for s in house.surface)]
    found = [s.area for s in geometry.surfaces if means([of], house.shape, part=s.part, name=s.name)]
    if not found and of in words:
        raise InputError(
            f"cost.of must have an area of its own, got {of!r}, all of it parts (measure {measure!r}). Name the part."
        )
    if not found:
        close = nearest(of, words) or tuple(words)
        raise InputError(
            f"cost.of must be floor, cover, perimeter, or a side or part of this house, got {of!r} "
            f"(measure {measure!r}). The nearest: {', '.join(close)}."
        )
    return sum(found)
