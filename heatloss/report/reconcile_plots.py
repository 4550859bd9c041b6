"""Pictures of a log: measured against modelled, the heating line, fuel on hand, a night; on the caller's axes.

They share the look of :func:`heatloss.report.plots.style`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from heatloss.report.log_words import units_many
from heatloss.report.measures import Units, fahrenheit
from heatloss.report.plots import HEATER, HEATER_RANGE, INK, INSIDE, OUTDOOR, SETPOINT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from heatloss.decisions.calibration import Calibration
    from heatloss.decisions.nights import CoolDown
    from heatloss.decisions.remaining import Remaining
    from heatloss.decisions.signature import Signature


def weeks(found: Calibration, ax: Axes) -> Axes:
    """Draw fuel a day, interval by interval: burned, by the house file, and calibrated.

    Parameters
    ----------
    found : Calibration
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same; intervals that a fit was judged by are hatched.
    """
    frame, days = found.intervals, found.log.days
    burned = frame["measured"].to_numpy() / days
    middle = frame["start"] + (frame["end"] - frame["start"]) / 2
    width = pd.to_timedelta(days * 0.86, unit="D")
    bars = ax.bar(middle, burned, width=width, color=SETPOINT, edgecolor=INK, linewidth=0.4, label="burned")
    for bar, held in zip(bars, frame["held_out"], strict=True):
        if held and found.held_out is not None:
            bar.set_hatch("////")
    for name, words, look in (
        ("before", "house file", {"color": OUTDOOR, "linestyle": "--"}),
        ("after", "calibrated", {"color": HEATER, "linestyle": "-"}),
    ):
        _steps(ax, frame, frame[name].to_numpy() / days, words, look)
    ax.set_ylim(bottom=0.0)
    ax.set_ylabel(f"{units_many(found.log.unit)} a day")
    ax.set_title("Burned against modelled")
    ax.legend(loc="best", fontsize="small")
    _dated(ax)
    return ax


def heating_line_plot(found: Signature, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw fuel a day of every interval against outdoor temperature, with the line for its darkest and brightest sun.

    Parameters
    ----------
    found : Signature
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F, ``"si"`` for °C.

    Returns
    -------
    Axes
        The same.
    """
    from heatloss.physics.comparison import heating_line

    rate, outdoors, sun = found.measured / found.log.days, found.days.outdoors, found.days.mean_sun
    ax.scatter(_degrees(outdoors, units), rate, color=INSIDE, s=18, zorder=3, label="burned")
    across = np.linspace(outdoors.min() - 2.0, max(outdoors.max(), found.line.balance_temperature) + 2.0, 200)
    sunny = found.line.sun_relief > 0.0
    shown = [(sun.min(), "-", "darkest interval"), (sun.max(), "--", "brightest")] if sunny else [(0.0, "-", "line")]
    for level, dash, words in shown:
        values = heating_line(found.line.numbers, across, np.full_like(across, level))
        ax.plot(_degrees(across, units), values, color=HEATER, linestyle=dash, label=words)
    ax.set_ylim(bottom=0.0)
    ax.set_ylabel(f"{units_many(found.log.unit)} a day")
    ax.set_xlabel("outdoors, °F" if units == "us" else "outdoors, °C")
    ax.set_title("Fuel against outdoor temperature")
    ax.legend(loc="best", fontsize="small")
    return ax


def fuel_left(found: Remaining, ax: Axes) -> Axes:
    """Draw the fuel on hand day by day: in half of the winters, and in 90 of 100.

    Parameters
    ----------
    found : Remaining
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same, with the last day to order as a line.
    """
    used = found.used
    left = [np.maximum(found.stock - used[name].to_numpy(), 0.0) for name in ("high", "median", "low")]
    ax.fill_between(used.index, left[0], left[2], color=HEATER_RANGE, label="90 of 100 winters")
    ax.plot(used.index, left[1], color=HEATER, label="half of the winters")
    if found.order_by is not None:
        ax.axvline(found.order_by, color=INK, linestyle=":", label="order by")  # type: ignore[arg-type]
    ax.set_ylim(bottom=0.0)
    ax.set_ylabel(f"{units_many(found.unit)} left")
    ax.set_title("Fuel on hand")
    ax.legend(loc="best", fontsize="small")
    _dated(ax)
    return ax


def night(found: CoolDown, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw a night without heat: inside as read and as fitted, and outdoors.

    Parameters
    ----------
    found : CoolDown
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F, ``"si"`` for °C.

    Returns
    -------
    Axes
        The same.
    """
    ax.plot(found.hours, _degrees(found.inside, units), "o", color=INSIDE, markersize=3, label="inside")
    ax.plot(found.hours, _degrees(found.fit.fitted, units), color=HEATER, label="fitted")
    ax.plot(found.hours, _degrees(found.outside, units), color=OUTDOOR, linestyle="--", label="outdoors")
    ax.set_xlabel("hours without heat")
    ax.set_ylabel("°F" if units == "us" else "°C")
    ax.set_title("A night without heat")
    ax.legend(loc="best", fontsize="small")
    return ax


def _steps(ax: Axes, frame: pd.DataFrame, values: Any, words: str, look: dict[str, str]) -> None:
    """A level line over each interval, broken at gaps."""
    ends = np.column_stack([frame["start"], frame["end"], frame["end"]]).ravel()
    levels = np.column_stack(
        [values, values, np.where(frame["start"].shift(-1) == frame["end"], values, np.nan)]
    ).ravel()
    ax.plot(ends, levels, linewidth=1.6, label=words, **look)  # type: ignore[arg-type]


def _degrees(celsius: Any, units: Units) -> Any:
    return fahrenheit(celsius) if units == "us" else celsius


def _dated(ax: Axes) -> None:
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter

    locator = AutoDateLocator(maxticks=7)  # type: ignore[no-untyped-call]
    ax.xaxis.set_major_locator(locator)
    ax.xaxis.set_major_formatter(ConciseDateFormatter(locator))  # type: ignore[no-untyped-call]
