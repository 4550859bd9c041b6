"""Rows of the catalogue: looked up by exact name, first among a person's own, then among those that come along."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from heatloss.catalogue.fields import FIELDS, KINDS
from heatloss.errors import InputError, UnknownNameError


@dataclass(frozen=True, slots=True)
class Value:
    """One number of a row, with where it comes from and how far it may be off.

    ``mark`` says how the source was used: ``"read"``, ``"read-2"`` (seen only as another page's quotation), ``"from
    memory"``, ``"calculated"`` or ``"common practice"``.
    """

    value: float
    unit: str
    source: str
    mark: str
    low: float
    high: float


@dataclass(frozen=True)
class Row:
    """One entry of the catalogue: numbers by field, words, and what it leaves out.

    ``layers`` are the (material, thickness [m]) pairs that lie on the soil, the uppermost first.  ``table`` holds a
    heat pump's (outdoor temperature [degC], COP [1], share of its rated output [1]), the coldest first.
    """

    kind: str
    name: str
    fields: Mapping[str, Value]
    words: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    layers: tuple[tuple[str, float], ...] = ()
    table: tuple[tuple[float, float, float], ...] = ()

    def __getitem__(self, name: str) -> float:
        if name not in self.fields:
            raise UnknownNameError(f"field of {self.kind}", name, self.fields, self.name)
        return self.fields[name].value

    def get(self, name: str, default: float | None = None) -> float | None:
        """The number of a field, or ``default`` where the row has none."""
        found = self.fields.get(name)
        return default if found is None else found.value

    def text(self, name: str) -> str:
        """A word of the row, such as a heater's ``"fuel"``."""
        if name not in self.words:
            raise UnknownNameError(f"word of {self.kind}", name, self.words, self.name)
        return self.words[name]


Own = Mapping[str, Mapping[str, Row]]
"""A person's own rows by kind and name."""


def row(kind: str, name: str, own: Own | None = None, *, where: str = "") -> Row:
    """One row by its exact name.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    name : str
        The row's name; ``names`` lists them.
    own : mapping, optional
        A person's own rows, from ``read_own``; looked at first.
    where : str
        The key or file the name stood in, for the message.

    Returns
    -------
    Row
        The entry, its numbers in SI units.

    Raises
    ------
    UnknownNameError
        When there is no such kind or row; the message lists the nearest names.

    Examples
    --------
    >>> round(row("glazing", "polycarbonate twin-wall 8 mm")["u_value"], 3)
    3.35
    """
    rows = _rows(kind, own)
    if name not in rows:
        raise UnknownNameError(_singular(kind), name, rows, where)
    return rows[name]


def names(kind: str, own: Own | None = None) -> tuple[str, ...]:
    """Names of the rows of a kind, a person's own first.

    >>> "pellets" in names("fuels")
    True
    """
    return tuple(_rows(kind, own))


def default(name: str, own: Own | None = None) -> float:
    """The number of one default of the model, in its SI unit.

    >>> default("inside_film_minimum")
    4.0
    """
    return row("defaults", name, own)["value"]


def read_own(path: str | Path) -> dict[str, dict[str, Row]]:
    """Read a person's own rows from a TOML file.

    Parameters
    ----------
    path : str or Path
        File with tables such as ``[glazing."my panel"]``.  A field is ``"0.55 Btu/(h ft^2 degF)"``, a plain number
        where it has no unit, or a table of value, unit, low, high, source and mark.  ``source`` is needed for the row
        or for each field; ``like = "a name"`` takes what is not given from that row.

    Returns
    -------
    dict
        Rows by kind and name, for the ``own`` of ``row`` and ``names``.

    Raises
    ------
    InputError
        One message with a line for each fault: where it stands, what was wanted and what came.
    """
    from heatloss.catalogue.reading import check_kinds, read_rows

    tree = _load(Path(path))
    where = Path(path).name
    faults = check_kinds(tree, where)
    own: dict[str, dict[str, Row]] = {}
    for kind in (kind for kind in KINDS if isinstance(tree.get(kind), dict)):
        found, wrong = read_rows(kind, tree[kind], _shipped, where=where)
        own[kind], faults = found, faults + wrong
    if faults:
        raise InputError("\n".join(faults))
    return own


def _rows(kind: str, own: Own | None) -> Mapping[str, Row]:
    if kind not in FIELDS:
        raise UnknownNameError("kind of catalogue row", kind, KINDS)
    mine = own.get(kind) if own else None
    return {**mine, **{k: v for k, v in _shipped(kind).items() if k not in mine}} if mine else _shipped(kind)


@lru_cache(maxsize=len(KINDS))
def _shipped(kind: str) -> dict[str, Row]:
    """The rows that come with the library, read when a kind is first asked for."""
    from heatloss.catalogue.reading import read_rows

    here = Path(__file__).parent
    rows, faults = read_rows(kind, _load(here / f"{kind}.toml"), None, sources=_sources(), where=f"{kind}.toml")
    if faults:
        raise InputError("\n".join(faults))
    return rows


@lru_cache(maxsize=1)
def _sources() -> dict[str, str]:
    return {str(k): str(v) for k, v in _load(Path(__file__).parent / "sources.toml").items()}


def _load(path: Path) -> dict[str, Any]:
    """The tables of a TOML file, or one sentence about why there are none."""
    try:
        if path.stat().st_size > 1_000_000:
            raise InputError(f"rows must be a TOML file of at most 1 MB, got {path.name}. Leave out what is not used.")
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise InputError(f"rows must be a file that can be read, got {str(path)!r} ({fault.strerror}).") from None
    except (ValueError, RecursionError) as fault:
        if isinstance(fault, InputError):
            raise
        raise InputError(f"rows must be a TOML file, got {path.name} ({fault}).") from None


def _singular(kind: str) -> str:
    return {"curtains": "curtain", "soils": "soil", "floors": "floor", "fuels": "fuel", "heaters": "heater",
            "crops": "crop", "materials": "material", "doors": "door", "defaults": "default",
            "infiltration": "infiltration class"}.get(kind, kind)  # fmt: skip
