"""Shapes and refusals shared by the physics functions: a float gives a float, an array an array, a Series a Series."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

from heatloss.errors import InputError

Numeric: TypeAlias = Any
"""A float, an array or a pandas Series; a function marked so gives back the same kind."""


def like(result: Any, *inputs: Any) -> Any:
    """``result`` in the kind of the inputs: a float when all are scalars, a Series when one is, else an array.

    Examples
    --------
    >>> like(np.float64(2.0), 1.0)
    2.0
    """
    for value in inputs:
        if hasattr(value, "index") and hasattr(value, "to_numpy"):
            return type(value)(result, index=value.index)
    array = np.asarray(result)
    return float(array) if array.ndim == 0 else array


def positive(name: str, value: Any, unit: str, *, zero: bool = False) -> None:
    """Refuse a value (or any element) that is not above zero; with ``zero``, zero itself passes.

    Raises
    ------
    InputError
        When the condition fails; NaN fails too.
    """
    array = np.asarray(value, dtype=float)
    if not np.all(array >= 0 if zero else array > 0):
        raise InputError(f"{name} must be {'at least' if zero else 'above'} 0 [{unit}], got {worst(array)}.")


def between(name: str, value: Any, low: float, high: float, unit: str) -> None:
    """Refuse a value (or any element) outside ``low`` to ``high``, both ends included.

    Raises
    ------
    InputError
        When the condition fails; NaN fails too.
    """
    array = np.asarray(value, dtype=float)
    if not np.all((array >= low) & (array <= high)):
        bad = array[~((array >= low) & (array <= high))] if array.ndim else array
        raise InputError(f"{name} must be from {low:g} to {high:g} [{unit}], got {worst(bad)}.")


def worst(array: Any) -> str:
    """The element that tells most in a message: the first NaN, else the smallest.

    Examples
    --------
    >>> worst(np.array([2.0, -1.0]))
    '-1'
    """
    flat = np.ravel(np.asarray(array, dtype=float))
    return "nothing" if not flat.size else f"{float('nan') if np.isnan(flat).any() else flat.min():g}"
