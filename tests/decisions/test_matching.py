"""Whose weather a log is read with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log

from heatloss import InputError, Weather, WeatherError
from heatloss.decisions.matching import days_of, shares_of, weather_for


def dated(weather: Weather, years: int = 1, first: str = "2015-07-01") -> Weather:
    """The typical year's hours as if they had been measured from a date on."""
    index = pd.date_range(first, periods=8760 * years, freq="h", tz=weather.hours.index.tz, name="time")
    hours = pd.concat([weather.hours] * years).set_axis(index)
    return replace(weather, hours=hours, readings=hours["temp_air"], reading_offset=30.0)


def test_a_typical_year_for_another_years_log_must_be_asked_for(chicago):
    log = bare_log(26)
    with pytest.raises(WeatherError, match="must be that of the log's dates, 2015-10-04 to 2016-04-03, got a typical"):
        weather_for(log, chicago)
    record, said = weather_for(log, chicago, typical=True)
    assert "A typical year" in said[0]
    stamp = pd.Timestamp("2016-01-15 12:00", tz=record.hours.index.tz)
    typical = pd.Timestamp("2001-01-15 12:00", tz=record.hours.index.tz)
    assert record.hours.loc[stamp, "temp_air"] == chicago.hours.loc[typical, "temp_air"]
    leap = record.hours.loc["2016-02-29", "ghi"].to_numpy()
    assert leap.tolist() == chicago.hours.loc["2001-02-28", "ghi"].to_numpy().tolist()
    assert len(record.hours) == 8760


def test_real_years_are_cut_to_the_logs_own(chicago):
    record, said = weather_for(bare_log(26), dated(chicago, years=3, first="2014-07-01"))
    assert len(record.hours) == 8760
    assert record.hours.index[-1] == pd.Timestamp("2016-04-02 23:00", tz=record.hours.index.tz)
    assert said == ()


def test_dates_outside_the_weather_are_refused_with_their_line(chicago):
    with pytest.raises(
        WeatherError, match=r"must lie within the weather, 2016-01-01 .*got 2015-10-04 .*log.csv, line 2"
    ):
        weather_for(bare_log(26), dated(chicago, first="2016-01-01"))
    with pytest.raises(InputError, match="must hold fuel burned between two dates"):
        weather_for(replace(bare_log(2), intervals=bare_log(2).intervals[:0]), chicago)


def test_a_loggers_own_outside_column_with_a_typical_years_sun(chicago):
    log = bare_log(4)
    index = pd.date_range("2015-10-03", "2015-11-02", freq="30min")
    frame = pd.DataFrame({"inside": np.nan, "outside": -3.0 + 0.0 * np.arange(len(index))}, index=index)
    record, said = weather_for(replace(log, temperatures=frame), chicago)
    assert "logger's own" in said[0]
    known = record.hours.loc["2015-10-04":"2015-10-31"]
    assert known["temp_air"].to_numpy() == pytest.approx(-3.0)
    assert (known["temp_dew"] <= known["temp_air"] + 0.5).all()
    assert days_of(log, record).outdoors == pytest.approx(-3.0)


def test_a_logger_is_held_against_the_weather_of_the_same_dates(chicago):
    log, record = bare_log(4), dated(chicago)
    there = record.hours["temp_air"].tz_localize(None).loc["2015-10-04":"2015-10-31"]
    frame = pd.DataFrame({"inside": np.nan, "outside": there + 1.0})
    assert "+1.0 K against" in weather_for(replace(log, temperatures=frame), record)[1][0]
    fahrenheit = frame.assign(outside=there * 1.8 + 32.0)
    with pytest.raises(InputError, match="outside must be within 10 K of the weather's on the mean"):
        weather_for(replace(log, temperatures=fahrenheit), record)


def test_shares_of_days_sum_to_one_and_split_at_the_hour():
    log = bare_log(2)
    log.intervals.loc[0, "end"] = pd.Timestamp("2015-10-06 06:00")
    dates = pd.date_range("2015-10-01", periods=30, freq="D")
    shares = shares_of(log, dates)
    assert shares.sum(axis=1) == pytest.approx([1.0, 1.0])
    assert shares[0, 3:6] == pytest.approx(np.array([1.0, 1.0, 0.25]) / 2.25)
