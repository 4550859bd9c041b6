"""Quantities as printed: US or SI first, the other beside it in brackets."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from typing import Literal

Units = Literal["us", "si"]

WIDTH = 80
BTU_PER_KWH = 3.6e6 / 1055.05585262
FT2_PER_M2 = 1.0 / 0.3048**2
FT3_PER_M3 = 1.0 / 0.3048**3
LB_PER_KG = 1.0 / 0.45359237
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def figure(value: float, digits: int = 3) -> str:
    """Write a number to so many significant digits, thousands apart.

    >>> figure(17934.2), figure(5.14), figure(0.0712, 2), figure(0.0)
    ('17,900', '5.14', '0.071', '0')
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:.0f}"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    return f"{rounded:,.{max(0, places)}f}"


def money(usd: float) -> str:
    """Write dollars: cents below ten, whole dollars above.

    >>> money(1439.6), money(0.157)
    ('$1,440', '$0.16')
    """
    return f"${usd:,.2f}" if abs(usd) < 10.0 else f"${usd:,.0f}"


def pair(us: str, si: str, units: Units) -> str:
    """Put the reader's own units first and the others in brackets."""
    return f"{us} ({si})" if units == "us" else f"{si} ({us})"


def heat(kwh: float, units: Units) -> str:
    """Write heat.

    >>> heat(17934.0, "us")
    '61.2 million Btu (17,900 kWh)'
    """
    return pair(f"{figure(kwh * BTU_PER_KWH / 1e6)} million Btu", f"{figure(kwh)} kWh", units)


def power(watts: float, units: Units) -> str:
    """Write a load.

    >>> power(14100.0, "si")
    '14.1 kW (48,100 Btu/h)'
    """
    btu = watts * BTU_PER_KWH / 1000.0
    us = f"{figure(btu)} Btu/h" if btu < 1e6 else f"{figure(btu / 1e6)} MMBtu/h"
    return pair(us, f"{figure(watts / 1000.0)} kW", units)


def fahrenheit(celsius: float) -> float:
    """Return a temperature in degF."""
    return celsius * 1.8 + 32.0


def temperature(celsius: float, units: Units) -> str:
    """Write a temperature.

    >>> temperature(-20.0, "us")
    '-4 °F (-20.0 °C)'
    """
    return pair(f"{fixed(fahrenheit(celsius), 0)} °F", f"{fixed(celsius, 1)} °C", units)


def volume(m3: float, units: Units) -> str:
    """Write a room for fuel.

    >>> volume(7.2, "us")
    '254 ft3 (7.20 m3)'
    """
    return pair(f"{figure(m3 * FT3_PER_M3)} ft3", f"{figure(m3)} m3", units)


def mass(kg: float, units: Units) -> str:
    """Write a mass.

    >>> mass(4660.0, "us")
    '10,300 lb (4,660 kg)'
    """
    return pair(f"{figure(kg * LB_PER_KG)} lb", f"{figure(kg)} kg", units)


def wrapped(text: str, *, indent: int = 2, bullet: str = "") -> list[str]:
    """Break a paragraph into lines no wider than the page, the bullet hanging."""
    first = " " * indent + bullet
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first)) or [""]


def heading(text: str) -> list[str]:
    """Return an empty line and a heading."""
    return ["", text.upper()]


def entry(label: str, text: str, *, indent: int = 4, column: int = 22) -> list[str]:
    """Return a label and what belongs to it, the text hanging in its own column."""
    lead = " " * indent + label.ljust(column - indent)
    return textwrap.wrap(text, WIDTH, initial_indent=lead, subsequent_indent=" " * column)


def fixed(value: float, places: int) -> str:
    """Write a number to fixed places, thousands apart and zero without a sign.

    >>> fixed(-0.04, 1), fixed(1234.56, 1)
    ('0.0', '1,234.6')
    """
    return f"{round(value, places) + 0.0:,.{places}f}"


def count(number: float, one: str, many: str) -> str:
    """Write a whole number of things.

    >>> count(1, "hour", "hours"), count(1320.0, "hour", "hours")
    ('1 hour', '1,320 hours')
    """
    return f"{number:,.0f} {one if round(number) == 1 else many}"


def date(month_day: str) -> str:
    """Write a month and day as they are said.

    >>> date("10-01")
    '1 October'
    """
    month, day = month_day.split("-")
    return f"{int(day)} {MONTHS[int(month) - 1]}"


def table(rows: Iterable[tuple[str, ...]], widths: tuple[int, ...]) -> list[str]:
    """Lay rows out in columns: the first to the left, the others to the right of their width."""
    left, right = widths[0], widths[1:]
    return [
        f"  {first:<{left}}{''.join(cell.rjust(w) for cell, w in zip(rest, right, strict=True))}".rstrip()
        for first, *rest in rows
    ]
