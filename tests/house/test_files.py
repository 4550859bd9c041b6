"""House files: what cannot be read is said in one sentence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from heatloss.errors import InputError
from heatloss.house import SAMPLES, read_house, sample_text, template


def refused(file: Path | str) -> str:
    with pytest.raises(InputError) as error:
        read_house(file)
    return str(error.value)


def test_missing_file(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    assert refused(file) == f'house file must exist, got "{file}". Start one: heatloss new my_house.toml'


def test_directory(tmp_path: Path) -> None:
    assert refused(tmp_path) == (
        f'house file must be a file, got the directory "{tmp_path}". Name the TOML file in it.'
    )


def test_binary_file(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    for content in (b"\x89PNG\r\n\x1a\n\0\0\xff", b"abc\0def"):
        file.write_bytes(content)
        assert refused(file) == f'house file must be text, got a binary file "{file}". Name a TOML file.'


def test_other_encoding(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_bytes('title = "a"\n# 5 °F\n'.encode("latin-1"))
    assert refused(file) == (
        f'house file must be UTF-8 text, got another encoding in line 2 of "{file}". Save it as UTF-8 in your editor.'
    )


def test_large_file(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_bytes(b"#" * 1_000_001)
    assert refused(file) == (f'house file must be smaller than 1000000 bytes, got "{file}". Is it a weather file?')


def test_odd_paths(tmp_path: Path) -> None:
    assert "must be readable, got" in refused("x" * 5000)
    assert "house file must" in refused("a\0b")
    os.mkfifo(tmp_path / "pipe")
    assert refused(tmp_path / "pipe") == (
        f'house file must be a plain file, got "{tmp_path / "pipe"}". Copy it to a file first.'
    )
    with pytest.raises(InputError, match="house file must be a path, got int"):
        read_house(3)  # type: ignore[arg-type]


QUOTES = 'A quantity stands in quotes: eave = "8 ft".'
HEADINGS = "A table is headed by [floor], one of a list by [[part]]; each heading of a table comes once."
LINES = 'Each line is a heading such as [shape] or a key such as eave = "8 ft", each key once in its table.'
SYNTAX = [
    ("eave = 8 ft", "something after the end of a value", 1, QUOTES),
    ("a = 1\n\nb = ft\n", "a value that is none", 3, QUOTES),
    ('a = "8 ft', "a string without closing quote", 1, "Close the quotes."),
    ('a = "8 ft\nb = 2', "a string without closing quote", 1, "Close the quotes."),
    ("[a]\n[a]", "a heading that was there before", 2, HEADINGS),
    ("[[a]]\n[a]", "a heading that was there before", 2, HEADINGS),
    ("[a", "a heading without closing bracket", 1, HEADINGS),
    ('a = "1"\na = "2"\n\n', "a key that was there before", 2, LINES),
    ("eave", "a key without =", 1, LINES),
    ('a = ["1", "2"\n', "a list without closing bracket", 1, LINES),
    ('a = { b = "1"\n', "a table without closing brace", 1, LINES),
    ('a = "\\q"', "a single backslash in a string", 1, LINES),
    ("a = \'\'\'x", "text that cannot be read", 1, QUOTES),
]  # fmt: skip


@pytest.mark.parametrize(("text", "what", "line", "hint"), SYNTAX)
def test_syntax(tmp_path: Path, text: str, what: str, line: int, hint: str) -> None:
    file = tmp_path / "house.toml"
    file.write_text(text, encoding="utf-8")
    assert refused(file) == f'house file must be TOML, got {what} in line {line} of "{file}". {hint}'


def test_deep_brackets(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text("a = " + "[" * 20000, encoding="utf-8")
    assert refused(file) == f'house file must be TOML, got brackets within brackets in "{file}". Flatten them.'


def test_faults_name_the_file(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text("[shape]\nkind = 3\n", encoding="utf-8")
    assert refused(file).split("\n")[0] == "house.toml has 2 faults:"


def test_windows_line_ends_and_a_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_bytes(b"\xef\xbb\xbf" + sample_text().replace("\n", "\r\n").encode())
    assert read_house(file).title == "Larkfield greens and perch house"


def test_template_carries_the_name(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    for name in ('Grandma\'s "big" house', "serre à Noël \\ 2"):
        file.write_text(template(name), encoding="utf-8")
        assert read_house(file).title == name
    with pytest.raises(InputError, match="name must be one line of text"):
        template("a\nb")


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_read_as_files_too(tmp_path: Path, name: str) -> None:
    file = tmp_path / "house.toml"
    file.write_text(sample_text(name), encoding="utf-8")
    assert read_house(file).title
