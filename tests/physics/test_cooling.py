"""A night without heat against the exact two-node house."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from heatloss import InputError
from heatloss.physics.cooling import cooling, followed

# Two nodes: air 5e5 J/K and mass 2e7 J/K, 100 W/K from air to outdoors, 300 W/K between them; its time constants
# 0.342385 h and 75.120578 h are calculated (matrix exponential), as is the heat balance of C/UA = 2.05e7 J/K / 100 W/K.
A = 3600.0 * np.array([[-400.0 / 5e5, 300.0 / 5e5], [300.0 / 2e7, -300.0 / 2e7]])
HOURS = np.arange(0.0, 12.01, 0.25)
SLOW, QUICK, STORE = 75.120578, 0.342385, 2.05e7 / 100.0 / 3600.0


def exact(outdoors: np.ndarray) -> np.ndarray:
    """Air of the two-node house after a steady 20 degC, outdoors straight between the hours."""
    state, out = np.array([20.0, 20.0]), [20.0]
    whole = np.zeros((4, 4))
    for i, dt in enumerate(np.diff(HOURS)):
        rise = (outdoors[i + 1] - outdoors[i]) / dt
        whole[:2, :2] = A
        whole[0, 2] = 3600.0 * 100.0 / 5e5
        whole[2, 3] = 1.0
        state = (expm(whole * dt) @ np.array([*state, outdoors[i], rise]))[:2]
        out.append(state[0])
    return np.array(out)


def test_both_time_constants_of_the_exact_house():
    found = cooling(HOURS, exact(np.zeros_like(HOURS)), np.zeros_like(HOURS))
    assert found.time_constant == pytest.approx(SLOW, abs=5e-6)
    assert found.quick == pytest.approx(QUICK, abs=5e-7)
    assert found.store == pytest.approx(STORE, rel=1e-6)


def test_a_falling_outdoor_temperature_is_taken_out():
    outdoors = -0.4 * HOURS - 2.0 * np.sin(HOURS)
    found = cooling(HOURS, exact(outdoors), outdoors)
    assert found.time_constant == pytest.approx(SLOW, rel=1e-4)
    assert found.quick == pytest.approx(QUICK, rel=1e-4)


def test_the_range_holds_the_truth_with_a_coarse_logger():
    rng, truth, held = np.random.default_rng(7), exact(np.zeros_like(HOURS)), 0
    for _ in range(40):
        read = np.round(truth + rng.normal(0.0, 0.05, len(truth)), 1)
        found = cooling(HOURS, read, np.zeros_like(HOURS))
        held += abs(np.log(found.time_constant / SLOW)) <= 1.645 * found.spread
    assert held >= 32


def test_a_night_that_starts_late_shows_one_time_constant():
    late = HOURS >= 3.0
    found = cooling(HOURS[late], exact(np.zeros_like(HOURS))[late], np.zeros(late.sum()))
    assert found.time_constant == pytest.approx(SLOW, rel=1e-4)


def test_a_store_follows_a_ramp_late_by_its_time_constant():
    hours = np.linspace(0.0, 60.0, 61)
    assert hours[-1] - followed(hours, hours, 3.0)[-1] == pytest.approx(3.0, rel=1e-8)


@pytest.mark.parametrize(
    ("hours", "inside", "said"),
    [
        (HOURS[:5], HOURS[:5], "8 readings or more"),
        (HOURS[::-1], 20.0 - HOURS, "must rise"),
        (HOURS, np.full_like(HOURS, np.nan), "known at every time"),
        (HOURS, 20.0 + 0.0 * HOURS, "must fall by more than 0.5"),
        (HOURS, -5.0 - HOURS, "above temp_out"),
    ],
)
def test_what_is_no_such_night_is_refused(hours, inside, said):
    with pytest.raises(InputError, match=said):
        cooling(hours, inside, np.zeros_like(hours))
