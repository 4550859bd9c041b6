"""A season for other programs: JSON of a stated form, and the hours as CSV.

The JSON document holds, in SI and full precision (a name without a unit is a plain number or a word):

========================  ==========================================================================================
``format``                ``"heatloss season"``, and ``version`` of the package that wrote it
``title`` ``sample``      the house's title; whether it is a built-in house and not the reader's
``weather``               name, latitude, longitude, altitude_m, utc_offset_h, source, kind, notes
``floor_area_m2``         of the house
``heat_kwh`` ``peak_w``   heat of the season and its largest hourly mean, which is not a heater size
``hand_kwh``              rated UA x degree-hours, without sun and mass
``unmet``                 hours and degree_hours (K h) below the setpoint with a heater in use, lowest_c inside
``out_of_dates``          the same for the hours outside all heaters' dates; lowest_c null where there are none
``fuels``                 one entry per heater: what is burned, its range and purchase, and its months
``spread``                how sure the first heater's fuel is: draws, quantiles, drivers, sigma; null without
``design_loads``          steady loads: temperature_c (null where it is not known here) and load_w by name
``heater_size_complete``  false where no 20-year minimum is known: no heater may then be sized from this file
``monthly``               one entry per month in heating order
``ledger_kwh``            heat by path over the year, gains positive, losses negative; sums to zero
``conductances_w_per_k``  by path
``closure``               worst residual of the ledger, relative
``sources``               every catalogue row used: kind, name, field, value, unit, source, mark, low, high
``assumptions``           sentences
``cautions``              sentences
========================  ==========================================================================================

``SEASON_SCHEMA`` says the same as a JSON schema.
"""

from __future__ import annotations

import json
import math
import os
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import numpy as np

from heatloss.files import write_whole
from heatloss.fuel import Fuel, purchase
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.design import extreme
from heatloss.report.spread_text import SPREAD_SCHEMA, spread_data

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.report.spread_text import Sureness
    from heatloss.season import Season

_NUMBER = {"type": "number"}
_MAYBE = {"type": ["number", "null"]}
_TEXT = {"type": "string"}
_TEXTS = {"type": "array", "items": _TEXT}


def _form(properties: dict[str, Any], *, more: Any = False) -> dict[str, Any]:
    """Return the schema of an object that has all of these properties."""
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": more}


_BELOW = _form({"hours": _NUMBER, "degree_hours": _NUMBER, "lowest_c": _MAYBE})
_MONTH = {"type": "integer", "minimum": 1, "maximum": 12}
_FUEL = _form(
    {
        "name": _TEXT, "heater": _TEXT, "amount": _NUMBER,
        "unit": {"enum": ["short_ton", "cord", "gallon", "bushel", "therm", "kWh"]},
        "mass_kg": _NUMBER, "energy_kwh": _NUMBER, "heat_kwh": _NUMBER, "efficiency": _NUMBER,
        "basis": {"enum": ["hhv", "lhv"]},
        "price_usd_per_unit": _NUMBER, "price_is_example": {"type": "boolean"}, "cost_usd": _NUMBER,
        "bags": _MAYBE, "bag_kg": _MAYBE, "bags_per_week": _MAYBE, "peak_month": _MONTH, "storage_m3": _MAYBE,
        "co2_fossil_kg": _NUMBER, "co2_biogenic_kg": _NUMBER, "electric_kwh": _NUMBER, "ash_kg": _NUMBER,
        "range": _form({"sigma": _NUMBER, "p10": _NUMBER, "p90": _NUMBER}),
        "purchase": _form({"amount": _NUMBER, "bags": {"type": ["integer", "null"]}}),
        "monthly": {
            "type": "array",
            "items": _form({
                "month": _MONTH, "days": _NUMBER, "heat_kwh": _NUMBER, "energy_kwh": _NUMBER, "amount": _NUMBER,
                "mass_kg": _NUMBER, "cost_usd": _NUMBER,
            }),
        },
    }
)  # fmt: skip
SEASON_SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "heatloss season",
    **_form(
        {
            "format": {"const": "heatloss season"}, "version": _TEXT, "title": _TEXT, "sample": {"type": "boolean"},
            "weather": _form({
                "name": _TEXT, "latitude": _NUMBER, "longitude": _NUMBER, "altitude_m": _NUMBER,
                "utc_offset_h": _NUMBER, "source": _TEXT, "kind": _TEXT, "notes": _TEXTS,
            }),
            "floor_area_m2": _NUMBER, "heat_kwh": _NUMBER, "peak_w": _NUMBER, "hand_kwh": _NUMBER,
            "unmet": _BELOW, "out_of_dates": _BELOW,
            "fuels": {"type": "array", "items": _FUEL},
            "spread": {"oneOf": [{"type": "null"}, SPREAD_SCHEMA]},
            "design_loads": {
                "type": "object",
                "additionalProperties": _form({"temperature_c": _MAYBE, "load_w": _NUMBER}),
            },
            "heater_size_complete": {"type": "boolean"},
            "monthly": {
                "type": "array",
                "items": {
                    "type": "object",
                    "properties": {"month": _MONTH, "heat_kwh": _NUMBER, "peak_w": _NUMBER, "unmet_hours": _NUMBER},
                    "required": ["month", "heat_kwh", "peak_w", "unmet_hours"],
                    "additionalProperties": _NUMBER,
                },
            },
            "ledger_kwh": {"type": "object", "additionalProperties": _NUMBER},
            "conductances_w_per_k": {"type": "object", "additionalProperties": _NUMBER},
            "closure": _NUMBER,
            "sources": {
                "type": "array",
                "items": _form({
                    "kind": _TEXT, "name": _TEXT, "field": _TEXT, "value": {"type": ["number", "string"]},
                    "unit": _TEXT, "source": _TEXT, "mark": _TEXT, "low": _MAYBE, "high": _MAYBE,
                }),
            },
            "assumptions": _TEXTS,
            "cautions": _TEXTS,
        }
    ),
}  # fmt: skip


def season_data(season: Season, *, sample: bool = False, sure: Sureness | None = None) -> dict[str, Any]:
    """A season as plain numbers, words, lists and mappings.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    sample : bool
        Whether the house is a built-in one.
    sure : Sureness, optional
        The range of the first heater's fuel, computed for this house; without it a stated judgement is given.

    Returns
    -------
    dict
        Of the form of ``SEASON_SCHEMA``.
    """
    import heatloss

    return {
        "format": "heatloss season",
        "version": heatloss.__version__,
        "title": season.house.title,
        "sample": sample,
        "weather": _weather(season),
        "floor_area_m2": float(season.geometry.floor_area),
        "heat_kwh": float(season.heat_kwh),
        "peak_w": float(season.peak_w),
        "hand_kwh": float(season.hand_kwh),
        "unmet": _below(season.unmet),
        "out_of_dates": _below(season.out_of_dates),
        "fuels": [_fuel(fuel, sure if i == 0 else None) for i, fuel in enumerate(season.fuels)],
        "spread": None if sure is None else spread_data(sure),
        "design_loads": _design_loads(season),
        "heater_size_complete": extreme(season) is not None,
        "monthly": _records(season.monthly),
        "ledger_kwh": {str(path): float(kwh) for path, kwh in season.ledger.items()},
        "conductances_w_per_k": {str(path): float(ua) for path, ua in season.conductances.items()},
        "closure": float(season.closure),
        "sources": [_source(row) for row in season.sources.to_dict("records")],
        "assumptions": list(season.assumptions),
        "cautions": [*CAUTIONS, SIZING_CAUTION],
    }


def season_json(season: Season, *, sample: bool = False, sure: Sureness | None = None) -> str:
    """A season as a JSON document of the form of ``SEASON_SCHEMA``: :func:`season_data` as text."""
    return json.dumps(season_data(season, sample=sample, sure=sure), indent=2, ensure_ascii=False, allow_nan=False)


def season_csv(season: Season, path: str | os.PathLike[str]) -> None:
    """Write the hours of a season as CSV.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    path : path
        The file to write; one that is there is replaced, whole or not at all.

    Raises
    ------
    InputError
        Where the file cannot be written.

    Notes
    -----
    One row per hour, stamped with its start in the file's own time. Temperatures [degC]: outdoor, inside, setpoint,
    floor, tanks; unmet [K]; all else is heat [W], gains of the house positive and losses negative.
    """
    hourly = season.hourly
    units = {name: _csv_unit(str(name)) for name in hourly.columns}
    named = hourly.rename(columns={name: f"{name} [{unit}]" for name, unit in units.items()})
    write_whole(path, named.to_csv(index_label="time", float_format="%.6g", lineterminator="\n"))


def _csv_unit(column: str) -> str:
    if column == "unmet":
        return "K"
    return "degC" if column in ("outdoor", "inside", "setpoint", "floor") or column.startswith("tank ") else "W"


def _weather(season: Season) -> dict[str, Any]:
    site = season.weather.site
    return {
        "name": site.name,
        "latitude": float(site.latitude),
        "longitude": float(site.longitude),
        "altitude_m": float(site.altitude),
        "utc_offset_h": float(site.utc_offset),
        "source": site.source,
        "kind": site.kind,
        "notes": list(season.weather.notes),
    }


def _below(unmet: pd.Series[float]) -> dict[str, float | None]:
    lowest = float(unmet["lowest"])
    return {
        "hours": float(unmet["hours"]),
        "degree_hours": float(unmet["degree_hours"]),
        "lowest_c": None if math.isnan(lowest) else lowest,
    }


def _fuel(fuel: Fuel, sure: Sureness | None) -> dict[str, Any]:
    bought = purchase(fuel) if sure is None else sure.purchase
    left_out = ("monthly", "hourly", "row", "appliance")
    plain = {f.name: getattr(fuel, f.name) for f in fields(fuel) if f.name not in left_out}
    plain["price_usd_per_unit"], plain["cost_usd"] = plain.pop("price"), plain.pop("cost")
    return plain | {
        "range": {"sigma": bought.sigma, "p10": bought.low, "p90": bought.high},
        "purchase": {"amount": bought.amount, "bags": bought.bags},
        "monthly": _records(fuel.monthly),
    }


def _design_loads(season: Season) -> dict[str, dict[str, float | None]]:
    outdoor = season.design_temperatures
    return {
        str(name): {"temperature_c": outdoor.get(str(name)), "load_w": float(load)}
        for name, load in season.design.items()
    }


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows of a frame by month, ``cost`` renamed so that it says its unit."""
    return [
        {"month": int(row.pop("month"))} | {str(k).replace("cost", "cost_usd"): float(v) for k, v in row.items()}
        for row in frame.rename_axis("month").reset_index().to_dict("records")
    ]


def _source(row: dict[Any, Any]) -> dict[str, Any]:
    """Return a catalogue row with nothing in it that JSON has no word for."""
    out: dict[str, Any] = {}
    for key, value in row.items():
        missing = value is None or (isinstance(value, float | np.floating) and math.isnan(value))
        plain = value.item() if isinstance(value, np.generic) else value
        out[str(key)] = plain if not missing else None if key in ("low", "high") else ""
    return out
