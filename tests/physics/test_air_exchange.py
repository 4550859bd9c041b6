from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.physics import air_exchange, moist_air


def test_air_is_thinner_at_altitude() -> None:
    """0.82 of the sea-level heat at 1650 m, calculated from the standard atmosphere."""
    high = air_exchange.heat_per_ach(270.0, moist_air.standard_pressure(1650.0), 10.0)
    assert high / air_exchange.heat_per_ach(270.0, 101325.0, 10.0) == pytest.approx(0.82, abs=0.005)


def test_linear_class_hits_its_design_hour() -> None:
    got = air_exchange.linear_ach(
        np.array([0.0, 2.5]), temperature_difference=np.array([0.0, -20.0]), base=0.3, wind=0.1, stack=0.05
    )
    assert got == pytest.approx([0.3, 0.3 + 0.25 + 0.05 * 20**0.5], rel=1e-14)


@given(st.floats(0.0, 60.0), st.floats(0.0, 20.0), st.integers(1, 5))
def test_flow_grows_with_wind_and_difference(difference: float, wind: float, shelter: int) -> None:
    def both(d: float, u: float) -> tuple[float, float]:
        flow = {"temperature_difference": d, "wind_speed": u, "shelter_class": shelter}
        return air_exchange.leakage_flow(0.05, **flow), air_exchange.enhanced_flow(0.05, **flow)

    for more in (both(difference + 1.0, wind), both(difference, wind + 0.5), both(-difference - 1.0, wind)):
        assert more > both(difference, wind)


def test_enhanced_flow_has_its_two_pure_cases() -> None:
    """AIM-2, one storey, slab, no flue, coefficients from memory: stack alone and wind alone."""
    stack = air_exchange.enhanced_flow(0.1, temperature_difference=20.0, wind_speed=0.0)
    wind = air_exchange.enhanced_flow(0.1, temperature_difference=0.0, wind_speed=5.0, shelter_class=1)
    assert stack == pytest.approx(0.1 * 0.054 * 20.0**0.67, rel=1e-14)
    assert wind == pytest.approx(0.1 * 0.156 * (0.48 * 5.0) ** 1.34, rel=1e-14)


def test_ten_openings_a_day_are_next_to_nothing() -> None:
    """A door of 2 m2, 2 m high, at 20 K: 0.39 m3/s, 78 m3 in ten openings of 20 s, calculated."""
    flow = air_exchange.door_flow(2.0, height=2.0, temperature_difference=20.0, temp_mean=10.0)
    assert flow * 200.0 == pytest.approx(78.0, abs=0.6)


def test_refusals() -> None:
    with pytest.raises(InputError, match="shelter_class must be a whole number from 1 to 5"):
        air_exchange.leakage_flow(0.05, temperature_difference=10.0, wind_speed=1.0, shelter_class=6)
    with pytest.raises(InputError, match="volume must be above 0"):
        air_exchange.heat_per_ach(0.0, 101325.0, 20.0)
    with pytest.raises(InputError, match=r"exponent must be from 0\.5 to 1"):
        air_exchange.enhanced_flow(0.1, temperature_difference=1.0, wind_speed=1.0, exponent=0.4)
    with pytest.raises(InputError, match="n50 must be at least 0"):
        air_exchange.ach_from_n50(-1.0)
