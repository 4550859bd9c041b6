"""The command as a person types it: exit codes, one-sentence errors, nothing half-written."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner, Result

from heatloss import House, read_house, read_weather, sample_house, simulate
from heatloss.cli import app
from heatloss.decisions.spread import spread
from heatloss.house import SAMPLES
from heatloss.report import CAUTIONS, SEASON_SCHEMA
from heatloss.report.text import SAMPLE_NOTE

runner = CliRunner()


def run(*words: str) -> Result:
    return runner.invoke(app, list(words), prog_name="heatloss")


def refused(result: Result) -> str:
    """What was said on stderr, after making sure that it is a refusal and nothing else was printed."""
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    return result.stderr.strip()


@pytest.fixture(scope="module")
def sample_report() -> str:
    result = run("season", "--sample")
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_sample_says_in_its_first_and_last_line_that_it_is_none_of_yours(sample_report: str) -> None:
    lines = sample_report.rstrip("\n").split("\n")
    assert lines[0] == lines[-1] == SAMPLE_NOTE


def test_the_sample_report_is_80_columns_wide_and_has_the_cautions(sample_report: str) -> None:
    assert max(len(line) for line in sample_report.split("\n")) <= 80
    text = " ".join(sample_report.split())
    assert all(caution in text for caution in CAUTIONS)
    assert "short tons of pellets" in text
    assert "not a heater size" in text


def test_the_report_says_what_the_season_is(sample_report: str) -> None:
    season = simulate(sample_house(), read_weather("chicago"))
    found = spread(season.house, season.weather, n=128, season=season, steps_per_hour=1, iterations=1)
    fuel, bought = season.fuel, found.purchase(0.95)
    text = " ".join(sample_report.split())
    assert f"{fuel.amount:.1f} short tons of pellets ({fuel.bags:,.0f} bags of 40 lb" in text
    assert f"buy {bought.bags} bags, {bought.amount:.2f} short tons" in text
    assert f"${fuel.cost:,.0f} at $280.00 a short ton" in text
    assert f"({season.peak_w / 1000:.1f} kW)" in text
    assert f"({season.design['minimum_20_year'] / 1000:.1f} kW)" in text
    assert f"{100 * season.heat_kwh / season.hand_kwh:.0f} % of the hand figure" in text
    assert all(" ".join(sentence.split()) in text for sentence in season.assumptions)


@pytest.mark.parametrize("name", [name for name in SAMPLES if name != "larkfield"])
def test_every_built_in_house_has_its_winter(name: str) -> None:
    result = run("season", name, "--sample", "--si", "--draws", "16")
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.stdout.split("\n")) <= 80


def test_json_and_csv_of_the_sample(here: Path) -> None:
    result = run("season", "--sample", "--json", "--csv", "hours.csv")
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    jsonschema.validate(document, SEASON_SCHEMA)
    assert document["sample"] is True
    assert abs(document["closure"]) <= 1e-9
    rows = (here / "hours.csv").read_text().splitlines()
    assert len(rows) == 8761
    assert rows[0].startswith("time,outdoor [degC],inside [degC],setpoint [degC],floor [degC],tank perch tank [degC]")


def test_the_shed_the_level_and_the_draws_are_options(here: Path) -> None:
    words = ["--draws", "16", "--lasts", "80", "--have", "6 short_ton", "--draws-csv", "draws.csv"]
    result = run("season", "--sample", *words)
    assert result.exit_code == 0, result.output
    text = " ".join(result.stdout.split())
    assert "lasts 80 in 100 buy" in text
    assert "you have 6.0 short tons: runs out in" in text
    rows = (here / "draws.csv").read_text().splitlines()
    assert len(rows) == 17
    assert rows[0].startswith("draw,u,leakage,inside_film,")


def test_quick_draws_nothing() -> None:
    result = run("season", "--sample", "--quick")
    assert "8 winters in 10" in result.stdout
    assert "a stated judgement" in " ".join(result.stdout.split())
    assert "HOW SURE" not in result.stdout
    assert refused(run("season", "--sample", "--quick", "--have", "6 short_ton")) == (
        "heatloss: --quick draws no winters: leave it out where --have or --draws-csv is given."
    )


def test_what_cannot_be_asked_of_a_range() -> None:
    assert "lasts must be between 50 and 99" in refused(run("season", "--sample", "--lasts", "0.95"))
    assert "in short tons or bags, got '6 tons'" in refused(
        run("season", "--sample", "--draws", "8", "--have", "6 tons")
    )
    assert "n must be a whole number >= 8, got 3" in refused(run("season", "--sample", "--draws", "3"))


def test_another_sample_and_another_weather_by_name() -> None:
    result = run("season", "dome", "--sample", "--weather", "golden", "--si", "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["weather"]["source"] == "golden"


def test_neither_house_nor_sample_refuses_and_shows_how_to_start() -> None:
    assert refused(run("season")) == (
        "heatloss: HOUSE.toml must be given, got nothing (season). "
        "Start with: heatloss new my_house, or look at: heatloss season --sample"
    )


def test_a_house_file_that_is_not_there() -> None:
    message = refused(run("season", "nowhere.toml"))
    assert message.startswith('heatloss: house file must exist, got "nowhere.toml".')
    assert "\n" not in message


def test_an_unknown_sample_lists_the_nearest() -> None:
    assert "larkfield" in refused(run("season", "larkfeld", "--sample"))


def test_a_weather_file_that_is_not_there() -> None:
    message = refused(run("season", "--sample", "--weather", "chicaco"))
    assert message.startswith("heatloss: weather must be a file or one of the samples")
    assert "chicago" in message
    assert "\n" not in message


def test_faults_of_a_house_file_come_all_at_once(here: Path) -> None:
    run("new", "mine")
    file = here / "mine.toml"
    file.write_text(file.read_text().replace("[shape]", "[shape]\nwidht = 20\nfurnace = 3", 1))
    message = refused(run("season", "mine.toml"))
    assert "widht" in message
    assert "furnace" in message


def test_a_csv_that_cannot_be_written(here: Path) -> None:
    message = refused(run("season", "--sample", "--csv", "no/folder/hours.csv"))
    assert message.startswith("heatloss: FILE must be a place that can be written, got 'no/folder/hours.csv'")
    assert list(here.iterdir()) == []


def test_new_writes_a_house_that_reads_and_runs(here: Path) -> None:
    result = run("new", "mine")
    assert result.exit_code == 0
    assert "heatloss season mine.toml" in result.stdout
    assert isinstance(read_house("mine.toml"), House)
    season = run("season", "mine.toml", "--weather", "chicago")
    assert season.exit_code == 0, season.output
    assert SAMPLE_NOTE not in season.stdout


def test_new_never_overwrites(here: Path) -> None:
    (here / "mine.toml").write_text("kept")
    message = refused(run("new", "mine"))
    assert message == (
        "heatloss: NAME must be new, got 'mine.toml' (it exists). Choose another name or move that file."
    )
    assert (here / "mine.toml").read_text() == "kept"


def test_the_weather_of_a_house_file_is_looked_up_beside_it(here: Path) -> None:
    (here / "farm").mkdir()
    run("new", "farm/mine")
    file = here / "farm" / "mine.toml"
    lines = [
        'weather = "station.epw"' if line.lstrip("# ").startswith("weather = ") else line
        for line in file.read_text().splitlines()
    ]
    file.write_text("\n".join(lines))
    assert "station.epw" in refused(run("season", "farm/mine.toml"))
    from heatloss.weather.samples import sample_path

    source = sample_path("chicago")
    assert source is not None
    (here / "farm" / "station.epw").write_bytes(source.read_bytes())
    result = run("season", "farm/mine.toml", "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["weather"]["source"] == "station.epw"


def test_schema_is_the_house_files_json_schema() -> None:
    result = run("schema")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    jsonschema.Draft202012Validator.check_schema(document)
    assert "shape" in document["properties"]


def test_catalogue_kinds_names_and_rows() -> None:
    assert "glazing" in run("catalogue").stdout
    assert "pellets" in run("catalogue", "fuels").stdout.split("\n")
    assert "hhv = " in run("catalogue", "fuels", "pellets").stdout
    assert "pellets" in refused(run("catalogue", "fuels", "pelets"))
    assert "fuels" in refused(run("catalogue", "fuel"))


def test_own_rows_are_listed_beside_the_others(here: Path) -> None:
    (here / "rows.toml").write_text('[doors."barn door"]\nu_value = "0.5 Btu/(h ft^2 degF)"\nsource = "my guess"\n')
    assert "barn door" in run("catalogue", "doors", "--rows", "rows.toml").stdout.split("\n")
    assert "my guess" in run("catalogue", "doors", "barn door", "--rows", "rows.toml").stdout
    assert "barn door" not in run("catalogue", "doors").stdout


def test_weather_show_prints_the_files_own_figures() -> None:
    result = run("weather", "show", "chicago", "--si")
    assert result.exit_code == 0
    assert f"{read_weather('chicago').degree_days((65 - 32) / 1.8):,.0f} K days" in result.stdout


def test_weather_show_of_something_else_is_refused(here: Path) -> None:
    (here / "letter.txt").write_text("Dear sir\nnothing about weather\n")
    message = refused(run("weather", "show", "letter.txt"))
    assert message.startswith("heatloss: weather file must be")
    assert "\n" not in message
    assert "tmy3" in refused(run("weather", "show", "chicago", "--kind", "tmy")).lower()


def test_an_unknown_command_or_option_is_refused_without_a_traceback() -> None:
    assert "No such command 'winter'" in refused(run("winter"))
    assert "No such option" in refused(run("season", "--sampel"))


def test_ctrl_c_ends_with_130(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*args: object, **kwargs: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("heatloss.weather.read_weather", stop)
    assert run("weather", "show", "chicago").exit_code == 130


def test_help_needs_no_heavy_library() -> None:
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom heatloss.cli import app\n"
        "assert CliRunner().invoke(app, ['season', '--help']).exit_code == 0\n"
        "heavy = {'pandas', 'numpy', 'scipy', 'pvlib', 'numba', 'pint', 'matplotlib'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_the_module_is_the_command() -> None:
    found = subprocess.run([sys.executable, "-m", "heatloss", "season"], capture_output=True, text=True, check=False)
    assert found.returncode == 2
    assert found.stderr.startswith("heatloss: HOUSE.toml must be given")


@pytest.mark.parametrize("name", ["", "x" * 101])
def test_new_wants_a_name_of_a_sane_length(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(app, ["new", name])
    assert result.exit_code == 2
    assert "NAME must have 1 to 100 letters" in result.output
    assert list(tmp_path.iterdir()) == []


def test_csv_wants_a_file_name() -> None:
    result = CliRunner().invoke(app, ["season", "--sample", "--csv", ""])
    assert result.exit_code == 2
    assert "file must have a name to be written to" in result.output


def test_a_heater_that_is_too_small_is_said_at_the_top(tmp_path: Path) -> None:
    from heatloss import sample_house

    house = sample_house()
    small = [{**house.tree()["heater"][0], "output": "3 kW"}]
    file = tmp_path / "small.toml"
    file.write_text(house.changed(heater=small).to_toml(), encoding="utf-8")
    result = CliRunner().invoke(app, ["season", str(file)])
    top, _ = result.output.split("HOW HIGH THE LOAD CLIMBS")
    assert "HEATER TOO SMALL:" in top
    assert max(map(len, result.output.splitlines())) <= 80


def test_a_house_named_without_its_ending_or_a_samples_name_gets_the_command_to_type(here: Path) -> None:
    run("new", "my house")
    assert "Type: heatloss season 'my house.toml'" in refused(run("season", "my house"))
    assert "Type: heatloss heater dome --sample" in refused(run("heater", "dome"))


def test_new_quotes_a_name_with_a_space(here: Path) -> None:
    assert "heatloss season 'my greenhouse.toml'" in run("new", "my greenhouse").output
