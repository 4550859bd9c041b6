"""What a heater asks of the person who feeds it: fillings, loads, deliveries."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from heatloss.fuel.amount import heating_value
from heatloss.physics.heater import hours_per_load

if TYPE_CHECKING:
    from heatloss.fuel.amount import Fuel

NIGHT = 8.0
"""From the last load in the evening to the first in the morning [h]."""


@dataclass(frozen=True)
class Loads:
    """A heater that is filled by hand, load by load.

    Attributes
    ----------
    day, week : float [1/d]
        Loads on the coldest day, and a day in the coldest week.
    hours : float [h]
        What one load carries on the coldest day.
    gap : float [h]
        What is missing to a night of 8 hours then; 0 where a load lasts it.
    """

    day: float
    week: float
    hours: float
    gap: float


def hours_between_fillings(fuel: Fuel) -> pd.Series:
    """How long a full hopper lasts in each month.

    Parameters
    ----------
    fuel : Fuel
        Of a heater with a hopper.

    Returns
    -------
    Series
        By month in heating order [h]: its mass over the month's mean burn; infinite where nothing burns, empty for a
        heater without a hopper.
    """
    hopper = fuel.appliance.hopper if fuel.appliance is not None else None
    if hopper is None or not fuel.mass_kg > 0.0:
        return pd.Series(dtype=float)
    rate = fuel.monthly["mass_kg"] / (24.0 * fuel.monthly["days"])
    return (hopper / rate.where(rate > 0.0)).fillna(math.inf).rename("hours")


def hours_on_night(fuel: Fuel, load: float) -> float | None:
    """How long hopper or load lasts at a steady load.

    Parameters
    ----------
    fuel : Fuel
    load : float [W]
        Such as that of the design night, at full fire.

    Returns
    -------
    float or None
        [h]; None for a heater of which neither is known.
    """
    unit = fuel.appliance
    mass = None if unit is None else unit.hopper if unit.hopper is not None else unit.load
    if unit is None or mass is None or unit.efficiency is None:
        return None
    value = heating_value(fuel.row, fuel.basis)
    return float(hours_per_load(mass, heating_value=value, efficiency=unit.efficiency, heat=load))


def loads(fuel: Fuel) -> Loads | None:
    """Loads a day of a heater that is filled by hand; None for another.

    Parameters
    ----------
    fuel : Fuel

    Returns
    -------
    Loads or None
    """
    unit = fuel.appliance
    if unit is None or unit.load is None or not fuel.mass_kg > 0.0:
        return None
    by_unit = fuel.mass_kg / fuel.amount / unit.load
    day, week = fuel.most(1)[0] * by_unit, fuel.most(min(7, _days(fuel)))[0] * by_unit / min(7, _days(fuel))
    hours = 24.0 / day if day > 0.0 else math.inf
    return Loads(day, week, hours, max(0.0, NIGHT - hours))


def deliveries(fuel: Fuel) -> float | None:
    """The season's fuel in usual lots of delivery; None for what comes through a pipe or a wire.

    Parameters
    ----------
    fuel : Fuel

    Returns
    -------
    float or None
        [1]
    """
    lot = fuel.row.get("delivery")
    return None if lot is None else fuel.amount / lot


def _days(fuel: Fuel) -> int:
    return len(fuel.hourly) // 24
