"""Fish and crop beside their limits: the catalogue's own figures, and one warning for the worst of them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from heatloss.report.living import living


def made(low: float, high: float, *, species: str | None = "yellow perch", crop: str | None = None) -> Any:
    index = pd.date_range("2001-01-01", periods=8760, freq="h")
    water = np.full(8760, (low + high) / 2)
    water[10], water[4400] = low, high  # in January and in July
    hourly = pd.DataFrame({"tank pond": water, "inside": water}, index=index)
    heating = index.month != 7
    house = SimpleNamespace(water=(SimpleNamespace(name="pond", species=species),), crop=crop, own=None)
    return SimpleNamespace(house=house, hourly=hourly, heating=heating)


def text(season: Any) -> str:
    return " ".join(" ".join(living(season, "si")).split())


@pytest.mark.parametrize(
    ("low", "high", "warning"),
    [
        (-0.1, 22.0, "WARNING: the water gets cold enough to kill yellow perch."),
        (10.0, 32.5, "WARNING: the water gets warm enough to kill yellow perch."),
        (4.0, 22.0, "WARNING: the water gets so cold that yellow perch stop feeding."),
        (10.0, 22.0, "WARNING: the water gets colder than yellow perch like."),
        (10.0, 28.0, "WARNING: the water gets colder and warmer than yellow perch like."),
    ],
)
def test_one_warning_for_the_worst(low: float, high: float, warning: str) -> None:
    words = text(made(low, high))
    assert warning in words
    assert words.count("WARNING") == 1


def test_extremes_stand_with_their_months_and_limits() -> None:
    words = text(made(19.0, 25.0))
    assert "pond: lowest 19.0 °C (66 °F) in January, highest 25.0 °C (77 °F) in July" in words
    assert "stops feeding below 5.0 °C (41 °F), dies at 0.0 °C (32 °F) or 32.0 °C (90 °F)" in words
    assert "Oxygen, not temperature, is the first danger" in words
    assert "WARNING" not in words


def test_a_tank_without_fish_has_no_limits() -> None:
    words = text(made(-5.0, 25.0, species=None))
    assert "lowest -5.0" in words
    assert "WARNING" not in words
    assert "Oxygen" not in words


@pytest.mark.parametrize(("low", "warning"), [(-1.0, "to kill lettuce"), (1.0, "to harm lettuce"), (5.0, "")])
def test_the_crop_stands_beside_the_coldest_hour_in_the_heaters_dates(low: float, warning: str) -> None:
    words = text(made(low, 25.0, species=None, crop="lettuce"))
    assert f"lettuce: lowest inside in the heater's dates {low:.1f} °C" in words
    assert ("WARNING" in words) == bool(warning)
    assert warning in words


def test_nothing_living_takes_no_line() -> None:
    season = made(5.0, 20.0)
    season.house.water = ()
    assert list(living(season, "us")) == []
