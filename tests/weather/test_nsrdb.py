"""NSRDB csv: hourly at minute 30 or 0, in UTC, and years without their leap day."""

from __future__ import annotations

import pytest

from heatloss.weather import read_weather


def every_other(text: str, first: int) -> str:
    """The half-hourly sample thinned to hours, from row ``first``."""
    lines = text.rstrip("\n").split("\n")
    return "\n".join([*lines[:3], *lines[3 + first :: 2]]) + "\n"


def test_hours_at_minute_30(text, written) -> None:
    weather = read_weather(written(every_other(text("nw_colorado"), 1)))
    assert weather.mid_offset == 30.0
    row = text("nw_colorado").split("\n")[4].split(",")
    assert row[3:5] == ["0", "30"]
    assert weather.hours["temp_air"].iloc[0] == float(row[5])  # the middle stands for the hour
    assert str(weather.readings.index[0]) == "2023-01-01 00:30:00-07:00"
    assert weather.degree_days(18.0) == pytest.approx(4198, abs=3)


def test_hours_at_minute_0(text, written) -> None:
    weather = read_weather(written(every_other(text("nw_colorado"), 0)))
    assert weather.mid_offset == 0.0
    temp = [float(line.split(",")[5]) for line in text("nw_colorado").split("\n")[3:6:2]]
    assert weather.hours["temp_air"].iloc[0] == pytest.approx(sum(temp) / 2)


def test_utc_file_is_moved_home(sample, text, written) -> None:
    lines = text("nw_colorado").split("\n")
    values = lines[1].split(",")
    assert lines[0].split(",")[7] == "Time Zone"
    values[7] = "0"
    rows = lines[3:-1]
    rows = rows[-14:] + rows[:-14]  # what stands at 00:00 UTC is 17:00 of the day before
    stamps = [line.split(",")[:5] for line in lines[3:-1]]
    rows = [",".join(stamp + row.split(",")[5:]) for stamp, row in zip(stamps, rows, strict=True)]
    weather = read_weather(written("\n".join([lines[0], ",".join(values), lines[2], *rows]) + "\n"))
    assert weather.site.utc_offset == -7.0
    assert weather.hours["ghi"].to_numpy() == pytest.approx(sample("nw_colorado").hours["ghi"].to_numpy())
    assert weather.hours.index.equals(sample("nw_colorado").hours.index)


def test_leap_year_without_its_leap_day_is_laid_on_the_common_year(text, written) -> None:
    content = text("nw_colorado").replace("\n2023,", "\n2024,")
    weather = read_weather(written(content))
    assert weather.hours.index[0].year == 2001
    assert weather.notes == ("A typical year, 2024 without its 29 February, laid on 2001.",)
