"""The style, type and import checkers, run as anybody would run them; a failure shows the tool's own words."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

COMMANDS = {
    "ruff": [sys.executable, "-m", "ruff", "check", "."],
    "mypy": [sys.executable, "-m", "mypy"],
    "import contracts": [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command; lint_imports_command()",
    ],
}


@pytest.mark.parametrize("tool", COMMANDS)
def test_tool_has_nothing_to_say(tool):
    done = subprocess.run(COMMANDS[tool], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{tool} says:\n{done.stdout}\n{done.stderr}"


def test_mypy_is_strict_and_reads_the_whole_package():
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert '[tool.mypy]\nstrict = true\nfiles = ["heatloss"]' in text
