"""A heater's size in words: the figures stand in them, cautions beside, no line too wide; JSON without NaN."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from heatloss import House, read_weather, sample_house, size_heater
from heatloss.report import CAUTIONS
from heatloss.report.cautions import SIZING_CAUTION
from heatloss.report.heater_text import heater_csv, heater_json, heater_report
from heatloss.report.measures import power
from heatloss.report.text import SAMPLE_NOTE


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def house() -> House:
    return sample_house()


@pytest.fixture(scope="module")
def size(house: House) -> Any:
    return size_heater(house, read_weather("chicago"))


@pytest.fixture(scope="module")
def incomplete() -> Any:
    return size_heater(sample_house(), read_weather("golden"))


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_page(size: Any, incomplete: Any, units: Any) -> None:
    for text in (heater_report(size, units=units), heater_report(incomplete, units=units, sample=True)):
        assert max(len(line) for line in text.split("\n")) <= 80
        assert not any(line != line.rstrip() for line in text.split("\n"))


def test_the_size_with_its_cautions_beside_it(size: Any) -> None:
    first_screen = flat("\n".join(heater_report(size).split("\n")[:17]))
    assert f"{power(size.recommended_w, 'us')} of heat delivered into the house" in first_screen
    assert "steady 20-year minimum" in first_screen
    assert "55 °F (12.8 °C) inside, from 15 September to 15 May" in first_screen
    label = power(size.recommended_w / 0.86, "us")
    assert f"a label that gives input, at the 86 % of the pellet boiler, must say {label}" in first_screen
    assert SIZING_CAUTION in first_screen
    text = flat(heater_report(size))
    assert "never size a heater on the curve alone" in text
    assert all(caution in text for caution in CAUTIONS)
    assert "to compare, none of them a size" in text


def test_what_the_house_file_has(size: Any, house: House) -> None:
    assert "100,000 Btu/h (29.3 kW): enough, if that is output" in flat(heater_report(size))
    weak = {**house.tree()["heater"][0], "output": "20 kW"}
    text = flat(heater_report(size_heater(house.changed(heater=[weak]), read_weather("chicago")), units="si"))
    assert f"20.0 kW (68,200 Btu/h): short by {power(size.recommended_w - 20e3, 'si')}" in text


def test_an_incomplete_size_says_which_key_to_type(incomplete: Any) -> None:
    text = flat(heater_report(incomplete))
    assert "HEATER SIZE: INCOMPLETE" in text
    assert 'type minimum_20_year = "... degF" under [place]' in text
    assert "steady 20-year minimum MISSING" in text
    assert "covers this load, the 20-year one is not known" in text
    assert "enough, if" not in text


def test_a_sample_says_so_in_its_first_and_last_line(size: Any) -> None:
    text = heater_report(size, sample=True)
    assert text.split("\n")[0] == text.split("\n")[-1] == SAMPLE_NOTE
    assert SAMPLE_NOTE not in heater_report(size)


def test_heater_json(size: Any, incomplete: Any) -> None:
    document = json.loads(heater_json(size, sample=True), parse_constant=pytest.fail)
    assert document["format"] == "heatloss heater size"
    assert document["recommended_w"] == size.recommended_w
    assert document["complete"] is True
    assert [row["load_w"] for row in document["loads"]] == size.loads.to_list()
    assert pd.DataFrame(document["curve"]).equals(size.curve)
    assert SIZING_CAUTION in document["cautions"]
    assert json.loads(heater_json(incomplete))["complete"] is False


def test_csv(size: Any, tmp_path: Path) -> None:
    heater_csv(size, tmp_path / "size.csv")
    curve = pd.read_csv(tmp_path / "size.csv")
    assert list(curve.columns) == ["output [W]", "unmet_hours", "degree_hours [K h]", "lowest [degC]"]
    assert len(curve) == len(size.curve)
