"""A season for the terminal: 80 columns, what a grower asks first on the first screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pandas as pd

from heatloss.fuel import Fuel, Purchase, purchase, trade_unit
from heatloss.fuel.amount import P90
from heatloss.fuel.trade import POUND_KG
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.design import coldest_normal, extreme
from heatloss.report.flows import cold_months, flows, span
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
    fahrenheit,
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

if TYPE_CHECKING:
    from heatloss.season import Season

SAMPLE_NOTE = "SAMPLE HOUSE, NOT YOURS: every figure here belongs to an invented greenhouse."
MANY_HOURS = 20
"""Hours below the setpoint in a year that a start or a morning may cost without the heater being too small."""

DAY = pd.Timedelta(days=1)

LOSS_WORDS = {
    "cover": "glazing",
    "opaque": "opaque walls, roof and doors",
    "bridging": "frame and joints",
    "infiltration": "air leaking in and out",
    "ground": "ground",
    "vent": "vents",
    "curtain leak": "past the curtain",
    "evaporation": "vapour from plants and wet soil",
    "storage": "kept in water, soil and walls",
    "heater": "cooling by a heater",
    "sun": "sun, lost again",
    "gains": "taken by machines",
    "condensation": "condensation",
}
GAIN_WORDS = {
    "heater": "heaters",
    "sun": "sun that stays inside",
    "storage": "stores (water, soil, walls)",
    "gains": "lamps, motors, animals",
    "condensation": "vapour condensing",
    "ground": "ground",
    "infiltration": "warm air from outdoors",
    "cover": "through the glazing",
    "opaque": "through opaque parts",
    "bridging": "through the frame",
    "curtain leak": "past the curtain",
    "evaporation": "vapour condensing",
    "vent": "vents",
}


def season_report(season: Season, *, units: Units = "us", sample: bool = False) -> str:
    """Write a season as text for a terminal 80 columns wide.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first; the main figures carry both.
    sample : bool
        Whether the house is a built-in one: the first and the last line then say so.

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
        lines.extend(part(season, units))
    lines.extend(_cautions())
    if sample:
        lines.extend(["", SAMPLE_NOTE])
    return "\n".join(lines)


def _title(season: Season, units: Units) -> Iterator[str]:
    site = season.weather.site
    yield from wrapped(season.house.title or "A house without a title", indent=0)
    place = f"{abs(site.latitude):.2f} {'N' if site.latitude >= 0 else 'S'} "
    place += f"{abs(site.longitude):.2f} {'E' if site.longitude >= 0 else 'W'}"
    altitude = pair(f"{site.altitude / 0.3048:,.0f} ft", f"{site.altitude:,.0f} m", units)
    yield from wrapped(f"One winter, hour by hour, on the weather of {site.name}: {place}, {altitude}", indent=0)


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


def _fuels(season: Season, units: Units) -> Iterator[str]:
    yield from heading("Fuel for the winter")
    if not season.fuels:
        yield "  The house file has no heater: no fuel is burned."
    hours = season.unmet["hours"]
    small = f"HEATER TOO SMALL: {hours:,.0f} hours below the setpoint; this fuel does not hold it."
    for number, fuel in enumerate(season.fuels):
        warning = small if number == 0 and hours > MANY_HOURS else ""
        yield from _fuel(fuel, units, named=len(season.fuels) > 1, warning=warning)


def _fuel(fuel: Fuel, units: Units, *, named: bool, warning: str) -> Iterator[str]:
    trade, bought = trade_unit(fuel.unit), purchase(fuel)
    lb = f"{figure((fuel.bag_kg or 0.0) / POUND_KG, 2)} lb"
    first = _headline(fuel, units, None if fuel.bags is None else f"{count(fuel.bags, 'bag', 'bags')} of {lb}")
    yield from wrapped(f"{fuel.heater}: {first}" if named else first)
    if warning:
        yield from wrapped(warning)
    low, high = (amount_words(a, fuel.unit).split(" ")[0] for a in (bought.low, bought.high))
    yield from entry("8 winters in 10", _both(fuel, f"{low} to {high}", _range_si(fuel, bought), units))
    enough = _both(fuel, _purchase_words(fuel, bought), _si(fuel, bought.amount), units)
    order = enough if bought.bags is None else f"{count(bought.bags, 'bag', 'bags')}, {enough}"
    yield from entry("lasts 95 in 100", f"buy {order}: {_room_and_cost(fuel, bought, units)}")
    source = "EXAMPLE price; type yours" if fuel.price_is_example else "as typed"
    yield from entry("cost", f"{money(fuel.cost)} at ${fuel.price:,.2f} a {trade.one}  ({source})")
    for label, text in _handling(fuel, units):
        yield from entry(label, text)


def _headline(fuel: Fuel, units: Units, bags: str | None) -> str:
    trade = amount_words(fuel.amount, fuel.unit)
    if fuel.unit == "kWh":
        return f"{trade} of {fuel.name}"
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
    short = _below(season.unmet, units)
    yield f"  {'below the setpoint, heater on':<{min(widths[0], 78 - len(short))}}{short}"


def _below(unmet: pd.Series[float], units: Units) -> str:
    """Hours below the setpoint and by how much, in words."""
    hours = count(unmet["hours"], "hour", "hours")
    if not unmet["hours"]:
        return hours
    deep = float(unmet["degree_hours"])
    return f"{hours}, {pair(f'{figure(1.8 * deep)} °F hours', f'{figure(deep)} K hours', units)}"


def _moment(hour: pd.Timestamp) -> str:
    return f"{hour.day} {MONTHS[hour.month - 1][:3]} {hour:%H:%M}"


def _months(season: Season, units: Units) -> Iterator[str]:
    yield from heading("Month by month")
    us = units == "us"
    trade = trade_unit(season.fuels[0].unit) if season.fuels else None
    fuel_head = "" if trade is None else (trade.many if us else trade.si)
    degree, heat_unit, load_unit = ("°F", "mill. Btu", "kBtu/h") if us else ("°C", "kWh", "kW")
    widths = (10, 9, 8, 11, 9, 14, 9, 8)
    head = [
        ("", "outdoor", "inside", "heat", "highest", "fuel", "cost", "below"),
        ("", degree, degree, heat_unit, load_unit, fuel_head, "$", "hours"),
    ]
    rows = [_month_row(season, int(month), us) for month in season.monthly.index]
    last = (
        "season", "", "", *_heat_and_peak(season.heat_kwh, season.peak_w, us),
        *_fuel_cells(season, None, us), f"{season.monthly['unmet_hours'].sum():,.0f}",
    )  # fmt: skip
    yield from table([*head, *rows, last], widths)
    if len(season.fuels) > 1:
        main = season.fuels[0]
        yield from wrapped(f"The fuel column is {main.name} for {main.heater} alone; the cost is that of all heaters.")


def _month_row(season: Season, month: int, us: bool) -> tuple[str, ...]:
    row = _floats(season.monthly.loc[month])
    degrees = [fahrenheit(row[c]) if us else row[c] for c in ("outdoor", "inside")]
    return (
        MONTHS[month - 1], *(fixed(d, 0 if us else 1) for d in degrees),
        *_heat_and_peak(row["heat_kwh"], row["peak_w"], us), *_fuel_cells(season, month, us),
        fixed(row["unmet_hours"], 0),
    )  # fmt: skip


def _floats(row: Any) -> dict[str, float]:
    """Return one row of a frame, or a series by name, as plain numbers."""
    return {str(name): float(value) for name, value in row.items()}


def _heat_and_peak(kwh: float, watts: float, us: bool) -> tuple[str, str]:
    if us:
        return f"{kwh * BTU_PER_KWH / 1e6:,.1f}", f"{watts * BTU_PER_KWH / 1e6:,.1f}"
    return f"{kwh:,.0f}", f"{watts / 1000.0:,.1f}"


def _fuel_cells(season: Season, month: int | None, us: bool) -> tuple[str, str]:
    """Return the first heater's fuel and the cost of all, of one month or of the season."""
    if not season.fuels:
        return "", ""
    used = [{"amount": f.amount, "cost": f.cost} for f in season.fuels]
    if month is not None:
        used = [_floats(f.monthly.loc[month]) for f in season.fuels]
    trade = trade_unit(season.fuels[0].unit)
    fine = trade.step < 1.0 if us else trade.si.startswith("m3")
    amount = used[0]["amount"] * (1.0 if us else trade.si_factor)
    return fixed(amount, 2 if fine else 0), fixed(sum(fuel["cost"] for fuel in used), 0)


def _flows(season: Season, units: Units) -> Iterator[str]:
    cold = cold_months(season)
    if not cold:
        return
    heat_by_path = flows(season)
    in_cold, in_fire = (_floats(heat_by_path[name]) for name in ("cold", "fire"))
    widths = (36, 12, 10, 8, 12)
    us = units == "us"
    yield from heading(f"Where the heat goes, {span(cold)}")
    yield from table([("", *(("mill. Btu", "kWh") if us else ("kWh", "mill. Btu")), "share", "heater on")], widths)
    yield from table(_flow_rows(in_cold, in_fire, -1.0, LOSS_WORDS, us), widths)
    yield "  and what makes it up"
    yield from table(_flow_rows(in_cold, in_fire, 1.0, GAIN_WORDS, us), widths)
    yield from wrapped(
        'Shares are of all the heat lost in those months; "heater on" takes only the hours in which a heater runs.'
    )


def _flow_rows(
    in_cold: dict[str, float], in_fire: dict[str, float], sign: float, words: dict[str, str], us: bool
) -> Iterator[tuple[str, ...]]:
    here, fire = ({path: max(0.0, sign * kwh) for path, kwh in flows.items()} for flows in (in_cold, in_fire))
    total, fire_total = sum(here.values()), sum(fire.values())
    for path, kwh in sorted(here.items(), key=lambda item: -item[1]):
        if kwh > 0.0 or fire[path] > 0.0:
            yield (
                f"  {words.get(path, path)}", *_heat_cells(kwh, us),
                _share(kwh, total), _share(fire[path], fire_total),
            )  # fmt: skip
    yield ("  all", *_heat_cells(total, us), _share(total, total), "")


def _heat_cells(kwh: float, us: bool) -> tuple[str, str]:
    btu, si = fixed(kwh * BTU_PER_KWH / 1e6, 1), fixed(kwh, 0)
    return (btu, si) if us else (si, btu)


def _share(part: float, whole: float) -> str:
    return f"{fixed(100.0 * part / whole, 0)} %" if whole > 0.0 else "-"


def _by_hand(season: Season, units: Units) -> Iterator[str]:
    yield from heading("Beside the plain hand figure, and by floor area")
    ua = float(season.conductances.sum())
    rated = pair(f"{figure(ua * BTU_PER_KWH / 1800.0)} Btu/h °F", f"{figure(ua)} W/K", units)
    yield from wrapped(
        f"rated UA {rated} x degree-hours, no sun and no mass: {heat(season.hand_kwh, units)}", bullet="- "
    )
    share = f", {100.0 * season.heat_kwh / season.hand_kwh:.0f} % of the hand figure" if season.hand_kwh > 0.0 else ""
    yield from wrapped(f"this hourly balance: {heat(season.heat_kwh, units)}{share}", bullet="- ")
    area = season.geometry.floor_area
    per_foot = f"{figure(season.heat_kwh * BTU_PER_KWH / 1000.0 / area / FT2_PER_M2)} thousand Btu/ft2"
    per_metre = f"{figure(season.heat_kwh / area)} kWh/m2"
    floor = pair(f"{figure(area * FT2_PER_M2)} ft2", f"{figure(area)} m2", units)
    yield from wrapped(f"heat over the floor of {floor}: {pair(per_foot, per_metre, units)}", bullet="- ")
    for fuel in season.fuels:
        yield from wrapped(f"{fuel.name} over the floor: {_fuel_by_area(fuel, area, units)}", bullet="- ")


def _fuel_by_area(fuel: Fuel, area: float, units: Units) -> str:
    trade = trade_unit(fuel.unit)
    if fuel.unit in ("short_ton", "cord", "bushel"):
        us, si = f"{figure(fuel.mass_kg * LB_PER_KG / area / FT2_PER_M2)} lb", f"{figure(fuel.mass_kg / area)} kg"
    else:
        us = f"{figure(fuel.amount / area / FT2_PER_M2)} {trade.many}"
        si = f"{figure(fuel.amount * trade.si_factor / area)} {trade.si}"
    return pair(f"{us}/ft2", f"{si}/m2", units)


def _outside_the_dates(season: Season, units: Units) -> Iterator[str]:
    dated = [heater for heater in season.house.heater if heater.from_ is not None and heater.to is not None]
    if not dated:
        return
    yield from heading("Outside the heaters' dates")
    for heater in dated:
        dates = f"from {date(str(heater.from_))} to {date(str(heater.to))}"
        yield from wrapped(f"{heater.name} is in use {dates}; only its fuel is counted.")
    off = _off_dates(season)
    rest = season.out_of_dates
    if not rest["hours"]:
        yield from wrapped(f"{off} the house never fell below its setpoint.")
        return
    yield from wrapped(
        f"{off} the house was below its setpoint for {_below(rest, units)}; the lowest then was "
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


def _assumptions(season: Season, units: Units) -> Iterator[str]:
    yield from heading("What was assumed")
    for sentence in season.assumptions:
        yield from wrapped(sentence, bullet="- ")
    for heater, fuel in zip(season.house.heater, season.fuels, strict=False):
        if heater.efficiency is not None and heater.basis is None and fuel.unit != "kWh":
            value = "higher" if fuel.basis == "hhv" else "lower"
            like = "the usual one in America" if heater.type is None else "as the catalogue row does"
            yield from wrapped(
                f"{heater.name}: {100 * fuel.efficiency:.0f} % counts on the {value} heating value ({fuel.basis}), "
                f"{like}; type basis if it was measured on the other.",
                bullet="- ",
            )
    for sigma in {purchase(fuel).sigma for fuel in season.fuels}:
        yield from wrapped(
            f"The range and the purchase take a standard deviation of {100 * sigma:.0f} % (+-{100 * P90 * sigma:.0f} % "
            "from P10 to P90): a stated judgement, until a range is computed for this house.",
            bullet="- ",
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


