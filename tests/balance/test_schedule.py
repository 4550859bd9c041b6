"""Setpoints, heaters in use and dates, hour by hour."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from season_cases import box, quick

from heatloss import House
from heatloss.balance.schedule import in_dates, in_use, targets

YEAR = pd.date_range("2001-01-01", periods=8760, freq="h")
LEAP = pd.date_range("2020-01-01", periods=8784, freq="h")
SUN_UP = (YEAR.hour >= 6) & (YEAR.hour < 18)


def house(*setpoints: dict[str, object]) -> House:
    return box(setpoint=list(setpoints), heater=[{"name": "stove", "type": "pellet stove"}] if setpoints else [])


def heat(*setpoints: dict[str, object], index: pd.DatetimeIndex = YEAR, up: np.ndarray = SUN_UP) -> pd.Series:
    return pd.Series(targets(house(*setpoints), index, up).heat, index=index)


def days(found: np.ndarray, index: pd.DatetimeIndex = YEAR) -> list[str]:
    """First and last day of each run of true hours, as month-day."""
    edge = np.flatnonzero(np.diff(np.concatenate([[0], found.astype(int), [0]])))
    return [f"{index[i]:%m-%d %H}" for i in edge[::2]] + [f"{index[i - 1]:%m-%d %H}" for i in edge[1::2]]


def test_dates_are_whole_days_of_both_ends() -> None:
    assert days(in_dates(YEAR, "03-10", "04-02")) == ["03-10 00", "04-02 23"]
    assert in_dates(YEAR, "07-04", "07-04").sum() == 24
    assert in_dates(YEAR, None, None).all()
    assert in_dates(YEAR, "01-01", "12-31").all()


def test_dates_run_over_new_year() -> None:
    winter = in_dates(YEAR, "10-15", "04-20")
    assert days(winter) == ["01-01 00", "10-15 00", "04-20 23", "12-31 23"]
    assert (in_dates(YEAR, "04-21", "10-14") == ~winter).all()


def test_leap_day_counts_as_the_day_before_it() -> None:
    for first, last in (("02-28", "02-28"), ("02-01", "02-28"), ("11-01", "02-28")):
        assert in_dates(LEAP, first, last)[LEAP == "2020-02-29 12:00"].all()
    assert not in_dates(LEAP, "03-01", "05-01")[LEAP == "2020-02-29 12:00"].any()
    assert days(in_dates(LEAP, "03-01", "12-31"), LEAP) == ["03-01 00", "12-31 23"]
    assert in_dates(LEAP, "12-31", "12-31").sum() == 24
    both = in_dates(LEAP, "09-01", "02-28").astype(int) + in_dates(LEAP, "03-01", "08-31")
    assert (both == 1).all()


def test_one_setpoint_serves_the_year() -> None:
    assert (heat({"day": "12 degC"}) == 12.0).all()
    found = targets(house({"day": "12 degC"}), YEAR, SUN_UP)
    assert np.isnan(found.vent).all()
    assert np.isnan(found.cool).all()
    found = targets(house({"day": "12 degC", "vent": "27 degC", "cool": "30 degC"}), YEAR, SUN_UP)
    assert (found.vent == 27.0).all()
    assert (found.cool == 30.0).all()


def test_house_without_setpoints_holds_nothing() -> None:
    found = targets(house(), YEAR, SUN_UP)
    assert all(np.isnan(column).all() for column in (found.heat, found.vent, found.cool))


def test_day_is_while_the_sun_is_up_where_no_clock_is_given() -> None:
    found = heat({"day": "15 degC", "night": "9 degC"})
    assert (found[SUN_UP] == 15.0).all()
    assert (found[~SUN_UP] == 9.0).all()


def test_day_by_the_clock() -> None:
    found = heat({"day": "15 degC", "night": "9 degC", "day_from": "07:00", "day_to": "19:00"})
    assert (found[(YEAR.hour >= 7) & (YEAR.hour < 19)] == 15.0).all()
    assert found.value_counts().to_dict() == {15.0: 4380, 9.0: 4380}
    turned = heat({"day": "15 degC", "night": "9 degC", "day_from": "20:00", "day_to": "06:00"})
    assert (turned[(YEAR.hour >= 20) | (YEAR.hour < 6)] == 15.0).all()
    assert (turned[(YEAR.hour >= 6) & (YEAR.hour < 20)] == 9.0).all()


def test_each_range_of_dates_holds_its_own() -> None:
    winter = {"from": "10-01", "to": "04-30", "day": "13 degC", "night": "10 degC", "vent": "27 degC"}
    summer = {"from": "05-01", "to": "09-30", "day": "8 degC"}
    found = targets(house(winter, summer), YEAR, SUN_UP)
    cold = in_dates(YEAR, "10-01", "04-30")
    assert (found.heat[cold & SUN_UP] == 13.0).all()
    assert (found.heat[cold & ~SUN_UP] == 10.0).all()
    assert (found.heat[~cold] == 8.0).all()
    assert (found.vent[cold] == 27.0).all()
    assert np.isnan(found.vent[~cold]).all()


def test_setpoint_climbs_over_the_ramp() -> None:
    """The mean over each hour of a straight climb from the day's beginning."""
    clock = {"day": "20 degC", "night": "10 degC", "day_from": "07:00", "day_to": "19:00"}
    morning = heat({**clock, "ramp": "1 h"}).to_numpy()[24:48]
    assert morning[6:9].tolist() == [10.0, 15.0, 20.0]
    slow = heat({**clock, "ramp": "4 h"}).to_numpy()[24:48]
    assert slow[6:12] == pytest.approx([10.0, 11.25, 13.75, 16.25, 18.75, 20.0])
    half = heat({**clock, "ramp": "2.5 h"}).to_numpy()[24:48]
    assert half[7:10] == pytest.approx([12.0, 16.0, 19.5])  # the last: half an hour from 18 to 20, half an hour at 20
    assert slow[18:20].tolist() == [20.0, 10.0]  # no ramp down
    for ramp in ("1 h", "2.5 h", "4 h"):
        lost = 10.0 * 0.5 * float(ramp.split()[0])
        assert 240.0 + 120.0 - heat({**clock, "ramp": ramp}).to_numpy()[24:48].sum() == pytest.approx(lost)


def test_ramp_lowers_the_peak_of_the_morning() -> None:
    clock = {"day": "18 degC", "night": "8 degC", "day_from": "07:00", "day_to": "19:00"}
    sudden, slow = (quick(house({**clock, "ramp": ramp})) for ramp in ("0 h", "3 h"))
    assert slow.peak_w < 0.95 * sudden.peak_w
    assert slow.heat_kwh < sudden.heat_kwh


def test_season_keeps_the_setpoints() -> None:
    winter = {"from": "10-01", "to": "04-30", "day": "14 degC", "night": "9 degC"}
    summer = {"from": "05-01", "to": "09-30", "day": "5 degC"}
    done = quick(house(winter, summer))
    hourly = done.hourly
    cold = in_dates(done.drivers.index, "10-01", "04-30")
    day = done.drivers.daylight
    assert hourly["inside"][cold & day].min() == pytest.approx(14.0, abs=1e-9)
    assert hourly["inside"][cold & ~day].min() == pytest.approx(9.0, abs=1e-9)
    assert (hourly["setpoint"] == np.where(cold, np.where(day, 14.0, 9.0), 5.0)).all()
    assert (hourly["inside"] >= hourly["setpoint"] - 1e-9).all()


def test_heater_in_use() -> None:
    stove = box(heater=[{"name": "s", "type": "pellet stove", "from": "09-15", "to": "05-31"}]).heater[0]
    assert days(in_use(stove, YEAR)) == ["01-01 00", "09-15 00", "05-31 23", "12-31 23"]
    assert in_use(box().heater[0], YEAR).all()


def test_vents_hold_the_limit_as_far_as_they_can() -> None:
    closed = quick(box(setpoint=[{"day": "10 degC"}]))
    open_at = quick(box(setpoint=[{"day": "10 degC", "vent": "25 degC"}]))
    assert open_at.hourly["inside"].max() < closed.hourly["inside"].max()
    venting = open_at.paths["vent"] < -1.0
    assert (open_at.hourly["inside"][venting] > 25.0 - 1e-6).all()
    assert open_at.ledger["vent"] < 0.0
    assert "vent" not in closed.ledger.index
    cooled = quick(box(setpoint=[{"day": "10 degC", "cool": "25 degC"}]))
    assert cooled.hourly["inside"].max() == pytest.approx(25.0, abs=1e-9)
