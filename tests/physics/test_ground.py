from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss import units
from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import ground

YEAR = {"inside_mean": 20.0, "outdoor_mean": 10.0, "outdoor_amplitude": 10.0}
E1 = ground.slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6)
E2 = ground.slab(100.0, 40.0, wall_thickness=0.3, conductivity=2.0, volumetric_heat=2e6, r_floor=1.0)
BARE = {"wall_thickness": 0.1, "conductivity": 1.5, "volumetric_heat": 3e6}
FOAM = {"edge_resistance": 1.8, "edge_depth": 0.6, "edge_thickness": 0.063}
E5 = ground.slab(100.02, 45.34, **BARE, **FOAM)


@pytest.mark.parametrize(
    ("floor", "flows"),  # ISO 13370:2017 forms, calculated: January, February, August
    [(E1, (1193.7, 1260.6, 262.4)), (E2, (613.2, 643.8, 186.8)), (E5, (807.6, 851.9, 190.6))],
)
def test_monthly_flows(floor: ground.Slab, flows: tuple[float, ...]) -> None:
    got = ground.monthly_flow(np.array([1.0, 2.0, 8.0]), floor=floor, **YEAR)
    assert got == pytest.approx(flows, abs=0.051)
    assert ground.monthly_flow(np.arange(12.0), floor=floor, **YEAR).mean() == pytest.approx(10 * floor.h_ground)


def test_slab_of_the_standard_s_analytic_case() -> None:
    """ANSI/ASHRAE Standard 140 case GC10a, exact 2432.597 W, read; the ISO form gives 2508.9 W, 3.1 per cent more."""
    floor = ground.slab(
        144.0, 48.0, wall_thickness=0.24, conductivity=1.9, volumetric_heat=1490 * 1800, r_si=0.0, r_se=0.0
    )
    heat = floor.h_ground * (30.0 - 10.0)
    assert heat == pytest.approx(2508.9, abs=0.05)
    assert heat / 2432.597 == pytest.approx(1.031, abs=5e-4)


@given(st.floats(0.0, 12.0), st.floats(5.0, 25.0), st.floats(-5.0, 15.0), st.floats(0.0, 15.0), st.floats(0.0, 6.0))
def test_virtual_temperature_draws_the_monthly_flow(
    month: float, inside: float, outdoor: float, swing: float, inside_swing: float
) -> None:
    year = {
        "inside_mean": inside,
        "outdoor_mean": outdoor,
        "outdoor_amplitude": swing,
        "inside_amplitude": inside_swing,
    }
    below = ground.virtual_temperature(month, floor=E5, **year)
    room = inside - inside_swing * math.cos(2 * math.pi * (month - 1) / 12)
    resistance = ground.R_SI + E5.r_floor + 0.5 / E5.conductivity + ground.virtual_resistance(E5)
    flow = ground.monthly_flow(month, floor=E5, **year)
    assert E5.area * (room - below) / resistance == pytest.approx(flow, rel=1e-10, abs=1e-7)


def test_soil_cells_are_the_half_metre() -> None:
    assert sum(ground.SOIL_CELLS) == pytest.approx(0.5, rel=1e-14)


def test_a_small_floor_wants_a_shorter_column() -> None:
    shed = ground.slab(4.0, 8.0, wall_thickness=0.1, conductivity=1.0, volumetric_heat=2e6)
    with pytest.raises(InputError, match=r"soil_depth must be at most 0\.\d\d \[m\], got 0.5"):
        ground.virtual_resistance(shed)
    assert ground.virtual_resistance(shed, soil_depth=0.1) > 0.05


@given(st.floats(0.05, 4.0), st.floats(0.1, 1.5))
def test_edge_insulation_only_helps(resistance: float, depth: float) -> None:
    bare = ground.slab(100.0, 45.0, **BARE)
    for direction in ("vertical", "horizontal"):
        foam = ground.slab(100.0, 45.0, **BARE, edge_resistance=resistance, edge_depth=depth, edge_direction=direction)
        assert foam.h_ground < bare.h_ground
        assert foam.h_pe < bare.h_pe
        assert foam.u == bare.u


def test_a_thick_floor_takes_the_other_formula() -> None:
    """d_f above B: U = k / (0.457 B + d_f)."""
    thick = ground.slab(16.0, 16.0, **BARE, r_floor=3.0)
    assert thick.d_f > thick.b
    assert thick.u == pytest.approx(1.5 / (0.457 * 2.0 + thick.d_f), rel=1e-14)


def test_months_stand_at_their_middle() -> None:
    assert ground.month_number(365.0 / 24) == pytest.approx(1.0)
    assert ground.month_number(365.0) - ground.month_number(0.0) == pytest.approx(12.0)


@pytest.mark.parametrize(
    ("kind", "trade"),  # Washington State Energy Code 2013, table A106.1, Btu/(h ft degF), read
    [
        ("uninsulated", 0.73),
        ("vertical 0.6 m R-5", 0.58),
        ("vertical 0.6 m R-10", 0.54),
        ("vertical 0.6 m R-15", 0.52),
        ("vertical 1.2 m R-5", 0.54),
        ("vertical 1.2 m R-10", 0.48),
        ("vertical 1.2 m R-15", 0.45),
        ("horizontal 0.6 m R-5", 0.70),
        ("horizontal 0.6 m R-15", 0.69),
        ("horizontal 1.2 m R-5", 0.67),
        ("horizontal 1.2 m R-10", 0.64),
        ("horizontal 1.2 m R-15", 0.63),
        ("fully insulated R-10", 0.36),
        ("fully insulated R-15", 0.31),
        ("fully insulated R-20", 0.26),
        ("fully insulated R-30", 0.21),
        ("heated uninsulated", 0.84),
        ("greenhouse bare", 0.80),
        ("greenhouse insulated", 0.40),
    ],
)
def test_perimeter_factors(kind: str, trade: float) -> None:
    one = units.parse("1 Btu/(h ft degF)", "W/(m K)")
    assert ground.perimeter_loss(kind, perimeter=1.0, temperature_difference=1.0) == pytest.approx(
        trade * one, abs=1e-3
    )


def test_deep_soil_decays_and_lags() -> None:
    """Decay 0.40747 by metre, Kusuda and Achenbach with 0.6e-6 m2/s, calculated."""
    soil = {"mean": 8.0, "amplitude": 12.0, "diffusivity": 0.6e-6, "coldest_day": 30.0}
    days = np.arange(0.0, 365.0, 0.05)
    swing = np.ptp(ground.soil_temperature(1.0, day=days, **soil)) / 2
    assert math.log(12.0 / swing) == pytest.approx(0.40747, abs=1e-5)
    assert days[np.argmin(ground.soil_temperature(1.0, day=days, **soil))] == pytest.approx(
        30.0 + 0.40747 * 365 / (2 * math.pi), abs=0.05
    )


def test_refusals() -> None:
    with pytest.raises(InputError, match="perimeter must be above 0"):
        ground.slab(10.0, 0.0, **BARE)
    with pytest.raises(InputError, match="edge_depth must be above 0"):
        ground.slab(10.0, 12.0, **BARE, edge_resistance=1.0)
    with pytest.raises(UnknownNameError, match="vertical"):
        ground.slab(10.0, 12.0, **BARE, edge_resistance=1.0, edge_depth=0.6, edge_direction="vertcal")
    with pytest.raises(UnknownNameError, match="uninsulated"):
        ground.perimeter_loss("unisulated", perimeter=1.0, temperature_difference=1.0)
