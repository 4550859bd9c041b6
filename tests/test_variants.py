"""Variants of one house are the houses that they stand for."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from heatloss import InputError, Season, UnknownNameError, read_weather, sample_house, simulate
from heatloss.balance.assemble import assemble
from heatloss.batch import LANES
from heatloss.variants import INPUTS, changed, neutral, vary, warmer

QUICK = {"steps_per_hour": 1, "iterations": 1}


@pytest.fixture(scope="module")
def season() -> Season:
    return simulate(sample_house(), read_weather("chicago"))


def assembled(season: Season, inputs: dict[str, float]) -> float:
    """Heat of the changed house, assembled from the start [kWh]."""
    outdoor, setpoint = inputs.get("outdoor", 0.0), inputs.get("setpoint", 0.0)
    months = season.assembly.inside_months
    assert months is not None
    house = changed(season.house, inputs)
    made = assemble(house, season.geometry, warmer(season.drivers, outdoor), months + setpoint)
    warm = made.network.run(504, first=8256, iterations=1)
    power = made.network.continued(warm).run(8760, iterations=1).power
    return float(power[[n for names in made.heaters.values() for n in names]].to_numpy().sum()) / 1000.0


ONE_BY_ONE = [
    ("u", 0.85), ("u", 1.2), ("leakage", 0.5), ("leakage", 1.7), ("inside_film", 2.5), ("latent", 0.1),
    ("light", 1.07), ("setpoint", -1.0), ("outdoor", 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value"), ONE_BY_ONE)
def test_a_value_that_was_learned_is_the_assembled_house(season: Season, name: str, value: float) -> None:
    found = vary(season, {name: value}, **QUICK).frame
    assert found.loc[0, "heat_kwh"] == pytest.approx(assembled(season, {name: value}), rel=1e-9)


def test_values_between_and_several_at_once(season: Season) -> None:
    rng = np.random.default_rng(3)
    n = 40
    inputs = {
        "u": rng.normal(1.0, 0.1, n), "leakage": np.exp(rng.normal(0.0, 0.33, n)), "light": rng.normal(1.0, 0.07, n),
        "inside_film": rng.uniform(2.5, 5.0, n), "latent": rng.uniform(0.1, 0.4, n),
        "setpoint": rng.normal(0.0, 1.0, n), "outdoor": rng.normal(0.0, 1.2, n),
    }  # fmt: skip
    found = vary(season, inputs, **QUICK).frame["heat_kwh"]
    for i in range(3):
        whole = assembled(season, {name: float(x[i]) for name, x in inputs.items()})
        assert found[i] == pytest.approx(whole, rel=4e-3)  # wide draws: what two inputs do together is not learned


def test_the_house_as_it_is_stands_among_its_variants(season: Season) -> None:
    own = {name: neutral(season.house, name) for name in INPUTS}
    row = vary(season, own).frame.loc[0]
    assert row["heat_kwh"] == pytest.approx(season.heat_kwh, rel=1e-12)
    assert row["peak_w"] == pytest.approx(season.peak_w, rel=1e-12)
    assert row["fuel"] == pytest.approx(season.fuel.amount, rel=1e-12)
    assert row["light_darkest"] == pytest.approx(season.light.min(), rel=1e-12)


def test_one_value_serves_all_and_threads_change_no_bit(season: Season) -> None:
    inputs = {"leakage": np.linspace(0.5, 2.0, LANES + 5), "setpoint": 0.5}
    one, two = (vary(season, inputs, threads=n, daily=True, **QUICK) for n in (1, 2))
    pd.testing.assert_frame_equal(one.frame, two.frame, check_exact=True)
    assert len(one.frame) == LANES + 5
    assert one.daily is not None
    assert one.daily.sum(axis=1).to_numpy() == pytest.approx(one.frame["heat_kwh"].to_numpy(), rel=1e-9)
    assert (np.diff(one.frame["heat_kwh"]) > 0.0).all()


@pytest.mark.parametrize(
    ("inputs", "message"),
    [
        ({"u": [1.0, 1.1], "light": [1.0, 1.0, 1.0]}, "inputs must be of one length, got 2, 3"),
        ({"u": 0.0}, r"u must be finite and >= 0.05 \[1\], got 0"),
        ({"leakage": [1.0, -0.1]}, r"leakage must be finite and >= 0 \[1\], got -0.1"),
        ({"outdoor": float("nan")}, "outdoor must be finite"),
        ({"light": "bright"}, "light must be a number or one for each variant, got 'bright'"),
    ],
)
def test_bad_input_is_said(season: Season, inputs: dict, message: str) -> None:
    with pytest.raises(InputError, match=message):
        vary(season, inputs)


def test_an_unknown_input_lists_the_nearest(season: Season) -> None:
    with pytest.raises(UnknownNameError, match="setpoint"):
        vary(season, {"setpont": 1.0})
