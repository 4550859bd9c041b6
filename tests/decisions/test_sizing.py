"""The size is what its loads say; the curve is what the balance gives with that output."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heatloss import InputError, conductances, simulate, size_heater
from heatloss.decisions.sizing import ANNUAL_99, COLDEST, EXTREME, HIGHEST, NORMAL


@pytest.fixture(scope="module")
def size(house: Any, chicago: Any) -> Any:
    return size_heater(house, chicago)


def test_loads_are_ua_times_the_temperature_difference(size: Any, house: Any, chicago: Any) -> None:
    """Chicago's header: 99.6 % -18.7, 99 % -16.0, 20 years -29.5 degC (read in the file); setpoint 12 degC by day."""
    ua = conductances(house, chicago)["w_per_k"].sum()
    expected = {NORMAL: 12 + 18.7, f"{NORMAL} x 1.20": 1.2 * (12 + 18.7), EXTREME: 12 + 29.5, ANNUAL_99: 12 + 16.0}
    for method, difference in expected.items():
        assert size.loads[method] == pytest.approx(ua * difference, rel=1e-9)
    assert size.outdoor[EXTREME] == -29.5
    assert size.inside == pytest.approx(12.0)


def test_what_is_no_size_says_so(size: Any) -> None:
    assert {n for n in size.loads.index if n.endswith("not a size")} == {ANNUAL_99, COLDEST, HIGHEST}
    assert size.loads[HIGHEST] == size.season.peak_w


def test_recommended_is_the_larger_of_the_two(size: Any, house: Any, chicago: Any) -> None:
    assert size.recommended_w == size.loads[EXTREME] > size.loads[f"{NORMAL} x 1.20"]
    assert (size.governs, size.complete) == (EXTREME, True)
    generous = size_heater(house, chicago, margin=0.5)
    assert generous.governs == f"{NORMAL} x 1.50"
    assert generous.recommended_w == pytest.approx(1.5 * size.loads[NORMAL], rel=1e-12)
    assert generous.recommended_w >= generous.loads[EXTREME]


def test_more_output_leaves_less_short(size: Any) -> None:
    curve = size.curve
    assert len(curve) == 12
    assert (np.diff(curve["output_w"]) > 0).all()
    assert (np.diff(curve["unmet_hours"]) <= 0).all()
    assert (np.diff(curve["degree_hours"]) <= 1e-9).all()
    assert (np.diff(curve["lowest"]) >= -1e-9).all()
    assert curve["unmet_hours"].iloc[0] > 1000 > 0 == curve["unmet_hours"].iloc[-1]
    assert size.recommended_w in set(curve["output_w"])


def test_a_point_of_the_curve_is_the_season_with_that_output(size: Any, house: Any, chicago: Any) -> None:
    row = size.curve.iloc[4]
    use = {**house.tree()["heater"][0], "output": f"{float(row['output_w'])!r} W"}
    season = simulate(house.changed(heater=[use]), chicago)
    assert row["unmet_hours"] == pytest.approx(season.unmet["hours"], abs=3)  # the ground knows another inside
    assert row["degree_hours"] == pytest.approx(season.unmet["degree_hours"], rel=0.01)
    assert row["lowest"] == pytest.approx(season.hourly["inside"][season.heating].min(), abs=0.05)


def test_outputs_of_the_house_file_change_nothing_but_what_is_fitted(size: Any, house: Any, chicago: Any) -> None:
    use = house.tree()["heater"][0]
    weak = house.changed(heater=[{**use, "output": "2 kW"}, {**use, "name": "spare", "output": "3 kW"}])
    again = size_heater(weak, chicago)
    assert again.loads.to_dict() == pytest.approx(size.loads.to_dict())
    assert again.curve["degree_hours"].to_numpy() == pytest.approx(size.curve["degree_hours"].to_numpy(), abs=1e-6)
    assert (size.fitted_w, again.fitted_w) == (None, 5000.0)


def test_only_setpoints_within_the_heaters_dates_count(house: Any, house_maker: Any, chicago: Any, size: Any) -> None:
    always = {k: v for k, v in house.tree()["heater"][0].items() if k not in ("from", "to")}
    warm = size_heater(house_maker(heater=[always]), chicago)
    assert warm.inside == pytest.approx(20.0)
    assert warm.recommended_w == pytest.approx(size.recommended_w * (20 + 29.5) / (12 + 29.5), rel=0.01)


def test_without_a_20_year_minimum_the_size_is_incomplete(house: Any, golden: Any) -> None:
    size = size_heater(house, golden)
    assert EXTREME not in size.loads.index
    assert not size.loads.isna().any()
    assert not size.complete
    assert 'minimum_20_year = "... degF" under [place]' in size.notes[0]
    assert size.recommended_w == size.loads[f"{NORMAL} x 1.20"]
    assert size.origin[NORMAL] == "this file's 0.4 % quantile"


def test_typed_temperatures_come_first(house: Any, golden: Any) -> None:
    place = {"minimum_20_year": "-34 degC", "design_temperature": "-21 degC"}
    size = size_heater(house.changed(place=place), golden)
    assert (size.complete, size.outdoor[EXTREME], size.outdoor[NORMAL]) == (True, -34.0, -21.0)
    assert size.origin[EXTREME] == "place.minimum_20_year"


def test_a_house_without_heater_can_be_sized(house_maker: Any, chicago: Any) -> None:
    size = size_heater(house_maker(heater=[]), chicago)
    assert size.recommended_w > 0.0
    assert size.curve["unmet_hours"].iloc[-1] == 0


def test_the_curve_never_stands_alone(size: Any) -> None:
    assert "never size a heater on the curve alone" in size.notes[-1]


@pytest.mark.parametrize("margin", [-0.1, float("nan"), float("inf")])
def test_a_margin_that_is_none(house: Any, chicago: Any, margin: float) -> None:
    with pytest.raises(InputError, match=r"^margin must be 0 or more \[1\], got .*Write 20 per cent as 0\.20\.$"):
        size_heater(house, chicago, margin=margin)


def test_nothing_to_hold(house_maker: Any, chicago: Any) -> None:
    with pytest.raises(InputError, match=r"^setpoint must be given to size a heater, got none\."):
        size_heater(house_maker(setpoint=[], heater=[]), chicago)
