"""What moves the fuel: each lever is the simulated house, the right way round."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from heatloss import InputError, UnknownNameError, simulate
from heatloss.decisions.sensitivity import LEVERS, map_of_two, one_at_a_time


def test_the_longest_swing_first_and_the_right_way_round(house: Any, chicago: Any) -> None:
    found = one_at_a_time(house, chicago)
    assert set(found.index) == set(LEVERS) - {"latent"}  # moisture is balanced, not a share of the sun
    assert found["swing"].is_monotonic_decreasing
    for name in ("leakage", "u", "setpoint", "night", "inside_film"):
        assert found.loc[name, "fuel_low"] < found.loc[name, "fuel"] < found.loc[name, "fuel_high"], name
    for name in ("light", "curtain", "edge", "water"):
        assert found.loc[name, "fuel_low"] > found.loc[name, "fuel_high"], name


def test_the_share_that_goes_into_vapour_where_it_counts(house: Any, chicago: Any) -> None:
    shared = house.changed(method={"latent": "share"})
    row = one_at_a_time(shared, chicago, {"latent": LEVERS["latent"]}).loc["latent"]
    assert row["fuel_low"] < row["fuel"] < row["fuel_high"]


def test_a_row_is_the_season_of_the_moved_house(house: Any, chicago: Any) -> None:
    found = one_at_a_time(house, chicago, {"curtain": LEVERS["curtain"]}).loc["curtain"]
    hung = simulate(LEVERS["curtain"].house(house, 0.16), chicago, steps_per_hour=1)
    assert found["fuel_high"] == pytest.approx(hung.fuel.amount, rel=1e-9)
    assert found["fuel_low"] == found["fuel"]  # none to none


def test_what_does_not_fit_is_left_out(house: Any, chicago: Any) -> None:
    def refused(_: Any, value: float) -> Any:
        raise InputError(f"it must fit, got {value}.")

    lever = replace(LEVERS["edge"], house=refused)
    assert list(one_at_a_time(house, chicago, {"lever": lever, "edge": LEVERS["edge"]}).index) == ["edge"]


def test_a_map_moves_both(house: Any, chicago: Any) -> None:
    fuel = map_of_two(house, chicago, "curtain", [0.0, 0.15], "leakage", [0.5, 1.0])
    assert (fuel.index.name, fuel.columns.name) == ("curtain", "leakage")
    assert fuel.loc[0.0, 1.0] == pytest.approx(simulate(house, chicago, steps_per_hour=1).fuel.amount, rel=1e-9)
    assert np.all(np.diff(fuel.to_numpy(), axis=0) < 0.0)
    assert np.all(np.diff(fuel.to_numpy(), axis=1) > 0.0)


def test_refusals(house: Any, house_maker: Any, chicago: Any) -> None:
    with pytest.raises(UnknownNameError, match="leakag"):
        map_of_two(house, chicago, "leakag", [1.0], "u", [1.0])
    with pytest.raises(InputError, match=r"^inputs must be two"):
        map_of_two(house, chicago, "u", [1.0], "u", [1.0])
    with pytest.raises(InputError, match=r"^heater must be given"):
        one_at_a_time(house_maker(heater=[]), chicago)
