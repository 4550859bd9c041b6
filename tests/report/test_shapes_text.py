"""Shapes and swings in words: figures, example prices said, a plain answer."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from heatloss import House, compare_shapes, read_weather, sample_house
from heatloss.decisions.sensitivity import LEVERS, one_at_a_time
from heatloss.decisions.shapes import UnitPrices, variant
from heatloss.report.shapes_text import sensitivity_report, shapes_csv, shapes_json, shapes_report


@pytest.fixture(scope="module")
def house() -> House:
    return sample_house()


@pytest.fixture(scope="module")
def weather() -> Any:
    return read_weather("chicago")


@pytest.fixture(scope="module")
def found(house: House, weather: Any) -> Any:
    return compare_shapes({kind: variant(house, kind) for kind in ("gable", "dome")}, weather, steps_per_hour=1)


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_report(found: Any, house: House, weather: Any, units: Any) -> None:
    text = shapes_report(found, house, weather, units=units)
    assert max(len(line) for line in text.split("\n")) <= 80
    less = found.loc["dome", "build"] - found.loc["gable", "build"]
    word = "cheaper" if less > 0.0 else "dearer"
    assert f"A plain rectangle would be ${abs(less):,.0f} {word} than a dome to build." in " ".join(text.split())
    assert "EXAMPLE UNIT PRICES" in text
    assert ("ft2" if units == "us" else "m2") in text


def test_own_prices_are_not_called_examples(found: Any, house: House, weather: Any) -> None:
    assert "EXAMPLE" not in shapes_report(found, house, weather, prices=UnitPrices())


def test_json_and_csv(found: Any, house: House, weather: Any, tmp_path: Path) -> None:
    document = json.loads(shapes_json(found, house, weather), parse_constant=pytest.fail)
    assert document["shapes"][0]["hull_area"] == found["hull_area"].iloc[0]
    assert document["example_prices"] is True
    shapes_csv(found, tmp_path / "s.csv")
    assert pd.read_csv(tmp_path / "s.csv", index_col="house").loc["dome", "sheets"] == found.loc["dome", "sheets"]


def test_what_moves_the_fuel(house: House, weather: Any) -> None:
    found = one_at_a_time(house, weather, {name: LEVERS[name] for name in ("leakage", "edge")})
    text = sensitivity_report(found, house, weather)
    assert max(len(line) for line in text.split("\n")) <= 80
    row = found.loc["leakage"]
    assert f"{100 * (row['fuel_low'] / row['fuel'] - 1):+.0f} %" in text
    assert "foundation foam: none to R-10" in text
