"""Many houses at once give what each gives alone."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from heatloss import House, InputError, Weather, batch, read_weather, sample_house, simulate
from heatloss.balance.plan import Plan
from heatloss.batch import FEW, LANES, Totals, simulate_many

SAME = 1e-9
"""Relative: sums over hours are added month by month, in another order."""


@pytest.fixture(scope="module")
def weather() -> Weather:
    return read_weather("chicago")


def leaky(ach: float) -> House:
    return sample_house().changed(air={"ach": ach})


@pytest.fixture(scope="module")
def houses() -> dict[str, House]:
    base = sample_house()
    heater = dict(base.tree()["heater"][0])
    alike = {f"ach {0.2 + 0.1 * i:.1f}": leaky(0.2 + 0.1 * i) for i in range(FEW + 2)}
    return {
        **alike,
        "curtain": base.changed(curtain=[{"material": "energy curtain"}]),
        "other ties": base.changed(floor={"kind": "bare soil", "soil": "clay"}),
        "too small a heater": base.changed(heater=[{**heater, "output": "3 kW"}]),
        "two heaters": base.changed(heater=[{**heater, "output": "4 kW"}, {**heater, "name": "second"}]),
        "part of the year": base.changed(heater=[{**heater, "from": "11-01", "to": "03-31"}]),
        "no heater": base.changed(heater=[], water=[]),
        "perimeter": base.changed(method={"ground": "f_factor"}),
        "heat pump": base.changed(heater=[{"name": "pump", "type": "heat pump cold climate", "output": "9 kW"}]),
        "broken": base.changed(bed=[{"name": "b", "area": "500 m2", "depth": "0.3 m", "soil": "clay"}]),
    }


@pytest.fixture(scope="module")
def totals(houses: dict[str, House], weather: Weather) -> Totals:
    return simulate_many(houses, weather, daily=True)


def test_same_figures_as_one_at_a_time(houses: dict[str, House], weather: Weather, totals: Totals) -> None:
    for name, house in houses.items():
        if name == "broken":
            continue
        season, row = simulate(house, weather), totals.frame.loc[name]
        assert season.assembly.sunlight is not None
        expected = {
            "heat_kwh": season.heat_kwh,
            "peak_w": season.peak_w,
            "fuel": season.fuel.amount if season.fuels else np.nan,
            "cost": sum(f.cost for f in season.fuels) if season.fuels else np.nan,
            "unmet_hours": season.unmet["hours"],
            "degree_hours": season.unmet["degree_hours"],
            "lowest": season.unmet["lowest"],
            "sun_entered_kwh": season.assembly.sunlight.entered[season.heating].sum() / 1000.0,
            "light_darkest": season.light.min(),
        }
        for column, value in expected.items():
            assert row[column] == pytest.approx(value, rel=SAME, nan_ok=True), (name, column)
        assert row["unit"] == (season.fuel.unit if season.fuels else "")
        assert row["closure"] < 1e-9
        assert row["error"] == ""
        assert totals.monthly.loc[name].to_numpy() == pytest.approx(season.monthly["heat_kwh"].to_numpy(), rel=SAME)
        days = season.hourly["heat"].groupby(season.hourly.index.normalize()).sum() / 1000.0
        assert totals.daily is not None
        assert totals.daily.loc[name].to_numpy() == pytest.approx(days.to_numpy(), rel=SAME)


def test_rows_and_months_stand_in_order(houses: dict[str, House], totals: Totals) -> None:
    assert list(totals.frame.index) == list(houses)
    assert tuple(totals.frame.columns) == batch.COLUMNS
    assert list(totals.monthly.columns) == [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]
    assert totals.daily is not None
    assert totals.daily.shape == (len(houses), 365)


def test_a_house_that_cannot_be_is_a_row_with_its_error(totals: Totals) -> None:
    row = totals.frame.loc["broken"]
    assert "bed areas must sum to less than the floor" in row["error"]
    assert np.isnan(row["heat_kwh"])
    assert totals.monthly.loc["broken"].isna().all()


def test_threads_change_no_bit(weather: Weather) -> None:
    houses = [leaky(0.2 + 0.02 * i) for i in range(LANES + 3)]
    one, two = (simulate_many(houses, weather, threads=n, steps_per_hour=1, iterations=1) for n in (1, 2))
    pd.testing.assert_frame_equal(one.frame, two.frame, check_exact=True)
    assert one.daily is None


def test_a_generator_a_series_and_progress(weather: Weather) -> None:
    said: list[int] = []
    given = pd.Series({"x": leaky(0.3), "y": leaky(0.5)})
    one = simulate_many(given, weather, steps_per_hour=1, progress=said.append)
    two = simulate_many((house for house in given), weather, steps_per_hour=1)
    assert list(one.frame.index) == ["x", "y"]
    assert list(two.frame.index) == [0, 1]
    assert np.array_equal(one.frame["heat_kwh"], two.frame["heat_kwh"])
    assert said[-1] == 2


def test_one_at_fault_spares_the_others_of_its_group(weather: Weather, monkeypatch: pytest.MonkeyPatch) -> None:
    march = batch._march
    bad = 2

    def faulty(cases: list[batch.Case], plan: Plan, clock: batch.Clock) -> batch._Sums:
        if any(case.number == bad for case in cases):
            raise InputError("controls must have one consistent answer, got none.")
        return march(cases, plan, clock)

    monkeypatch.setattr(batch, "_march", faulty)
    frame = simulate_many([leaky(0.2 + 0.1 * i) for i in range(FEW + 1)], weather, steps_per_hour=1).frame
    assert frame.loc[bad, "error"].startswith("controls must")
    assert (frame["error"] == "").sum() == FEW
    assert frame["heat_kwh"].notna().sum() == FEW


def test_no_house_no_row(weather: Weather) -> None:
    assert simulate_many([], weather).frame.empty


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"steps_per_hour": 0}, "steps_per_hour must be a whole number > 0, got 0"),
        ({"iterations": 1.5}, "iterations must be a whole number > 0, got 1.5"),
        ({"threads": True}, "threads must be a whole number > 0, got True"),
        ({"weather": "chicago"}, "weather must be a Weather, got 'chicago'"),
    ],
)
def test_bad_input_is_said(weather: Weather, changes: dict, message: str) -> None:
    with pytest.raises(InputError, match=message):
        simulate_many([sample_house()], **{"weather": weather, **changes})
