"""The benchmarks run, and what they measure the engine by is right; nothing here is timed."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import in_c
import numpy as np
import pytest
from careful_numpy import CarefulNumpy
from mutations import CHANGES, doors, mutant

from heatloss import read_weather, sample_house
from heatloss.balance.assemble import AIR, VENTS, assemble
from heatloss.balance.drivers import prepare
from heatloss.balance.lanes import Lanes
from heatloss.balance.plan import compile_networks
from heatloss.geometry import build

HERE = Path(__file__).parent


@pytest.mark.parametrize("first", [0, 2500])
def test_careful_numpy_is_the_same_season(first: int) -> None:
    house, hours = sample_house().changed(method={"latent": "none"}), 60  # the reference knows no vapor
    geometry = build(house)
    network = assemble(house, geometry, prepare(house, geometry, read_weather("chicago"))).network
    run = network.run(hours, substeps=4, first=first)
    reference = CarefulNumpy.of(network, hours, first=first).march(hours)
    assert np.abs(run.lane_temperature - reference).max() < 1e-9
    at_work = "pellet boiler" if first == 0 else VENTS
    assert run.power[at_work].abs().sum() > 0.0, "the hours must let this control work"
    assert np.ptp(run.temperature[AIR]) > 1.0


def test_the_table_of_speeds_is_printed() -> None:
    done = subprocess.run([sys.executable, HERE / "speed.py", "--quick"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) == 30
    assert "nan" not in done.stdout


@pytest.mark.parametrize("name", doors())
def test_a_mutant_is_drawn_from_door_seed_and_number(name: str) -> None:
    door = doors()[name]
    first = [mutant(door, 1, number) for number in range(4)]
    assert first == [mutant(doors()[name], 1, number) for number in range(4)]
    assert len(set(first)) > 1
    assert first != [mutant(door, 2, number) for number in range(4)]


@pytest.mark.parametrize("change", CHANGES)
def test_every_change_changes_something(change) -> None:
    text = doors()["house"].sound()[0]
    assert any(change(text, random.Random(number)) != text for number in range(5))


def test_a_few_mutants_at_one_door() -> None:
    words = ["--door", "quantity", "--count", "20", "--workers", "1"]
    done = subprocess.run([sys.executable, HERE / "mutations.py", *words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "20 mutants" in done.stdout
    assert " 0 findings" in done.stdout


@pytest.mark.skipif(in_c.compiler() is None, reason="no C compiler: install gcc to compare")
def test_the_same_loops_in_c_give_the_same_temperatures() -> None:
    house = sample_house().changed(method={"latent": "none"})
    geometry = build(house)
    network = assemble(house, geometry, prepare(house, geometry, read_weather("chicago"))).network
    plan = compile_networks([network.copy(_actuators=[])] * 3, 8760, None)
    block = Lanes(plan, step=3600.0, substeps=4, iterations=2).advance(0, 100)
    assert np.array_equal(in_c.marcher(plan, 100, 4, 2)(), block.temperature)
