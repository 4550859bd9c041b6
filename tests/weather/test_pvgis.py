"""PVGIS as json, editions without the minute of the sun, and places west of Greenwich."""

from __future__ import annotations

import json

import pytest

from heatloss.errors import WeatherError
from heatloss.weather import read_weather


def as_json(text: str, key: str | None = "irradiance time offset") -> dict[str, object]:
    """The csv sample in the shape of the service's json."""
    lines = text.replace("\r\n", "\n").split("\n")
    start = next(i for i, line in enumerate(lines) if line.startswith("time(UTC)"))
    names = lines[start].split(",")
    rows = []
    for line in lines[start + 1 : start + 8761]:
        stamp, *values = line.split(",")
        rows.append({names[0]: stamp} | dict(zip(names[1:], map(float, values), strict=True)))
    place = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0} | ({key: 0.1761} if key else {})
    months = [dict(zip(("month", "year"), map(int, line.split(",")), strict=True)) for line in lines[5:17]]
    return {
        "inputs": {"location": place},
        "outputs": {"months_selected": months, "tmy_hourly": rows},
        "meta": {"inputs": {}, "outputs": {}},
    }


@pytest.mark.parametrize("key", ["irradiance time offset", "irradiance_time_offset"])
def test_json_is_the_same_as_csv(key: str, sample, text, written) -> None:
    weather = read_weather(written(json.dumps(as_json(text("italy_45n8e"), key))))
    assert weather.site.kind == "pvgis_json"
    assert weather.hours.equals(sample("italy_45n8e").hours)
    assert weather.mid_offset == sample("italy_45n8e").mid_offset


def test_without_its_minute_the_sun_finds_its_place(text, written) -> None:
    for content in (
        json.dumps(as_json(text("italy_45n8e"), None)),
        text("italy_45n8e").replace("Irradiance Time Offset (h): 0.1761\n", ""),
    ):
        weather = read_weather(written(content))
        assert weather.mid_offset == pytest.approx(10.566, abs=1.0)
        assert "The file does not tell the minute of its sun; it closes best at 11." in weather.notes


def test_longitude_gives_the_zone_and_the_sun_tells_a_wrong_one(sample, text, written) -> None:
    # Moved to 165 degrees east the rows keep their sun of 8 degrees east: the clock cannot be right.
    content = text("italy_45n8e").replace("Longitude (decimal degrees): 8.000", "Longitude (decimal degrees): 165.000")
    with pytest.raises(WeatherError, match=r"^sun must stand where place and time zone put it, got a sun"):
        read_weather(written(content))
    assert sample("italy_45n8e").site.utc_offset == 1.0
    moved = "Rows stamped in UTC+0 moved by +1 h to local standard time, UTC+1; "
    assert sample("italy_45n8e").notes[1] == moved + "what falls off one end of the year joins at the other."


@pytest.mark.parametrize("content", ["{", "{}", "[1]", '{"inputs": 1, "outputs": 2, "meta": 3}', "{" * 100000])
def test_damaged_json(content: str, written) -> None:
    with pytest.raises(WeatherError, match=r"^weather file must be a whole pvgis_json file"):
        read_weather(written(content), kind="pvgis_json")
