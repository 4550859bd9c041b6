"""A calibrated house as a house file: what was fitted stands in it, and in catalogue rows of its own beside it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from heatloss import catalogue
from heatloss.errors import InputError
from heatloss.house.heating import appliance
from heatloss.house.toml import toml_text
from heatloss.house.whole import House, own_rows
from heatloss.variants import changed

if TYPE_CHECKING:
    from heatloss.catalogue import Row

EFFICIENCY = "efficiency"
FITTED = ", fitted"
"""What the name of a fitted catalogue row ends in."""
DEFAULTS = {"inside_film": "inside_film_minimum", "latent": "latent_share"}
FIELDS = {"glazing": ("u_value",), "infiltration": ("ach", "ach_base", "ach_wind", "ach_stack")}
Tree = dict[str, Any]


def altered(house: House, values: Mapping[str, float], heater: int = 0) -> House:
    """The house with inputs changed, fit for simulating; ``efficiency`` is a factor on the heater's."""
    others = {name: value for name, value in values.items() if name != EFFICIENCY}
    house = changed(house, others)
    if EFFICIENCY not in values:
        return house
    name, value = _efficiency(house, values[EFFICIENCY], heater)
    uses = list(house.heater)
    uses[heater] = uses[heater].model_copy(update={name: value})
    return house.model_copy(update={"heater": tuple(uses)})


def calibrated_house(
    house: House, values: Mapping[str, float], *, heater: int = 0, source: str = "log", file: str = "fitted_rows.toml"
) -> tuple[House, Tree]:
    """The fitted house as a house file would say it.

    Parameters
    ----------
    house : House
    values : {word: float}
        As for ``heatloss.variants.changed``; and ``efficiency``, a factor.
    heater : int
        Place of the heater whose efficiency it is.
    source : str
        What they were fitted to, for the rows' source.
    file : str
        Name of the file that the rows will stand in.

    Returns
    -------
    House, dict
        The house, and its new catalogue rows as the tree of a TOML file, empty where none are needed.

    Raises
    ------
    InputError
        For a value that a house file cannot say.

    Notes
    -----
    U-values: rows that are like the glazings, named "..., fitted". Leakage: the figure itself, or such a row of the
    class. Inside film and vapour: the default of that name. Light: ``soiling``, and what goes beyond clean glass off
    ``frame``. Efficiency: the heater's own key. A house built so burns the same as ``altered`` one.
    """
    rows: Tree = {}
    tree, own = house.tree(), {kind: dict(found) for kind, found in (house.own or {}).items()}

    def fitted_row(kind: str, name: str, by: float) -> str:
        row = catalogue.row(kind, name, house.own)
        new, table = _scaled(row, FIELDS[kind], by, source)
        rows.setdefault(kind, {})[new.name] = table
        own.setdefault(kind, {})[new.name] = new
        return new.name

    if "u" in values:
        for piece in (tree["cover"], *tree.get("part", ()), *tree.get("surface", ())):
            if "glazing" in piece:
                piece["glazing"] = fitted_row("glazing", piece["glazing"], values["u"])
    if "leakage" in values:
        air = tree["air"]
        if "class" in air:
            air["class"] = fitted_row("infiltration", air["class"], values["leakage"])
        else:
            name = next(n for n in ("ach", "n50", "leakage_area") if n in air)
            unit = "m2" if name == "leakage_area" else "1/h"
            air[name] = f"{getattr(house.air, name) * values['leakage']!r} {unit}"
    for word, name in DEFAULTS.items():
        if word in values:
            row = catalogue.row("defaults", name, house.own)
            held = replace(row.fields["value"], value=values[word], source=source, mark="calculated")
            rows.setdefault("defaults", {})[name] = {"value": _table(values[word], held.unit), **_origin(source)}
            own.setdefault("defaults", {})[name] = replace(row, fields={"value": held})
    if "light" in values:
        tree.setdefault("cover", {}).update(_light(house, values["light"]))
    if EFFICIENCY in values:
        name, value = _efficiency(house, values[EFFICIENCY], heater)
        tree["heater"][heater][name] = value
    if rows:
        tree["catalogue"] = file
    with own_rows(own):
        made = House(**tree)
    made._own = own or None
    return made, rows


def write_calibrated(
    house: House, rows: Tree, beside: str | Path, words: str = "", *, folder: str | Path | None = None
) -> tuple[Path, ...]:
    """Write a calibrated house beside the file it was made from, never over a file that is there.

    Parameters
    ----------
    house : House
        From :func:`calibrated_house`.
    rows : dict
        Its new rows.
    beside : str or Path
        The house file it was made from; the new one is called ``NAME_calibrated.toml``, its rows
        ``NAME_calibrated_rows.toml``.
    words : str
        A line for its head.
    folder : str or Path, optional
        Where the files are written, if not beside it.

    Returns
    -------
    tuple of Path
        What was written.

    Raises
    ------
    InputError
        Where one of the files exists, or cannot be written.
    """
    from heatloss.files import write_whole

    old = Path(beside)
    into = old.parent if folder is None else Path(folder)
    target, beside_it = into / f"{old.stem}_calibrated.toml", into / f"{old.stem}_calibrated_rows.toml"
    for path in (target, beside_it):
        if path.exists():
            raise InputError(
                f"the calibrated house must be a new file, got {str(path)!r} (it exists). Move it away first."
            )
    head = f"# {words}\n" if words else ""
    tree = house.tree()
    written = [target]
    if rows:
        tree["catalogue"] = beside_it.name
        write_whole(beside_it, head + toml_text(_merged(_own_tree(old), rows)))
        written.append(beside_it)
    write_whole(target, head + toml_text(tree))
    return tuple(written)


def most_light(house: House) -> float:
    """The largest factor on the light that a house file can say: clean glass without frames."""
    return 1.0 / (house.cover.soiling * (1.0 - house.cover.frame))


def _light(house: House, by: float) -> dict[str, float]:
    light = house.cover.soiling * by
    if light <= 1.0:
        return {"soiling": light}
    if by > most_light(house):
        raise InputError(f"light must be at most {most_light(house):.3g} [1], got {by:.3g}. No glass is cleaner.")
    return {"soiling": 1.0, "frame": 1.0 - (1.0 - house.cover.frame) * light}


def _efficiency(house: House, by: float, heater: int) -> tuple[str, float]:
    """The key of the heater's efficiency and its new value."""
    use = house.heater[heater]
    unit = appliance(use, house)
    if unit.efficiency is None:
        raise InputError(
            f"efficiency must be one figure to be fitted, got the curve of a heat pump (heater {use.name!r}). "
            "Leave efficiency out."
        )
    name = "efficiency" if unit.seasonal else "steady_efficiency"
    return name, unit.efficiency * by


def _scaled(row: Row, names: tuple[str, ...], by: float, source: str) -> tuple[Row, Tree]:
    """A row with some fields scaled, and the table that says it in a file."""
    name = row.name if row.name.endswith(FITTED) else row.name + FITTED
    fields, table = dict(row.fields), {}
    for field in names:
        if field in row.fields:
            old = row.fields[field]
            fields[field] = replace(
                old, value=old.value * by, low=old.low * by, high=old.high * by, source=source, mark="calculated"
            )
            table[field] = _table(old.value * by, old.unit, low=old.low * by, high=old.high * by)
    return replace(row, name=name, fields=fields), {"like": row.name, **table, **_origin(source)}


def _table(value: float, unit: str, **more: float) -> Tree:
    return {"value": value, **({} if unit == "1" else {"unit": unit}), **more}


def _origin(source: str) -> dict[str, str]:
    return {"source": f"fitted to {source}", "mark": "calculated"}


def _own_tree(house_file: Path) -> Tree:
    """The rows that the old house file brought with it."""
    try:
        named = tomllib.loads(house_file.read_text(encoding="utf-8-sig")).get("catalogue")
        return tomllib.loads((house_file.parent / named).read_text(encoding="utf-8-sig")) if named else {}
    except (OSError, ValueError):
        return {}  # a built-in house has none


def _merged(old: Tree, new: Tree) -> Tree:
    return {kind: {**old.get(kind, {}), **new.get(kind, {})} for kind in (*old, *(k for k in new if k not in old))}
