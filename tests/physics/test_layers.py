from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import layers

CONCRETE = (0.2, 1.8, 2400.0, 1000.0)
INSULATION = (0.1, 0.04, 30.0, 1450.0)
HOUR = 3600.0


def admittance(wall: layers.Cells, period: float, r_si: float, r_se: float) -> complex:
    """Flow into the inside face of a chain of cells for a unit swing inside, outdoors held."""
    count = len(wall.steps)
    resistance = np.array([r for r, _ in wall.steps] + [wall.last])
    resistance[0] += r_si
    resistance[-1] += r_se
    g = 1.0 / resistance
    matrix = np.diag([1j * 2 * np.pi / period * c for _, c in wall.steps] + g[:-1] + g[1:])
    for i in range(count - 1):
        matrix[i, i + 1] = matrix[i + 1, i] = -g[i + 1]
    source = np.zeros(count, complex)
    source[0] = g[0]
    return complex(g[0] * (1.0 - np.linalg.solve(matrix, source)[0]))


@pytest.mark.parametrize(
    ("wall", "films", "u", "y11", "lead", "y22", "y12", "lag", "decrement", "capacities"),
    [  # ISO 13786:2017 at 24 h, calculated
        ([CONCRETE], (0.13, 0.04), 3.5573, 5.7043, 0.948, 11.5919, 1.8271, 5.676, 0.5136, (86.17, 170.87)),
        ([CONCRETE], (0.0, 0.0), 9.0, 15.7871, 2.835, 15.7871, 8.3236, 2.397, 0.9248, (224.28, 224.28)),
        ([CONCRETE, INSULATION], (0.13, 0.04), 0.3596, 5.9417, 0.853, 0.4105, 0.0607, 8.021, 0.1688, (82.28, 6.27)),
    ],
)
def test_periodic_table(wall, films, u, y11, lead, y22, y12, lag, decrement, capacities) -> None:  # type: ignore[no-untyped-def]
    got = layers.periodic(wall, r_si=films[0], r_se=films[1])
    assert got.u == pytest.approx(u, abs=5.1e-5)
    assert abs(got.admittance_1) == pytest.approx(y11, abs=5.1e-5)
    assert layers.lead_hours(got.admittance_1) == pytest.approx(lead, abs=5.1e-4)
    assert abs(got.admittance_2) == pytest.approx(y22, abs=5.1e-5)
    assert abs(got.through) == pytest.approx(y12, abs=5.1e-5)
    assert 24 - layers.lead_hours(got.through) == pytest.approx(lag, abs=5.1e-4)
    assert got.decrement == pytest.approx(decrement, abs=5.1e-5)
    assert (got.capacity_1 / 1e3, got.capacity_2 / 1e3) == pytest.approx(capacities, abs=5.1e-3)


@pytest.mark.parametrize(("period", "expected"), [(86400.0, 14.770449), (31536000.0, 0.773121)])
def test_admittance_of_deep_soil(period: float, expected: float) -> None:
    """ISO 13786 for a layer far thicker than the wave reaches, calculated."""
    soil = layers.periodic([(60.0, 1.5, 1000.0, 2000.0)], r_si=0.0, r_se=0.0, period=period)
    assert abs(soil.admittance_1) == pytest.approx(expected, abs=5.1e-7)


@pytest.mark.parametrize(("period", "limit"), [(24 * HOUR, 0.01), (6 * HOUR, 0.011), (2 * HOUR, 0.01)])
def test_cells_answer_a_sine_like_the_exact_wall(period: float, limit: float) -> None:
    exact = layers.periodic([CONCRETE, INSULATION], period=period).admittance_1
    got = admittance(layers.build_up([CONCRETE, INSULATION]), period, 0.13, 0.04)
    assert abs(got - exact) / abs(exact) < limit


ERRORS = {1: (12.5, 20.3, 24.2), 2: (3.4, 7.9, 11.4), 3: (1.5, 3.8, 6.3), 4: (0.9, 2.2, 3.9), 6: (0.4, 1.0, 1.8)}


@pytest.mark.parametrize("count", ERRORS)
def test_known_error_of_even_cells(count: int) -> None:
    """Concrete of 0.2 m before insulation at 24, 6 and 2 h: errors of the admittance in per cent, calculated."""
    size = CONCRETE[0] / count
    half, heat = size / (2 * CONCRETE[1]), size * 2.4e6
    steps = [(half if i == 0 else 2 * half, heat) for i in range(count)]
    first, *rest = layers.build_up([INSULATION]).steps
    chain = layers.Cells((*steps, (first[0] + half, first[1]), *rest), layers.build_up([INSULATION]).last)
    for hours, error in zip((24, 6, 2), ERRORS[count], strict=True):
        exact = layers.periodic([CONCRETE, INSULATION], period=hours * HOUR).admittance_1
        got = admittance(chain, hours * HOUR, 0.13, 0.04)
        assert 100 * abs(got - exact) / abs(exact) == pytest.approx(error, abs=0.06)


@given(
    st.floats(0.001, 1.0),
    st.floats(0.02, 3.0),
    st.floats(10.0, 2600.0),
    st.floats(500.0, 2000.0),
    st.sampled_from(layers.ENDS),
)
def test_cells_keep_resistance_and_capacity(d: float, k: float, rho: float, c: float, fine: str) -> None:
    cut = layers.cells(d, conductivity=k, density=rho, specific_heat=c, fine=fine)
    assert sum(r for r, _ in cut.steps) + cut.last == pytest.approx(d / k, rel=1e-12)
    stored = sum(heat for _, heat in cut.steps)
    assert stored == (0.0 if d < layers.THIN else pytest.approx(d * rho * c, rel=1e-12))


@given(st.floats(0.03, 1.0), st.floats(0.3, 3.0), st.sampled_from(layers.ENDS))
def test_masonry_is_fine_at_its_face_and_grows_at_most_twofold(d: float, k: float, fine: str) -> None:
    cut = layers.cells(d, conductivity=k, density=2000.0, specific_heat=1000.0, fine=fine)
    sizes = [heat / 2e6 for _, heat in cut.steps]
    faces = {"near": sizes[:1], "far": sizes[-1:], "both": [sizes[0], sizes[-1]]}[fine]
    limit = min(0.025, layers.penetration_depth(conductivity=k, volumetric_heat=2e6) / 5)
    assert max(faces) <= limit * (1 + 1e-9)
    assert max(max(a / b, b / a) for a, b in zip(sizes, sizes[1:] or sizes, strict=False)) <= 2 * (1 + 1e-9)
    assert max(sizes) <= 0.15 + 1e-9


def test_layers_and_bare_resistances_join() -> None:
    wall = layers.build_up([0.5, (0.003, 0.2, 1200.0, 1000.0), CONCRETE, 1.0, (0.05, 0.04, 0.0, 0.0)])
    assert wall.steps[0][0] > 0.5 + 0.003 / 0.2
    assert wall.last > 1.0 + 1.25
    assert sum(r for r, _ in wall.steps) + wall.last == pytest.approx(0.5 + 0.015 + 0.2 / 1.8 + 1.0 + 1.25, rel=1e-13)
    assert layers.build_up([2.0, 1.0]) == layers.Cells((), 3.0)


def test_transfer_matrix_has_unit_determinant_and_is_symmetric() -> None:
    """The same wall from the other side swaps its two admittances and keeps the flow through."""
    wall = [CONCRETE, INSULATION, 0.18, (0.012, 0.16, 950.0, 840.0)]
    one = layers.periodic(wall, r_si=0.13, r_se=0.04)
    other = layers.periodic(wall[::-1], r_si=0.04, r_se=0.13)
    assert cmath.isclose(one.admittance_1, other.admittance_2, rel_tol=1e-12)
    assert cmath.isclose(one.through, other.through, rel_tol=1e-12)


def test_slow_sine_is_steady() -> None:
    slow = layers.periodic([CONCRETE, INSULATION], period=1e12)
    assert abs(slow.through) == pytest.approx(slow.u, rel=1e-6)
    assert slow.decrement == pytest.approx(1.0, rel=1e-6)


def test_studs_lie_between_the_limits() -> None:
    total, upper, lower = layers.combined_resistance([[0.1, 3.5, 0.2], [0.1, 1.0, 0.2]], shares=[0.85, 0.15])
    assert lower < total < upper
    assert total == pytest.approx((upper + lower) / 2, rel=1e-14)
    even = layers.combined_resistance([[0.1, 3.5], [0.1, 3.5]], shares=[0.4, 0.6])
    assert even == pytest.approx((3.77, 3.77, 3.77), rel=1e-14)
    with pytest.raises(InputError, match="shares must sum to 1"):
        layers.combined_resistance([[0.1], [0.2]], shares=[0.5, 0.4])


def surface_step(x: float, t: float) -> float:
    """Semi-infinite solid of 10 degC, surface set to 0, k 1.5, heat 2e6."""
    return 10.0 * math.erf(x / (2.0 * math.sqrt(7.5e-7 * t)))


def test_soil_cells_follow_a_surface_step() -> None:
    """Closed form of a semi-infinite solid, calculated at 0.1 m after 6 h and 24 h; the cells are stepped implicitly by
    the minute and stay within 0.1 K of the 10 K step."""
    assert surface_step(0.1, 6 * HOUR) == pytest.approx(4.214853, abs=5e-7)
    assert surface_step(0.1, 24 * HOUR) == pytest.approx(2.188170, abs=5e-7)
    soil = layers.cells(1.5, conductivity=1.5, density=1000.0, specific_heat=2000.0, fine="near")
    heat = np.array([c for _, c in soil.steps])
    depth = np.cumsum(heat / 2e6) - heat / 4e6
    g = np.array([1 / r for r, _ in soil.steps])
    matrix = np.diag(heat / 60.0 + g + np.append(g[1:], 0.0)) - np.diag(g[1:], 1) - np.diag(g[1:], -1)
    inverse, temp = np.linalg.inv(matrix), np.full(len(heat), 10.0)
    for minute in range(1, 24 * 60 + 1):
        temp = inverse @ (heat / 60.0 * temp)
        if minute in (6 * 60, 24 * 60):
            exact = surface_step(0.1, minute * 60.0)
            assert np.interp(0.1, depth, temp) == pytest.approx(exact, abs=0.1)


def test_refusals() -> None:
    with pytest.raises(InputError, match="thickness must be above 0"):
        layers.cells(0.0, conductivity=1.0, density=1.0, specific_heat=1.0)
    with pytest.raises(UnknownNameError, match="both"):
        layers.cells(0.1, conductivity=1.0, density=1.0, specific_heat=1.0, fine="bot")
    with pytest.raises(InputError, match="resistance must be at least 0"):
        layers.build_up([-1.0])
