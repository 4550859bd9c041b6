"""The heating line of a log, its forecast, a saving."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log, by_line, with_amounts

from heatloss import InputError
from heatloss.decisions.signature import saving, signature
from heatloss.physics.comparison import heating_line

TRUTH = (0.5, 0.9, 12.0, 0.025)


def test_the_line_of_a_log_comes_back(chicago):
    found = signature(by_line(bare_log(40), chicago, TRUTH), chicago, typical=True)
    assert found.line.numbers == pytest.approx(TRUTH, rel=1e-4)
    assert found.r_squared == pytest.approx(1.0)
    assert found.cv_rmse < 1e-4


def test_cold_weeks_alone_do_not_tell_the_base_load(chicago):
    log = by_line(bare_log(10, start=pd.Timestamp("2015-12-06")), chicago, (0.0, 0.9, 12.0, 0.0), noise=0.03)
    found = signature(log, chicago, typical=True, sun=False)
    assert found.line.base_load == 0.0
    assert found.parameters == 2
    assert any("too few warm weeks" in note for note in found.notes)


def test_ranges_hold_the_truth_nine_times_in_ten(chicago):
    inside = []
    for seed in range(60):
        log = by_line(bare_log(30), chicago, TRUTH, noise=0.05, seed=seed)
        frame = signature(log, chicago, typical=True, sun=True).frame
        inside.append((frame["low"].to_numpy() <= TRUTH) & (frame["high"].to_numpy() >= TRUTH))
    assert np.mean(inside, axis=0) == pytest.approx(0.9, abs=0.1)


def test_the_heat_loss_is_slope_times_energy_times_efficiency(chicago):
    found = signature(by_line(bare_log(30), chicago, TRUTH), chicago, typical=True)
    value, low, high = found.conductance(25.0, 0.8)
    assert value == pytest.approx(0.9 * 25.0 / 24.0 * 1000.0 * 0.8, rel=1e-4)
    assert low <= value <= high
    with pytest.raises(InputError, match="efficiency"):
        found.conductance(25.0, 0.0)


def test_a_forecast_is_the_line_on_other_weather(chicago, golden):
    found = signature(by_line(bare_log(40), chicago, TRUTH, noise=0.04), chicago, typical=True)
    ahead = found.forecast(golden)
    hours = golden.hours
    daily = hours[["temp_air", "ghi"]].groupby(hours.index.tz_localize(None).normalize()).mean()
    expected = heating_line(found.line.numbers, daily["temp_air"].to_numpy(), daily["ghi"].to_numpy()).sum()
    assert ahead.amount == pytest.approx(expected)
    assert ahead.low < ahead.amount < ahead.high
    assert ahead.daily.sum() == pytest.approx(expected)


def winters(chicago, factor: float, seed: int = 3):
    """Two years of weeks, the measure after the first."""
    log = by_line(bare_log(82), chicago, TRUTH, noise=0.04, seed=seed)
    on = pd.Timestamp("2016-08-14")
    after = (log.intervals["start"] >= on).to_numpy()
    return with_amounts(log, log.intervals["amount"].to_numpy() * np.where(after, factor, 1.0)), on


def test_a_measure_that_saves_a_fifth_is_seen(chicago):
    log, on = winters(chicago, 0.8)
    found = saving(log, chicago, on, typical=True)
    assert found.share == pytest.approx(0.2, abs=0.03)
    assert found.low < found.saved < found.high
    assert found.proven
    assert found.low <= 0.2 * found.expected <= found.high
    assert 0.0 < found.guideline < 1.0


def test_a_measure_that_saves_nothing_is_not_called_one(chicago):
    found = [saving(*_at(winters(chicago, 1.0, seed), chicago), typical=True) for seed in range(8)]
    assert sum(f.low <= 0.0 <= f.high for f in found) >= 6


def _at(case, chicago):
    log, on = case
    return log, chicago, on


def test_weeks_unlike_any_before_are_left_aside(chicago):
    log = by_line(bare_log(36), chicago, TRUTH, noise=0.02)
    found = saving(log, chicago, pd.Timestamp("2016-01-17"), typical=True)
    assert found.aside > 0
    assert found.after + found.aside == 21


def test_fall_against_spring_is_said(chicago):
    log = by_line(bare_log(36), chicago, TRUTH, noise=0.02)
    assert saving(log, chicago, pd.Timestamp("2015-12-27"), typical=True).notes


def test_fuel_that_does_not_follow_the_weather_is_no_line(chicago):
    log = by_line(bare_log(30), chicago, TRUTH)
    turned = with_amounts(log, np.roll(log.intervals["amount"].to_numpy(), 9))
    with pytest.raises(InputError, match=r"must (follow the weather|rise as it gets colder)"):
        signature(turned, chicago, typical=True, sun=False)
    loose = by_line(bare_log(30), chicago, TRUTH, noise=0.7)
    assert any("hardly follows" in note for note in signature(loose, chicago, typical=True).notes)


def test_a_log_too_short_is_refused(chicago):
    with pytest.raises(InputError, match="at least 5 intervals"):
        signature(by_line(bare_log(3), chicago, TRUTH), chicago, typical=True)
    log = by_line(bare_log(20), chicago, TRUTH)
    with pytest.raises(InputError, match="must go on after the measure"):
        saving(log, chicago, pd.Timestamp("2017-01-01"), typical=True)
