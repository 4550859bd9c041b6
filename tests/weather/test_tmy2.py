"""TMY2 by a file constructed from the hours of Golden, column by column at the format's own places."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pytest

from heatloss.errors import WeatherError
from heatloss.weather import Weather, read_weather
from heatloss.weather.checks import best_minutes


def tmy2(weather: Weather, *, east: str = "W", pressure: float = 0.01) -> str:
    """The text of a TMY2 file; the readings at the end of an hour are the record's own."""
    hours, readings = weather.hours, weather.readings.to_numpy()
    lines = [" 94018 BOULDER                CO  -7 N 39 45 W 105 11  1829".replace(" W ", f" {east} ")]
    for stamp, row, reading in zip(hours.index, hours.itertuples(), readings, strict=True):
        sign = [" "] * 142
        when = f"{81 + stamp.month % 3:02d}{stamp.month:02d}{stamp.day:02d}{stamp.hour + 1:02d}"

        def put(first: int, text: str, sign: list[str] = sign) -> None:
            sign[first : first + len(text)] = text

        put(1, when)
        for first, value in ((17, row.ghi), (23, row.dni), (29, row.dhi)):
            put(first, f"{round(value):4d}A7")
        put(63, f"{round(10 * row.opaque_cloud):2d}A7")
        put(67, f"{round(10 * reading):4d}A7")
        put(73, f"{round(10 * row.temp_dew):4d}A7")
        put(79, f"{round(row.relative_humidity):3d}A7")
        put(84, f"{round(pressure * row.pressure):4d}A7")
        put(95, f"{round(10 * row.wind_speed):3d}A7")
        put(133, "  0A7")
        lines.append("".join(sign))
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def made(sample, tmp_path_factory) -> Weather:
    path: Path = tmp_path_factory.mktemp("tmy2") / "boulder.tm2.gz"
    path.write_bytes(gzip.compress(tmy2(sample("golden")).replace("\n", "\r\n").encode()))
    return read_weather(path)


def test_columns_and_units(made, sample) -> None:
    golden = sample("golden")
    assert made.site.kind == "tmy2"
    assert made.site.name == "BOULDER, CO"
    assert (made.site.latitude, made.site.longitude) == pytest.approx((39.75, -(105 + 11 / 60)))
    assert (made.site.altitude, made.site.utc_offset) == (1829.0, -7.0)
    assert made.readings.to_numpy() == pytest.approx(golden.readings.to_numpy(), abs=0.051)
    assert made.hours["temp_air"].to_numpy() == pytest.approx(golden.hours["temp_air"].to_numpy(), abs=0.051)
    assert made.hours["ghi"].sum() == pytest.approx(golden.hours["ghi"].sum(), rel=1e-6)
    assert 80e3 < made.hours["pressure"].mean() < 83e3  # the file has mbar
    assert made.hours["opaque_cloud"].max() == 1.0
    assert "snow_depth is zero in every hour, which means unknown here, and is left out." in made.notes


def test_the_sun_stands_half_an_hour_after_the_start(made) -> None:
    assert made.mid_offset == 30.0
    assert best_minutes(made.hours, made.site, 0.0, 60.0, 1.0) == pytest.approx(30.0, abs=3.0)


def test_hour_24_is_the_last_of_its_day(made) -> None:
    assert len(made.hours) == 8760
    assert made.hours.index[0].hour == 0
    assert any(note.startswith("A typical year, months from 1981 to 1983") for note in made.notes)


def test_missing_codes_and_shifted_columns_are_refused(sample, written) -> None:
    text = tmy2(sample("golden"))
    lines = text.split("\n")
    lines[40] = lines[40][:67] + "9999" + lines[40][71:]
    with pytest.raises(WeatherError, match=r"temp_air must be between -90 and 60 \[degC\], got nothing"):
        read_weather(written("\n".join(lines)))
    assert np.isfinite(read_weather(written("\n".join(lines)), fill="short").readings.to_numpy()).all()
    with pytest.raises(WeatherError, match=r"^sun must stand where place and time zone put it"):
        read_weather(written(tmy2(sample("golden"), east="E")))


def test_pascal_in_place_of_mbar_is_refused(sample, written) -> None:
    with pytest.raises(WeatherError, match=r"^pressure must be between 45000 and 110000 \[Pa\], got 8\d\d"):
        read_weather(written(tmy2(sample("golden"), pressure=0.0001)))
