"""The fire or the power goes out: for the terminal, for other programs, as CSV.

The JSON document ``heatloss outage`` holds SI and full precision; null stands where a limit is not reached within 72
hours, or where no alarm serves. ``title`` ``sample`` ``weather``; ``design`` with ``minimum_c``, ``method``,
``origin``; ``oxygen``, one entry a tank with fish (hours at the highest, middle and lowest uptake); ``outages``, one
entry a cause and limit with ``hours``, ``weather`` and ``start``; ``lowest`` (degC) by cause; ``variants``; ``frost``
with ``mean_w``, ``peak_w`` and ``fuels``; ``electricity`` with ``running_w``, ``carry_h``, ``carry_wh``; ``alarm``
with its ``limit``, ``leave_h`` and ``c`` by cause; ``cautions``.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

from heatloss.catalogue import Row, row
from heatloss.decisions.outage import CAUSES, FIRE, HORIZON, POWER, Oxygen
from heatloss.files import write_whole
from heatloss.fuel import trade_unit
from heatloss.fuel.amount import unit_energy
from heatloss.house.heating import appliances
from heatloss.report.cautions import CAUTIONS
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.measures import Units, fahrenheit, figure, heading, mass, power, table, temperature, wrapped

if TYPE_CHECKING:
    from heatloss.decisions.outage import Outages
    from heatloss.house import House

FIRST = 36
STAND_BY = (("propane", "hhv", 0.8), ("kerosene", "hhv", 0.8))
"""What an emergency heater burns, basis and efficiency; common practice, no source."""
OUTAGE_CAUTIONS = (
    "Never bring an unvented or open flame, a grill or a generator inside to save the night: carbon monoxide kills "
    "people first. A generator stands outdoors, away from openings.",
    "These are bounds for the house as described, not promises: a cold corner, an open door or a torn film is sooner.",
    "A generator or battery is wired in through a transfer switch by a licensed electrician; local codes rule.",
)


def duration(hours: float) -> str:
    """Write a time, rounded down so that no more is promised: minutes below two hours.

    >>> duration(0.31), duration(3.14), duration(30.2), duration(float("inf"))
    ('18 min', '3.1 h', '30 h', '> 72 h')
    """
    if math.isinf(hours):
        return f"> {HORIZON} h"
    if hours < 2.0:
        return f"{math.floor(60.0 * hours):.0f} min"
    return f"{math.floor(10.0 * hours) / 10.0:.1f} h" if hours < 10.0 else f"{math.floor(hours):.0f} h"


def outage_report(found: Outages, *, units: Units = "us", sample: bool = False) -> str:
    """Write what an outage does as text 80 columns wide.

    Parameters
    ----------
    found : Outages
        What ``heatloss.decisions.outage.study`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*titled(found.season, "How long without heat or power"), *_oxygen(found, units), *_times(found, units)]
    lines += [*_limits(found.season.house, units), *_alarm(found, units), *_variants(found), *_frost(found, units)]
    return framed([*lines, *_current(found), *cautioned()], sample)


def outage_json(found: Outages, *, sample: bool = False) -> str:
    """What an outage does, as the JSON document that this module describes."""
    oxygen = [
        {"tank": o.tank, "species": o.species, "water_c": o.temperature, "oxygen_mg_l": o.oxygen,
         "stocking_kg_m3": o.stocking, "stocking_typed": o.stocking_typed, "hours_low": o.low, "hours": o.middle,
         "hours_high": o.high, "pump_w": o.pump_w, "pump_typed": o.pump_typed,
         "battery_wh": o.battery_wh(found.carry)}
        for o in found.oxygen
    ]  # fmt: skip
    fuels = {name: {"unit": unit, "amount": amount} for name, unit, amount in _burned(found)}
    return document(
        found.season, "heatloss outage", sample,
        design={"minimum_c": found.design.temperature, "method": found.design.method, "origin": found.design.origin},
        oxygen=oxygen, outages=found.table.to_dict("records"), lowest=found.lowest.to_dict("records"),
        variants=found.variants.to_dict("records"),
        frost={"mean_w": found.frost_w, "peak_w": found.frost_peak_w, "fuels": fuels},
        electricity={"running_w": found.running, "carry_h": found.carry, "carry_wh": found.carry_wh()},
        alarm={"limit": found.alarm_limit, "leave_h": found.leave, "c": found.alarm},
        cautions=[*OUTAGE_CAUTIONS, *CAUTIONS],
    )  # fmt: skip


def outage_csv(found: Outages, path: str | os.PathLike[str]) -> None:
    """Write the table of causes and limits as CSV: hours [h], empty where a limit is not reached within 72."""
    named = found.table.replace(math.inf, math.nan).rename(columns={"hours": "hours [h]"})
    write_whole(path, named.to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def _oxygen(found: Outages, units: Units) -> Iterator[str]:
    if not found.oxygen:
        return
    yield from heading("Fish: oxygen comes before any temperature")
    for o in found.oxygen:
        yield from wrapped(
            f"{o.tank}: {duration(o.low)} of air once the air pump stops ({duration(o.low)} to {duration(o.high)}; "
            f"middle {duration(o.middle)}), whatever the temperature does."
        )
        yield from wrapped(_oxygen_words(o, units), indent=4)
        pump = f"{figure(o.pump_w, 2)} W" + (
            "" if o.pump_typed else ', worked out from the fish; type aerator = "40 W"'
        )
        yield from wrapped(
            f"Air pump, {pump}: a battery of {figure(o.battery_wh(found.carry), 2)} Wh carries it {found.carry:g} h. "
            "It must start by itself.", indent=4,
        )  # fmt: skip


def _oxygen_words(o: Oxygen, units: Units) -> str:
    weight = f"{figure(o.stocking, 2)} kg/m3" if units == "si" else f"{figure(o.stocking * 0.008345404, 2)} lb/gal"
    typed = "as typed" if o.stocking_typed else "the catalogue's middle; type stocking"
    return (
        f"{o.species}, {weight} of fish ({typed}), water of {temperature(o.temperature, units)} holding "
        f"{o.oxygen:.1f} mg/L, used down to 4 mg/L; fed, frightened or crowded fish use more. Uptake by the catalogue, "
        "aquaculture texts, from memory."
    )


def _times(found: Outages, units: Units) -> Iterator[str]:
    yield from heading("Shortest time until ..., tried at every hour")
    widths = (FIRST, 13, 13, 13)
    yield from table([("", *CAUSES)], widths)
    rows = found.table[~found.table["limit"].str.startswith("oxygen in ")]
    for limit in dict.fromkeys(rows["limit"]):
        times = rows[rows["limit"] == limit].set_index("cause")["hours"]
        cells = [duration(float(times[cause])) for cause in CAUSES]
        long = len(limit) > FIRST
        yield from wrapped(limit) if long else ()
        yield from table([("" if long else limit, *cells)], widths)
    for what in dict.fromkeys(found.lowest["what"]):
        low = found.lowest[found.lowest["what"] == what].set_index("cause")["temperature"]
        degrees = [_degrees(t, units) for t in low[list(CAUSES)]]
        yield from table([(f"lowest of {what}", *degrees)], widths)
    yield ""
    coldest = temperature(found.design.temperature, units)
    yield from wrapped(
        f"Built spell: three days, dark, clear sky, windy, coldest hour {coldest} ({found.design.method}, from "
        f"{found.design.origin}); and the file's own coldest week. Fire out: {_first(found.season.house)} fails. Fuel "
        "out: all that burn its fuel. Power cut: all that need current, fans, pumps and lamps too; a motor curtain "
        "stays where it was."
    )
    if found.design.method == "steady 99.6 %":
        yield from wrapped(
            "The lowest temperature in 20 years is not known here, and the spell is milder than it: every time above "
            'is too long. Type minimum_20_year = "... degF" under [place].'
        )
    if found.oxygen:
        yield from wrapped("No temperature keeps fish alive whose air pump stands still: read their oxygen first.")
    yield from wrapped(
        "Leaves are 1 to 2 K (2 to 4 °F) colder than the air under a clear sky without a closed curtain. Water lines: "
        "still water in half an inch. Ice: where water first reaches freezing; freezing it through takes far longer."
    )


def _first(house: House) -> str:
    return appliances(house)[0].name


def _limits(house: House, units: Units) -> Iterator[str]:
    """What the limits of crop and fish are, with range and source."""
    rows: list[tuple[Row, tuple[tuple[str, str], ...]]] = []
    if house.crop is not None:
        rows.append((row("crops", house.crop, house.own), (("chill", "chilled below"), ("kill", "killed at"))))
    species = dict.fromkeys(tank.species for tank in house.water if tank.species is not None)
    words = (("stop_feeding", "stop feeding below"), ("kill_low", "die at"))
    rows += [(row("fish", name, house.own), words) for name in species]
    if rows:
        yield from heading("Limits that were taken")
    for found, fields in rows:
        parts = []
        for name, word in fields:
            value = found.fields[name]
            span = f"{_degrees(value.low, units).split(' ')[0]} to {_degrees(value.high, units)}"
            parts.append(f"{word} {_degrees(value.value, units)} ({span}; {value.source}, {value.mark})")
        yield from wrapped(f"{found.name}: {'; '.join(parts)}", bullet="- ")


def _degrees(celsius: float, units: Units) -> str:
    """Write a temperature in the reader's own unit alone."""
    return f"{fahrenheit(celsius):.0f} °F" if units == "us" else f"{celsius:.1f} °C"


def _alarm(found: Outages, units: Units) -> Iterator[str]:
    yield from heading(f"An alarm that leaves {duration(found.leave)} before: {found.alarm_limit}")
    for cause in CAUSES:
        needed = found.alarm[cause]
        hours = found.table[(found.table["cause"] == cause) & (found.table["limit"] == found.alarm_limit)]["hours"]
        if math.isinf(float(hours.iloc[0])):
            text = f"not reached within {HORIZON} hours: what still heats holds."
        elif needed is None:
            text = "none leaves that long here, and a backup must start by itself."
        else:
            up = (math.ceil(fahrenheit(needed)) - 32.0) / 1.8 if units == "us" else math.ceil(10.0 * needed) / 10.0
            text = f"set it at {temperature(up, units)} or warmer."
        yield from wrapped(f"{cause}: {text}")
    yield from wrapped("It must ring where you sleep, on its own battery. Test it.")


def _variants(found: Outages) -> Iterator[str]:
    yield from heading(f"What would help in the built spell: {found.alarm_limit}")
    widths = (FIRST, 13, 13)
    yield from table([("", FIRE, POWER)], widths)
    for name in dict.fromkeys(found.variants["variant"]):
        times = found.variants[found.variants["variant"] == name].set_index("cause")["hours"]
        yield from table([(name, *(duration(float(times[cause])) for cause in (FIRE, POWER)))], widths)


def _burned(found: Outages) -> Iterator[tuple[str, str, float]]:
    """Fuel that gives 24 hours of frost heat: name, unit of trade, amount."""
    kwh = found.frost_w * 24.0 / 1000.0
    seen = set()
    for unit in appliances(found.season.house):
        share = unit.efficiency if unit.efficiency is not None else min(cop for _, cop, _ in unit.table)
        seen.add(unit.fuel.name)
        yield unit.fuel.name, unit.fuel.text("unit"), kwh / share / unit_energy(unit.fuel, unit.basis)
    for name, basis, share in STAND_BY:
        if name not in seen:
            fuel = row("fuels", name)
            yield name, fuel.text("unit"), kwh / share / unit_energy(fuel, basis)


def _frost(found: Outages, units: Units) -> Iterator[str]:
    yield from heading("To hold frost off through the spell's coldest 24 hours")
    yield from wrapped(
        f"{power(found.frost_w, units)} on average, {power(found.frost_peak_w, units)} in the hardest hour, of heat "
        "into the house, fans still. Any one of these for the day:"
    )
    for name, unit, amount in _burned(found):
        yield from wrapped(f"{name}: {_amount_words(name, unit, amount, found.season.house, units)}", bullet="- ")


def _amount_words(name: str, unit: str, amount: float, house: House, units: Units) -> str:
    fuel, trade = row("fuels", name, house.own), trade_unit(unit)
    bag = fuel.get("bag_mass")
    if bag is not None:
        kilograms = amount * fuel["mass_per_unit"]
        return f"{math.ceil(kilograms / bag):,.0f} bags ({mass(kilograms, units)})"
    if units == "si" and trade.si_factor != 1.0:
        return f"{figure(amount * trade.si_factor)} {trade.si}"
    return f"{figure(amount, 2)} {trade.many}"


def _current(found: Outages) -> Iterator[str]:
    yield from heading(f"Current, carried for {found.carry:g} hours")
    if not found.running:
        yield "  Nothing here that is known draws current."
    for name, watts in found.running.items():
        yield f"  {name:<{FIRST}}{figure(watts):>13} W"
    if len(found.running) > 1:
        yield f"  {'together, all the time':<{FIRST}}{figure(sum(found.running.values())):>13} W"
    if found.running:
        yield from wrapped(
            f"A battery of {figure(found.carry_wh() / 1000.0)} kWh carries them, used to 80 %, through an inverter of "
            "90 %; a generator must give their watts and what a motor and an igniter take at the start, two to three "
            "times as much."
        )
    yield ""
    for text in OUTAGE_CAUTIONS:
        yield from wrapped(text)
