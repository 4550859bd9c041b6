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
from heatloss.report.heater_text import hand_report, heater_csv, heater_json, heater_report
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
    first_screen = flat("\n".join(heater_report(size).split("\n")[:21]))
    assert f"{power(size.recommended_w, 'us')} of heat delivered into the house" in first_screen
    assert "steady 20-year minimum" in first_screen
    assert "55 °F (12.8 °C) inside, from 15 September to 15 May" in first_screen
    label = power(size.recommended_w / 0.95 / (4.6 / 4.8), "us")  # ash 5 %, pellets of 4.6 in place of 4.8 kWh/kg
    assert f"output of {label} to make up for ash between cleanings (5 %), poor fuel (4 %)" in first_screen
    assert "at the 86 % of the pellet boiler" in first_screen
    assert SIZING_CAUTION in first_screen
    text = flat(heater_report(size))
    assert "never size a heater on the curve alone" in text
    assert all(caution in text for caution in CAUTIONS)
    assert "to compare, none of them a size" in text


def test_what_the_house_file_has(size: Any, house: House) -> None:
    gives = power(size.fitted_delivered_w, "us")
    assert f"100,000 Btu/h (29.3 kW) on the label, gives {gives} on that night: enough" in flat(heater_report(size))
    weak = {**house.tree()["heater"][0], "output": "20 kW"}
    small = size_heater(house.changed(heater=[weak]), read_weather("chicago"))
    short = power(size.recommended_w - small.fitted_delivered_w, "si")
    assert f"on that night: short by {short}" in flat(heater_report(small, units="si"))


def test_other_ways_and_what_each_leaves_out(size: Any) -> None:
    text = flat(heater_report(size))
    for name, words in size.leaves_out.items():
        assert words in text, name
    for way in ("EN 12831-1", "EP406", "hourly, built spell"):
        assert f"{way} {power(float(size.loads[f'{way}, not a size']), 'us')}" in text
    assert "NFPA 54" in text
    assert "That is a prompt to ask the installer, not a ruling" in text
    assert "if one fails, the other holds the house down to" in text


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_page_of_hand_figures_can_be_checked_with_a_calculator(size: Any, incomplete: Any, units: Any) -> None:
    for one in (size, incomplete):
        lines = hand_report(one, units=units).split("\n")
        assert max(len(line) for line in lines) <= 80
        rows = [line.split() for line in lines if line.startswith("  ") and line.split()[-1].replace(",", "").isdigit()]
        total = float(next(r for r in rows if r[0] == "sum")[-1].replace(",", ""))
        parts = [float(r[-1].replace(",", "")) for r in rows if r[0] not in ("sum", "Times") and len(r) > 2]
        assert sum(parts) == pytest.approx(total, abs=len(parts))
        scale = 3.412142 if units == "us" else 1.0
        assert total == pytest.approx(one.hand["w"].sum() * scale, abs=0.51)
    assert "Times 1.20 for the margin" in flat(hand_report(incomplete))


def test_candidates_stand_in_the_report(house: House) -> None:
    mine = [{"name": "stove", "type": "pellet stove", "output": "10 kW"}]
    text = flat(heater_report(size_heater(house, read_weather("chicago"), candidates=mine)))
    assert "YOUR OWN LIST - stove: " in text
    assert "too small alone" in text


def test_an_incomplete_size_says_which_key_to_type(incomplete: Any) -> None:
    text = flat(heater_report(incomplete))
    assert "HEATER SIZE: INCOMPLETE" in text
    assert 'type minimum_20_year = "... degF" under [place]' in text
    assert "steady 20-year minimum MISSING" in text
    assert "covers this load, the extreme one is not known" in text
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
    assert document["label"]["output_w"] == size.label["output_w"]
    assert sum(row["w"] for row in document["hand"]) == pytest.approx(size.hand["w"].sum())
    assert document["air_m3_to_ask"] == pytest.approx(size.label["input_w"] / 0.29307107 / 1000 * 50 * 0.3048**3)


def test_csv(size: Any, tmp_path: Path) -> None:
    heater_csv(size, tmp_path / "size.csv")
    curve = pd.read_csv(tmp_path / "size.csv")
    assert list(curve.columns) == ["output [W]", "unmet_hours", "degree_hours [K h]", "lowest [degC]"]
    assert len(curve) == len(size.curve)
