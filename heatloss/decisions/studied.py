"""Measures looked at further than each alone: in order, in packages, shared out, with their chances, in an outage."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from heatloss.decisions.chances import chances
from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.outage import FIRE, outage
from heatloss.decisions.packages import MOST, Bench, best_next, fair_shares, interactions, packages

if TYPE_CHECKING:
    from heatloss.decisions.payback import Weighed

AIR_LIMIT = "air at freezing"
Progress = Callable[[str, int, int], object]


@dataclass(frozen=True, eq=False)
class Studied:
    """Measures weighed, and what follows.

    Attributes
    ----------
    weighed : Weighed
    rule : str
        By which :attr:`order` was chosen.
    order : frame
        As ``best_next`` gives it, of the measures taken together.
    coarseness : float [1]
        By how much the saving of all together moves from the hourly steps of the packages to quarter hours.
    packages : frame or None
        As ``packages`` gives it; None where they were not asked for.
    budget : float or None [usd]
    shares, meetings : frame or None
        As ``fair_shares`` and ``interactions`` give them, where every package was run.
    chances : frame or None
        As ``chances`` gives it; None where it was not asked for.
    within : int [year]
        In which the money shall be back, for :attr:`chances`.
    outages : Series or None [h]
        Hours until the air freezes once the fire is out, as it is and for each row that fits.
    """

    weighed: Weighed
    rule: str
    order: pd.DataFrame
    coarseness: float
    packages: pd.DataFrame | None
    budget: float | None
    shares: pd.DataFrame | None
    meetings: pd.DataFrame | None
    chances: pd.DataFrame | None
    within: int
    outages: pd.Series[float] | None


def studied(
    weighed: Weighed,
    *,
    rule: str = "npv",
    exhaustive: bool = False,
    size: int | None = None,
    budget: float | None = None,
    draws: int = 0,
    within: int | None = None,
    outages: bool = False,
    progress: Progress | None = None,
) -> Studied:
    """Look further at the measures that are taken together.

    Parameters
    ----------
    weighed : Weighed
    rule : str
        ``"npv"`` or ``"fuel_per_dollar"``.
    exhaustive : bool
        Whether every package is run, and the saving of all together shared out.
    size : int, optional
        The most measures in a package.
    budget : float, optional
        The most to lay out now [usd].
    draws : int
        For chances and ranges; 0 for none.
    within : int, optional
        Years in which the money shall be back; those of the weighing if left out [year].
    outages : bool
        Whether the fire goes out in every changed house.
    progress : callable, optional
        Called with what is being done, how much of it is done, and how much there is.

    Returns
    -------
    Studied

    Raises
    ------
    InputError
        For an unknown rule, too many packages, or years and draws that cannot be.
    """

    def say(what: str, whole: int) -> Callable[[int], object] | None:
        return None if progress is None else lambda done: progress(what, done, whole)

    base, names = weighed.base, [m.name for m in weighed.taken]
    bench = Bench(base.house, base.weather, weighed.taken, weighed.terms)
    found = shares = meetings = None
    bench.pairs = exhaustive or size is not None or budget is not None
    if bench.pairs:
        most = min(len(names), size or len(names))
        whole = sum(math.comb(len(names), k) for k in range(most + 1))
        bench.progress = say("packages", whole)
        found = packages(bench, size=size, budget=budget)
        if 2 ** len(names) <= MOST and most == len(names):
            shares, meetings = fair_shares(bench, names), interactions(bench, names)
    bench.progress = say("best next", len(names))
    order = best_next(bench, rule=rule)
    bench.progress = None
    likely = None
    if draws:
        likely = chances(
            weighed, within=within, n=draws,
            progress=None if progress is None else lambda done, of: progress("draws", done, of),
        )  # fmt: skip
    return Studied(
        weighed, rule, order, bench.coarseness(names) if names else 0.0, found, budget, shares, meetings, likely,
        weighed.years if within is None else within, _outages(weighed, progress) if outages else None,
    )  # fmt: skip


def _outages(weighed: Weighed, progress: Progress | None) -> pd.Series[float]:
    """Hours until the air freezes once the fire is out in the worst hour."""
    wanted = [TOGETHER, *(m.name for m in weighed.taken)]
    seasons = {"as it is": weighed.base} | {n: s for n, s in weighed.seasons.items() if n in wanted}
    hours = {}
    for i, (name, season) in enumerate(seasons.items()):
        if progress is not None:
            progress("outages", i, len(seasons))
        table = outage(season.house, season.weather)
        rows = table[(table["cause"] == FIRE) & (table["limit"] == AIR_LIMIT)]
        hours[name] = float(rows["hours"].min()) if len(rows) else math.nan
    return pd.Series(hours, name="hours")
