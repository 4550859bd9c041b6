"""The page answers first, carries the season's own numbers, is sound HTML for readers of every kind, and whole."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import heatloss.report.page as made
from heatloss import House, InputError, read_weather, sample_house, size_heater
from heatloss.cli import app
from heatloss.decisions.payback import weigh
from heatloss.report.page import next_dollar, report_page
from heatloss.report.pictures import COLOURS
from heatloss.report.text import SAMPLE_NOTE

MEASURES = """
[[measure]]
name = "taped joints"
set.air.class = "structured sheet taped"
cost = "200 usd"
life = 6

[[measure]]
name = "night curtain"
add.curtain = [{ material = "energy curtain" }]
cost = "9000 usd"
life = 8
"""
LARGEST = 2_000_000  # bytes


@pytest.fixture(scope="module")
def measures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("measures") / "mine.toml"
    path.write_text(MEASURES, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def page(measures: Path) -> str:
    """The sample house's page, on few draws."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(made, "DRAWS", 16)
        return report_page(sample_house(), read_weather("chicago"), measures, sample=True)


@pytest.fixture(scope="module")
def document(page: str) -> Any:
    """The parsed page; a parse error of the HTML standard is an error here."""
    import html5lib

    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def words(element: Any) -> str:
    return " ".join("".join(element.itertext()).split())


def first_answers(document: Any) -> dict[str, str]:
    cards = document.findall(".//div[@class='answers']/section")
    return {words(card.find("h2")): words(card) for card in cards}


def test_the_first_screen_answers_the_four_questions(document: Any, measures: Path) -> None:
    answers = first_answers(document)
    assert list(answers) == ["Fuel for the winter", "Cost", "Heater size", "The next dollar"]
    house, weather = sample_house(), read_weather("chicago")
    weighed, size = weigh(house, weather, measures), size_heater(house, weather)
    fuel = weighed.base.fuel
    assert f"{fuel.amount:.1f} short tons" in answers["Fuel for the winter"]
    assert f"${fuel.cost:,.0f}" in answers["Cost"]
    assert f"{size.recommended_w / 1000:.1f} kW" in answers["Heater size"]
    assert next_dollar(weighed) == "taped joints"
    assert f"saves ${weighed.table['saving']['taped joints']:,.0f} a year" in answers["The next dollar"]


def test_tables_hold_the_months_of_the_season(document: Any, measures: Path) -> None:
    season = weigh(sample_house(), read_weather("chicago"), measures).base
    table = next(t for t in document.iter("table") if words(t.find("caption")) == "Month by month, SI units")
    heads = [words(th) for th in table.findall("thead/tr/th")]
    place = heads.index("heat kWh")
    heat = [float(words(row.findall("td")[place]).replace(",", "")) for row in table.findall("tbody/tr")]
    assert heat == pytest.approx(season.monthly["heat_kwh"].to_numpy(), abs=0.51)
    names = [words(row.find("th")) for row in table.findall("tbody/tr")]
    assert names[0] == "July"
    assert len(names) == 12


def test_both_systems_of_units_are_on_the_page(document: Any) -> None:
    captions = [words(t.find("caption")) for t in document.iter("table")]
    assert {"Month by month, US units", "Month by month, SI units"} <= set(captions)


def test_a_sample_says_so_first_and_last(document: Any) -> None:
    notes = [words(p) for p in document.iter("p") if p.get("class") == "note"]
    assert notes == [SAMPLE_NOTE, SAMPLE_NOTE]


def test_every_table_can_be_read_aloud(document: Any) -> None:
    tables = list(document.iter("table"))
    assert len(tables) >= 7
    for table in tables:
        assert words(table.find("caption"))
        assert all(th.get("scope") in ("col", "row") for th in table.iter("th"))
        columns = len(table.find("thead/tr"))
        assert all(len(row) == columns for row in table.iter("tr"))


def test_every_picture_says_what_it_shows(document: Any) -> None:
    pictures = list(document.iter("figure"))
    assert len(pictures) == 10
    for picture in pictures:
        drawing = picture.find("{*}svg")
        assert drawing.get("role") == "img"
        assert len(drawing.get("aria-label")) > 40
        assert words(picture.find("figcaption"))


def test_names_within_are_unique_and_found(page: str) -> None:
    names = re.findall(r'\bid="([^"]+)"', page)
    assert len(names) == len(set(names))
    used = re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', page)
    assert {a or b for a, b in used} <= set(names)


def test_it_asks_the_network_for_nothing(page: str) -> None:
    assert not re.search(r"<script|<link|<iframe|@import|\bsrc=|url\((?!#)", page)
    outside = re.findall(r'="(https?://[^"]*)"', page)
    assert all(address.startswith("http://www.w3.org/") for address in outside)  # names of XML vocabularies


def test_it_is_light_enough(page: str) -> None:
    assert len(page.encode()) < LARGEST


def test_tidy_has_nothing_to_say(page: str, tmp_path: Path) -> None:
    tidy = shutil.which("tidy")
    if tidy is None:
        missing = pytest.fail if os.environ.get("HEATLOSS_EXPECTS_BROWSER") else pytest.skip
        missing("no tidy found: apt-get install tidy (Debian)")
    path = tmp_path / "page.html"
    path.write_text(page, encoding="utf-8")
    done = subprocess.run([tidy, "-q", "-e", "-utf8", str(path)], capture_output=True, text=True, check=False)
    found = [line for line in done.stderr.splitlines() if "Warning:" in line or "Error:" in line]
    assert not found


def channel(value: str) -> float:
    c = int(value, 16) / 255.0
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """Ratio of WCAG 2 (from memory)."""
    light = sorted(
        sum(w * channel(c[i : i + 2]) for w, i in ((0.2126, 1), (0.7152, 3), (0.0722, 5))) for c in (one, other)
    )
    return (light[1] + 0.05) / (light[0] + 0.05)


@pytest.mark.parametrize("dark", [False, True])
def test_words_stand_out_from_their_paper(page: str, dark: bool) -> None:
    css = page[page.index("<style>") : page.index("</style>")]
    blocks = re.findall(r":root \{(.*?)\}", css, flags=re.S)
    named = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", blocks[1 if dark else 0]))
    assert {name: pair[dark] for name, pair in COLOURS.items()}.items() <= named.items()
    pairs = [("ink", "back"), ("ink", "card"), ("soft", "back"), ("soft", "card"), ("link", "back")]
    pairs += [("warn", "warn-back"), ("ink", "paper")]
    for one, other in pairs:
        assert contrast(named[one], named[other]) >= 4.5, (one, other)
    for line in ("inside", "outdoor", "heater"):  # lines of pictures: at least 3
        assert contrast(named[line], named["back"]) >= 3.0, line


def test_a_house_without_heater_or_setpoint_has_its_own_page() -> None:
    house = sample_house("lean_to").changed(heater=[], setpoint=[])
    page = report_page(house, read_weather("northway"))
    assert "The house file has no heater" in page
    assert "Heater size" not in page
    assert "What pays" not in page
    assert "Month by month" in page


def test_where_nothing_pays_it_says_so() -> None:
    foam = {"name": "foam", "set": {"floor": {"depth": "3 ft"}}, "cost": "90000 usd", "life": 30}
    weighed = weigh(sample_house(), read_weather("chicago"), [foam])
    assert next_dollar(weighed) is None
    assert made._next(weighed).answer == "none of these"


def test_a_title_cannot_break_the_page(measures: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(made, "DRAWS", 8)
    tree = sample_house("lean_to").tree() | {"title": '<script>alert("x")</script>'}
    page = report_page(House(**tree), read_weather("northway"), measures)
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def run(*typed: str) -> Any:
    return CliRunner().invoke(app, ["report", *typed])


def test_the_command_writes_the_page_and_says_where(
    measures: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(made, "DRAWS", 8)
    path = tmp_path / "mine.html"
    done = run("lean_to", "--sample", "--measures", str(measures), "-o", str(path), "--si")
    assert done.exit_code == 0, done.output
    assert str(path) in done.output
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert [p.name for p in tmp_path.iterdir()] == ["mine.html"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (["nowhere.toml"], "nowhere.toml"),
        (["--sample", "--weather", "nowhere.epw"], "nowhere.epw"),
        (["--sample", "--measures", "nowhere.toml"], "nowhere.toml"),
        ([], "HOUSE.toml must be given"),
    ],
)
def test_what_fails_leaves_no_page_and_the_old_one_as_it_was(typed: list[str], says: str, tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    path.write_text("last year's", encoding="utf-8")
    done = run(*typed, "-o", str(path))
    assert done.exit_code == 2
    assert says in done.output
    assert path.read_text(encoding="utf-8") == "last year's"
    assert [p.name for p in tmp_path.iterdir()] == ["report.html"]


def test_a_folder_that_cannot_be_written_is_refused_plainly(
    measures: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(made, "report_page", lambda *_, **__: "<!DOCTYPE html>")
    done = run("--sample", "-o", str(tmp_path / "no such folder" / "report.html"))
    assert done.exit_code == 2
    assert "FILE must be a place that can be written" in done.output
    assert "Traceback" not in done.output


def test_a_house_that_fails_says_why(tmp_path: Path) -> None:
    house = tmp_path / "mine.toml"
    house.write_text('title = "x"\n[shape]\nkind = "gable"\n', encoding="utf-8")
    done = run(str(house), "-o", str(tmp_path / "report.html"))
    assert done.exit_code == 2
    assert "mine.toml" in done.output
    assert not (tmp_path / "report.html").exists()


def test_measures_that_fail_end_the_page(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        report_page(sample_house(), read_weather("chicago"), tmp_path / "none.toml")
