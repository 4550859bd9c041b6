"""What pays: for the terminal, for other programs, as CSV.

The JSON documents hold SI and full precision; null stands where there is no number.

``heatloss payback``: ``title`` ``sample`` ``weather``; ``years`` ``discount`` ``escalation``; ``example_costs``
``example_fuel_price``; ``fuel`` and ``unit`` of the first heater; ``as_it_is`` with ``fuel``, ``cost_usd``,
``heat_kwh``, ``peak_w``; ``measures``, one entry per row of ``heatloss.payback``, money in usd; ``months`` and, row by
row, ``light_mol_m2_day``; where they were asked for ``order``, ``packages``, ``shares``, ``interactions``,
``chances``, ``minutes_until_frost``, with ``rule``, ``coarseness`` (of hourly steps) and ``within``; ``cautions``.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.payback import BY_ITSELF, LEFT_OUT, NONE_FITS
from heatloss.files import write_whole
from heatloss.fuel import trade_unit
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.measures import Units, count, figure, heading, money, pair, power, table, wrapped
from heatloss.report.packages_text import besides, studied_sections
from heatloss.report.tables import Table

if TYPE_CHECKING:
    from heatloss.decisions.payback import Weighed
    from heatloss.decisions.studied import Studied
    from heatloss.season import Season

SNOW = next(text for text in CAUTIONS if text.startswith("Snow"))
OWN_COSTS = "Your own: heatloss payback --starter > mine.toml, change it, then --measures mine.toml"
NAME_WIDTH = 20
SHORT = {"short tons": "tons", "gallons": "gal", "bushels": "bu"}
"""Units that would not stand in the column, where another fuel's unit has to be said."""


def payback_report(weighed: Weighed, *, units: Units = "us", sample: bool = False, found: Studied | None = None) -> str:
    """Write what measures save and cost as text 80 columns wide.

    Parameters
    ----------
    weighed : Weighed
        What ``heatloss.decisions.payback.weigh`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.
    found : Studied, optional
        What ``heatloss.decisions.studied.studied`` gave: order, packages, chances.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*titled(weighed.base, "What pays"), *_as_it_is(weighed, units), *_measures(weighed, units)]
    lines += [*_together(weighed, units), *besides(weighed, units)]
    lines += [] if found is None else studied_sections(found)
    lines += [*_notes(weighed), *_prices(weighed), *_terms(weighed), *cautioned()]
    return framed(lines, sample)


def payback_json(weighed: Weighed, *, sample: bool = False, found: Studied | None = None) -> str:
    """Measures weighed, as the JSON document that this module describes."""
    base = weighed.base
    light = weighed.light.rename(columns=str).to_dict("list")
    further = {} if found is None else _further(found)
    rows = weighed.table.rename(columns={"cost": "cost_usd", "saving": "saving_usd"}).reset_index().to_dict("records")
    return document(
        base, "heatloss payback", sample, years=weighed.years, discount=weighed.discount,
        escalation=weighed.escalation, example_costs=weighed.examples, example_fuel_price=_example_price(base),
        fuel=base.fuel.name, unit=base.fuel.unit,
        as_it_is={"fuel": base.fuel.amount, "cost_usd": _fuel_cost(base), "heat_kwh": base.heat_kwh,
                  "peak_w": base.peak_w},
        measures=rows, months=list(weighed.light.index), light_mol_m2_day=light, **further,
        cautions=[SIZING_CAUTION, *CAUTIONS],
    )  # fmt: skip


def _further(found: Studied) -> dict[str, Any]:
    """Tables of the study that were asked for, as lists of rows."""
    tables = {"order": found.order, "packages": found.packages, "shares": found.shares, "chances": found.chances}
    rows: dict[str, Any] = {k: t.reset_index().to_dict("records") for k, t in tables.items() if t is not None}
    if found.meetings is not None:
        rows["interactions"] = found.meetings.to_dict("index")
    if found.outages is not None:
        rows["minutes_until_frost"] = {str(name): 60.0 * hours for name, hours in found.outages.items()}
    return rows | {"rule": found.rule, "coarseness": found.coarseness, "within": found.within}


def payback_csv(weighed: Weighed, path: str | os.PathLike[str]) -> None:
    """Write the table of measures as CSV: money in usd, shares of 1, fuel in its trade unit."""
    named = weighed.table.rename(columns={"fuel": f"fuel [{weighed.base.fuel.unit}]"})
    write_whole(path, named.to_csv(float_format="%.6g", lineterminator="\n"))


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
    found = measure_table(weighed, units)
    if found is None:
        return
    yield from heading(found.caption)
    widths = (NAME_WIDTH, 11, 9, 7, 8, 9, 7, 7)
    heads = [tuple(head) for head in zip(*found.head, strict=True)]
    yield from table(heads, widths)
    for name, *cells in (*found.rows, *([found.total] if found.total else [])):
        long = len(name) > NAME_WIDTH
        yield from wrapped(name) if long else ()
        yield from table([("" if long else name, *cells)], widths)


def measure_table(weighed: Weighed, units: Units) -> Table | None:
    """Every measure that fits, alone, and all together in the last line; None where none fits."""
    rows = _rows(weighed)
    if not rows:
        return None
    trade = trade_unit(weighed.base.fuel.unit)
    bought = trade.many.removesuffix(" (US)") if units == "us" else trade.si
    names = ("", "fuel", "saves", "costs", "pays in", "worth", "return", "light")
    columns = ("", bought, "$ a year", "$", "years", "now, $", "%/year", "lost %")
    caption = "Each measure alone, and all together" + (" (EXAMPLE costs)" if weighed.examples else "")
    cells = {name: (name, *_cells(weighed, row, units)) for name, row in rows.items()}
    whole = cells.pop(TOGETHER, ())
    return Table(caption, tuple(zip(names, columns, strict=True)), tuple(cells.values()), whole)


def _burned(weighed: Weighed, row: dict[Any, Any], units: Units) -> str:
    """Fuel of a row; with its own unit where the measure brings another fuel."""
    if row["unit"] == weighed.base.fuel.unit:
        return _amount(weighed.base, row["fuel"], units)
    trade = trade_unit(row["unit"])
    bought = (
        (trade.many.removesuffix(" (US)"), row["fuel"]) if units == "us" else (trade.si, row["fuel"] * trade.si_factor)
    )
    return f"{bought[1]:,.0f} {SHORT.get(bought[0], bought[0])}"


def _rows(weighed: Weighed) -> dict[str, dict[Any, Any]]:
    """The rows that fit the house, by name; without ``all together`` where there is nothing to take."""
    fitting = weighed.table[weighed.table["saving"].notna() & (weighed.table["note"] != NONE_FITS)]
    return {str(name): row for name, row in fitting.to_dict("index").items()}


def _cells(weighed: Weighed, row: dict[Any, Any], units: Units) -> tuple[str, ...]:
    years, irr = row["payback_years"], row["irr"]
    return (
        _burned(weighed, row, units), f"{row['saving'] + 0.0:,.0f}", f"{row['price']:,.0f}",
        "never" if math.isinf(years) else "> 100" if years > 100.0 else f"{years:.1f}",
        f"{row['npv']:,.0f}", "-" if math.isnan(irr) else f"{100.0 * irr:.0f}",
        f"{100.0 * row['light_lost'] + 0.0:.0f}",
    )  # fmt: skip


def _together(weighed: Weighed, units: Units) -> Iterator[str]:
    yield ""
    for sentence in together(weighed, units):
        yield from wrapped(sentence)


def together(weighed: Weighed, units: Units) -> Iterator[str]:
    """What to know beside the table of measures, sentence by sentence."""
    rows = _rows(weighed)
    if rows:
        yield "Return: the interest the money spent on it earns. Light lost: share of the sun kept out."
    if TOGETHER not in rows:
        yield f"{NONE_FITS[0].upper()}{NONE_FITS[1:]}."
        return
    whole = rows.pop(TOGETHER)
    left_out = {name: row["note"] for name, row in rows.items() if row["note"].startswith(LEFT_OUT)}
    taken = [row for name, row in rows.items() if name not in left_out]
    alone, costs = (sum(row[key] for row in taken) for key in ("saving", "price"))
    apart = [name for name, note in left_out.items() if note.endswith(BY_ITSELF)]
    if apart:
        yield f"Weighed by themselves and not among all together: {'; '.join(apart)}."
    for name in (n for n in left_out if n not in apart):
        yield f"{name} is {left_out[name].rstrip('.')}."
    if len(taken) > 1:
        why = " What one measure keeps in, the next cannot save again." if whole["saving"] < alone else ""
        yield (
            f"Savings do not add up: one by one they come to {money(alone)} a year, all together they save "
            f"{money(whole['saving'])}.{why}"
        )
    if abs(whole["price"] - costs) >= 1.0:
        yield (
            f"Nor do costs: one by one {money(costs)}, all together {money(whole['price'])}, since one measure changes "
            "the area or length that another is paid by."
        )
    peak = power(whole["peak_w"], units)
    yield (
        f"Highest hour of this file, not a heater size: {power(weighed.base.peak_w, units)} as it is, {peak} with all "
        "together. Size the heater on the changed house: heatloss heater."
    )
    cold = [name for name, row in rows.items() if row["cold_roof"]]
    if cold:
        yield f"{SNOW} Of these measures: {', '.join(cold)}."


def _notes(weighed: Weighed) -> Iterator[str]:
    notes = list(unfit(weighed))
    if notes:
        yield from heading("What does not fit this house, or changes nothing")
    for note in notes:
        yield from wrapped(note, bullet="- ")


def unfit(weighed: Weighed) -> Iterator[str]:
    """Each measure that does not fit the house or changes nothing in it, and why."""
    noted = weighed.table["note"]
    rows = weighed.table[(noted != "") & (noted != NONE_FITS) & ~noted.str.startswith(LEFT_OUT)]
    for name, note in rows["note"].items():
        yield f"{name}: {str(note).removeprefix('does not fit: ')}"


def _prices(weighed: Weighed) -> Iterator[str]:
    prices = list(priced(weighed))
    if not prices:
        return
    yield from heading("What the costs are" + (": EXAMPLES, put in your own" if weighed.examples else ""))
    for price in prices:
        yield from wrapped(price, bullet="- ")
    if weighed.examples:
        yield from wrapped(OWN_COSTS)


def priced(weighed: Weighed) -> Iterator[str]:
    """What each measure that fits costs, how long it lasts and who says so."""
    rows = _rows(weighed)
    for measure in (m for m in weighed.measures if m.name in rows):
        row = rows[measure.name]
        low, high = money(row["price_low"]), money(row["price_high"])
        span = f" ({low} to {high})" if row["price_low"] < row["price_high"] else ""
        upkeep = f", upkeep {money(measure.upkeep)} a year" if measure.upkeep else ""
        source = f"; {measure.source}" if measure.source else ""
        life = count(measure.life, "year", "years")
        note = f". {measure.note}" if measure.note else ""
        yield f"{measure.name}: {money(row['price'])}{span}, lasts {life}{upkeep}{source}{note}"


def _terms(weighed: Weighed) -> Iterator[str]:
    yield from heading("How it is reckoned")
    for sentence in terms(weighed):
        yield from wrapped(sentence)


def terms(weighed: Weighed) -> Iterator[str]:
    """How the money is reckoned, in words."""
    yield (
        f"Over {count(weighed.years, 'year', 'years')}, interest {100 * weighed.discount:g} %, fuel dearer by "
        f"{100 * weighed.escalation:g} % a year, both nominal or both real. Worth now: all savings less costs and "
        "upkeep, in money of today. A measure that wears out sooner is bought again; what is left at the end is worth "
        "nothing."
    )
    yield (
        "A sheet that loses a third less does not save a third of the fuel: air, floor and sun are in the balance too. "
        "Every line is its own hourly balance of the changed house. Light: share of the sun lost while a heater is in "
        "use; what the crop makes of it is not in the money. One typical year: a hard winter saves more, a mild "
        "one less."
    )
