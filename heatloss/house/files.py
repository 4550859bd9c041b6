"""House files: reading, the built-in samples, and the text a new house starts from."""

from __future__ import annotations

import json
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

from heatloss.errors import InputError, UnknownNameError
from heatloss.house.whole import ORIGIN, House

SAMPLES = ("larkfield", "dome", "hoop", "lean_to")
LARGEST = 1_000_000
"""Bytes of the largest house file that is read."""


def read_house(path: str | Path) -> House:
    """Read a house file.

    Parameters
    ----------
    path : str or Path
        A TOML file with the keys of a house.

    Returns
    -------
    House
        The description, all quantities in SI units.

    Raises
    ------
    InputError
        When there is no such file, it is no TOML text, or the house has faults: all of them in one message.

    Examples
    --------
    >>> read_house("no_such_house.toml")
    Traceback (most recent call last):
    heatloss.errors.InputError: house file must exist, got "no_such_house.toml". Start one: heatloss new my_house.toml
    """
    if not isinstance(path, (str, Path)):
        raise InputError(f'house file must be a path, got {type(path).__name__}. Type read_house("my_house.toml").')
    file = Path(path)
    return _house(_tree(_text(file), str(path)), file.name, file.parent)


def sample_house(name: str = "larkfield") -> House:
    """One of the built-in houses, all of them invented.

    Parameters
    ----------
    name : str
        One of `SAMPLES`.

    Returns
    -------
    House
        The description, all quantities in SI units.

    Raises
    ------
    UnknownNameError
        For a name that is not in `SAMPLES`.

    Examples
    --------
    >>> sample_house().shape.kind
    'gable'
    """
    return _house(_tree(sample_text(name), f"sample {name}"), f"sample {name}", Path())


def sample_text(name: str = "larkfield") -> str:
    """The house file of a built-in house."""
    if name not in SAMPLES:
        raise UnknownNameError("sample", name, SAMPLES)
    return _packed(name)


def template(name: str) -> str:
    """A commented house file to start from, with every key explained.

    Parameters
    ----------
    name : str
        What the house is called.

    Returns
    -------
    str
        Text of a house file that reads without fault; the numbers in it are a start, not a house.

    Raises
    ------
    InputError
        If the name is not one line of text.
    """
    if not isinstance(name, str) or not name.isprintable():
        raise InputError("name must be one line of text, got something else. Type, for example, my house.")
    return _packed("new_house").replace('title = "My house"', f"title = {json.dumps(name, ensure_ascii=False)}", 1)


def _packed(name: str) -> str:
    return resources.files("heatloss").joinpath("samples", f"{name}.toml").read_text(encoding="utf-8")


def _house(tree: dict[str, Any], what: str, folder: Path) -> House:
    token = ORIGIN.set((what, folder))
    try:
        return House(**tree)
    finally:
        ORIGIN.reset(token)


def _text(file: Path) -> str:
    """The text of a file, or one sentence on why there is none."""
    shown = json.dumps(str(file), ensure_ascii=not str(file).isprintable())
    try:
        if file.is_dir():
            raise InputError(f"house file must be a file, got the directory {shown}. Name the TOML file in it.")
        if not file.exists():
            raise InputError(f"house file must exist, got {shown}. Start one: heatloss new my_house.toml")
        if not file.is_file():
            raise InputError(f"house file must be a plain file, got {shown}. Copy it to a file first.")
        if file.stat().st_size > LARGEST:
            raise InputError(f"house file must be smaller than {LARGEST} bytes, got {shown}. Is it a weather file?")
        return file.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = 1 + error.object.count(b"\n", 0, error.start)
        if b"\0" in error.object:
            raise InputError(f"house file must be text, got a binary file {shown}. Name a TOML file.") from None
        raise InputError(
            f"house file must be UTF-8 text, got another encoding in line {line} of {shown}. "
            "Save it as UTF-8 in your editor."
        ) from None
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            f"house file must be readable, got {shown} ({reason}). Check the name and its rights."
        ) from None


def _tree(text: str, name: str) -> dict[str, Any]:
    """The tree of a TOML text, or one sentence on where it breaks."""
    if "\0" in text:
        raise InputError(f'house file must be text, got a binary file "{name}". Name a TOML file.')
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise InputError(f'house file must be TOML, got brackets within brackets in "{name}". Flatten them.') from None
    except ValueError as error:
        reason, line = _where(str(error), text)
        raise InputError(
            f'house file must be TOML, got {reason} in line {line} of "{name}". {_hint(text, line)}'
        ) from None


_REASONS = (
    ("Invalid value", "a value that is none"),
    ("Expected newline", "something after the end of a value"),
    ("Expected '='", "a key without ="),
    ("Unterminated string", "a string without closing quote"),
    ("Illegal character '\\n'", "a string without closing quote"),
    ("Cannot declare", "a heading that was there before"),
    ("Cannot overwrite", "a key that was there before"),
    ("Duplicate inline", "a key that was there before"),
    ("Unclosed array", "a list without closing bracket"),
    ("Unclosed inline", "a table without closing brace"),
    ("Expected ']'", "a heading without closing bracket"),
    ("Unescaped", "a single backslash in a string"),
)


def _where(message: str, text: str) -> tuple[str, int]:
    """What the TOML reader found and the line it was in, counted from 1."""
    reason, _, place = message.partition(" (at ")
    plain = next((words for start, words in _REASONS if reason.startswith(start)), "text that cannot be read")
    if place.startswith("line "):
        return plain, int(place[5:].split(",")[0])
    return plain, text.rstrip().count("\n") + 1


def _hint(text: str, line: int) -> str:
    written = text.split("\n")[line - 1].strip()
    if written.startswith("["):
        return "A table is headed by [floor], one of a list by [[part]]; each heading of a table comes once."
    if written.count('"') % 2:
        return "Close the quotes."
    if "=" in written and '"' not in written:
        return 'A quantity stands in quotes: eave = "8 ft".'
    return 'Each line is a heading such as [shape] or a key such as eave = "8 ft", each key once in its table.'
