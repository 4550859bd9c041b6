"""The size is what its loads say; the curve is what the balance gives with that output."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heatloss import InputError, conductances, sample_house, simulate, size_heater, surfaces
from heatloss.decisions.candidates import read_heaters
from heatloss.decisions.methods import ASIDE, EN_12831, EP406, SPELL
from heatloss.decisions.sizing import ANNUAL_99, COLDEST, EXTREME, HIGHEST, NORMAL

TEN_YEARS = "steady 10-year minimum"


@pytest.fixture(scope="module")
def house(house_maker: Any) -> Any:
    return house_maker(crop="lettuce")


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
    assert {n for n in size.loads.index if n.endswith("not a size")} == {
        ANNUAL_99, COLDEST, HIGHEST, EN_12831 + ASIDE, EP406 + ASIDE, SPELL + ASIDE,
    }  # fmt: skip
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
    warm = size_heater(house_maker(heater=[always], crop="lettuce"), chicago)
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


def test_where_nothing_would_die_the_10_year_minimum_counts(house_maker: Any, chicago: Any, size: Any) -> None:
    """Chicago's header: 10 years -27.5 degC or so, from mean and deviation of the yearly minima (read in the file)."""
    idle = size_heater(house_maker(), chicago)
    assert idle.governs == TEN_YEARS
    assert -29.5 < idle.outdoor[TEN_YEARS] == chicago.design_temperatures()["minimum_10_year"] < -18.7
    assert idle.recommended_w < size.recommended_w


def test_at_chicago_and_10_degrees_a_margin_alone_does_not_reach_the_20_year_load(
    house_maker: Any, chicago: Any
) -> None:
    """(10 + 29.5) / (10 + 18.7) = 1.38 (calculated from the header's own temperatures)."""
    held = house_maker(crop="lettuce", setpoint=[{"day": "10 degC"}])
    size = size_heater(held, chicago)
    assert size.recommended_w / size.loads[NORMAL] == pytest.approx(1.38, abs=0.005)


def test_the_sum_by_hand_is_the_load(size: Any) -> None:
    hand = size.hand
    assert hand["w"].sum() == pytest.approx(size.loads[EXTREME], rel=1e-9)
    solid = hand.dropna(subset=["u"])
    assert (solid["area"] * solid["u"]).to_numpy() == pytest.approx(solid["w_per_k"].to_numpy(), rel=1e-12)
    air = hand.loc["air"]
    assert air["w_per_k"] == pytest.approx(air["volume"] * air["ach"] * 1005 / 3600 * 1.2, rel=0.06)
    assert set(hand["difference"]) == {12.0 + 29.5}


def test_other_ways_of_reckoning(size: Any) -> None:
    # EN 12831-1: (UA + 0.1 A) dT + 0.34 n V dT + 1.45 A_f U_f (Ti - mean); EP406: + 0.5 V n + 1.38 P (from memory)
    hand, season = size.hand, size.season
    walls, air, dt = hand.drop(index=["air", "floor"]), hand.loc["air"], 12.0 + 29.5
    bare = surfaces(season.house)
    en = ((bare["u_value"] + 0.1) @ bare["area"] + 0.34 * air["ach"] * air["volume"]) * dt
    en += 1.45 * hand.loc["floor", "w_per_k"] * (12.0 - season.drivers.temp_air.mean())
    assert size.loads[EN_12831 + ASIDE] == pytest.approx(en, rel=1e-9)
    ep = (walls["w_per_k"].sum() + 0.5 * air["volume"] * air["ach"] + 1.38 * season.geometry.perimeter) * dt
    assert size.loads[EP406 + ASIDE] == pytest.approx(ep, rel=1e-9)
    assert set(size.leaves_out.index) == set(size.loads.index)
    assert "setback" in size.leaves_out[SPELL + ASIDE]


def test_the_built_spell_meets_the_steady_load_and_the_climb_of_the_morning(house_maker: Any, chicago: Any) -> None:
    steady = size_heater(house_maker(crop="lettuce", setpoint=[{"day": "12 degC"}]), chicago)
    ratio = steady.loads[SPELL + ASIDE] / steady.loads[EXTREME]
    assert 0.5 < ratio < 1.2  # soil and stuff give heat, and a rated U has a freer inside film than still glass
    stepped = [{"day": "12 degC", "night": "6 degC", "day_from": "07:00", "day_to": "19:00"}]
    climbs = size_heater(house_maker(crop="lettuce", setpoint=stepped), chicago)
    assert climbs.loads[SPELL + ASIDE] > steady.loads[SPELL + ASIDE]


def test_the_label_makes_up_for_ash_poor_fuel_altitude_and_input(house_maker: Any, chicago: Any, golden: Any) -> None:
    boiler = {"name": "boiler", "type": "pellet boiler", "output": "30 kW"}
    size = size_heater(house_maker(heater=[boiler], crop="lettuce"), chicago)
    # 5 % of output lost to ash in a month (read); pellets of 4.6 in place of 4.8 kWh/kg (from memory)
    assert size.label["losses"] == pytest.approx({"ash between cleanings": 0.95, "poor fuel": 4.6 / 4.8})
    assert size.label["output_w"] == pytest.approx(size.recommended_w / 0.95 / (4.6 / 4.8))
    assert size.label["input_w"] == pytest.approx(size.label["output_w"] / 0.86)
    assert size.fitted_delivered_w == pytest.approx(30e3 * 0.95 * 4.6 / 4.8)
    gas = {"name": "gas", "type": "propane unit heater", "input": "100000 Btu/h"}
    high = size_heater(house_maker(heater=[gas], crop="lettuce"), golden)
    (thin,) = high.label["losses"].values()
    assert thin == pytest.approx(1.0 - 0.04 * (1829 - 600) / 300, abs=0.02)  # 4 % for 300 m above 600 m (from memory)
    assert high.fitted_w == pytest.approx(100e3 * 0.29307107 * 0.8, rel=1e-6)
    assert high.fitted_delivered_w == pytest.approx(high.fitted_w * thin, rel=1e-9)


def test_one_heater_or_two(size: Any) -> None:
    rows = size.one_or_two
    assert rows.loc["two", "each_w"] == pytest.approx(0.65 * size.recommended_w)
    assert (rows.loc["one", "one_fails_w"], rows.loc["one", "holds_to"]) == (0.0, pytest.approx(12.0))
    assert rows.loc["two", "holds_to"] == pytest.approx(12.0 - 0.65 * (12.0 + 29.5))
    assert 0.0 < size.mild_w < size.loads[NORMAL]


def test_candidates_of_ones_own(house: Any, chicago: Any) -> None:
    mine = [
        {"name": "small", "type": "pellet stove", "output": "5 kW"},
        {"name": "right", "type": "propane unit heater", "input": "300000 Btu/h"},
        {"name": "huge", "type": "pellet boiler", "output": "300 kW"},
        {"name": "pump", "type": "heat pump", "output": "60 kW"},
    ]
    rows = size_heater(house, chicago, candidates=mine).candidates
    assert rows.loc["small", "verdict"].startswith("too small alone")
    assert rows.loc["right", "verdict"].startswith("enough")
    assert rows.loc["right", "delivered_w"] == pytest.approx(300e3 * 0.29307107 * 0.8, rel=1e-6)
    assert "start and stop" in rows.loc["huge", "verdict"]
    assert rows.loc["pump", "delivered_w"] == 0.0  # -29.5 degC is below the last row of its curve
    assert "a backup must give it all" in rows.loc["pump", "verdict"]
    with pytest.raises(InputError, match=r"^output or input must be given to compare, got neither \(heater 'x'\)"):
        size_heater(house, chicago, candidates=[{"name": "x", "type": "pellet stove"}])
    with pytest.raises(InputError, match=r"rating must say input or output, got \"5 kW\""):
        size_heater(house, chicago, candidates=[{"name": "x", "type": "pellet stove", "rating": "5 kW"}])


def test_a_list_of_heaters_is_read_from_a_file(tmp_path: Any) -> None:
    path = tmp_path / "heaters.toml"
    path.write_text('[[heater]]\nname = "a"\ntype = "pellet stove"\noutput = "5 kW"\n')
    assert read_heaters(path) == [{"name": "a", "type": "pellet stove", "output": "5 kW"}]
    for text, got in (("", "none"), ("x = 1", "x"), ("heater = 1", "none")):
        path.write_text(text)
        with pytest.raises(InputError, match=rf"and nothing else, got {got} \(heaters\.toml\)"):
            read_heaters(path)
    with pytest.raises(InputError, match=r"^file of heaters must be readable, got 'no\.toml'"):
        read_heaters("no.toml")


def test_a_heat_pump_that_stands_still_in_the_cold_is_still_sized(house_maker: Any, chicago: Any) -> None:
    pump = {"name": "pump", "type": "heat pump", "output": "40 kW"}
    size = size_heater(house_maker(heater=[pump], crop="lettuce"), chicago)
    assert size.fitted_delivered_w == 0.0
    assert size.loads[SPELL + ASIDE] > 0.5 * size.recommended_w
    assert size.label["input_w"] is None


def test_the_sample_house() -> None:
    from heatloss import read_weather

    size = size_heater(sample_house(), read_weather("chicago"))
    assert size.fitted_delivered_w is not None
    assert size.fitted_delivered_w > size.recommended_w
