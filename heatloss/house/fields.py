"""The kinds of value a house file holds: each reads what a person typed, writes it back and describes itself.

Every reader returns a value in SI units or raises an InputError whose text begins with `KEY`, the place where the path
of the key is put in.
"""

from __future__ import annotations

import json
import math
import re
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from heatloss import catalogue, units
from heatloss.errors import InputError, nearest

KEY = "\0"
"""Stands for the path of the key; nothing typed can hold it, since whatever is shown is escaped."""
OWN: ContextVar[dict[str, Any] | None] = ContextVar("own catalogue rows of the house being read", default=None)
DAYS_BEFORE_MONTH = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365)


def shown(value: Any) -> str:
    """What came, as it would stand in the file, cut short."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "a table"
    pair = isinstance(value, (list, tuple)) and len(value) == 2 and not isinstance(value[0], bool)
    if pair and isinstance(value[1], str) and value[1].isprintable():
        text = f"{shown(value[0])} {value[1]}" if isinstance(value[0], (int, float)) else str(list(value))
    elif isinstance(value, str):
        text = json.dumps(value, ensure_ascii=not value.isprintable())
    elif isinstance(value, int) and value.bit_length() > 200:
        text = "a very large number"
    else:
        text = str(list(value) if isinstance(value, tuple) else value)
    return text if len(text) <= 60 else f"{text[:56]} ..."


def refusal(wanted: str, value: Any, hint: str = "") -> InputError:
    """The error ``KEY must be <wanted>, got <value>. <hint>``."""
    return InputError(f"{KEY} must be {wanted}, got {shown(value)}. {hint}".rstrip())


class Kind(ABC):
    """One kind of value."""

    @abstractmethod
    def read(self, value: Any) -> Any:
        """What was typed, checked and in SI units."""

    def write(self, value: Any) -> Any:
        """The value as it may be typed."""
        return value

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """Its JSON schema, without the description."""


@dataclass(frozen=True)
class Quantity(Kind):
    """A number with its unit; with ``bare`` a plain number is taken too, where the key itself names the unit."""

    unit: str
    wanted: str
    above: float | None = None
    least: float = -math.inf
    most: float = math.inf
    bare: bool = False
    hint: str = ""

    def read(self, value: Any) -> float:
        if self.bare and isinstance(value, (int, float)) and not isinstance(value, bool):
            number = float(value) if abs(value) < 1e300 else math.inf
        else:
            number = units.parse(tuple(value) if isinstance(value, list) else value, self.unit, name=KEY)
        inside = self.least <= number <= self.most and (self.above is None or number > self.above)
        if not inside or not math.isfinite(number):
            raise refusal(self.wanted, value, self.hint)
        return number

    def write(self, value: float) -> Any:
        return value if self.bare else f"{value!r} {self.unit}"

    def schema(self) -> dict[str, Any]:
        pair = {"type": "array", "prefixItems": [{"type": "number"}, {"type": "string"}], "minItems": 2, "maxItems": 2}
        return {"anyOf": [{"type": "string"}, *([{"type": "number"}] if self.bare else []), pair]}


@dataclass(frozen=True)
class Count(Kind):
    """A whole number."""

    least: int
    most: int
    even: bool = False

    def read(self, value: Any) -> int:
        whole = isinstance(value, int) and not isinstance(value, bool)
        if not whole or not self.least <= value <= self.most or (self.even and value % 2):
            raise refusal(f"{'an even' if self.even else 'a'} whole number from {self.least} to {self.most}", value)
        return int(value)

    def schema(self) -> dict[str, Any]:
        step = {"multipleOf": 2} if self.even else {}
        return {"type": "integer", "minimum": self.least, "maximum": self.most, **step}


class Flag(Kind):
    """Yes or no."""

    def read(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise refusal("true or false, without quotes", value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "boolean"}


class Text(Kind):
    """One line of text."""

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or not value.isprintable():
            raise refusal("one line of text in quotes", value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string"}


@dataclass(frozen=True)
class Word(Kind):
    """One of a few words."""

    words: tuple[str, ...]

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise refusal(" or ".join(f'"{w}"' for w in self.words), value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.words)}


@dataclass(frozen=True)
class Name(Kind):
    """The name of a catalogue row, exact."""

    kind: str

    def read(self, value: Any) -> str:
        known = catalogue.names(self.kind, OWN.get())
        if not isinstance(value, str) or value not in known:
            close = nearest(value, known) if isinstance(value, str) else ()
            tell = f"The nearest: {', '.join(close)}." if close else f"The names: {', '.join(known)}."
            raise refusal(f"a name in the {self.kind} catalogue", value, tell)
        return value

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"enum": list(catalogue.names(self.kind))}, {"type": "string"}]}


class Sides(Kind):
    """One side word or several; always kept as a tuple."""

    def read(self, value: Any) -> tuple[str, ...]:
        words = [value] if isinstance(value, str) else value
        if not isinstance(words, (list, tuple)) or not words or not all(isinstance(w, str) for w in words):
            raise refusal("a side of the house in quotes, or a list of sides", value)
        if len(set(words)) < len(words):
            raise refusal("a list that names each side once", value)
        return tuple(words)

    def write(self, value: tuple[str, ...]) -> Any:
        return value[0] if len(value) == 1 else list(value)

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}


class MonthDay(Kind):
    """A day of the year, month first."""

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or day_of_year(value) is None:
            raise refusal('a month and a day such as "10-01" (1 October), in quotes', value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^[0-1][0-9]-[0-3][0-9]$"}


class Clock(Kind):
    """A time of day."""

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or not re.fullmatch(r"([01][0-9]|2[0-3]):[0-5][0-9]", value, re.ASCII):
            raise refusal('a time of day such as "07:00", in quotes', value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^([01][0-9]|2[0-3]):[0-5][0-9]$"}


@dataclass(frozen=True)
class Behind(Kind):
    """What lies on the far side: a word, the name of a cold space, or a temperature that stays the same.

    A name is only known once the whole house is read, so a text without a digit is kept for the house to check.
    """

    temperature: Quantity
    words: tuple[str, ...] = ("outdoors", "ground", "house")

    def read(self, value: Any) -> str | float:
        if isinstance(value, str) and value in self.words:
            return value
        if isinstance(value, str) and value.isprintable() and not re.search(r"[0-9]", value) and value.strip():
            return value
        try:
            return self.temperature.read(value)
        except InputError:
            choices = ", ".join(f'"{w}"' for w in self.words)
            raise refusal(f'{choices} or a temperature such as "50 degF"', value) from None

    def write(self, value: str | float) -> Any:
        return value if isinstance(value, str) else self.temperature.write(value)

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"enum": list(self.words)}, *self.temperature.schema()["anyOf"]]}


class Price(Kind):
    """A price per trade unit of the fuel, kept as typed here: only the heater knows its fuel."""

    def read(self, value: Any) -> Any:
        if not isinstance(value, str):
            raise refusal('a price such as "280 usd/short_ton", in quotes', value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string"}


def day_of_year(month_day: str) -> int | None:
    """Days from 1 January to a "MM-DD" of an ordinary year, 0 for "01-01"; None where there is no such day.

    Examples
    --------
    >>> day_of_year("10-01"), day_of_year("02-29")
    (273, None)
    """
    found = re.fullmatch(r"(\d\d)-(\d\d)", month_day, re.ASCII)
    if not found:
        return None
    month, day = int(found[1]), int(found[2])
    if not 1 <= month <= 12 or not 1 <= day <= DAYS_BEFORE_MONTH[month] - DAYS_BEFORE_MONTH[month - 1]:
        return None
    return DAYS_BEFORE_MONTH[month - 1] + day - 1


def month_day(day: int) -> str:
    """The "MM-DD" of a day counted from 1 January as 0.

    Examples
    --------
    >>> month_day(273)
    '10-01'
    """
    month = next(n for n in range(1, 13) if day < DAYS_BEFORE_MONTH[n])
    return f"{month:02d}-{day - DAYS_BEFORE_MONTH[month - 1] + 1:02d}"


def days(start: str, end: str) -> Sequence[int]:
    """The days of the year from one date to another, both included, over new year if need be.

    Examples
    --------
    >>> list(days("12-30", "01-02"))
    [363, 364, 0, 1]
    """
    first, last = day_of_year(start), day_of_year(end)
    if first is None or last is None:
        raise InputError(f"dates must be months and days such as 10-01, got {shown([start, end])}.")
    return [d % 365 for d in range(first, (last if last >= first else last + 365) + 1)]


def _length(what: str, *, zero: bool = False) -> Quantity:
    span = "from 0 to" if zero else "above 0 and at most"
    return Quantity("m", f"{what} {span} 2000 m (6562 ft)", above=None if zero else 0.0, least=0.0, most=2000.0)


LENGTH = _length("a length")
LENGTH_OR_NONE = _length("a length", zero=True)
AREA = Quantity("m2", "an area above 0 and at most 1000000 m2", above=0.0, most=1e6)
VOLUME = Quantity("m3", "a volume above 0 and at most 10000000 m3", above=0.0, most=1e7)
BEARING = Quantity("deg", "a compass bearing from 0 deg (north) over 90 deg (east) to 360 deg", least=0.0, most=360.0)
TILT = Quantity("deg", "a tilt from 0 deg (flat, facing up) over 90 deg (upright) to 180 deg", least=0.0, most=180.0)
HEIGHT_ANGLE = Quantity("deg", "a height above the horizon from 0 to 90 deg", least=0.0, most=90.0)
TEMPERATURE = Quantity("degC", "a temperature from -90 to 60 degC (-130 to 140 degF)", least=-90.0, most=60.0)
SHARE = Quantity("1", "a share from 0 to 1", least=0.0, most=1.0, bare=True, hint='60 % is typed 0.6 or "60 %".')
POWER = Quantity("W", "a power from 0 to 100000000 W", least=0.0, most=1e8)
POWER_ABOVE = Quantity("W", "a power above 0 and at most 100000000 W", above=0.0, most=1e8)
MASS = Quantity("kg", "a weight above 0 and at most 100000 kg", above=0.0, most=1e5)
R_VALUE = Quantity(
    "m2 K/W",
    "an R-value from 0 to R-170 (30 m2 K/W)",
    least=0.0,
    most=30.0,
    hint="It is the R of the whole layer, not of an inch, and no U-value.",
)
R_LAYER = Quantity(
    "m2 K/W",
    "an R-value above 0 and at most R-170 (30 m2 K/W)",
    above=0.0,
    most=30.0,
    hint="It is the R of the whole layer: 2 in of foam board is about R-10.",
)
U_VALUE = Quantity(
    "W/(m2 K)",
    "a U-value from 0.03 to 10 W/(m2 K) (0.005 to 1.76 Btu/(h ft2 degF))",
    least=0.03,
    most=10.0,
    hint='An R-value goes into a layer: layers = [{ r = "R-34" }].',
)
