"""Tables of a season: their heads, rows and totals as text, the same for the terminal and for the page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from heatloss.fuel import trade_unit
from heatloss.report.flows import cold_months, flows, span
from heatloss.report.measures import BTU_PER_KWH, MONTHS, Units, fahrenheit, fixed

if TYPE_CHECKING:
    from heatloss.season import Season

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
    "make-up water": "fresh water, warmed",
}
GAIN_WORDS = {
    "heater": "heaters",
    "sun": "sun that stays inside",
    "storage": "stores (water, soil, walls)",
    "gains": "lamps, motors, animals",
    "lamps": "lamps",
    "people": "people",
    "fans": "fans",
    "compost": "compost",
    "mass stove": "mass stove",
    "make-up water": "fresh water",
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


class Table(NamedTuple):
    """A table of text: what it shows, its columns, the first of which names the rows, and a line below it."""

    caption: str
    head: tuple[tuple[str, str], ...]
    """Name and unit of every column."""
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...]
    note: str = ""
    kind: str = "table"


def month_table(season: Season, units: Units) -> Table:
    """The season month by month in one system of units."""
    us = units == "us"
    trade = trade_unit(season.fuels[0].unit) if season.fuels else None
    fuel_unit = "" if trade is None else (trade.many if us else trade.si)
    degree, heat_unit, load_unit = ("°F", "mill. Btu", "kBtu/h") if us else ("°C", "kWh", "kW")
    names = ("", "outdoor", "inside", "heat", "highest", "fuel", "cost", "below")
    columns = ("", degree, degree, heat_unit, load_unit, fuel_unit, "$", "hours")
    total = (
        "season", "", "", *_heat_and_peak(season.heat_kwh, season.peak_w, us),
        *_fuel_cells(season, None, us), f"{season.monthly['unmet_hours'].sum():,.0f}",
    )  # fmt: skip
    note = ""
    if len(season.fuels) > 1:
        main = season.fuels[0]
        note = f"The fuel column is {main.name} for {main.heater} alone; the cost is that of all heaters."
    rows = tuple(_month_row(season, int(month), us) for month in season.monthly.index)
    return Table("Month by month", tuple(zip(names, columns, strict=True)), rows, total, note)


def flow_tables(season: Season, units: Units) -> list[Table]:
    """What the house loses in the cold months and what makes it up; none for a house that is never heated."""
    cold = cold_months(season)
    if not cold:
        return []
    us = units == "us"
    found = flows(season)
    in_cold, in_fire = (_floats(found[name]) for name in ("cold", "fire"))
    first, other = ("mill. Btu", "kWh") if us else ("kWh", "mill. Btu")
    head = (("", ""), ("heat", first), ("heat", other), ("share", ""), ("heater on", ""))
    note = 'Shares are of all the heat lost in those months; "heater on" takes only the hours in which a heater runs.'
    tables = []
    for sign, words, caption in (
        (-1.0, LOSS_WORDS, f"Where the heat goes, {span(cold)}"), (1.0, GAIN_WORDS, "and what makes it up"),
    ):  # fmt: skip
        *rows, total = _flow_rows(in_cold, in_fire, sign, words, us)
        tables.append(Table(caption, head, tuple(rows), total, note))
    return tables


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


def _flow_rows(
    in_cold: dict[str, float], in_fire: dict[str, float], sign: float, words: dict[str, str], us: bool
) -> Iterator[tuple[str, ...]]:
    here, fire = ({path: max(0.0, sign * kwh) for path, kwh in flows.items()} for flows in (in_cold, in_fire))
    total, fire_total = sum(here.values()), sum(fire.values())
    for path, kwh in sorted(here.items(), key=lambda item: -item[1]):
        if kwh > 0.0 or fire[path] > 0.0:
            yield (
                words.get(path, path), *_heat_cells(kwh, us),
                _share(kwh, total), _share(fire[path], fire_total),
            )  # fmt: skip
    yield ("all", *_heat_cells(total, us), _share(total, total), "")


def _heat_cells(kwh: float, us: bool) -> tuple[str, str]:
    btu, si = fixed(kwh * BTU_PER_KWH / 1e6, 1), fixed(kwh, 0)
    return (btu, si) if us else (si, btu)


def _share(part: float, whole: float) -> str:
    return f"{fixed(100.0 * part / whole, 0)} %" if whole > 0.0 else "-"
