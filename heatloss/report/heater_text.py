"""How big a heater: for the terminal, for other programs, as CSV.

The JSON documents hold SI and full precision; null stands where there is no number.

``heatloss heater size``: ``title`` ``sample`` ``weather``; ``recommended_w`` (heat delivered), ``governs`` (the load it
is), ``fitted_w`` (labels of the house file) and ``fitted_delivered_w``, ``complete`` (whether the extreme minimum is
known), ``inside_c``, ``margin``; ``label`` with ``output_w``, ``input_w`` and the ``losses`` between them; ``loads``,
one entry per method with ``load_w``, ``outdoor_c``, its ``origin`` and what it ``leaves_out``; ``mild_w``;
``one_or_two``; ``hand``, the sum by hand; ``candidates``; ``curve``, one entry per output: ``output_w``,
``unmet_hours``, ``degree_hours`` (K h), ``lowest`` (degC); ``notes``; ``air_m3_to_ask``; ``cautions``.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.decisions.methods import ASIDE
from heatloss.files import write_whole
from heatloss.physics.heater import room_for_air
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.measures import (
    FT2_PER_M2,
    FT3_PER_M3,
    Units,
    date,
    entry,
    fahrenheit,
    figure,
    heading,
    pair,
    power,
    table,
    temperature,
    volume,
    wrapped,
)

if TYPE_CHECKING:
    from heatloss.decisions.sizing import HeaterSize
    from heatloss.season import Season


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
    lines += [*_curve(size, units), *_small_and_two(size, units), *_candidates(size, units), *_air(size, units)]
    return framed([*lines, *cautioned()], sample)


def hand_report(size: HeaterSize, *, units: Units = "us", sample: bool = False) -> str:
    """Write the governing steady load as one page that an installer can check with a calculator."""
    us = units == "us"
    outdoor = float(size.outdoor[size.governs])
    difference = size.inside - outdoor
    lines = [*titled(size.season, "The steady load by hand"), ""]
    inside, cold = temperature(size.inside, units), temperature(outdoor, units)
    lines += wrapped(f"{size.governs}: {inside} inside, {cold} outdoors, {_kelvin(difference, units)} between them.")
    lines += [""]
    widths = (30, 10, 13, 11, 14)
    head = ("", "area", "U", "U x area", "x difference")
    under = ("", "ft2", "Btu/h ft2 F", "Btu/h F", "Btu/h") if us else ("", "m2", "W/m2 K", "W/K", "W")
    rows = [_hand_row(str(name), row, us) for name, row in size.hand.to_dict("index").items()]
    by, watts = size.hand["w_per_k"].sum(), size.hand["w"].sum()
    total = ("sum", "", "", _by_degree(by, us), _load_figure(watts, us))
    lines += table([head, under, *rows, total], widths)
    lines += ["", *_hand_notes(size, us)]
    return framed([*lines, *cautioned()], sample)


def _kelvin(difference: float, units: Units) -> str:
    return pair(f"{1.8 * difference:.1f} °F", f"{difference:.1f} K", units)


def _by_degree(w_per_k: float, us: bool) -> str:
    return f"{w_per_k * 3.412142 / 1.8:,.1f}" if us else f"{w_per_k:,.1f}"


def _load_figure(watts: float, us: bool) -> str:
    return f"{watts * 3.412142:,.0f}" if us else f"{watts:,.0f}"


def _hand_row(name: str, row: dict[Any, Any], us: bool) -> tuple[str, ...]:
    shown = name if len(name) <= 30 else f"{name[:29]}."
    area, u = "", ""
    if row["area"] == row["area"]:
        area = f"{row['area'] * FT2_PER_M2:,.1f}" if us else f"{row['area']:,.2f}"
        u = f"{row['u'] / 5.678263:.4f}" if us else f"{row['u']:.4f}"
    return shown, area, u, _by_degree(row["w_per_k"], us), _load_figure(row["w"], us)


def _hand_notes(size: HeaterSize, us: bool) -> Iterator[str]:
    air = size.hand.loc["air"]
    room = f"{air['volume'] * FT3_PER_M3:,.0f} ft3" if us else f"{air['volume']:,.1f} m3"
    heat = air["w_per_k"] / air["ach"] / air["volume"] if air["ach"] else 0.0
    by = f"{heat * 3.412142 / 1.8 / FT3_PER_M3:.5f} Btu/(ft3 F)" if us else f"{heat:.4f} Wh/(m3 K)"
    yield from wrapped(f"Air: {room} x {air['ach']:.3f} air changes an hour x {by}.")
    yield from wrapped("Floor: with the ground under it (ISO 13370), by its whole area. U of glazing with its bars.")
    governed = float(size.loads[size.governs])
    if abs(governed - size.hand["w"].sum()) > 1.0:
        yield from wrapped(f"Times {1.0 + size.margin:.2f} for the margin: {_load_figure(governed, us)}.")
    yield from wrapped("No sun, no stored heat, curtains open. " + SIZING_CAUTION)


def heater_json(size: HeaterSize, *, sample: bool = False) -> str:
    """A heater's size as the JSON document that this module describes."""
    rows = [
        {"method": method, "load_w": size.loads[method], "outdoor_c": size.outdoor[method],
         "origin": size.origin[method], "leaves_out": size.leaves_out[method]}
        for method in size.loads.index
    ]  # fmt: skip
    return document(
        size.season, "heatloss heater size", sample, recommended_w=size.recommended_w, governs=size.governs,
        fitted_w=size.fitted_w, fitted_delivered_w=size.fitted_delivered_w, complete=size.complete,
        inside_c=size.inside, margin=size.margin, label=size.label, loads=rows, mild_w=size.mild_w,
        one_or_two=size.one_or_two.reset_index().to_dict("records"),
        hand=size.hand.reset_index().to_dict("records"),
        candidates=size.candidates.reset_index().to_dict("records") if len(size.candidates) else [],
        curve=size.curve.to_dict("records"), notes=list(size.notes), air_m3_to_ask=_air_m3(size),
        cautions=[SIZING_CAUTION, *CAUTIONS],
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
    if size.label:
        lost = [f"{reason} ({100.0 * (1.0 - factor):.0f} %)" for reason, factor in size.label["losses"].items()]
        why = f" to make up for {', '.join(lost)}" if lost else ""
        yield "on its label", f"output of {power(size.label['output_w'], units)}{why}"
        if size.label["input_w"] is not None and size.label["input_w"] > size.label["output_w"]:
            share = 100.0 * size.label["output_w"] / size.label["input_w"]
            burned = power(size.label["input_w"], units)
            yield "or, as fuel", f"input of {burned}, at the {share:.0f} % of the {size.label['heater']}"
    if size.fitted_w is not None and size.fitted_delivered_w is not None:
        short = size.recommended_w - size.fitted_delivered_w
        enough = "enough" if size.complete else "covers this load, the extreme one is not known"
        verdict = f"short by {power(short, units)}" if short > 0.0 else enough
        gives = f"gives {power(size.fitted_delivered_w, units)} on that night: {verdict}"
        yield "in the house file", f"{power(size.fitted_w, units)} on the label, {gives}"


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
        "Steady: rated loss times the temperature difference. Its outdoor temperature is from: "
        + "; ".join(f"{name.removesuffix(ASIDE)}, {size.origin[name]}" for name in _steady(size)) + "."
    )  # fmt: skip
    for words in dict.fromkeys(size.leaves_out):
        names = [name for name in size.loads.index if size.leaves_out[name] == words]
        label = "steady" if names[0].startswith("steady") else names[0].removesuffix(ASIDE)
        yield from wrapped(f"{label} leaves out: {words}", bullet="- ")


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


def _small_and_two(size: HeaterSize, units: Units) -> Iterator[str]:
    rows = size.one_or_two
    yield from heading("Mild nights, and one heater or two")
    yield from wrapped(f"Nine in ten of the heated night hours ask for more than {power(size.mild_w, units)}.")
    one, two = rows.to_dict("records")
    for words, row in (("one heater of the size", one), ("each of two", two)):
        watts = row["smallest_fire_w"]
        if watts > 0.0:
            fits = (
                "no more than they ask for" if watts <= size.mild_w else "more than they ask for: it starts and stops"
            )
            yield from wrapped(f"Smallest fire of {words}: {power(watts, units)}, {fits}.")
    yield from wrapped(
        f"Two of {power(two['each_w'], units)} each: if one fails, the other holds the house down to "
        f"{temperature(two['holds_to'], units)} outdoors. One alone that fails leaves nothing. Where stock "
        "would die, take two, or a backup that starts by itself and needs no current."
    )


def _candidates(size: HeaterSize, units: Units) -> Iterator[str]:
    if not len(size.candidates):
        return
    yield from heading("Your own list")
    for name, row in size.candidates.to_dict("index").items():
        gives = power(row["delivered_w"], units)
        yield from wrapped(f"{name}: {gives}, {100.0 * row['share']:.0f} % of the size; {row['verdict']}", bullet="- ")


def _air_m3(size: HeaterSize) -> float:
    """Room that the rule of NFPA 54 asks for, 50 ft3 for each 1,000 Btu/h of input [m3]."""
    return room_for_air(size.label.get("input_w") or 0.0)


def _air(size: HeaterSize, units: Units) -> Iterator[str]:
    """Combustion air as a question to ask."""
    room, house = _air_m3(size), size.season.geometry.volume
    if not room > 0.0:
        return
    yield from heading("Air for the fire: ask before you buy")
    less = "less: it wants air from outdoors" if house < room else "more, while its cover is not tight: still ask"
    yield from wrapped(
        f"A fire of that input is said to want {volume(room, units)} of room to draw from (NFPA 54, 50 ft3 for each "
        f"1,000 Btu/h, read); this house has {volume(house, units)}, {less}. That is a prompt to ask the installer, "
        "not a ruling. A unit with its own outdoor air and a sealed flue is the better choice in a tight house."
    )
