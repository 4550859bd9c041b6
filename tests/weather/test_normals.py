"""Normals files: what they say, what is assumed, what is refused, word for word."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss.errors import InputError, UnknownNameError, WeatherError
from heatloss.weather import read_weather
from heatloss.weather.normals import Normals, crude, normals_of, normals_text

MEAN = '"22 24 33 45 57 66 70 69 61 49 37 27 degF"'


def read(*lines: str) -> Normals:
    return normals_of("\n".join(["[normals]", "latitude = 44.2", *lines]), "valley.toml")


def refusal(*lines: str) -> str:
    with pytest.raises(InputError) as caught:
        read(*lines)
    return str(caught.value)


def test_a_whole_file() -> None:
    made = read(
        'name = "valley"', "longitude = -73.9", 'altitude = "1200 ft"', "utc_offset = -5", "seed = 4",
        'high = "0 2 6 12 19 24 27 26 21 14 7 2 degC"', 'low = "-10 -9 -4 1 7 12 14 13 9 3 -2 -7 degC"',
        'sun = "600 900 1200 1500 1700 1900 1900 1600 1300 850 550 450 Btu/ft2"',
        'humidity = "70 68 64 60 62 67 70 73 74 71 74 74 %"', 'wind = "9 9 9 9 8 7 7 6 7 8 9 9 mph"',
    )  # fmt: skip
    assert made.mean[0] == -5.0
    assert made.span[6] == 13.0
    assert made.altitude == pytest.approx(365.76)
    assert made.sun[0] == pytest.approx(600 * 0.00315459, rel=1e-4)  # Btu/ft2 to kWh/m2: definition
    assert made.humidity is not None
    assert made.humidity[3] == pytest.approx(60.0)
    assert made.wind[0] == pytest.approx(9 * 0.44704)
    assert (made.seed, made.utc_offset, made.longitude, made.assumed) == (4, -5.0, -73.9, ())


def test_what_is_not_given_is_assumed_and_said() -> None:
    made = read(f"mean = {MEAN}")
    assert made.assumed == (
        "No sun is given: every month lets 0.45 of the sun above the air through.",
        "No wind is given: 3.5 m/s in the mean.",
        "No humidity is given: the dew point is the day's lowest temperature.",
        "No longitude is given: the clock shows mean solar time.",
        "No daily range is given: it follows from the clearness (Erbs and others 1983).",
    )
    assert read(f"mean = {MEAN}", "longitude = -73.9").utc_offset == -5.0
    assert read(f"mean = {MEAN}", "utc_offset = -5").longitude == -75.0


def test_text_reads_back(sample) -> None:
    normals = Normals.of(sample("northway"))
    for us in (True, False):
        again = normals_of(normals_text(normals, us=us), "again.toml")
        assert again.mean == pytest.approx(normals.mean, abs=0.051)
        assert again.span == pytest.approx(normals.span, abs=0.051)
        assert again.sun == pytest.approx(normals.sun, abs=0.00501)
        assert again.wind == pytest.approx(normals.wind, abs=0.051)
        assert (again.name, again.latitude, again.assumed) == (normals.name, normals.latitude, ())


def test_normals_of_a_record_are_its_monthly_means(sample) -> None:
    weather = sample("chicago")
    normals = Normals.of(weather)
    assert normals.mean == pytest.approx(weather.monthly()["temp_air"].to_numpy())
    # mean daily range at O'Hare, January and July of this file: calculated from the raw column
    assert normals.span[[0, 6]] == pytest.approx([9.4, 10.5], abs=0.051)


def test_a_file_is_known_by_its_table(written) -> None:
    weather = read_weather(written(f"# mine\n[normals]\nlatitude = 44.2\nmean = {MEAN}\n"))
    assert weather.site.kind == "normals"
    assert weather.monthly()["temp_air"].iloc[0] == pytest.approx((22 - 32) / 1.8, abs=0.01)


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ((), "mean, or high and low, or january and july must be given [degC], got none of them (valley.toml). "
             f"Such as: mean = {MEAN}"),
        (('mean = "22 24 degF"',), "mean must be twelve numbers and one unit in quotes [degC], got 3 words "
         f"(valley.toml). January first, such as: {MEAN}"),
        ((f"mean = {MEAN}", 'wind = "9 9 9 9 8 7 7 6 7 8 9 90 mph"'),
         "wind must be between 0 and 25 [m/s], got 40.2336 (valley.toml)."),
        ((f"mean = {MEAN}", 'sun = "9 9 9 9 9 9 9 9 9 9 9 9 kWh/m2"'),
         "sun must be at most 0.85 of that above the air [kWh/m2], got 9.00 of 3.10 in month 12 (valley.toml). "
         "Type the sun of one day on the level."),
        (('high = "0 2 6 12 19 24 27 26 21 14 7 2 degC"', 'low = "0 2 6 12 19 24 27 26 21 14 7 2 degC"'),
         "high must be above low [degC], got 0 K apart (valley.toml)."),
        ((f"mean = {MEAN}", "seed = true"),
         "seed must be a number without a unit [1], got True (valley.toml)."),
    ],
)  # fmt: skip
def test_refusals(lines, message: str) -> None:
    assert refusal(*lines) == message


def test_unknown_key_and_unknown_table() -> None:
    with pytest.raises(UnknownNameError, match="The nearest: mean"):
        read("meen = 1")
    with pytest.raises(WeatherError, match=r"^normals file must hold one table \[normals\], got place"):
        normals_of("[place]\nx = 1", "a.toml")
    with pytest.raises(WeatherError, match=r"^normals file must be TOML"):
        normals_of("[normals\n", "a.toml")
    with pytest.raises(WeatherError, match=r"^latitude must be given"):
        normals_of("[normals]\njuly = '20 degC'", "a.toml")


def test_no_unit_is_refused() -> None:
    assert refusal('mean = "22 24 33 45 57 66 70 69 61 49 37 27"').startswith("mean must")


def test_crude_start() -> None:
    assert crude(44.0, january=-7.0, july=20.0).mean == pytest.approx(
        6.5 - 13.5 * np.cos(np.arange(12) * np.pi / 6.0), abs=1e-12
    )
    with pytest.raises(InputError, match=r"^latitude must be between"):
        crude(144.0, january=-7.0, july=20.0)
