"""The catalogue for the terminal: kinds, the names of one kind, or one row with its sources."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from heatloss import catalogue
from heatloss.report.measures import wrapped

if TYPE_CHECKING:
    from heatloss.catalogue import Own, Row

KIND_WORDS = {
    "glazing": "what the light comes through",
    "materials": "layers of walls and roofs",
    "curtains": "night curtains and linings",
    "doors": "doors",
    "infiltration": "leakage classes",
    "soils": "the ground",
    "floors": "what lies on it",
    "fuels": "heating values, trade units, example prices",
    "heaters": "efficiency and its basis",
    "crops": "temperatures and light they want and survive",
    "fish": "temperatures and oxygen they want and survive",
    "defaults": "what the model assumes where the house file is silent",
}
MARKS = {
    "read": "read in the source",
    "read-2": "read as another page's quotation",
    "from memory": "from memory of the source",
    "calculated": "calculated from the source",
    "common practice": "common practice",
}


def catalogue_report(kind: str | None = None, name: str | None = None, own: Own | None = None) -> str:
    """Write what the catalogue holds, as text 80 columns wide.

    Parameters
    ----------
    kind : str, optional
        One kind of row; without it the kinds are listed.
    name : str, optional
        One row of it; without it the names are listed.
    own : mapping, optional
        A person's own rows.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.

    Raises
    ------
    UnknownNameError
        For a kind or a name that is not in the catalogue.
    """
    if kind is None:
        return "\n".join(_kinds(own))
    if name is None:
        return "\n".join(_names(kind, own))
    return "\n".join(_row(catalogue.row(kind, name, own)))


def _kinds(own: Own | None) -> Iterator[str]:
    for kind in catalogue.KINDS:
        yield f"{kind:<14}{len(catalogue.names(kind, own)):>4}  {KIND_WORDS.get(kind, '')}".rstrip()
    yield ""
    yield "heatloss catalogue KIND lists the names, heatloss catalogue KIND NAME shows one row."


def _names(kind: str, own: Own | None) -> Iterator[str]:
    for name in catalogue.names(kind, own):
        note = catalogue.row(kind, name, own).note
        yield name
        yield from wrapped(note, indent=4) if note else ()


def _row(row: Row) -> Iterator[str]:
    yield f"{row.kind}: {row.name}"
    yield from wrapped(row.note) if row.note else ()
    for field, word in row.words.items():
        yield f"  {field}: {word}"
    for material, thickness in row.layers:
        yield f"  layer: {material}, {1000.0 * thickness:g} mm"
    for field, value in row.fields.items():
        unit = "" if value.unit in ("", "1") else f" {value.unit}"
        span = f", between {value.low:.5g} and {value.high:.5g}" if value.low < value.high else ""
        yield f"  {field} = {value.value:.6g}{unit}{span}"
        yield from wrapped(f"{value.source} [{MARKS.get(value.mark, value.mark)}]", indent=6)
