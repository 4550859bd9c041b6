"""Oxygen of a fish tank: tabled saturation, the stated hours, uptake that doubles."""

from __future__ import annotations

import pytest

from heatloss import InputError
from heatloss.physics.oxygen import aeration_power, oxygen_saturation, oxygen_time, oxygen_uptake


@pytest.mark.parametrize(
    ("temperature", "oxygen"),
    [(0.0, 14.6), (10.0, 11.3), (20.0, 9.1), (30.0, 7.5)],
)
def test_saturation(temperature: float, oxygen: float) -> None:
    # tables of water analysis (APHA Standard Methods), from memory; the polynomial stands up to 0.1 mg/L off
    assert oxygen_saturation(temperature) == pytest.approx(oxygen, abs=0.11)
    assert oxygen_saturation(temperature, pressure=83011.0) == pytest.approx(oxygen * 0.8193, abs=0.11)


def test_time_without_air() -> None:
    # (9 - 4) mg/L at 30 kg/m3 and 100 to 200 mg/(kg h) is 0.8 to 1.7 h (calculated)
    assert oxygen_time(9.0, stocking=30.0, uptake=200.0) == pytest.approx(0.8, abs=0.05)
    assert oxygen_time(9.0, stocking=30.0, uptake=100.0) == pytest.approx(1.7, abs=0.05)
    assert oxygen_time(3.0, stocking=30.0, uptake=100.0) == 0.0
    assert oxygen_time(9.0, stocking=0.0, uptake=100.0) == float("inf")


def test_uptake_and_pump() -> None:
    assert oxygen_uptake(150.0, temp_water=30.0, temp_rated=20.0) == pytest.approx(300.0)
    assert aeration_power(200.0, uptake=150.0) == pytest.approx(60.0)
    with pytest.raises(InputError, match=r"^transfer must be above 0"):
        aeration_power(200.0, uptake=150.0, transfer=0.0)
