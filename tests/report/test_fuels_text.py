"""Fuels in words: amounts, work and losses of the house's own heaters, the comparison beside them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import matplotlib as mpl
import pandas as pd
import pytest
from typer.testing import CliRunner

from heatloss import compare_sources, read_weather, sample_house, simulate
from heatloss.cli import app
from heatloss.decisions.off_grid import off_grid
from heatloss.report import CAUTIONS
from heatloss.report.fuels_text import OFF_GRID_CAUTION, fuels_csv, fuels_json, fuels_report
from heatloss.report.heater_plots import cost_of_sources, where_fuel_goes
from heatloss.report.plots import style

MINE = [
    {"name": "a wood stove with a name too long to fit", "type": "wood stove"},
    {"name": "oil", "type": "oil boiler"},
]


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def season() -> Any:
    house = sample_house()
    backup = {"name": "gas", "type": "propane wall heater", "order": "backup"}
    small = {**house.tree()["heater"][0], "output": "12 kW"}
    return simulate(house.changed(heater=[small, backup]), read_weather("chicago"))


@pytest.fixture(scope="module")
def sources(season: Any) -> Any:
    return compare_sources(season.house, season.weather, MINE, base=season)


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_report(season: Any, sources: Any, units: Any) -> None:
    text = fuels_report(season, sources, off_grid(season), units=units, sample=True)
    assert max(len(line) for line in text.split("\n")) <= 80
    assert not any(line != line.rstrip() for line in text.split("\n"))
    words = flat(text)
    assert OFF_GRID_CAUTION in words
    for caution in CAUTIONS:
        assert caution in words


def test_own_heaters(season: Any, sources: Any) -> None:
    words = flat(fuels_report(season, sources))
    boiler, gas = season.fuels
    assert f"{boiler.amount:.2f} short tons for" in words
    bags = boiler.most(1)[0] * 50.0
    assert f"{bags:.1f} bags. Coldest week" in words
    assert "What does not reach the house: up the flue 1" in words
    assert "A full hopper lasts: Sep" in words
    assert "On the design night, -21 °F (-29.5 °C):" in words
    share = 100.0 * gas.heat_kwh / season.heat_kwh
    assert f"gas: {share:.1f} % of the season's heat, in" in words


def test_wood_is_told_as_a_range_and_by_loads() -> None:
    stove = {"name": "stove", "type": "wood stove", "output": "30 kW"}
    done = simulate(sample_house().changed(heater=[stove]), read_weather("chicago"))
    words = flat(fuels_report(done, compare_sources(done.house, done.weather, MINE, base=done)))
    assert "A cord is no fixed amount: 55 to 70 % of its 128 ft3 are solid wood" in words
    assert "Loads by hand: " in words
    assert "short of a night of 8 h" in words


def test_comparison(season: Any, sources: Any) -> None:
    lines = fuels_report(season, sources).split("\n")
    oil = next(line for line in lines if line.startswith("  oil ") and "gallons" in line)
    assert f"{sources.loc['oil', 'cost']:,.0f}*" in oil
    assert "EXAMPLE prices" in flat("\n".join(lines))
    assert any(line.startswith("  a wood stove with a nam.") and "goes on" in line for line in lines)


def test_json_closes_the_fuel(season: Any, sources: Any) -> None:
    document = json.loads(fuels_json(season, sources, off_grid(season)), parse_constant=pytest.fail)
    for heater in document["heaters"]:
        went = sum(heater[f"{k}_kwh"] for k in ("heat", "flue", "standby", "starting", "over_fire"))
        assert heater["energy_kwh"] + heater["outdoors_kwh"] == pytest.approx(went, rel=1e-9)
    assert [row["name"] for row in document["sources"]] == [use["name"] for use in MINE]
    assert document["off_grid"]["array_w"] > 0.0
    assert json.loads(fuels_json(season, sources))["off_grid"] is None


def test_csv_and_command(sources: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fuels_csv(sources, tmp_path / "out.csv")
    assert pd.read_csv(tmp_path / "out.csv", index_col="name")["amount"].to_dict() == pytest.approx(
        sources["amount"].to_dict(), rel=1e-5
    )
    monkeypatch.chdir(tmp_path)
    words = ["fuels", "--sample", "--heaters", "mine.toml"]
    Path("mine.toml").write_text('[[heater]]\nname = "gas"\ntype = "propane unit heater"\nprice = "2 usd/gallon"\n')
    result = CliRunner().invoke(
        app, ["fuels", "--sample", "--heaters", "mine.toml", "--off-grid"], prog_name="heatloss"
    )
    assert result.exit_code == 0, result.output
    assert "WITHOUT THE GRID" in result.stdout
    assert "EXAMPLE prices" not in result.stdout
    Path("mine.toml").write_text('[[heater]]\nname = "gas"\ntype = "propane unit heater"\nprice = "2"\n')
    refused = CliRunner().invoke(app, words, prog_name="heatloss")
    assert refused.exit_code == 2
    assert "price" in refused.stderr
    assert refused.stderr.count("\n") <= 2


@pytest.fixture
def ax() -> Iterator[Any]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    with style():
        figure, axes = plt.subplots(layout="constrained")
        yield axes
        figure.canvas.draw()
    plt.close(figure)


def test_where_the_fuel_goes(season: Any, ax: Any) -> None:
    assert where_fuel_goes(season, ax) is ax
    height = sum(bar.get_height() for bars in ax.containers for bar in bars)
    assert height == pytest.approx(season.fuel.energy_kwh / 1000.0, rel=1e-9)


def test_cost_of_sources(sources: Any, ax: Any) -> None:
    assert cost_of_sources(sources, ax) is ax
    assert [bar.get_width() for bars in ax.containers for bar in bars] == pytest.approx(sorted(sources["cost"]))
