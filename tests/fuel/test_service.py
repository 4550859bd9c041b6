"""Fillings, loads and deliveries are mass over mass."""

from __future__ import annotations

from typing import Any

import pytest

from heatloss import read_weather, sample_house, simulate
from heatloss.fuel import demand
from heatloss.fuel.amount import heating_value
from heatloss.fuel.service import NIGHT, deliveries, hours_between_fillings, hours_on_night, loads

POUND = 0.45359237


def fuel_of(**typed: Any) -> Any:
    house = sample_house()
    use = {"name": "it", "output": "30 kW", "from": "09-15", "to": "05-15", **typed}
    return simulate(house.changed(heater=[use]), read_weather("chicago")).fuel


@pytest.fixture(scope="module")
def pellets() -> Any:
    return fuel_of(type="pellet boiler", hopper="250 lb")


@pytest.fixture(scope="module")
def wood() -> Any:
    return fuel_of(type="wood stove", load="30 lb")


def test_hours_between_fillings(pellets: Any) -> None:
    hours = hours_between_fillings(pellets)
    january = pellets.monthly.loc[1]
    assert hours[1] == pytest.approx(250 * POUND / (january["mass_kg"] / (31 * 24)))
    assert hours.idxmin() == pellets.peak_month
    assert len(hours_between_fillings(fuel_of(type="propane unit heater"))) == 0


def test_the_design_night(pellets: Any, wood: Any) -> None:
    load, value = 20e3, heating_value(pellets.row, "lhv")
    assert hours_on_night(pellets, load) == pytest.approx(250 * POUND * value * 0.86 / load / 3600.0)
    assert hours_on_night(wood, load) == pytest.approx(30 * POUND * wood.row["hhv"] * 0.65 / load / 3600.0)
    assert hours_on_night(fuel_of(type="propane unit heater"), load) is None


def test_loads_by_hand(wood: Any, pellets: Any) -> None:
    found = loads(wood)
    assert found is not None
    mass = wood.most(1)[0] * wood.row["mass_per_unit"]
    assert found.day == pytest.approx(mass / (30 * POUND))
    assert found.hours == pytest.approx(24.0 / found.day)
    assert found.gap == pytest.approx(max(0.0, NIGHT - found.hours))
    assert found.week <= found.day
    assert loads(pellets) is None


def test_most_is_the_largest_sum_of_days(pellets: Any) -> None:
    daily = pellets.hourly["amount"].groupby(pellets.hourly.index.date).sum()
    assert pellets.most(1)[0] == pytest.approx(daily.max())
    assert pellets.most(7)[0] == pytest.approx(max(daily.iloc[i : i + 7].sum() for i in range(359)))
    assert pellets.amount == pytest.approx(daily.sum())
    assert pellets.most(1)[0] < pellets.most(7)[0] < 7 * pellets.most(1)[0]


def test_deliveries_ash_and_a_gas_tank(pellets: Any) -> None:
    assert deliveries(pellets) == pytest.approx(pellets.amount)  # a pallet is a short ton
    assert pellets.ash_kg == pytest.approx(0.007 * pellets.mass_kg)  # premium grade at most 1 % (read)
    gas = fuel_of(type="propane unit heater")
    assert deliveries(gas) == pytest.approx(gas.amount / 400.0)  # 80 % of a 500-gallon tank
    assert gas.storage_m3 == pytest.approx(gas.amount * 231 * 0.0254**3 / 0.8)
    bare = demand(gas.hourly["heat"], fuel=gas.row, efficiency=0.8, basis="hhv")
    assert (bare.electric_kwh, bare.appliance) == (0.0, None)
    assert loads(bare) is None
