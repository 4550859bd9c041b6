"""Heat loss, winter fuel and payback of a cold-climate greenhouse.

The public names are loaded on first use, so that ``import heatloss`` costs no more than a few files.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from heatloss.balance import Network, conductances
    from heatloss.batch import Totals, simulate_many
    from heatloss.decisions.calibration import calibrate
    from heatloss.decisions.logs import read_log
    from heatloss.decisions.outage import outage
    from heatloss.decisions.payback import payback
    from heatloss.decisions.shapes import compare_shapes
    from heatloss.decisions.sizing import size_heater
    from heatloss.decisions.sources import compare_sources
    from heatloss.decisions.spread import Spread, spread
    from heatloss.decisions.sweep import sweep
    from heatloss.decisions.winters import winters
    from heatloss.errors import InputError, UnknownNameError, WeatherError
    from heatloss.geometry import surfaces
    from heatloss.house import House, read_house, sample_house
    from heatloss.season import Season, simulate
    from heatloss.variants import vary
    from heatloss.weather import Weather, read_weather
    from heatloss.weather.normals import Normals
    from heatloss.weather.synthetic import synthetic_year
    from heatloss.weather.years import read_years

__version__ = "0.1.0"

_HOME = {
    "House": "heatloss.house",
    "read_house": "heatloss.house",
    "sample_house": "heatloss.house",
    "Weather": "heatloss.weather",
    "read_weather": "heatloss.weather",
    "read_years": "heatloss.weather.years",
    "Normals": "heatloss.weather.normals",
    "synthetic_year": "heatloss.weather.synthetic",
    "winters": "heatloss.decisions.winters",
    "surfaces": "heatloss.geometry",
    "conductances": "heatloss.balance",
    "Network": "heatloss.balance",
    "Season": "heatloss.season",
    "simulate": "heatloss.season",
    "simulate_many": "heatloss.batch",
    "vary": "heatloss.variants",
    "Totals": "heatloss.batch",
    "size_heater": "heatloss.decisions.sizing",
    "compare_sources": "heatloss.decisions.sources",
    "outage": "heatloss.decisions.outage",
    "payback": "heatloss.decisions.payback",
    "compare_shapes": "heatloss.decisions.shapes",
    "calibrate": "heatloss.decisions.calibration",
    "read_log": "heatloss.decisions.logs",
    "spread": "heatloss.decisions.spread",
    "Spread": "heatloss.decisions.spread",
    "sweep": "heatloss.decisions.sweep",
    "InputError": "heatloss.errors",
    "UnknownNameError": "heatloss.errors",
    "WeatherError": "heatloss.errors",
}

__all__ = [
    "House",
    "InputError",
    "Network",
    "Normals",
    "Season",
    "Spread",
    "Totals",
    "UnknownNameError",
    "Weather",
    "WeatherError",
    "calibrate",
    "compare_shapes",
    "compare_sources",
    "conductances",
    "outage",
    "payback",
    "read_house",
    "read_log",
    "read_weather",
    "read_years",
    "sample_house",
    "simulate",
    "simulate_many",
    "size_heater",
    "spread",
    "surfaces",
    "sweep",
    "synthetic_year",
    "vary",
    "winters",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(_HOME[name]), name)
    if name in {"balance", "units", "catalogue", "physics", "geometry", "weather", "fuel", "decisions", "report"}:
        return importlib.import_module(f"heatloss.{name}")
    raise AttributeError(f"module 'heatloss' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
