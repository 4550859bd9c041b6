"""A weather file in words, on packaged files."""

from __future__ import annotations

import pytest

from heatloss.report import weather_report
from heatloss.weather import read_weather, samples


@pytest.mark.parametrize("name", samples())
@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_page(name: str, units: str) -> None:
    text = weather_report(read_weather(name), units=units)
    assert max(len(line) for line in text.split("\n")) <= 80


def test_the_candidates_stand_side_by_side() -> None:
    weather = read_weather("chicago")
    text = weather_report(weather, units="si")
    found = weather.design_temperatures()
    row = next(line for line in text.split("\n") if line.startswith("  99.6 %"))
    assert f"{found['file_996']:.1f} °C" in row
    assert f"{found['header_996']:.1f} °C" in row
    assert row.endswith("-1.3 K (-2 °F)")
    assert f"  20 years      {found['minimum_20_year']:.1f} °C" in text
    assert "Never size on the coldest hour of a typical year" in text
    assert "type minimum_20_year" not in text


def test_a_file_without_extremes_says_which_key_to_type() -> None:
    assert "type minimum_20_year under [place]" in weather_report(read_weather("golden"))


def test_degree_days_and_months_are_the_files() -> None:
    weather = read_weather("chicago")
    text = weather_report(weather)
    assert f"{1.8 * weather.degree_days((65 - 32) / 1.8):,.0f} °F days" in text
    january = next(line for line in text.split("\n") if line.startswith("  January")).split()
    assert january[1] == f"{weather.monthly().loc[1, 'temp_air'] * 1.8 + 32:.0f}"


def test_any_base_and_the_built_spell() -> None:
    weather = read_weather("chicago")
    text = weather_report(weather, units="si", bases=[5.0])
    assert f"5.0 °C (41 °F)    {weather.degree_days(5.0):,.0f} K days" in text
    assert f"{weather.cooling_degree_days(5.0):,.0f} K days" in text
    assert "65 °F (18" not in text
    assert "coldest hour -29.5 °C (-21 °F) (the 20-year minimum)" in " ".join(text.split())
    golden = " ".join(weather_report(read_weather("golden"), units="si").split())
    assert "(its own 99.6 %)" in golden


def test_the_longest_bars_are_the_coldest_and_the_sunniest_month() -> None:
    weather = read_weather("chicago")
    bars = [line for line in weather_report(weather).split("\n") if line[:2] == "  " and "ooo" in line]
    assert len(bars) == 12
    monthly = weather.monthly()
    assert bars[int(monthly["temp_air"].idxmin()) - 1].count("#") == 30
    assert bars[int(monthly["ghi_kwh"].idxmax()) - 1].count("o") == 30
