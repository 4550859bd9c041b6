from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.physics import heater

SECONDS = 90 * 86400.0


@pytest.mark.parametrize(
    ("outdoor", "efficiency", "load", "fuel"),
    [(-30.0, 1.0, 77.74, 77.71), (-30.0, 0.8, 77.74, 97.22), (0.0, 0.8, 31.10, 38.27), (20.0, 0.8, 0.0, 0.0)],
    ids=["HE100", "HE110", "HE120", "HE130"],
)
def test_space_heating_equipment(outdoor: float, efficiency: float, load: float, fuel: float) -> None:
    """ANSI/ASHRAE Standard 140-2020, equipment cases: 200 W/K, 20 degC inside, 90 days, GJ; results read, specification
    from memory. Within 0.5 per cent."""
    heat = 200.0 * (20.0 - outdoor)
    assert heat * SECONDS / 1e9 == pytest.approx(load, rel=5e-3)
    burned = heater.modulating_input(heat, output=10000.0, efficiency=efficiency) * SECONDS / 1e9
    assert burned == pytest.approx(fuel, rel=5e-3)


def test_equipment_with_fans() -> None:
    """The series' cases with fans: their heat takes burner load away; a draft fan warms nobody (from memory)."""
    plain = heater.modulating_input(4000.0, output=10000.0, efficiency=0.8)
    always, power = heater.furnace_with_fans(4000.0, output=10000.0, efficiency=0.8, circulating=200.0, cycling=False)
    assert always == heater.modulating_input(3800.0, output=10000.0, efficiency=0.8)
    assert power == 200.0
    cycles, power = heater.furnace_with_fans(4000.0, output=10000.0, efficiency=0.8, circulating=200.0)
    assert power == pytest.approx(200.0 * 4000.0 / 10200.0)
    assert always < cycles < plain
    drawn, power = heater.furnace_with_fans(4000.0, output=10000.0, efficiency=0.8, draft=50.0)
    assert (drawn, power) == (plain, pytest.approx(20.0))


def test_height_of_a_pressure() -> None:
    assert heater.pressure_height(101325.0) == 0.0
    assert heater.pressure_height(83011.0) == pytest.approx(1650.0, abs=1.0)  # standard atmosphere, from memory


def test_on_off_heater_spends_more_at_low_fire() -> None:
    heat = np.linspace(0.0, 10000.0, 11)
    burned = heater.on_off_input(heat, output=10000.0, efficiency=0.8, standby_power=50.0, start_energy=5e5)
    assert burned[0] == 50.0
    assert burned[-1] == pytest.approx(12500.0)
    assert np.all(np.diff(heat[1:] / burned[1:]) > 0)


@given(st.floats(0.0, 1.0), st.floats(0.3, 1.0), st.floats(0.0, 0.3))
def test_cycling_never_helps(part_load: float, efficiency: float, loss: float) -> None:
    assert heater.cycling_efficiency(part_load, efficiency=efficiency, loss=loss) <= efficiency * (1 + 1e-12)
    assert heater.cycling_efficiency(1.0, efficiency=efficiency, loss=loss) == efficiency
    assert heater.starts_per_hour(part_load, most=5.0) <= 5.0


@given(st.floats(-40.0, 25.0), st.floats(30.0, 60.0), st.floats(0.0, 1.0))
def test_no_heat_pump_passes_carnot(outdoor: float, supply: float, share: float) -> None:
    bound = heater.carnot_cop(outdoor, temp_supply=supply)
    assert heater.carnot_cop(outdoor, temp_supply=supply, share=share) <= bound
    assert bound >= 1.0


def test_table_is_level_beyond_its_ends() -> None:
    got = heater.from_table(np.array([-40.0, -20.0, 0.0, 30.0]), temperatures=[-20.0, 8.0], values=[1.8, 3.4])
    assert got == pytest.approx([1.8, 1.8, 1.8 + 1.6 * 20 / 28, 3.4])


def test_minimum_fire_and_batches() -> None:
    assert heater.burning_share(np.array([0.0, 1000.0, 9000.0]), minimum_output=4000.0).tolist() == [0.0, 0.25, 1.0]
    assert heater.hours_per_load(20.0, heating_value=15e6, efficiency=0.7, heat=0.0) == math.inf
    night = heater.hours_per_load(25.0, heating_value=15e6, efficiency=0.65, heat=8000.0)
    assert night * 3600 * 8000 == pytest.approx(25.0 * 15e6 * 0.65)


def test_altitude_takes_4_per_cent_by_300_m() -> None:
    assert [heater.altitude_derate(z) for z in (0.0, 600.0, 900.0, 1200.0)] == pytest.approx([1, 1, 0.96, 0.92])


def test_refusals() -> None:
    with pytest.raises(InputError, match="heat must be from 0 to 10000"):
        heater.modulating_input(12000.0, output=10000.0, efficiency=0.8)
    with pytest.raises(InputError, match="efficiency must be above 0 and at most 1"):
        heater.on_off_input(1.0, output=10.0, efficiency=80.0)
    with pytest.raises(InputError, match="temp_supply must be above temp_out"):
        heater.carnot_cop(40.0, temp_supply=35.0)
    with pytest.raises(InputError, match="temperatures must rise"):
        heater.from_table(0.0, temperatures=[8.0, -20.0], values=[3.4, 1.8])
    with pytest.raises(InputError, match="values must be as many as temperatures"):
        heater.from_table(0.0, temperatures=[8.0, 9.0], values=[3.4])
