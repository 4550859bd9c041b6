from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI

from heatloss.errors import InputError
from heatloss.physics import moist_air

psychrolib.SetUnitSystem(psychrolib.SI)
AIR = [
    (t, rh, p) for t in (-30.0, -10.0, 0.0, 5.0, 20.0, 40.0) for rh in (20.0, 60.0, 100.0) for p in (101325.0, 80000.0)
]


@pytest.mark.parametrize("temp", [-90.0, -40.0, -20.0, -0.5, 0.0, 0.02, 10.0, 60.0, 150.0])
def test_saturation_as_psychrolib(temp: float) -> None:
    assert moist_air.saturation_pressure(temp) == pytest.approx(psychrolib.GetSatVapPres(temp), rel=1e-9)


@pytest.mark.parametrize("temp", [1.0, 20.0, 80.0])
def test_saturation_over_water_as_the_steam_equation(temp: float) -> None:
    """CoolProp's equation of state for water: another fit, within 0.03 per cent."""
    steam = PropsSI("P", "T", temp + 273.15, "Q", 0, "Water")
    assert moist_air.saturation_pressure(temp) == pytest.approx(steam, rel=3e-4)


def test_ice_is_drier_than_water_below_freezing() -> None:
    assert moist_air.saturation_pressure(-10.0, "ice") == pytest.approx(259.903, abs=5e-4)  # ASHRAE, calculated
    assert moist_air.saturation_pressure(-10.0, "water") == pytest.approx(287.0, rel=3e-3)  # Magnus, calculated
    assert moist_air.saturation_pressure(0.01, "ice") == pytest.approx(
        moist_air.saturation_pressure(0.01, "water"), rel=3e-5
    )


@pytest.mark.parametrize(("temp", "rh", "pressure"), AIR)
def test_properties_as_psychrolib(temp: float, rh: float, pressure: float) -> None:
    w = moist_air.humidity_ratio(temp, rh, pressure)
    assert w == pytest.approx(psychrolib.GetHumRatioFromRelHum(temp, rh / 100, pressure), rel=1e-9)
    dew = moist_air.dew_point(moist_air.vapour_pressure(w, pressure))
    assert dew == pytest.approx(psychrolib.GetTDewPointFromRelHum(temp, rh / 100), abs=2e-3)  # its own tolerance
    assert moist_air.wet_bulb(temp, w, pressure) == pytest.approx(
        psychrolib.GetTWetBulbFromHumRatio(temp, w, pressure), abs=2e-3
    )
    assert moist_air.enthalpy(temp, w) == pytest.approx(psychrolib.GetMoistAirEnthalpy(temp, w), rel=1e-9, abs=1e-6)
    assert moist_air.density(temp, pressure, w) == pytest.approx(
        psychrolib.GetMoistAirDensity(temp, w, pressure), rel=2e-5
    )


@pytest.mark.parametrize(("temp", "rh", "pressure"), [a for a in AIR if a[0] > -30.0])
def test_properties_as_a_real_gas(temp: float, rh: float, pressure: float) -> None:
    """CoolProp's humid air is a real gas with the enhancement of saturation: up to 0.5 per cent more water."""
    w = moist_air.humidity_ratio(temp, rh, pressure)
    assert w == pytest.approx(HAPropsSI("W", "T", temp + 273.15, "R", rh / 100, "P", pressure), rel=6e-3)
    volume = HAPropsSI("Vha", "T", temp + 273.15, "W", w, "P", pressure)
    assert moist_air.density(temp, pressure, w) == pytest.approx(1 / volume, rel=1e-3)


def test_volume_of_the_check_state() -> None:
    """20 degC, 50 per cent, sea level: 0.84016 m3 by kg of dry air, psychrolib, calculated."""
    w = moist_air.humidity_ratio(20.0, 50.0, 101325.0)
    assert (1 + w) / moist_air.density(20.0, 101325.0, w) == pytest.approx(0.84016, abs=1e-5)


def test_dew_point_undoes_saturation() -> None:
    temps = np.array([-80.0, -40.0, -5.0, 0.0, 0.05, 15.0, 60.0, 140.0])
    assert moist_air.dew_point(moist_air.saturation_pressure(temps)) == pytest.approx(temps, abs=1e-9)
    over_water = moist_air.saturation_pressure(temps, "water")
    assert moist_air.dew_point(over_water, "water") == pytest.approx(temps, abs=1e-9)
    assert moist_air.relative_humidity(20.0, 20.0) == 100.0


def test_condensation_doubles_an_inside_film() -> None:
    """Air of 12 degC and 90 per cent at a cover of 4 degC: 0.0442 kg/m2 an hour, 30.6 W/m2 of latent against 32 of
    sensible heat, calculated."""
    w = moist_air.humidity_ratio(12.0, 90.0, 101325.0)
    flux = moist_air.condensation(4.0, ratio=w, convection=4.0)
    assert 3600 * flux == pytest.approx(0.0442, abs=5e-5)
    assert flux * moist_air.latent_heat(4.0) == pytest.approx(30.6, abs=0.1)
    assert moist_air.condensation(11.0, ratio=w, convection=4.0) == 0.0


def test_refusals() -> None:
    with pytest.raises(InputError, match="relative_humidity must be from 0 to 100"):
        moist_air.humidity_ratio(20.0, 101.0, 101325.0)
    with pytest.raises(InputError, match=r"pressure must be above 0 \[Pa\], got nan"):
        moist_air.density(20.0, float("nan"))
    with pytest.raises(InputError, match="altitude must be from -500 to 11000"):
        moist_air.standard_pressure(20000.0)
