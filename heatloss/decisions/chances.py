"""How sure a measure is to pay: the house with it and without it, drawn many times with what is known only roughly."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
import pandas as pd

from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.spread import WAYS, spread
from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.decisions.payback import Weighed
    from heatloss.season import Season

LEVELS = (0.10, 0.50, 0.90)


def chances(
    weighed: Weighed,
    *,
    within: int | None = None,
    n: int = 64,
    seed: int = 1,
    steps_per_hour: int = 1,
    iterations: int = 1,
    progress: Callable[[int, int], object] | None = None,
) -> pd.DataFrame:
    """Range of each measure's saving and payback, and its chance to pay in time.

    Parameters
    ----------
    weighed : Weighed
    within : int, optional
        Years in which the money shall be back; those of the weighing if left out [year].
    n : int
        Draws.
    seed : int
        The same seed gives the same result.
    steps_per_hour, iterations : int
        As for ``spread``.
    progress : callable, optional
        Called with the number of rows done and how many there are.

    Returns
    -------
    frame
        Index ``measure``, the rows of the weighing that fit; ``saving_p10``, ``saving_p50``, ``saving_p90`` of the
        first year [usd]; ``payback_p10``, ``payback_p50``, ``payback_p90`` (infinite where it never pays) [year];
        ``chance`` that it pays within the years and before it wears out, and ``saves``, that it saves at all [1].

    Raises
    ------
    InputError
        For years below 1, or too few draws.

    Notes
    -----
    House and changed house share every draw (winter, leakage, glazing, films, thermostat, light, price, efficiency,
    moisture), so that what is uncertain in both falls out of the difference. The cost is drawn by a triangle from its
    low to its high with the typed cost at the tip. Payback is cost / (saving - upkeep), fuel at the drawn price.
    ``all together`` wears out with its shortest-lived measure. Left out: whether the measure does what its catalogue
    row says, beyond the width of the glazing's U-value.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> from heatloss.decisions.payback import weigh
    >>> foam = {"name": "foam", "set": {"floor": {"depth": "3 ft"}}, "cost": "9000 usd", "life": 30}
    >>> float(chances(weigh(sample_house(), read_weather("chicago"), [foam]), n=16).loc["foam", "chance"])
    0.0
    """
    years = weighed.years if within is None else within
    if not (isinstance(years, int) and years >= 1):
        raise InputError(f"within must be a whole number >= 1 [year], got {within!r}.")

    def drawn(season: Season) -> pd.DataFrame:
        return spread(
            season.house, season.weather, n=n, seed=seed, season=season,
            steps_per_hour=steps_per_hour, iterations=iterations,
        ).draws  # fmt: skip

    base = drawn(weighed.base)
    rows = {}
    known: dict[int, pd.DataFrame] = {id(weighed.base): base}
    for i, (name, season) in enumerate(weighed.seasons.items()):
        if progress is not None:
            progress(i, len(weighed.seasons))
        if id(season) not in known:
            known[id(season)] = drawn(season)
        rows[name] = _row(weighed, name, base, known[id(season)], years, seed)
    return pd.DataFrame(rows.values(), index=pd.Index(list(rows), name="measure"))


def _row(
    weighed: Weighed, name: str, base: pd.DataFrame, draws: pd.DataFrame, years: int, seed: int
) -> dict[str, float]:
    """One measure over all draws."""
    shared = [word for word in WAYS if not np.array_equal(base[word], draws[word])]
    if shared:  # the draws would no longer be paired
        raise InputError(f"draws must be the same with and without a measure, got others of {shared[0]} ({name}).")
    row = weighed.table.loc[[name]].iloc[0]
    measures = weighed.taken if name == TOGETHER else tuple(m for m in weighed.measures if m.name == name)
    upkeep, life = sum(m.upkeep for m in measures), min((m.life for m in measures), default=years)
    saving = (base["cost"] - draws["cost"]).to_numpy(float)
    saving = saving[np.isfinite(saving)]
    net = saving - upkeep
    price = _prices(row, len(saving), seed + crc32(name.encode()))
    with np.errstate(divide="ignore", invalid="ignore"):
        back = np.where(price == 0.0, np.where(net >= 0.0, 0.0, np.inf), np.where(net > 0.0, price / net, np.inf))
    found = {f"saving_p{100 * q:.0f}": float(np.quantile(saving, q)) for q in LEVELS}
    found |= {f"payback_p{100 * q:.0f}": float(np.quantile(back, q, method="nearest")) for q in LEVELS}
    return found | {"chance": float((back <= min(years, life)).mean()), "saves": float((saving > 0.0).mean())}


def _prices(row: pd.Series[float], n: int, seed: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    low, value, high = (float(row[key]) for key in ("price_low", "price", "price_high"))
    if not low < high:
        return np.full(n, value)
    return np.random.default_rng(seed).triangular(low, value, high, n)
