"""Odd stores and sources of a house: each beside its closed form, and the ledger with all of them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from heatloss import House, InputError, catalogue, read_weather, sample_house, simulate
from heatloss.balance import stores
from heatloss.season import Season

LAMPS = {"name": "bench", "power": "1000 W", "start": "22:30", "end": "02:15", "from": "11-01", "to": "02-28"}
PEOPLE = {"name": "crew", "count": 2, "start": "08:00", "end": "12:00"}
HEAP = {"name": "heap", "volume": "20 m3", "built": "11-01"}
STOVE = {
    "name": "bell", "mass": "2000 kg", "area": "8 m2", "load": "15 kg", "fuel": "pellets",
    "fire_at": "23:00", "burns": "2.5 h", "colder_than": "0 degC",
}  # fmt: skip
PIPE = {
    "name": "pipes", "length": "12 m", "diameter": "10 cm", "count": 8, "depth": "1 m", "spacing": "60 cm",
    "flow": "0.4 m3/s", "fan": "150 W", "sun_above": "200 W/m2", "cold_below": "2 degC",
}  # fmt: skip
ALL = {"lamps": [LAMPS], "people": [PEOPLE], "compost": [HEAP], "mass_stove": [STOVE], "buried_pipe": [PIPE]}


def with_(**tables: object) -> House:
    """The built-in house with more tables, its first tank with fresh water."""
    house = sample_house()
    water = [dict(tank) for tank in house.tree().get("water", [])]
    if "make_up" in tables and water:
        water[0] |= {"make_up": tables.pop("make_up"), "make_up_temperature": "8 degC"}
        tables["water"] = water
    return house.changed(**tables)


@pytest.fixture(scope="module")
def full() -> Season:
    """A year with everything on."""
    return simulate(with_(make_up="0.1 m3/day", **ALL), read_weather("chicago"), steps_per_hour=1)


def test_ledger_closes_with_everything(full: Season) -> None:
    assert full.closure <= 1e-9
    assert abs(full.ledger.sum()) <= 1e-6 * full.ledger.abs().sum()
    assert {"lamps", "people", "compost", "mass stove", "fans", "make-up water"} <= set(full.paths)


def test_lamps_by_the_clock(full: Season) -> None:
    # 120 days of 3.75 h at 1 kW
    assert full.ledger["lamps"] == pytest.approx(450.0, rel=1e-9)


def test_people_give_what_is_not_vapour(full: Season) -> None:
    # 2 x 100 W x 0.6 for 4 h on 365 days
    assert full.ledger["people"] == pytest.approx(2 * 0.1 * 0.6 * 4 * 365, rel=1e-9)


def test_compost_over_a_year_is_the_integral_of_its_decay(full: Season) -> None:
    whole = 20.0 * 190.0 * 0.5 * 90.0 * 24.0 * (1.0 - math.exp(-365.0 / 90.0)) / 1000.0
    assert full.ledger["compost"] == pytest.approx(whole, rel=1e-4)  # mean of the hour taken at its middle


def test_fuel_of_the_mass_stove_is_counted(full: Season) -> None:
    fuel = catalogue.row("fuels", "pellets", None)
    fires = float(stores.firing(full.house.mass_stove[0], full.drivers).sum())
    assert fires == pytest.approx(round(fires), abs=1e-9)  # every firing is whole, though it burns past midnight
    days = full.drivers.temp_air.reshape(-1, 24).mean(axis=1)
    assert round(fires) == int((days < 0.0).sum())
    burned = full.fuels[-1]
    assert burned.amount == pytest.approx(fires * 15.0 / fuel["mass_per_unit"], rel=1e-9)
    unit = stores.stove_unit(full.house.mass_stove[0], full.house)
    assert unit.efficiency is not None
    heat = fires * 15.0 * fuel[unit.basis] * unit.efficiency / 3.6e6
    assert full.ledger["mass stove"] == pytest.approx(heat, rel=1e-9)


def test_a_firing_comes_out_over_days(full: Season) -> None:
    """Release of core and shell to the house from one start: what went in comes out."""
    from heatloss.balance.network import Network

    net = Network()
    for node in ("core", "shell"):
        net.node(node, capacity=0.5 * 2000 * 840.0, start=20.0)
    net.boundary("room", 20.0)
    net.link("core", "shell", 2 * 0.8 * 8.0 / (2000 / (1900 * 8.0)))
    out = net.link("shell", "room", 60.0)
    net.source("core", np.r_[np.full(2, 10000.0), np.zeros(238)])
    run = net.run(240)
    assert run.lane_flow[:, out].sum() == pytest.approx(20000.0, rel=1e-4)
    assert run.lane_flow[:6, out].sum() < 0.5 * 20000.0


def test_buried_pipes_move_heat_by_ntu(full: Season) -> None:
    from heatloss.physics.stores import exchange_conductance, pipe_film

    pipe = full.house.buried_pipe[0]
    on = stores.pipe_on(pipe, full.drivers)
    assert 0.0 < on.mean() < 1.0
    assert full.ledger["fans"] == pytest.approx(0.15 * on.sum(), rel=1e-9)
    mass = full.assembly.air_density * 0.4
    film = pipe_film(mass / 8, 0.1) * math.pi * 0.1 * 96.0
    assert exchange_conductance(mass * 1006.0, film) == pytest.approx(
        mass * 1006.0 * (1.0 - math.exp(-film / (mass * 1006.0))), rel=1e-12
    )
    soil = full.run.temperature["soil of pipes 1"]
    assert soil.std() > 0.5


def test_make_up_water_is_a_signed_exchange(full: Season) -> None:
    tank = full.assembly.tanks[0]
    mean = full.run.temperature[tank].to_numpy()[1:].mean() - 8.0
    expected = -0.1 * 4.186e6 / 86400.0 * mean * len(full.drivers.index) / 1000.0
    assert full.ledger["make-up water"] == pytest.approx(expected, rel=1e-3)


def test_unvented_burner_gives_the_water_of_its_fuel() -> None:
    heater = {"name": "salamander", "type": "propane unit heater", "unvented": True}
    tanks = [t | {"heater": "salamander"} if "heater" in t else t for t in sample_house().tree()["water"]]
    house = with_(heater=[heater], water=tanks)
    season = simulate(house, read_weather("chicago"), steps_per_hour=1)
    plain = simulate(house.changed(heater=[heater | {"unvented": False}]), read_weather("chicago"), steps_per_hour=1)
    assert season.closure <= 1e-9
    assert any(line.startswith("STOP: salamander") for line in season.assumptions)
    assert season.ledger["condensation"] > plain.ledger["condensation"]


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"buried_pipe": [PIPE | {"spacing": "5 cm"}]}, "spacing must be wider than the pipe's diameter"),
        ({"lamps": [{k: v for k, v in LAMPS.items() if k != "end"}]}, "end must be given where start is given"),
        ({"people": [PEOPLE | {"vapor_share": 1.5}]}, "vapor_share must be a share from 0 to 1"),
        ({"compost": [HEAP | {"built": "02-30"}]}, "built must be"),
        ({"mass_stove": [STOVE | {"fuel": "coke"}]}, "fuel"),
        ({"lamps": [LAMPS, LAMPS]}, "must be used once"),
    ],
)
def test_faults_are_one_sentence(tables: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said.replace("(", r"\(")):
        with_(**tables)


def test_the_report_says_how_much_compost_it_takes(full: Season) -> None:
    yards = float(full.design.max()) / (190.0 * 0.5) / 0.764554857984
    assert any(line.startswith(f"{yards:,.0f} cubic yards") for line in full.assumptions)


def test_vents_in_stages_fans_and_a_day_that_waits_for_the_sun() -> None:
    tree = sample_house().tree()
    air = tree["air"] | {"vent_steps": 3, "vent_step": "2 K", "fan_power": "60 W", "fan_film": "6 W/(m2 K)"}
    setpoint = {"day": "16 degC", "night": "10 degC", "vent": "24 degC", "sun_above": "100 W/m2"}
    season = simulate(with_(air=air, setpoint=[setpoint]), read_weather("chicago"), steps_per_hour=1)
    assert season.closure <= 1e-9
    assert season.ledger["fans"] == pytest.approx(0.06 * len(season.drivers.index), rel=1e-9)
    given = season.run.power[["vents", "vents 2", "vents 3"]].to_numpy()
    assert (given[:, 2] != 0.0).any()
    assert not ((given[:, 1] != 0.0) & (given[:, 0] == 0.0)).any()
    assert season.ledger["vent"] == pytest.approx(given.sum() / 1000.0)
    warm = season.hourly["setpoint"].to_numpy() > 12.0
    assert np.array_equal(warm, (season.drivers.ghi > 100.0) & season.drivers.daylight)
