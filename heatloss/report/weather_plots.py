"""A picture of a weather record, drawn on axes that the caller owns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss.report.measures import MONTHS, Units, fahrenheit
from heatloss.report.plots import HEATER, INK, INSIDE, OUTDOOR, SETPOINT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from heatloss.weather import Weather

RETURN = "minimum_20_year"


def weather_year(weather: Weather, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw the year: each day's range, the months' means, the sun, and the temperatures a heater is sized on.

    Parameters
    ----------
    weather : Weather
        The record; of several years the days are averaged by date.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    Axes
        The same axes.
    """
    us = units == "us"
    degree = (lambda c: fahrenheit(c)) if us else (lambda c: c)
    hours = weather.hours
    day = np.minimum(pd.DatetimeIndex(hours.index).day_of_year.to_numpy(), 365)
    daily = hours["temp_air"].groupby(day)
    low, high, mean = (daily.min().to_numpy(), daily.max().to_numpy(), daily.mean())
    days = mean.index.to_numpy()
    ax.fill_between(days, degree(low), degree(high), color=OUTDOOR, alpha=0.35, linewidth=0, label="each day's range")
    months = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365])
    monthly = weather.monthly()
    ax.step(
        months, degree(np.append(monthly["temp_air"], monthly["temp_air"].iloc[-1])), where="post", color=INSIDE,
        linewidth=1.6, label="month's mean",
    )  # fmt: skip
    found = weather.design_temperatures()
    name = RETURN if RETURN in found.index else "file_996"
    words = "once in 20 years" if name == RETURN else "99.6 % of this file's hours are warmer"
    ax.axhline(degree(float(found[name])), color=HEATER, linewidth=1.2, linestyle="--", label=words)
    ax.set_ylabel("outdoors, °F" if us else "outdoors, °C")
    sun = ax.twinx()
    sun.bar(
        (months[:-1] + months[1:]) / 2.0, monthly["ghi_kwh"], width=22.0, color=SETPOINT, alpha=0.6, zorder=0,
        label="sun on the level",
    )  # fmt: skip
    sun.set_ylim(0.0, 3.0 * float(monthly["ghi_kwh"].max()))
    sun.set_yticks(np.arange(0.0, float(monthly["ghi_kwh"].max()) + 1.0, 2.0))
    sun.set_ylabel("sun on the level, kWh/m2 a day")
    sun.grid(visible=False)
    sun.spines["right"].set_visible(True)
    sun.spines["right"].set_color(INK)
    ax.set_zorder(sun.get_zorder() + 1)
    ax.patch.set_visible(False)
    ax.set_xlim(0, 365)
    ax.set_xticks((months[:-1] + months[1:]) / 2.0, [month[:3] for month in MONTHS])
    ax.tick_params(axis="x", length=0)
    handles = [item for part in (ax, sun) for item in part.get_legend_handles_labels()[0]]
    ax.legend(handles=handles, loc="upper left", ncols=2, fontsize="small")
    bottom, top = ax.get_ylim()
    ax.set_ylim(bottom, top + 0.25 * (top - bottom))
    ax.set_title(weather.site.name)
    return ax
