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
    from matplotlib.axes import Axes

    from heatloss.decisions.payback import Weighed

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
        The same; the sum is hatched, since nobody can have it.
    """
    alone = weighed.table["saving"].drop(index=TOGETHER).dropna().sort_values()
    between = "\n" if narrow(ax) else " "
    bars = [
        (TOGETHER, float(weighed.table["saving"][TOGETHER]), HEATER, ""),
        (f"added up{between}(nobody gets this)", float(alone.sum()), "white", "////"),
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
