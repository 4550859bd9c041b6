"""How sure the fuel is, as a grower reads it and as a program does."""

from __future__ import annotations

import json

import jsonschema
import pytest

from heatloss import InputError, read_weather, sample_house, simulate
from heatloss.decisions.spread import spread
from heatloss.report import SEASON_SCHEMA, season_json, season_report
from heatloss.report.spread_text import Sureness, level_of, spread_section


@pytest.fixture(scope="module")
def sure() -> Sureness:
    season = simulate(sample_house(), read_weather("chicago"))
    found = spread(season.house, season.weather, n=32, season=season, steps_per_hour=1, iterations=1)
    return Sureness(found, 0.9, "6 short_ton")


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_report_says_likely_range_purchase_and_what_is_in_the_shed(sure: Sureness) -> None:
    text = flat(season_report(sure.spread.season, sure=sure))
    low, high = sure.purchase.low, sure.purchase.high
    assert f"likely {sure.likely:.1f} short tons" in text
    assert f"8 chances in 10 {low:.1f} to {high:.1f} short tons" in text
    assert f"lasts 90 in 100 buy {sure.purchase.bags} bags" in text
    chance = 100.0 * sure.spread.chance_of_running_out(6.0)
    assert f"you have 6.0 short tons: runs out in {chance:.0f} winters in 100" in text
    assert "a stated judgement" not in text
    assert "What moves it most" in text
    assert "winters alone" in text
    assert all(len(line) <= 80 for line in season_report(sure.spread.season, sure=sure, units="si").split("\n"))


def test_json_carries_it(sure: Sureness) -> None:
    document = json.loads(season_json(sure.spread.season, sure=sure))
    jsonschema.validate(document, SEASON_SCHEMA)
    spread_of = document["spread"]
    assert spread_of["draws"] == 32
    assert spread_of["quantiles"]["p50"]["fuel"] == sure.likely
    assert spread_of["enough_low"] < spread_of["enough"] < spread_of["enough_high"]
    assert document["fuels"][0]["range"]["p10"] == sure.spread.quantiles["fuel"].loc[0.10]
    assert json.loads(season_json(sure.spread.season))["spread"] is None


def test_a_chance_is_never_surer_than_the_draws(sure: Sureness) -> None:
    assert Sureness(sure.spread, typed="90 short_ton").running_out.endswith("none of 32 winters drawn")


def test_the_section_stays_within_the_page(sure: Sureness) -> None:
    lines = list(spread_section(sure))
    assert lines[1] == "HOW SURE THAT IS"
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("typed", [95.0, 50.0, 99.0])
def test_levels(typed: float) -> None:
    assert level_of(typed) == typed / 100.0


@pytest.mark.parametrize("typed", [0.95, 100.0, float("nan")])
def test_levels_that_cannot_be(typed: float) -> None:
    with pytest.raises(InputError, match="lasts must be between 50 and 99"):
        level_of(typed)
