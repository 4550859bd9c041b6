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
``add``    new entries of a list of tables: ``[[measure.add.curtain]]`` with the keys of a ``[[curtain]]``.

``cost`` is a sum such as ``"500 usd"``, or a table: ``fixed``, and ``each`` of an area or length ``of`` the changed
house: ``"floor"``, ``"cover"`` (all glazing that faces outdoors), ``"perimeter"``, or a side, part or surface.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from importlib import resources
from math import isfinite
from pathlib import Path
from typing import Any

from heatloss.catalogue import Row, row
from heatloss.errors import InputError, nearest
from heatloss.geometry import Geometry, Surface, build
from heatloss.house import House, HouseError, side_words
from heatloss.house.entry import Many
from heatloss.house.entry import keys as keys_of
from heatloss.house.sides import means
from heatloss.units import parse, parse_price

CHANGES = ("set", "scale", "shift", "swap", "add")
KEYS = ("name", "cost", "life", "upkeep", "source", *CHANGES)
COST_KEYS = ("fixed", "each", "of", "low", "high")
LISTS = tuple(name for name, _, kind in keys_of(House) if isinstance(kind, Many))
"""Tables of the house file that come as lists."""
TOGETHER = "all together"
CURTAIN_ONCE = "curtain must cover each side once"
ONE_OF = (("glazing", "layers", "u", "door"), ("class", "ach", "n50", "leakage_area"))
"""Keys of which a table holds one: setting it takes the others away."""
Tree = dict[str, Any]


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
        ``set``, ``scale``, ``shift``, ``swap``, ``add``, each by table of the house file.
    cost : Cost
    life : int [year]
    upkeep : float [usd/year]
    source : str
        Where the cost comes from.
    """

    name: str
    changes: Mapping[str, Any]
    cost: Cost
    life: int
    upkeep: float = 0.0
    source: str = ""

    def changed(self, house: House) -> House:
        """The house with this measure; InputError where it does not fit that house."""
        return changed(house, [self])

    def touched(self) -> frozenset[str]:
        """The keys of the house file that it changes; entries it adds are not among them."""
        found = set()
        for way in ("set", "scale", "shift", "swap"):
            for table, keys in self.changes.get(way, {}).items():
                entry = f"{table} {keys['name']!r}" if isinstance(keys, Mapping) and "name" in keys else table
                found |= {f"{entry}.{key}" for key in keys if key != "name"} if isinstance(keys, Mapping) else {table}
        return frozenset(found)

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
        raise InputError(f"measure must change something by set, scale, shift, swap or add, got none ({place}).")
    for way, tables in changes.items():
        _check_tables(way, tables, place)
    if "cost" not in tree:
        raise InputError(f'cost must be given, got nothing ({place}). Type cost = "500 usd", or "0 usd" if it is free.')
    life = tree.get("life")
    if not isinstance(life, int) or isinstance(life, bool) or not 1 <= life <= 200:
        raise InputError(f"life must be whole years from 1 to 200, got {life!r} ({place}). Type life = 10.")
    upkeep = tree.get("upkeep", "0 usd/year")
    return Measure(
        name=name,
        changes=changes,
        cost=_cost(tree["cost"], place),
        life=life,
        upkeep=parse_price(upkeep, "year", name="upkeep", where=place),
        source=str(tree.get("source", "")),
    )


def _check_tables(way: str, tables: Any, place: str) -> None:
    if not isinstance(tables, Mapping):
        raise InputError(f"{way} must be a table of the house file's tables, got {tables!r} ({place}).")
    for table, keys in tables.items():
        if way == "add":
            if not isinstance(keys, list) or not keys or not all(isinstance(k, Mapping) for k in keys):
                raise InputError(f"add must hold lists, got {table} ({place}). Write [[measure.add.{table}]].")
        elif way != "set" and (not isinstance(keys, Mapping) or not keys):
            raise InputError(f"{way} must hold tables of the house file, got {table} ({place}). Name a key in it.")


def _known(tree: Mapping[str, Any], keys: Sequence[str], place: str) -> None:
    for key in tree:
        if key not in keys:
            close = nearest(str(key), keys)
            tell = f"The nearest: {', '.join(close)}." if close else f"The keys: {', '.join(keys)}."
            raise InputError(f"measure must have known keys, got {key!r} ({place}). {tell}")


def _cost(typed: Any, place: str) -> Cost:
    if not isinstance(typed, Mapping):
        fixed = _usd(typed, "cost", place)
        return Cost(fixed, 0.0, "", fixed, fixed)
    _known(typed, COST_KEYS, f"cost of {place}")
    fixed = _usd(typed.get("fixed", "0 usd"), "cost.fixed", place)
    if ("each" in typed) != ("of" in typed):
        raise InputError(
            f'cost must have each and of together, got one of them ({place}). Type each = "2 usd/ft2", of = "cover".'
        )
    if "each" not in typed:
        low, high = (_usd(typed.get(k, typed.get("fixed", "0 usd")), f"cost.{k}", place) for k in ("low", "high"))
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


def _usd(typed: Any, name: str, place: str) -> float:
    text = typed.strip() if isinstance(typed, str) else ""
    number = r"(\d+(?:\.\d+)?)"
    found = re.fullmatch(rf"\$ ?{number}|{number} ?(?:usd|USD|\$|dollars?)", text)
    if not found or not isfinite(value := float(found[1] or found[2])):
        raise InputError(f'{name} must be a sum of money with its unit [usd], got {typed!r} ({place}). Type "500 usd".')
    return value


def changed(house: House, measures: Sequence[Measure]) -> House:
    """The house with measures taken together.

    Parameters
    ----------
    house : House
    measures : sequence of Measure
        Their order changes nothing: what is there is changed first, then entries are added.

    Returns
    -------
    House

    Raises
    ------
    InputError
        Where a measure does not fit the house, or two of them do not fit together.
    """
    tree = deepcopy(house.tree())
    for measure in measures:
        _edit(tree, measure)
    _prices_of_new_fuels(house, tree)
    for measure in measures:
        for table, entries in measure.changes.get("add", {}).items():
            tree.setdefault(table, []).extend(deepcopy(list(entries)))
    try:
        new = house.changed(**tree)
    except HouseError as error:
        raise InputError(error.faults[0].line()) from None
    _curtains_once(new, build(new))
    return new


def clash(house: House, taken: Sequence[Measure], measure: Measure) -> str:
    """Why a measure cannot be taken together with others that fit together; empty where it can."""
    for other in taken:
        if same := sorted(other.touched() & measure.touched()):
            return f"{other.name} changes the same {same[0]}"
    for others in [*([other] for other in taken), taken]:
        try:
            changed(house, [*others, measure])
        except InputError as problem:
            names = " and ".join(other.name for other in others)
            if str(problem).startswith(CURTAIN_ONCE):
                return f"{names} changes the same curtain"
            return f"it does not fit beside {names}: {problem}"
    return ""


def _edit(tree: Tree, measure: Measure) -> None:
    """Set, scale, shift and swap; refused where the house has none of the keys."""
    applied = not any(way in measure.changes for way in ("scale", "shift", "swap"))
    missed: list[str] = []
    for way in ("set", "scale", "shift", "swap"):
        for table, keys in measure.changes.get(way, {}).items():
            if not isinstance(keys, Mapping):
                tree[table] = keys
                continue
            for entry in _entries(tree, table, keys, make=way == "set"):
                for key, change in keys.items():
                    if key == "name":
                        continue
                    if way == "set":
                        _put(entry, key, change)
                    elif key in entry and (new := _new(way, entry[key], change, f"{table}.{key}", measure)) is not None:
                        entry[key], applied = new, True
                    else:
                        missed.append(f"{table}.{key}" + (f" {entry[key]!r}" if key in entry else ""))
    if not applied:
        known = [word for word in missed if " " in word] or missed
        words = "nothing to change" if not known else f"{'no change for' if ' ' in known[0] else 'no'} {known[0]}"
        raise InputError(f"the measure must change something this house has, got {words}.")


def _prices_of_new_fuels(house: House, tree: Tree) -> None:
    """Refuse a price that stayed while the fuel it was typed for went."""
    for old, new in zip(house.tree().get("heater", []), tree.get("heater", []), strict=False):
        try:
            before, after = (_fuel(entry, house) for entry in (old, new))
        except InputError:
            continue  # the house itself says which name it does not know
        if after != before and "price" in new and new["price"] == old.get("price"):
            line = f"{after.get('price', 280.0):g} usd/{after.text('unit')}"
            raise InputError(
                f"price must be that of {after.name}, got {new['price']!r} of {before.name}. Give the new fuel's price "
                f'with the measure, e.g. price = "{line}", or leave the price line out of the house file to take the '
                "example price."
            )


def _fuel(entry: Mapping[str, Any], house: House) -> Row:
    """The fuel of a heater's table."""
    name = entry.get("fuel") or row("heaters", str(entry.get("type")), house.own).text("fuel")
    return row("fuels", str(name), house.own)


def _entries(tree: Tree, table: str, keys: Mapping[str, Any], *, make: bool) -> list[Tree]:
    """The table, or the entries of a list of tables, that a change is for."""
    there = tree.get(table)
    if there is None and make and table not in LISTS:
        tree[table] = {}
        return [tree[table]]
    if not there:
        raise InputError(f"the measure must change something this house has, got no {table} in it.")
    if isinstance(there, dict):
        return [there]
    if "name" not in keys:
        return list(there)
    names = [entry.get("name", "") for entry in there]
    if keys["name"] not in names:
        close = nearest(str(keys["name"]), names) or tuple(names)
        raise InputError(
            f"name must be a [[{table}]] of this house, got {keys['name']!r}. The nearest: {', '.join(close)}."
        )
    return [entry for entry in there if entry.get("name") == keys["name"]]


def _put(entry: Tree, key: str, value: Any) -> None:
    for group in ONE_OF:
        if key in group:
            for other in group:
                entry.pop(other, None)
    entry[key] = deepcopy(value)


def _new(way: str, old: Any, change: Any, key: str, measure: Measure) -> Any:
    """The new value of a key; None where a swap does not know the old one."""
    place = f"measure {measure.name!r}"
    if way == "swap":
        if not isinstance(change, Mapping):
            raise InputError(f'swap must be a table, got {change!r} ({key}, {place}). Type {{ "old" = "new" }}.')
        return change.get(old)
    number, _, unit = old.partition(" ") if isinstance(old, str) else (old, "", "")
    try:
        value = float(number)
    except (TypeError, ValueError):
        raise InputError(f"{way} must be for a quantity, got {key} = {old!r} ({place}).") from None
    if way == "scale":
        if not isinstance(change, (int, float)) or isinstance(change, bool) or not change >= 0.0:
            raise InputError(f"scale must be a factor of 0 or more [1], got {change!r} ({key}, {place}). Type 0.8.")
        value *= change
    else:
        value += parse(change, {"degC": "K", "": "1"}.get(unit, unit), name=f"shift of {key}", where=place)
    return f"{value!r} {unit}" if unit else value


def _curtains_once(house: House, geometry: Geometry) -> None:
    """No surface has two curtains: the balance would see the first alone."""
    for surface in geometry.surfaces:
        over = [c.material for c in house.curtain if covers(c.on, surface, house)]
        if len(over) > 1:
            raise InputError(f"{CURTAIN_ONCE}, got {' and '.join(over)} on {surface.part}.")


def covers(words: Sequence[str], surface: Surface, house: House) -> bool:
    """Whether a curtain on these sides hangs under a surface: a glazed one."""
    return surface.role == "cover" and means(words, house.shape, part=surface.part, name=surface.name)


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
