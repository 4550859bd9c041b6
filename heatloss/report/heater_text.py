"""How big a heater: for the terminal, for other programs, as CSV.

The JSON documents hold SI and full precision; null stands where there is no number.

``heatloss heater size``: ``title`` ``sample`` ``weather``; ``recommended_w`` (heat delivered), ``governs`` (the load it
is), ``fitted_w`` (of the house file), ``complete`` (whether the 20-year minimum is known), ``inside_c``, ``margin``;
``loads``, one entry per method with ``load_w``, ``outdoor_c`` and its ``origin``; ``curve``, one entry per output:
``output_w``, ``unmet_hours``, ``degree_hours`` (K h), ``lowest`` (degC); ``notes``; ``cautions``.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.export import write_whole
from heatloss.report.measures import (
    Units,
    date,
    entry,
    fahrenheit,
    figure,
    heading,
    power,
    table,
    temperature,
    wrapped,
)

if TYPE_CHECKING:
    from heatloss.decisions.sizing import HeaterSize
    from heatloss.season import Season


ASIDE = ", not a size"
Row = tuple[str, str, str, str]


def heater_report(size: HeaterSize, *, units: Units = "us", sample: bool = False) -> str:
    """Write a heater's size as text 80 columns wide, its cautions beside it.

    Parameters
    ----------
    size : HeaterSize
        What ``size_heater`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*titled(size.season, "How big a heater"), *_size(size, units), *_loads(size, units)]
    lines += [*_curve(size, units), *cautioned()]
    return framed(lines, sample)


def heater_json(size: HeaterSize, *, sample: bool = False) -> str:
    """A heater's size as the JSON document that this module describes."""
    rows = [
        {"method": method, "load_w": load, "outdoor_c": outdoor, "origin": origin}
        for method, load, outdoor, origin in zip(size.loads.index, size.loads, size.outdoor, size.origin, strict=True)
    ]
    return document(
        size.season, "heatloss heater size", sample, recommended_w=size.recommended_w, governs=size.governs,
        fitted_w=size.fitted_w, complete=size.complete, inside_c=size.inside, margin=size.margin, loads=rows,
        curve=size.curve.to_dict("records"), notes=list(size.notes), cautions=[SIZING_CAUTION, *CAUTIONS],
    )  # fmt: skip


def heater_csv(size: HeaterSize, path: str | os.PathLike[str]) -> None:
    """Write the curve of outputs as CSV: output [W], hours and degree-hours [K h] below the setpoint, lowest [degC]."""
    units = {"output_w": "output [W]", "degree_hours": "degree_hours [K h]", "lowest": "lowest [degC]"}
    write_whole(path, size.curve.rename(columns=units).to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def _size(size: HeaterSize, units: Units) -> Iterator[str]:
    yield from heading("Heater size" if size.complete else "Heater size: incomplete")
    yield from wrapped(f"{power(size.recommended_w, units)} of heat delivered into the house")
    for label, words in size_facts(size, units):
        yield from entry(label, words)
    for note in size.notes[: 0 if size.complete else 1]:
        yield from wrapped(note)
    yield from wrapped(SIZING_CAUTION)


def size_facts(size: HeaterSize, units: Units) -> Iterator[tuple[str, str]]:
    """What else there is to say of a size: a label, and words with both units."""
    reason = "the largest of the loads that count" if size.complete else "the only load known that counts"
    yield "that is", f"{size.governs}: {reason}"
    yield "to hold", f"{temperature(size.inside, units)} inside, {_dates(size.season)}"
    unit = size.season.fuels[0].appliance if size.season.fuels else None
    efficiency = 1.0 if unit is None or unit.efficiency is None else unit.efficiency
    if efficiency < 1.0:
        heater, label = size.season.fuels[0].heater, power(size.recommended_w / efficiency, units)
        share = f"at the {100 * efficiency:.0f} % of the {heater}"
        yield "on a label", f"that is output; a label that gives input, {share}, must say {label}"
    if size.fitted_w is not None:
        short = size.recommended_w - size.fitted_w
        enough = "enough, if that is output" if size.complete else "covers this load, the 20-year one is not known"
        verdict = f"short by {power(short, units)}" if short > 0.0 else enough
        yield "in the house file", f"{power(size.fitted_w, units)}: {verdict}"


def _dates(season: Season) -> str:
    heaters = season.house.heater
    if not heaters or any(h.from_ is None for h in heaters):
        return "all year"
    spans = {f"from {date(str(h.from_))} to {date(str(h.to))}" for h in heaters}
    return ", ".join(sorted(spans))


def _loads(size: HeaterSize, units: Units) -> Iterator[str]:
    sizes, aside = load_rows(size, units)
    yield from heading("Loads side by side")
    yield f"  {'':<28}{'load':<25}outdoors"
    yield from (f"  {name:<28}{load:<25}{outdoors}".rstrip() for name, load, outdoors, _ in sizes)
    yield "  to compare, none of them a size:"
    yield from (f"    {name:<26}{load:<25}{outdoors}" for name, load, outdoors, _ in aside)
    yield from wrapped(
        "Steady: rated loss times the temperature difference, no sun, no stored heat. Its outdoor temperature is from: "
        + "; ".join(f"{name.removesuffix(ASIDE)}, {size.origin[name]}" for name in _steady(size)) + "."
    )  # fmt: skip


def load_rows(size: HeaterSize, units: Units) -> tuple[list[Row], list[Row]]:
    """Name, load, outdoor temperature and its origin: of the loads that count, and of those to compare."""
    rows: dict[str, Row] = {}
    for name, load, outdoor, origin in zip(size.loads.index, size.loads, size.outdoor, size.origin, strict=True):
        rows[name] = name.removesuffix(ASIDE), power(load, units), temperature(outdoor, units), origin
    sizes = [row for name, row in rows.items() if not name.endswith(ASIDE)]
    if not size.complete:
        sizes.append(("steady 20-year minimum", "MISSING", "", ""))
    return sizes, [row for name, row in rows.items() if name.endswith(ASIDE)]


def _steady(size: HeaterSize) -> list[str]:
    return [n for n in size.loads.index if n.startswith("steady") and " x " not in n and "coldest" not in n]


def _curve(size: HeaterSize, units: Units) -> Iterator[str]:
    yield from heading("What other outputs would do in this one year")
    us = units == "us"
    head = ("output", "of the size", "hours below", "degree hours", "lowest inside")
    under = ("Btu/h" if us else "kW", "%", "setpoint", "°F h" if us else "K h", "°F" if us else "°C")
    widths = (10, 13, 14, 15, 16)
    yield from table([head, under], widths)
    for row in size.curve.to_dict("records"):
        mark = "  <- size" if row["output_w"] == size.recommended_w else ""
        yield from (line + mark for line in table([_curve_row(size, row, us)], widths))
    for note in size.notes[0 if size.complete else 1 :]:
        yield from wrapped(note)


def _curve_row(size: HeaterSize, row: dict[Any, Any], us: bool) -> tuple[str, ...]:
    output, share = row["output_w"], 100.0 * row["output_w"] / size.recommended_w if size.recommended_w else 0.0
    colder = 1.8 * row["degree_hours"] if us else row["degree_hours"]
    lowest = f"{fahrenheit(row['lowest']):.0f}" if us else f"{row['lowest']:.1f}"
    watts = figure(output * 3.412142) if us else figure(output / 1000.0)
    return watts, f"{share:.0f}", f"{row['unmet_hours']:,.0f}", f"{colder:,.0f}", lowest
