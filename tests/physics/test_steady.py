from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.physics import steady

HOUSE = {"areas": [209.4], "u_values": [3.5], "temp_inside": 10.0, "temp_outside": -20.0, "volume": 270.0, "ach": 1.0}


def test_parts_of_the_en_12831_sum() -> None:
    """Reference house: 753.84 + 91.8 W/K give 25 369 W, the ground 215.7 W, calculated."""
    air = steady.en_12831_load(**HOUSE, temp_mean=8.0)
    ground = steady.en_12831_load(**HOUSE, temp_mean=8.0, floor_area=100.02, floor_u=0.74351) - air
    assert air == pytest.approx(25369.0, abs=0.5)
    assert ground == pytest.approx(215.7, abs=0.051)
    reheat = steady.en_12831_load(**HOUSE, temp_mean=8.0, floor_area=100.0, reheat=11.0)
    assert reheat - air == pytest.approx(1100.0)


def test_parts_of_the_ep406_sum() -> None:
    """21 987 + 4 050 + 1 835 W, calculated."""
    bare = steady.ep406_load(**HOUSE | {"ach": 0.0})
    air = steady.ep406_load(**HOUSE)
    whole = steady.ep406_load(**HOUSE, perimeter=45.3)
    assert (bare, air - bare, whole - air) == pytest.approx((21987.0, 4050.0, 1835.0), abs=0.51)


def test_degree_hours_of_a_sine() -> None:
    """5 - 10 cos below 10 degC: 146.159467 K h a day, (10 x + 20 sin x) / w with cos x = -1/2, calculated."""
    x = math.acos(-0.5)
    closed = (2 * x * 5 + 2 * 10 * math.sin(x)) / (2 * math.pi / 24)
    minutes = (np.arange(24 * 600) + 0.5) / 600
    temp = 5 - 10 * np.cos(2 * np.pi * (minutes - 4) / 24)
    got = steady.degree_hours(temp, base=10.0, step_hours=1 / 600)
    assert closed == pytest.approx(146.159467, abs=5e-7)
    assert got == pytest.approx(closed, rel=1e-6)
    assert steady.degree_day_heat(500.0, got / 24) == pytest.approx(73.0797, abs=1e-3)


@given(st.lists(st.floats(-30.0, 30.0), min_size=1, max_size=50), st.floats(0.0, 20.0))
def test_bins_of_one_hour_are_degree_hours(temps: list[float], balance: float) -> None:
    by_bin = steady.bin_heat([1.0] * len(temps), temperatures=temps, balance=balance, ua=500.0)
    assert by_bin == pytest.approx(0.5 * steady.degree_hours(np.array(temps), base=balance), rel=1e-9, abs=1e-9)


def test_rarer_winters_are_colder() -> None:
    minima = [steady.extreme_minimum(-22.3, deviation=3.8, years=n) for n in (2, 5, 10, 20, 50)]
    assert minima == sorted(minima, reverse=True)
    assert steady.extreme_minimum(-22.3, deviation=0.0, years=20) == -22.3


@pytest.mark.parametrize(
    ("outside", "minutes"),  # 930 W/K house of 100 m2: air and light things, with 5 cm of soil, with 4 m3 of water
    [(-10.0, (10, 2.2 * 60, 5.7 * 60)), (-20.0, (6, 1.3 * 60, 3.3 * 60))],
)
def test_time_to_freeze(outside: float, minutes: tuple[float, ...]) -> None:
    """Upper bounds of one lump, calculated; printed to a minute and to a tenth of an hour."""
    got = steady.cooling_time(np.array([0.826e6, 10.83e6, 27.57e6]), ua=930.0, start=10.0, outside=outside) / 60
    assert got == pytest.approx(minutes, abs=3.1)


def test_cooling_has_its_ends() -> None:
    lump = {"ua": 500.0, "start": 10.0}
    assert steady.cooling_time(1e6, **lump, outside=1.0) == math.inf
    assert steady.cooling_time(1e6, **lump, outside=-5.0, limit=12.0) == 0.0


def test_refusals() -> None:
    with pytest.raises(InputError, match="temp_inside must be above temp_outside"):
        steady.ep406_load(**HOUSE | {"temp_outside": 12.0})
    with pytest.raises(InputError, match="u_values must be as many as areas"):
        steady.en_12831_load(**HOUSE | {"u_values": []}, temp_mean=8.0)
    with pytest.raises(InputError, match="years must be above 1"):
        steady.extreme_minimum(-20.0, deviation=3.0, years=1.0)
    with pytest.raises(InputError, match="temp_air must be from -100 to 100"):
        steady.degree_hours(np.array([1.0, np.nan]), base=10.0)
