"""Pictures of what pays: savings and money of measures; drawn on the caller's axes.

They share the look of :func:`heatloss.report.plots.style`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from heatloss.decisions.measures import TOGETHER
from heatloss.report.measures import money
from heatloss.report.plots import HEATER, INK, INSIDE, OUTDOOR, apart, narrow

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

    from heatloss.decisions.payback import Weighed
    from heatloss.decisions.studied import Studied

MOST = 8
"""More lines than this cannot be told apart."""


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
        The same; the sum, of the measures that are taken together, is hatched, since nobody can have it.
    """
    alone = weighed.table["saving"].drop(index=TOGETHER).dropna().sort_values()
    added = float(alone[[m.name for m in weighed.taken]].sum())
    between = "\n" if narrow(ax) else " "
    bars = [
        (TOGETHER, float(weighed.table["saving"][TOGETHER]), HEATER, ""),
        (f"added up{between}(nobody gets this)", added, "white", "////"),
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
    ax.set_xlabel("$ saved in the first year" + ("\n" if narrow(ax) else "; ") + "dashed: the whole fuel bill")
    ax.set_title("Saved by each alone, and together")
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
        The same, with a line for each row that fits, of many for those that end highest and all together; where a line
        ends stands its net present value.
    """
    worth = weighed.flows.mul((1.0 + weighed.discount) ** -weighed.flows.index.to_numpy(float), axis=0).cumsum()
    best = worth.iloc[-1].drop(TOGETHER, errors="ignore").nlargest(MOST).index
    worth = worth[[name for name in worth.columns if name in best or name == TOGETHER]]
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
    ax.set_title(
        "Worth so far" + (f", the best {MOST} and all together" if len(weighed.flows.columns) > MOST + 1 else "")
    )
    return ax


def _name_ends(ax: Axes, ends: Sequence[float], names: Sequence[str]) -> None:
    """Names behind the lines' ends, moved apart where they would touch."""
    low, high = ax.get_ylim()
    for name, place in zip(names, apart(ends, 0.06 * (high - low)), strict=True):
        ax.annotate(name, (1.0, place), xycoords=("axes fraction", "data"), xytext=(5, 0),
                    textcoords="offset points", va="center", annotation_clip=False)  # fmt: skip


def fuel_by_package(found: Studied, ax: Axes) -> Axes:
    """Draw the yearly fuel bill of packages over what they cost.

    Parameters
    ----------
    found : Studied
        What ``heatloss.decisions.studied.studied`` gave.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same: a dot for every package that was run, and a line with the measures taken one after another.
    """
    if found.packages is not None:
        ax.plot(found.packages["price"], found.packages["cost"], ".", color=OUTDOOR, markersize=3.0, alpha=0.5,
                label="a package")  # fmt: skip
    bill = sum(fuel.cost for fuel in found.weighed.base.fuels)
    price = [0.0, *found.order["price"].cumsum()]
    cost = [bill, *found.order["cost"]]
    ax.plot(price, cost, "o-", color=HEATER, markersize=4.0, linewidth=1.6, label="one after another")
    _name_ends(ax, cost[1:], [f"{i + 1} {name}" for i, name in enumerate(found.order.index)])
    for i, (x, y) in enumerate(zip(price[1:], cost[1:], strict=True)):
        ax.annotate(str(i + 1), (x, y), xytext=(0, 5), textcoords="offset points", ha="center", fontsize="small")
    ax.set_ylim(bottom=0.0)
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    ax.set_xlabel("$ to lay out now")
    ax.set_ylabel("$ of fuel in the first year")
    ax.set_title("Fuel against package")
    ax.legend(loc="lower left")
    return ax


def swings(found: pd.DataFrame, ax: Axes) -> Axes:
    """Draw what moves the fuel most, one thing at a time.

    Parameters
    ----------
    found : frame
        As ``heatloss.decisions.sensitivity.one_at_a_time`` gives it.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same, with a bar from the low to the high value of each, the longest on top.
    """
    for y, (_, row) in enumerate(found.iloc[::-1].iterrows()):
        change = {end: 100.0 * (row[f"fuel_{end}"] / row["fuel"] - 1.0) for end in ("low", "high")}
        one_way = change["low"] * change["high"] > 0.0
        for end in sorted(change, key=lambda e: -abs(change[e])):
            ax.barh(y, change[end], color=OUTDOOR if end == "low" else HEATER, edgecolor=INK, linewidth=0.5)
        for end in [max(change, key=lambda e: abs(change[e]))] if one_way else change:
            if abs(change[end]) > 0.05:
                right = change[end] > 0.0
                ax.annotate(f"{row['low']:g} or {row['high']:g}" if one_way else f"{row[end]:g}", (change[end], y),
                            xytext=(3 if right else -3, 0), textcoords="offset points", va="center",
                            ha="left" if right else "right", fontsize="small")  # fmt: skip
    ax.axvline(0.0, color=INK, linewidth=1.0)
    ax.margins(x=0.12)
    ax.set_yticks(range(len(found)), [f"{r['words']}, {r['unit']}" for _, r in found.iloc[::-1].iterrows()])
    ax.grid(visible=False, axis="y")
    ax.set_xlabel("% more or less fuel than the house as it is; at the bars the values tried")
    ax.set_title("What moves the fuel most")
    return ax


def fuel_map(found: pd.DataFrame, ax: Axes) -> Axes:
    """Draw the fuel over two things moved at once.

    Parameters
    ----------
    found : frame
        As ``heatloss.decisions.sensitivity.map_of_two`` gives it.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same, with lines of equal fuel, and a dot at every house that was run.
    """
    from heatloss.decisions.sensitivity import LEVERS

    first, second = LEVERS[str(found.index.name)], LEVERS[str(found.columns.name)]
    x, y = found.columns.to_numpy(float), found.index.to_numpy(float)
    lines = ax.contour(x, y, found.to_numpy(), levels=8, colors=[INSIDE])
    ax.clabel(lines, fmt="%.3g")
    ax.plot([a for _ in y for a in x], [b for b in y for _ in x], ".", color=INK, markersize=2.5)
    ax.set_xlabel(f"{second.words}, {second.unit}")
    ax.set_ylabel(f"{first.words}, {first.unit}")
    ax.set_title("Fuel a year, in the unit it is bought in")
    return ax
