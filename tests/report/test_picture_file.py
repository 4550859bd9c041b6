"""Pictures as files: the ending is the format, the commands write theirs."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from heatloss import InputError
from heatloss.cli import app
from heatloss.report.picture_file import write_pictures


def test_one_file_of_several_pictures(tmp_path: Path) -> None:
    draws = [lambda ax: ax.plot([0, 1]), lambda ax: ax.set_title("second")]
    write_pictures(draws, tmp_path / "two.svg")
    assert "<svg" in (tmp_path / "two.svg").read_text(encoding="utf-8")
    with pytest.raises(InputError, match=r"^FILE must end in \.png, \.svg, \.pdf, got 'two\.txt'"):
        write_pictures(draws, "two.txt")
    with pytest.raises(InputError, match=r"^FILE must be writable, got"):
        write_pictures(draws, tmp_path / "none" / "two.png")


@pytest.mark.parametrize("command", ["heater", "outage", "fuels"])
def test_commands_draw(command: str, tmp_path: Path) -> None:
    picture = tmp_path / "it.png"
    result = CliRunner().invoke(app, [command, "--sample", "--figure", str(picture)], prog_name="heatloss")
    assert result.exit_code == 0, result.output
    assert picture.read_bytes().startswith(b"\x89PNG")
