"""The page opened from disk in a real browser: accessible, nothing asked of the network, nothing wider than a phone."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

import heatloss.report.page as made
from heatloss import read_weather, sample_house

SERIOUS = ("serious", "critical")
FOAM = '[[measure]]\nname = "foam"\nset.floor.depth = "3 ft"\ncost = "100 usd"\nlife = 30\n'


@pytest.fixture(scope="module")
def address(chromium: Any, tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("page")
    (folder / "mine.toml").write_text(FOAM, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(made, "DRAWS", 8)
        page = made.report_page(sample_house("lean_to"), read_weather("northway"), folder / "mine.toml", sample=True)
    path: Path = folder / "report.html"
    path.write_text(page, encoding="utf-8")
    return path.as_uri()


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_axe_finds_nothing_serious(chromium: Any, address: str, width: int, scheme: str) -> None:
    axe = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    page.evaluate(axe)
    found = page.evaluate("axe.run({exclude: [['svg > *']]})")  # a drawing is one picture
    wide = page.evaluate("document.documentElement.scrollWidth")
    context.close()
    assert found["passes"]
    bad = [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found["violations"] if v["impact"] in SERIOUS]
    assert not bad
    assert asked == [address]
    assert wide <= width


def test_the_answers_stand_on_a_phones_first_screen(chromium: Any, address: str) -> None:
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(address)
    foot = page.evaluate("document.querySelector('.answers').getBoundingClientRect().bottom")
    context.close()
    assert foot <= 844
