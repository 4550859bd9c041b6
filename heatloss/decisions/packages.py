"""Measures in packages: every set of them its own simulated house, and what follows from comparing the sets."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.batch import simulate_many
from heatloss.decisions.changes import changed
from heatloss.decisions.measures import Measure
from heatloss.decisions.money import Terms, judged
from heatloss.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

MOST = 4096
"""So many packages are run at most: all of twelve measures."""
RULES = ("npv", "fuel_per_dollar")
COLUMNS = (
    "size", "fuel", "unit", "cost", "saving", "price", "payback_years", "discounted_years", "npv", "irr", "light_lost",
    "light_darkest", "heat_kwh", "peak_w", "lowest", "unmet_hours",
)  # fmt: skip
AS_IT_IS = "as it is"
STRUCTURAL = {"part", "surface", "space", "water", "bed", "shape", "heater"}
"""Tables of which a change may make another network."""
Names = tuple[str, ...]
Floats = NDArray[np.float64]


@dataclass(eq=False)
class Bench:
    """A house and measures for it; sets of them are simulated when they are first asked for.

    Attributes
    ----------
    house : House
        With at least one heater.
    weather : Weather
    measures : tuple of Measure
    terms : Terms
    steps_per_hour, iterations, threads : int
        As for ``simulate_many``. Hourly steps by default: :meth:`coarseness` says what that does.
    pairs : bool
        Whether the ground under a package is told what each two of its measures do to the inside together, and not
        only what each does: worth its runs where most packages are asked for.
    progress : callable, optional
        Called with the number of houses done in one go, now and then.
    """

    house: House
    weather: Weather
    measures: tuple[Measure, ...]
    terms: Terms = field(default_factory=Terms)
    steps_per_hour: int = 1
    iterations: int = 1
    threads: int = 2
    pairs: bool = False
    progress: Callable[[int], object] | None = None
    _known: dict[Names, dict[str, Any]] = field(default_factory=dict, repr=False)
    _moved: dict[Names, Floats] = field(default_factory=dict, repr=False)

    def names(self, some: Iterable[str]) -> Names:
        """A set of measures, in the order of the list."""
        wanted = set(some)
        known = tuple(m.name for m in self.measures)
        if lost := sorted(wanted.difference(known)):
            raise UnknownNameError("measure", lost[0], known)
        return tuple(name for name in known if name in wanted)

    def run(self, sets: Iterable[Iterable[str]]) -> pd.DataFrame:
        """One row for each set whose measures fit together, in the order asked for.

        Parameters
        ----------
        sets : iterable of sets of names

        Returns
        -------
        frame
            Index ``package``, the names joined by " + "; columns :data:`COLUMNS`.
        """
        asked = [self.names(some) for some in sets]
        new = [some for some in dict.fromkeys([(), *asked]) if some not in self._known]
        if new and not self._moved:
            self._scout()
        if new:
            self._simulate(sorted(new, key=self._kind))
        rows = {some: self._known[some] for some in asked if self._known[some]}
        frame = pd.DataFrame(list(rows.values()), columns=list(COLUMNS))
        frame.index = pd.Index([" + ".join(some) or AS_IT_IS for some in rows], name="package")
        return frame

    def row(self, some: Iterable[str]) -> dict[str, Any]:
        """One set, as a row of :meth:`run`, with its ``flows``; empty where its measures do not fit together."""
        chosen = self.names(some)
        self.run([chosen])
        return self._known[chosen]

    def _kind(self, chosen: Names) -> tuple[bool, ...]:
        """Sets that make like networks stand one after another, so that they are marched together."""
        first = sorted(self.measures, key=lambda m: not _tables(m) & STRUCTURAL)
        return tuple(m.name in chosen for m in first)

    def _scout(self) -> None:
        """What measures alone, and in pairs, do to the months inside [K]; under no name those of the house as it is.

        Every package is then told the same way, so that two whose houses do not differ give the same to the last bit.
        """
        names = [m.name for m in self.measures]
        few = [(), *((name,) for name in names), *(combinations(names, 2) if self.pairs else ())]
        _, fits, months = self._many(sorted(few, key=self._kind), None)
        inside = dict(zip(fits, months, strict=True))
        base = self._moved[()] = inside.pop(())
        for some in sorted((some for some in inside if np.isfinite(inside[some]).all()), key=len):
            apart = [self._moved[(name,)] for name in some if len(some) > 1 and (name,) in self._moved]
            self._moved[some] = np.asarray(inside[some] - base - sum(apart))

    def _guess(self, some: Names) -> Floats:
        """Monthly means inside, January first, about as they will be [degC]."""
        parts = [(name,) for name in some] + list(combinations(some, 2))
        return np.asarray(self._moved[()] + sum(self._moved[part] for part in parts if part in self._moved))

    def _simulate(self, sets: Sequence[Names]) -> None:
        """Run sets and keep their rows; the house as it is must be among them or known."""
        rows, fits, _ = self._many(sets, self._guess)
        self._known |= {some: {} for some in sets}
        base = self._known[()] or rows[list(fits).index(())]
        for row, (some, (measures, prices)) in zip(rows, fits.items(), strict=True):
            self._known[some] = {} if row["error"] else self._judged(base, row, measures, prices)

    def _many(
        self, sets: Sequence[Names], guess: Callable[[Names], Floats] | None
    ) -> tuple[list[dict[str, Any]], dict[Names, tuple[list[Measure], list[float]]], Floats]:
        """Rows of the sets that fit, those sets with their measures and prices, and their months inside."""
        fits: dict[Names, tuple[list[Measure], list[float]]] = {}

        def houses() -> Iterator[House]:
            for some in sets:
                measures = [m for m in self.measures if m.name in some]
                try:
                    house = changed(self.house, measures) if measures else self.house
                    fits[some] = measures, [m.price(house).value for m in measures]
                except InputError:
                    continue
                yield house

        def inside(number: int) -> Floats | None:
            return None if guess is None else guess(next(reversed(fits)))

        totals = simulate_many(
            houses(), self.weather, steps_per_hour=self.steps_per_hour, iterations=self.iterations,
            threads=self.threads, inside=inside, progress=self.progress if guess else None,
        )  # fmt: skip
        return [dict(row) for _, row in totals.frame.iterrows()], fits, totals.inside[range(1, 13)].to_numpy()

    def _judged(
        self, base: Mapping[str, Any], row: Mapping[str, Any], measures: Sequence[Measure], prices: Sequence[float]
    ) -> dict[str, Any]:
        saving, entered = base["cost"] - row["cost"], base["sun_entered_kwh"]
        return {
            **row, **judged(measures, prices, saving, self.terms), "size": len(measures), "saving": saving,
            "price": sum(prices),
            "light_lost": 1.0 - row["sun_entered_kwh"] / entered if entered > 0.0 else 0.0,
        }  # fmt: skip

    def coarseness(self, some: Iterable[str]) -> float:
        """By how much the saving of a set moves from these steps to quarter hours, as a share of it [1]."""
        chosen = self.names(some)
        fine = replace(self, steps_per_hour=4, iterations=2, progress=None, _known={}, _moved=self._moved)
        saving = self.row(chosen)["saving"]
        return float(fine.row(chosen)["saving"] / saving - 1.0) if saving else 0.0


def _tables(measure: Measure) -> set[str]:
    """Tables of the house file that a measure touches."""
    return {table for way, tables in measure.changes.items() if way != "close" for table in tables}


def packages(bench: Bench, *, size: int | None = None, budget: float | None = None) -> pd.DataFrame:
    """Every package that fits together, up to a size and a budget.

    Parameters
    ----------
    bench : Bench
    size : int, optional
        The most measures in one.
    budget : float, optional
        The most to lay out now [usd].

    Returns
    -------
    frame
        As :meth:`Bench.run`, the one of largest net present value first.

    Raises
    ------
    InputError
        For more than 4,096 packages, none of which is then run; a size below 1 or a budget below 0.

    Notes
    -----
    Prices of a measure may depend on the others (an insulated roof needs no curtain), so the budget is applied after
    the run.
    """
    names = [m.name for m in bench.measures]
    if size is not None and not (isinstance(size, int) and size >= 1):
        raise InputError(f"size must be a whole number >= 1, got {size!r}. It is the most measures in one package.")
    if budget is not None and not budget >= 0.0:
        raise InputError(f"budget must be 0 or more [usd], got {budget:g}.")
    most = min(len(names), size or len(names))
    count = sum(math.comb(len(names), k) for k in range(most + 1))
    if count > MOST:
        fits = max(k for k in range(most) if sum(math.comb(len(names), j) for j in range(k + 1)) <= MOST)
        raise InputError(
            f"packages must be at most {MOST:,d}, got {count:,d} of {len(names)} measures. "
            f"Give a size of at most {fits}, or name at most 12 measures."
        )
    found = bench.run(some for k in range(most + 1) for some in combinations(names, k))
    if budget is not None:
        found = found[found["price"] <= budget]
    return found.sort_values("npv", ascending=False, kind="stable")


def best_next(bench: Bench, *, rule: str = "npv") -> pd.DataFrame:
    """Measures one after another, each time the one that does most beside those already taken.

    Parameters
    ----------
    bench : Bench
    rule : str
        ``"npv"``: the largest gain in net present value; ``"fuel_per_dollar"``: the most fuel money saved in the first
        year for each dollar laid out.

    Returns
    -------
    frame
        Index ``measure`` in that order; ``saving``, ``price`` and ``npv`` that it adds [usd], then ``fuel``, ``cost``
        and ``npv_so_far`` with all up to it; ``pays``, whether its npv is above zero. Measures that do not fit beside
        those taken are left out.

    Raises
    ------
    InputError
        For another rule.
    """
    if rule not in RULES:
        raise UnknownNameError("rule", rule, RULES)
    taken: list[str] = []
    rows = []
    before = bench.row(())
    while left := [m.name for m in bench.measures if m.name not in taken]:
        bench.run([*taken, name] for name in left)
        steps = {name: step for name in left if (step := _step(before, bench.row([*taken, name])))}
        if not steps:
            break
        chosen = max(steps, key=lambda name: _merit(steps[name], rule))
        before = bench.row([*taken, chosen])
        taken.append(chosen)
        rows.append({"measure": chosen, **steps[chosen], "fuel": before["fuel"], "cost": before["cost"],
                     "npv_so_far": before["npv"], "pays": steps[chosen]["npv"] > 0.0})  # fmt: skip
    columns = ["measure", "saving", "price", "npv", "fuel", "cost", "npv_so_far", "pays"]
    return pd.DataFrame(rows, columns=columns).set_index("measure")


def _step(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, float]:
    """What one more measure adds [usd]; nothing where it does not fit."""
    return {key: after[key] - before[key] for key in ("saving", "price", "npv")} if after else {}


def _merit(step: Mapping[str, float], rule: str) -> float:
    if rule == "npv":
        return step["npv"]
    if step["price"] > 0.0:
        return step["saving"] / step["price"]
    return math.inf if step["saving"] > 0.0 else -math.inf


def fair_shares(bench: Bench, some: Iterable[str]) -> pd.DataFrame:
    """What each measure of a package contributes to its saving, whatever the order.

    Parameters
    ----------
    bench : Bench
    some : iterable of str
        Measures that fit together, at most twelve.

    Returns
    -------
    frame
        Index ``measure``; ``alone``, ``share``, ``last``: what it saves by itself, on average over every order, and
        added to all others [usd a year]. The shares sum to the saving of the package.

    Raises
    ------
    InputError
        For more than twelve measures, or some that do not fit together.

    Notes
    -----
    The Shapley value over simulated subsets: the sum over the sets S without i of |S|! (n - |S| - 1)! / n! times what i
    adds to S. [1]_

    References
    ----------
    .. [1] Shapley 1953, A value for n-person games, from memory.
    """
    names = bench.names(some)
    n = len(names)
    if 2**n > MOST:
        raise InputError(f"measures must be at most 12 to be shared out, got {n}. Name the ones you mean to take.")
    sets = [tuple(name for j, name in enumerate(names) if bits >> j & 1) for bits in range(2**n)]
    bench.run(sets)
    rows = [bench.row(chosen) for chosen in sets]
    if not all(rows):
        unfit = " + ".join(next(chosen for chosen, row in zip(sets, rows, strict=True) if not row))
        raise InputError(f"measures must fit together to be shared out, got {unfit}. Keep one of them.")
    value = np.array([row["saving"] for row in rows])
    size = np.array([bits.bit_count() for bits in range(2**n)])
    weight = np.array([math.factorial(k) * math.factorial(n - k - 1) / math.factorial(n) for k in range(n)])
    found = []
    for j in range(n):
        without = np.flatnonzero(~np.arange(2**n) >> j & 1)
        adds = value[without | 1 << j] - value[without]
        found.append((float(adds[0]), float(adds @ weight[size[without]]), float(adds[-1])))
    return pd.DataFrame(found, columns=["alone", "share", "last"], index=pd.Index(names, name="measure"))


def interactions(bench: Bench, some: Iterable[str]) -> pd.DataFrame:
    """How two measures meet: what both save together less what each saves alone.

    Parameters
    ----------
    bench : Bench
    some : iterable of str

    Returns
    -------
    frame
        Measures by measures [usd a year]: negative where they take from each other, positive where one helps the
        other, NaN where they do not fit together.
    """
    names = bench.names(some)
    bench.run([*((name,) for name in names), *combinations(names, 2)])
    frame = pd.DataFrame(np.nan, index=pd.Index(names, name="measure"), columns=list(names))
    for a, b in combinations(names, 2):
        one, other, both = (bench.row(x) for x in ((a,), (b,), (a, b)))
        if one and other and both:
            frame.loc[a, b] = frame.loc[b, a] = both["saving"] - one["saving"] - other["saving"]
    return frame
