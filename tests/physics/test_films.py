from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import films

LENGTH, WIDTH, EAVE, TILT = 16.67, 6.0, 2.0, math.radians(25.0)


def gable() -> tuple[list[float], list[str]]:
    """Planes of a 6 x 16.67 m gable with walls of 2 m and slopes of 25 deg, floor first."""
    rise = WIDTH / 2 * math.tan(TILT)
    slope = LENGTH * WIDTH / 2 / math.cos(TILT)
    end = WIDTH * EAVE + WIDTH * rise / 2
    wall = LENGTH * EAVE
    return [LENGTH * WIDTH, wall, wall, end, end, slope, slope], ["floor", "n", "s", "e", "w", "nr", "sr"]


def floor_to_cover(areas: list[float], planes: list[str], emissivity: float = 0.9) -> float:
    effective = films.radiant_exchange_areas(areas, [emissivity] * len(areas), planes)
    floor = sum(a for a, p in zip(effective, planes, strict=True) if p == "floor")
    rest = effective.sum() - floor
    return float(floor * rest / (floor + rest))


def test_floor_and_cover_exchange_as_two_grey_surfaces() -> None:
    areas, planes = gable()
    cover = sum(areas[1:])
    exact = 1.0 / ((1 - 0.9) / (0.9 * areas[0]) + 1 / areas[0] + (1 - 0.9) / (0.9 * cover))
    assert floor_to_cover(areas, planes) == pytest.approx(85.9, abs=0.05)  # calculated
    assert floor_to_cover(areas, planes) == pytest.approx(exact, rel=0.01)


def test_a_plane_in_pieces_exchanges_the_same() -> None:
    areas, planes = gable()
    pieces = [areas[0] * share for share in (0.2, 0.5, 0.3)] + areas[1:]
    assert floor_to_cover(pieces, ["floor"] * 3 + planes[1:]) == pytest.approx(floor_to_cover(areas, planes), rel=1e-12)


@given(st.lists(st.floats(0.5, 50.0), min_size=3, max_size=9), st.floats(0.05, 1.0))
def test_areas_satisfy_the_fixed_point(areas: list[float], emissivity: float) -> None:
    if max(areas) >= 0.95 * (sum(areas) - max(areas)):
        return
    black = films.radiant_exchange_areas(areas, [1.0] * len(areas), range(len(areas)))
    factor = black / np.array(areas)
    assert factor == pytest.approx(1.0 / (1.0 - black / black.sum()), rel=1e-12)
    grey = films.radiant_exchange_areas(areas, [emissivity] * len(areas), range(len(areas)))
    assert grey == pytest.approx(np.array(areas) / ((1 - emissivity) / emissivity + 1 / factor), rel=1e-12)


def test_the_largest_plane_may_take_more_than_half() -> None:
    black = films.radiant_exchange_areas([9.0, 4.0, 3.0, 2.5], [1.0] * 4, list("abcd"))
    assert black[0] > black[1:].sum()
    assert black / np.array([9.0, 4.0, 3.0, 2.5]) == pytest.approx(1 / (1 - black / black.sum()), rel=1e-12)


def test_a_mirror_takes_no_part() -> None:
    assert films.radiant_exchange_areas([1.0] * 4, [0.0, 1.0, 1.0, 1.0], list("abcd"))[0] == 0.0


def test_a_lumped_cover_is_refused() -> None:
    with pytest.raises(InputError, match="flat facets"):
        films.radiant_exchange_areas([100.0, 209.4], [0.9, 0.9], ["floor", "cover"])


def test_radiant_coefficient_times_difference_is_the_law() -> None:
    hot, cold = 30.0 + films.KELVIN, -25.0 + films.KELVIN
    law = films.STEFAN_BOLTZMANN * (hot**4 - cold**4)
    assert films.radiant_coefficient(30.0, -25.0) * 55.0 == pytest.approx(law, rel=1e-13)
    assert films.radiant_coefficient(10.0, 10.0) == pytest.approx(films.black_coefficient(10.0), rel=1e-14)
    assert 0.9 * films.radiant_coefficient(0.0, -25.0) == pytest.approx(3.62, abs=0.005)  # calculated


@pytest.mark.parametrize(
    ("difference", "cos_tilt", "expected"),  # Walton 1983, calculated
    [
        (5, 0.0, 2.24),
        (5, -math.cos(TILT), 2.54),
        (5, 1.0, 1.30),
        (15, 0.0, 3.23),
        (15, -math.cos(TILT), 3.67),
        (15, 1.0, 1.87),
    ],
)
def test_cold_surfaces_inside(difference: float, cos_tilt: float, expected: float) -> None:
    air_warmer = films.natural_convection(cos_tilt)[1]
    assert air_warmer * difference ** (1 / 3) == pytest.approx(expected, abs=0.0051)


@given(st.floats(-1.0, 1.0))
def test_turning_a_surface_over_swaps_the_two_factors(cos_tilt: float) -> None:
    assert films.natural_convection(cos_tilt) == films.natural_convection(-cos_tilt)[::-1]


def test_rough_surface_has_a_buoyant_part() -> None:
    forced, buoyant = films.outside_convection(np.array([0.0, 1.0]), "rough_surface")
    assert forced.tolist() == [0.0, 3.0]
    assert buoyant == 0.84


def test_panel_conductance_gives_back_its_rating() -> None:
    panel = films.panel_conductance(3.5, r_si=0.13, r_se=0.04)
    assert 1 / (1 / panel + 0.17) == pytest.approx(3.5, rel=1e-14)
    assert films.panel_conductance(6.0, r_si=0.13, r_se=0.04, bare=250.0) == 250.0
    with pytest.raises(InputError, match="bare sheet"):
        films.panel_conductance(6.0, r_si=0.13, r_se=0.04)


@pytest.mark.parametrize("form", films.OUTSIDE_FORMS)
def test_series_and_arrays_keep_their_kind(form: str) -> None:
    import pandas as pd

    wind = pd.Series([0.0, 3.0, 5.0], index=[7, 8, 9])
    forced, _ = films.outside_convection(wind, form)
    assert forced.index.tolist() == [7, 8, 9]
    assert forced.iloc[1] == films.outside_convection(3.0, form)[0]
    assert isinstance(films.site_wind(wind.to_numpy(), shelter=0.6), np.ndarray)


def test_refusals() -> None:
    with pytest.raises(InputError, match=r"wind_speed must be at least 0 \[m/s\], got nan"):
        films.outside_convection(np.array([1.0, np.nan]))
    with pytest.raises(UnknownNameError, match="glasshouse"):
        films.outside_convection(1.0, "glass house")
    with pytest.raises(UnknownNameError, match="horizontal"):
        films.gap_resistance(0.01, direction="horizontl")
    with pytest.raises(InputError, match="shelter must be from 0 to 1"):
        films.site_wind(1.0, shelter=1.5)
