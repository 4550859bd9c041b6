"""Houses, weather and seasons that the tests of the season share; each file is read once, each season run once."""

from __future__ import annotations

import dataclasses
import functools
import math
from typing import Any

import numpy as np
import pandas as pd

from heatloss import House, Weather, read_weather, sample_house, simulate
from heatloss.balance.assemble import Assembly, assemble
from heatloss.balance.drivers import Drivers, prepare
from heatloss.geometry import Geometry, build
from heatloss.season import Season

SAMPLES = ("larkfield", "dome", "hoop", "lean_to")
WEATHERS = ("chicago", "golden", "sand_point", "northway", "nw_colorado", "italy_45n8e")
PLAIN = {
    "films": "fixed",
    "sky": "outdoor",
    "ground": "outdoor",
    "latent": "none",
    "sun": "none",
    "air_exchange": "fixed_density",
}
"""The words by which a house is one conductance towards the outdoor air."""
TWIN = "polycarbonate twin-wall 8 mm"


@functools.cache
def weather(name: str = "chicago") -> Weather:
    return read_weather(name)


@functools.cache
def season(house: str = "larkfield", place: str = "chicago") -> Season:
    return simulate(sample_house(house), weather(place))


def made(house: House, place: str | Weather = "chicago") -> tuple[Geometry, Drivers, Assembly]:
    """A house as far as its network, without a run."""
    geometry = build(house)
    drivers = prepare(house, geometry, weather(place) if isinstance(place, str) else place)
    return geometry, drivers, assemble(house, geometry, drivers)


def quick(house: House, place: str | Weather = "chicago", **steps: int) -> Season:
    """A season in steps of an hour, for what holds with any step."""
    used = weather(place) if isinstance(place, str) else place
    return simulate(house, used, **{"steps_per_hour": 1, "iterations": 2, **steps})


def merged(tree: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """Tables are merged key by key, everything else is replaced."""
    found = dict(tree)
    for name, value in changes.items():
        old = found.get(name)
        found[name] = {**old, **value} if isinstance(old, dict) and isinstance(value, dict) else value
    return found


def gable(**changes: Any) -> House:
    """The 100 m2 house of the magnitude check: 6 x 16.67 m, walls 2 m, roof 25 deg, ridge east and west."""
    tree = {
        "place": {"shelter": "partial"},
        "shape": {
            "kind": "gable",
            "length": "16.67 m",
            "width": "6 m",
            "eave": "2 m",
            "ridge": (2.0 + 3.0 * math.tan(math.radians(25.0)), "m"),
            "bearing": "90 deg",
        },
        "cover": {"glazing": TWIN, "bridging": 1.10, "frame": 0.10, "soiling": 1.0},
        "floor": {"kind": "bare soil", "soil": "clay", "wall_thickness": "0.1 m"},
        "air": {"ach": 1.0},
        "setpoint": [{"day": "10 degC", "vent": "27 degC"}],
        "heater": [{"name": "stove", "fuel": "pellets", "efficiency": 0.8, "basis": "hhv"}],
    }
    return House(**merged(tree, changes))


def box(**changes: Any) -> House:
    """A small upright box, quick to change."""
    tree = {
        "shape": {"kind": "box", "length": "8 m", "width": "5 m", "eave": "2.5 m", "bearing": "90 deg"},
        "cover": {"glazing": TWIN},
        "air": {"ach": 0.8},
        "setpoint": [{"day": "10 degC"}],
        "heater": [{"name": "stove", "type": "pellet stove"}],
    }
    return House(**merged(tree, changes))


WALL = [{"material": "plywood", "thickness": "12 mm"}, {"r": "RSI-2"}, {"material": "plywood", "thickness": "16 mm"}]


def surface(name: str, area: float, tilt: float, azimuth: float, **given: Any) -> dict[str, Any]:
    """One free surface from floats [m2, deg]."""
    what = given or {"glazing": TWIN}
    return {"name": name, "area": (area, "m2"), "tilt": (tilt, "deg"), "azimuth": (azimuth, "deg"), **what}


FREE_SURFACES = (
    surface("south slope", 44.0, 40.0, 180.0),
    surface("north slope", 30.0, 50.0, 0.0, u="0.5 W/(m2 K)"),
    surface("north wall", 20.0, 90.0, 0.0, layers=WALL),
    surface("south wall", 10.0, 90.0, 180.0),
    surface("east end", 15.0, 90.0, 90.0),
    surface("west end", 15.0, 90.0, 270.0, layers=WALL),
)


def free(surfaces: Any = FREE_SURFACES, **changes: Any) -> House:
    tree = {
        "shape": {"kind": "free", "floor_area": "50 m2", "perimeter": "30 m", "volume": "120 m3"},
        "surface": list(surfaces),
        "air": {"ach": 0.7},
        "bed": [{"name": "soil bed", "area": "12 m2", "depth": "25 cm"}],
        "setpoint": [{"day": "10 degC", "vent": "26 degC"}],
        "heater": [{"name": "stove", "type": "pellet stove", "output": "9 kW"}],
    }
    return House(**merged(tree, changes))


def dome(**changes: Any) -> House:
    tree = {
        "shape": {"kind": "dome", "radius": "5 m", "frequency": 3, "portion": "1/2"},
        "cover": {"glazing": TWIN},
        "air": {"ach": 0.6},
        "setpoint": [{"day": "10 degC"}],
        "heater": [{"name": "stove", "type": "pellet stove"}],
    }
    return House(**merged(tree, changes))


@functools.cache
def clamped(top: float, place: str = "chicago") -> Weather:
    """A sample's year with no air warmer than `top` [degC]."""
    hours = weather(place).hours
    return framed(hours.assign(temp_air=np.minimum(hours["temp_air"], top)).drop(columns="temp_dew"), place)


def framed(frame: pd.DataFrame, place: str = "chicago", **site: Any) -> Weather:
    """A weather from a frame, at the place of a sample."""
    known = weather(place).site
    where = {name: getattr(known, name) for name in ("latitude", "longitude", "altitude", "utc_offset")}
    return Weather.from_frame(frame, **{**where, "mid_offset": weather(place).mid_offset, **site})


def with_hours(used: Weather, **columns: Any) -> Weather:
    """A weather with columns of its hours replaced, past the checks of the door."""
    return dataclasses.replace(used, hours=used.hours.assign(**columns))
