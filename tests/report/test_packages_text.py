"""Order, packages, shares and chances in words: the figures stand in them, no line too wide."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from heatloss import read_weather, sample_house
from heatloss.decisions.payback import weigh
from heatloss.decisions.studied import studied
from heatloss.report.packages_text import sentence
from heatloss.report.payback_text import payback_json, payback_report

TAPE = {"name": "tape", "cost": {"fixed": "10 usd", "low": "5 usd", "high": "50 usd"}, "life": 9,
        "swap": {"air": {"class": {"structured sheet new": "structured sheet taped"}}}}  # fmt: skip
CURTAIN = {"name": "curtain", "cost": "900 usd", "life": 9, "add": {"curtain": [{"material": "energy curtain"}]}}
PUMP = {"name": "pump", "cost": "100 usd", "life": 9, "alone": True,
        "set": {"heater": {"type": "heat pump cold climate", "price": "0.15 usd/kWh"}}}  # fmt: skip


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def found() -> Any:
    weighed = weigh(sample_house(), read_weather("chicago"), [TAPE, CURTAIN, PUMP])
    return replace(
        studied(weighed, exhaustive=True, draws=16), outages=pd.Series({"as it is": 0.2, "tape": 0.25}, name="hours")
    )


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_page(found: Any, units: Any) -> None:
    text = payback_report(found.weighed, units=units, found=found)
    assert max(len(line) for line in text.split("\n")) <= 80


def test_every_section_says_its_figures(found: Any) -> None:
    text = flat(payback_report(found.weighed, found=found))
    assert "THE BEST OF 4 PACKAGES" in text
    assert f"saves ${found.packages['saving'].iloc[0]:,.0f} a year" in text
    assert f"Fair shares add up to what all together save, ${found.shares['share'].sum():,.0f} a year" in text
    assert "No two of them save more together than one by one." in text
    assert "HOW SURE: DOES IT PAY WITHIN 15 YEARS" in text
    assert sentence("tape", found.chances.loc["tape"], 15) in text
    assert "As it is 12 minutes. - tape: 15 minutes (+3)" in text
    assert "Weighed by themselves and not among all together: pump." in text
    assert "less to fit" in text
    assert "ONE AFTER ANOTHER, EACH TIME THE ONE WORTH MOST NOW" in text


def test_another_fuel_is_shown_in_its_own_unit(found: Any) -> None:
    line = next(x for x in payback_report(found.weighed).split("\n") if x.startswith("  pump "))
    assert f"{found.weighed.table.loc['pump', 'fuel']:,.0f} kWh" in line


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"chance": 0.0, "payback_p10": float("inf")}, "x: pays in no case; saves $60 to $170 a year, the money never"),
        ({"payback_p90": float("inf")}, "back in 2.4 years at the best, at the worst never."),
        (
            {"chance": 1.0, "payback_p10": 0.0, "payback_p90": 0.0},
            "pays in all cases; saves $60 to $170 a year, and",
        ),
    ],
)
def test_sentences(row: Any, said: str) -> None:
    usual = {"saving_p10": 60.0, "saving_p90": 170.0, "payback_p10": 2.4, "payback_p90": 9.0, "chance": 0.5}
    assert said in sentence("x", pd.Series(usual | row), 9)


def test_json_has_what_was_asked_for(found: Any) -> None:
    document = json.loads(payback_json(found.weighed, found=found), parse_constant=pytest.fail)
    assert [row["package"] for row in document["packages"]] == list(found.packages.index)
    assert document["shares"][0]["share"] == found.shares["share"].iloc[0]
    assert document["chances"][0]["chance"] == found.chances["chance"].iloc[0]
    assert document["minutes_until_frost"] == {"as it is": 12.0, "tape": 15.0}
    assert document["light_mol_m2_day"]["as it is"] == list(found.weighed.light["as it is"])
    assert len(document["months"]) == 12
    assert "packages" not in json.loads(payback_json(found.weighed))
