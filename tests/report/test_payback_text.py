"""Savings in words: the figures stand in them, cautions beside, no line too wide; JSON without NaN."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from heatloss import House, read_weather, sample_house
from heatloss.decisions.payback import weigh
from heatloss.report import CAUTIONS
from heatloss.report.payback_text import SNOW, payback_csv, payback_json, payback_report
from heatloss.report.text import SAMPLE_NOTE

LONG = {"name": "a measure of which the name is far too long for any column", "cost": "12345 usd", "life": 3,
        "upkeep": "9999 usd/year", "set": {"floor": {"depth": "5 ft"}}}  # fmt: skip
TAPE = {"name": "tape", "cost": "10 usd", "life": 9, "swap": {"air": {"class": {
        "structured sheet new": "structured sheet taped"}}}}  # fmt: skip
CURTAIN = {"name": "curtain", "cost": "900 usd", "life": 9, "add": {"curtain": [{"material": "energy curtain"}]}}
NORTH = {"name": "north", "cost": "1 usd", "life": 9, "add": {"part": [
        {"name": "n", "on": "north wall", "u": "1 W/(m2 K)"}]}}  # fmt: skip


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def house() -> House:
    return sample_house()


@pytest.fixture(scope="module")
def weighed(house: House) -> Any:
    return weigh(house, read_weather("chicago"), [LONG, TAPE, CURTAIN, NORTH])


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_page(weighed: Any, units: Any) -> None:
    text = payback_report(weighed, units=units, sample=True)
    assert max(len(line) for line in text.split("\n")) <= 80
    assert not any(line != line.rstrip() for line in text.split("\n"))


def test_the_payback_says_what_it_must(weighed: Any) -> None:
    text = flat(payback_report(weighed))
    assert f"${weighed.base.fuel.cost:,.0f} a year" in text
    assert "Savings do not add up" in text
    assert f"{SNOW} Of these measures: curtain." in text
    assert "not a heater size" in text
    assert "- north: area must be free on north wall" in text
    assert "EXAMPLE" not in text
    assert "never" in text
    assert all(caution in text for caution in CAUTIONS)
    assert "lasts 3 years, upkeep $9,999 a year" in text


def test_what_is_left_out_of_all_together_is_named(house: House) -> None:
    blanket = {**CURTAIN, "name": "insulated blanket"}
    text = flat(payback_report(weigh(house, read_weather("chicago"), [CURTAIN, blanket])))
    assert "insulated blanket is left out of all together: curtain changes the same curtain." in text
    assert "Savings do not add up" not in text
    assert "WHAT DOES NOT FIT" not in text


def test_no_measure_fits(house: House) -> None:
    text = payback_report(weigh(house, read_weather("chicago"), [NORTH]))
    assert "Nothing to take together: no measure fits this house and changes it." in flat(text)
    assert "EACH MEASURE ALONE" not in text
    assert "WHAT THE COSTS ARE" not in text
    assert "- north: area must be free" in text


def test_columns_in_plain_words_and_costs_that_do_not_add_up(house: House) -> None:
    roof = {"name": "roof", "cost": "1 usd", "life": 9, "add": {"part": [
            {"name": "r", "on": "north roof", "u": "1 W/(m2 K)"}]}}  # fmt: skip
    by_area = {**CURTAIN, "cost": {"each": "2 usd/ft2", "of": "cover"}}
    weighed = weigh(house, read_weather("chicago"), [by_area, roof])
    lines = payback_report(weighed).split("\n")
    head = next(i for i, line in enumerate(lines) if "pays in" in line)
    assert lines[head].split()[-2:] == ["return", "light"]
    assert lines[head + 1].split()[-3:] == ["%/year", "lost", "%"]
    text, price = flat("\n".join(lines)), weighed.table["price"]
    assert "Return: the interest the money spent on it earns. Light lost: share of the sun kept out." in text
    assert f"Nor do costs: one by one ${price[:2].sum():,.0f}, all together ${price['all together']:,.0f}, " in text
    assert "Nor do costs" not in flat(payback_report(weigh(house, read_weather("chicago"), [CURTAIN, TAPE])))


def test_each_row_of_the_table_stands_in_the_text(weighed: Any) -> None:
    lines = payback_report(weighed).split("\n")
    for name in ("tape", "curtain", "all together"):
        row = weighed.table.loc[name]
        line = next(x for x in lines if x.startswith(f"  {name} "))
        assert f"{row['fuel']:.2f}" in line
        assert f" {row['saving']:,.0f} " in line
        assert line.endswith(f"{100 * row['light_lost'] + 0.0:.0f}")


def test_example_costs_and_prices_are_marked(house: House) -> None:
    use = {k: v for k, v in house.tree()["heater"][0].items() if k != "price"}
    text = payback_report(weigh(house.changed(heater=[use]), read_weather("chicago")))
    assert "(EXAMPLE COSTS)" in text
    assert "EXAMPLES, PUT IN YOUR OWN" in text
    assert "an EXAMPLE price; type yours" in flat(text)
    assert "invented for the demo" in flat(text)


def test_a_sample_says_so_in_its_first_and_last_line(weighed: Any) -> None:
    text = payback_report(weighed, sample=True)
    assert text.split("\n")[0] == text.split("\n")[-1] == SAMPLE_NOTE
    assert SAMPLE_NOTE not in payback_report(weighed)


def test_payback_json(weighed: Any) -> None:
    document = json.loads(payback_json(weighed), parse_constant=pytest.fail)
    rows = {row["measure"]: row for row in document["measures"]}
    assert set(rows) == set(weighed.table.index)
    assert rows["tape"]["saving_usd"] == weighed.table.loc["tape", "saving"]
    assert rows["north"]["npv"] is None
    assert rows[LONG["name"]]["payback_years"] is None
    assert document["as_it_is"]["cost_usd"] == weighed.base.fuel.cost
    assert (document["unit"], document["example_costs"]) == ("short_ton", False)


def test_csv(weighed: Any, tmp_path: Path) -> None:
    payback_csv(weighed, tmp_path / "pays.csv")
    table = pd.read_csv(tmp_path / "pays.csv", index_col="measure")
    assert table.loc["tape", "fuel [short_ton]"] == pytest.approx(weighed.table.loc["tape", "fuel"], rel=1e-5)
