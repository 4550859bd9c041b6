"""Closed forms of odd stores."""

from __future__ import annotations

import math

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.physics.stores import compost_for, compost_heat, exchange_conductance, pipe_film


def test_exchange_has_both_limits() -> None:
    assert exchange_conductance(100.0, 1e-6) == pytest.approx(1e-6, rel=1e-7)
    assert exchange_conductance(100.0, 1e5) == pytest.approx(100.0, rel=1e-12)
    assert exchange_conductance(100.0, 100.0) == pytest.approx(100.0 * (1.0 - math.exp(-1.0)), rel=1e-12)


def test_film_of_a_pipe() -> None:
    assert pipe_film(1e-4, 0.1) == pytest.approx(3.66 * 0.025 / 0.1)  # Nu 3.66, laminar; from memory
    re = 4.0 * 0.03 / (math.pi * 0.1 * 1.8e-5)
    assert pipe_film(0.03, 0.1) == pytest.approx(0.023 * re**0.8 * 0.71**0.4 * 0.25)  # Dittus and Boelter, from memory


def test_compost_decays_and_starts() -> None:
    heat = compost_heat(np.array([-1.0, 0.0, 90.0]), volume=10.0, heat=200.0, decay=90.0)
    np.testing.assert_allclose(heat, [0.0, 2000.0, 2000.0 / math.e], rtol=1e-12)
    assert compost_for(1900.0, heat=190.0, share=0.5) == pytest.approx(20.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_refusals(bad: float) -> None:
    for call in (
        lambda: pipe_film(bad, 0.1),
        lambda: exchange_conductance(bad, 1.0),
        lambda: compost_for(1.0, heat=bad, share=0.5),
        lambda: compost_heat(1.0, volume=1.0, heat=1.0, decay=bad),
    ):
        with pytest.raises(InputError, match="must be > 0"):
            call()
