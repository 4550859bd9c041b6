"""`heatloss heater` and `heatloss payback` as a person types them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from heatloss.cli import app
from heatloss.decisions.measures import starter_text

MINE = '[[measure]]\nname = "deeper foam"\ncost = "400 usd"\nlife = 20\n[measure.set.floor]\ndepth = "3 ft"\n'


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words), prog_name="heatloss")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_heater_of_the_sample(here: Path) -> None:
    result = run("heater", "--sample", "--si", "--csv", "curve.csv")
    assert result.exit_code == 0, result.output
    assert re.search(r"\d kW \(.* Btu/h\) of heat delivered", result.stdout)
    assert len((here / "curve.csv").read_text().splitlines()) == 13


def test_heater_json_of_a_place_without_long_records() -> None:
    result = run("heater", "dome", "--sample", "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["complete"] is False


def test_payback_with_a_file_of_ones_own(here: Path) -> None:
    (here / "mine.toml").write_text(MINE)
    result = run("payback", "--sample", "--measures", "mine.toml", "--csv", "pays.csv", "--years", "20")
    assert result.exit_code == 0, result.output
    assert "deeper foam" in result.stdout
    assert "Over 20 years" in result.stdout
    assert "EXAMPLE" not in result.stdout
    assert [line.split(",")[0] for line in (here / "pays.csv").read_text().splitlines()] == [
        "measure", "deeper foam", "all together",
    ]  # fmt: skip


def test_payback_packages_chances_and_pictures(here: Path) -> None:
    (here / "mine.toml").write_text(MINE)
    words = (
        "payback",
        "larkfield",
        "mine.toml",
        "--sample",
        "--packages",
        "--within",
        "10",
        "--figure",
        "p.svg",
        "--json",
    )
    result = run(*words)
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert {row["package"] for row in document["packages"]} == {"as it is", "deeper foam"}
    assert document["within"] == 10
    assert (here / "p.svg").stat().st_size > 1000


def test_shapes_of_the_sample_with_own_prices(here: Path) -> None:
    (here / "prices.toml").write_text('sheet = "52 usd"\n')
    result = run("shapes", "--sample", "--prices", "prices.toml", "--csv", "s.csv")
    assert result.exit_code == 0, result.output
    assert "A plain rectangle would be" in result.stdout
    assert "EXAMPLE" not in result.stdout
    assert len((here / "s.csv").read_text().splitlines()) == 10


def test_sensitivity_of_the_sample(here: Path) -> None:
    result = run("sensitivity", "--sample", "--csv", "s.csv", "--figure", "s.svg")
    assert result.exit_code == 0, result.output
    assert "air leaking in and out" in result.stdout
    assert (here / "s.svg").exists()


def test_starter_measures_are_printed_to_edit() -> None:
    assert run("payback", "--starter").stdout == starter_text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("heater",), "HOUSE.toml must be given, got nothing (heater)."),
        (("payback",), "HOUSE.toml must be given, got nothing (payback)."),
        (("heater", "--sample", "--margin", "-1"), "margin must be 0 or more [1], got -1."),
        (("payback", "larkfield", "a.toml", "--sample", "--measures", "b.toml"), "measures must be given once, got"),
        (("shapes",), "HOUSE.toml must be given, got nothing (shapes)."),
        (("payback", "--sample", "--years", "0"), "years must be a whole number from 1 to 100 [year], got 0."),
        (("payback", "--sample", "--measures", "no.toml"), "file of measures must be readable, got 'no.toml'"),
    ],
)
def test_refusals(here: Path, words: tuple[str, ...], said: str) -> None:
    result = run(*words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith(f"heatloss: {said}")
    assert result.stderr.count("\n") == 1
