"""Sliders run the house that they say they run."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

from heatloss import read_weather, sample_house, simulate
from heatloss.decisions.sensitivity import LEVERS
from heatloss.report.sliders import SLIDERS, Sliders, moved


@pytest.fixture(scope="module")
def sliders() -> Sliders:
    return Sliders(sample_house("lean_to"), read_weather("northway"))


def hourly(house: Any) -> Any:
    return simulate(house, read_weather("northway"), steps_per_hour=1, iterations=1)


def test_unmoved_sliders_are_the_house(sliders: Sliders) -> None:
    assert sliders.base.heat_kwh == hourly(sample_house("lean_to")).heat_kwh
    assert sliders.move().heat_kwh == sliders.base.heat_kwh


def test_a_moved_slider_is_the_changed_house(sliders: Sliders) -> None:
    warmer = LEVERS["setpoint"].house(sample_house("lean_to"), 5.0 / 1.8)
    assert sliders.move(setpoint=5.0).heat_kwh == pytest.approx(hourly(warmer).heat_kwh, rel=1e-12)
    wet = LEVERS["water"].house(sample_house("lean_to"), 100.0 * 0.003785411784)
    assert sliders.move(water=100.0).heat_kwh == pytest.approx(hourly(wet).heat_kwh, rel=1e-12)


@pytest.mark.parametrize("units", ["us", "si"])
def test_every_slider_moves_the_fuel_and_all_go_together(units: Any) -> None:
    sliders = Sliders(sample_house("lean_to"), read_weather("northway"), units=units)
    high = {s.lever: s.high for s in SLIDERS[units]}
    for name, place in high.items():
        assert sliders.move(**{name: place}).fuel.amount != sliders.base.fuel.amount, name
    bare, lined = sliders.move("none"), sliders.move("aluminized screen")
    assert lined.fuel.amount < sliders.base.fuel.amount < bare.fuel.amount
    assert sliders.move("double curtain", **high).closure < 1e-9
    assert all(s.low <= s.stands <= s.high for s in SLIDERS[units])


def test_all_changes_stay_when_several_are_made() -> None:
    """Catalogue rows of one change outlive the next."""
    one = moved(sample_house("lean_to"), {"u": 0.5, "water": 100.0, "leakage": 0.5}, "us")
    assert set(one.own) >= {"glazing", "infiltration"}
    assert one.water[-1].name == "more water"


def test_words_are_the_seasons_figures(sliders: Sliders) -> None:
    sliders.move(u=0.6)
    words = sliders.words()
    assert f"fuel {sliders.now.fuel.amount:,.0f} gallons (US) ({sliders.base.fuel.amount:,.0f} gallons (US))" in words
    assert f"({sliders.base.light.min():.1f} mol a day)" in words


def test_the_picture_holds_the_months_of_both(sliders: Sliders) -> None:
    sliders.move(u=0.6)
    left, right = sliders.draw(Figure()).axes
    now, base = ([bar.get_height() for bar in bars] for bars in left.containers)
    per_kwh = 3.6e6 / 1055.05585262 / 1e6
    assert now == pytest.approx(sliders.now.monthly["heat_kwh"].to_numpy() * per_kwh)
    assert base == pytest.approx(sliders.base.monthly["heat_kwh"].to_numpy() * per_kwh)
    light = [bar.get_height() for bar in right.containers[0]]
    assert light == pytest.approx(sliders.now.light.to_numpy())


def test_moving_a_widget_redraws(sliders: Sliders) -> None:
    board = sliders.board()
    *made, words, picture = board.children
    assert [w.description for w in made[:1]] == ["night curtain"]
    before = words.value, picture.value
    slider = next(w for w in made if w.description.startswith("air leaks"))
    slider.value = 0.5
    assert words.value != before[0]
    assert picture.value != before[1]
    assert bytes(picture.value).startswith(b"\x89PNG")
    assert np.isfinite(sliders.now.fuel.amount)
