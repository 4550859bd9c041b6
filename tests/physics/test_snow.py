"""Snow on ground and roof."""

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.physics.snow import lies


def test_snow_stays_through_the_cold_and_sheds_after_three_warm_hours():
    temp = np.array([-5.0] * 10 + [2.0] * 4 + [-5.0] * 4)
    rain = np.zeros(18)
    rain[3] = 2.0
    got = lies(temp, precipitation=rain, temp_surface=temp)
    assert got[3:12].all()
    assert not got[12:].any()


def test_rain_in_the_warm_is_no_snow():
    temp = np.full(6, 3.0)
    assert not lies(temp, precipitation=np.ones(6), temp_surface=temp).any()


def test_a_warm_surface_under_cold_air_sheds():
    cold = np.full(8, -3.0)
    rain = np.array([1.0] + [0.0] * 7)
    assert lies(cold, precipitation=rain, temp_surface=cold).all()
    assert not lies(cold, precipitation=rain, temp_surface=np.full(8, 2.0))[2:].any()


def test_the_record_begins_with_what_lay_at_its_end():
    temp = np.full(5, -5.0)
    assert lies(temp, precipitation=[0.0, 0.0, 0.0, 0.0, 1.0], temp_surface=temp)[0]


def test_refusals():
    with pytest.raises(InputError, match="precipitation"):
        lies([0.0], precipitation=[-1.0], temp_surface=[0.0])
    with pytest.raises(InputError, match="hours_to_shed"):
        lies([0.0], precipitation=[1.0], temp_surface=[0.0], hours_to_shed=0)
