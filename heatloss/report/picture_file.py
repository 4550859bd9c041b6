"""Pictures in a file of their own, one above the other, as a command writes them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatloss.errors import InputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SUFFIXES = (".png", ".svg", ".pdf")
WIDTH, HEIGHT = 7.5, 4.0


def write_pictures(draws: Sequence[Callable[[Axes], object]], path: str | Path) -> None:
    """Draw pictures one above the other into a file.

    Parameters
    ----------
    draws : sequence of callables
        Each takes the axes it draws on.
    path : str or Path
        Its ending, ``.png``, ``.svg`` or ``.pdf``, is the format.

    Raises
    ------
    InputError
        For another ending, or a file that cannot be written.
    """
    from matplotlib.figure import Figure

    from heatloss.report.plots import style

    if Path(path).suffix.lower() not in SUFFIXES:
        raise InputError(f"FILE must end in {', '.join(SUFFIXES)}, got {str(path)!r} (--figure).")
    with style():
        sheet = Figure(figsize=(WIDTH, HEIGHT * len(draws)), layout="constrained")
        for draw, ax in zip(draws, sheet.subplots(len(draws), 1, squeeze=False)[:, 0], strict=True):
            draw(ax)
        try:
            sheet.savefig(path)
        except OSError as fault:
            raise InputError(f"FILE must be writable, got {str(path)!r} ({fault.strerror}).") from None
