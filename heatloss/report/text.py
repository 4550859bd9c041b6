"""A season for the terminal: 80 columns, what a grower asks first on the first screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas as pd

from heatloss.fuel import Fuel, Purchase, purchase, trade_unit
from heatloss.fuel.amount import P90
from heatloss.fuel.trade import POUND_KG
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.design import coldest_normal, extreme
from heatloss.report.living import living
from heatloss.report.measures import (
    BTU_PER_KWH,
    FT2_PER_M2,
    LB_PER_KG,
    MONTHS,
    Units,
    count,
    date,
    entry,
    figure,
    fixed,
    heading,
    heat,
    mass,
    money,
    pair,
    power,
    table,
    temperature,
    volume,
    wrapped,
)
from heatloss.report.spread_text import Sureness, spread_section
from heatloss.report.tables import flow_tables, month_table

if TYPE_CHECKING:
    from heatloss.season import Season

SAMPLE_NOTE = "SAMPLE HOUSE, NOT YOURS: every figure here belongs to an invented greenhouse."
MANY_HOURS = 20
"""Hours below the setpoint in a year that a start or a morning may cost without the heater being too small."""

DAY = pd.Timedelta(days=1)


def season_report(season: Season, *, units: Units = "us", sample: bool = False, sure: Sureness | None = None) -> str:
    """Write a season as text for a terminal 80 columns wide.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first; the main figures carry both.
    sample : bool
        Whether the house is a built-in one: the first and the last line then say so.
    sure : Sureness, optional
        The range of the first heater's fuel, computed for this house; without it a stated judgement is printed.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.

    Notes
    -----
    Left out: the hourly figures (``season_csv``) and full precision (``season_json``).
    """
    lines: list[str] = [SAMPLE_NOTE, ""] if sample else []
    for part in PARTS:
        lines.extend(part(season, units, sure) if part in (_fuels, _assumptions) else part(season, units))
        if part is _fuels and sure is not None:
            lines.extend(spread_section(sure))
    lines.extend(_cautions())
    if sample:
        lines.extend(["", SAMPLE_NOTE])
    return "\n".join(lines)


def _title(season: Season, units: Units) -> Iterator[str]:
    yield from wrapped(season.house.title or "A house without a title", indent=0)
    yield from wrapped(place_words(season, units), indent=0)


def place_words(season: Season, units: Units) -> str:
    """What was run, and on whose weather."""
    site = season.weather.site
    place = f"{abs(site.latitude):.2f} {'N' if site.latitude >= 0 else 'S'} "
    place += f"{abs(site.longitude):.2f} {'E' if site.longitude >= 0 else 'W'}"
    altitude = pair(f"{site.altitude / 0.3048:,.0f} ft", f"{site.altitude:,.0f} m", units)
    return f"One winter, hour by hour, on the weather of {site.name}: {place}, {altitude}"


def amount_words(amount: float, unit: str, *, places: int | None = None) -> str:
    """Write an amount in its unit of trade, the unit's full name behind it.

    >>> amount_words(5.14, "short_ton"), amount_words(812.3, "gallon")
    ('5.1 short tons', '812 gallons (US)')
    """
    trade = trade_unit(unit)
    if places is None:
        places = (1 if abs(amount) >= 1.0 or amount == 0.0 else 2) if trade.step < 1.0 else 0
    return f"{amount:,.{places}f} {trade.name(amount)}"


def _si(fuel: Fuel, amount: float) -> str:
    return figure(amount * trade_unit(fuel.unit).si_factor)


def _both(fuel: Fuel, us: str, si: str, units: Units) -> str:
    """Put an amount in its unit of trade beside the SI unit, where the two differ."""
    trade = trade_unit(fuel.unit)
    return f"{us} {trade.many}" if fuel.unit == "kWh" else pair(f"{us} {trade.many}", f"{si} {trade.si}", units)


def _fuels(season: Season, units: Units, sure: Sureness | None = None) -> Iterator[str]:
    yield from heading("Fuel for the winter")
    if not season.fuels:
        yield "  The house file has no heater: no fuel is burned."
    hours = season.unmet["hours"]
    small = f"HEATER TOO SMALL: {hours:,.0f} hours below the setpoint; this fuel does not hold it."
    for number, fuel in enumerate(season.fuels):
        warning = small if number == 0 and hours > MANY_HOURS else ""
        computed = sure if number == 0 else None
        yield from _fuel(fuel, units, computed, named=len(season.fuels) > 1, warning=warning)


def _fuel(fuel: Fuel, units: Units, sure: Sureness | None, *, named: bool, warning: str) -> Iterator[str]:
    first = fuel_headline(fuel, units)
    yield from wrapped(f"{fuel.heater}: {first}" if named else first)
    if warning:
        yield from wrapped(warning)
    for label, words in fuel_facts(fuel, units, sure):
        yield from entry(label, words)


def fuel_facts(fuel: Fuel, units: Units, sure: Sureness | None = None) -> Iterator[tuple[str, str]]:
    """What else there is to say of a heater's fuel: a label, and words with both units."""
    trade, bought = trade_unit(fuel.unit), purchase(fuel) if sure is None else sure.purchase
    if sure is not None:
        likely = sure.likely
        yield "likely", _both(fuel, amount_words(likely, fuel.unit).split(" ")[0], _si(fuel, likely), units)
    low, high = (amount_words(a, fuel.unit).split(" ")[0] for a in (bought.low, bought.high))
    label = "8 winters in 10" if sure is None else "8 chances in 10"
    yield label, _both(fuel, f"{low} to {high}", _range_si(fuel, bought), units)
    enough = _both(fuel, _purchase_words(fuel, bought), _si(fuel, bought.amount), units)
    order = enough if bought.bags is None else f"{count(bought.bags, 'bag', 'bags')}, {enough}"
    level = 95 if sure is None else 100.0 * sure.level
    yield f"lasts {level:.3g} in 100", f"buy {order}: {_room_and_cost(fuel, bought, units)}"
    if sure is not None and sure.have is not None:
        yield "you have", sure.running_out
    source = "EXAMPLE price; type yours" if fuel.price_is_example else "as typed"
    yield "cost", f"{money(fuel.cost)} at ${fuel.price:,.2f} a {trade.one}  ({source})"
    yield from _handling(fuel, units)


def fuel_headline(fuel: Fuel, units: Units) -> str:
    """How much of what, in the unit of trade, in bags, and in SI."""
    trade = amount_words(fuel.amount, fuel.unit)
    if fuel.unit == "kWh":
        return f"{trade} of {fuel.name}"
    lb = f"{figure((fuel.bag_kg or 0.0) / POUND_KG, 2)} lb"
    bags = None if fuel.bags is None else f"{count(fuel.bags, 'bag', 'bags')} of {lb}"
    si = f"{_si(fuel, fuel.amount)} {trade_unit(fuel.unit).si}"
    first, beside = (trade, [bags, si]) if units == "us" else (si, [trade, bags])
    return f"{first} of {fuel.name} ({', '.join(part for part in beside if part)})"


def _range_si(fuel: Fuel, bought: Purchase) -> str:
    return f"{_si(fuel, bought.low)} to {_si(fuel, bought.high)}"


def _purchase_words(fuel: Fuel, bought: Purchase) -> str:
    return fixed(bought.amount, 2 if trade_unit(fuel.unit).step < 1.0 else 0)


def _room_and_cost(fuel: Fuel, bought: Purchase, units: Units) -> str:
    """Return the room that the whole purchase takes, where it is stored, and what it costs."""
    cost = money(bought.amount * fuel.price)
    if fuel.storage_m3 is None or not fuel.amount > 0.0:
        return cost
    room = volume(fuel.storage_m3 * bought.amount / fuel.amount, units).split(" (")[0]
    return f"{room}; {cost}"


def _handling(fuel: Fuel, units: Units) -> Iterator[tuple[str, str]]:
    if fuel.bags_per_week is not None:
        yield "hardest month", f"{MONTHS[fuel.peak_month - 1]}: {count(fuel.bags_per_week, 'bag', 'bags')} a week"
    store = [volume(fuel.storage_m3, units)] if fuel.storage_m3 is not None else []
    weight = [mass(fuel.mass_kg, units)] if fuel.mass_kg > 0.0 and fuel.storage_m3 is not None else []
    if store:
        yield "to store it all", ", ".join(store + weight)
    basis = "gross (hhv)" if fuel.basis == "hhv" else "net (lhv)"
    yield "heat from it", f"{heat(fuel.heat_kwh, units)}, {100.0 * fuel.efficiency:.0f} % of {basis}"
    fossil = mass(fuel.co2_fossil_kg, units) if fuel.co2_fossil_kg > 0.0 else "none"
    grown = f"; biogenic, apart: {mass(fuel.co2_biogenic_kg, units)}" if fuel.co2_biogenic_kg > 0.0 else ""
    yield "fossil CO2", f"{fossil}{grown}"


def _loads(season: Season, units: Units) -> Iterator[str]:
    yield from heading("How high the load climbs")
    widths = (36, 24)
    rows = [("highest hour of this file", power(season.peak_w, units), "")]
    if season.peak_w > 0.0:
        at = int(season.hourly["heat"].to_numpy().argmax())
        hour = pd.DatetimeIndex(season.hourly.index)[at]
        outdoor = temperature(float(season.hourly["outdoor"].iloc[at]), units)
        rows = [(rows[0][0], rows[0][1], outdoor), (f"  not a heater size; {_moment(hour)}", "", "")]
    steady, worst = coldest_normal(season), extreme(season)
    for found in (steady, worst):
        if found is not None:
            rows.append((found.words, power(found.load_w, units), temperature(found.temperature, units)))
    yield f"  {'':<{widths[0]}}{'load':<{widths[1]}}outdoors"
    yield from (f"  {name:<{widths[0]}}{load:<{widths[1]}}{where}".rstrip() for name, load, where in rows)
    if worst is None:
        yield from wrapped("steady, 20-year minimum             MISSING: any heater size is incomplete")
        yield from wrapped('Type minimum_20_year = "... degF" under [place]: this weather file has none.', indent=4)
    short = below(season.unmet, units)
    yield f"  {'below the setpoint, heater on':<{min(widths[0], 78 - len(short))}}{short}"


def below(unmet: pd.Series[float], units: Units) -> str:
    """Hours below the setpoint and by how much, in words."""
    hours = count(unmet["hours"], "hour", "hours")
    if not unmet["hours"]:
        return hours
    deep = float(unmet["degree_hours"])
    return f"{hours}, {pair(f'{figure(1.8 * deep)} °F hours', f'{figure(deep)} K hours', units)}"


def _moment(hour: pd.Timestamp) -> str:
    return f"{hour.day} {MONTHS[hour.month - 1][:3]} {hour:%H:%M}"


def _months(season: Season, units: Units) -> Iterator[str]:
    found = month_table(season, units)
    yield from heading(found.caption)
    heads = [tuple(head) for head in zip(*found.head, strict=True)]
    yield from table([*heads, *found.rows, found.total], (10, 9, 8, 11, 9, 14, 9, 8))
    if found.note:
        yield from wrapped(found.note)


def _flows(season: Season, units: Units) -> Iterator[str]:
    tables = flow_tables(season, units)
    if not tables:
        return
    losses, gains = tables
    widths = (36, 12, 10, 8, 12)
    yield from heading(losses.caption)
    yield from table([("", *(unit or name for name, unit in losses.head[1:]))], widths)
    for found in (losses, gains):
        yield from table([(f"  {name}", *cells) for name, *cells in (*found.rows, found.total)], widths)
        if found is losses:
            yield f"  {gains.caption}"
    yield from wrapped(losses.note)


def _by_hand(season: Season, units: Units) -> Iterator[str]:
    yield from heading("Beside the plain hand figure, and by floor area")
    for sentence in by_hand(season, units):
        yield from wrapped(sentence, bullet="- ")


def by_hand(season: Season, units: Units) -> Iterator[str]:
    """The plain hand figure, the hourly balance beside it, and both over the floor, in words."""
    ua = float(season.conductances.sum())
    rated = pair(f"{figure(ua * BTU_PER_KWH / 1800.0)} Btu/h °F", f"{figure(ua)} W/K", units)
    yield f"rated UA {rated} x degree-hours, no sun and no mass: {heat(season.hand_kwh, units)}"
    share = f", {100.0 * season.heat_kwh / season.hand_kwh:.0f} % of the hand figure" if season.hand_kwh > 0.0 else ""
    yield f"this hourly balance: {heat(season.heat_kwh, units)}{share}"
    area = season.geometry.floor_area
    per_foot = f"{figure(season.heat_kwh * BTU_PER_KWH / 1000.0 / area / FT2_PER_M2)} thousand Btu/ft2"
    per_metre = f"{figure(season.heat_kwh / area)} kWh/m2"
    floor = pair(f"{figure(area * FT2_PER_M2)} ft2", f"{figure(area)} m2", units)
    yield f"heat over the floor of {floor}: {pair(per_foot, per_metre, units)}"
    for fuel in season.fuels:
        yield f"{fuel.name} over the floor: {_fuel_by_area(fuel, area, units)}"


def _fuel_by_area(fuel: Fuel, area: float, units: Units) -> str:
    trade = trade_unit(fuel.unit)
    if fuel.unit in ("short_ton", "cord", "bushel"):
        us, si = f"{figure(fuel.mass_kg * LB_PER_KG / area / FT2_PER_M2)} lb", f"{figure(fuel.mass_kg / area)} kg"
    else:
        us = f"{figure(fuel.amount / area / FT2_PER_M2)} {trade.many}"
        si = f"{figure(fuel.amount * trade.si_factor / area)} {trade.si}"
    return pair(f"{us}/ft2", f"{si}/m2", units)


def _outside_the_dates(season: Season, units: Units) -> Iterator[str]:
    sentences = list(outside_the_dates(season, units))
    if sentences:
        yield from heading("Outside the heaters' dates")
    for sentence in sentences:
        yield from wrapped(sentence)


def outside_the_dates(season: Season, units: Units) -> Iterator[str]:
    """When the heaters are in use, and how cold the house gets outside their dates, in words."""
    dated = [heater for heater in season.house.heater if heater.from_ is not None and heater.to is not None]
    if not dated:
        return
    for heater in dated:
        dates = f"from {date(str(heater.from_))} to {date(str(heater.to))}"
        yield f"{heater.name} is in use {dates}; only its fuel is counted."
    off = _off_dates(season)
    rest = season.out_of_dates
    if not rest["hours"]:
        yield f"{off} the house never fell below its setpoint."
        return
    yield (
        f"{off} the house was below its setpoint for {below(rest, units)}; the lowest then was "
        f"{temperature(float(rest['lowest']), units)} inside. That heat is in none of the figures above: to count it, "
        f'widen the dates, such as from = "{_earlier(str(dated[0].from_))}" or to = "{_later(str(dated[0].to))}".'
    )


def _off_dates(season: Season) -> str:
    """Return the days without a heater in words; by name where all heaters share one range of dates."""
    ranges = {(heater.from_, heater.to) for heater in season.house.heater}
    if len(ranges) > 1:
        return "Outside those dates, with no heater on,"
    (first, last), *_ = ranges
    start, end = (_day(str(last)) + DAY).strftime("%m-%d"), (_day(str(first)) - DAY).strftime("%m-%d")
    return f"Between {date(start)} and {date(end)}, when the heater is off,"


def _day(month_day: str) -> pd.Timestamp:
    return pd.Timestamp(f"2004-{month_day}")


def _earlier(month_day: str) -> str:
    """Return the last first of a month before a day."""
    return f"{(_day(month_day) - DAY).replace(day=1):%m-%d}"


def _later(month_day: str) -> str:
    """Return the next last of a month after a day."""
    return f"{_day(month_day) + DAY + pd.offsets.MonthEnd(0):%m-%d}"


def _assumptions(season: Season, units: Units, sure: Sureness | None = None) -> Iterator[str]:
    yield from heading("What was assumed")
    for sentence in assumed(season, sure):
        yield from wrapped(sentence, bullet="- ")


def assumed(season: Season, sure: Sureness | None = None) -> Iterator[str]:
    """What was assumed of the house, of its heaters' efficiencies and of the range, sentence by sentence."""
    yield from season.assumptions
    for heater, fuel in zip(season.house.heater, season.fuels, strict=False):
        if heater.efficiency is not None and heater.basis is None and fuel.unit != "kWh":
            value = "higher" if fuel.basis == "hhv" else "lower"
            like = "the usual one in America" if heater.type is None else "as the catalogue row does"
            yield (
                f"{heater.name}: {100 * fuel.efficiency:.0f} % counts on the {value} heating value ({fuel.basis}), "
                f"{like}; type basis if it was measured on the other."
            )
    judged = season.fuels if sure is None else season.fuels[1:]
    of = "" if sure is None else f" of {judged[0].heater}" if len(judged) == 1 else " of the other heaters"
    for sigma in {purchase(fuel).sigma for fuel in judged}:
        yield (
            f"The range and the purchase{of} take a standard deviation of {100 * sigma:.0f} % "
            f"(+-{100 * P90 * sigma:.0f} % from P10 to P90): a stated judgement, until a range is computed for this "
            "house."
        )


def _sources(season: Season, units: Units) -> Iterator[str]:
    yield from heading("Catalogue rows used (SI)")
    for (kind, name), rows in season.sources.groupby(["kind", "name"], sort=False):
        yield from wrapped(f"{kind}: {name}")
        for (source, mark), fields in rows.groupby(["source", "mark"], sort=False):
            columns = (fields[column].tolist() for column in ("field", "value", "unit"))
            values = ", ".join(_value(*cells) for cells in zip(*columns, strict=True))
            yield from wrapped(f"{values}: {source} [{mark}]", indent=4)


def _value(field: str, value: float | str, unit: str) -> str:
    number = value if isinstance(value, str) else f"{value:.4g}"
    return f"{field} {number}" if unit in ("", "1") else f"{field} {number} {unit}"


PARTS = (
    _title, _fuels, _loads, _months, living, _flows, _by_hand, _outside_the_dates, _assumptions, _sources,
)  # fmt: skip


def _cautions() -> Iterator[str]:
    yield from heading("Cautions")
    for text in (*CAUTIONS, SIZING_CAUTION):
        yield from wrapped(text, bullet="- ")
