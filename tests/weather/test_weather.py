"""Weather from a frame."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import InputError, WeatherError
from heatloss.weather import Weather

GOLDEN = {"latitude": 39.742, "longitude": -105.179, "altitude": 1829.0, "utc_offset": -7.0}


@pytest.fixture
def frame(sample) -> pd.DataFrame:
    return sample("golden").hours.copy()


def refusal(frame: object, **changes: object) -> str:
    with pytest.raises(WeatherError) as caught:
        Weather.from_frame(frame, **(GOLDEN | changes))  # type: ignore[arg-type]
    return str(caught.value)


def test_there_and_back(frame, sample) -> None:
    weather = Weather.from_frame(frame, **GOLDEN, name="here")
    assert weather.hours.equals(sample("golden").hours)
    assert weather.mid_offset == 30.0
    assert weather.site.name == "here"
    assert weather.site.kind == weather.site.source == "frame"
    assert weather.header == {}
    assert repr(weather) == "<Weather here: 8760 hours, 2001-01-01 to 2001-12-31>"


def test_naive_and_other_zones_mean_the_same(frame, sample) -> None:
    for index in (frame.index.tz_localize(None), frame.index.tz_convert("UTC"), frame.index.tz_convert("US/Mountain")):
        assert Weather.from_frame(frame.set_axis(index), **GOLDEN).hours.equals(sample("golden").hours)


def test_readings_at_start_and_end(frame) -> None:
    temp = frame["temp_air"].to_numpy()
    start = Weather.from_frame(frame, **GOLDEN, readings="start")
    end = Weather.from_frame(frame, **GOLDEN, readings="end")
    middle = (temp[1:] + temp[:-1]) / 2
    assert start.hours["temp_air"].to_numpy() == pytest.approx(np.append(middle, temp[-1]))
    assert end.hours["temp_air"].to_numpy() == pytest.approx(np.append(temp[0], middle))
    assert (start.readings.to_numpy() == temp).all()
    assert str(end.readings.index[0]) == "2001-01-01 01:00:00-07:00"


def test_least_columns(frame) -> None:
    least = frame[["temp_air", "relative_humidity", "wind_speed", "ghi", "dni", "dhi"]].assign(rain=0.0)
    weather = Weather.from_frame(least, **GOLDEN)
    assert weather.notes == (
        "Columns left aside: rain.",
        "Dew point of 8760 readings from relative humidity, over water.",
        "Pressure is not known throughout: 81198 Pa, the standard at 1829 m.",
    )
    # both are printed rounded, the dew point often to 1 K; it tells most where air is driest
    apart = (weather.hours["temp_dew"] - frame["temp_dew"]).abs()
    assert apart.median() < 0.5
    assert apart.quantile(0.95) < 1.5
    dew = frame.drop(columns=["relative_humidity", "pressure"])
    assert Weather.from_frame(dew, **GOLDEN).hours["relative_humidity"].between(0.0, 100.0).all()


def test_snow_that_is_zero_is_known_in_a_frame(frame) -> None:
    assert (Weather.from_frame(frame.assign(snow_depth=0.0), **GOLDEN).hours["snow_depth"] == 0.0).all()


def test_a_frame_may_be_without_sun(frame) -> None:
    dark = frame.assign(ghi=0.0, dni=0.0, dhi=0.0)
    weather = Weather.from_frame(dark, **GOLDEN)
    assert weather.notes == ("ghi, dni and dhi are zero in every hour: a year without sun.",)
    assert not weather.hours[["ghi", "dni", "dhi"]].to_numpy().any()
    assert refusal(dark.assign(dni=frame["dni"])).startswith("ghi must be above 0 in some hours [W/m2], got 0 in all")


def test_two_real_years(frame) -> None:
    index = pd.date_range("2021-07-01", periods=2 * 8760, freq="h")
    golden = frame.tz_localize(None)
    half = golden.loc["2001-07-01":]
    one = pd.concat([half, golden.loc[:"2001-06-30"]])
    weather = Weather.from_frame(pd.concat([one, one]).set_axis(index), **GOLDEN)
    assert len(weather.hours) == 2 * 8760
    assert weather.hours.index[0] == pd.Timestamp("2021-07-01", tz=weather.hours.index.tz)
    assert weather.degree_days(18.0) == pytest.approx(Weather.from_frame(frame, **GOLDEN).degree_days(18.0), rel=1e-6)


def test_half_hours(frame) -> None:
    index = pd.date_range(frame.index[0], periods=2 * len(frame), freq="30min")
    halves = frame.loc[frame.index.repeat(2)].set_axis(index)
    weather = Weather.from_frame(halves, **GOLDEN, mid_offset=15.0)
    assert weather.mid_offset == 30.0
    assert weather.hours.to_numpy() == pytest.approx(frame.to_numpy())


@pytest.mark.parametrize(
    "column", ["temp_air", "temp_dew", "relative_humidity", "wind_speed", "pressure", "ghi", "albedo"]
)
def test_nan_anywhere(frame, column: str) -> None:
    frame.loc[frame.index[4711], column] = np.nan
    message = refusal(frame)
    assert message.startswith(f"{column} must be between ")
    assert ", got nothing (frame, 2001-07-16 07:00). " in message


@pytest.mark.parametrize("column", ["temp_air", "wind_speed", "ghi", "dni", "dhi"])
def test_missing_column(frame, column: str) -> None:
    assert refusal(frame.drop(columns=column)).startswith(f"columns must include {column}, got ")


def test_missing_humidity(frame) -> None:
    assert refusal(frame[["temp_air", "wind_speed", "ghi", "dni", "dhi"]]) == (
        "columns must include temp_dew or relative_humidity, got temp_air, wind_speed, ghi, dni, dhi (frame). "
        "Add what is missing, under that name."
    )


def test_gaps_and_rows(frame) -> None:
    assert refusal(frame.drop(frame.index[100])) == (
        "hours must follow one another without a gap, got 8759 rows of 8760 (frame; missing 05 Jan 04:00). "
        'Gaps of up to 6 h are filled with fill "short"; else take another file.'
    )
    assert refusal(frame.iloc[:5000]).endswith("The file is cut short: download it again.")
    assert refusal(frame.iloc[:1]).startswith("hours must be 8760 or more, each with its time, got 1 rows (frame).")
    long = pd.concat([frame, frame.set_axis(frame.index + pd.Timedelta(days=365))]).drop(frame.index[100])
    assert "got 17519 rows of 17520 (frame; missing 2001-01-05 04:00)" in refusal(long)
    assert refusal(frame.iloc[::2]).startswith(
        "the step between rows must be an hour or a whole part of one [min], got 120"
    )
    assert refusal(frame.iloc[::-1]).startswith("the step between rows must be")


def test_stamps_off_the_hour(frame) -> None:
    assert refusal(frame, utc_offset=-6.5) == (
        "time must start on a whole hour of local standard time, got 2001-01-01 00:30:00 (frame). "
        "Set utc_offset so that the stamps fall on whole hours, or drop the rows before the first one."
    )


def test_wrong_unit_of_pressure(frame) -> None:
    frame["pressure"] /= 100.0
    assert refusal(frame).endswith("A file in mbar must be multiplied by 100.")


def test_wrong_clock(frame) -> None:
    message = refusal(frame.tz_localize(None), longitude=-90.0)
    assert message.startswith("sun must stand where place and time zone put it, got a sun ")
    assert message.endswith("Mend longitude, utc_offset or mid_offset.")


def test_half_an_hour_off_is_noted_not_refused(frame) -> None:
    weather = Weather.from_frame(frame, **GOLDEN, mid_offset=0.0)
    assert weather.notes[-1] == "ghi, dni and dhi agree within 23 W/m2; with the sun +30 min off within 1."


@pytest.mark.parametrize("key", GOLDEN)
def test_place_must_be_numbers(frame, key: str) -> None:
    assert refusal(frame, **{key: float("nan")}).startswith(f"{key} must be between ")
    assert refusal(frame, **{key: "7"}) == f"{key} must be a number, got '7' (frame). Type it without a unit."


def test_other_refusals(frame) -> None:
    assert refusal([1, 2]) == (
        "frame must be a DataFrame on a DatetimeIndex, got list on no index. Set the index to the times of the rows."
    )
    assert "got DataFrame on RangeIndex" in refusal(frame.reset_index(drop=True))
    with pytest.raises(InputError, match=r"^readings must be mean, start or end, got 'middle'"):
        Weather.from_frame(frame, **GOLDEN, readings="middle")
    with pytest.raises(InputError, match=r"^mid_offset must be between 0 and 60 \[min\], got 90"):
        Weather.from_frame(frame, **GOLDEN, mid_offset=90.0)
