from __future__ import annotations

import math

import pytest

from heatloss.errors import InputError
from heatloss.physics import moist_air, water


def test_heat_of_a_thousand_litres() -> None:
    assert water.tank_capacity(1.0) / 3.6e6 == pytest.approx(1.163, abs=5e-4)  # kWh/K, arithmetic
    assert pytest.approx(92.7, abs=0.05) == water.FREEZING_HEAT / 3.6e6  # kWh/m3, tables of physics, from memory


def test_tank_is_a_cylinder_of_its_volume() -> None:
    top, side = water.tank_areas(2.0, aspect=1.5)
    radius = math.sqrt(top / math.pi)
    assert top * (side / (2 * math.pi * radius)) == pytest.approx(2.0, rel=1e-13)


@pytest.mark.parametrize("temp_water", [12.0, 20.0])
def test_bare_wall_gives_six_to_eight(temp_water: float) -> None:
    """Common practice: 6 to 8 W/(m2 K) for a barrel in a room."""
    assert 6.0 < water.tank_side_coefficient(temp_water, temp_air=10.0) < 8.0
    wrapped = water.tank_side_coefficient(temp_water, temp_air=10.0, wall_resistance=1.0)
    bare = water.tank_side_coefficient(temp_water, temp_air=10.0)
    assert 1 / wrapped - 1 / bare == pytest.approx(1.0, rel=1e-12)


def test_evaporation_two_ways() -> None:
    """Water of 15 degC, air of 10 degC and 80 per cent: 0.0537 kg/m2 an hour (36.8 W/m2) by the Lewis analogy, 0.102
    (70 W/m2) by the pool form, calculated."""
    w = moist_air.humidity_ratio(10.0, 80.0, 101325.0)
    still = water.evaporation(15.0, ratio=w, convection=3.0, pressure=101325.0)
    pool = water.pool_evaporation(15.0, vapour=moist_air.vapour_pressure(w, 101325.0))
    assert 3600 * still == pytest.approx(0.0537, abs=5e-5)
    assert still * moist_air.latent_heat(15.0) == pytest.approx(36.8, abs=0.05)
    assert 3600 * pool == pytest.approx(0.102, abs=5e-4)
    assert pool * moist_air.latent_heat(15.0) == pytest.approx(70.0, abs=0.05)
    assert water.pool_evaporation(15.0, vapour=moist_air.vapour_pressure(w, 101325.0), activity=0.5) == pool / 2


def test_moist_air_takes_nothing() -> None:
    w = moist_air.humidity_ratio(20.0, 95.0, 101325.0)
    assert water.evaporation(10.0, ratio=w, convection=3.0, pressure=101325.0) == 0.0
    assert water.pool_evaporation(10.0, vapour=2300.0) == 0.0


def test_refusals() -> None:
    with pytest.raises(InputError, match="volume must be above 0"):
        water.tank_areas(0.0)
    with pytest.raises(InputError, match="emissivity must be from 0 to 1"):
        water.tank_side_coefficient(15.0, temp_air=10.0, emissivity=1.2)
    with pytest.raises(InputError, match="activity must be at least 0"):
        water.pool_evaporation(15.0, vapour=900.0, activity=-1.0)
