"""Heat to fuel: exact round trips through the units of trade, and published fuel-value sheets."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest

from heatloss.catalogue import row
from heatloss.errors import InputError
from heatloss.fuel import demand, heating_value, purchase, typed_amount

MMBTU_KWH = 1e6 * 1055.05585262 / 3.6e6
LB = 0.45359237


class PlainRow:
    """A fuel row made by hand, so that the arithmetic is tested apart from the catalogue's values."""

    def __init__(self, name: str, unit: str, **fields: float) -> None:
        self.name, self._unit = name, unit
        self._fields = {"price": 1.0, "co2_fossil": 0.0, "co2_biogenic": 0.0, **fields}

    def __getitem__(self, field: str) -> float:
        return self._fields[field]

    def get(self, field: str, default: Any = None) -> Any:
        return self._fields.get(field, default)

    def text(self, field: str) -> str:
        return {"unit": self._unit}[field]


PELLETS = PlainRow(
    "pellets",
    "short_ton",
    mass_per_unit=2000 * LB,
    hhv=19.0e6,
    lhv=17.6e6,
    bag_mass=40 * LB,
    bulk_density=650.0,
    price=300.0,
    co2_biogenic=1650.0,
)
CORDWOOD = PlainRow("oak", "cord", mass_per_unit=1700.0, hhv=15.0e6, lhv=13.5e6, price=250.0)
PROPANE = PlainRow("propane", "gallon", mass_per_unit=1.92, hhv=50.2e6, lhv=46.3e6, price=2.5, co2_fossil=12.70 * LB)
POWER = PlainRow("electricity", "kWh", mass_per_unit=1.0, hhv=3.6e6, lhv=3.6e6, price=0.15)


def year(watts: float = 1000.0) -> pd.Series:
    return pd.Series(watts, index=pd.date_range("2001-01-01", periods=8760, freq="h"))


def heat_of(kwh: float) -> pd.Series:
    return year(kwh * 1000.0 / 8760.0)


@pytest.mark.parametrize("fuel", [PELLETS, CORDWOOD, PROPANE, POWER])
@pytest.mark.parametrize("basis", ["hhv", "lhv"])
def test_one_unit_of_trade_comes_back_as_one(fuel: PlainRow, basis: str) -> None:
    kwh_in_one = fuel["mass_per_unit"] * fuel[basis] / 3.6e6
    used = demand(heat_of(0.8 * kwh_in_one), fuel=fuel, efficiency=0.8, basis=basis)
    assert used.amount == pytest.approx(1.0, rel=1e-12)
    assert used.energy_kwh == pytest.approx(kwh_in_one, rel=1e-12)
    assert used.heat_kwh == pytest.approx(0.8 * kwh_in_one, rel=1e-12)
    assert used.cost == pytest.approx(fuel["price"], rel=1e-12)


def test_a_short_ton_is_fifty_bags_of_forty_pounds() -> None:
    kwh = 2000 * LB * 19.0e6 / 3.6e6
    used = demand(heat_of(kwh), fuel=PELLETS, efficiency=1.0, basis="hhv")
    assert used.bags == pytest.approx(50.0, rel=1e-12)
    assert used.mass_kg == pytest.approx(907.18474, rel=1e-12)
    assert used.storage_m3 == pytest.approx(907.18474 / 650.0, rel=1e-12)


def test_a_cord_and_a_gallon_take_their_own_room() -> None:
    wood = demand(heat_of(1700.0 * 15.0e6 / 3.6e6), fuel=CORDWOOD, efficiency=1.0, basis="hhv")
    gas = demand(heat_of(1.92 * 50.2e6 / 3.6e6), fuel=PROPANE, efficiency=1.0, basis="hhv")
    assert wood.storage_m3 == pytest.approx(128 * 0.3048**3, rel=1e-12)
    assert gas.storage_m3 == pytest.approx(231 * 0.0254**3, rel=1e-12)
    assert wood.bags is None
    assert gas.co2_fossil_kg == pytest.approx(12.70 * LB, rel=1e-12)
    assert gas.co2_biogenic_kg == 0.0


def test_electricity_weighs_nothing_and_needs_no_room() -> None:
    used = demand(year(), fuel=POWER, efficiency=1.0, basis="hhv")
    assert used.amount == pytest.approx(8760.0, rel=1e-12)
    assert used.mass_kg == 0.0
    assert used.storage_m3 is None
    assert used.peak_month in range(1, 13)


def test_gross_and_net_efficiency_of_one_heater_give_the_same_fuel() -> None:
    gross, net = 0.75, 0.75 * 19.0 / 17.6
    by_gross = demand(year(), fuel=PELLETS, efficiency=gross, basis="hhv")
    by_net = demand(year(), fuel=PELLETS, efficiency=net, basis="lhv")
    assert by_net.amount == pytest.approx(by_gross.amount, rel=1e-12)


def test_months_come_in_heating_order_and_sum_to_the_season() -> None:
    used = demand(year(), fuel=PELLETS, efficiency=0.8, basis="hhv")
    assert list(used.monthly.index) == [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]
    assert used.monthly["amount"].sum() == pytest.approx(used.amount, rel=1e-12)
    assert used.monthly["days"].sum() == pytest.approx(365.0, rel=1e-12)
    south = demand(year(), fuel=PELLETS, efficiency=0.8, basis="hhv", months=range(1, 13))
    assert list(south.monthly.index) == list(range(1, 13))
    assert south.amount == pytest.approx(used.amount, rel=1e-12)


def test_bags_a_week_are_those_of_the_month_that_burns_most() -> None:
    heat = year(0.0)
    heat[heat.index.month == 2] = 10_000.0
    used = demand(heat, fuel=PELLETS, efficiency=0.8, basis="hhv")
    bag_kwh = 40 * LB * 19.0e6 / 3.6e6
    assert used.peak_month == 2
    assert used.bags_per_week == pytest.approx(7 * 24 * 10.0 / 0.8 / bag_kwh, rel=1e-12)


def test_an_hourly_performance_weighs_each_hour_by_its_heat() -> None:
    heat = year(1000.0)
    cop = np.where(np.arange(8760) % 2 == 0, 2.0, 4.0)
    used = demand(heat, fuel=POWER, efficiency=cop, basis="hhv")
    assert used.amount == pytest.approx(4380 * (1 / 2 + 1 / 4), rel=1e-12)
    assert used.efficiency == pytest.approx(1 / (0.5 * (1 / 2 + 1 / 4)), rel=1e-12)


def test_a_winter_without_heat_takes_no_fuel() -> None:
    used = demand(year(0.0), fuel=PELLETS, efficiency=0.8, basis="hhv")
    bought = purchase(used)
    assert (used.amount, used.cost, used.bags, used.efficiency) == (0.0, 0.0, 0.0, 0.8)
    assert (bought.amount, bought.bags) == (0.0, 0)


def test_a_typed_price_wins_and_the_example_is_marked() -> None:
    example = demand(year(), fuel=PELLETS, efficiency=0.8, basis="hhv")
    typed = demand(year(), fuel=PELLETS, efficiency=0.8, basis="hhv", price=280.0)
    assert example.price_is_example
    assert not typed.price_is_example
    assert typed.cost == pytest.approx(280.0 * typed.amount, rel=1e-12)


def test_the_purchase_is_whole_bags_and_enough() -> None:
    used = demand(heat_of(5.14 * 907.18474 * 19.0e6 / 3.6e6), fuel=PELLETS, efficiency=1.0, basis="hhv")
    bought = purchase(used)
    assert bought.bags == math.ceil(257 * (1 + 1.6448536269514722 * 0.22)) == 351
    assert bought.amount == pytest.approx(351 / 50, rel=1e-12)
    assert bought.low == pytest.approx(5.14 * (1 - 0.2819), rel=1e-4)
    assert bought.high == pytest.approx(5.14 * (1 + 0.2819), rel=1e-4)


@pytest.mark.parametrize(("fuel", "step"), [(CORDWOOD, 0.25), (PROPANE, 10.0), (POWER, 100.0)])
def test_the_purchase_is_rounded_up_to_the_step_of_the_trade(fuel: PlainRow, step: float) -> None:
    used = demand(year(), fuel=fuel, efficiency=0.7, basis="hhv")
    enough = used.amount * (1 + 1.6448536269514722 * 0.22)
    bought = purchase(used).amount
    assert bought / step == pytest.approx(round(bought / step), rel=1e-12)
    assert 0.0 <= bought - enough < step


# A published "net" value is the heating value times a boiler's efficiency. Dividing heat by the efficiency once, and
# once only, must give one unit back. USDA Forest Products Laboratory, Fuel Value Calculator, 5th edition (read, as a
# scan); the efficiencies are those its own gross and net columns imply (calculated to 1 %, hence the tolerance).
@pytest.mark.parametrize(
    ("name", "net_mmbtu", "efficiency"),
    [("pellets", 13.6, 0.83), ("propane", 0.0710, 0.78), ("heating oil", 0.115, 0.83)],
)
def test_a_net_value_sheet_is_met_with_the_efficiency_applied_once(
    name: str, net_mmbtu: float, efficiency: float
) -> None:
    used = demand(heat_of(net_mmbtu * MMBTU_KWH), fuel=row("fuels", name), efficiency=efficiency, basis="hhv")
    assert used.amount == pytest.approx(1.0, rel=0.01)


# US Energy Information Administration, Carbon Dioxide Emissions Coefficients, 2 February 2016 (read): pounds of CO2 a
# gallon, and pounds a million Btu; the quotient is the gross energy of a gallon.
@pytest.mark.parametrize(
    ("name", "lb_per_gallon", "lb_per_mmbtu"),
    [("propane", 12.70, 139.05), ("heating oil", 22.40, 161.3), ("kerosene", 21.50, 159.4)],
)
def test_carbon_dioxide_a_gallon_and_a_million_btu_agree(name: str, lb_per_gallon: float, lb_per_mmbtu: float) -> None:
    fuel = row("fuels", name)
    used = demand(heat_of(MMBTU_KWH), fuel=fuel, efficiency=1.0, basis="hhv")
    assert used.co2_fossil_kg / LB == pytest.approx(lb_per_mmbtu, rel=0.02)
    assert fuel["co2_fossil"] / LB == pytest.approx(lb_per_gallon, rel=0.005)


# A heating-trade forum's worked example, thread 88880 (read): 75,000 Btu/h at a difference of 70 degF, 6000 degree
# days, efficiency 0.85, 100,000 Btu a therm, gives 1815.13 therms. A US therm here is 105.4804 MJ (59 degF Btu).
def test_the_worked_example_in_therms() -> None:
    btu = 75_000 / 70 * 24 * 6000
    therm = PlainRow("gas", "therm", mass_per_unit=1.0, hhv=100_000 * 1055.05585262, lhv=9.5e7)
    used = demand(heat_of(btu * 1055.05585262 / 3.6e6), fuel=therm, efficiency=0.85, basis="hhv")
    assert used.amount == pytest.approx(1815.13, abs=0.01)


def test_wood_is_biogenic_and_gas_is_fossil() -> None:
    wood = demand(year(), fuel=row("fuels", "pellets"), efficiency=0.8, basis="hhv")
    gas = demand(year(), fuel=row("fuels", "propane"), efficiency=0.8, basis="hhv")
    assert wood.co2_biogenic_kg > 0.0
    assert wood.co2_fossil_kg < 0.15 * wood.co2_biogenic_kg
    assert gas.co2_biogenic_kg == 0.0


@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_heat_that_is_no_heat_is_refused(bad: float) -> None:
    heat = year()
    heat.iloc[10] = bad
    with pytest.raises(InputError, match=r"heat must be 0 or more \[W\] in every hour"):
        demand(heat, fuel=PELLETS, efficiency=0.8, basis="hhv")


@pytest.mark.parametrize("bad", [0.0, -0.5, math.nan])
def test_an_efficiency_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(InputError, match=r"efficiency must be above 0 \[1\], got .* \(heater 'stove'\)"):
        demand(year(), fuel=PELLETS, efficiency=bad, basis="hhv", heater="stove")


def test_the_spread_is_the_catalogues_unless_typed() -> None:
    used = demand(year(), fuel=POWER, efficiency=1.0, basis="hhv")
    assert purchase(used).sigma == row("defaults", "purchase_sigma")["value"] == 0.22
    assert purchase(used, sigma=0.0).amount == 8800.0
    with pytest.raises(InputError, match="sigma must be 0 or more"):
        purchase(used, sigma=-0.1)


def test_another_basis_is_refused() -> None:
    with pytest.raises(InputError, match="basis must be 'hhv' or 'lhv', got 'net'"):
        heating_value(PELLETS, "net")


def test_a_fuel_without_any_price_is_refused() -> None:
    unpriced = PlainRow("straw", "short_ton", mass_per_unit=2000 * LB, hhv=15e6, lhv=14e6)
    del unpriced._fields["price"]
    with pytest.raises(InputError, match=r"price must be given for straw.*\(heater 'heater'\)"):
        demand(year(), fuel=unpriced, efficiency=0.8, basis="hhv")
    assert demand(year(), fuel=unpriced, efficiency=0.8, basis="hhv", price=100.0).cost > 0.0


@pytest.mark.parametrize(
    ("fuel", "typed", "expected"),
    [  # definitions: 2000 lb a short ton, 40 lb a bag, 128 ft3 a cord, 231 in3 a gallon, 3.6 MJ a kWh
        ("pellets", "6 short_ton", 6.0),
        ("pellets", "250 bags", 5.0),
        ("pellets", "907.18474 kg", 1.0),
        ("cordwood red oak", "3 cord", 3.0),
        ("cordwood red oak", "128 ft3", 1.0),
        ("propane", "300 gallon", 300.0),
        ("electricity", "500 kWh", 500.0),
        ("shelled corn", "40 bushels", 40.0),
    ],
)
def test_an_amount_is_typed_in_the_units_of_its_trade(fuel: str, typed: str, expected: float) -> None:
    heat = pd.Series(1000.0, index=pd.date_range("2001-01-01", periods=24, freq="h"))
    used = demand(heat, fuel=row("fuels", fuel), efficiency=0.8, basis="hhv", price=1.0)
    assert typed_amount(typed, used) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("typed", ["6 tons", "6", "", "-3 bags", "2 cord", "many bags", "nan bags"])
def test_an_amount_in_another_unit_is_refused(typed: str) -> None:
    heat = pd.Series(1000.0, index=pd.date_range("2001-01-01", periods=24, freq="h"))
    used = demand(heat, fuel=row("fuels", "pellets"), efficiency=0.8, basis="hhv")
    with pytest.raises(InputError, match="what you have must be an amount of pellets in short tons or bags"):
        typed_amount(typed, used, name="what you have")
