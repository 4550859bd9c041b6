"""`heatloss reconcile`, `signature` and `cooldown` as a person types them, and what stands in their reports."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log, by_line, by_season, written
from typer.testing import CliRunner, Result

from heatloss import read_house, simulate
from heatloss.cli import app
from heatloss.decisions.calibrated import altered
from heatloss.decisions.matching import weather_for


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words), prog_name="heatloss")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, house_maker, chicago) -> Path:
    """A house file, a log of its twin, a log by a line, a night."""
    here = tmp_path_factory.mktemp("winter")
    house = house_maker(
        cover={"glazing": "polycarbonate twin-wall 8 mm"}, title="A test house", place={"weather": "chicago"}
    )
    (here / "h.toml").write_text(house.to_toml(), encoding="utf-8")
    record, _ = weather_for(bare_log(26), chicago, typical=True)
    season = simulate(altered(house, {"u": 1.1, "leakage": 1.3}), record)
    written(by_season(bare_log(26), season, noise=0.04), here / "log.csv", "date,gallons")
    written(by_line(bare_log(30), chicago, (0.3, 0.25, 12.0, 0.02), noise=0.05), here / "bags.csv", "date,bags [40 lb]")
    stamps = pd.date_range("2016-01-10 20:00", periods=41, freq="15min")
    inside = -5.0 + 17.0 * np.exp(-np.arange(41) * 0.25 / 40.0)
    rows = [f"{stamp:%Y-%m-%d %H:%M},{t:.1f},-5" for stamp, t in zip(stamps, inside, strict=True)]
    (here / "night.csv").write_text("\n".join(["date,inside [degC],outside [degC]", *rows]), encoding="utf-8")
    return here


@pytest.fixture
def here(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(folder)
    return folder


def pages(result: Result) -> list[str]:
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    return lines


def test_reconcile_reports_writes_and_draws(here: Path) -> None:
    words = ["reconcile", "h.toml", "log.csv", "--typical", "--fit", "u", "--csv", "w.csv", "--figure", "w.png"]
    text = "\n".join(pages(run(*words)))
    assert "A test house" in text
    for head in ("WAS THE ESTIMATE RIGHT?", "WHAT WAS PROBABLY WRONG", "HOW WELL IT FITS", "NEXT WINTER", "CAUTIONS"):
        assert head in text
    assert "gal, 4 October 2015 to 3 April 2016, 26 intervals" in text
    assert "gallons (US)" in text
    assert "p = 1" in text
    assert "The calibrated house: h_calibrated.toml and h_calibrated_rows.toml." in text
    assert read_house(here / "h_calibrated.toml").cover.glazing.endswith(", fitted")
    assert len((here / "w.csv").read_text(encoding="utf-8").splitlines()) == 27
    assert (here / "w.png").read_bytes().startswith(b"\x89PNG")
    again = run(*words)
    assert again.exit_code == 2
    assert "h_calibrated.toml' (it exists)" in again.stderr


def test_reconcile_in_json_and_since_a_measure(here: Path) -> None:
    words = ["reconcile", "h.toml", "log.csv", "--typical", "--fit", "u", "--no-write", "--si", "--json"]
    data = json.loads(run(*words, "--measure-on", "2016-02-07").stdout)
    assert data["format"] == "heatloss reconcile"
    assert data["log"]["unit"] == "gal"
    assert [row["input"] for row in data["inputs"]] == ["u"]
    assert data["saving"]["low"] < data["saving"]["saved"] < data["saving"]["high"]
    assert data["next_winter"]["low"] < data["next_winter"]["amount"]
    assert len(data["intervals"]) == 18
    assert data["after"]["parameters"] == 1
    assert data["written"] == []


def test_signature_needs_no_house_file(here: Path) -> None:
    words = ["signature", "bags.csv", "chicago", "--typical", "--fuel", "pellets", "--efficiency", "0.75"]
    text = "\n".join(pages(run(*words, "--stock", "20", "--until", "12-01", "--figure", "s.svg", "--csv", "s.csv")))
    for words_ in (
        "heat begins at",
        "bags a day for each °F colder",
        "W/K",
        "A WINTER BY THIS LINE",
        "runs out",
        "order",
    ):
        assert words_ in text
    assert "<svg" in (here / "s.svg").read_text(encoding="utf-8")
    assert (
        (here / "s.csv")
        .read_text(encoding="utf-8")
        .startswith("start,end,measured [bag],modelled [bag],outdoor [degC]")
    )


def test_signature_in_json(here: Path) -> None:
    words = ["signature", "bags.csv", "chicago", "--typical", "--json", "--si"]
    data = json.loads(run(*words, "--measure-on", "2016-03-06", "--stock", "500", "--until", "2016-06-15").stdout)
    assert data["line"]["slope"]["value"] == pytest.approx(0.25, rel=0.15)
    assert data["line"]["slope"]["low"] < 0.25 < data["line"]["slope"]["high"]
    assert data["conductance_w_per_k"] is None
    assert data["remaining"]["chance"] == 0.0
    assert data["remaining"]["likely"] is None
    assert data["saving"]["before"] + data["saving"]["after"] + data["saving"]["aside"] == 30


def test_cooldown(here: Path) -> None:
    text = "\n".join(pages(run("cooldown", "night.csv", "--figure", "n.png")))
    assert "time constant" in text
    data = json.loads(run("cooldown", "night.csv", "--from", "2016-01-10 21:00", "--json").stdout)
    found = data["time_constant_h"]
    assert found["low"] < found["value"] < found["high"]
    assert found["value"] == pytest.approx(40.0, rel=0.05)
    assert data["readings"] == 37


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["reconcile", "h.toml", "log.csv"], "must be that of the log's dates"),
        (["reconcile", "h.toml", "log.csv", "--sun", "chicago"], "weather must be given with sun"),
        (["reconcile", "h.toml", "none.csv"], "log must be a file that exists"),
        (["reconcile", "h.toml", "log.csv", "--typical", "--fit", "windows"], "input must be a known name"),
        (["reconcile", "h.toml", "bags.csv", "--typical"], "must fit propane, got bag"),
        (["reconcile", "h.toml", "log.csv", "--typical", "--measure-on", "soon"], "measure_on must be a date"),
        (["signature", "bags.csv", "chicago"], "must be that of the log's dates"),
        (["signature", "bags.csv", "chicago", "--typical", "--fuel", "pellets"], "efficiency must be above 0"),
        (["signature", "night.csv", "chicago", "--typical"], "must hold fuel burned between two dates"),
        (["signature", "bags.csv", "chicago", "--typical", "--figure", "s.bmp"], "must end in .png"),
        (["cooldown", "bags.csv"], "must hold inside and outside temperatures"),
    ],
)
def test_what_cannot_be_is_one_sentence(here: Path, words: list[str], said: str) -> None:
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert said in result.stderr
    assert result.stderr.count("\n") == 1
