"""An outage in words: oxygen before temperatures, minutes below two hours, limits with source; JSON, CSV, a picture."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import matplotlib as mpl
import pandas as pd
import pytest
from typer.testing import CliRunner

from heatloss import read_weather, sample_house
from heatloss.cli import app
from heatloss.decisions.outage import study
from heatloss.report import CAUTIONS
from heatloss.report.heater_plots import outage_course
from heatloss.report.outage_text import OUTAGE_CAUTIONS, duration, outage_csv, outage_json, outage_report
from heatloss.report.plots import style


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def found() -> Any:
    return study(sample_house(), read_weather("chicago"))


def test_times_are_rounded_down() -> None:
    assert [duration(h) for h in (0.999 / 60, 1.999, 2.0, 9.99, 71.9, float("inf"))] == [
        "0 min", "119 min", "2.0 h", "9.9 h", "71 h", "> 72 h",
    ]  # fmt: skip


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_report(found: Any, units: Any) -> None:
    text = outage_report(found, units=units)
    assert max(len(line) for line in text.split("\n")) <= 80
    assert not any(line != line.rstrip() for line in text.split("\n"))
    words = flat(text)
    assert words.index("OXYGEN COMES BEFORE ANY TEMPERATURE") < words.index("SHORTEST TIME UNTIL")
    assert f"{duration(found.oxygen[0].low)} of air once the air pump stops" in words
    assert "No temperature keeps fish alive whose air pump stands still" in words
    assert " safe" not in words
    assert "none leaves that long here, and a backup must start by itself" in words
    assert "bounds for the house as described, not promises" in words
    for caution in (*OUTAGE_CAUTIONS, *CAUTIONS):
        assert caution in words


def test_every_time_of_the_table_stands_in_the_text(found: Any) -> None:
    words = flat(outage_report(found))
    rows = found.table[~found.table["limit"].str.startswith("oxygen in ")]
    for limit, times in rows.groupby("limit")["hours"]:
        assert f"{limit} {' '.join(duration(t) for t in times)}" in words


def test_limits_carry_range_and_source(found: Any) -> None:
    words = flat(outage_report(found, units="si"))
    assert (
        "killed at -0.5 °C (-3.0 to 0.0 °C; horticulture texts, killing and chilling temperatures, from memory)"
        in words
    )
    assert "stop feeding below 5.0 °C (3.0 to 8.0 °C; aquaculture texts" in words


def test_fuel_for_the_night_is_the_heat_over_what_the_fuel_gives(found: Any) -> None:
    # pellets 4.8 kWh/kg net (from memory) at the boiler's 86 %, bags of 40 lb; propane 91,450 Btu a gallon at 80 %
    kwh = 24.0 * found.frost_w / 1000.0
    document = json.loads(outage_json(found), parse_constant=pytest.fail)
    fuels = document["frost"]["fuels"]
    assert fuels["pellets"]["amount"] * 907.18474 == pytest.approx(kwh / 0.86 / 4.8, rel=1e-9)
    assert fuels["propane"]["amount"] == pytest.approx(kwh / 0.8 / (91450 / 3412.1416), rel=1e-4)
    assert document["outages"][0]["limit"] == "oxygen in perch tank"
    assert document["electricity"]["carry_wh"] == pytest.approx(found.carry_wh())
    assert document["alarm"]["c"]["fire out"] is None


def test_a_place_without_long_records_is_told_that_its_times_are_too_long() -> None:
    text = flat(outage_report(study(sample_house("dome"), read_weather("golden"))))
    assert "every time above is too long. Type minimum_20_year" in text
    assert "power cut: not reached within 72 hours" in text  # a wood stove needs no current


def test_csv_and_command(found: Any, tmp_path: Path) -> None:
    outage_csv(found, tmp_path / "out.csv")
    rows = pd.read_csv(tmp_path / "out.csv")
    assert list(rows.columns) == ["cause", "limit", "hours [h]", "weather", "start"]
    assert len(rows) == len(found.table)
    result = CliRunner().invoke(app, ["outage", "--sample", "--si", "--leave", "0.1"], prog_name="heatloss")
    assert result.exit_code == 0, result.output
    assert "AN ALARM THAT LEAVES 6 MIN BEFORE" in result.stdout
    refused = CliRunner().invoke(app, ["outage", "--sample", "--leave", "0"], prog_name="heatloss")
    assert (refused.exit_code, refused.stderr.count("\n")) == (2, 1)


@pytest.fixture
def ax() -> Iterator[Any]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    with style():
        figure, axes = plt.subplots(layout="constrained")
        yield axes
        figure.canvas.draw()
    plt.close(figure)


def test_the_picture_is_the_worst_course(found: Any, ax: Any) -> None:
    assert outage_course(found, ax, units="si") is ax
    lines = {line.get_label(): line for line in ax.get_lines()}
    drawn = lines["air, fire out"].get_ydata()
    assert drawn == pytest.approx(found.course["fire out"]["air"].loc[:24.0].to_numpy())
    killed = found.variants[(found.variants["variant"] == "as it is") & (found.variants["cause"] == "fire out")]
    hours = found.course["fire out"].index.to_numpy()
    assert float(hours[drawn.size - 1]) == 24.0
    assert min(h for h, t in zip(hours, drawn, strict=False) if t <= -0.5 + 2.0) == pytest.approx(
        float(killed["hours"].iloc[0]), abs=1 / 60
    )
