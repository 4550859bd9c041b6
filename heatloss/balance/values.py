"""Values of a network: a float, one per step, or what follows a column of the driver table; checked at the door."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Driven:
    """A value that follows a column of the driver table: offset + factor * column.

    Networks that share a column object share it in a batch too; only the two numbers differ by lane.
    """

    column: Floats
    factor: float = 1.0
    offset: float = 0.0

    def array(self) -> Floats:
        """One value per step."""
        return self.offset + self.factor * self.column

    def __mul__(self, factor: float) -> Driven:
        """The same course, so many times as large."""
        return Driven(self.column, self.factor * factor, self.offset * factor)


Value = float | Floats | Sequence[float] | Driven


def whole(value: Any) -> bool:
    """Whether it is a whole number, and no truth value."""
    return isinstance(value, (int, np.integer)) and not isinstance(value, bool)


def number(value: Any, name: str, unit: str, least: float = -math.inf) -> float:
    """A checked finite float."""
    try:
        found = float(value)
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number [{unit}], got {value!r}.") from None
    if not (math.isfinite(found) and found >= least):
        bound = "finite" if least == -math.inf else f">= {least:g} and finite"
        raise InputError(f"{name} must be {bound} [{unit}], got {found:g}.")
    return found


def value_of(value: Value, name: str, unit: str, least: float = -math.inf, endless: bool = False) -> float | Driven:
    """A checked float, or a checked column."""
    if isinstance(value, Driven):
        _check_column(value.array(), name, unit, least, endless)
        return value
    try:
        column = np.array(value, dtype=float)  # a copy: what the caller does to it later is not the network's
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number, or one per step [{unit}], got {value!r}.") from None
    if column.ndim == 0:
        found = float(column)
        return found if endless and found == math.inf else number(found, name, unit, least)
    _check_column(column, name, unit, least, endless)
    return Driven(column)


def _check_column(column: Floats, name: str, unit: str, least: float, endless: bool) -> None:
    if column.ndim != 1 or not len(column):
        raise InputError(f"{name} must be one value per step, got an array of shape {column.shape}.")
    fine = (np.isfinite(column) | (endless & (column == math.inf))) & (column >= least)
    if not fine.all():
        where = int(np.argmin(fine))
        bound = "finite" if least == -math.inf else f">= {least:g} and finite"
        raise InputError(f"{name} must be {bound} [{unit}], got {column[where]:g} (step {where}).")


def columns_of(values: Iterable[float | Driven]) -> list[Floats]:
    """Distinct column objects among the values, in their order."""
    seen: dict[int, Floats] = {}
    for value in values:
        if isinstance(value, Driven):
            seen.setdefault(id(value.column), value.column)
    return list(seen.values())
