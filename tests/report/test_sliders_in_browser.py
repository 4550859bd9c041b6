"""Notebook 10 in JupyterLab on this machine, in a real browser: a moved slider shows a new number and picture."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

NOTEBOOK = Path(__file__).parents[2] / "notebooks" / "10_move_the_sliders.ipynb"
PATIENCE = 120_000  # ms until the kernel has run the notebook, on a slow and busy machine


@pytest.fixture
def lab(chromium: Any, tmp_path: Path) -> Iterator[str]:
    """Address of the notebook's copy in a JupyterLab of its own, which listens to this machine alone."""
    shutil.copy(NOTEBOOK, tmp_path)
    own = {f"JUPYTER_{kind}_DIR": str(tmp_path / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    own["JUPYTERLAB_SETTINGS_DIR"] = own["JUPYTERLAB_WORKSPACES_DIR"] = str(tmp_path / "lab")
    token = secrets.token_hex(16)
    command = [sys.executable, "-m", "jupyterlab", "--no-browser", "--ip=127.0.0.1", "--port=0", "--allow-root"]
    command += [f"--ServerApp.root_dir={tmp_path}", f"--IdentityProvider.token={token}", "--LabApp.news_url="]
    log = tmp_path / "lab.log"
    with log.open("w") as out:
        server = subprocess.Popen(command, cwd=tmp_path, env=os.environ | own, stdout=out, stderr=subprocess.STDOUT)
    try:
        yield f"{address(server, log)}lab/tree/{NOTEBOOK.name}?token={token}"
    finally:
        server.terminate()
        server.wait(30)


def address(server: subprocess.Popen[bytes], log: Path) -> str:
    """Where the server listens, once it says so."""
    for _ in range(600):
        found = re.search(r"http://127\.0\.0\.1:\d+/", log.read_text())
        if found:
            return found.group(0)
        try:
            server.wait(0.1)
        except subprocess.TimeoutExpired:
            continue
        break
    pytest.fail(f"JupyterLab did not start:\n{log.read_text()}")


def leaves_the_machine(url: str) -> bool:
    return not url.startswith(("http://127.0.0.1", "ws://127.0.0.1", "data:", "blob:"))


def fuel(text: str) -> tuple[float, float]:
    """Short tons as the sliders stand, and of the house as it is."""
    now, base = re.findall(r"fuel ([\d.]+) short tons \(([\d.]+)", text)[0]
    return float(now), float(base)


def test_a_moved_slider_shows_another_number_and_another_picture(chromium: Any, lab: str) -> None:
    from playwright.sync_api import TimeoutError

    page = chromium.new_page(viewport={"width": 1280, "height": 1000})
    page.set_default_timeout(PATIENCE)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(lab)
    page.locator(".jp-Notebook-ExecutionIndicator[data-status=idle]").first.wait_for()
    board = page.locator(".jp-OutputArea-output", has=page.locator(".widget-hslider")).first
    words, picture = board.locator(".widget-html-content"), board.locator("img.widget-image")
    for _ in range(10):  # cells that are sent before the kernel listens are dropped without a word
        page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^Run$")).click()
        page.locator(".lm-Menu-itemLabel", has_text=re.compile("^Run All Cells$")).click()
        with suppress(TimeoutError):  # a kernel that is slow to start is asked for once more
            page.locator(".jp-Dialog .jp-mod-accept").click(timeout=5_000)
        with suppress(TimeoutError):
            words.wait_for(timeout=PATIENCE / 6)
            break
    before, drawn = words.inner_text(), picture.get_attribute("src")
    handle = board.locator(".widget-hslider", has_text="air leaks").locator(".noUi-handle")
    handle.scroll_into_view_if_needed()
    handle.focus()
    for _ in range(4):
        handle.press("ArrowLeft")
    for _ in range(600):
        page.wait_for_timeout(100)
        if words.inner_text() != before and picture.get_attribute("src") != drawn:
            break
    after = words.inner_text()
    assert picture.get_attribute("src") != drawn
    page.close()
    assert fuel(before)[0] == fuel(before)[1] == fuel(after)[1]
    assert fuel(after)[0] < fuel(before)[0]
    assert not [url for url in asked if leaves_the_machine(url)]
