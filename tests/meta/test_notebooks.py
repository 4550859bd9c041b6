"""Every notebook runs from a clean copy, ends in an assertion, and keeps outputs that say nothing of the machine."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
MOST_CELLS = 25
HOMES = ("work", "tmp", "root", "home", "Users")
MACHINE = re.compile(rf"(?<![\w.])/(?:{'|'.join(HOMES)})/\w|\b[A-Z]:\\\w|site-packages|ipykernel_")
TIMESTAMP = re.compile(r"\b\d{4}-\d\d-\d\d[ T]\d\d:\d\d:\d\d\.\d+")

each = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)


def cells(path, kind=None):
    book = json.loads(path.read_text(encoding="utf-8"))
    return [c for c in book["cells"] if kind in (None, c["cell_type"])]


def text(value):
    return "".join(value) if isinstance(value, list) else str(value)


def printed(output):
    """Everything an output shows as text."""
    data = output.get("data", {})
    shown = [text(v) for k, v in data.items() if not k.startswith("image/png")]
    return "\n".join([text(output.get("text", "")), *shown])


def test_there_are_notebooks():
    assert NOTEBOOKS


@each
def test_notebook_is_short_and_ends_in_an_assertion(path):
    assert len(cells(path)) <= MOST_CELLS
    assert cells(path)[0]["cell_type"] == "markdown"
    code = cells(path, "code")
    assert cells(path)[-1] == code[-1]
    assert re.search(r"^assert ", text(code[-1]["source"]), flags=re.M)


@each
def test_outputs_are_kept_and_clean(path):
    code = cells(path, "code")
    assert [c["execution_count"] for c in code] == list(range(1, len(code) + 1)), "run from top to bottom"
    assert any(c["outputs"] for c in code)
    for cell in code:
        for output in cell["outputs"]:
            assert output["output_type"] != "error"
            assert output.get("name") != "stderr", printed(output)
            shown = printed(output)
            assert not MACHINE.search(shown), shown[:300]
            assert not TIMESTAMP.search(shown), shown[:300]
            assert "Warning" not in shown, shown[:300]


@each
def test_cells_say_nothing_of_the_machine(path):
    for cell in cells(path):
        assert not MACHINE.search(text(cell["source"]))


@each
def test_notebook_runs(path, tmp_path):
    """In a copy of its folder, with the kernel of this interpreter; the last cell asserts the headline."""
    import nbformat
    from nbclient import NotebookClient

    folder = tmp_path / "notebooks"
    shutil.copytree(path.parent, folder, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    book = nbformat.read(folder / path.name, as_version=4)
    for cell in book.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    NotebookClient(book, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(folder)}}).execute()
    loud = [o for c in book.cells if c.cell_type == "code" for o in c.outputs if o.get("name") == "stderr"]
    assert not loud, loud
