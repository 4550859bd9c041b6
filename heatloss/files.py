"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from heatloss.errors import InputError


def write_whole(path: str | os.PathLike[str], text: str) -> None:
    """Write a file beside its place and move it there, so that it is never half-written.

    Parameters
    ----------
    path : path
        Where it shall stand.
    text : str
        What it holds.

    Raises
    ------
    InputError
        Where that is not possible.
    """
    target = Path(path)
    if not target.name:
        raise InputError(f"file must have a name to be written to, got {str(path)!r}. Type, for example, hours.csv.")
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if target.is_dir():
            raise IsADirectoryError(21, "it is a folder")
        beside.write_text(text, encoding="utf-8", newline="")
        beside.replace(target)
    except OSError as problem:
        beside.unlink(missing_ok=True)
        reason = (problem.strerror or type(problem).__name__).lower()
        raise InputError(
            f"FILE must be a place that can be written, got {str(path)!r} ({reason}). Name a file in a folder of yours."
        ) from None
