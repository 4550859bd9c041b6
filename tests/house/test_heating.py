"""A heater with what its table and its catalogue row say: ratings, losses, order, ways of giving heat."""

from __future__ import annotations

import math
from typing import Any

import pytest

from heatloss import House, InputError, sample_house
from heatloss.house.heating import appliance, appliances, in_order

KW = 1000.0


def house_with(*heaters: dict[str, Any]) -> House:
    return sample_house().changed(heater=[{"name": f"h{i}", **use} for i, use in enumerate(heaters)])


def one(**use: Any) -> Any:
    house = house_with(use)
    return appliance(house.heater[0], house)


def test_output_is_typed_or_input_times_efficiency() -> None:
    assert one(type="gas unit heater", output="20 kW").output() == 20 * KW
    assert one(type="gas unit heater", input="25 kW").output() == pytest.approx(25 * KW * 0.8)
    assert one(type="gas unit heater").output() == math.inf
    # 4 % for each 300 m above 600 m, gas alone (from memory)
    assert one(type="gas unit heater", output="20 kW").output(1200.0) == pytest.approx(20 * KW * 0.92)
    assert one(type="pellet stove", output="20 kW").output(1200.0) == 20 * KW


def test_a_row_with_starts_is_steady_and_one_without_is_a_season() -> None:
    assert not one(type="pellet boiler").seasonal
    assert one(type="masonry heater").seasonal
    assert one(type="pellet boiler", efficiency=0.7, basis="lhv").seasonal
    steady = one(fuel="propane", steady_efficiency=0.9, basis="hhv", start="0.1 kWh")
    assert (steady.seasonal, steady.efficiency, steady.start) == (False, 0.9, 3.6e5)


def test_what_needs_power() -> None:
    kinds = {"pellet boiler": True, "wood stove": False, "electric heater": True, "heat pump": True,
             "propane wall heater": False}  # fmt: skip
    assert {kind: one(type=kind).needs_power for kind in kinds} == kinds


def test_base_acts_before_backup() -> None:
    house = house_with({"type": "gas boiler", "order": "backup"}, {"type": "pellet boiler"}, {"type": "wood stove"})
    assert [use.type for use in in_order(house)] == ["pellet boiler", "wood stove", "gas boiler"]
    assert [unit.name for unit in appliances(house)] == ["h0", "h1", "h2"]


@pytest.mark.parametrize(
    ("way", "rays"),
    [(None, 0.4), ("fan", 0.0), ("pipe", 0.45), ("floor", 0.0), ("radiant", 0.6)],  # heating texts, from memory
)
def test_ways_of_giving_heat(way: str | None, rays: float) -> None:
    use = {"type": "propane boiler"} | ({} if way is None else {"distribution": way})
    assert house_with(use).heater[0].radiant_share == rays
    assert house_with({**use, "radiant_share": 0.1}).heater[0].radiant_share == 0.1


def test_a_heater_is_written_as_it_was_read() -> None:
    use = {"type": "wood stove", "output": "20 kW", "load": "40 lb", "moisture": 0.3, "order": "backup",
           "minimum": "5 kW", "distribution": "radiant", "electric": "30 W"}  # fmt: skip
    house = house_with(use)
    assert House(**house.tree()).heater == house.heater


@pytest.mark.parametrize(
    ("use", "said"),
    [
        ({"type": "gas boiler", "rating": "60000 Btu/h"},
         'rating must say input or output, got "60000 Btu/h". Type output = "60000 Btu/h" for heat into the house, or '
         "input = ... for heat in the fuel."),
        ({"type": "gas boiler", "output": "20 kW", "input": "25 kW"},
         'input must be left out where output is given, got "25 kW". Keep the one on the label.'),
        ({"type": "heat pump", "input": "5 kW"},
         'input must be left out for a heat pump, got "5 kW". Type the output rated at 8 degC (47 degF).'),
        ({"type": "gas boiler", "cut_off": "0 degF"},
         'cut_off must be left out but for a heat pump, got "0 degF". A fire burns at any cold.'),
        ({"type": "gas boiler", "efficiency": 0.7, "basis": "hhv", "steady_efficiency": 0.8},
         "steady_efficiency must be left out where efficiency is given, got 0.8. A season's has it all in."),
        ({"fuel": "propane", "steady_efficiency": 1.05, "basis": "hhv"},
         'steady_efficiency must be at most 1, got 1.05. A heat pump needs its curve: type = "heat pump".'),
        ({"fuel": "electricity", "efficiency": 3.0, "basis": "hhv"},
         'efficiency must be at most 1, got 3.0. A heat pump needs its curve: type = "heat pump".'),
        ({"type": "gas boiler", "order": "first"}, 'order must be "base" or "backup", got "first".'),
        ({"type": "gas boiler", "hopper": "100"}, "hopper must be a mass with its unit"),
        ({"type": "gas boiler", "price": "2"}, "price must be a price with its unit [usd/therm], got"),
    ],
)  # fmt: skip
def test_faults(use: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as caught:
        house_with(use)
    assert f"heater[1].{said}" in str(caught.value)
    assert "\n" not in str(caught.value).strip() or str(caught.value).count("\n") == 1
