"""Many winters of one house: for the terminal, for other programs, as CSV.

The JSON document ``heatloss winters`` holds SI and full precision: ``title`` ``sample`` ``weather``; ``unit`` of the
fuel; ``winters``, one entry each with the columns of the frame; ``median``, ``worst``, ``one_in_ten`` (null below ten
winters), ``typical`` (null without one), ``harder`` (how many winters take more than it), ``more``; ``notes``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.decisions.winters import ENOUGH, HIGH_BASE, LOW_BASE
from heatloss.fuel import trade_unit
from heatloss.report.document import document, framed
from heatloss.report.measures import Units, count, fahrenheit, figure, fixed, heading, heat, money, table, wrapped

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.decisions.winters import Winters

WIDTHS = (18, 12, 10, 10, 12, 14)


def winters_report(found: Winters, *, units: Units = "us", sample: bool = False) -> str:
    """Write many winters as text 80 columns wide.

    Parameters
    ----------
    found : Winters
        From ``winters``.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines: list[str] = []
    for part in (_title, _said, _table, _notes):
        lines.extend(part(found, units))
    return framed(lines, sample)


def sentence(found: Winters, units: Units = "us") -> str:
    """Where the typical year stands among the winters, and what to buy beyond it; empty without a typical year.

    Parameters
    ----------
    found : Winters
    units : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    str
        One sentence or two.
    """
    if found.typical is None or found.harder is None or found.more is None:
        return ""
    total = len(found.frame)
    milder = total - found.harder
    if found.harder >= milder:
        where = f"This typical file is milder than {found.harder} of {count(total, 'winter', 'winters')}"
    else:
        where = f"This typical file is harder than {milder} of {count(total, 'winter', 'winters')}"
    goal = "the winter of one in ten" if found.one_in_ten is not None else f"the hardest at hand, {found.worst}"
    if found.more == 0.0:
        return f"{where}: what it asks for covers {goal}."
    return f"{where}: buy {_more(found, found.more, units)} more than it asks for, to be ready for {goal}."


def _more(found: Winters, amount: float, units: Units) -> str:
    """Whole bags where the fuel comes in bags, else its unit of trade."""
    if not found.first.fuels:
        return heat(amount, units)
    fuel = found.first.fuels[0]
    if fuel.bag_kg is not None and fuel.amount > 0.0:
        return count(math.ceil(amount * fuel.mass_kg / fuel.amount / fuel.bag_kg - 1e-9), "bag", "bags")
    return _amount(found, amount, units)


def _amount(found: Winters, amount: float, units: Units) -> str:
    if not found.first.fuels:
        return heat(amount, units)
    trade = trade_unit(found.first.fuels[0].unit)
    if units == "si" and trade.si_factor != 1.0:
        return f"{figure(amount * trade.si_factor)} {trade.si}"
    return f"{figure(amount)} {trade.name(amount)}"


def _title(found: Winters, units: Units) -> Iterator[str]:
    yield from wrapped(found.house.title or "A house without a title", indent=0)
    names = list(found.frame.index)
    span = names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"
    yield from wrapped(f"{count(len(names), 'winter', 'winters')}, {span}: {found.first.weather.site.name}", indent=0)


def _said(found: Winters, units: Units) -> Iterator[str]:
    what = found.first.fuels[0].name if found.first.fuels else "heat"
    yield from heading(f"A winter's {what}")
    hardest = float(found.ranked[found.measure].iloc[-1])
    yield f"  {'the middle winter':<34}{_amount(found, found.median, units)}"
    if found.one_in_ten is not None:
        yield f"  {'nine winters in ten take at most':<34}{_amount(found, found.one_in_ten, units)}"
    yield f"  {'the hardest, ' + found.worst:<34}{_amount(found, hardest, units)}"
    if found.typical is not None:
        yield f"  {'the typical year':<34}{_amount(found, float(found.typical[found.measure]), units)}"
    if found.one_in_ten is None:
        yield from wrapped(
            f"{count(len(found.frame), 'whole winter is', 'whole winters are')} at hand, all shown below. A 1-in-10 "
            f"winter is told from {ENOUGH} on."
        )
    if text := sentence(found, units):
        yield from wrapped(text)


def _table(found: Winters, units: Units) -> Iterator[str]:
    us = units == "us"
    yield from heading("Winter by winter, the mildest first")
    bases = [f"{fahrenheit(b):.0f} °F" if us else f"{b:.0f} °C" for b in (HIGH_BASE, LOW_BASE)]
    if found.first.fuels:
        trade = trade_unit(found.first.fuels[0].unit)
        unit = trade.many if us or trade.si_factor == 1.0 else trade.si
    else:
        unit = "million Btu" if us else "kWh"
    days = "°F days" if us else "K days"
    rows: list[tuple[str, ...]] = [
        ("", "fuel" if found.first.fuels else "heat", "cost", "coldest", f"below {bases[0]}", f"below {bases[1]}"),
        ("", unit, "", "°F" if us else "°C", days, days),
    ]
    rows += [_row(str(name), row, found, us) for name, row in found.ranked.iterrows()]
    if found.typical is not None:
        rows.append(_row("typical year", found.typical, found, us))
    yield from table(rows, WIDTHS)


def _row(name: str, row: pd.Series[float], found: Winters, us: bool) -> tuple[str, ...]:
    amount = float(row[found.measure])
    if found.first.fuels:
        trade = trade_unit(found.first.fuels[0].unit)
        amount *= 1.0 if us else trade.si_factor
    elif us:
        amount *= 0.003412142
    share = 1.8 if us else 1.0
    return (
        name,
        figure(amount),
        money(float(row["cost"])) if found.first.fuels else "",
        fixed(fahrenheit(row["lowest"]) if us else row["lowest"], 0),
        fixed(share * row["degree_days"], 0),
        fixed(share * row["degree_days_low"], 0),
    )


def _notes(found: Winters, units: Units) -> Iterator[str]:
    yield from heading("How it was done")
    said = (
        "Every winter's year runs from July to June and is simulated by itself: at a low base winters differ more than "
        "their degree days below 65 °F do, so none is scaled from another.",
        *(note for note in found.notes if "missing values filled" not in note),
    )
    for note in said:
        yield from wrapped(note, bullet="- ")


def winters_csv(found: Winters) -> str:
    """The winters as CSV in SI, in the order of time.

    Parameters
    ----------
    found : Winters

    Returns
    -------
    str
        CSV text.
    """
    return found.frame.to_csv(float_format="%.6g", lineterminator="\n")


def winters_json(found: Winters, *, sample: bool = False) -> str:
    """The winters as JSON in SI.

    Parameters
    ----------
    found : Winters
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        A JSON document.
    """
    rows: Any = found.frame.reset_index().to_dict("records")
    return document(
        found.first,
        "heatloss winters",
        sample,
        unit=found.first.fuels[0].unit if found.first.fuels else "kWh",
        winters=rows,
        median=found.median,
        worst=found.worst,
        one_in_ten=found.one_in_ten,
        typical=None if found.typical is None else found.typical.to_dict(),
        harder=found.harder,
        more=found.more,
        notes=found.notes,
    )
