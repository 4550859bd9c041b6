"""What the clock, the calendar and the sun decide: setpoints, heaters in use, curtains closed; one value per hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.house import HeaterUse, House, Setpoint, day_of_year

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Targets:
    """Temperatures to hold, hour by hour; NaN where none was given.

    Attributes
    ----------
    heat, vent, cool : (hours,) [degC]
    humidity : (hours,) [1]
        Relative humidity at which the house is dried by venting.
    """

    heat: Floats
    vent: Floats
    cool: Floats
    humidity: Floats


def targets(house: House, index: pd.DatetimeIndex, daylight: Flags, ghi: Floats | None = None) -> Targets:
    """Setpoints of every hour.

    Parameters
    ----------
    house : House
    index : DatetimeIndex
        Starts of the hours.
    daylight : (hours,)
        Whether the sun is up in the middle of the hour; decides day and night where no clock time is given.
    ghi : (hours,), optional [W/m2]
        Sun on level ground, for a day that waits for it.

    Returns
    -------
    Targets
    """
    heat, vent, cool, humidity = (np.full(len(index), np.nan) for _ in range(4))
    for setpoint in house.setpoint:
        now = in_dates(index, setpoint.from_, setpoint.to)
        heat[now] = _heat_to(setpoint, index, daylight, ghi)[now]
        if setpoint.vent is not None:
            vent[now] = setpoint.vent
        if setpoint.cool is not None:
            cool[now] = setpoint.cool
        if setpoint.humidity is not None:
            humidity[now] = setpoint.humidity
    return Targets(heat, vent, cool, humidity)


def in_dates(index: pd.DatetimeIndex, first: str | None, last: str | None) -> Flags:
    """Hours from one month-day to another, both days whole, over new year if need be; all where none is given.

    29 February counts as the day before it.
    """
    if first is None or last is None:
        return np.ones(len(index), dtype=bool)
    start, end = day_of_year(first), day_of_year(last)
    assert start is not None
    assert end is not None
    leap = index.is_leap_year & (index.day_of_year >= 60)
    day = np.asarray(index.day_of_year - 1 - leap)
    return (day >= start) & (day <= end) if start <= end else (day >= start) | (day <= end)


def clock_hours(clock: str) -> float:
    """Hours after midnight of a time of day such as "07:30"."""
    hour, minute = clock.split(":")
    return int(hour) + int(minute) / 60.0


def middle_between(index: pd.DatetimeIndex, first: str, last: str) -> Flags:
    """Hours whose middle lies between two times of day, over midnight if need be."""
    start, end = clock_hours(first), clock_hours(last)
    middle = np.asarray(index.hour) + 0.5
    return (middle >= start) & (middle < end) if start <= end else (middle >= start) | (middle < end)


def clock_share(index: pd.DatetimeIndex, first: str, last: str) -> Floats:
    """Share of each hour between two times of day, over midnight if need be."""
    hour, start, end = np.asarray(index.hour, dtype=float), clock_hours(first), clock_hours(last)

    def until(time: float) -> Floats:
        return np.clip(time - hour, 0.0, 1.0)

    within: Floats = until(end) - until(start)
    return within if start <= end else within + 1.0


def in_use(heater: HeaterUse, index: pd.DatetimeIndex) -> Flags:
    """Hours in which a heater may run."""
    return in_dates(index, heater.from_, heater.to)


def _heat_to(setpoint: Setpoint, index: pd.DatetimeIndex, daylight: Flags, ghi: Floats | None) -> Floats:
    """Day and night values; the climb from night to day takes ``ramp`` hours from the day's beginning."""
    if setpoint.day_from is None or setpoint.day_to is None:
        day = daylight.astype(float)
    else:
        day = middle_between(index, setpoint.day_from, setpoint.day_to).astype(float)
    if setpoint.sun_above is not None and ghi is not None:
        day = np.where(ghi > setpoint.sun_above, day, 0.0)
    if setpoint.ramp > 0.0:
        run = np.zeros(len(day))
        for i in range(len(day)):
            run[i] = run[i - 1] + 1.0 if day[i] else 0.0
        # mean over each hour of min(1, time since the day began / ramp)
        begun = np.maximum(run - 1.0, 0.0)
        rising = np.clip(setpoint.ramp - begun, 0.0, 1.0)
        day = np.where(day > 0.0, (rising * (begun + 0.5 * rising) / setpoint.ramp) + (1.0 - rising), 0.0)
    return setpoint.night + (setpoint.day - setpoint.night) * day
