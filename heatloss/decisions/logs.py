"""What a person wrote down: fuel burned, by the bag, gallon or meter, and temperatures; read and never changed."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError, UnknownNameError
from heatloss.units import convert

if TYPE_CHECKING:
    from heatloss.catalogue import Row

Floats = NDArray[np.float64]
LARGEST = 50_000_000
"""Bytes of the largest log that is read."""
BURNED = {"bags": "bag", "weight": "", "volume": "", "energy": "", "pounds": "lb", "gallons": "gal", "cords": "cord",
          "therms": "therm", "kwh": "kWh"}  # fmt: skip
"""Columns of fuel burned since the row before, and the unit that needs no bracket."""
READINGS = ("meter", "fill", "stock")
"""Columns that tell what was burned only from row to row: a meter, a tank filled up, a count of what is left."""
KINDS = {"bag": "bag", "kg": "mass", "m3": "volume", "J": "energy"}
COLUMNS = ("date", "from", "to", *BURNED, *READINGS, "added", "full", "inside", "outside", "note")
INSIDE_RANGE, OUTSIDE_RANGE = (-40.0, 50.0), (-60.0, 50.0)
"""Temperatures that can be true [degC]; common practice, no source."""
LIKELY_INSIDE = (-5.0, 40.0)
"""Where the middle one of all inside temperatures can lie [degC]; common practice, no source."""
UNKNOWN = "?"
_Stamped = tuple[int, tuple[pd.Timestamp, ...], list[str]]
"""Line, dates and cells."""
_Interval = tuple[pd.Timestamp, pd.Timestamp, float, int]
"""Start, end, amount and line."""
_HEAD = re.compile(r"([a-z]+)\s*(?:[\[(]([^\])]*)[\])])?")
_DATES = {"y-m-d": "%Y-%m-%d", "m/d/y": "%m/%d/%Y", "d/m/y": "%d/%m/%Y", "d.m.y": "%d.%m.%Y"}


@dataclass(frozen=True, eq=False)
class FuelLog:
    """Fuel burned from date to date, and temperatures where a logger hung.

    Attributes
    ----------
    name : str
        Of the file.
    intervals : frame
        ``start``, ``end`` (local standard time, a bare date is its midnight), ``amount`` in ``unit``, ``line``.
    unit : str
        ``"bag"`` or a unit of mass, volume or energy, as typed.
    bag_kg : float or None
        Mass of one bag where the log says so [kg].
    step : float
        The step of counting: 1 for whole bags; 0 where it is not known.
    temperatures : frame
        ``inside``, ``outside`` [degC] on their own times; NaN where not read.
    notes : tuple of str
        What the reader saw and did.
    """

    name: str
    intervals: pd.DataFrame
    unit: str
    bag_kg: float | None
    step: float
    temperatures: pd.DataFrame
    notes: tuple[str, ...] = ()

    @property
    def days(self) -> Floats:
        """Length of each interval [d]."""
        return _lengths(self.intervals)

    @property
    def total(self) -> float:
        """Fuel of all intervals, in the log's unit."""
        return float(self.intervals["amount"].sum())

    @property
    def counting_variance(self) -> float:
        """Variance of an amount from counting whole steps at its two ends [unit2]."""
        return self.step**2 / 6.0

    def unit_energy(self, fuel: Row, basis: str) -> float:
        """Energy in one unit of the log [kWh], of a fuel of the catalogue on a basis.

        Raises
        ------
        InputError
            Where the log's unit does not fit the fuel.
        """
        from heatloss.fuel.amount import JOULES_PER_KWH, heating_value, unit_energy

        trade = fuel.text("unit")
        kind = _kind(self.unit)
        if kind == "bag" and trade in ("gallon", "therm", "kWh"):
            raise self._misfit(fuel, f"{fuel.name} is sold by the {trade}.")
        if kind == "bag":
            bag = self.bag_kg if self.bag_kg is not None else fuel.get("bag_mass")
            if bag is None:
                raise self._misfit(fuel, 'Give the mass in the head of its column: "bags [40 lb]".')
            return bag * heating_value(fuel, basis) / JOULES_PER_KWH
        if kind == "mass" and trade != "kWh":
            return float(convert(1.0, self.unit, "kg")) * heating_value(fuel, basis) / JOULES_PER_KWH
        if kind == "volume" and trade in ("gallon", "cord"):
            return float(convert(1.0, self.unit, trade)) * unit_energy(fuel, basis)
        if kind == "energy" and trade in ("therm", "kWh"):
            return float(convert(1.0, self.unit, trade)) * unit_energy(fuel, basis)
        raise self._misfit(fuel, f"{fuel.name} is sold by the {trade}.")

    def between(self, start: pd.Timestamp | None = None, end: pd.Timestamp | None = None) -> FuelLog:
        """The same log with only those intervals that lie from ``start`` to ``end``."""
        rows = self.intervals
        keep = np.ones(len(rows), dtype=bool)
        if start is not None:
            keep &= (rows["start"] >= start).to_numpy()
        if end is not None:
            keep &= (rows["end"] <= end).to_numpy()
        return FuelLog(self.name, rows[keep].reset_index(drop=True), self.unit, self.bag_kg, self.step,
                       self.temperatures, self.notes)  # fmt: skip

    def _misfit(self, fuel: Row, hint: str) -> InputError:
        return InputError(f"the log's unit must fit {fuel.name}, got {self.unit} ({self.name}). {hint}")


def read_log(path: str | Path) -> FuelLog:
    """Read a log of fuel and temperatures.

    Parameters
    ----------
    path : str or Path
        A CSV file, its first line the names of the columns. ``date``, or ``from`` and ``to``, written 2024-11-03 or
        2024-11-03 07:00 (another order is named in the head: ``date [m/d/y]``). Fuel as one of

        * burned since the row before: ``bags`` (or ``bags [40 lb]``), ``weight [lb]``, ``volume [gal]``, ``energy
          [kWh]``, ``pounds``, ``gallons``, ``cords``, ``therms``, ``kwh``;
        * ``meter [kWh]``: the meter's reading;
        * ``fill [gal]``: what was put into the tank to fill it, and ``full`` yes or no for deliveries that did not;
        * ``stock [bags]``: what is left, and ``added``, what was bought since the row before.

        ``inside [degF]`` and ``outside [degF]`` (or degC) on any rows; a row without fuel is a row of temperatures
        only. An amount of ``?`` is a gap: what was burned since the row before is not known. ``note`` is left aside.

    Returns
    -------
    FuelLog

    Raises
    ------
    InputError
        With the line: for text that cannot be read, dates out of order, intervals that overlap, amounts below 0,
        temperatures in another unit than their head says.

    Notes
    -----
    Clock times are taken as local standard time; an hour of summer time does not matter for bags.
    """
    file = Path(path)
    head, rows = _rows(_text(file), file.name)
    reader = _Reader(file.name, head)
    return reader.log(rows)


@dataclass(frozen=True)
class _Head:
    """Place and unit of each column."""

    places: dict[str, int]
    units: dict[str, str]


class _Reader:
    """Turns the cells of one file into a log."""

    def __init__(self, name: str, head: _Head) -> None:
        self.name, self.head = name, head
        found = [c for c in (*BURNED, *READINGS) if c in head.places]
        if len(found) > 1:
            raise InputError(f"fuel must stand in one column, got {', '.join(found)} ({name}, line 1). Keep one.")
        self.fuel = found[0] if found else ""
        dated = {"date"} & set(head.places) or {"from", "to"} <= set(head.places)
        if not dated or ("date" in head.places and "from" in head.places):
            raise InputError(
                f"columns must include date, or from and to, got {', '.join(head.places)} ({name}, line 1). "
                "Write the names of the columns in the first line: date,bags"
            )
        if self.fuel in READINGS and "from" in head.places:
            raise InputError(f"{self.fuel} must stand beside date, got from and to ({name}, line 1). It has one date.")
        if not self.fuel and not {"inside", "outside"} & set(head.places):
            raise InputError(
                f"columns must include fuel or temperatures, got {', '.join(head.places)} ({name}, line 1). "
                f"Fuel is one of: {', '.join((*BURNED, *READINGS))}."
            )
        self.unit, self.bag_kg = self._unit()

    def log(self, rows: list[tuple[int, list[str]]]) -> FuelLog:
        """The whole log."""
        stamped = [(line, self._when(cells, line), cells) for line, cells in rows]
        notes: list[str] = []
        intervals = self._spans(stamped) if "from" in self.head.places else self._between(stamped, notes)
        frame = pd.DataFrame(intervals, columns=["start", "end", "amount", "line"])
        frame = frame.astype({"amount": float})
        _check_overlaps(frame, self.name)
        step = _step(frame["amount"].to_numpy()) if self.unit == "bag" else 0.0
        days = _lengths(frame)
        long = frame[days > 3.0 * np.median(days)] if len(frame) > 3 else frame[:0]
        notes += [
            f"The interval that ends on {end:%Y-%m-%d} (line {line}) is long: was a row forgotten?"
            for end, line in zip(long["end"], long["line"], strict=True)
        ]
        return FuelLog(self.name, frame, self.unit, self.bag_kg, step, self._temperatures(stamped), tuple(notes))

    def _unit(self) -> tuple[str, float | None]:
        typed = self.head.units.get(self.fuel, "")
        if self.fuel == "bags":
            return "bag", _bag_mass(typed, self.name) if typed else None
        if self.fuel == "stock" and re.fullmatch(r"bags?", typed):
            return "bag", None
        if not self.fuel:
            return "bag", None
        unit = typed or BURNED.get(self.fuel, "")
        if not unit:
            raise InputError(
                f'{self.fuel} must have its unit, got none ({self.name}, line 1). Write "{self.fuel} [lb]".'
            )
        _kind(unit, f"{self.name}, line 1")
        return unit, None

    def _when(self, cells: list[str], line: int) -> tuple[pd.Timestamp, ...]:
        names = ("date",) if "date" in self.head.places else ("from", "to")
        return tuple(self._stamp(self._cell(cells, n), n, line) for n in names)

    def _stamp(self, text: str, name: str, line: int) -> pd.Timestamp:
        order = self.head.units.get(name, "y-m-d")
        if order not in _DATES:
            raise InputError(
                f"the order of {name} must be one of {', '.join(_DATES)}, got {order!r} ({self.name}, line 1)."
            )
        forms = [_DATES[order] + clock for clock in ("", " %H:%M", " %H:%M:%S", "T%H:%M", "T%H:%M:%S")]
        for form in forms:
            try:
                return pd.Timestamp(datetime.strptime(text, form))
            except ValueError:
                continue
        other = next((o for o, form in _DATES.items() if _reads(text.split()[0] if text else "", form)), None)
        hint = f'If that is {other}, head the column "{name} [{other}]".' if other else "Write 2024-11-03."
        raise InputError(f"{name} must be a date as {order}, got {text!r} ({self.name}, line {line}). {hint}")

    def _cell(self, cells: list[str], name: str) -> str:
        place = self.head.places.get(name)
        return cells[place].strip() if place is not None and place < len(cells) else ""

    def _number(self, text: str, name: str, line: int, *, least: float = 0.0) -> float:
        try:
            value = float(text)
        except ValueError:
            hint = "Write decimals with a point." if "," in text else "Leave an empty cell where nothing is known."
            raise InputError(f"{name} must be a number, got {text!r} ({self.name}, line {line}). {hint}") from None
        if not value >= least or not math.isfinite(value):
            raise InputError(f"{name} must be {least:g} or more, got {text} ({self.name}, line {line}). Mend the line.")
        return value

    def _spans(self, rows: list[_Stamped]) -> list[_Interval]:
        """Intervals that say where they begin and end."""
        found: list[_Interval] = []
        for line, (start, end), cells in rows:
            if not end > start:
                raise InputError(f"to must be after from, got {start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M} "
                                 f"({self.name}, line {line}). Mend the line.")  # fmt: skip
            text = self._cell(cells, self.fuel) if self.fuel else ""
            if text and text != UNKNOWN:
                found.append((start, end, self._number(text, self.fuel, line), line))
        return sorted(found)

    def _between(self, rows: list[_Stamped], notes: list[str]) -> list[_Interval]:
        """Intervals from row to row; readings become what was burned between them."""
        before: pd.Timestamp | None = None
        found: list[_Interval] = []
        burned: Callable[[list[str], int], float | None] = {
            "meter": _Meter(self).burned, "fill": _Tank(self).burned, "stock": _Stock(self).burned,
        }.get(self.fuel, self._burned)  # fmt: skip
        last: pd.Timestamp | None = None
        for line, (now,), cells in rows:
            if last is not None and not now > last:
                raise InputError(f"date must be later than on the row before, got {now:%Y-%m-%d %H:%M} after "
                                 f"{last:%Y-%m-%d %H:%M} ({self.name}, line {line}). Sort the rows.")  # fmt: skip
            last = now
            text = self._cell(cells, self.fuel) if self.fuel else ""
            opens = before is None and (bool(text) or self.fuel in BURNED)
            if not text and not opens:
                continue
            amount = burned(cells, line) if text and text != UNKNOWN else None
            if text == UNKNOWN and self.fuel in READINGS:
                continue
            if self.fuel == "fill" and amount is None and before is not None:
                continue
            if before is not None and amount is not None:
                found.append((before, now, amount, line))
            elif before is None and amount and self.fuel in BURNED:
                notes.append(f"The first row (line {line}) opens the log; its {text} {self.fuel} lie before it.")
            before = now
        return found

    def _burned(self, cells: list[str], line: int) -> float:
        return self._number(self._cell(cells, self.fuel), self.fuel, line)

    def _temperatures(self, rows: list[_Stamped]) -> pd.DataFrame:
        columns: dict[str, pd.Series[float]] = {}
        index = pd.DatetimeIndex([when[-1] for _, when, _ in rows])
        for name, (low, high) in (("inside", INSIDE_RANGE), ("outside", OUTSIDE_RANGE)):
            values = np.full(len(rows), np.nan)
            unit = self._temperature_unit(name)
            for i, (line, _, cells) in enumerate(rows if unit else ()):
                text = self._cell(cells, name)
                if text and text != UNKNOWN:
                    typed = self._number(text, name, line, least=-500.0)
                    values[i] = convert(typed, unit, "degC")
                    if not low <= values[i] <= high:
                        raise self._hot_or_cold(name, unit, typed, (low, high), line)
            columns[name] = pd.Series(values, index=index)
        frame = pd.DataFrame(columns)
        frame = frame[frame.notna().any(axis=1)]
        self._check_inside(frame["inside"].dropna())
        return frame

    def _temperature_unit(self, name: str) -> str:
        if name not in self.head.places:
            return ""
        unit = self.head.units.get(name, "").replace("°", "deg")
        if unit not in ("degF", "degC"):
            raise InputError(f'{name} must say degF or degC, got {unit or "nothing"} ({self.name}, line 1). '
                             f'Write "{name} [degF]".')  # fmt: skip
        return unit

    def _hot_or_cold(self, name: str, unit: str, typed: float, limits: tuple[float, float], line: int) -> InputError:
        low, high = (convert(v, "degC", unit) for v in limits)
        other = "degC" if unit == "degF" else "degF"
        fits = limits[0] <= convert(typed, other, "degC") <= limits[1]
        hint = f'It looks like {other}: head the column "{name} [{other}]".' if fits else "Mend the line."
        return InputError(f"{name} must be from {low:.0f} to {high:.0f} [{unit}], got {typed:g} "
                          f"({self.name}, line {line}). {hint}")  # fmt: skip

    def _check_inside(self, inside: pd.Series[float]) -> None:
        """A whole column in the wrong unit may have no value out of range; its middle tells."""
        if not len(inside):
            return
        middle = float(inside.median())
        if not LIKELY_INSIDE[0] <= middle <= LIKELY_INSIDE[1]:
            unit = self._temperature_unit("inside")
            other = "degC" if unit == "degF" else "degF"
            low, high = (convert(v, "degC", unit) for v in LIKELY_INSIDE)
            raise InputError(
                f"the middle of all inside temperatures must be from {low:.0f} to {high:.0f} [{unit}], got "
                f'{convert(middle, "degC", unit):.1f} ({self.name}). If they are {other}, head it "inside [{other}]".'
            )


class _Meter:
    """A meter that only counts up."""

    def __init__(self, reader: _Reader) -> None:
        self.reader, self.last = reader, math.nan

    def burned(self, cells: list[str], line: int) -> float | None:
        """What ran through since the reading before."""
        r = self.reader
        now = r._number(r._cell(cells, "meter"), "meter", line)
        before, self.last = self.last, now
        if now < before:
            raise InputError(f"meter must not run back, got {now:g} after {before:g} ({r.name}, line {line}). "
                             "For a new meter begin a new log.")  # fmt: skip
        return None if math.isnan(before) else now - before


class _Tank:
    """A tank whose level is known only when it has been filled up."""

    def __init__(self, reader: _Reader) -> None:
        self.reader, self.added, self.began = reader, 0.0, False

    def burned(self, cells: list[str], line: int) -> float | None:
        """What was put in since it was last full; None where it is not full now."""
        r = self.reader
        self.added += r._number(r._cell(cells, "fill"), "fill", line)
        if not _yes(r._cell(cells, "full"), r.name, line):
            if not self.began:
                raise InputError(f"the first fill must be a full one, got full = no ({r.name}, line {line}). "
                                 "Begin the log with a full tank.")  # fmt: skip
            return None
        amount, self.added, began, self.began = self.added, 0.0, self.began, True
        return amount if began else None


class _Stock:
    """A count of what is left, and what was bought."""

    def __init__(self, reader: _Reader) -> None:
        self.reader, self.last = reader, math.nan

    def burned(self, cells: list[str], line: int) -> float | None:
        """What is gone since the count before."""
        r = self.reader
        left = r._number(r._cell(cells, "stock"), "stock", line)
        text = r._cell(cells, "added")
        gone = self.last + (r._number(text, "added", line) if text else 0.0) - left
        self.last = left
        if gone < 0.0:
            raise InputError(f"stock must not grow by more than was added, got {-gone:g} more ({r.name}, line {line}). "
                             "Write what was bought under added.")  # fmt: skip
        return None if math.isnan(gone) else gone


def _lengths(intervals: pd.DataFrame) -> Floats:
    """Length of each interval [d]."""
    spans = pd.DatetimeIndex(intervals["end"]) - pd.DatetimeIndex(intervals["start"])
    return spans.to_numpy().astype("timedelta64[s]").astype(np.float64) / 86400.0


def _kind(unit: str, where: str = "") -> str:
    """Whether a unit is one of bags, mass, volume or energy."""
    if unit == "bag":
        return "bag"
    for base in ("kg", "m3", "J"):
        try:
            convert(1.0, unit, base)
            return KINDS[base]
        except InputError:
            continue
    place = f" ({where})" if where else ""
    raise InputError(f"fuel must be in a unit of mass, volume or energy, got {unit!r}{place}. Write lb, gal or kWh.")


def _bag_mass(typed: str, name: str) -> float:
    from heatloss.units import parse

    mass = parse(typed, "kg", name="bags", where=f"{name}, line 1")
    if not 1.0 <= mass <= 2000.0:
        raise InputError(f"a bag must weigh from 1 to 2000 [kg], got {mass:g} ({name}, line 1). Write bags [40 lb].")
    return mass


def _yes(text: str, name: str, line: int) -> bool:
    word = text.lower()
    if word in ("", "yes", "y"):
        return True
    if word in ("no", "n"):
        return False
    raise InputError(f"full must be yes or no, got {text!r} ({name}, line {line}). An empty cell means yes.")


def _step(amounts: Floats) -> float:
    """The coarsest step of counting that all amounts keep to; 0 where none does."""
    for step in (1.0, 0.5, 0.25, 0.1):
        if len(amounts) and np.allclose(amounts / step, np.round(amounts / step), atol=1e-9):
            return step
    return 0.0


def _reads(text: str, form: str) -> bool:
    try:
        datetime.strptime(text, form)
    except ValueError:
        return False
    return True


def _check_overlaps(frame: pd.DataFrame, name: str) -> None:
    starts, ends, lines = (list(frame[name]) for name in ("start", "end", "line"))
    for i in range(1, len(frame)):
        if starts[i] < ends[i - 1]:
            raise InputError(
                f"intervals must not overlap, got one from {starts[i]:%Y-%m-%d} before the one to "
                f"{ends[i - 1]:%Y-%m-%d} ends ({name}, lines {lines[i - 1]} and {lines[i]}). Mend one of them."
            )


def _text(file: Path) -> str:
    shown = str(file)
    try:
        if not file.is_file():
            raise InputError(f"log must be a file that exists, got {shown!r}. It is a CSV file such as: date,bags")
        if file.stat().st_size > LARGEST:
            raise InputError(f"log must be smaller than {LARGEST} bytes, got {shown!r}. Take hourly temperatures.")
        return file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"log must be UTF-8 text, got another file {shown!r}. Save the sheet as CSV UTF-8.") from None
    except OSError as problem:
        raise InputError(f"log must be readable, got {shown!r} ({problem.strerror}). Check its rights.") from None


def _rows(text: str, name: str) -> tuple[_Head, list[tuple[int, list[str]]]]:
    """The head and the filled lines with their numbers."""
    if "\0" in text:
        raise InputError(f"log must be text, got a binary file ({name}). Save the sheet as CSV.")
    lines = list(_filled(text))
    if len(lines) < 2:
        raise InputError(f"log must have a head and rows, got {len(lines)} lines ({name}). Write date,bags and rows.")
    (first, head), body = lines[0], lines[1:]
    mark = max(",;\t", key=head.count)
    cells = next(csv.reader(io.StringIO(head), delimiter=mark))
    try:
        rows = [(line, next(csv.reader(io.StringIO(row), delimiter=mark))) for line, row in body]
    except csv.Error as problem:
        raise InputError(f"log must be CSV, got {problem} ({name}). Save the sheet as CSV again.") from None
    for line, row in rows:
        if len(row) > len(cells) and any(c.strip() for c in row[len(cells) :]):
            hint = "Write decimals with a point." if mark == "," else "Mend the line."
            raise InputError(f"a row must have {len(cells)} cells, got {len(row)} ({name}, line {line}). {hint}")
    return _head(cells, name, first), rows


def _filled(text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip(",;\t ") and not line.lstrip().startswith("#"):
            yield number, line


def _head(cells: list[str], name: str, line: int) -> _Head:
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    for place, cell in enumerate(cells):
        if not cell.strip():
            continue
        found = _HEAD.fullmatch(cell.strip().lower() if "[" not in cell and "(" not in cell else _lowered(cell.strip()))
        word = found[1] if found else cell.strip()
        if word not in COLUMNS:
            raise UnknownNameError("column", word, COLUMNS, f"{name}, line {line}")
        if word in places:
            raise InputError(f"a column must stand once, got {word} twice ({name}, line {line}). Drop one.")
        places[word] = place
        if found and found[2]:
            units[word] = found[2].strip()
    return _Head(places, units)


def _lowered(cell: str) -> str:
    """The name in small letters, the unit as it is."""
    cut = min(i for i in (cell.find("["), cell.find("(")) if i >= 0)
    return cell[:cut].lower() + cell[cut:]
