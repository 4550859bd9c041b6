"""The tree itself: what stands at the top, no paths of one machine, modules and functions of readable size."""

from __future__ import annotations

import ast
import io
import re
import subprocess
import tokenize
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "heatloss", "notebooks", "weather_samples", "tests"}
MODULES = sorted((ROOT / "heatloss").rglob("*.py"))
LONGEST_MODULE = 500
LONGEST_FUNCTION = 60

# A path of one machine, unless it is the tail of an address; the names are joined so that this file is clean itself.
MACHINE_PATH = re.compile(r"(?<![\w.:/~-])/(?:" + "|".join(["work", "tmp", "root", "home", "Users"]) + r")/\w")


def tracked():
    """Files under version control; without a repository, the files that are there."""
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode == 0 and done.stdout:
        names = done.stdout.rstrip("\0").split("\0")
    else:
        files = (p.relative_to(ROOT) for p in ROOT.rglob("*") if p.is_file())
        names = [str(p) for p in files if not any(part.startswith(".") or part == "__pycache__" for part in p.parts)]
    return [ROOT / name for name in names if (ROOT / name).is_file()]


def test_top_level_is_the_agreed_one():
    visible = {p.relative_to(ROOT).parts[0] for p in tracked()}
    assert {name for name in visible if not name.startswith(".")} == TOP


def test_no_machine_paths():
    found = []
    for path in tracked():
        content = path.read_bytes()
        if b"\0" in content[:4096] or path.suffix == ".gz":
            continue
        for number, line in enumerate(content.decode("utf-8", errors="replace").splitlines(), 1):
            if MACHINE_PATH.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}")
    assert not found, "\n".join(found)


def docstring_lines(tree):
    lines = set()
    for node in ast.walk(tree):
        value = node.value if isinstance(node, ast.Expr) else None
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            lines.update(range(node.lineno, node.end_lineno + 1))
    return lines


def code_lines(source):
    """Numbers of the lines that hold code: no blanks, comments or docstrings."""
    skip = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    lines = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in skip:
            lines.update(range(token.start[0], token.end[0] + 1))
    return lines - docstring_lines(ast.parse(source))


def test_counting_of_code_lines():
    opening = ('"""Doc."""', "", "# comment", "x = 1  # code", "", "", "def f():", '    """Two', '    lines."""')
    source = "\n".join([*opening, "    return (", "        x", "    )", ""])
    assert code_lines(source) == {4, 7, 10, 11, 12}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_and_functions_are_short(path):
    """A function may be longer where a comment `# long: why` stands on its first line or the line above."""
    source = path.read_text(encoding="utf-8")
    lines, code = source.splitlines(), code_lines(source)
    assert len(code) <= LONGEST_MODULE, f"{len(code)} lines of code"
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            size = len(code & set(range(node.lineno, node.end_lineno + 1)))
            first = min([node.lineno, *[d.lineno for d in node.decorator_list]])
            near = [lines[node.lineno - 1], *lines[max(0, first - 2) : first - 1]]
            excused = any(re.search(r"# long: \w+ \w+", line) for line in near)
            assert size <= LONGEST_FUNCTION or excused, f"{node.name}: {size} lines of code"


def test_every_test_file_mirrors_a_part_of_the_package():
    others = {"published", "properties", "meta", "benchmarks", "regression"}
    parts = {p.stem for p in (ROOT / "heatloss").iterdir()} | others
    folders = {p.relative_to(ROOT / "tests").parts[0] for p in (ROOT / "tests").glob("*/**/test_*.py")}
    assert folders <= parts, folders - parts
