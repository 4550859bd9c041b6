"""How amounts and dates of a log are said."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from heatloss.report.measures import MONTHS, entry, figure, wrapped

MANY = {"bag": "bags", "cord": "cords", "therm": "therms", "short_ton": "short tons", "tonne": "tonnes"}

COMES_ON_TOP = "The range is what this log leaves open; a winter colder than that year comes on top."


def units_many(unit: str) -> str:
    """The unit of a log in the plural.

    >>> units_many("bag"), units_many("lb")
    ('bags', 'lb')
    """
    return MANY.get(unit, unit)


def amount(value: float, unit: str, digits: int = 3) -> str:
    """An amount with its unit.

    >>> amount(231.7, "bag"), amount(1.0, "bag"), amount(1234.0, "gal")
    ('232 bags', '1 bag', '1,230 gal')
    """
    shown = figure(value, digits)
    if shown.rstrip("0").rstrip(".") == "1":
        return f"1 {unit.replace('_', ' ')}"
    return f"{shown} {units_many(unit)}"


def day(stamp: pd.Timestamp) -> str:
    """A date as it is said.

    >>> day(pd.Timestamp("2016-01-10"))
    '10 January 2016'
    """
    return f"{stamp.day} {MONTHS[stamp.month - 1]} {stamp.year}"


def percent(share: float, places: int = 1) -> str:
    """A share with its sign in per cent.

    >>> percent(0.187), percent(-0.03, 0)
    ('+18.7 %', '-3 %')
    """
    return f"{100.0 * share:+.{places}f} %"


def ranged(found: Any) -> str:
    """The range of anything that has ``low`` and ``high``."""
    return spanned(figure(found.low), figure(found.high))


def spanned(low: str, high: str) -> str:
    """A range in words.

    >>> spanned("3", "5")
    '90 % range 3 to 5'
    """
    return f"90 % range {low} to {high}"


def saved_lines(found: Any, unit: str) -> Iterator[str]:
    """What was burned and saved since a measure, and whether that shows."""
    share = f"{100.0 * found.saved / found.expected:.0f} %" if found.expected > 0.0 else "no share"
    yield from entry("burned", amount(found.measured, unit))
    yield from entry("saved", f"{amount(found.saved, unit)} ({share}), {ranged(found)}")
    shown = "A saving is shown." if found.proven else "No saving is shown yet: the range holds nothing saved."
    yield from wrapped(shown)
