"""The season for other programs: JSON of the stated form, hours as CSV, nothing half-written."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pandas as pd
import pytest

from heatloss.errors import InputError
from heatloss.report import SEASON_SCHEMA, export, season_csv, season_json


@pytest.mark.parametrize("fuels", [0, 1, 2])
@pytest.mark.parametrize("minimum", [None, -29.0])
def test_the_document_is_of_the_stated_form(season_maker: Any, fuels: int, minimum: float | None) -> None:
    jsonschema.Draft202012Validator.check_schema(SEASON_SCHEMA)
    season = season_maker(fuels=fuels, minimum_20_year=minimum)
    document = json.loads(season_json(season, sample=True))
    jsonschema.validate(document, SEASON_SCHEMA)
    assert document["sample"] is True
    assert document["heater_size_complete"] is (minimum is not None)
    assert len(document["fuels"]) == fuels


def test_the_schema_refuses_what_is_not_of_the_form(made_season: Any) -> None:
    document = json.loads(season_json(made_season))
    for spoil in ("heat_kwh", "fuels", "cautions"):
        less = copy.deepcopy(document)
        del less[spoil]
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(less, SEASON_SCHEMA)


def test_every_key_is_in_the_modules_own_description() -> None:
    assert export.__doc__ is not None
    assert all(f"``{key}``" in export.__doc__ for key in SEASON_SCHEMA["properties"])


def test_the_figures_are_the_seasons_to_the_last_bit(made_season: Any) -> None:
    document = json.loads(season_json(made_season))
    assert document["heat_kwh"] == made_season.heat_kwh
    assert document["fuels"][0]["amount"] == made_season.fuel.amount
    assert document["fuels"][0]["cost_usd"] == made_season.fuel.cost
    assert [m["month"] for m in document["monthly"]] == list(made_season.monthly.index)
    assert document["design_loads"]["file_996"] == {"temperature_c": -19.4, "load_w": 15_200.0}
    assert sum(document["ledger_kwh"].values()) == pytest.approx(0.0, abs=1e-6)


def test_a_figure_that_is_none_is_refused_and_not_written(season_maker: Any) -> None:
    season = season_maker()
    season.hand_kwh = np.nan
    with pytest.raises(ValueError, match="JSON"):
        season_json(season)


def test_the_hours_come_back(made_season: Any, tmp_path: Path) -> None:
    target = tmp_path / "hours.csv"
    season_csv(made_season, target)
    back = pd.read_csv(target, index_col="time", parse_dates=True)
    assert list(back.columns)[:4] == ["outdoor [degC]", "inside [degC]", "floor [degC]", "heat [W]"]
    assert "unmet [K]" in back.columns
    np.testing.assert_allclose(back["heat [W]"], made_season.hourly["heat"], rtol=1e-5)
    assert (back.index == made_season.hourly.index).all()
    assert [p.name for p in tmp_path.iterdir()] == ["hours.csv"]


@pytest.mark.parametrize("name", ["no/such/folder/hours.csv", "."])
def test_a_place_that_cannot_be_written_is_one_sentence(made_season: Any, tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"FILE must be a place that can be written, got .* \(.*\)\. Name a file"):
        season_csv(made_season, tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_write_that_breaks_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "hours.csv"
    target.write_text("old")

    def full(self: Path, *args: Any, **kwargs: Any) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(InputError, match="no space left on device"):
        export.write_whole(target, "new")
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["hours.csv"]
