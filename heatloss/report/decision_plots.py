"""Pictures of decisions: loads and shortfall of a heater, savings and money of measures; drawn on the caller's axes.

They share the look of :func:`heatloss.report.plots.style`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from heatloss.decisions.measures import TOGETHER
from heatloss.report.measures import BTU_PER_KWH, Units, fahrenheit, figure, money
from heatloss.report.plots import HEATER, INK, INSIDE, OUTDOOR, SETPOINT, apart

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from heatloss.decisions.payback import Weighed
    from heatloss.decisions.sizing import HeaterSize

ASIDE = ", not a size"


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
    scale, unit = _power(units)
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
    scale, unit = _power(units)
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
    scale, unit = _power(units)
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


def savings(weighed: Weighed, ax: Axes) -> Axes:
    """Draw the first year's saving of each measure alone, their sum, and what all together really save.

    Parameters
    ----------
    weighed : Weighed
        What ``heatloss.decisions.payback.weigh`` gave.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same; the sum is hatched, since nobody can have it.
    """
    alone = weighed.table["saving"].drop(index=TOGETHER).dropna().sort_values()
    bars = [
        (TOGETHER, float(weighed.table["saving"][TOGETHER]), HEATER, ""),
        ("added up (nobody gets this)", float(alone.sum()), "white", "////"),
        *((str(name), float(saving), INSIDE, "") for name, saving in alone.items()),
    ]
    for y, (_, saving, colour, hatch) in enumerate(bars):
        ax.barh(y, saving, color=colour, hatch=hatch, edgecolor=INK, linewidth=0.5)
        ax.annotate(money(round(saving)), (max(saving, 0.0), y), xytext=(4, 0), textcoords="offset points", va="center")
    bill = sum(fuel.cost for fuel in weighed.base.fuels)
    ax.axvline(bill, color=INK, linewidth=1.0, linestyle=(0, (4, 3)))
    ax.set_xlim(right=1.18 * max(bill, *(saving for _, saving, _, _ in bars)))
    ax.set_yticks(range(len(bars)), [name for name, *_ in bars])
    ax.grid(visible=False, axis="y")
    ax.set_xlabel("$ saved in the first year; the dashed line is the whole fuel bill")
    ax.set_title("Each measure alone, and all together")
    return ax


def money_by_year(weighed: Weighed, ax: Axes) -> Axes:
    """Draw what each measure has been worth so far, year by year, in money of today.

    Parameters
    ----------
    weighed : Weighed
        What ``heatloss.decisions.payback.weigh`` gave.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same, with a line for each row that fits; where a line ends stands its net present value.
    """
    worth = weighed.flows.mul((1.0 + weighed.discount) ** -weighed.flows.index.to_numpy(float), axis=0).cumsum()
    ax.axhline(0.0, color=INK, linewidth=1.0)
    dashes = ["-", (0, (5, 2)), (0, (1, 1.2)), (0, (5, 2, 1, 2))]
    for i, name in enumerate(worth.columns):
        whole = name == TOGETHER
        ax.plot(
            worth.index, worth[name], label=str(name), linestyle="-" if whole else dashes[i % 4],
            color=HEATER if whole else (INSIDE, OUTDOOR)[i // 4 % 2], linewidth=2.4 if whole else 1.3,
        )  # fmt: skip
    _name_ends(ax, worth.iloc[-1].to_list(), [str(name) for name in worth.columns])
    ax.set_xlim(0, weighed.years)
    ax.yaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    ax.set_ylabel("$ of today, costs taken off")
    ax.set_xlabel("years")
    ax.set_title("Worth so far")
    return ax


def _power(units: Units) -> tuple[float, str]:
    return (BTU_PER_KWH / 1e6, "thousand Btu/h") if units == "us" else (1e-3, "kW")


def _mark_the_size(size: HeaterSize, ax: Axes, scale: float) -> None:
    ax.axvline(size.recommended_w * scale, color=HEATER, linewidth=1.5)
    ax.annotate("size", (size.recommended_w * scale, 0.7), xycoords=("data", "axes fraction"), xytext=(-4, 0),
                textcoords="offset points", ha="right", color=HEATER)  # fmt: skip


def _name_ends(ax: Axes, ends: Sequence[float], names: Sequence[str]) -> None:
    """Names behind the lines' ends, moved apart where they would touch."""
    low, high = ax.get_ylim()
    for name, place in zip(names, apart(ends, 0.06 * (high - low)), strict=True):
        ax.annotate(name, (1.0, place), xycoords=("axes fraction", "data"), xytext=(5, 0),
                    textcoords="offset points", va="center", annotation_clip=False)  # fmt: skip
