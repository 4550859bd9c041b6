"""Vapour from leaves: printed check values, limits, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.physics import moist_air, transpiration

GREENS = {"leaf_area": 2.5, "deficit": 0.3 * moist_air.saturation_pressure(20.0)}
"""20 degC and 70 per cent over a crop of leaf area 2.5."""


@pytest.mark.parametrize(("light", "pores", "latent"), [(100.0, 200.0, 115.0), (0.0, 658.0, 42.0)])
def test_combination_equation_by_day_and_by_night(light: float, pores: float, latent: float) -> None:
    """115 and 42 W/m2 by Stanghellini's equation, boundary layer 275 s/m; calculated apart, to the last digit."""
    found = transpiration.stanghellini(20.0, net_radiation=light, leaf_resistance=pores, **GREENS)
    assert found == pytest.approx(latent, abs=1.5)


def test_water_of_a_night() -> None:
    """42 W/m2 are 61 g/m2 an hour; calculated apart, to the last digit."""
    assert 3.6e6 * 42.0 / moist_air.latent_heat(20.0) == pytest.approx(61.0, abs=0.7)


def test_cool_damp_night_takes_a_third() -> None:
    """At 10 degC and 85 per cent about 0.3 of the warm night; calculated apart."""
    warm = transpiration.stanghellini(20.0, net_radiation=0.0, leaf_resistance=658.0, **GREENS)
    damp = 0.15 * moist_air.saturation_pressure(10.0)
    cool = transpiration.stanghellini(10.0, deficit=damp, net_radiation=0.0, leaf_area=2.5, leaf_resistance=658.0)
    assert cool / warm == pytest.approx(0.3, abs=0.05)


def test_combination_equation_is_the_balance_of_a_leaf() -> None:
    """With a small deficit the leaf's own balance, solved without the straight line, gives the same within 2 %."""
    temp, sun, pores, film = 20.0, 60.0, 150.0, 275.0
    full = moist_air.saturation_pressure(temp)
    deficit = 0.1 * full
    ratio = moist_air.humidity_ratio(temp, 90.0, 101325.0)
    density = moist_air.density(temp, 101325.0)

    def surplus(leaf: float) -> float:
        vapour = 5.0 * density / (film + pores) * (moist_air.humidity_ratio(leaf, 100.0, 101325.0) - ratio)
        heat = 5.0 * density * moist_air.CP_AIR / film * (leaf - temp)
        return float(sun - heat - moist_air.latent_heat(leaf) * vapour)

    from scipy.optimize import brentq

    leaf = brentq(surplus, 0.0, 50.0)
    own = sun - 5.0 * density * moist_air.CP_AIR / film * (leaf - temp)
    found = transpiration.stanghellini(
        temp, deficit=deficit, net_radiation=sun, leaf_area=2.5, leaf_resistance=pores, boundary_resistance=film
    )
    assert found == pytest.approx(own, rel=0.02)


def test_pores_open_in_the_light() -> None:
    """About 650 s/m in the dark, 70 to 200 by day: Stanghellini 1987, from memory."""
    resistance = transpiration.leaf_resistance(np.array([0.0, 20.0, 50.0, 500.0]))
    assert resistance[0] == pytest.approx(650.0, rel=0.01)
    assert (np.diff(resistance) < 0.0).all()
    assert 70.0 < resistance[3] < resistance[1] < 200.0


def test_leaves_take_light() -> None:
    assert transpiration.intercepted_light(0.0) == 0.0
    assert transpiration.intercepted_light(2.5) == pytest.approx(1.0 - np.exp(-1.75), rel=1e-12)
    assert transpiration.intercepted_light(50.0) == pytest.approx(1.0, abs=1e-9)


def test_regression_adds_light_and_dryness() -> None:
    """a 0.4 to 0.6, b 10 to 30 W/(m2 kPa): Baille, Baille and Laury 1994, from memory."""
    light = transpiration.regression(100.0, deficit=0.0, leaf_area=2.5)
    dry = transpiration.regression(0.0, deficit=700.0, leaf_area=2.5)
    assert light == pytest.approx(0.5 * 100.0 * (1.0 - np.exp(-1.75)), rel=1e-12)
    assert dry == pytest.approx(0.02 * 2.5 * 700.0, rel=1e-12)
    assert transpiration.regression(100.0, deficit=700.0, leaf_area=2.5) == pytest.approx(light + dry, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: transpiration.intercepted_light(-1.0), "leaf_area must be at least 0 [1], got -1."),
        (lambda: transpiration.leaf_resistance(-1.0), "absorbed_sun must be at least 0 [W/m2], got -1."),
        (lambda: transpiration.regression(1.0, deficit=1.0, leaf_area=1.0, a=1.5), "a must be"),
        (
            lambda: transpiration.stanghellini(
                20.0, deficit=1.0, net_radiation=1.0, leaf_area=1.0, leaf_resistance=0.0
            ),
            "leaf_resistance must be above 0 [s/m], got 0.",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as error:
        call()
    assert str(error.value).startswith(words)
