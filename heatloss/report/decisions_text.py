"""How big a heater, and what pays: for the terminal, for other programs, as CSV.

The JSON documents hold SI and full precision; null stands where there is no number.

``heatloss heater size``: ``title`` ``sample`` ``weather``; ``recommended_w`` (heat delivered), ``governs`` (the load it
is), ``fitted_w`` (of the house file), ``complete`` (whether the 20-year minimum is known), ``inside_c``, ``margin``;
``loads``, one entry per method with ``load_w``, ``outdoor_c`` and its ``origin``; ``curve``, one entry per output:
``output_w``, ``unmet_hours``, ``degree_hours`` (K h), ``lowest`` (degC); ``notes``; ``cautions``.

``heatloss payback``: ``title`` ``sample`` ``weather``; ``years`` ``discount`` ``escalation``; ``example_costs``
``example_fuel_price``; ``fuel`` and ``unit`` of the first heater; ``as_it_is`` with ``fuel``, ``cost_usd``,
``heat_kwh``, ``peak_w``; ``measures``, one entry per row of ``heatloss.payback``, money in usd; ``cautions``.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.payback import LEFT_OUT, NONE_FITS
from heatloss.fuel import trade_unit
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.export import write_whole
from heatloss.report.measures import (
    Units,
    count,
    date,
    entry,
    fahrenheit,
    figure,
    heading,
    money,
    pair,
    power,
    table,
    temperature,
    wrapped,
)
from heatloss.report.text import SAMPLE_NOTE

if TYPE_CHECKING:
    from heatloss.decisions.payback import Weighed
    from heatloss.decisions.sizing import HeaterSize
    from heatloss.season import Season

SNOW = next(text for text in CAUTIONS if text.startswith("Snow"))
NAME_WIDTH = 20


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
    lines = [*_title(size.season, "How big a heater"), *_size(size, units), *_loads(size, units)]
    lines += [*_curve(size, units), *_cautions()]
    return _framed(lines, sample)


def payback_report(weighed: Weighed, *, units: Units = "us", sample: bool = False) -> str:
    """Write what measures save and cost as text 80 columns wide.

    Parameters
    ----------
    weighed : Weighed
        What ``heatloss.decisions.payback.weigh`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*_title(weighed.base, "What pays"), *_as_it_is(weighed, units), *_measures(weighed, units)]
    lines += [*_together(weighed, units), *_notes(weighed), *_prices(weighed), *_terms(weighed), *_cautions()]
    return _framed(lines, sample)


def heater_json(size: HeaterSize, *, sample: bool = False) -> str:
    """A heater's size as the JSON document that this module describes."""
    rows = [
        {"method": method, "load_w": load, "outdoor_c": outdoor, "origin": origin}
        for method, load, outdoor, origin in zip(size.loads.index, size.loads, size.outdoor, size.origin, strict=True)
    ]
    return _json(
        size.season, "heatloss heater size", sample, recommended_w=size.recommended_w, governs=size.governs,
        fitted_w=size.fitted_w, complete=size.complete, inside_c=size.inside, margin=size.margin, loads=rows,
        curve=size.curve.to_dict("records"), notes=list(size.notes), cautions=[SIZING_CAUTION, *CAUTIONS],
    )  # fmt: skip


def payback_json(weighed: Weighed, *, sample: bool = False) -> str:
    """Measures weighed, as the JSON document that this module describes."""
    base = weighed.base
    rows = weighed.table.rename(columns={"cost": "cost_usd", "saving": "saving_usd"}).reset_index().to_dict("records")
    return _json(
        base, "heatloss payback", sample, years=weighed.years, discount=weighed.discount,
        escalation=weighed.escalation, example_costs=weighed.examples, example_fuel_price=_example_price(base),
        fuel=base.fuel.name, unit=base.fuel.unit,
        as_it_is={"fuel": base.fuel.amount, "cost_usd": _fuel_cost(base), "heat_kwh": base.heat_kwh,
                  "peak_w": base.peak_w},
        measures=rows, cautions=[SIZING_CAUTION, *CAUTIONS],
    )  # fmt: skip


def heater_csv(size: HeaterSize, path: str | os.PathLike[str]) -> None:
    """Write the curve of outputs as CSV: output [W], hours and degree-hours [K h] below the setpoint, lowest [degC]."""
    units = {"output_w": "output [W]", "degree_hours": "degree_hours [K h]", "lowest": "lowest [degC]"}
    write_whole(path, size.curve.rename(columns=units).to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def payback_csv(weighed: Weighed, path: str | os.PathLike[str]) -> None:
    """Write the table of measures as CSV: money in usd, shares of 1, fuel in its trade unit."""
    named = weighed.table.rename(columns={"fuel": f"fuel [{weighed.base.fuel.unit}]"})
    write_whole(path, named.to_csv(float_format="%.6g", lineterminator="\n"))


def _json(season: Season, form: str, sample: bool, **data: Any) -> str:
    import heatloss

    head = {"format": form, "version": heatloss.__version__, "title": season.house.title, "sample": sample}
    document = {**head, "weather": season.weather.site.name, **data}
    return json.dumps(_plain(document), indent=2, ensure_ascii=False, allow_nan=False)


def _plain(value: Any) -> Any:
    """Numbers as Python's own, null for those JSON has no word for."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    value = value.item() if hasattr(value, "item") else value
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _framed(lines: list[str], sample: bool) -> str:
    return "\n".join([SAMPLE_NOTE, "", *lines, "", SAMPLE_NOTE] if sample else lines)


def _title(season: Season, question: str) -> Iterator[str]:
    yield from wrapped(season.house.title or "A house without a title", indent=0)
    yield from wrapped(f"{question}, on the weather of {season.weather.site.name}", indent=0)


def _size(size: HeaterSize, units: Units) -> Iterator[str]:
    yield from heading("Heater size" if size.complete else "Heater size: incomplete")
    yield from wrapped(f"{power(size.recommended_w, units)} of heat delivered into the house")
    reason = "the largest of the loads that count" if size.complete else "the only load known that counts"
    yield from entry("that is", f"{size.governs}: {reason}")
    yield from entry("to hold", f"{temperature(size.inside, units)} inside, {_dates(size.season)}")
    efficiency = size.season.fuels[0].efficiency if size.season.fuels else 1.0
    if efficiency < 1.0:
        heater, label = size.season.fuels[0].heater, power(size.recommended_w / efficiency, units)
        share = f"at the {100 * efficiency:.0f} % of the {heater}"
        yield from entry("on a label", f"that is output; a label that gives input, {share}, must say {label}")
    if size.fitted_w is not None:
        short = size.recommended_w - size.fitted_w
        enough = "enough, if that is output" if size.complete else "covers this load, the 20-year one is not known"
        verdict = f"short by {power(short, units)}" if short > 0.0 else enough
        yield from entry("in the house file", f"{power(size.fitted_w, units)}: {verdict}")
    for note in size.notes[: 0 if size.complete else 1]:
        yield from wrapped(note)
    yield from wrapped(SIZING_CAUTION)


def _dates(season: Season) -> str:
    heaters = season.house.heater
    if not heaters or any(h.from_ is None for h in heaters):
        return "all year"
    spans = {f"from {date(str(h.from_))} to {date(str(h.to))}" for h in heaters}
    return ", ".join(sorted(spans))


def _loads(size: HeaterSize, units: Units) -> Iterator[str]:
    yield from heading("Loads side by side")
    yield f"  {'':<28}{'load':<25}outdoors"
    aside = [name for name in size.loads.index if name.endswith(", not a size")]
    for name in [n for n in size.loads.index if n not in aside]:
        yield from _load(size, name, name, units)
    if not size.complete:
        yield f"  {'steady 20-year minimum':<28}MISSING"
    yield "  to compare, none of them a size:"
    for name in aside:
        yield from _load(size, name, f"  {name.removesuffix(', not a size')}", units)
    yield from wrapped(
        "Steady: rated loss times the temperature difference, no sun, no stored heat. Its outdoor temperature is from: "
        + "; ".join(f"{name.removesuffix(', not a size')}, {size.origin[name]}" for name in _steady(size)) + "."
    )  # fmt: skip


def _steady(size: HeaterSize) -> list[str]:
    return [n for n in size.loads.index if n.startswith("steady") and " x " not in n and "coldest" not in n]


def _load(size: HeaterSize, name: str, words: str, units: Units) -> Iterator[str]:
    yield f"  {words:<28}{power(float(size.loads[name]), units):<25}{temperature(float(size.outdoor[name]), units)}"


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


def _fuel_cost(season: Season) -> float:
    return sum(fuel.cost for fuel in season.fuels)


def _example_price(season: Season) -> bool:
    return any(fuel.price_is_example for fuel in season.fuels)


def _amount(season: Season, amount: float, units: Units) -> str:
    trade = trade_unit(season.fuel.unit)
    shown = amount if units == "us" else amount * trade.si_factor
    return f"{shown:,.2f}" if (trade.step < 1.0 if units == "us" else trade.si.startswith("m3")) else f"{shown:,.0f}"


def _as_it_is(weighed: Weighed, units: Units) -> Iterator[str]:
    base, fuel = weighed.base, weighed.base.fuel
    trade = trade_unit(fuel.unit)
    yield from heading("The house as it is")
    us, si = f"{figure(fuel.amount)} {trade.many}", f"{figure(fuel.amount * trade.si_factor)} {trade.si}"
    burned = us if fuel.unit == "kWh" else pair(us, si, units)
    price = "an EXAMPLE price; type yours" if _example_price(base) else f"at ${fuel.price:,.2f} a {trade.one}"
    yield from wrapped(f"{burned} of {fuel.name} a year; all fuel costs {money(_fuel_cost(base))} a year ({price}).")
    others = [f.heater for f in base.fuels[1:]]
    if others:
        yield from wrapped(f"The fuel column is {fuel.name} alone; the money counts {', '.join(others)} too.")


def _measures(weighed: Weighed, units: Units) -> Iterator[str]:
    if not (rows := _rows(weighed)):
        return
    trade = trade_unit(weighed.base.fuel.unit)
    label = "Each measure alone, and all together"
    yield from heading(f"{label} (EXAMPLE costs)" if weighed.examples else label)
    widths = (NAME_WIDTH, 11, 9, 7, 8, 9, 7, 7)
    head = ("", "fuel", "saves", "costs", "pays in", "worth", "return", "light")
    bought = trade.many.removesuffix(" (US)") if units == "us" else trade.si
    yield from table([head, ("", bought, "$ a year", "$", "years", "now, $", "%/year", "lost %")], widths)
    for name, row in rows.items():
        long = len(name) > NAME_WIDTH
        yield from wrapped(name) if long else ()
        yield from table([("" if long else name, *_cells(weighed, row, units))], widths)


def _rows(weighed: Weighed) -> dict[str, dict[Any, Any]]:
    """The rows that fit the house, by name; without ``all together`` where there is nothing to take."""
    fitting = weighed.table[weighed.table["saving"].notna() & (weighed.table["note"] != NONE_FITS)]
    return {str(name): row for name, row in fitting.to_dict("index").items()}


def _cells(weighed: Weighed, row: dict[Any, Any], units: Units) -> tuple[str, ...]:
    years, irr = row["payback_years"], row["irr"]
    return (
        _amount(weighed.base, row["fuel"], units), f"{row['saving'] + 0.0:,.0f}", f"{row['price']:,.0f}",
        "never" if math.isinf(years) else "> 100" if years > 100.0 else f"{years:.1f}",
        f"{row['npv']:,.0f}", "-" if math.isnan(irr) else f"{100.0 * irr:.0f}",
        f"{100.0 * row['light_lost'] + 0.0:.0f}",
    )  # fmt: skip


def _together(weighed: Weighed, units: Units) -> Iterator[str]:
    yield ""
    rows = _rows(weighed)
    if rows:
        yield from wrapped("Return: the interest the money spent on it earns. Light lost: share of the sun kept out.")
    if TOGETHER not in rows:
        yield from wrapped(f"{NONE_FITS[0].upper()}{NONE_FITS[1:]}.")
        return
    whole = rows.pop(TOGETHER)
    left_out = {name: row["note"] for name, row in rows.items() if row["note"].startswith(LEFT_OUT)}
    taken = [row for name, row in rows.items() if name not in left_out]
    alone, costs = (sum(row[key] for row in taken) for key in ("saving", "price"))
    for name, note in left_out.items():
        yield from wrapped(f"{name} is {note.rstrip('.')}.")
    if len(taken) > 1:
        why = " What one measure keeps in, the next cannot save again." if whole["saving"] < alone else ""
        yield from wrapped(
            f"Savings do not add up: one by one they come to {money(alone)} a year, all together they save "
            f"{money(whole['saving'])}.{why}"
        )
    if abs(whole["price"] - costs) >= 1.0:
        yield from wrapped(
            f"Nor do costs: one by one {money(costs)}, all together {money(whole['price'])}, since one measure changes "
            "the area or length that another is paid by."
        )
    peak = power(whole["peak_w"], units)
    yield from wrapped(
        f"Highest hour of this file, not a heater size: {power(weighed.base.peak_w, units)} as it is, {peak} with all "
        "together. Size the heater on the changed house: heatloss heater."
    )
    cold = [name for name, row in rows.items() if row["cold_roof"]]
    if cold:
        yield from wrapped(f"{SNOW} Of these measures: {', '.join(cold)}.")


def _notes(weighed: Weighed) -> Iterator[str]:
    noted = weighed.table["note"]
    rows = weighed.table[(noted != "") & (noted != NONE_FITS) & ~noted.str.startswith(LEFT_OUT)]
    if len(rows):
        yield from heading("What does not fit this house, or changes nothing")
    for name, note in rows["note"].items():
        yield from wrapped(f"{name}: {str(note).removeprefix('does not fit: ')}", bullet="- ")


def _prices(weighed: Weighed) -> Iterator[str]:
    if not (rows := _rows(weighed)):
        return
    yield from heading("What the costs are" + (": EXAMPLES, put in your own" if weighed.examples else ""))
    for measure in (m for m in weighed.measures if m.name in rows):
        row = rows[measure.name]
        low, high = money(row["price_low"]), money(row["price_high"])
        span = f" ({low} to {high})" if row["price_low"] < row["price_high"] else ""
        upkeep = f", upkeep {money(measure.upkeep)} a year" if measure.upkeep else ""
        source = f"; {measure.source}" if measure.source else ""
        life = count(measure.life, "year", "years")
        yield from wrapped(f"{measure.name}: {money(row['price'])}{span}, lasts {life}{upkeep}{source}", bullet="- ")
    if weighed.examples:
        yield from wrapped("Your own: heatloss payback --starter > mine.toml, change it, then --measures mine.toml")


def _terms(weighed: Weighed) -> Iterator[str]:
    yield from heading("How it is reckoned")
    yield from wrapped(
        f"Over {count(weighed.years, 'year', 'years')}, interest {100 * weighed.discount:g} %, fuel dearer by "
        f"{100 * weighed.escalation:g} % a year, both nominal or both real. Worth now: all savings less costs and "
        "upkeep, in money of today. A measure that wears out sooner is bought again; what is left at the end is worth "
        "nothing."
    )
    yield from wrapped(
        "Every line is its own hourly balance of the changed house. Light: share of the sun lost while a heater is in "
        "use; what the crop makes of it is not in the money. One typical year: a hard winter saves more, a mild "
        "one less."
    )


def _cautions() -> Iterator[str]:
    yield from heading("Cautions")
    for text in CAUTIONS:
        yield from wrapped(text, bullet="- ")
