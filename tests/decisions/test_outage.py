"""An outage: causes differ by what they stop, oxygen first, every hour tried, an alarm or none."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heatloss import InputError, outage, sample_house
from heatloss.balance.restart import courses, crossing
from heatloss.decisions.outage import FIRE, FUEL, POWER, SPELL, study, tank_oxygen

STOVE = {"name": "stove", "type": "wood stove", "output": "40 kW"}
PELLET = {"name": "pellets", "type": "pellet stove", "output": "40 kW"}
TANK = {"name": "tank", "volume": "3 m3", "species": "tilapia", "stocking": "30 kg/m3", "aerator": "60 W"}


@pytest.fixture(scope="module")
def found(house_maker: Any, chicago: Any) -> Any:
    return study(house_maker(heater=[PELLET], crop="lettuce", water=[TANK]), chicago)


def row(found: Any, cause: str, limit: str) -> Any:
    table = found.table
    return table[(table["cause"] == cause) & (table["limit"] == limit)].iloc[0]


def test_oxygen_comes_first_and_beside_every_temperature_of_fish(found: Any) -> None:
    first = found.table.iloc[0]
    assert (first["cause"], first["limit"]) == (POWER, "oxygen in tank")
    assert first["hours"] == found.oxygen[0].low
    assert found.oxygen[0].stocking == pytest.approx(30.0)
    assert not found.table["limit"].str.contains("safe").any()


def test_oxygen_is_the_stated_sum(house_maker: Any) -> None:
    # (saturation - 4) mg/L over stocking and uptake, 100 to 200 mg/(kg h) in the middle of what they like (from memory)
    house = house_maker(water=[TANK])
    warm = 0.5 * (82.0 + 87.0)
    oxygen = tank_oxygen(house.water[0], house, (warm - 32.0) / 1.8)
    held = oxygen.oxygen - 4.0
    assert (oxygen.low, oxygen.high) == pytest.approx((held / (30 * 0.2), held / (30 * 0.1)))
    assert (oxygen.pump_w, oxygen.pump_typed) == (60.0, True)
    assert oxygen.battery_wh(10.0) == pytest.approx(60.0 * 10.0 / 0.72)
    cold = tank_oxygen(house.water[0], house, 5.0)
    assert cold.low > oxygen.low


def test_limits_come_in_the_order_of_their_temperatures(found: Any) -> None:
    for cause in (FIRE, FUEL, POWER):
        leaf, air = row(found, cause, "leaves at freezing"), row(found, cause, "air at freezing")
        assert 0.0 < leaf["hours"] < air["hours"] < row(found, cause, "lettuce killed")["hours"] * 3.0
        assert row(found, cause, "water lines freeze")["hours"] > air["hours"]
        fed, dead, ice = (row(found, cause, f"{words}tank")["hours"]
                          for words in ("tilapia stop feeding, ", "tilapia die of cold, ", "ice on "))  # fmt: skip
        assert fed <= dead < ice
        assert found.lowest[found.lowest["cause"] == cause]["temperature"].min() > -40.0


def test_the_shortest_of_all_hours_is_the_one_that_is_told(house_maker: Any, chicago: Any, found: Any) -> None:
    """One start run alone reaches freezing when the table says, and no later start of the spell sooner."""
    told = row(found, FIRE, "air at freezing")
    assert told["weather"] == SPELL
    season = found.season
    from heatloss.season import simulate
    from heatloss.weather.spell import design_spell

    spelled = simulate(season.house, design_spell(chicago, found.design.temperature, days=6))
    index = spelled.drivers.index
    at = [i for i, hour in enumerate(index) if f"{hour:%m-%d %H:%M}" == told["start"]]
    network = spelled.network.limited({"pellets": 0.0})
    run = courses(network, starts=at, temperature=spelled.run.lane_temperature[at],
                  humidity=spelled.run.lane_humidity[at], hours=4)  # fmt: skip
    assert crossing(run.hours, run.of("air"), 0.0)[0] == pytest.approx(told["hours"], rel=1e-6)


def test_a_stove_that_needs_no_current_goes_on(house_maker: Any, chicago: Any) -> None:
    both = study(house_maker(heater=[PELLET, {**STOVE, "order": "backup"}]), chicago)
    for cause in (FIRE, FUEL, POWER):
        assert np.isinf(row(both, cause, "air at freezing")["hours"])  # the wood stove holds the house in each
    alone = study(house_maker(heater=[STOVE]), chicago)
    assert np.isinf(row(alone, POWER, "air at freezing")["hours"])
    assert row(alone, FIRE, "air at freezing")["hours"] < 2.0


def test_a_backup_of_the_same_fuel_fails_with_the_fuel(house_maker: Any, chicago: Any) -> None:
    twins = study(house_maker(heater=[PELLET, {**PELLET, "name": "second", "order": "backup"}]), chicago)
    assert np.isinf(row(twins, FIRE, "air at freezing")["hours"])
    assert row(twins, FUEL, "air at freezing")["hours"] < 2.0


def test_alarm_or_the_word_that_none_serves(house_maker: Any, chicago: Any, found: Any) -> None:
    assert found.alarm[FIRE] is None  # glass and little mass: nothing leaves an hour
    quick = study(found.season.house, chicago, leave=0.05)
    needed = quick.alarm[FIRE]
    assert needed is not None
    assert -0.5 + 2.0 < needed < 10.0 - 1.0  # above the crop's own limit at the leaf, below the night's setpoint


def test_a_closed_curtain_and_tight_doors_help(house_maker: Any, chicago: Any) -> None:
    closed = [{"material": "energy curtain", "schedule": "always"}]
    table = study(house_maker(heater=[PELLET], curtain=closed), chicago).variants
    hours = table[table["cause"] == POWER].set_index("variant")["hours"]
    assert hours["as it is"] > hours["without the curtain"]
    assert hours["doors kept shut, joints taped"] > hours["as it is"]


def test_heat_that_keeps_frost_off_is_less_than_the_heat_of_the_setpoint(found: Any) -> None:
    assert 0.0 < found.frost_w <= found.frost_peak_w
    assert found.frost_w < found.season.conductances.sum() * (10.0 - found.design.temperature)
    assert found.running == {"pellets": 100.0, "air pump of tank": 60.0}
    assert found.carry_wh() == pytest.approx(160.0 * 24.0 / 0.72)


def test_a_power_cut_stops_fans_lamps_and_pipes(house_maker: Any, chicago: Any) -> None:
    pipe = {"name": "pipes", "length": "10 m", "diameter": "0.1 m", "count": 4, "depth": "1 m", "spacing": "0.6 m",
            "flow": "0.2 m3/s", "fan": "90 W"}  # fmt: skip
    lit = house_maker(heater=[PELLET], lamps=[{"name": "lamps", "power": "3 kW"}], buried_pipe=[pipe],
                      air={"ach": 1.0, "fan_power": "50 W"})  # fmt: skip
    found = study(lit, chicago)
    air = found.table[found.table["limit"] == "air at freezing"].set_index("cause")["hours"]
    assert air[POWER] < air[FIRE]
    assert found.running == {"pellets": 100.0, "fans that stir the air": 50.0, "fan of pipes": 90.0}


def test_the_frame(chicago: Any) -> None:
    table = outage(sample_house(), chicago)
    assert list(table.columns) == ["cause", "limit", "hours", "weather", "start"]
    assert table["limit"].iloc[0] == "oxygen in perch tank"


@pytest.mark.parametrize(
    ("given", "said"),
    [({"leave": 0.0}, r"^leave must be above 0 and at most 72 \[h\], got 0\."), ({"carry": 100.0}, "^carry must be")],
)
def test_refusals(house: Any, chicago: Any, given: dict[str, float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        study(house, chicago, **given)
    with pytest.raises(InputError, match=r"^heater must be given to fail, got none"):
        study(house.changed(heater=[]), chicago)
