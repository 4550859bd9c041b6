"""Heat sources on one house: each row is its own season; a heat pump brings its backup; power cuts told."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heatloss import InputError, compare_sources, simulate
from heatloss.catalogue import row
from heatloss.decisions.off_grid import USABLE, YIELD, electric_load, off_grid
from heatloss.decisions.sources import USUAL

MINE = [
    {"name": "pellets", "type": "pellet stove"},
    {"name": "wood", "type": "wood stove"},
    {"name": "gas", "type": "propane unit heater"},
    {"name": "pump", "type": "heat pump", "output": "8 kW"},
]


@pytest.fixture(scope="module")
def base(house_maker: Any, chicago: Any) -> Any:
    stove = {"name": "stove", "type": "propane unit heater", "output": "30 kW", "price": "3 usd/gallon",
             "from": "10-01", "to": "05-15"}  # fmt: skip
    return simulate(house_maker(heater=[stove]), chicago)


@pytest.fixture(scope="module")
def rows(base: Any) -> Any:
    return compare_sources(base.house, base.weather, MINE, base=base)


def test_a_row_is_the_season_with_that_heater(rows: Any, base: Any) -> None:
    gas = rows.loc["gas"]
    assert (gas["amount"], gas["unit"]) == (pytest.approx(base.fuel.amount, rel=1e-12), "gallon")
    wire = row("fuels", "electricity")
    assert gas["cost"] == pytest.approx(3.0 * gas["amount"] + gas["electric_kwh"] * wire["price"])
    assert not gas["example_price"]  # the house's own price of that fuel
    assert rows.loc["pellets", "example_price"]
    fossil = gas["amount"] * row("fuels", "propane")["co2_fossil"] + gas["electric_kwh"] * wire["co2_fossil"]
    assert gas["co2_fossil_kg"] == pytest.approx(fossil)
    assert rows.loc["wood", "co2_fossil_kg"] == 0.0 < rows.loc["wood", "co2_biogenic_kg"]


def test_work(rows: Any) -> None:
    pellets = rows.loc["pellets"]
    assert pellets["bags_day"] == pytest.approx(pellets["coldest_day"] * 50)
    assert pellets["bags_week"] == pytest.approx(pellets["coldest_week"] * 50)
    assert np.isnan(rows.loc["gas", "bags_day"])
    assert rows.loc["wood", "loads_day"] > 1.0
    assert rows.loc["wood", "ash_kg"] > 0.0 == rows.loc["gas", "ash_kg"]


def test_power_cuts(rows: Any) -> None:
    assert rows["power_cut"].to_dict() == {"pellets": "cold", "wood": "goes on", "gas": "cold", "pump": "cold"}


def test_a_heat_pump_comes_with_its_backup(rows: Any, base: Any) -> None:
    pump = rows.loc["pump"]
    assert pump["unmet_hours"] <= rows.loc["gas", "unmet_hours"] + 5
    assert 1.0 < pump["efficiency"] < 2.9  # part of it is resistance
    assert pump["amount"] == pytest.approx(base.heat_kwh / pump["efficiency"], rel=0.02)


def test_usual_types_are_rows_of_the_catalogue(base: Any) -> None:
    found = compare_sources(base.house, base.weather, base=base)
    assert list(found.index) == list(USUAL)
    assert (found["amount"] > 0.0).all()
    assert found.loc["electric heater", "efficiency"] == 1.0


def test_refusals(house_maker: Any, chicago: Any) -> None:
    with pytest.raises(InputError, match=r"^setpoint must be given to compare heaters"):
        compare_sources(house_maker(setpoint=[], heater=[]), chicago)
    with pytest.raises(InputError, match=r"heater\[1\]\.type must be a name in the heaters catalogue"):
        compare_sources(house_maker(), chicago, [{"name": "x", "type": "pellet stov"}])


def test_panels_earn_the_worst_week_and_the_battery_carries_the_dark(base: Any) -> None:
    found = off_grid(base, tilt=60.0)
    assert found.azimuth == 180.0
    assert found.array_w / 1000.0 * YIELD * found.sun_wh == pytest.approx(found.load_wh, rel=1e-9)
    assert found.battery_wh * USABLE > found.load_wh / 2.0  # a night at least
    load = electric_load(base)
    assert load.sum() / 1000.0 == pytest.approx(base.fuel.electric_kwh)
    flat = off_grid(base, tilt=0.0)
    ghi = base.weather.hours["ghi"].groupby(base.weather.hours.index.normalize()).sum()
    weeks = [ghi.iloc[i : i + 7].sum() / 7 for i in range(len(ghi) - 6)]
    assert (
        min(abs(flat.sun_wh - week) for week in weeks) < 2e-3 * flat.sun_wh
    )  # level panels; beam and sky close to GHI
    assert flat.array_w > found.array_w


def test_off_grid_refusals(base: Any, house_maker: Any, chicago: Any) -> None:
    with pytest.raises(InputError, match=r"^tilt must be from 0 to 90 \[deg\], got 100"):
        off_grid(base, tilt=100.0)
    with pytest.raises(InputError, match=r"^azimuth must be from 0 to 360"):
        off_grid(base, azimuth=-1.0)
    silent = simulate(house_maker(), chicago)  # a heater of which only fuel and efficiency are known
    with pytest.raises(InputError, match=r"^something must draw current to size panels"):
        off_grid(silent)
