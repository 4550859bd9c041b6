"""What each kind of row holds: fields with their unit and the values that can be true, and words."""

from __future__ import annotations

from typing import NamedTuple

MARKS = ("read", "read-2", "from memory", "calculated", "common practice")
"""Seen in the source; seen as another page's quotation; from memory of the source; arithmetic; a fact of the trade."""

TRADE_UNITS = ("short_ton", "cord", "gallon", "therm", "kWh", "bushel")


class Field(NamedTuple):
    """One number of a row: its unit inside the library, the least and the greatest that can be true."""

    unit: str
    lowest: float
    highest: float
    required: bool = True


class Word(NamedTuple):
    """One word of a row; ``choices`` empty means any text."""

    choices: tuple[str, ...] = ()
    required: bool = False


def _optional(unit: str, lowest: float, highest: float) -> Field:
    return Field(unit, lowest, highest, required=False)


_SHARE = Field("1", 0.0, 1.0)

FIELDS: dict[str, dict[str, Field]] = {
    "glazing": {
        "u_value": Field("W/(m2 K)", 0.2, 10.0),
        "r_si": Field("m2 K/W", 0.05, 0.3),
        "r_se": Field("m2 K/W", 0.01, 0.15),
        "sheets": Field("1", 1, 7),
        "refractive_index": Field("1", 1.2, 2.0),
        "solar_normal": _SHARE,
        "solar_diffuse": _SHARE,
        "longwave": _SHARE,
        "longwave_wet": _SHARE,
        "emissivity_in": Field("1", 0.02, 0.98),
        "emissivity_out": Field("1", 0.02, 0.98),
        "capacity": Field("J/(m2 K)", 0.0, 100e3),
    },
    "materials": {
        "conductivity": _optional("W/(m K)", 0.005, 500.0),
        "resistance": _optional("m2 K/W", 0.0, 20.0),
        "thickness": _optional("m", 0.0, 2.0),
        "density": _optional("kg/m3", 1.0, 12000.0),
        "specific_heat": _optional("J/(kg K)", 100.0, 5000.0),
    },
    "curtains": {
        "resistance": Field("m2 K/W", 0.0, 2.0),
        "cloth": _optional("m2 K/W", 0.0, 2.0),
        "infiltration_factor": Field("1", 0.3, 1.0),
        "light_open": _SHARE,
        "light_closed": _optional("1", 0.0, 1.0),
        "emissivity_in": Field("1", 0.02, 0.98),
        "emissivity_out": Field("1", 0.02, 0.98),
        "longwave": _SHARE,
    },
    "doors": {"u_value": Field("W/(m2 K)", 0.2, 10.0)},
    "infiltration": {
        "ach": Field("1/h", 0.01, 20.0),
        "ach_base": Field("1/h", 0.0, 20.0),
        "ach_wind": Field("s/(m h)", 0.0, 5.0),
        "ach_stack": Field("1/(h K^0.5)", 0.0, 2.0),
    },
    "soils": {
        "conductivity": Field("W/(m K)", 0.1, 6.0),
        "volumetric_heat": Field("J/(m3 K)", 0.5e6, 4.5e6),
        "absorptance": _SHARE,
    },
    "floors": {"absorptance": _SHARE, "emissivity": Field("1", 0.02, 0.98), "wetness": _optional("1", 0.0, 1.0)},
    "fuels": {
        "mass_per_unit": Field("kg", 0.01, 5000.0),
        "hhv": Field("J/kg", 1e6, 150e6),
        "lhv": Field("J/kg", 1e6, 150e6),
        "moisture": _optional("1", 0.0, 0.7),
        "bulk_density": _optional("kg/m3", 10.0, 2000.0),
        "bag_mass": _optional("kg", 1.0, 2000.0),
        "price": _optional("usd", 0.0, 1e5),
        "solid_share": _optional("1", 0.3, 0.9),
        "ash": _optional("1", 0.0, 0.3),
        "tank_fill": _optional("1", 0.5, 1.0),
        "delivery": _optional("1", 0.1, 1e4),
        "co2_fossil": Field("kg", 0.0, 20e3),
        "co2_biogenic": Field("kg", 0.0, 20e3),
    },
    "heaters": {
        "efficiency": _optional("1", 0.05, 1.1),
        "electric_power": Field("W", 0.0, 10e3),
        "radiant_share": _SHARE,
        "minimum": _optional("1", 0.0, 1.0),
        "standby": _optional("1", 0.0, 0.5),
        "start": _optional("s", 0.0, 3600.0),
        "most_starts": _optional("1/h", 0.0, 20.0),
        "ignition_power": _optional("W", 0.0, 10e3),
        "ignition_time": _optional("s", 0.0, 3600.0),
        "hopper": _optional("kg", 1.0, 50e3),
        "load": _optional("kg", 0.5, 2000.0),
        "fouling": _optional("1", 0.0, 0.5),
        "altitude_loss": _optional("1", 0.0, 0.2),
    },
    "crops": {
        "day": Field("degC", -10.0, 45.0),
        "night": Field("degC", -10.0, 45.0),
        "light": Field("mol/(m2 d)", 0.0, 80.0),
        "kill": Field("degC", -30.0, 25.0),
        "chill": Field("degC", -30.0, 25.0),
    },
    "fish": {
        "prefer_low": Field("degC", -2.0, 40.0),
        "prefer_high": Field("degC", -2.0, 40.0),
        "stop_feeding": Field("degC", -2.0, 35.0),
        "kill_low": Field("degC", -2.0, 30.0),
        "kill_high": Field("degC", 10.0, 50.0),
        "oxygen_use": Field("mg/(kg h)", 1.0, 2000.0),
        "stocking": Field("kg/m3", 0.1, 300.0),
        "change_limit": Field("K/h", 0.1, 10.0),
    },
    "defaults": {"value": Field("", -1e12, 1e12)},  # each row has its own unit
}

WORDS: dict[str, dict[str, Word]] = {
    "glazing": {"material": Word(required=True), "walls": Word(), "thickness": Word()},
    "fuels": {"unit": Word(TRADE_UNITS, required=True)},
    "heaters": {
        "fuel": Word(required=True),
        "basis": Word(("hhv", "lhv"), required=True),
        "fire": Word(("automatic", "kept", "batch")),
    },
    "crops": {"group": Word()},
}

KINDS = tuple(FIELDS)

TABLE: dict[str, Field] = {"cop": Field("1", 0.8, 8.0), "capacity": Field("1", 0.05, 2.0)}
"""Columns of a heat pump's table; each row of it stands at one outdoor temperature."""
