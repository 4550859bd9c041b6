"""Tanks: their own heat, foam, lids and rafts, the floor under them, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import box, made, quick, weather, with_hours

from heatloss.balance.tanks import BOTTOM_FILM
from heatloss.errors import InputError
from heatloss.physics.water import tank_areas

TANK = {"name": "t", "volume": "2 m3"}


def test_tank_stands_on_the_floor() -> None:
    top, _ = tank_areas(2.0)
    for foam in (0.0, 1.5):
        net = made(box(water=[{**TANK, "insulation": (foam, "m2 K/W")}]))[2].network
        link = next(li for li in net._links if {li.a, li.b} == {"tank t", "floor"})
        assert link.laws[0] == pytest.approx(top / (BOTTOM_FILM + foam), rel=1e-9)


def test_foam_is_on_side_and_lid_never_on_open_water() -> None:
    top, side = tank_areas(2.0)
    foam = {**TANK, "insulation": "RSI-2"}
    net = made(box(water=[foam]))[2].network
    assert {"tank t", "tank t side"} <= set(net._nodes)
    assert "tank t lid" not in net._nodes
    wall = next(li for li in net._links if {li.a, li.b} == {"tank t", "tank t side"})
    assert wall.laws[0] == pytest.approx(side / 2.0, rel=1e-9)
    lidded = made(box(water=[{**foam, "lid": True}]))[2].network
    cover = next(li for li in lidded._links if {li.a, li.b} == {"tank t", "tank t lid"})
    assert cover.laws[0] == pytest.approx(top / 2.0, rel=1e-9)


def evaporated(**keys) -> float:
    """kg of a year from a tank held at 20 degC."""
    tank = {**TANK, "setpoint": "20 degC", "heater": "rods", "in_sun": False, **keys}
    heaters = [{"name": "stove", "type": "pellet stove"}, {"name": "rods", "type": "electric heater"}]
    run = quick(box(water=[tank], heater=heaters)).run
    faces = run.network._moisture.faces
    own = [i for i, face in enumerate(faces) if face.node == "tank t"]
    return float(run.lane_evaporated[:, own].sum() * 3600.0)


def test_raft_and_lid_keep_water_in() -> None:
    open_, raft, lid = evaporated(), evaporated(raft=0.75), evaporated(lid=True)
    assert open_ > 500.0
    assert lid == 0.0
    # what a raft covers gives none; the air above is the drier for it, so the rest gives a little more
    assert 0.25 <= raft / open_ < 0.35


def test_open_water_evaporates_as_its_film_says() -> None:
    """15 degC over air of 10 degC and 80 per cent, 3 W/(m2 K): 0.0537 kg/m2 an hour; calculated, in test_water.py. Here
    the film is the tank's own.
    """
    tank = {**TANK, "setpoint": "20 degC", "heater": "rods", "in_sun": False}
    heaters = [{"name": "stove", "type": "pellet stove"}, {"name": "rods", "type": "electric heater"}]
    done = quick(box(water=[tank], heater=heaters, method={"sun": "none"}), iterations=20)
    run = done.run
    (face,) = [i for i, f in enumerate(run.network._moisture.faces) if f.node == "tank t"]
    top, side = tank_areas(2.0)
    after = run.temperature.iloc[1:]
    drop = (after["tank t"] - after["air"]).to_numpy()
    film = run.flow("tank t", "air") / drop / (top + side)
    from heatloss.physics.moist_air import humidity_ratio

    full = humidity_ratio(after["tank t"].to_numpy(), 100.0, done.drivers.pressure)
    water = top * film / (1006.0 * 0.91) * (full - run.humidity["air"].to_numpy()[1:])
    clear = drop > 3.0
    assert run.lane_evaporated[clear, face] == pytest.approx(water[clear], rel=2e-3)


def test_foam_and_lid_save_the_tank_s_own_heat() -> None:
    heaters = [{"name": "stove", "type": "pellet stove"}, {"name": "rods", "type": "electric heater"}]
    tank = {**TANK, "setpoint": "24 degC", "heater": "rods"}
    heats = [
        quick(box(water=[{**tank, **keys}], heater=heaters)).fuels[1].heat_kwh
        for keys in ({}, {"lid": True}, {"lid": True, "insulation": "RSI-2"})
    ]
    assert heats[0] > 1.2 * heats[1] > 1.2 * heats[2]


def test_drum_cools_as_water_over_its_conductance() -> None:
    """A night without heat: the course of an exponential whose time is C over what the run shows, within 3 per cent."""
    cold = with_hours(weather(), temp_air=np.full(8760, 0.0))
    house = box(water=[{**TANK, "lid": True, "in_sun": False}], setpoint=[], heater=[], method={"sun": "none"})
    net = made(house, cold)[2].network.started({"tank t": 25.0})
    run = net.run(24, substeps=4, first=0)
    tank, other = run.temperature["tank t"].to_numpy(), run.temperature["air"].to_numpy()
    lost = -np.diff(tank) * 2.0 * 4.186e6 / 3600.0
    flows = run.flow("tank t", "air") + run.flow("tank t", "radiant star") + run.flow("tank t", "floor")
    assert lost == pytest.approx(flows, rel=1e-6)
    assert (np.diff(tank) < 0.0).all()
    assert (tank > other).all()


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"raft": 1.4}, "raft must be"),
        ({"insulation": "-1 m2 K/W"}, "insulation must be"),
        ({"volume": "0 m3"}, "volume must be"),
        ({"setpoint": "20 degC"}, "heater must be given where setpoint is given"),
        ({"heater": "stove"}, "setpoint must be given where heater is given"),
        ({"lid": "yes"}, "lid must be"),
    ],
)
def test_tank_keys_that_cannot_be(keys, words) -> None:
    with pytest.raises(InputError) as error:
        box(water=[{**TANK, **keys}])
    assert words in str(error.value)


def test_a_lid_over_no_tank_is_refused() -> None:
    with pytest.raises(InputError, match=r"volume must be given") as error:
        box(water=[{"name": "t", "lid": True}])
    assert str(error.value).count("\n") == 1  # how many faults; the fault
