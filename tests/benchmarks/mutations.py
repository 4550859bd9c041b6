"""Damage what a person hands in, door by door, and see that it is refused in plain words or gives finite figures.

    python tests/benchmarks/mutations.py                       2,000 mutants at every door
    python tests/benchmarks/mutations.py --door house --count 500 --seed 7
    python tests/benchmarks/mutations.py --door house --seed 7 --only 123 --show > house.toml

A mutant is a whole good file with one to six things changed, drawn from seed, door and number alone. A finding is any
exception but InputError, a warning, more than five seconds, a figure that is not finite in what was accepted, or a
refusal that puts the blame on the engine. Each is printed with what brings it back.
"""

from __future__ import annotations

import argparse
import contextlib
import dataclasses
import functools
import gzip
import io
import itertools
import json
import math
import multiprocessing
import random
import re
import sys
import tempfile
import threading
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, NamedTuple

TIME_LIMIT = 5.0
"""Seconds of work in which a mutant must be refused or done."""
CLOCK_LIMIT = 30.0
"""Seconds by the clock after which a worker is ended; more, since a busy machine is no fault of the mutant."""
START_LIMIT = 120.0
"""Seconds for a worker to load its libraries and the sound files."""
ENGINE = ("Report this house", "finite answer", "consistent answer", "tied to nothing", "does not read as such")
"""Words of refusals that a person cannot mend; the last is the weather readers' own, counted but no finding."""


class FindingError(Exception):
    """What was accepted holds something that it must not hold."""


# ---- damage --------------------------------------------------------------------------------------------------------

Dice = random.Random
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_QUOTED = re.compile(r'"[^"\n]*"')
_FIELD = re.compile(r"[^,\n]+")
NUMBERS = (
    "0", "-0.0", "-1", "1e-9", "1e-300", "1e9", "1e300", "1e308", "1e400", "nan", "inf", "-inf", "NaN", "999999999999",
    "9999", "-9900", "-200", "0.5", "1", "2", "100", "1_0", "0x10", "1,5", "٣", "½", "1e", "--1", "1.2.3", "true", "",
)  # fmt: skip
UNITS = (
    "ft", "m", "in", "mm", "km", "ft2", "m2", "ft^2", "gal", "m3", "W", "Btu/h", "kW", "degF", "degC", "K", "R", "lb",
    "kg/m3", "m2 K/W", "W/(m2 K)", "Btu/(h ft^2 degF)", "deg", "rad", "%", "1/h", "ton", "short_ton", "cord", "usd",
    "usd/short_ton", "J/(kg K)", "s", "h", "light_year", "furlong", "m^9", "m/m", "(", "m*", "/h", "m**99999", "°F",
)  # fmt: skip
BITS = (
    "\0", "\ufeff", "\u202e", "é", "温室", "🌱", "\u00a0", "\u2028", '"', "'", '"""', "\\", "\\u0000", "[", "]]", "{",
    "}", "=", "#", ",", ";", "\n", "\r", "\t", ".", "-", "%s", "{0}", "$", "<b>", "..", "1/0", " " * 500, "9" * 5000,
)  # fmt: skip


def place(text: str, dice: Dice) -> int:
    """Somewhere in the text; every other time in its first lines, where a long file keeps what matters."""
    return dice.randrange(min(len(text), 2000) if len(text) > 20000 and dice.random() < 0.5 else len(text) + 1)


def replaced(text: str, pattern: re.Pattern[str], dice: Dice, new: Callable[[str], str]) -> str:
    """The text with the next match after some place replaced."""
    found = pattern.search(text, place(text, dice)) or pattern.search(text)
    return text if found is None else text[: found.start()] + new(found[0]) + text[found.end() :]


def another(text: str, pattern: re.Pattern[str], dice: Dice) -> str:
    """A match somewhere in the text."""
    found = pattern.search(text, place(text, dice)) or pattern.search(text)
    return "" if found is None else found[0]


def number_swapped(text: str, dice: Dice) -> str:
    return replaced(text, _NUMBER, dice, lambda _: dice.choice(NUMBERS))


def number_scaled(text: str, dice: Dice) -> str:
    factor = dice.choice((1, 1, 1, -1)) * 10.0 ** dice.choice((-9, -3, -2, -1, -0.5, -0.2, 0.2, 0.5, 1, 2, 3, 6, 12))
    return replaced(text, _NUMBER, dice, lambda old: f"{float(old) * factor:.6g}")


def unit_swapped(text: str, dice: Dice) -> str:
    return replaced(text, re.compile(r'(?<=[0-9] )[^"\n,]+(?=")|(?<=[0-9] )[A-Za-z0-9/()^ ]+'), dice,
                    lambda _: dice.choice(UNITS))  # fmt: skip


def word_swapped(text: str, dice: Dice) -> str:
    """Keys, headings, units and names of rows change places with others of the same file."""
    new = another(text, _WORD, dice)
    return replaced(text, _WORD, dice, lambda _: new)


def value_swapped(text: str, dice: Dice) -> str:
    pattern = dice.choice((_QUOTED, _FIELD))
    new = another(text, pattern, dice)
    return replaced(text, pattern, dice, lambda _: new)


def value_emptied(text: str, dice: Dice) -> str:
    return replaced(text, dice.choice((_QUOTED, _FIELD)), dice, lambda old: '""' if old.startswith('"') else "")


def bit_inserted(text: str, dice: Dice) -> str:
    at = place(text, dice)
    return text[:at] + dice.choice(BITS) + text[at:]


def span_cut(text: str, dice: Dice) -> str:
    at = place(text, dice)
    return text[:at] + text[at + dice.choice((1, 1, 3, 20, 300)) :]


def cut_short(text: str, dice: Dice) -> str:
    return text[: place(text, dice)]


def line_dropped(text: str, dice: Dice) -> str:
    start, end = line_at(text, dice)
    return text[:start] + text[end:]


def line_doubled(text: str, dice: Dice) -> str:
    start, end = line_at(text, dice)
    return text[:end] + text[start:end] + text[end:]


def line_moved(text: str, dice: Dice) -> str:
    start, end = line_at(text, dice)
    rest, line = text[:start] + text[end:], text[start:end]
    at = rest.rfind("\n", 0, place(rest, dice)) + 1
    return rest[:at] + line + rest[at:]


def line_at(text: str, dice: Dice) -> tuple[int, int]:
    at = place(text, dice)
    start, end = text.rfind("\n", 0, at) + 1, text.find("\n", at) + 1
    return start, end or len(text)


CHANGES = (
    number_swapped, number_swapped, number_scaled, number_scaled, number_scaled, unit_swapped,
    word_swapped, word_swapped, value_swapped, value_swapped, value_emptied,
    bit_inserted, span_cut, line_dropped, line_doubled, line_moved,
)  # fmt: skip


def mutant(door: Door, seed: int, number: int) -> bytes:
    """The mutant of this number, the same at every call."""
    dice = random.Random(f"{seed} {door.name} {number}")
    text = dice.choice(door.sound())
    for _ in range(dice.choices((1, 2, 3, 6), (8, 3, 1, 1))[0]):
        text = dice.choice(CHANGES)(text, dice)
    if dice.random() < 0.03:
        text = dice.choice((cut_short(text, dice), "", "\n", text + text))
    content = bytearray(text.encode("utf-8"))
    if content and dice.random() < 0.15:
        for _ in range(dice.randint(1, 3)):
            at = place(text, dice) % len(content)
            content[at] ^= 1 << dice.randrange(8)
    return bytes(content)


# ---- doors ---------------------------------------------------------------------------------------------------------


class Door(NamedTuple):
    """One way in.

    Attributes
    ----------
    name : str
    sound : callable
        Gives the texts that are damaged.
    enter : callable
        Takes a mutant and a folder to write in; raises InputError where it is refused, FindingError where it must be.
    """

    name: str
    sound: Callable[[], tuple[str, ...]]
    enter: Callable[[bytes, Path], None]


def finite(value: Any, where: str) -> None:
    """Raise a FindingError for the first figure that is NaN or infinite."""
    import numpy as np
    import pandas as pd

    if isinstance(value, pd.DataFrame):
        for name in value.columns:
            finite(value[name], f"{where}[{name}]")
    elif isinstance(value, (pd.Series, np.ndarray)):
        if value.dtype.kind == "f" and not np.isfinite(np.asarray(value)).all():
            raise FindingError(f"{where} holds NaN or infinity")
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            finite(inner, f"{where}[{name}]")
    elif isinstance(value, float) and not math.isfinite(value):
        raise FindingError(f"{where} is {value}")


@functools.cache
def winter() -> Any:
    """Twelve days of Chicago, one of each month: a year short enough to run by the thousand."""
    from heatloss import read_weather

    weather = read_weather("chicago")
    return dataclasses.replace(weather, hours=weather.hours[weather.hours.index.day == 15])


def house_runs(house: Any) -> None:
    """The season of a house that was accepted: every figure finite, and the report sayable."""
    from heatloss import simulate
    from heatloss.report import season_json, season_report

    season = simulate(house, winter())
    if not season.closure <= 1e-9:
        raise FindingError(f"closure is {season.closure}")
    finite(season.run.lane_temperature, "temperature")
    finite(season.run.lane_power, "power")
    finite(season.run.lane_flow, "flow")
    for name in ("ledger", "conductances", "design", "hand_kwh", "monthly", "heat_kwh", "peak_w", "unmet"):
        finite(getattr(season, name), name)
    finite(season.hourly.drop(columns="setpoint"), "hourly")
    for fuel in season.fuels:
        finite({field.name: getattr(fuel, field.name) for field in dataclasses.fields(fuel)}, "fuel")
    text = season_report(season).replace(house.title, "")
    if found := re.search(r"(?<![\w-])-?(nan|inf)\b.*", text):
        raise FindingError(f"the report says {found[0]!r}")
    json.loads(season_json(season), parse_constant=not_json)


def not_json(word: str) -> None:
    raise FindingError(f"the JSON document holds {word}")


FREE = """
title = "Free"
[place]
weather = "chicago"
[shape]
kind = "free"
floor_area = "40 m2"
perimeter = "26 m"
volume = "100 m3"
[air]
n50 = 10
[gains]
power = "150 W"
radiant_share = 0.5
[[surface]]
name = "glass"
area = "60 m2"
tilt = "45 deg"
azimuth = "180 deg"
glazing = "glass single 3 mm"
[[surface]]
name = "back"
area = "40 m2"
tilt = "90 deg"
azimuth = "0 deg"
layers = [{ material = "brick", thickness = "0.1 m" }, { r = "RSI-2" }]
behind = "house"
[[curtain]]
material = "energy curtain"
[[water]]
name = "pool"
volume = "2 m3"
setpoint = "18 degC"
heater = "pump"
[[setpoint]]
day = "15 degC"
night = "10 degC"
vent = "25 degC"
cool = "28 degC"
ramp = "1.5 h"
[[heater]]
name = "pump"
type = "heat pump"
[method]
films = "film_house"
sky = "swinbank"
ground = "f_factor"
latent = "none"
sun = "haydavies"
air_exchange = "constant"
"""

BOX = """
title = "Box"
[place]
weather = "golden"
latitude = 39.7
longitude = -105.2
altitude = "5800 ft"
utc_offset = -7
shelter = "sheltered"
design_temperature = "-4 degF"
minimum_20_year = "-27 degF"
obstacles = [{ bearing_from = "120 deg", bearing_to = "160 deg", height = "15 deg" }]
[shape]
kind = "box"
length = "30 ft"
width = "12 ft"
eave = "8 ft"
bearing = "0 deg"
[cover]
glazing = "polyethylene double inflated IR"
bridging = 1.1
frame = 0.08
soiling = 0.9
[[part]]
name = "back"
on = ["west wall", "ends"]
u = "0.1 Btu/(h ft^2 degF)"
solar_absorptance = 0.3
emissivity = 0.9
behind = "50 degF"
[[part]]
name = "pane"
on = "roof"
area = "40 ft2"
glazing = "glass sealed double"
[floor]
kind = "concrete slab"
soil = "rock"
insulation = "R-10"
edge = "R-5"
depth = "2 ft"
direction = "horizontal"
wall_thickness = "8 in"
[air]
leakage_area = "120 in2"
doors = { count = 10, seconds = 20, area = "20 ft2" }
[[water]]
name = "barrels"
volume = "300 gal"
lid = true
in_sun = true
[[curtain]]
material = "energy curtain"
schedule = "always"
edge_leak = 0.15
on = "roof"
[[setpoint]]
day = "55 degF"
night = "50 degF"
day_from = "07:00"
day_to = "19:00"
[[heater]]
name = "stove"
fuel = "propane"
output = "30000 Btu/h"
efficiency = 0.8
basis = "hhv"
radiant_share = 0.3
price = "$2.80/gallon"
[[heater]]
name = "electric"
type = "electric heater"
from = "12-01"
to = "02-28"
"""


def house_texts() -> tuple[str, ...]:
    from heatloss.house import SAMPLES, sample_text, template

    bare = "\n".join(line.split("  #")[0] for line in template("mine").split("\n") if not line.startswith("#"))
    return (*(sample_text(name) for name in SAMPLES), bare, bare, FREE, FREE, BOX, BOX)


def enter_house(content: bytes, folder: Path) -> None:
    from heatloss import read_house

    file = folder / "house.toml"
    file.write_bytes(content)
    (folder / "rows.toml").write_text(ROWS)
    house_runs(read_house(file))


def quantity_texts() -> tuple[str, ...]:
    return (
        "8 ft", "8 ft 6 in", "1/2 in", "2 1/2 in", "R-13", "RSI-2.3", "68 degF", "20 degC", "9 delta_degF", "1400 gal",
        "0.7 Btu/(h ft^2 degF)", "1.2 W/(m2 K)", "40 lb", "85000 Btu/h", "25 kW", "80 %", "0.8", "90 deg", "1e3 m2",
        "300 sq ft", "120 in2", "0.25 lb/gal", "3 MMBtu", "10 therm", "2 cord", "101325 Pa", "12 m/s", "3 1/h",
        "280 usd/short_ton", "$280/short_ton", "15 cents/kWh", "$2.10/gallon", "120 W/(m K)", "1.6 kJ/(m2 K)",
    )  # fmt: skip


QUANTITY_UNITS = ("m", "m2", "m3", "degC", "K", "W", "m2 K/W", "W/(m2 K)", "W/(m K)", "1", "deg", "kg/m3", "1/h", "s",
                  "J/(m2 K)", "Pa", "J")  # fmt: skip
PRICE_UNITS = ("short_ton", "cord", "gallon", "therm", "kWh", "bushel", "bag")


def enter_quantity(content: bytes, folder: Path) -> None:
    """One text asked for in every unit and at every price; refused only if all of them refuse it."""
    from heatloss.errors import InputError
    from heatloss.units import parse, parse_price

    text = content.decode("utf-8", errors="surrogateescape")
    lead = text.partition(" ")
    number: Any = text
    with contextlib.suppress(ValueError):
        number = float(lead[0])
    refusals, accepted = [], False
    for ask, unit in [*((parse, u) for u in QUANTITY_UNITS), *((parse_price, u) for u in PRICE_UNITS)]:
        for typed in (text, (number, lead[2]), number):
            try:
                finite(ask(typed, unit), f"{ask.__name__}({typed!r}, {unit!r})")
                accepted = True
            except InputError as refusal:
                said(refusal)
                refusals.append(refusal)
    if not accepted:
        raise refusals[0]


def weather_text(name: str) -> str:
    from heatloss.weather.samples import sample_path

    path = sample_path(name)
    assert path is not None
    return gzip.decompress(path.read_bytes()).decode()


def one_text(name: str) -> tuple[str, ...]:
    return (weather_text(name),)


def json_texts() -> tuple[str, ...]:
    lines = weather_text("italy_45n8e").replace("\r\n", "\n").split("\n")
    start = next(i for i, line in enumerate(lines) if line.startswith("time(UTC)"))
    names = lines[start].split(",")
    rows = [
        json.dumps({names[0]: stamp} | dict(zip(names[1:], map(float, values), strict=True)))
        for stamp, *values in (line.split(",") for line in lines[start + 1 : start + 8761])
    ]
    place = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0, "irradiance time offset": 0.1761}
    months = [dict(zip(("month", "year"), map(int, line.split(",")), strict=True)) for line in lines[5:17]]
    whole = (
        f'{{"inputs": {{"location":\n{json.dumps(place)}}},\n"outputs": {{"months_selected":\n{json.dumps(months)},\n'
        f'"tmy_hourly": [\n{{}}]}},\n"meta": {{"inputs": {{}}, "outputs": {{}}}}}}'
    )
    return (whole.replace("{}]}", ",\n".join(rows) + "]}"),)


def enter_weather(kind: str | None, content: bytes, folder: Path) -> None:
    from heatloss import read_weather

    file = folder / "weather.txt"
    file.write_bytes(content)
    weather_serves(read_weather(file, kind))


def weather_serves(weather: Any) -> None:
    """A record that was accepted: its hours, its statistics and what it does to a house are finite."""
    from heatloss import sample_house
    from heatloss.balance.drivers import prepare
    from heatloss.geometry import build

    finite(weather.hours, "hours")
    finite(dict(weather.header), "header")
    finite(weather.design_temperatures(), "design temperatures")
    finite(weather.degree_days(18.0), "degree days")
    finite(weather.monthly(), "monthly")
    finite(weather.mid_offset, "mid_offset")
    house = sample_house()
    drivers = prepare(house, build(house), weather)
    for field in dataclasses.fields(drivers):
        finite(getattr(drivers, field.name), field.name)
    if not "".join(weather.notes).isprintable():
        raise FindingError("the notes hold signs that cannot be printed")


def frame_texts() -> tuple[str, ...]:
    """Place and rows of a plain frame, as text, so that the same changes serve."""
    from heatloss import read_weather

    weather = read_weather("golden")
    site = weather.site
    head = f"{site.latitude},{site.longitude},{site.altitude},{site.utc_offset},30\n"
    return (head + weather.hours.round(4).to_csv(index_label="time"),)


def enter_frame(content: bytes, folder: Path) -> None:
    import pandas as pd

    from heatloss import Weather
    from heatloss.errors import InputError

    try:
        head, _, rows = content.decode().partition("\n")
        latitude, longitude, altitude, utc_offset, mid_offset = map(float, head.split(","))
        frame = pd.read_csv(io.StringIO(rows), low_memory=False)
        times = frame.pop("time")
        frame.index = pd.DatetimeIndex(pd.to_datetime(times, errors="coerce", utc=True).dt.tz_convert("Etc/GMT+7"))
    except Exception as error:  # no frame came of it, so nothing was handed in
        raise InputError(f"a frame must be made first, got {type(error).__name__}.") from None
    weather_serves(
        Weather.from_frame(
            frame, latitude=latitude, longitude=longitude, altitude=altitude, utc_offset=utc_offset,
            mid_offset=mid_offset,
        )
    )  # fmt: skip


ROWS = """
[glazing."my panel"]
source = "data sheet"
like = "polycarbonate twin-wall 8 mm"
note = "from the barn"
thickness = "7 mm"
u_value = "0.55 Btu/(h ft^2 degF)"
solar_normal = "78 %"
solar_diffuse = { value = 0.66, low = 0.6, high = 0.7, source = "my light meter", mark = "calculated" }
capacity = { value = 1.6, unit = "kJ/(m2 K)" }

[glazing."my film"]
source = "guess"
material = "polyethylene"
u_value = "6.5 W/(m2 K)"
r_si = "0.12 m2 K/W"
r_se = "0.03 m2 K/W"
sheets = 1
refractive_index = 1.5
solar_normal = 0.88
solar_diffuse = 0.8
longwave = 0.6
longwave_wet = 0.2
emissivity_in = 0.3
emissivity_out = 0.3
capacity = "300 J/(m2 K)"

[materials."my wall"]
source = "maker's sheet"
conductivity = "0.07 W/(m K)"
density = "300 kg/m3"
specific_heat = "1700 J/(kg K)"

[materials."my board"]
source = "maker's sheet"
resistance = "R-5"

[curtains."my curtain"]
source = "maker's sheet"
resistance = "R-1"
infiltration_factor = 0.7
light_open = 0.95
emissivity_in = 0.5
emissivity_out = 0.1
longwave = 0.05

[doors."my door"]
source = "guess"
u_value = "2 W/(m2 K)"

[infiltration."my joints"]
source = "guess"
ach = "0.8 1/h"
ach_base = "0.1 1/h"
ach_wind = { value = 0.1, unit = "s/(m h)" }
ach_stack = { value = 0.1, unit = "1/(h K^0.5)" }

[soils."my soil"]
source = "guess"
conductivity = "1.4 W/(m K)"
volumetric_heat = "2e6 J/(m3 K)"
absorptance = 0.8

[floors."my floor"]
source = "own"
absorptance = 0.7
emissivity = 0.9
layers = [["brick", "2.25 in"], ["my wall", "50 mm"]]

[fuels."my wood"]
like = "cordwood red oak"
source = "guess"
mass_per_unit = "3000 lb"
price = { value = 150, unit = "usd", low = 100, high = 200 }

[fuels."my pellets"]
source = "bag"
unit = "short_ton"
mass_per_unit = "2000 lb"
hhv = "19 MJ/kg"
lhv = "17.6 MJ/kg"
moisture = "6 %"
bulk_density = "650 kg/m3"
bag_mass = "40 lb"
price = "$300/short_ton"
co2_fossil = "20 kg"
co2_biogenic = "1600 kg"

[heaters."my stove"]
source = "maker's table"
fuel = "my wood"
basis = "lhv"
efficiency = 0.75
electric_power = "0 W"
radiant_share = 0.6

[heaters."my pump"]
source = "maker's table"
fuel = "electricity"
basis = "hhv"
electric_power = "0 W"
radiant_share = 0.0
at = [
  { outdoor = "47 degF", cop = 3.3, capacity = 1.0 },
  { outdoor = "5 degF", cop = { value = 2.0, low = 1.8, high = 2.2 }, capacity = 0.7 },
]

[defaults.albedo]
source = "snow"
value = 0.6

[defaults.inside_film_minimum]
source = "still air"
value = { value = 3.0, unit = "W/(m2 K)" }
"""
ROWS_HOUSE = """
catalogue = "rows.toml"
[shape]
kind = "gable"
length = "12 m"
width = "6 m"
eave = "2 m"
ridge = "3.5 m"
bearing = "90 deg"
[cover]
glazing = "GLAZING"
[[part]]
name = "wall"
on = "north wall"
layers = [{ material = "my wall", thickness = "0.2 m" }, { material = "my board" }]
[[part]]
name = "door"
on = "east end"
area = "2 m2"
door = "my door"
[floor]
kind = "my floor"
soil = "my soil"
[air]
class = "my joints"
[[curtain]]
material = "my curtain"
on = "roof"
[[bed]]
name = "bed"
area = "20 m2"
depth = "0.3 m"
soil = "my soil"
[[setpoint]]
day = "12 degC"
vent = "25 degC"
[[heater]]
name = "first"
type = "FIRST"
output = "6 kW"
[[heater]]
name = "second"
type = "pellet stove"
fuel = "my pellets"
"""


def enter_rows(content: bytes, folder: Path) -> None:
    """Own rows, read and then used: by two houses that take all of them."""
    from heatloss import read_house
    from heatloss.catalogue import read_own

    (folder / "rows.toml").write_bytes(content)
    for kind, rows in read_own(folder / "rows.toml").items():
        for name, row in rows.items():
            finite({key: value.value for key, value in row.fields.items()}, f"{kind}.{name}")
    refused = []
    for glazing, first in (("my panel", "my stove"), ("my film", "my pump")):
        file = folder / "house.toml"
        file.write_text(ROWS_HOUSE.replace("GLAZING", glazing).replace("FIRST", first))
        try:
            house_runs(read_house(file))
        except ValueError as error:
            refused.append(error)
    if refused:
        raise refused[0]


MEASURES = """
[[measure]]
name = "better doors"
cost = "250 usd"
life = 12
source = "guess"
[measure.set.part]
name = "door"
door = "insulated steel door"

[[measure]]
name = "colder and tighter"
cost = { fixed = "100 usd", each = "1.5 usd/ft2", of = "floor", low = "1 usd/ft2", high = "2 usd/ft2" }
life = 3
upkeep = "15 usd/year"
[measure.shift.setpoint]
night = "-5 delta_degF"
[measure.scale.air.doors]
count = 0.5

[[measure]]
name = "larger tank"
cost = { fixed = "900 usd", low = "600 usd", high = "1500 usd" }
life = 20
[measure.scale.water]
name = "perch tank"
volume = 1.5
[measure.swap.cover.glazing]
"polycarbonate twin-wall 8 mm" = "polycarbonate triple-wall 16 mm"
[[measure.add.bed]]
name = "another bed"
area = "60 ft2"
depth = "10 in"
"""


def measure_texts() -> tuple[str, ...]:
    from heatloss.decisions.measures import starter_text

    return starter_text(), MEASURES


@functools.cache
def sound_measures() -> tuple[Any, ...]:
    from heatloss.decisions.measures import _from_text

    return tuple(measure for text in measure_texts() for measure in _from_text(text, "sound"))


def enter_measures(content: bytes, folder: Path) -> None:
    """A file of measures, read; those that differ from the sound ones are weighed on the built-in house."""
    from heatloss import sample_house
    from heatloss.decisions.measures import read_measures
    from heatloss.decisions.payback import weigh

    (folder / "measures.toml").write_bytes(content)
    read = read_measures(folder / "measures.toml")
    differ = [measure for measure in read if measure not in sound_measures()][:3] or read[:1]
    weighed = weigh(sample_house(), winter(), differ)
    fits = ~weighed.table["note"].str.startswith("does not fit")
    finite(weighed.table[fits].drop(columns=["irr", "payback_years"]), "table")
    finite(weighed.flows, "flows")
    if weighed.table.loc[fits, "payback_years"].isna().any():
        raise FindingError("payback_years is NaN")
    for note in weighed.table["note"]:
        said(ValueError(note or "-"))


SAMPLE_OF = {"tmy3": "golden", "epw": "chicago", "pvgis_csv": "italy_45n8e", "nsrdb": "nw_colorado"}


def doors() -> dict[str, Door]:
    """Every door by name."""
    found = [
        Door("house", house_texts, enter_house),
        Door("quantity", quantity_texts, enter_quantity),
        Door("rows", lambda: (ROWS,), enter_rows),
        Door("measures", measure_texts, enter_measures),
        *(
            Door(kind, functools.partial(one_text, name), functools.partial(enter_weather, None))
            for kind, name in SAMPLE_OF.items()
        ),
        Door("pvgis_json", json_texts, functools.partial(enter_weather, None)),
        Door("frame", frame_texts, enter_frame),
    ]
    return {door.name: door._replace(sound=functools.cache(door.sound)) for door in found}


# ---- trying --------------------------------------------------------------------------------------------------------


class Outcome(NamedTuple):
    """What became of one mutant: ``refused``, ``accepted`` or the kind of finding, and what was said."""

    number: int
    kind: str
    text: str


def said(refusal: Exception) -> None:
    """A refusal must be plain: signs that print, no word of the machinery."""
    text = str(refusal)
    if not text.strip() or not all(line.isprintable() for line in text.split("\n")):
        raise FindingError(f"a refusal that cannot be printed: {text!r}")
    if word := re.search(r"pydantic|Traceback|<class|object at 0x", text):
        raise FindingError(f"a refusal that says {word[0]!r}: {text!r}")


def tried(door: Door, seed: int, number: int, folder: Path) -> Outcome:
    """Hand one mutant in."""
    from heatloss.errors import InputError

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            door.enter(mutant(door, seed, number), folder)
        except InputError as refusal:
            try:
                said(refusal)
            except FindingError as finding:
                return Outcome(number, "words", str(finding))
            engine = any(words in str(refusal) for words in ENGINE[:-1])
            return Outcome(number, "engine" if engine else "refused", str(refusal))
        except FindingError as finding:
            return Outcome(number, "figure", str(finding))
        except Warning as warning:
            return Outcome(number, "warning", described(warning))
        except BaseException as error:
            return Outcome(number, "exception", described(error))
    return Outcome(number, "accepted", "")


def described(error: BaseException) -> str:
    """Kind, text and the last places in the code."""
    frames = [f for f in traceback.extract_tb(error.__traceback__) if "heatloss" in f.filename][-2:]
    where = ", ".join(f"{Path(f.filename).name}:{f.lineno} {f.name}" for f in frames)
    return f"{type(error).__name__}: {str(error)[:200]} ({where})"


def work(name: str, seed: int, pipe: Connection) -> None:
    """A worker's life: load, say so, then one number after another."""
    door = doors()[name]
    with tempfile.TemporaryDirectory() as folder:
        try:
            for text in door.sound():  # the sound ones are taken, and the compiler's first turn is not a mutant's
                door.enter(text.encode(), Path(folder))
        except Exception as error:
            pipe.send(f"{name} does not take a sound text: {described(error)}")
            return
        pipe.send(None)
        while (number := pipe.recv()) is not None:
            start = time.process_time()
            outcome = tried(door, seed, number, Path(folder))
            took = time.process_time() - start
            pipe.send(outcome if took <= TIME_LIMIT else Outcome(number, "slow", f"more than {TIME_LIMIT:g} s"))


def shift(name: str, seed: int, numbers: Iterator[int], lock: threading.Lock, outcomes: list[Outcome]) -> None:
    """Keep one worker busy; one that takes too long is ended and replaced."""
    context = multiprocessing.get_context("spawn")
    worker: Any = None
    ours: Any = None
    while True:
        with lock:
            number = next(numbers, None)
        if number is None:
            break
        if worker is None:
            ours, theirs = context.Pipe()
            worker = context.Process(target=work, args=(name, seed, theirs), daemon=True)
            worker.start()
            theirs.close()
            trouble = ours.recv() if ours.poll(START_LIMIT) else f"{name} did not start in {START_LIMIT:g} s"
            if trouble:
                outcomes.append(Outcome(-1, "start", trouble))
                break
        ours.send(number)
        try:
            outcome = ours.recv() if ours.poll(CLOCK_LIMIT) else Outcome(number, "hang", "no end")
        except EOFError:
            outcome = Outcome(number, "crash", "the worker died")
        outcomes.append(outcome)
        if outcome.kind in {"hang", "crash"}:
            worker.kill()
            worker.join()
            worker = None
    if worker is not None:
        with contextlib.suppress(OSError):
            ours.send(None)
        worker.join()


def run_door(name: str, *, seed: int, count: int, workers: int = 2) -> list[Outcome]:
    """Outcomes of ``count`` mutants at one door, by number."""
    numbers, lock, outcomes = iter(range(count)), threading.Lock(), list[Outcome]()
    threads = [threading.Thread(target=shift, args=(name, seed, numbers, lock, outcomes)) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(outcomes)


def report(name: str, seed: int, outcomes: list[Outcome], seconds: float) -> int:
    """Print one door's line and its findings; gives the number of findings."""
    counts = Counter(outcome.kind for outcome in outcomes)
    findings = [o for o in outcomes if o.kind not in {"refused", "accepted"}]
    print(
        f"{name:<12}{len(outcomes):>7} mutants {counts['refused']:>7} refused {counts['accepted']:>7} accepted "
        f"{len(findings):>5} findings {seconds:>8.0f} s",
        flush=True,
    )
    alike = itertools.groupby(sorted(findings, key=lambda o: (o.kind, o.text)), key=lambda o: (o.kind, o.text))
    for (kind, text), same in alike:
        numbers = [o.number for o in same]
        print(f"    {kind}: {text}\n        --door {name} --seed {seed} --only {numbers[0]} ({len(numbers)} alike)")
    return len(findings)


def main() -> int:
    """Run the doors asked for; the exit code is 1 where there are findings."""
    every = doors()
    parser = argparse.ArgumentParser(description="Damage what a person hands in and see that it is refused or serves.")
    parser.add_argument("--count", type=int, default=2000, help="mutants at each door")
    parser.add_argument("--door", choices=every, action="append", help="only this door; may be given again")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", type=int, help="one mutant by its number, in this process")
    parser.add_argument("--show", action="store_true", help="with --only: print the mutant itself")
    asked = parser.parse_args()
    names = asked.door or list(every)
    if asked.only is not None:
        door = every[names[0]]
        if asked.show:
            sys.stdout.buffer.write(mutant(door, asked.seed, asked.only))
            return 0
        with tempfile.TemporaryDirectory() as folder:
            outcome = tried(door, asked.seed, asked.only, Path(folder))
        print(f"{outcome.kind}: {outcome.text}")
        return int(outcome.kind not in {"refused", "accepted"})
    findings = 0
    for name in names:
        start = time.perf_counter()
        outcomes = run_door(name, seed=asked.seed, count=asked.count, workers=asked.workers)
        findings += report(name, asked.seed, outcomes, time.perf_counter() - start)
    return int(findings > 0)


if __name__ == "__main__":
    raise SystemExit(main())
