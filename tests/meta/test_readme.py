"""The README's two commands do all the set-up, and the clean-clone check runs the second one as it stands."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TEST_LINE = 'python3 -m venv .venv && . .venv/bin/activate && pip install -e ".[test]" && pytest'


def commands():
    """Lines of the fenced sh blocks, in order, comments left out."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.S | re.M)
    lines = [line.strip() for block in blocks for line in block.splitlines()]
    return [line for line in lines if line and not line.startswith("#")]


def test_first_command_installs_and_does_the_job():
    first = commands()[0]
    assert first.startswith("python3 -m venv .venv && . .venv/bin/activate && ")
    assert re.search(r"pip install \.(?= |$)", first)
    assert first.endswith("heatloss season --sample")


def test_second_command_installs_and_tests():
    assert commands()[1] == TEST_LINE


def test_the_clean_clone_check_runs_that_very_line():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert TEST_LINE in script
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


def test_relative_links_lead_somewhere():
    for page in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / page).read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", text):
            assert "://" in target or (ROOT / target).exists(), f"{page}: {target}"
