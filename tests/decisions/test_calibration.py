"""A calibration finds what the engine was told and a log can carry; a small version of tests/benchmarks/twins.py."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log, by_season, with_amounts, written

from heatloss import InputError, UnknownNameError, calibrate, read_house, simulate
from heatloss.decisions.calibrated import altered, calibrated_house, most_light, write_calibrated
from heatloss.decisions.calibration import PRIORS, Match
from heatloss.decisions.matching import weather_for

GLAZING = "polycarbonate twin-wall 8 mm"
TRUTH = {"u": 1.10, "leakage": 1.35}


@pytest.fixture(scope="module")
def house(house_maker):
    """Twin-wall: of single glass the films decide, and its U-value says nothing."""
    return house_maker(cover={"glazing": GLAZING}, method={"latent": "share"})


@pytest.fixture(scope="module")
def record(chicago):
    return weather_for(bare_log(26), chicago, typical=True)[0]


@pytest.fixture(scope="module")
def true(house, record):
    return simulate(altered(house, TRUTH), record)


@pytest.fixture(scope="module")
def found(house, record, true):
    return calibrate(house, record, by_season(bare_log(26), true, noise=0.05), tuple(TRUTH))


def test_the_truth_lies_in_the_ranges(found):
    for name, value in TRUTH.items():
        assert found.inputs.loc[name, "low"] <= value <= found.inputs.loc[name, "high"]
        assert found.inputs.loc[name, "low"] < found.inputs.loc[name, "value"] < found.inputs.loc[name, "high"]
    assert found.season.fuels[0].amount == pytest.approx(simulate(found.house, found.season.weather).fuels[0].amount)


def test_the_fit_is_better_than_the_house_file_also_on_weeks_it_did_not_know(found):
    assert found.after.cv_rmse < 0.07 < found.before.cv_rmse
    assert abs(found.after.nmbe) < 0.02
    assert found.held_out.cv_rmse < found.before.cv_rmse
    assert found.after == Match.of(found.intervals["measured"].to_numpy(), found.intervals["after"].to_numpy())
    assert found.after.parameters == 1
    assert found.noise == pytest.approx(0.05, abs=0.03)
    residual = found.intervals["measured"] - found.intervals["after"]
    assert found.intervals["residual"].to_numpy() == pytest.approx(residual.to_numpy())


def test_without_noise_the_truth_comes_back(house, record, true):
    found = calibrate(house, record, by_season(bare_log(26), true), tuple(TRUTH))
    assert found.season.fuels[0].amount == pytest.approx(true.fuels[0].amount, rel=5e-3)
    assert found.inputs.loc["u", "value"] == pytest.approx(1.10, rel=0.04)


def test_what_cannot_be_told_apart_is_said(found):
    assert found.correlation.loc["u", "u"] == pytest.approx(1.0)
    assert found.correlation.loc["u", "leakage"] < -0.7
    assert found.alike[0][:2] in {("leakage", "u"), ("u", "leakage")}


def test_the_calibrated_house_reads_back_and_burns_the_same(found, tmp_path):
    old = tmp_path / "house.toml"
    old.write_text("title = 'old'", encoding="utf-8")
    files = write_calibrated(found.house, found.rows, old, "A line.")
    assert [path.name for path in files] == ["house_calibrated.toml", "house_calibrated_rows.toml"]
    assert old.read_text(encoding="utf-8") == "title = 'old'"
    assert files[0].read_text(encoding="utf-8").startswith("# A line.\n")
    read = read_house(files[0])
    assert read.cover.glazing == f"{GLAZING}, fitted"
    amount = simulate(read, found.season.weather).fuels[0].amount
    assert amount == pytest.approx(found.season.fuels[0].amount, rel=1e-9)
    with pytest.raises(InputError, match="must be a new file"):
        write_calibrated(found.house, found.rows, old)


@pytest.mark.parametrize(
    "values",
    [
        {"u": 1.2},
        {"leakage": 0.7},
        {"inside_film": 3.1},
        {"latent": 0.18},
        {"light": 0.9},
        {"light": 1.15},
        {"efficiency": 0.9},
        {"u": 0.9, "leakage": 1.5, "inside_film": 5.0, "latent": 0.3, "light": 1.1, "efficiency": 1.1},
    ],
    ids=str,
)
def test_a_house_file_says_what_was_fitted(house, record, values):
    made, _ = calibrated_house(house, values)
    one, other = simulate(made, record).fuels[0], simulate(altered(house, values), record).fuels[0]
    assert one.amount == pytest.approx(other.amount, rel=1e-9)
    assert one.amount != pytest.approx(simulate(house, record).fuels[0].amount, rel=1e-4)


def test_a_class_of_leakage_gets_a_row_of_its_own(house_maker, record, tmp_path):
    house = house_maker(air={"class": "single film"})
    made, rows = calibrated_house(house, {"leakage": 1.5})
    assert made.air.class_ == "single film, fitted"
    write_calibrated(made, rows, tmp_path / "h.toml")
    read = read_house(tmp_path / "h_calibrated.toml")
    same = simulate(altered(house, {"leakage": 1.5}), record).heat_kwh
    assert simulate(read, record).heat_kwh == pytest.approx(same, rel=1e-9)


def test_rows_of_ones_own_stay_beside_the_fitted_ones(tmp_path, house):
    (tmp_path / "rows.toml").write_text(
        '[glazing."my panel"]\nlike = "glass single 3 mm"\nu_value = "5 W/(m2 K)"\nsource = "mine"\nmark = "read"\n',
        encoding="utf-8",
    )
    text = house.to_toml().replace(GLAZING, "my panel")
    (tmp_path / "h.toml").write_text(f'catalogue = "rows.toml"\n{text}', encoding="utf-8")
    own = read_house(tmp_path / "h.toml")
    made, rows = calibrated_house(own, {"u": 1.1})
    write_calibrated(made, rows, tmp_path / "h.toml")
    read = read_house(tmp_path / "h_calibrated.toml")
    assert read.own["glazing"]["my panel, fitted"]["u_value"] == pytest.approx(5.5)
    assert read.own["glazing"]["my panel"]["u_value"] == pytest.approx(5.0)


def test_efficiency_scales_the_fuel(house, record, true):
    log = by_season(bare_log(26), true)
    plain = simulate(house, record)
    burned = with_amounts(log, by_season(log, plain).intervals["amount"].to_numpy() / 0.93)
    found = calibrate(house, record, burned, ["efficiency"])
    assert found.inputs.loc["efficiency", "value"] == pytest.approx(0.93, rel=0.01)
    assert found.house.heater[0].efficiency == pytest.approx(0.8 * found.inputs.loc["efficiency", "value"])


def test_next_winter_carries_the_range(found, chicago, true):
    ahead = found.next_winter(chicago)
    truth = simulate(altered(found.estimate.house, TRUTH), chicago).fuels[0].amount
    assert ahead.low < truth < ahead.high
    assert ahead.unit == "gal"
    assert ahead.amount == pytest.approx(truth, rel=0.04)


def test_a_measure_is_seen_by_the_calibrated_house(house, record, found, true):
    log = by_season(bare_log(26), true, noise=0.03, seed=5)
    on = pd.Timestamp("2016-01-24")
    before, after = log.between(end=on), log.between(start=on)
    fitted = calibrate(house, record, before, ["u"])
    nothing = fitted.saving(after, record)
    assert nothing.low <= 0.0 <= nothing.high
    less = fitted.saving(with_amounts(after, 0.75 * after.intervals["amount"].to_numpy()), record)
    assert less.proven
    assert less.saved / less.expected == pytest.approx(0.25, abs=0.06)


def test_more_inputs_than_intervals_carry_are_refused(house, record, true):
    log = by_season(bare_log(26), true)
    few = log.between(end=pd.Timestamp("2015-11-15"))
    with pytest.raises(InputError, match=r"inputs must be from 1 to 1, 4 intervals .*got 2 for 6 intervals"):
        calibrate(house, record, few, ["u", "leakage"])
    with pytest.raises(InputError, match="at least 4 intervals"):
        calibrate(house, record, log.between(end=pd.Timestamp("2015-10-25")))


def test_more_inputs_than_the_log_can_tell_apart_are_refused(house, record, true):
    log = by_season(bare_log(26), true, noise=0.15)
    with pytest.raises(InputError, match=r"inputs must be no more than the log carries, \d, got 4 .*Leave out"):
        calibrate(house, record, log, ["u", "leakage", "inside_film", "efficiency"])
    fewer = calibrate(house, record, log)
    assert len(fewer.inputs) == fewer.carried


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"inputs": ["uu"]}, "input must be a known name"),
        ({"inputs": []}, "inputs must be from 1 to 4"),
        ({"heater": "pump"}, "heater must be a known name"),
    ],
)
def test_names_that_are_none(house, record, true, change, said):
    with pytest.raises((InputError, UnknownNameError), match=said):
        calibrate(house, record, by_season(bare_log(26), true), **change)


def test_what_a_house_does_not_have_is_refused(house_maker, house, record, true):
    log = by_season(bare_log(26), true)
    dry = house_maker(method={"latent": "none"}, cover={"glazing": GLAZING})
    with pytest.raises(InputError, match=r"latent must be left out where method\.latent is 'none'"):
        calibrate(dry, record, log, ["latent"])
    with pytest.raises(InputError, match="heater must be given"):
        calibrate(house_maker(heater=[]), record, log)
    with pytest.raises(InputError, match="must hold some fuel"):
        calibrate(house, record, with_amounts(log, np.zeros(26)))
    with pytest.raises(InputError, match="light must be at most"):
        calibrated_house(house, {"light": 1.01 * most_light(house)})


def test_a_file_does_for_the_log(house, chicago, record, true, tmp_path):
    path = written(by_season(bare_log(26), true, noise=0.05), tmp_path / "log.csv", "date,gallons")
    text = path.read_text(encoding="utf-8")
    found = calibrate(house, chicago, path, ["u"], typical=True)
    assert path.read_text(encoding="utf-8") == text
    assert "typical year" in found.notes[0]
    assert found.log.name == "log.csv"


def test_the_priors_allow_their_own_ranges():
    for prior in PRIORS.values():
        assert prior.least < math.exp(-1.645 * prior.spread) < 1.0 < math.exp(1.645 * prior.spread) < prior.most
