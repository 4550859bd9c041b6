"""Fuels and heaters: what the house's own burn, hour by hour, and the same house on others; for the terminal, as JSON
and CSV.

The JSON document ``heatloss fuels`` holds SI and full precision; null stands where there is no number. ``title``
``sample`` ``weather``; ``heaters``, one entry a heater of the house: ``fuel``, ``unit``, ``amount``, ``heat_kwh``,
``energy_kwh`` and where it went (``flue_kwh``, ``standby_kwh``, ``starting_kwh``, ``over_fire_kwh``,
``outdoors_kwh``), ``efficiency``, ``basis``, ``electric_kwh``, ``ash_kg``, ``coldest_day``, ``coldest_week``,
``hopper_hours`` by month; ``sources``, the frame of ``heatloss.compare_sources``; ``off_grid`` with its load, sun,
array and battery, or null; ``cautions``.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pandas as pd

from heatloss.catalogue import Row
from heatloss.catalogue.wood import cord_heat
from heatloss.decisions.design import governing
from heatloss.files import write_whole
from heatloss.fuel import trade_unit
from heatloss.fuel.service import deliveries, hours_between_fillings, hours_on_night, loads
from heatloss.report.cautions import CAUTIONS
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.measures import (
    MONTHS,
    Units,
    count,
    date,
    figure,
    heading,
    heat,
    mass,
    power,
    table,
    temperature,
    volume,
    wrapped,
)
from heatloss.season import steady_load

if TYPE_CHECKING:
    from heatloss.decisions.off_grid import OffGrid
    from heatloss.fuel import Fuel
    from heatloss.season import Season

NAME = 24
WENT = (("flue", "up the flue"), ("standby", "waiting"), ("starting", "starts"), ("over_fire", "fire too large"))
OFF_GRID_CAUTION = (
    "Snow on the panels, shade and a darker winter than the file's are not in it; a generator that starts must stand "
    "behind it where stock would die. Wiring by a licensed electrician; local codes rule."
)


def fuels_report(
    season: Season, sources: pd.DataFrame, panels: OffGrid | None = None, *, units: Units = "us", sample: bool = False
) -> str:
    """Write what the heaters burn and what others would, as text 80 columns wide.

    Parameters
    ----------
    season : Season
        The house with its own heaters.
    sources : frame
        From ``heatloss.compare_sources``.
    panels : OffGrid, optional
        From ``heatloss.decisions.off_grid``.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*titled(season, "Fuels and heaters")]
    for fuel in season.fuels:
        lines += _own(season, fuel, units)
    lines += [*_split(season), *_money(sources, units), *_work(sources, units), *_rest(sources, units)]
    return framed([*lines, *_off_grid(panels, units), *cautioned()], sample)


def fuels_json(season: Season, sources: pd.DataFrame, panels: OffGrid | None = None, *, sample: bool = False) -> str:
    """What the heaters burn and what others would, as the JSON document that this module describes."""
    return document(
        season, "heatloss fuels", sample, heaters=[_heater_data(fuel) for fuel in season.fuels],
        sources=sources.reset_index().to_dict("records"), off_grid=None if panels is None else vars(panels),
        cautions=list(CAUTIONS),
    )  # fmt: skip


def fuels_csv(sources: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write the comparison as CSV: amounts in the unit of trade, money in usd, mass in kg, room in m3."""
    write_whole(path, sources.to_csv(float_format="%.6g", lineterminator="\n"))


def _heater_data(fuel: Fuel) -> dict[str, Any]:
    went = {f"{name}_kwh": float(fuel.hourly[name].sum()) / 1000.0 for name in (*(k for k, _ in WENT), "outdoors")}
    return {
        "name": fuel.heater, "fuel": fuel.name, "unit": fuel.unit, "amount": fuel.amount, "cost_usd": fuel.cost,
        "heat_kwh": fuel.heat_kwh, "energy_kwh": fuel.energy_kwh, **went, "efficiency": fuel.efficiency,
        "basis": fuel.basis, "electric_kwh": fuel.electric_kwh, "ash_kg": fuel.ash_kg, "coldest_day": fuel.most(1)[0],
        "coldest_week": fuel.most(7)[0], "deliveries": deliveries(fuel),
        "hopper_hours": {str(month): hours for month, hours in hours_between_fillings(fuel).items()},
    }  # fmt: skip


def _amount(amount: float, unit: str, units: Units) -> str:
    trade = trade_unit(unit)
    if units == "si" and trade.si_factor != 1.0:
        return f"{figure(amount * trade.si_factor)} {trade.si}"
    return f"{figure(amount)} {trade.name(amount)}"


def _bags(fuel: Fuel, amount: float) -> str:
    if fuel.bag_kg is None or not fuel.amount > 0.0:
        return ""
    return f", {figure(amount * fuel.mass_kg / fuel.amount / fuel.bag_kg, 2)} bags"


def _own(season: Season, fuel: Fuel, units: Units) -> Iterator[str]:
    yield from heading(f"{fuel.heater}: {fuel.name}")
    basis = "gross" if fuel.basis == "hhv" else "net"
    yield from wrapped(
        f"{_amount(fuel.amount, fuel.unit, units)} for {heat(fuel.heat_kwh, units)}: {100.0 * fuel.efficiency:.0f} % "
        f"of its {basis} heat over the winter."
    )
    if not fuel.amount > 0.0:
        return
    lost = [(float(fuel.hourly[name].sum()) / 1000.0, words) for name, words in WENT]
    shares = [f"{words} {100.0 * kwh / fuel.energy_kwh:.0f} %" for kwh, words in lost if kwh > 0.005 * fuel.energy_kwh]
    if shares:
        yield from wrapped(f"What does not reach the house: {', '.join(shares)} of the fuel.")
    for days, words in ((1, "Coldest day"), (7, "Coldest week")):
        most, begun = fuel.most(days)
        when = date(f"{begun:%m-%d}")
        yield from wrapped(f"{words}, from {when}: {_amount(most, fuel.unit, units)}{_bags(fuel, most)}.")
    yield from _fed(season, fuel, units)
    if fuel.storage_m3 is not None:
        lots = deliveries(fuel)
        lot = fuel.row.get("delivery")
        sent = (
            ""
            if lots is None or lot is None
            else (f"; {figure(lots, 2)} deliveries of {_amount(lot, fuel.unit, units)}")
        )
        yield from wrapped(f"Room for it all: {volume(fuel.storage_m3, units)}{sent}.")
    if fuel.ash_kg > 0.0:
        yield from wrapped(f"Ash to carry out: {mass(fuel.ash_kg, units)}.")
    if fuel.electric_kwh > 0.0:
        yield from wrapped(f"Current of fan, auger, pump and igniter: {figure(fuel.electric_kwh)} kWh.")
    if fuel.row.get("solid_share") is not None:
        yield from wrapped(_cord_words(fuel.row, units))


def _cord_words(row: Row, units: Units) -> str:
    low, middle, high = (joules / 3.6e6 for joules in cord_heat(row))
    solid = row.fields["solid_share"]
    return (
        f"A cord is no fixed amount: {100 * solid.low:.0f} to {100 * solid.high:.0f} % of its 128 ft3 are solid wood, "
        f"and charts give one at {100 * row['moisture']:.0f} % water {heat(low, units)} to {heat(high, units)}; "
        f"{heat(middle, units)} was taken."
    )


def _fed(season: Season, fuel: Fuel, units: Units) -> Iterator[str]:
    """Fillings of a hopper by month and on the design night; loads by hand."""
    design = governing(season)
    load = steady_load(season, design.temperature)
    if fuel.appliance is not None and math.isfinite(fuel.appliance.output()):
        load = min(load, fuel.appliance.output())
    night, cold = hours_on_night(fuel, load) if load > 0.0 else None, temperature(design.temperature, units)
    hopper = hours_between_fillings(fuel)
    if len(hopper):
        shown = [f"{MONTHS[int(str(m)) - 1][:3]} {figure(h, 2)} h" for m, h in hopper.items() if math.isfinite(h)]
        yield from wrapped(f"A full hopper lasts: {', '.join(shown)}.")
        if night is not None:
            yield from wrapped(f"On the design night, {cold}: {figure(night, 2)} h at {power(load, units)}.")
    tended = loads(fuel)
    if tended is not None:
        gap = f"{figure(tended.gap, 2)} h short of a night of 8 h" if tended.gap else "it lasts a night of 8 h"
        yield from wrapped(
            f"Loads by hand: {figure(tended.day, 2)} on the coldest day, {figure(tended.week, 2)} a day in the coldest "
            f"week; then a load carries {figure(tended.hours, 2)} h, {gap}."
        )
        if night is not None:
            yield from wrapped(f"On the design night, {cold}: a load carries {figure(night, 2)} h.")


def _split(season: Season) -> Iterator[str]:
    if len(season.fuels) < 2:
        return
    yield from heading("Who gives the heat")
    total = season.heat_kwh or 1.0
    for fuel in season.fuels:
        hours = int((fuel.hourly["heat"] > 0.0).sum())
        share = 100.0 * fuel.heat_kwh / total
        yield from wrapped(f"{fuel.heater}: {share:.1f} % of the season's heat, in {count(hours, 'hour', 'hours')}")


def _name(name: object) -> str:
    text = str(name)
    return text if len(text) <= NAME else f"{text[: NAME - 1]}."


def _money(sources: pd.DataFrame, units: Units) -> Iterator[str]:
    yield from heading("The same house on other heaters: amount and money")
    widths = (NAME, 21, 10, 11, 10)
    yield from table([("", "a winter", "cost", "efficiency", "hours"), ("", "", "$", "%", "short")], widths)
    for name, row in sources.to_dict("index").items():
        mark = "*" if row["example_price"] else " "
        cells = (_amount(row["amount"], row["unit"], units).replace(" (US)", ""), f"{row['cost']:,.0f}{mark}",
                 f"{100.0 * row['efficiency']:.0f}", f"{row['unmet_hours']:,.0f}")  # fmt: skip
        yield from table([(_name(name), *cells)], widths)
    if sources["example_price"].any():
        yield from wrapped("* EXAMPLE prices of no place and no date: give your own list with prices.")
    yield from wrapped(
        "Cost: fuel and the current of fans; the heater and its installation are not in it. A heat pump's row has an "
        "electric backup in it for what it cannot hold. Short: hours below the setpoint."
    )


def _work(sources: pd.DataFrame, units: Units) -> Iterator[str]:
    yield from heading("Work")
    widths = (NAME, 10, 10, 10, 12, 12)
    us = units == "us"
    head = ("", "bags on", "bags in", "loads a", "hopper", "ash")
    under = ("", "cold day", "cold week", "day", "lasts, h", "lb" if us else "kg")
    yield from table([head, under], widths)
    for name, row in sources.to_dict("index").items():
        ash = row["ash_kg"] / 0.45359237 if us else row["ash_kg"]
        cells = [_or_dash(row[key]) for key in ("bags_day", "bags_week", "loads_day", "hopper_hours")]
        cells.append(_or_dash(ash or math.nan))
        if any(cell != "-" for cell in cells):
            yield from table([(_name(name), *cells)], widths)
    yield from wrapped(
        "Those not named need no filling by hand. Hopper: in the hardest month, on the mean day. Loads: a day in the "
        "coldest week."
    )


def _or_dash(value: float) -> str:
    return "-" if math.isnan(value) else figure(value, 2)


def _rest(sources: pd.DataFrame, units: Units) -> Iterator[str]:
    yield from heading("Room, carbon dioxide, current, and when the power is out")
    us = units == "us"
    widths = (NAME, 8, 10, 10, 10, 8, 8)
    head = ("", "room", "deliver-", "CO2", "CO2", "current", "power")
    under = ("", "ft3" if us else "m3", "ies", "fossil", "grown", "kWh", "cut")
    yield from table([head, under], widths)
    scale, room = (1.0 / 0.45359237, 1.0 / 0.3048**3) if us else (1.0, 1.0)
    for name, row in sources.to_dict("index").items():
        cells = (
            _or_dash(row["storage_m3"] * room), _or_dash(row["deliveries"]), figure(row["co2_fossil_kg"] * scale, 2),
            figure(row["co2_biogenic_kg"] * scale, 2), figure(row["electric_kwh"], 2), row["power_cut"],
        )  # fmt: skip
        yield from table([(_name(name), *cells)], widths)
    unit = "lb" if us else "kg"
    yield from wrapped(
        f"CO2 in {unit}: fossil, with that of the current; grown, from this century's plants, never added to it. Power "
        "cut: goes on, or cold until the power is back."
    )


def _off_grid(panels: OffGrid | None, units: Units) -> Iterator[str]:
    if panels is None:
        return
    yield from heading("Without the grid")
    area = f"{panels.sun_wh / 1000.0:.2f} kWh/m2"
    yield from wrapped(
        f"Worst week, from {date(panels.week)}: {figure(panels.load_wh / 1000.0)} kWh a day are drawn, {area} of sun "
        f"a day fall on panels at {panels.tilt:.0f} deg facing {panels.azimuth:.0f} deg."
    )
    yield from wrapped(
        f"Panels of {figure(panels.array_w / 1000.0)} kW earn that week's current in that week (a yield of 75 %), "
        f"and a battery of {figure(panels.battery_wh / 1000.0)} kWh, used to 80 %, carries the longest dark stretch of "
        "this year."
    )
    yield from wrapped(OFF_GRID_CAUTION)
