"""A tree of plain values as TOML text: tables, lists of tables, and everything below them inline."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any


def toml_text(tree: Mapping[str, Any]) -> str:
    """The text of a TOML file.

    Parameters
    ----------
    tree : mapping
        Strings, numbers, booleans, lists and mappings, as ``tomllib`` gives them.

    Returns
    -------
    str
        Plain keys first, then each table and each list of tables under its own heading.

    Examples
    --------
    >>> print(toml_text({"title": "A", "shape": {"eave": "1.8 m"}}))
    title = "A"
    <BLANKLINE>
    [shape]
    eave = "1.8 m"
    <BLANKLINE>
    """
    blocks = ["\n".join(f"{_key(k)} = {_value(v)}" for k, v in tree.items() if not _headed(v))]
    for name, value in tree.items():
        if _headed(value):
            head, tables = (f"[{_key(name)}]", [value]) if isinstance(value, Mapping) else (f"[[{_key(name)}]]", value)
            blocks += ["\n".join([head, *(f"{_key(k)} = {_value(v)}" for k, v in table.items())]) for table in tables]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _headed(value: Any) -> bool:
    return isinstance(value, Mapping) or (isinstance(value, list) and bool(value) and isinstance(value[0], Mapping))


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _value(name)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return repr(value)
