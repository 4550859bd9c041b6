"""Every function keeps the kind it is given, and NaN is refused where a range is checked."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import InputError
from heatloss.physics import _numeric, air_exchange, films, ground, heater, moist_air, sky, water

CASES = [
    (films.site_wind, {"shelter": 0.7}),
    (lambda x: films.sky_split(x)[0], {}),
    (films.black_coefficient, {}),
    (lambda x: films.radiant_coefficient(x, 0.0), {}),
    (sky.swinbank, {}),
    (sky.fixed_11k, {}),
    (lambda x: sky.berdahl_martin(x, temp_dew=0.0), {}),
    (lambda x: sky.sky_temperature(5.0, temp_dew=x, opaque_cloud=0.5), {}),
    (moist_air.saturation_pressure, {}),
    (lambda x: moist_air.humidity_ratio(x, 50.0, 1e5), {}),
    (moist_air.dew_point, {}),
    (lambda x: air_exchange.linear_ach(x, temperature_difference=5.0, base=0.1, wind=0.1, stack=0.1), {}),
    (lambda x: ground.soil_temperature(x, day=3.0, mean=8.0, amplitude=5.0, diffusivity=1e-6, coldest_day=30.0), {}),
    (lambda x: heater.carnot_cop(x, temp_supply=40.0), {}),
    (lambda x: water.evaporation(x, ratio=0.0, convection=3.0, pressure=1e5), {}),
]


@pytest.mark.parametrize(("function", "options"), CASES)
def test_kind_follows_the_input(function, options) -> None:  # type: ignore[no-untyped-def]
    one = function(8.0, **options)
    array = function(np.array([8.0, 2.0]), **options)
    series = function(pd.Series([8.0, 2.0], index=[5, 6]), **options)
    assert type(one) is float
    assert isinstance(array, np.ndarray)
    assert series.index.tolist() == [5, 6]
    assert one == array[0] == series.iloc[0]


def test_messages_name_what_came() -> None:
    with pytest.raises(InputError, match=r"^depth must be above 0 \[m\], got -2\.$"):
        _numeric.positive("depth", [1.0, -2.0], "m")
    with pytest.raises(InputError, match="got nan"):
        _numeric.between("depth", np.array([1.0, np.nan]), 0.0, 2.0, "m")
    with pytest.raises(InputError, match="from 0 to 2"):
        _numeric.between("depth", 3.0, 0.0, 2.0, "m")
    _numeric.positive("depth", 0.0, "m", zero=True)
