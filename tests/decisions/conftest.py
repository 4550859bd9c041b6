"""A small house that runs fast, and the weather of Chicago, whose header holds the long-term minima."""

from __future__ import annotations

from typing import Any

import pytest

from heatloss import House, Weather, read_weather


def tree(**other: Any) -> dict[str, Any]:
    return {
        "shape": {"kind": "gable", "length": "30 ft", "width": "15 ft", "eave": "6 ft", "ridge": "9 ft",
                  "bearing": "90 deg"},
        "cover": {"glazing": "glass single 3 mm"},
        "part": [{"name": "door", "on": "east end", "width": "3 ft", "height": "7 ft", "door": "wood door"}],
        "air": {"ach": 1.0},
        "setpoint": [{"from": "10-01", "to": "05-15", "day": "12 degC", "night": "10 degC", "vent": "26 degC"},
                     {"from": "05-16", "to": "09-30", "day": "20 degC", "vent": "26 degC"}],
        "heater": [{"name": "stove", "fuel": "propane", "efficiency": 0.8, "basis": "hhv", "price": "3 usd/gallon",
                    "from": "10-01", "to": "05-15"}],
        **other,
    }  # fmt: skip


def make_house(**other: Any) -> House:
    return House(**tree(**other))


@pytest.fixture(scope="session")
def chicago() -> Weather:
    return read_weather("chicago")


@pytest.fixture(scope="session")
def golden() -> Weather:
    return read_weather("golden")


@pytest.fixture(scope="session")
def house() -> House:
    return make_house()


@pytest.fixture(scope="session")
def house_maker() -> Any:
    return make_house
