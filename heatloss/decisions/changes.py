"""A house file changed by measures: what is set, scaled, shifted, swapped, closed and added."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from typing import TYPE_CHECKING, Any

from heatloss.catalogue import Row, row
from heatloss.errors import InputError, nearest
from heatloss.geometry import Geometry, Surface, build
from heatloss.house import House, HouseError, side_words
from heatloss.house.entry import Entry, Many, One, usual
from heatloss.house.entry import keys as keys_of
from heatloss.house.fields import days, month_day
from heatloss.house.sides import GROUPS, QUARTERS, means
from heatloss.units import parse

if TYPE_CHECKING:
    from heatloss.decisions.measures import Measure

CURTAIN_ONCE = "curtain must cover each side once"
ONE_OF = (("glazing", "layers", "u", "door"), ("class", "ach", "n50", "leakage_area"))
"""Keys of which a table holds one: setting it takes the others away."""
OF_THE_APPLIANCE = (
    "fuel", "efficiency", "steady_efficiency", "basis", "radiant_share", "input", "distribution", "cut_off", "minimum",
    "standby", "start", "electric", "hopper", "load", "moisture",
)  # fmt: skip
"""Keys of a heater that do not outlive its type."""
TABLES = {
    name: (kind.entry, isinstance(kind, Many)) for name, _, kind in keys_of(House) if isinstance(kind, (One, Many))
}
"""Tables of the house file: the keys each may hold, and whether it comes as a list."""
LISTS = tuple(name for name, (_, several) in TABLES.items() if several)
COMPASS = ("north", "south", "east", "west")
SIDES = {
    *QUARTERS,
    "riser",
    "dome",
    "roof",
    "all",
    *GROUPS,
    *(f"{c} {s}" for c in COMPASS for s in ("wall", "roof", "end")),
}
"""Sides of any shape: a measure may name them, and a house that lacks some passes them over."""
LOW = 5.0
"""A house that is closed holds this unless the measure says otherwise [degC]; common practice, no source."""
Tree = dict[str, Any]


def changed(house: House, measures: Sequence[Measure]) -> House:
    """The house with measures taken together.

    Parameters
    ----------
    house : House
    measures : sequence of Measure
        Their order changes nothing: what is there is changed first, then entries are added, then days are closed.

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
        _edit(tree, measure, house)
    _prices_of_new_fuels(house, tree)
    for measure in measures:
        for table, entries in measure.changes.get("add", {}).items():
            tree.setdefault(table, []).extend(_fitted(table, dict(entry), house) for entry in deepcopy(list(entries)))
        if "close" in measure.changes:
            _close(tree, measure.changes["close"])
    try:
        new = house.changed(**tree)
    except HouseError as error:
        raise InputError(error.faults[0].line()) from None
    _curtains_once(new, build(new))
    return new


def clash(house: House, taken: Sequence[Measure], measure: Measure) -> str:
    """Why a measure cannot be taken together with others that fit together; empty where it can."""
    for other in taken:
        if same := measure.overlap(other):
            return f"{other.name} changes the same {same}"
    for others in [*([other] for other in taken), taken]:
        try:
            changed(house, [*others, measure])
        except InputError as problem:
            names = " and ".join(other.name for other in others)
            if str(problem).startswith(CURTAIN_ONCE):
                return f"{names} changes the same curtain"
            return f"it does not fit beside {names}: {problem}"
    return ""


def _edit(tree: Tree, measure: Measure, house: House) -> None:
    """Set, scale, shift and swap; refused where the house has none of the keys."""
    applied = not any(way in measure.changes for way in ("scale", "shift", "swap"))
    missed: list[str] = []
    for way in ("set", "scale", "shift", "swap"):
        for table, keys in measure.changes.get(way, {}).items():
            if not isinstance(keys, Mapping):
                tree[table] = keys
            elif way == "swap" and "on" in keys:
                _swap_sides(tree, keys, measure, house)
                applied = True
            else:
                for entry in _entries(tree, table, keys, make=way != "scale"):
                    found, lacking = _edit_entry(way, entry, keys, table, measure)
                    applied, missed = applied or found, missed + lacking
    if not applied:
        known = [word for word in missed if " " in word] or missed
        words = "nothing to change" if not known else f"{'no change for' if ' ' in known[0] else 'no'} {known[0]}"
        raise InputError(f"the measure must change something this house has, got {words}.")


def _edit_entry(way: str, entry: Tree, keys: Mapping[str, Any], table: str, measure: Measure) -> tuple[bool, list[str]]:
    """Change one table; whether a key was there to scale, shift or swap, and which were not."""
    applied, missed = False, list[str]()
    for key, change in sorted(keys.items(), key=lambda pair: pair[0] != "type"):  # a new type clears the rest first
        if key == "name":
            continue
        if way == "set":
            _put(entry, key, change)
        elif isinstance(entry.get(key), dict) and isinstance(change, Mapping):
            found, lacking = _edit_entry(way, entry[key], change, f"{table}.{key}", measure)
            applied, missed = applied or found, missed + lacking
        else:
            old = entry.get(key, _usual(table, key))
            if old is not None and (new := _new(way, old, change, f"{table}.{key}", measure)) is not None:
                entry[key], applied = new, True
            else:
                missed.append(f"{table}.{key}" + (f" {old!r}" if old is not None else ""))
    return applied, missed


def _usual(table: str, key: str) -> Any:
    """What a key of a table is where the file does not say, as it would be typed; None where it has no default."""
    entry: type[Entry] | None = TABLES[table][0] if table in TABLES else None
    for name, field, kind in keys_of(entry) if entry else ():
        if (field.alias or name) == key and not field.is_required() and usual(field) is not None:
            return kind.write(usual(field))
    return None


def _swap_sides(tree: Tree, keys: Mapping[str, Any], measure: Measure, house: House) -> None:
    """Give some sides another glazing than the rest of the cover."""
    old = tree["cover"].get("glazing")
    new = keys.get("glazing", {}).get(old) if isinstance(keys.get("glazing"), Mapping) else None
    if new is None:
        raise InputError(f"the measure must change something this house has, got no change for cover.glazing {old!r}.")
    sides = _glazed(list(keys["on"]), house)
    if not sides:
        raise InputError(f"on must have glazing in this house, got none on {', '.join(keys['on'])}.")
    tree.setdefault("part", []).append({"name": measure.name, "on": sides, "glazing": new})


def _glazed(words: Sequence[str], house: House) -> list[str]:
    """Of the words for sides, those under which this house has a piece of its cover."""
    known = side_words(house.shape, [s.name for s in house.surface])
    cover = [s for s in build(house).surfaces if s.role == "cover"]
    return [
        word for word in words
        if (word not in SIDES or word in known)
        and any(means([word], house.shape, part=s.part, name=s.name, side=s.side) for s in cover)
    ]  # fmt: skip


def _fitted(table: str, entry: Tree, house: House) -> Tree:
    """A part that is to be added, without the sides that this house lacks or that have no glazing left."""
    on = entry.get("on")
    if table == "part" and isinstance(on, list) and (left := _glazed(on, house)):
        entry["on"] = left
    return entry


def _close(tree: Tree, dates: Mapping[str, Any]) -> None:
    """Hold a low temperature between two dates in place of the house's own."""
    if not tree.get("setpoint"):
        raise InputError("the measure must change something this house has, got no setpoint in it.")
    first, last = str(dates["from"]), str(dates["to"])
    closed = set(days(first, last))
    kept: list[Tree] = []
    for entry in tree.get("setpoint", []):
        own = list(days(entry["from"], entry["to"])) if "from" in entry else list(range(365))
        kept += [
            {**entry, "from": month_day(a), "to": month_day(b)} for a, b in _runs([d not in closed for d in own], own)
        ]
    keep = parse(dates["keep"], "degC", name="close.keep") if "keep" in dates else LOW
    warmest = [e["vent"] for e in tree.get("setpoint", []) if "vent" in e]
    low = {"from": first, "to": last, "day": f"{keep!r} degC", **({"vent": warmest[0]} if warmest else {})}
    tree["setpoint"] = [*kept, low]


def _runs(stay: Sequence[bool], own: Sequence[int]) -> Iterator[tuple[int, int]]:
    """First and last day of every run of days that stay."""
    start: int | None = None
    for day, keeps in zip(own, stay, strict=True):
        if keeps:
            start, last = day if start is None else start, day
        elif start is not None:
            yield start, last
            start = None
    if start is not None:
        yield start, last


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
    if key == "type":
        for other in OF_THE_APPLIANCE:
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
