"""Sizes and savings in words: the figures stand in them, cautions beside, no line too wide; JSON without NaN."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from heatloss import House, read_weather, sample_house, size_heater
from heatloss.decisions.payback import weigh
from heatloss.report import CAUTIONS
from heatloss.report.cautions import SIZING_CAUTION
from heatloss.report.decisions_text import (
    SNOW,
    heater_csv,
    heater_json,
    heater_report,
    payback_csv,
    payback_json,
    payback_report,
)
from heatloss.report.measures import power
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
def size(house: House) -> Any:
    return size_heater(house, read_weather("chicago"))


@pytest.fixture(scope="module")
def incomplete() -> Any:
    return size_heater(sample_house(), read_weather("golden"))


@pytest.fixture(scope="module")
def weighed(house: House) -> Any:
    return weigh(house, read_weather("chicago"), [LONG, TAPE, CURTAIN, NORTH])


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_page(size: Any, incomplete: Any, weighed: Any, units: Any) -> None:
    for text in (heater_report(size, units=units), heater_report(incomplete, units=units, sample=True),
                 payback_report(weighed, units=units, sample=True)):  # fmt: skip
        assert max(len(line) for line in text.split("\n")) <= 80
        assert not any(line != line.rstrip() for line in text.split("\n"))


def test_the_size_with_its_cautions_beside_it(size: Any) -> None:
    first_screen = flat("\n".join(heater_report(size).split("\n")[:17]))
    assert f"{power(size.recommended_w, 'us')} of heat delivered into the house" in first_screen
    assert "steady 20-year minimum" in first_screen
    assert "55 °F (12.8 °C) inside, from 15 September to 15 May" in first_screen
    label = power(size.recommended_w / 0.75, "us")
    assert f"a label that gives input, at the 75 % of the pellet boiler, must say {label}" in first_screen
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


def test_a_sample_says_so_in_its_first_and_last_line(size: Any, weighed: Any) -> None:
    for text in (heater_report(size, sample=True), payback_report(weighed, sample=True)):
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


def test_payback_json(weighed: Any) -> None:
    document = json.loads(payback_json(weighed), parse_constant=pytest.fail)
    rows = {row["measure"]: row for row in document["measures"]}
    assert set(rows) == set(weighed.table.index)
    assert rows["tape"]["saving_usd"] == weighed.table.loc["tape", "saving"]
    assert rows["north"]["npv"] is None
    assert rows[LONG["name"]]["payback_years"] is None
    assert document["as_it_is"]["cost_usd"] == weighed.base.fuel.cost
    assert (document["unit"], document["example_costs"]) == ("short_ton", False)


def test_csv(size: Any, weighed: Any, tmp_path: Path) -> None:
    heater_csv(size, tmp_path / "size.csv")
    payback_csv(weighed, tmp_path / "pays.csv")
    curve = pd.read_csv(tmp_path / "size.csv")
    assert list(curve.columns) == ["output [W]", "unmet_hours", "degree_hours [K h]", "lowest [degC]"]
    assert len(curve) == len(size.curve)
    table = pd.read_csv(tmp_path / "pays.csv", index_col="measure")
    assert table.loc["tape", "fuel [short_ton]"] == pytest.approx(weighed.table.loc["tape", "fuel"], rel=1e-5)
