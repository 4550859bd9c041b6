"""A few of the hundred twins: a calibration finds the hidden truth."""

from __future__ import annotations

import numpy as np
from twins import INPUTS, bare_log, spoiled, trial, truths

from heatloss import read_weather, sample_house


def test_a_few_twins_are_found() -> None:
    house, weather = sample_house(), read_weather("chicago")
    done = [trial(house, weather, truth, seed) for seed, truth in enumerate(truths(3))]
    assert all(found is not None for found in done)
    assert sum(sum(found.inside) for found in done) >= 7
    assert abs(np.mean([found.bias for found in done])) < 0.03


def test_truths_are_spread_evenly_and_logs_are_spoiled() -> None:
    spread = truths(64)
    for name in INPUTS:
        logs = np.log([truth[name] for truth in spread])
        assert abs(logs.mean()) < 0.02 * np.ptp(logs)
    log = bare_log()
    kept = spoiled(log, np.full(26, 10.0), np.random.default_rng(1))
    assert len(kept.intervals) == 24
    amounts = kept.intervals["amount"].to_numpy()
    assert np.array_equal(amounts, np.round(amounts))
    assert np.std(amounts) > 0.2
