"""Finding, opening and telling weather files apart, and what is refused, word for word."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import UnknownNameError, WeatherError
from heatloss.weather import KINDS, Weather, read_weather, samples
from heatloss.weather.samples import sample_path

NAMES = "chicago, golden, sand_point, northway, nw_colorado, italy_45n8e"


def refusal(path: object, kind: str | None = None) -> str:
    with pytest.raises(WeatherError) as caught:
        read_weather(path, kind)  # type: ignore[arg-type]
    return str(caught.value)


def edited(text: str, row: int, column: int, value: str) -> str:
    """The text with one field of one line changed, lines and fields counted from 0."""
    lines = text.split("\n")
    fields = lines[row].split(",")
    fields[column] = value
    lines[row] = ",".join(fields)
    return "\n".join(lines)


def test_samples_are_found_and_unknown_names_are_not() -> None:
    for name in samples():
        path = sample_path(name)
        assert path is not None
        assert path.is_file()
    assert sample_path("paris") is None


def test_samples_folder_describes_every_file() -> None:
    path = sample_path("chicago")
    assert path is not None
    readme = (path.parent / "README.md").read_text(encoding="utf-8")
    for file in path.parent.glob("*.gz"):
        assert f"`{file.name}`" in readme
    for name in samples():
        assert f"| `{name}` |" in readme


@pytest.mark.parametrize("name", samples())
def test_plain_file_gives_the_same_as_gzipped(name: str, sample, text, written) -> None:
    plain = read_weather(written(text(name)))
    assert plain.site.source == "weather.txt"
    assert plain.hours.equals(sample(name).hours)
    assert plain.site.kind == sample(name).site.kind


@pytest.mark.parametrize("name", samples())
def test_kind_may_be_said(name: str, sample, text, written) -> None:
    kind = sample(name).site.kind
    assert read_weather(written(text(name)), kind=kind).hours.equals(sample(name).hours)


def test_byte_order_mark_and_old_line_ends(sample, text, tmp_path: Path) -> None:
    path = tmp_path / "marked.epw"
    path.write_bytes(b"\xef\xbb\xbf" + text("chicago").replace("\r\n", "\r").encode())
    assert read_weather(path).hours.equals(sample("chicago").hours)


def test_latin_1_names(text, tmp_path: Path) -> None:
    path = tmp_path / "latin.epw"
    path.write_bytes(text("chicago").replace("Chicago OHare", "Chicàgo").encode("latin-1"))
    assert read_weather(path).site.name.startswith("Chicàgo")


def test_unknown_kind_lists_the_nearest_and_picks_none() -> None:
    with pytest.raises(UnknownNameError) as caught:
        read_weather("chicago", kind="tmy")
    assert str(caught.value) == "kind must be a known name, got 'tmy'. The nearest: tmy3, tmy2."
    assert KINDS == (
        "tmy3", "tmy2", "epw", "pvgis_csv", "pvgis_json", "nsrdb", "isd_lite", "measured", "normals"
    )  # fmt: skip


def test_missing_file() -> None:
    assert refusal("chicgo") == (
        f"weather must be a file or one of the samples {NAMES}, got 'chicgo' (no such file). Did you mean chicago?"
    )
    assert refusal("zzz.xyz") == (
        f"weather must be a file or one of the samples {NAMES}, got 'zzz.xyz' (no such file). "
        "Check the folder and the spelling."
    )


@pytest.mark.parametrize("name", ["", ".", "a\x00b", "x" * 5000])
def test_what_is_no_file(name: str) -> None:
    assert refusal(name).startswith("weather must be a file or one of the samples")


def test_wrong_format(written) -> None:
    assert refusal(written("hello\nworld\n")) == (
        "weather file must be one of those README lists, got one that starts with 'hello' (weather.txt). Say which "
        "with kind: tmy3, tmy2, epw, pvgis_csv, pvgis_json, nsrdb, isd_lite, measured, normals."
    )
    assert refusal(written("PK\x03\x04...")).endswith("Unzip it first.")
    assert refusal(written("")).startswith("weather file must be one of those README lists, got an empty file")


def test_wrong_kind(written, text) -> None:
    message = refusal(written(text("chicago")), "tmy3")
    assert message.startswith(
        "weather file must be a whole tmy3 file, got one that does not read as such (weather.txt: "
    )
    assert message.endswith("Download it again, or say its format with kind.")


def test_damaged_gzip(tmp_path: Path, text) -> None:
    path = tmp_path / "cut.epw.gz"
    path.write_bytes(gzip.compress(text("chicago").encode(), 1)[:5000])
    assert refusal(path) == (
        "weather file must be readable, got a file that cannot be opened or unpacked (cut.epw.gz: "
        "Compressed file ended before the end-of-stream marker was reached). Download it again."
    )


def test_truncated(written, text) -> None:
    short = "\n".join(text("chicago").split("\n")[:5008])
    assert refusal(written(short)) == (
        "hours must follow one another without a gap, got 5000 rows of 8760, the last 28 Jul 07:00 (weather.txt). "
        "The file is cut short: download it again."
    )


@pytest.mark.parametrize(("name", "head"), [("chicago", 8), ("golden", 2)])
def test_8759_rows(name: str, head: int, written, text) -> None:
    lines = text(name).split("\n")
    del lines[head + 72 * 24 + 6]
    assert refusal(written("\n".join(lines))) == (
        "hours must follow one another without a gap, got 8759 rows of 8760 (weather.txt; missing 14 Mar 06:00). "
        'Gaps of up to 6 h are filled with fill "short"; else take another file.'
    )


def test_gap_lists_five_times(written, text) -> None:
    lines = text("italy_45n8e").split("\n")
    del lines[18 + 100 : 18 + 107]
    assert refusal(written("\n".join(lines))) == (
        "hours must follow one another without a gap, got 8753 rows of 8760 (weather.txt; missing 05 Jan 04:00, "
        "05 Jan 05:00, 05 Jan 06:00, 05 Jan 07:00, 05 Jan 08:00 and 2 more). "
        'Gaps of up to 6 h are filled with fill "short"; else take another file.'
    )


def test_gap_of_half_an_hour(written, text) -> None:
    lines = text("nw_colorado").split("\n")
    del lines[3 + 101]
    assert refusal(written("\n".join(lines))) == (
        "hours must follow one another without a gap, got 17519 rows of 17520 (weather.txt; missing 03 Jan 02:30). "
        'Gaps of up to 6 h are filled with fill "short"; else take another file.'
    )


def test_doubled_and_disordered_rows(written, text) -> None:
    lines = text("golden").split("\n")
    doubled = [*lines[:30], lines[29], *lines[30:]]
    assert refusal(written("\n".join(doubled))) == (
        "hours must follow one another without a gap, got 8761 rows of 8760 (weather.txt; twice 02 Jan 03:00). "
        "Delete the doubled rows."
    )
    lines[40], lines[41] = lines[41], lines[40]
    assert refusal(written("\n".join(lines))) == (
        "hours must follow one another without a gap, got 8760 rows of 8760 (weather.txt; the rows are out of order). "
        "Sort them by time."
    )


@pytest.mark.parametrize(
    ("column", "value", "message"),
    [
        (6, "-200", "temp_air must be between -90 and 60 [degC], got -200"),
        (6, "nan", "temp_air must be between -90 and 60 [degC], got nothing"),
        (6, "cold", "temp_air must be between -90 and 60 [degC], got nothing"),
        (6, "99.9", "temp_air must be between -90 and 60 [degC], got nothing"),
        (8, "150", "relative_humidity must be between 0 and 110 [%], got 150"),
        (21, "60", "wind_speed must be between 0 and 50 [m/s], got 60"),
        (21, "-1", "wind_speed must be between 0 and 50 [m/s], got -1"),
    ],
)
def test_impossible_readings(column: int, value: str, message: str, written, text) -> None:
    file = written(edited(text("chicago"), 8 + 30, column, value))
    assert refusal(file) == f"{message} (weather.txt, 02 Jan 06:00). Mend or replace the value, or take another file."


def test_negative_sun(written, text) -> None:
    content = edited(text("chicago"), 8 + 30, 14, "-5")
    content = edited(content, 8 + 31, 14, "-6")
    assert refusal(written(content)) == (
        "dni must be between 0 and 1500 [W/m2], got -5 (weather.txt, 02 Jan 06:00 and 1 more). "
        "Night and faults of an instrument must be 0."
    )


def test_missing_codes_of_tmy3(written, text) -> None:
    message = refusal(written(edited(text("golden"), 2 + 30, 46, "-9900")))
    assert message.startswith("wind_speed must be between 0 and 50 [m/s], got nothing (weather.txt, 02 Jan 06:00)")


@pytest.mark.parametrize(
    ("column", "value", "message"),
    [
        (6, "95.0", "latitude must be between -90 and 90 [deg], got 95"),
        (7, "-187.9", "longitude must be between -180 and 180 [deg], got -187.9"),
        (8, "nan", "weather file must be a whole epw file"),
        (8, "-16", "utc_offset must be between -12 and 14 [h], got -16"),
        (9, "20100", "altitude must be between -450 and 6000 [m], got 20100"),
    ],
)
def test_places_off_the_earth(column: int, value: str, message: str, written, text) -> None:
    assert refusal(written(edited(text("chicago"), 0, column, value))).startswith(message)


def test_wrong_half_of_the_earth(written, text) -> None:
    message = refusal(written(edited(text("chicago"), 0, 7, "87.91700")))
    assert message.startswith("sun must stand where place and time zone put it, got a sun ")


def test_pvgis_as_epw_is_refused_with_its_reason(sample, text, written) -> None:
    # The EPW of this service holds rows in UTC under a head that says local time.
    lines = text("italy_45n8e").split("\n")
    rows = [line.split(",") for line in lines[18 : 18 + 8760]]
    head = text("chicago").split("\n")[:8]
    head[0] = "LOCATION,unknown,-,unknown,ECMWF/ERA,unknown,45.000,8.000,1,250.0"
    out = []
    for stamp, temp, rh, ghi, dni, dhi, longwave, wind, bearing, pressure in rows:
        when = f"{stamp[:4]},{stamp[4:6]},{stamp[6:8]},{int(stamp[9:11]) + 1},60,_"
        sun = f"9999,9999,{longwave},{ghi},{dni},{dhi},999999,999999,999999,9999"
        tail = "99,99,9999,99999,9,999999999,9999,0.9999,999,99,999,999,99"
        out.append(f"{when},{temp},99.9,{rh},{pressure.strip()},{sun},{bearing},{wind},{tail}")
    message = refusal(written("\n".join(head + out)))
    assert re.fullmatch(
        r"sun must stand where place and time zone put it, got a sun 45 min later \(weather.txt; ghi - dhi - dni cos z "
        r"is \d\d W/m2, with the sun moved \d\)\. The rows of an EPW of PVGIS are in UTC whatever its head says: take "
        r"the csv or json of PVGIS\.",
        message,
    )
    # the same rows under a truthful head read, and give back the dew point that the file lacks
    head[0] = "LOCATION,unknown,-,unknown,ECMWF/ERA,unknown,45.000,8.000,0,250.0"
    told = read_weather(written("\n".join(head + out)))
    assert told.degree_days(18.0) == pytest.approx(sample("italy_45n8e").degree_days(18.0), abs=0.01)
    assert "opaque_cloud" not in told.hours
    assert "opaque_cloud is left out: 8760 of 8760 values are missing." in told.notes
    assert "Dew point of 8760 readings from relative humidity, over water." in told.notes


def test_sun_of_another_instrument(written, text) -> None:
    lines = text("chicago").split("\n")
    rows = [line.split(",") for line in lines[8:8768]]
    excess = 1.5 * np.array([float(row[15]) for row in rows])
    for row in rows:
        row[15] = str(2.5 * float(row[15]))
    assert refusal(written("\n".join(lines[:8] + [",".join(row) for row in rows]))) == (
        f"ghi must be dhi + dni cos z within 60 [W/m2], got {np.sqrt(np.mean(excess**2)):.0f} off (weather.txt). "
        "Its three suns contradict each other or its place is wrong: take another file."
    )


def test_no_sun_at_all(written, text) -> None:
    lines = text("chicago").split("\n")
    rows = [line.split(",") for line in lines[8:8768]]
    for row in rows:
        row[13] = row[14] = row[15] = "0"
    assert refusal(written("\n".join(lines[:8] + [",".join(row) for row in rows]))) == (
        "ghi must be above 0 in some hours [W/m2], got 0 in all (weather.txt). Take a file with sun in it."
    )


def test_leap_day_of_a_real_year_is_kept(sample) -> None:
    hours = sample("golden").hours
    index = pd.date_range("2024-01-01", periods=8784, freq="h", tz="Etc/GMT+7")
    shifted = hours.set_axis(index[:8760])
    frame = pd.concat([shifted, shifted.iloc[-24:].set_axis(index[8760:])])
    weather = Weather.from_frame(frame, latitude=39.742, longitude=-105.179, altitude=1829.0, utc_offset=-7.0)
    assert len(weather.hours) == 8784
    assert weather.hours.loc["2024-02-29"].shape[0] == 24


def test_reading_leaves_no_gap_in_numbers(sample) -> None:
    for name in samples():
        assert np.isfinite(sample(name).readings.to_numpy()).all()


def test_weather_of_standard_140() -> None:
    file = Path(__file__).parents[3] / "shared" / "weather" / "725650TYA.CSV.gz"
    if not file.is_file():
        pytest.skip("725650TYA.CSV.gz, Denver International in the public TMY3 set, is wanted in ../shared/weather")
    weather = read_weather(file)
    assert weather.site.name == "DENVER INTL AP, CO"
    # ANSI/ASHRAE Standard 140-2020: the year's sun on the level, calculated from the file's own column.
    assert weather.hours["ghi"].sum() / 1000.0 == pytest.approx(1670.2, abs=0.05)
