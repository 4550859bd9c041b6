"""Pictures of heaters: loads and shortfall, where the fuel goes, what others cost, what an outage does; drawn on the
caller's axes.

They share the look of :func:`heatloss.report.plots.style`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from heatloss.decisions.methods import ASIDE
from heatloss.report.measures import MONTHS, Units, fahrenheit, figure, money
from heatloss.report.plots import HEATER, INK, INSIDE, OUTDOOR, SETPOINT, power_scale

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

    from heatloss.decisions.outage import Outages
    from heatloss.decisions.sizing import HeaterSize
    from heatloss.season import Season


def load_bars(size: HeaterSize, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw the loads side by side: those that count filled, those to compare hatched, the size as a line.

    Parameters
    ----------
    size : HeaterSize
        What ``size_heater`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for thousand Btu/h, ``"si"`` for kW.

    Returns
    -------
    Axes
        The same.
    """
    scale, unit = power_scale(units)
    names = list(size.loads.index)[::-1]
    place = np.arange(len(names))
    for y, name in zip(place, names, strict=True):
        aside = name.endswith(ASIDE)
        load = float(size.loads[name]) * scale
        look = {"color": "white", "hatch": "////"} if aside else {"color": INSIDE}
        ax.barh(y, load, edgecolor=INK, linewidth=0.5, **look)  # type: ignore[arg-type]
        ax.annotate(figure(load), (load, y), xytext=(4, 0), textcoords="offset points", va="center")
    ax.axvline(size.recommended_w * scale, color=HEATER, linewidth=1.5)
    ax.set_xlim(0.0, 1.15 * max(float(size.loads.max()), size.recommended_w) * scale)
    ax.set_yticks(place, [name.replace(ASIDE, "\n(not a size)") for name in names])
    ax.grid(visible=False, axis="y")
    ax.set_xlabel(f"{unit}; the line is the size" + ("" if size.complete else ", incomplete"))
    ax.set_title("Loads side by side")
    return ax


def hours_short(size: HeaterSize, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw how many hours of the weather year each output leaves below the setpoint.

    Parameters
    ----------
    size : HeaterSize
        What ``size_heater`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for thousand Btu/h, ``"si"`` for kW.

    Returns
    -------
    Axes
        The same.
    """
    scale, unit = power_scale(units)
    curve = size.curve
    ax.plot(curve["output_w"] * scale, curve["unmet_hours"], color=INSIDE, marker="o", markersize=3.5)
    _mark_the_size(size, ax, scale)
    ax.set_ylim(bottom=0.0)
    ax.set_ylabel("hours of this year")
    ax.set_xlabel(f"output, {unit}")
    ax.set_title("Below the setpoint")
    return ax


def lowest_inside(size: HeaterSize, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw how cold the house gets in the weather year with each output.

    Parameters
    ----------
    size : HeaterSize
        What ``size_heater`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F and thousand Btu/h, ``"si"`` for °C and kW.

    Returns
    -------
    Axes
        The same, with a line at the freezing point.
    """
    scale, unit = power_scale(units)
    degrees = [fahrenheit(t) if units == "us" else t for t in size.curve["lowest"]]
    freezing = 32.0 if units == "us" else 0.0
    ax.axhline(freezing, color=SETPOINT, linewidth=3.0)
    ax.annotate("water freezes", (0.0, freezing), xycoords=("axes fraction", "data"), xytext=(4, 4),
                textcoords="offset points")  # fmt: skip
    ax.plot(size.curve["output_w"] * scale, degrees, color=OUTDOOR, marker="o", markersize=3.5)
    _mark_the_size(size, ax, scale)
    ax.set_ylabel("°F" if units == "us" else "°C")
    ax.set_xlabel(f"output, {unit}")
    ax.set_title("Lowest inside")
    return ax


def _mark_the_size(size: HeaterSize, ax: Axes, scale: float) -> None:
    ax.axvline(size.recommended_w * scale, color=HEATER, linewidth=1.5)
    ax.annotate("size", (size.recommended_w * scale, 0.7), xycoords=("data", "axes fraction"), xytext=(-4, 0),
                textcoords="offset points", ha="right", color=HEATER)  # fmt: skip


def outage_course(found: Outages, ax: Axes, *, units: Units = "us", hours: float = 24.0) -> Axes:
    """Draw the worst outage of the built spell: air and tanks after the fire and after the power is out.

    Parameters
    ----------
    found : Outages
        What ``heatloss.decisions.outage.study`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F, ``"si"`` for °C.
    hours : float
        How far to draw [h].

    Returns
    -------
    Axes
        The same, with a line at the freezing point.
    """
    us = units == "us"
    ax.axhline(32.0 if us else 0.0, color=SETPOINT, linewidth=3.0)
    for cause, dash in (("fire out", "-"), ("power cut", (0, (4, 2)))):
        course = found.course[cause].loc[:hours]
        for what, colour in zip(course.columns, (INSIDE, OUTDOOR, HEATER), strict=False):
            degrees = [fahrenheit(t) if us else t for t in course[what]]
            ax.plot(course.index, degrees, color=colour, linestyle=dash, linewidth=1.5, label=f"{what}, {cause}")
    ax.set_xlim(0.0, hours)
    ax.set_ylabel("°F" if us else "°C")
    ax.set_xlabel("hours since it went out; the grey line is freezing")
    ax.legend(frameon=False, fontsize="small")
    ax.set_title("The worst hour to fail in the built spell")
    return ax


def where_fuel_goes(season: Season, ax: Axes) -> Axes:
    """Draw month by month what of the first heater's fuel reaches the house, and where the rest goes.

    Parameters
    ----------
    season : Season
        With at least one heater.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same; a bar's height is the energy in the month's fuel, less what a heat pump takes from outdoors.
    """
    fuel = season.fuel
    months = list(fuel.monthly.index)
    of = fuel.hourly.groupby(fuel.hourly.index.month).sum() / 1e6  # type: ignore[attr-defined]
    bottom, place = np.zeros(len(months)), np.arange(len(months))
    parts = (("heat", "heat in the house", INSIDE, ""), ("flue", "up the flue", OUTDOOR, ""),
             ("starting", "starts", HEATER, ""), ("standby", "waiting", SETPOINT, ""),
             ("over_fire", "fire too large", "white", "////"))  # fmt: skip
    for name, label, colour, hatch in parts:
        height = of.loc[months, name].to_numpy()
        if height.any():
            ax.bar(place, height, bottom=bottom, color=colour, hatch=hatch, edgecolor=INK, linewidth=0.5, label=label)
            bottom = bottom + height
    ax.set_xticks(place, [MONTHS[m - 1][:3] for m in months])
    ax.set_ylabel("MWh in the fuel")
    ax.legend(frameon=False, fontsize="small")
    ax.set_title(f"Where the fuel goes: {fuel.name}")
    ax.grid(visible=False, axis="x")
    return ax


def cost_of_sources(sources: pd.DataFrame, ax: Axes) -> Axes:
    """Draw what a winter costs on each heater, the cheapest below; example prices are hatched.

    Parameters
    ----------
    sources : frame
        From ``heatloss.compare_sources``.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same.
    """
    rows = sources.sort_values("cost")
    for y, (cost, example) in enumerate(zip(rows["cost"], rows["example_price"], strict=True)):
        look = {"color": "white", "hatch": "////"} if example else {"color": INSIDE}
        ax.barh(y, cost, edgecolor=INK, linewidth=0.5, **look)  # type: ignore[arg-type]
        ax.annotate(money(round(cost)), (cost, y), xytext=(4, 0), textcoords="offset points", va="center")
    ax.set_yticks(range(len(rows)), [str(name) for name in rows.index])
    ax.set_xlim(0.0, 1.15 * float(rows["cost"].max()))
    ax.grid(visible=False, axis="y")
    ax.set_xlabel("$ a winter for fuel and current; hatched: at example prices")
    ax.set_title("The same house on other heaters")
    return ax
