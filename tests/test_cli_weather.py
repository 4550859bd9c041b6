"""The commands that read, fetch and make weather, as a person types them."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from heatloss.cli import app
from heatloss.weather import read_weather
from heatloss.weather.samples import sample_path


def typed(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def test_normals_from_a_file_and_a_winter_on_them(tmp_path: Path) -> None:
    made = typed("weather", "normals", str(tmp_path / "valley"), "--from", "northway")
    assert made.exit_code == 0
    file = tmp_path / "valley.toml"
    assert 'mean = "-11.5 ' in file.read_text(encoding="utf-8")
    shown = typed("weather", "show", str(file))
    assert shown.exit_code == 0
    assert "normals file valley.toml" in shown.output
    again = typed("weather", "normals", str(tmp_path / "valley"), "--from", "northway")
    assert again.exit_code == 2
    assert "must be a file that does not exist yet" in again.output
    season = typed("season", "--sample", "--weather", str(file))
    assert season.exit_code == 0
    assert "A synthetic year, seed 1" in " ".join(season.output.split())


def test_a_house_file_names_normals_beside_it(tmp_path: Path) -> None:
    typed(
        "weather", "normals", str(tmp_path / "valley"), "--latitude", "44", "--january", "20 degF", "--july", "68 degF"
    )
    assert typed("new", str(tmp_path / "mine")).exit_code == 0
    house = tmp_path / "mine.toml"
    text = house.read_text(encoding="utf-8").replace('weather = "chicago"', 'weather = "valley.toml"')
    house.write_text(text, encoding="utf-8")
    run = typed("season", str(house))
    assert run.exit_code == 0, run.output


def test_crude_start_says_what_it_assumed(tmp_path: Path) -> None:
    made = typed(
        "weather", "normals", str(tmp_path / "a"), "--latitude", "44", "--january", "20 degF", "--july", "68 degF"
    )
    assert "- Monthly means lie on a cosine from January to July." in made.output
    lacking = typed("weather", "normals", str(tmp_path / "b"), "--latitude", "44")
    assert lacking.exit_code == 2
    assert "latitude, january and july must be given" in lacking.output


def test_a_kind_may_be_said_and_gaps_filled(tmp_path: Path) -> None:
    path = sample_path("chicago")
    assert path is not None
    lines = gzip.decompress(path.read_bytes()).decode().split("\n")
    del lines[8 + 100]
    file = tmp_path / "odd.txt"
    file.write_text("\n".join(lines), encoding="utf-8")
    refused = typed("season", "--sample", "--weather", str(file))
    assert refused.exit_code == 2
    assert 'filled with fill "short"' in refused.output
    filled = typed("season", "--sample", "--weather", str(file), "--fill", "short", "--kind", "epw")
    assert filled.exit_code == 0
    assert "missing values filled as asked" in " ".join(filled.output.split())
    wrong = typed("season", "--sample", "--weather", str(file), "--kind", "tmy")
    assert wrong.exit_code == 2
    assert "kind must be a known name" in wrong.output


def test_show_draws_and_takes_a_base(tmp_path: Path) -> None:
    picture = tmp_path / "year.png"
    shown = typed("weather", "show", "golden", "--base", "50 degF", "--figure", str(picture), "--si")
    assert shown.exit_code == 0
    assert picture.read_bytes()[:4] == b"\x89PNG"
    assert f"{read_weather('golden').degree_days(10.0):,.0f} K days" in shown.output
    assert typed("weather", "show", "golden", "--base", "50").exit_code == 2


def test_get_takes_what_is_in_the_cache_and_puts_a_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEATLOSS_CACHE", str(tmp_path))
    path = sample_path("italy_45n8e")
    assert path is not None
    (tmp_path / "pvgis_45.000_8.000.json.gz").write_bytes(path.read_bytes())
    got = typed("weather", "get", "--lat", "45", "--lon", "8", "--save", str(tmp_path / "mine.csv"))
    assert got.exit_code == 0
    assert f'weather = "{tmp_path / "mine.csv"}"' in got.output
    assert read_weather(tmp_path / "mine.csv").site.latitude == 45.0


def test_get_says_in_a_sentence_why_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEATLOSS_CACHE", str(tmp_path))
    monkeypatch.delenv("HEATLOSS_NSRDB_KEY", raising=False)
    refused = typed("weather", "get", "--lat", "45", "--lon", "-100", "--nsrdb")
    assert refused.exit_code == 2
    assert "key and email must be given for the NSRDB" in refused.output
    assert typed("weather", "get", "--lat", "95", "--lon", "8").exit_code == 2


def test_winters_wants_years() -> None:
    refused = typed("winters", "--sample")
    assert refused.exit_code == 2
    assert "Type: --years FOLDER" in refused.output
