"""Settings shared by the whole suite."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# The suite is imported by path (importmode=importlib), so helpers that several folders share are put on the path here.
sys.path[:0] = [str(Path(__file__).parent / folder) for folder in ("balance", "decisions")]

# The first call of a compiled function takes seconds, later ones microseconds: a deadline would judge the compiler.
settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", parent=settings.get_profile("default"), derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """A headless Chromium, started once; without one the tests that need it say how to get it and are skipped."""
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        message = "no Chromium found: apt-get install chromium (Debian), or put chromium on the PATH"
        if os.environ.get("HEATLOSS_EXPECTS_BROWSER"):
            pytest.fail(message)
        pytest.skip(message)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield browser
        browser.close()
