"""The same house on every fuel and heater of a list: amount, money, work, room, carbon dioxide, current, power cuts."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from heatloss import catalogue
from heatloss.decisions.candidates import checked
from heatloss.errors import InputError
from heatloss.fuel import Fuel
from heatloss.fuel.service import deliveries, hours_between_fillings, loads
from heatloss.house.heating import appliance
from heatloss.season import Season, simulate

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

USUAL = (
    "pellet boiler", "pellet stove", "wood stove", "masonry heater", "corn stove", "coal stove", "wood chip boiler",
    "propane unit heater", "gas unit heater", "oil furnace", "kerosene heater", "heat pump cold climate",
    "electric heater",
)  # fmt: skip
"""Types that are compared where a person has no list."""
BACKUP = {"name": "electric backup", "type": "electric heater", "order": "backup"}
COLUMNS = (
    "fuel", "amount", "unit", "cost", "example_price", "efficiency", "coldest_day", "coldest_week", "bags_day",
    "bags_week", "loads_day", "hopper_hours", "ash_kg", "storage_m3", "deliveries", "co2_fossil_kg", "co2_biogenic_kg",
    "electric_kwh", "electric_cost", "power_cut", "unmet_hours",
)  # fmt: skip


def compare_sources(
    house: House, weather: Weather, tables: Sequence[Mapping[str, Any]] = (), *, base: Season | None = None
) -> pd.DataFrame:
    """Compare heat sources on one house, a season of hourly balance for each.

    Parameters
    ----------
    house : House
        Its dates, the output of its first heater and its prices are lent to those that have none.
    weather : Weather
    tables : sequence of mappings
        A person's own ``[[heater]]`` tables; without them the usual types of the catalogue.
    base : Season, optional
        The house's own season, where it is at hand.

    Returns
    -------
    frame
        Index ``name``. ``fuel``, ``amount`` and its ``unit`` of trade, ``cost`` with the current of fans [usd], whether
        it rests on an ``example_price``, seasonal ``efficiency`` [1]; work: ``coldest_day`` and ``coldest_week`` in the
        unit of trade, ``bags_day`` and ``bags_week`` then, ``loads_day``, ``hopper_hours`` of the hardest month,
        ``ash_kg``; ``storage_m3``, ``deliveries``; ``co2_fossil_kg`` with that of the current, ``co2_biogenic_kg``;
        ``electric_kwh`` of fans and pumps and its ``electric_cost``; ``power_cut``, what it then does; ``unmet_hours``.

    Raises
    ------
    InputError
        For a table that is no heater, or a house without a setpoint.

    Notes
    -----
    A heat pump gets an electric backup for the hours it cannot hold; both are in its row. Money and carbon dioxide of
    the current are the catalogue's for electricity. Purchase and installation of the heater are left out.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> mine = [{"name": "gas", "type": "propane unit heater"}, {"name": "wire", "type": "electric heater"}]
    >>> rows = compare_sources(sample_house(), read_weather("chicago"), mine)
    >>> rows["unit"].to_dict(), rows.loc["wire", "power_cut"]
    ({'gas': 'gallon', 'wire': 'kWh'}, 'cold')
    """
    if not house.setpoint:
        raise InputError('setpoint must be given to compare heaters, got none. Add [[setpoint]] with day = "55 degF".')
    base = simulate(house, weather) if base is None else base
    rows = [_row(house, weather, table, base.peak_w) for table in (tables or usual())]
    names = [table.get("name", f"heater {i + 1}") for i, table in enumerate(tables or usual())]
    return pd.DataFrame(rows, index=pd.Index(names, name="name"), columns=list(COLUMNS))


def usual() -> list[dict[str, Any]]:
    """The usual types as tables."""
    return [{"name": name, "type": name} for name in USUAL]


def _row(house: House, weather: Weather, table: Mapping[str, Any], peak: float) -> dict[str, Any]:
    """A season with one heater, and a heat pump's backup."""
    lent = house.tree()["heater"][0] if house.heater else {}
    rest = {key: lent[key] for key in ("from", "to") if key in lent and key not in table}
    if "output" not in table and "input" not in table:
        rest["output"] = lent.get("output", f"{max(peak, 1.0)!r} W")
    one = {**rest, **table}
    alone = checked(house, [one])
    unit = appliance(alone.heater[0], alone)
    price = _price_known(house, unit.fuel.name)
    if "price" not in one and price is not None:
        one["price"] = price
        alone = checked(house, [one])
    pump = unit.row is not None and bool(unit.row.table)
    season = simulate(checked(house, [one, {**BACKUP, **_dates(one)}]) if pump else alone, weather)
    return _figures(season, pump=pump, needs_power=unit.needs_power)


def _price_known(house: House, fuel: str) -> str | None:
    """What the house file says this fuel costs."""
    for use, typed in zip(house.heater, house.tree().get("heater", []), strict=True):
        if use.price is not None and appliance(use, house).fuel.name == fuel:
            return str(typed["price"])
    return None


def _dates(table: Mapping[str, Any]) -> dict[str, Any]:
    return {key: table[key] for key in ("from", "to") if key in table}


def _figures(season: Season, *, pump: bool, needs_power: bool) -> dict[str, Any]:
    first, wire = season.fuels[0], catalogue.row("fuels", "electricity", season.house.own)
    electric = sum(fuel.electric_kwh for fuel in season.fuels)
    amount, energy = sum(f.amount for f in season.fuels), sum(f.energy_kwh for f in season.fuels)
    hopper, tended = hours_between_fillings(first), loads(first)
    return {
        "fuel": first.name,
        "amount": amount,
        "unit": first.unit,
        "cost": sum(fuel.cost for fuel in season.fuels) + electric * wire["price"],
        "example_price": any(fuel.price_is_example for fuel in season.fuels),
        "efficiency": season.heat_kwh / energy if energy > 0.0 else first.efficiency,
        "coldest_day": _most(season.fuels, 1),
        "coldest_week": _most(season.fuels, 7),
        "bags_day": _bags(first, 1),
        "bags_week": _bags(first, 7),
        "loads_day": math.nan if tended is None else tended.week,
        "hopper_hours": float(hopper.min()) if len(hopper) else math.nan,
        "ash_kg": first.ash_kg,
        "storage_m3": math.nan if first.storage_m3 is None else first.storage_m3,
        "deliveries": math.nan if (lots := deliveries(first)) is None else lots,
        "co2_fossil_kg": sum(fuel.co2_fossil_kg for fuel in season.fuels) + electric * wire["co2_fossil"],
        "co2_biogenic_kg": sum(fuel.co2_biogenic_kg for fuel in season.fuels),
        "electric_kwh": electric,
        "electric_cost": electric * wire["price"],
        "power_cut": "cold" if pump or needs_power else "goes on",
        "unmet_hours": float(season.unmet["hours"]),
    }


def _most(fuels: Sequence[Fuel], days: int) -> float:
    """Most of so many days in a row, over heaters of one unit of trade together."""
    hourly = pd.concat([fuel.hourly["amount"] for fuel in fuels], axis=1).sum(axis=1)
    daily = hourly.groupby(pd.DatetimeIndex(hourly.index).normalize()).sum()
    return float(daily.rolling(days).sum().max())


def _bags(fuel: Fuel, days: int) -> float:
    if fuel.bag_kg is None or not fuel.amount > 0.0:
        return math.nan
    return fuel.most(days)[0] * fuel.mass_kg / fuel.amount / fuel.bag_kg
