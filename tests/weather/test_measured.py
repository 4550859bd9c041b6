"""Measured temperatures paired with a typical year's sun: a station's ISD-Lite and a logger's CSV, both constructed.

The temperatures are those of a sample moved onto real years, so what must come back is known to the digit.
"""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import UnknownNameError, WeatherError
from heatloss.weather import Weather, read_weather
from heatloss.weather.checks import closure
from heatloss.weather.measured import is_isd_lite


def isd(weather: Weather, year: int, *, drop: tuple[int, ...] = (), blank: tuple[int, ...] = ()) -> str:
    """The text of an ISD-Lite file of one year; rows in ``drop`` are absent, in ``blank`` their temperature is."""
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    local = (np.arange(len(index)) + round(weather.site.utc_offset)) % 8760
    hours = weather.hours.iloc[local]
    lines = []
    for row, (stamp, temp, dew, wind) in enumerate(
        zip(index, hours["temp_air"], hours["temp_dew"], hours["wind_speed"], strict=True)
    ):
        if row not in drop:
            t = -9999 if row in blank else round(10 * temp)
            lines.append(
                f"{stamp:%Y %m %d %H} {t:5d} {round(10 * dew):5d} 10130   240 {round(10 * wind):5d}     2 -9999 -9999"
            )
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def station(sample, tmp_path_factory) -> Path:
    path: Path = tmp_path_factory.mktemp("isd") / "725300-2015.gz"
    path.write_bytes(gzip.compress(isd(sample("chicago"), 2015).encode()))
    return path


def test_isd_lite_is_told_by_its_numbers(station, sample) -> None:
    assert is_isd_lite("2015 01 01 00   -83  -172 10243   240    62     2 -9999 -9999\n")
    assert not is_isd_lite("2015,01,01\n")
    with pytest.raises(WeatherError, match=r"^sun must name a typical year for a file without sun, got none"):
        read_weather(station)
    made = read_weather(station, sun="chicago")
    assert made.site.kind == "isd_lite"
    assert made.hours.index[0] == pd.Timestamp("2014-12-31 18:00", tz="Etc/GMT+6")


def test_utc_is_moved_and_tenths_are_divided(station, sample) -> None:
    made, chicago = read_weather(station, sun="chicago"), sample("chicago")
    # reading at local midnight of 1 January 2015 is the sample's first hour
    assert made.readings.loc["2015-01-01 00:00-06:00"] == pytest.approx(chicago.hours["temp_air"].iloc[0], abs=0.051)
    assert made.readings.mean() == pytest.approx(chicago.hours["temp_air"].mean(), abs=0.01)
    assert made.degree_days(18.0) == pytest.approx(chicago.degree_days(18.0), rel=0.01)


def test_cold_clear_pairing_is_kept(station, sample) -> None:
    # The same temperatures find (mostly) their own days, so that sun and cold stay tied as in the typical year.
    made, chicago = read_weather(station, sun=sample("chicago")), sample("chicago")
    kept = made.hours.loc["2015-01-02":"2015-12-30"]
    own = chicago.hours.iloc[24 : 24 + len(kept)]
    same = np.isclose(kept["dni"].to_numpy(), own["dni"].to_numpy())
    assert same.mean() > 0.95
    assert closure(made.hours, made.site, made.mid_offset) < 1.0
    assert any("each day takes the typical day within 15 days" in note for note in made.notes)

    def tie(weather: Weather) -> float:
        winter = weather.hours[np.isin(weather.hours.index.month, (12, 1, 2))]
        daily = winter[["temp_air", "dni"]].groupby(winter.index.date).mean()
        return float(daily["temp_air"].corr(daily["dni"]))

    assert tie(made) == pytest.approx(tie(chicago), abs=0.05)
    by_date = chicago.hours.copy()
    by_date[["temp_air", "temp_dew"]] = np.roll(by_date[["temp_air", "temp_dew"]].to_numpy(), 24 * 9, axis=0)
    assert abs(tie(made)) > abs(float(_daily_tie(by_date)))  # sun by date loses it


def _daily_tie(hours: pd.DataFrame) -> float:
    winter = hours[np.isin(hours.index.month, (12, 1, 2))]
    daily = winter[["temp_air", "dni"]].groupby(winter.index.date).mean()
    return float(daily["temp_air"].corr(daily["dni"]))


def test_gaps_of_a_station_are_listed_filled_on_request_and_refused_when_long(sample, written) -> None:
    chicago = sample("chicago")
    few = written(isd(chicago, 2015, drop=(100, 101, 8759), blank=(500,)))
    with pytest.raises(WeatherError, match=r"missing 2015-01-04 22:00, 2015-01-04 23:00"):
        read_weather(few, sun=chicago)
    made = read_weather(few, sun=chicago, fill="short")
    assert len(made.hours) == 8760
    assert any(
        note.startswith("temp_air: 4 missing values filled as asked (2015-01-04 22:00 to 2015-01-04 23:00, ")
        for note in made.notes
    )
    whole = read_weather(written(isd(chicago, 2015)), sun=chicago)
    assert made.readings.to_numpy() == pytest.approx(whole.readings.to_numpy(), abs=3.0)
    long = written(isd(chicago, 2015, drop=tuple(range(100, 108))))
    with pytest.raises(WeatherError, match=r"^gaps must be at most 6 h to be filled \[h\], got 8 h of temp_air"):
        read_weather(long, sun=chicago, fill="short")


def test_one_blank_temperature_is_refused_without_the_word(sample, written) -> None:
    file = written(isd(sample("chicago"), 2015, blank=(500,)))
    with pytest.raises(WeatherError, match=r"^temp_air must be between -90 and 60 \[degC\], got nothing"):
        read_weather(file, sun="chicago")


def test_leap_year(sample, written) -> None:
    made = read_weather(written(isd(sample("chicago"), 2016)), sun="chicago")
    assert len(made.hours) == 8784
    assert len(made.hours.loc["2016-02-29"]) == 24


LOGGER = """\
[measured]
files = ["door.csv"]
typical = "golden"
time = "Date Time"
time_format = "%m/%d/%Y %H:%M"
[measured.columns]
temp_air = {column = "Temp", unit = "degF"}
relative_humidity = {column = "RH", unit = "%"}
"""


@pytest.fixture
def door(sample, tmp_path) -> Path:
    """A logger by the door: every ten minutes, degF, from July to July, two degrees below the typical year."""
    hours = sample("golden").hours
    index = pd.date_range("2021-07-01", "2022-07-02", freq="10min", inclusive="left")
    row = ((index.day_of_year - 1) % 365 * 24 + index.hour).to_numpy()
    temp = 1.8 * (hours["temp_air"].to_numpy()[row] - 2.0) + 32.0
    table = pd.DataFrame({"Date Time": index.strftime("%m/%d/%Y %H:%M"), "Temp": temp.round(2), "RH": 50.0})
    table.to_csv(tmp_path / "door.csv", index=False)
    file = tmp_path / "door.toml"
    file.write_text(LOGGER, encoding="utf-8")
    return file


def test_logger_by_its_table(door, sample) -> None:
    made = read_weather(door)
    assert made.site.kind == "measured"
    assert len(made.hours) == 366 * 24
    assert made.hours["temp_air"].mean() == pytest.approx(sample("golden").hours["temp_air"].mean() - 2.0, abs=0.1)
    assert made.hours["relative_humidity"].mean() == pytest.approx(50.0, abs=0.5)
    assert "door.csv: rows every 10 min, averaged by hours." in made.notes
    assert any("so do wind_speed" in note for note in made.notes)


@pytest.mark.parametrize(
    ("old", "new", "error", "message"),
    [
        ('"Temp"', '"Tmp"', UnknownNameError, "column must be a known name, got 'Tmp'"),
        ('"degF"', '"mph"', WeatherError.__base__, "unit of temp_air must be"),
        ("temp_air =", "temp_ait =", UnknownNameError, "logger column must be a known name"),
        ("%m/%d", "%d/%m", WeatherError, "time must be understood in every row, got '07/13/2021 00:00'"),
        ('typical = "golden"', "", WeatherError, "typical must name a typical year, got None"),
        ('files = ["door.csv"]', "", WeatherError, "files must list one file or more, got None"),
        ('["door.csv"]', '["window.csv"]', WeatherError, "weather must be a file"),
        ("time =", "tyme =", UnknownNameError, "key of \\[measured\\] must be a known name"),
        ('{column = "Temp", unit = "degF"}', '"Temp"', WeatherError, "temp_air must name a column and its unit"),
        ("[measured]", "[measured", WeatherError, "weather file must be one of those README lists"),
    ],
)
def test_faults_of_a_logger_table(door, old: str, new: str, error, message: str) -> None:
    door.write_text(LOGGER.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(error, match=f"^{message}"):
        read_weather(door)


def test_too_short_a_log_is_refused(door) -> None:
    table = door.parent / "door.csv"
    table.write_text("\n".join(table.read_text(encoding="utf-8").split("\n")[:5000]), encoding="utf-8")
    with pytest.raises(WeatherError, match=r"^hours must follow one another without a gap, got 834 rows of 8760"):
        read_weather(door)


def test_real_station_years() -> None:
    folder = Path(__file__).parents[3] / "shared" / "weather"
    files = [folder / f"isd_lite_725300-{year}.gz" for year in (2015, 2016, 2017)]
    if not all(file.is_file() for file in files):
        pytest.skip("ISD-Lite of Chicago O'Hare, 2015 to 2017, is wanted in ../shared/weather")
    # Degree days below 65 degF of UTC days, calculated from the raw rows.
    for file, expected in zip(files, (6103, 5710, 5466), strict=True):
        made = read_weather(file, sun="chicago", fill="short")
        assert made.degree_days(18.333) * 1.8 == pytest.approx(expected, rel=0.01)
    # 2017 against the typical year, calculated from the raw rows: 0.86 at base 18, 0.71 at base 5 degC.
    typical = read_weather("chicago")
    assert made.degree_days(18.0) / typical.degree_days(18.0) == pytest.approx(0.86, abs=0.01)
    assert made.degree_days(5.0) / typical.degree_days(5.0) == pytest.approx(0.71, abs=0.01)
