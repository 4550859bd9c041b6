"""From a table of TOML to rows: every field known, with unit and source, and of a size that can be true."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from heatloss.catalogue.fields import FIELDS, KINDS, MARKS, TABLE, WORDS, Field
from heatloss.catalogue.rows import Row, Value
from heatloss.errors import InputError, UnknownNameError
from heatloss.units import parse, parse_price

_ROW_KEYS = ("like", "note", "source", "mark")
INDOORS = 20.0
"""Temperature against which a heat pump's curve is held to Carnot's law [degC]."""
_VALUE_KEYS = ("value", "unit", "low", "high", "source", "mark")


def check_kinds(tree: Mapping[str, Any], where: str) -> list[str]:
    """One line for each top-level key that is no kind of row."""
    faults = [str(UnknownNameError("kind of catalogue row", kind, KINDS, where)) for kind in tree if kind not in KINDS]
    return faults + [
        f'{kind} must be tables of rows, got {tree[kind]!r} ({where}). Write [{kind}."my name"].'
        for kind in KINDS
        if kind in tree and not isinstance(tree[kind], dict)
    ]


def read_rows(
    kind: str,
    tables: Mapping[str, Any],
    shipped: Callable[[str], Mapping[str, Row]] | None,
    *,
    sources: Mapping[str, str] | None = None,
    where: str = "",
) -> tuple[dict[str, Row], list[str]]:
    """Rows of one kind, and a line for each fault.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    tables : mapping
        Row name -> its table.
    shipped : callable, optional
        Kind -> the rows that come along, which own rows may be ``like``.
    sources : mapping, optional
        Short names of sources -> their full text; given, every source must be one of them.
    where : str
        File, for the messages.

    Returns
    -------
    tuple
        The sound rows by name, and the faults.
    """
    rows: dict[str, Row] = {}
    faults: list[str] = []
    reader = _Reader(kind, tables, shipped, sources, where)
    for name in tables:
        try:
            rows[name] = reader.row(name)
        except InputError as fault:
            faults.append(str(fault))
    return rows, list(dict.fromkeys(faults))  # a faulty base is told once, not with each row that is like it


class _Reader:
    """Reads the tables of one kind; ``like`` may point at any of them, in any order."""

    def __init__(
        self,
        kind: str,
        tables: Mapping[str, Any],
        shipped: Callable[[str], Mapping[str, Row]] | None,
        sources: Mapping[str, str] | None,
        where: str,
    ) -> None:
        self.kind, self.tables, self.shipped, self.sources, self.where = kind, tables, shipped, sources, where
        self.done: dict[str, Row] = {}
        self.open: list[str] = []

    def row(self, name: str) -> Row:
        """The row of one table, with what it takes from the row that it is like."""
        if name in self.done:
            return self.done[name]
        place = f"{self.where}, {self.kind}.{name}"
        if not (name.strip() and name.isprintable()):
            raise InputError(f"name must be one line of text, got {name!r} ({self.where}, {self.kind}). Rename it.")
        table = self.tables[name]
        if not isinstance(table, dict):
            raise InputError(f'{name} must be a table, got {table!r} ({place}). Write [{self.kind}."{name}"].')
        if name in self.open:
            raise InputError(f"like must lead to a row that stands by itself, got a circle ({place}).")
        self.open.append(name)
        try:
            made = self._make(name, table, place)
        finally:
            self.open.pop()
        self.done[name] = made
        return made

    def _make(self, name: str, table: dict[str, Any], place: str) -> Row:
        if self.kind == "defaults" and self.shipped and "like" in table:
            raise InputError(f"like must be left out for a default, got {table['like']!r} ({place}). Give its value.")
        base = self._base(name, table, place)
        _check_keys(self.kind, table, place)
        words = {**(base.words if base else {}), **_words(self.kind, table, place)}
        fields = dict(base.fields) if base else {}
        for key, field in FIELDS[self.kind].items():
            field = self._default(name, place) if self.kind == "defaults" and self.shipped else field
            if key in table:
                fields[key] = self._value(key, table[key], field, table, place, words.get("unit", ""))
        points, columns = self._table(table, place)
        made = Row(
            kind=self.kind,
            name=name,
            fields=fields | columns,
            words=words,
            note=_text(table.get("note", base.note if base else ""), "note", place),
            layers=_layers(table, place) if "layers" in table or not base else base.layers,
            table=points if "at" in table or not base else base.table,
        )
        _check_whole(made, place)
        return made

    def _base(self, name: str, table: dict[str, Any], place: str) -> Row | None:
        like = table.get("like")
        if like is None:
            return None
        if not isinstance(like, str):
            raise InputError(f"like must be the name of a row, got {like!r} ({place}).")
        shipped = self.shipped(self.kind) if self.shipped else {}
        if like in self.tables and (like != name or like not in shipped):
            return self.row(like)
        if like not in shipped:
            raise UnknownNameError(self.kind, like, [*self.tables, *shipped], f"{place}.like")
        return shipped[like]

    def _default(self, name: str, place: str) -> Field:
        """What an own default may be: the unit of the one it stands for, and not far from what is plausible there."""
        assert self.shipped is not None
        shipped = self.shipped("defaults")
        if name not in shipped:
            raise UnknownNameError("default", name, shipped, place)
        known = shipped[name].fields["value"]
        if known.unit != "1":
            return Field(known.unit, 0.0, 3.0 * known.high)
        return Field("1", 1.0, 3.0 * known.high) if known.low >= 1.0 else Field("1", 0.0, 1.0)

    def _value(self, key: str, given: Any, field: Field, table: Mapping[str, Any], place: str, per: str) -> Value:
        """One field from a quantity string, a plain number or a table."""
        where = f"{place}.{key}"
        inner = given if isinstance(given, dict) else {"value": given}
        for other in inner:
            if other not in _VALUE_KEYS:
                raise UnknownNameError("key of a value", other, _VALUE_KEYS, where)
        if "value" not in inner:
            raise InputError(f"{key} must have a value, got {given!r} ({where}).")
        unit = inner.get("unit", "")
        if not isinstance(unit, str):
            raise InputError(f"unit must be text, got {unit!r} ({where}).")
        target = field.unit or unit or "1"
        value = _number(inner["value"], unit, target, per, key, where)
        low, high = (
            _number(inner[end], unit, target, per, end, where) if end in inner else value for end in ("low", "high")
        )
        if not (low <= value <= high):
            raise InputError(f"{key} must lie between its low and high [{target}], got {value:g} ({where}).")
        if not (field.lowest <= low and high <= field.highest):
            span = f"between {field.lowest:g} and {field.highest:g}"
            shown = next(x for x in (value, low, high) if not field.lowest <= x <= field.highest)
            raise InputError(f"{key} must be {span} [{target}], got {shown:g} ({where}). Check its unit.")
        source = self._source(inner.get("source", table.get("source")), key, where)
        mark = inner.get("mark", table.get("mark", "read"))
        if mark not in MARKS:
            raise InputError(f"mark must be one of {', '.join(MARKS)}, got {mark!r} ({where}).")
        return Value(value, target, source, mark, low, high)

    def _source(self, given: Any, key: str, where: str) -> str:
        if not isinstance(given, str) or not given.strip():
            got = "none" if given is None else repr(given)
            raise InputError(f'{key} must have a source, got {got} ({where}). Add source = "where the figure is from".')
        if self.sources is None:
            return given.strip()
        for name in (part.strip() for part in given.split("+")):
            if name not in self.sources:
                raise UnknownNameError("source", name, self.sources, where)
        return "; ".join(self.sources[part.strip()] for part in given.split("+"))

    def _table(
        self, table: dict[str, Any], place: str
    ) -> tuple[tuple[tuple[float, float, float], ...], dict[str, Value]]:
        """A heat pump's rows at outdoor temperatures, as points and as fields named after the temperature."""
        given = table.get("at", [])
        if not isinstance(given, list) or not all(isinstance(point, dict) for point in given):
            raise InputError(f"at must be a list of tables, got {given!r} ({place}). Write [[{self.kind}.NAME.at]].")
        points: dict[float, tuple[float, float, float]] = {}
        columns: dict[str, Value] = {}
        for point in given:
            for key in (key for key in point if key not in {"outdoor", *TABLE}):
                raise UnknownNameError("key of at", key, ("outdoor", *TABLE), place)
            outdoor = parse(point.get("outdoor"), "degC", name="outdoor", where=f"{place}.at")
            found = {}
            for key, field in TABLE.items():
                if key not in point:
                    raise InputError(f"at must have {key} every time, got none at {outdoor:g} degC ({place}).")
                found[key] = self._value(key, point[key], field, table, f"{place}.at", "")
                columns[f"{key} at {outdoor:g} degC"] = found[key]
            points[outdoor] = (outdoor, found["cop"].value, found["capacity"].value)
        return tuple(points[outdoor] for outdoor in sorted(points)), columns


def _number(given: Any, unit: str, target: str, per: str, name: str, where: str) -> float:
    """A number in the field's unit."""
    if target == "usd":
        return parse_price((given, f"usd/{per}") if unit == "usd" else given, per, name=name, where=where)
    plain = isinstance(given, (int, float)) and not isinstance(given, bool) and math.isfinite(given)
    if plain and (unit == target or (unit == "" and target == "1")):
        return float(given)
    if unit and isinstance(given, str):
        raise InputError(f"{name} must be a number beside its unit [{unit}], got {given!r} ({where}).")
    return parse((given, unit) if unit else given, target, name=name, where=where)


def _check_keys(kind: str, table: Mapping[str, Any], place: str) -> None:
    known = [*FIELDS[kind], *WORDS.get(kind, {}), *_ROW_KEYS, *_extra(kind)]
    for key in table:
        if key not in known:
            raise UnknownNameError(f"field of {kind}", key, known, place)


def _extra(kind: str) -> tuple[str, ...]:
    return {"floors": ("layers",), "heaters": ("at",)}.get(kind, ())


def _words(kind: str, table: Mapping[str, Any], place: str) -> dict[str, str]:
    words = {}
    for key, word in WORDS.get(kind, {}).items():
        if key not in table:
            continue
        text = _text(table[key], key, place)
        if word.choices and text not in word.choices:
            raise InputError(f"{key} must be one of {', '.join(word.choices)}, got {text!r} ({place}).")
        words[key] = text
    return words


def _text(given: Any, key: str, place: str) -> str:
    if not isinstance(given, str):
        raise InputError(f"{key} must be text, got {given!r} ({place}). Put it in quotation marks.")
    return given


def _layers(table: Mapping[str, Any], place: str) -> tuple[tuple[str, float], ...]:
    given = table.get("layers", [])
    hint = 'Write layers = [["concrete", "4 in"]].'
    if not isinstance(given, list):
        raise InputError(f"layers must be a list, got {given!r} ({place}). {hint}")
    layers = []
    for pair in given:
        if not (isinstance(pair, list) and len(pair) == 2 and isinstance(pair[0], str)):
            raise InputError(f"layers must be pairs of material and thickness, got {pair!r} ({place}). {hint}")
        thickness = parse(pair[1], "m", name="thickness", where=f"{place}.layers")
        if not 0 < thickness <= 3:
            raise InputError(f"thickness must be between 0 and 3 [m], got {pair[1]!r} ({place}.layers).")
        layers.append((pair[0], thickness))
    return tuple(layers)


def _check_whole(row: Row, place: str) -> None:
    """What a row must have, and what its numbers must be beside each other."""
    hint = 'Add it, or add like = "a catalogue name" to take the rest from that row.'
    for key, field in FIELDS[row.kind].items():
        if field.required and key not in row.fields:
            raise InputError(f"{row.name} must have {key} [{field.unit}], got none ({place}). {hint}")
    for key, word in WORDS.get(row.kind, {}).items():
        if word.required and key not in row.words:
            raise InputError(f"{row.name} must have {key}, got none ({place}). {hint}")
    for wrong, says in _CHECKS.get(row.kind, ()):
        if wrong(row):
            raise InputError(f"{row.name} must {says} ({place}).")


_CHECKS: dict[str, tuple[tuple[Callable[[Row], bool], str], ...]] = {
    "glazing": (
        (lambda row: row["longwave"] + max(row["emissivity_in"], row["emissivity_out"]) > 1 + 1e-9,
         "let through and radiate no more than 1 of the long wave together, got longwave + emissivity above 1"),
        (lambda row: row["solar_diffuse"] > row["solar_normal"] + 1e-9,
         "let through no more diffuse than normal sun, got solar_diffuse above solar_normal"),
        (lambda row: row["sheets"] != int(row["sheets"]), "have a whole number of sheets, got a fraction"),
    ),
    "materials": (
        (lambda row: not {"conductivity", "resistance"} & row.fields.keys(),
         "have conductivity [W/(m K)] or resistance [m2 K/W], got neither"),
        (lambda row: {"conductivity", "resistance"} <= row.fields.keys(),
         "have conductivity or resistance, got both"),
    ),
    "fuels": ((lambda row: row["lhv"] > row["hhv"], "have lhv of at most hhv, got lhv above hhv"),),
    "heaters": ((lambda row: not row.table and "efficiency" not in row.fields,
                 "have efficiency [1] or a table at outdoor temperatures, got neither"),
                (lambda row: row.words.get("basis") == "hhv" and (row.get("efficiency") or 0.0) > 1.0,
                 "have an efficiency of at most 1 on the hhv, got more; only on the lhv it may come to 1.1"),
                (lambda row: any(at < INDOORS and cop * (INDOORS - at) >= INDOORS + 273.15 for at, cop, _ in row.table),
                 "have a cop below Carnot's, 293 K over the difference to 20 degC inside, got one above it")),
    "crops": ((lambda row: row["kill"] > row["night"], "be held above what kills it, got kill above night"),),
    "fish": ((lambda row: not row["kill_low"] < row["prefer_low"] < row["prefer_high"] < row["kill_high"],
              "have kill_low below prefer_low below prefer_high below kill_high, got another order"),),
}  # fmt: skip
