"""Degree days, quantiles and monthly means of the six samples.

Expected values: calculated apart from this library, by plain sums over the raw columns that pvlib's readers give; the
design temperatures of the EPW files: read, in the files' own heads (ASHRAE Handbook of Fundamentals 2021, chapter 14).
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import InputError, WeatherError
from heatloss.physics.steady import extreme_minimum
from heatloss.weather import samples, statistics

# name: degree days below 65 degF [degF d], below 18 degC [K d], coldest, 0.4 %, 1 % of readings [degC], sun [kWh/m2]
YEARS = {
    "chicago": (6325, 3430, -22.8, -20.0, -17.2, 1407),
    "sand_point": (9141, 4956, -10.6, -8.9, -8.0, 829),
    "golden": (6175, 3338, -25.0, -17.0, -13.0, 1620),
    "northway": (15007, 8217, -46.0, -44.0, -42.7, 837),
    "nw_colorado": (7727, 4198, -22.2, -16.5, -14.5, 1827),
    "italy_45n8e": (3933, 2103, -2.3, -1.3, -0.7, 1436),
}

DRY_BULB = {
    "northway": "-24.2 -19.8 -11.3  -5.7   8.3  12.7  15.8  11.4   2.8  -3.0 -19.4 -22.7",
    "sand_point": "0.6   1.2   1.7   2.1   3.2   8.1  11.8  11.9   7.9   4.5   0.4  -0.6",
    "nw_colorado": "-7.2  -5.1  -2.3   4.3  13.1  16.4  23.6  21.7  16.4   8.1   1.1  -2.7",
    "chicago": "-4.6  -2.5   3.8  10.0  15.3  21.1  24.1  21.8  18.1  11.0   4.7  -3.7",
    "golden": "1.1  -1.3   3.2   8.4  13.1  18.8  20.8  21.5  17.0   9.4   2.6   1.8",
    "italy_45n8e": "5.2   7.0   8.7  12.4  17.0  22.5  21.9  22.1  20.2  15.0   6.3   4.1",
}

SUN = {
    "northway": "0.23 0.74 1.92 3.56 4.64 5.79 3.66 3.41 2.17 0.89 0.34 0.10",
    "sand_point": "0.58 1.05 1.85 3.06 3.28 3.81 5.00 2.70 3.04 1.61 0.74 0.46",
    "nw_colorado": "2.38 3.80 5.03 6.54 6.81 7.15 7.50 6.57 5.71 3.84 2.52 2.17",
    "chicago": "1.76 2.49 3.44 4.39 5.98 6.29 6.18 5.16 4.19 2.94 1.82 1.50",
    "golden": "2.32 3.05 4.70 5.69 6.11 6.26 6.18 5.89 4.93 3.48 2.88 1.70",
    "italy_45n8e": "1.54 2.39 3.82 4.05 4.83 7.21 6.62 5.76 4.52 2.87 2.02 1.49",
}


def test_every_sample_has_its_rows() -> None:
    assert set(samples()) == set(YEARS) == set(DRY_BULB) == set(SUN)


@pytest.mark.parametrize("name", YEARS)
def test_degree_days_and_quantiles(name: str, sample) -> None:
    weather = sample(name)
    fahrenheit, celsius, low, p996, p99, sun = YEARS[name]
    assert weather.degree_days((65.0 - 32.0) / 1.8) * 1.8 == pytest.approx(fahrenheit, abs=0.5)
    assert weather.degree_days(18.0) == pytest.approx(celsius, abs=0.5)
    design = weather.design_temperatures()
    got = [design["file_coldest"], design["file_996"], design["file_99"]]
    assert got == pytest.approx([low, p996, p99], abs=0.0501)
    assert weather.hours["ghi"].sum() / 1000.0 == pytest.approx(sun, abs=0.5)


@pytest.mark.parametrize("name", YEARS)
def test_monthly_means(name: str, sample) -> None:
    table = sample(name).monthly()
    assert list(table.index) == list(range(1, 13))
    assert table["temp_air"].to_numpy() == pytest.approx(np.array(DRY_BULB[name].split(), float), abs=0.0501)
    assert table["ghi_kwh"].to_numpy() == pytest.approx(np.array(SUN[name].split(), float), abs=0.00501)
    assert (table["temp_low"] < table["temp_air"]).all()


def test_header_design_temperatures(sample) -> None:
    assert sample("chicago").design_temperatures().to_dict() == {
        "file_996": -20.0,
        "file_99": -17.2,
        "file_coldest": -22.8,
        "header_996": -18.7,
        "header_99": -16.0,
        "minimum_5_year": -25.1,
        "minimum_10_year": -27.3,
        "minimum_20_year": -29.5,
        "minimum_50_year": -32.3,
    }
    northway = sample("northway").design_temperatures()
    assert (northway["header_996"], northway["header_99"]) == (-45.0, -42.0)
    assert list(sample("golden").design_temperatures().index) == ["file_996", "file_99", "file_coldest"]


def test_minima_of_the_header_follow_the_extreme_value_law(sample) -> None:
    found = sample("chicago").annual_minima()
    assert found.name == "header"
    # Mean, deviation and the 5, 10, 20, 50-year minima: read, in the file's own head.
    assert found.to_list() == [-22.3, 3.8, -25.1, -27.3, -29.5, -32.3]
    for years in statistics.RETURN_YEARS:
        law = extreme_minimum(found["mean"], deviation=found["sd"], years=years)
        assert law == pytest.approx(found[f"minimum_{years}_year"], abs=0.2)


def test_minima_are_fitted_to_ten_winters_and_refused_below(sample) -> None:
    index = pd.date_range("2000-07-01", "2011-07-01", freq="h", inclusive="left", tz="Etc/GMT+6")
    winter = index.year - (index.month < 7) - 2000
    cold = np.where((index.month == 1) & (index.day == 10) & (index.hour == 6), -20.0 - winter, 10.0)
    readings = pd.Series(cold, index=index)
    found = statistics.annual_minima(readings, {})
    assert found.name == "fitted"
    # eleven minima -20, -21 ... -30: mean -25, deviation sqrt(11) = 3.317. Calculated.
    assert found["mean"] == pytest.approx(-25.0)
    assert found["sd"] == pytest.approx(11.0**0.5)
    assert found["minimum_20_year"] == pytest.approx(extreme_minimum(-25.0, deviation=11.0**0.5, years=20))
    with pytest.raises(WeatherError, match="from 10 whole winters, got 9"):
        statistics.annual_minima(readings[: 9 * 8766], {})
    with pytest.raises(WeatherError, match="Type minimum_20_year under"):
        sample("golden").annual_minima()


def test_cooling_degree_days_turn_the_heating_ones_round(sample) -> None:
    weather = sample("golden")
    daily = weather.daily.to_numpy()
    assert weather.cooling_degree_days(18.0) == pytest.approx(np.maximum(daily - 18.0, 0.0).sum())
    assert weather.degree_days(18.0) - weather.cooling_degree_days(18.0) == pytest.approx((18.0 - daily).sum())


def test_ground_temperatures_of_the_head_are_kept(sample) -> None:
    ground = sample("chicago").header["ground_temperatures"]
    assert sorted(ground) == [0.5, 2.0, 4.0]
    assert all(len(months) == 12 for months in ground.values())


def test_quantiles_leave_35_and_88_hours_colder(sample) -> None:
    readings = pd.Series(np.random.default_rng(1).permutation(8760).astype(float))
    design = statistics.design_temperatures(readings, {})
    assert (readings < design["file_996"]).sum() == 35
    assert (readings < design["file_99"]).sum() == 88


def test_statistics_come_from_readings_not_from_hour_means(sample) -> None:
    weather = sample("chicago")
    assert weather.readings.min() == -22.8
    assert weather.hours["temp_air"].min() == -22.5
    assert weather.design_temperatures()["file_coldest"] == -22.8


def test_last_reading_of_the_day_belongs_to_the_day_that_ends(sample) -> None:
    weather = sample("chicago")
    assert str(weather.readings.index[0]) == "2001-01-01 01:00:00-06:00"
    assert str(weather.readings.index[-1]) == "2002-01-01 00:00:00-06:00"
    assert weather.daily.size == 365
    assert weather.daily.iloc[0] == pytest.approx(weather.readings.iloc[:24].mean())


def test_days_of_a_file_in_utc_are_days_in_utc(sample) -> None:
    weather = sample("italy_45n8e")
    assert str(weather.readings.index[0]) == "2001-01-01 00:00:00+00:00"
    assert weather.daily.iloc[0] == pytest.approx(weather.readings.iloc[:24].mean())


def test_degree_days_of_two_years_are_those_of_one(sample) -> None:
    daily = sample("chicago").daily
    assert statistics.degree_days(pd.concat([daily, daily]), 18.0) == pytest.approx(
        statistics.degree_days(daily, 18.0), rel=1e-12
    )


def test_coldest_spells(sample) -> None:
    weather = sample("northway")
    spells = weather.coldest(3, count=4)
    assert spells["temp_air"].is_monotonic_increasing
    length = pd.Timedelta(days=3)
    starts = spells["start"].sort_values()
    assert (starts.diff().dropna() >= length).all()
    first = spells.iloc[0]
    inside = weather.hours.loc[first["start"] : first["start"] + length - pd.Timedelta(hours=1)]
    assert len(inside) == 72
    assert inside["temp_air"].mean() == pytest.approx(first["temp_air"])
    assert first["temp_air"] == pytest.approx(weather.hours["temp_air"].rolling(72).mean().min())
    assert weather.coldest(365).shape[0] == 1


def test_wind_in_the_cold(sample) -> None:
    # Northway is still when coldest, Sand Point is not: the sign a sizing must see.
    assert sample("northway").cold_wind() < 0.5 < sample("northway").hours["wind_speed"].mean()
    assert sample("sand_point").cold_wind() > sample("sand_point").hours["wind_speed"].mean()


@pytest.mark.parametrize(
    ("call", "word"), [(lambda w: w.degree_days(float("nan")), "base"), (lambda w: w.coldest(0), "days")]
)
def test_refusals(call, word: str, sample) -> None:
    with pytest.raises(InputError, match=f"^{word} must be between"):
        call(sample("chicago"))
