"""How sure the fuel is: the house many times over, with all that is known only roughly drawn at random."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.catalogue.wood import WETTEST, net_heat
from heatloss.errors import InputError, UnknownNameError
from heatloss.fuel import Purchase
from heatloss.fuel.amount import rounded_purchase
from heatloss.season import Season, simulate
from heatloss.variants import INPUTS, Family, levels_of, neutral

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
Width = float | tuple[float, float]
QUANTILES = (0.10, 0.50, 0.90, 0.95)
COLUMNS = ("fuel", "cost", "peak_w", "unmet_hours")
PIECE = 64
"""Draws that an executor gets at a time: enough to be worth assembling the house once more."""
NORMAL_95 = 1.959963984540054
PLAIN = 0.8
"""Efficiency of a fire that the width in points is meant for [1]; a heat pump's COP moves by the same share."""
BEST_FIRE = 1.1
CHIPS = "wood chips"


class Way(NamedTuple):
    """How one input is drawn, and what it is called."""

    kind: str  # "share" (1 + width z), "factor" ((1 + width)^z), "shift" (width z), "range" (low to high), "plus_minus"
    words: str


WAYS: dict[str, Way] = {
    "u": Way("share", INPUTS["u"].words),
    "leakage": Way("factor", INPUTS["leakage"].words),
    "inside_film": Way("range", INPUTS["inside_film"].words),
    "latent": Way("range", INPUTS["latent"].words),
    "light": Way("share", INPUTS["light"].words),
    "setpoint": Way("plus_minus", INPUTS["setpoint"].words),
    "outdoor": Way("shift", INPUTS["outdoor"].words),
    "efficiency": Way("shift", "efficiency of the heater"),
    "price": Way("share", "price of the fuel"),
    "moisture": Way("shift", "moisture of the wood"),
}
"""Every input of a spread; the widths stand in the catalogue's defaults as ``spread_<word>``."""
WINTER = "outdoor"


@dataclass(frozen=True, eq=False)
class Spread:
    """The fuel of one house as a range.

    Attributes
    ----------
    season : Season
        The house as it is, on the first winter.
    draws : frame
        One row per draw: the inputs, ``winter`` (number of the weather year), then ``heat_kwh``, ``fuel`` (first
        heater, its trade unit), ``cost`` (all fuels) [usd], ``peak_w``, ``unmet_hours``, ``error``.
    unit : str
        Trade unit of the fuel.
    quantiles : frame
        Index 0.10, 0.50, 0.90, 0.95; columns fuel, cost, peak_w, unmet_hours.
    drivers : Series [1]
        Rank correlation (Spearman) of each input with the fuel, the strongest first; ``winter`` is the year's number.
    parts : Series [1]
        Standard deviation of the fuel as a share of its median: ``winter`` alone, ``rest``, ``all``.
    failed : int
        Draws that could not be run; they are left out.
    """

    season: Season
    draws: pd.DataFrame
    unit: str
    quantiles: pd.DataFrame
    drivers: pd.Series[float]
    parts: pd.Series[float]
    failed: int

    def enough(self, level: float = 0.95) -> float:
        """Fuel that lasts in so large a share of winters, in the trade unit."""
        if not 0.0 < level < 1.0:
            raise InputError(f"level must be between 0 and 1 [1], got {level:g}. 95 in 100 is 0.95.")
        return float(np.quantile(self._fuel, level))

    def sampling_error(self, level: float = 0.95) -> tuple[float, float]:
        """Where the quantile of endlessly many draws lies with 95 % confidence, in the trade unit.

        Between the draws of rank n p -+ 1.96 sqrt(n p (1 - p)): the binomial interval of independent draws, wider than
        that of the even sample that is taken.
        """
        ordered, n = np.sort(self._fuel), len(self._fuel)
        half = NORMAL_95 * math.sqrt(n * level * (1.0 - level))
        low, high = math.floor(n * level - half), math.ceil(n * level + half)
        return float(ordered[max(low, 1) - 1]), float(ordered[min(high, n) - 1])

    def chance_of_running_out(self, amount: float) -> float:
        """Share of winters that burn more than an amount in the trade unit [1]."""
        if not amount >= 0.0:
            raise InputError(f"amount must be >= 0 [{self.unit}], got {amount:g}.")
        return float((self._fuel > amount).mean())

    def purchase(self, level: float = 0.95) -> Purchase:
        """What to buy so that it lasts in so large a share of winters: P10, P90, and whole bags or the unit's step."""
        low, high = (float(self.quantiles["fuel"].loc[q]) for q in (0.10, 0.90))
        return rounded_purchase(self.season.fuel, low, high, self.enough(level), float(self.parts["all"]))

    @property
    def _fuel(self) -> Floats:
        return self.draws["fuel"].to_numpy(float)


def spread(
    house: House,
    weather: Weather | Sequence[Weather],
    *,
    n: int = 512,
    seed: int = 1,
    map: Callable[..., Iterable[Any]] | None = None,
    widths: Mapping[str, Width] | None = None,
    steps_per_hour: int = 4,
    iterations: int = 2,
    threads: int = 2,
    season: Season | None = None,
    progress: Callable[[int], object] | None = None,
) -> Spread:
    """Range of a house's fuel over winters and over what is known only roughly.

    Parameters
    ----------
    house : House
        With at least one heater.
    weather : Weather or sequence of Weather
        One record, whose winters are then drawn warmer and colder by a shift, or whole years, taken equally often.
    n : int
        Draws; a power of two is drawn as a scrambled Sobol sequence, any other number as a Latin hypercube.
    seed : int
        The same seed gives the same result to the last bit, on however many threads and in whatever executor.
    map : callable, optional
        ``map`` of an executor: pieces of :data:`PIECE` draws are run there. Without it threads of this process run.
    widths : {word: width}, optional
        In place of the catalogue's ``spread_<word>``: 0 leaves an input as the house has it; ``inside_film`` and
        ``latent`` take a pair (low, high).
    steps_per_hour, iterations : int
        How finely the draws are stepped. Where coarser than the season itself, heat, fuel, cost and peak are scaled by
        what the house as it is gives in both ways.
    threads : int
        Without ``map``.
    season : Season, optional
        The house as it is on the first record, where it is at hand.
    progress : callable, optional
        Called with the number of draws done, now and then.

    Returns
    -------
    Spread

    Raises
    ------
    InputError
        For a house without heater, too few draws, or widths that cannot be.

    Notes
    -----
    Draws are independent. Efficiency, price and moisture act on fuel and money after the balance: fuel is divided by
    (efficiency + drawn points) / efficiency, with a heat pump's as a share of 0.8; cordwood keeps its dry matter and
    chips are bought by weight. A shift moves air and sky of the whole record, never degree-days by a percentage. The
    winter's part is the standard deviation that a straight line in the shift explains, or that of the means of years.
    Left out: damage, a door left open, another crop, and how the weather file's years differ from those to come.

    References
    ----------
    Sobol sequences and Latin hypercubes by scipy.stats.qmc; interval of a quantile by order statistics (textbook, from
    memory). Uncalibrated estimates of a season's fuel are expected to be good to 20 to 25 % (from memory).

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> likely = spread(sample_house(), read_weather("chicago"), n=16, steps_per_hour=1, iterations=1).quantiles["fuel"]
    >>> bool(likely[0.10] < likely[0.50] < likely[0.95])
    True
    """
    if not house.heater:
        raise InputError("heater must be given to spread its fuel, got none. Add a [[heater]] table to the house.")
    _check_count("n", n, 8)
    _check_count("seed", seed, 0)
    winters: list[Any] = list(weather) if isinstance(weather, (list, tuple)) else [weather]
    if not winters:
        raise InputError("weather must be a record or several, got none.")
    inputs = _draw(house, n, seed, {**_own_widths(house), **_checked(widths or {})}, len(winters))
    results = pd.DataFrame(np.nan, index=range(n), columns=["heat_kwh", *COLUMNS]).assign(error="")
    first = season
    done = 0
    for number, record in enumerate(winters):
        mine = np.flatnonzero(inputs["winter"] == number)
        base = season if season is not None and number == 0 else simulate(house, record)
        first = first or base
        if len(mine):
            work = _Work(base, map, steps_per_hour, iterations, threads)
            said = None if progress is None else partial(_say, progress, done)
            results.loc[mine] = work.run({name: inputs[name][mine] for name in INPUTS}, said).to_numpy()
            done += len(mine)
    assert first is not None
    draws = pd.concat([pd.DataFrame(inputs), results.astype(dict.fromkeys(results.columns[:-1], float))], axis=1)
    return _summed(first, _burned(first, draws), len(winters))


def _say(progress: Callable[[int], object], before: int, done: int) -> None:
    progress(before + done)


def _check_count(name: str, number: Any, least: int) -> None:
    if isinstance(number, bool) or not isinstance(number, (int, np.integer)) or number < least:
        raise InputError(f"{name} must be a whole number >= {least}, got {number!r}.")


def _own_widths(house: House) -> dict[str, Width]:
    """The catalogue's widths."""
    found: dict[str, Width] = {}
    for name, way in WAYS.items():
        value = catalogue.row("defaults", f"spread_{name}", house.own).fields["value"]
        found[name] = (value.low, value.high) if way.kind == "range" else value.value
    return found


def _checked(widths: Mapping[str, Width]) -> dict[str, Width]:
    for name, width in widths.items():
        if name not in WAYS:
            raise UnknownNameError("input of a spread", name, WAYS)
        pair = width if isinstance(width, tuple) else (0.0, width)
        numbers = all(isinstance(x, (int, float)) and math.isfinite(x) for x in pair)
        if WAYS[name].kind == "range":
            if not (
                width == 0 or (isinstance(width, tuple) and len(pair) == 2 and numbers and 0.0 <= pair[0] <= pair[1])
            ):
                raise InputError(
                    f"width of {name} must be 0 or a pair (low, high) with 0 <= low <= high, got {width!r}."
                )
        elif isinstance(width, tuple) or not numbers or not width >= 0.0:
            raise InputError(f"width of {name} must be a number >= 0, got {width!r}.")
    return dict(widths)


def _draw(house: House, n: int, seed: int, widths: Mapping[str, Width], winters: int) -> dict[str, Any]:
    """Values of every input, and the number of the weather year, for each draw."""
    from scipy.stats import norm, qmc

    names, power = list(WAYS), int(n).bit_length() - 1
    if n == 1 << power:
        even = qmc.Sobol(len(names), scramble=True, rng=seed).random_base2(power)
    else:
        even = qmc.LatinHypercube(len(names), rng=seed).random(n)
    inputs: dict[str, Any] = {}
    for name, u in zip(names, even.T, strict=True):
        way, width = WAYS[name], widths[name]
        own = neutral(house, name) if name in INPUTS else 1.0 if way.kind == "share" else 0.0
        z = norm.ppf(np.clip(u, 1e-9, 1.0 - 1e-9))
        if isinstance(width, tuple):
            inputs[name] = width[0] + (width[1] - width[0]) * u
        elif width == 0.0:
            inputs[name] = np.full(n, own)
        else:
            ways = {"share": 1.0 + width * z, "factor": (1.0 + width) ** z, "shift": width * z,
                    "plus_minus": width * (2.0 * u - 1.0)}  # fmt: skip
            inputs[name] = np.maximum(ways[way.kind], LEAST.get(name, -np.inf))
    inputs["winter"] = np.zeros(n, dtype=int)
    if winters > 1:
        order = np.argsort(np.argsort(even[:, names.index(WINTER)], kind="stable"), kind="stable")
        inputs["winter"] = (order * winters) // n
        inputs[WINTER] = np.zeros(n)
    return inputs


LEAST = {"u": 0.3, "light": 0.3, "price": 0.0}
"""No draw of a normal distribution goes below this."""


class _Work:
    """The draws of one winter, run here or in an executor."""

    def __init__(self, base: Season, map: Callable[..., Iterable[Any]] | None, steps: int, iterations: int,
                 threads: int) -> None:  # fmt: skip
        self.base, self.map, self.steps, self.iterations, self.threads = base, map, steps, iterations, threads

    def run(self, inputs: dict[str, Floats], progress: Callable[[int], object] | None) -> pd.DataFrame:
        """Heat, fuel, cost, peak, unmet hours and error of each draw."""
        house = self.base.house
        own = {name: np.array([neutral(house, name)]) for name in inputs}
        moved = {name: np.concatenate([own[name], x]) for name, x in inputs.items() if (x != own[name]).any()}
        if not moved:
            alone = {"heat_kwh": self.base.heat_kwh, **self._own, "unmet_hours": self.base.unmet["hours"], "error": ""}
            return pd.DataFrame([alone] * len(next(iter(inputs.values()))), columns=["heat_kwh", *COLUMNS, "error"])
        levels = {name: tuple(levels_of(house, name, x)) for name, x in moved.items()}
        if self.map is None:
            family = Family(self.base, levels)
            frame = family.run(
                moved, steps_per_hour=self.steps, iterations=self.iterations, threads=self.threads, progress=progress
            ).frame
        else:
            frame = self._elsewhere(moved, levels, progress)
        return self._scaled(frame[["heat_kwh", *COLUMNS, "error"]])

    def _elsewhere(
        self, moved: dict[str, Floats], levels: Mapping[str, tuple[float, ...]],
        progress: Callable[[int], object] | None,
    ) -> pd.DataFrame:  # fmt: skip
        assert self.map is not None
        count = len(next(iter(moved.values())))
        pieces = [{name: x[first : first + PIECE] for name, x in moved.items()} for first in range(0, count, PIECE)]
        blob = pickle.dumps((self.base.house, self.base.weather))
        frames = []
        try:
            for frame in self.map(partial(_piece, blob, tuple(levels.items()), self.steps, self.iterations), pieces):
                frames.append(frame)
                if progress is not None:
                    progress(sum(map(len, frames)))
        except InputError:
            raise
        except Exception as fault:
            raise InputError(
                f"the executor must live until the last draw, got {type(fault).__name__}: {fault}."
            ) from None
        every: pd.DataFrame = pd.concat(frames, ignore_index=True)
        return every

    def _scaled(self, frame: pd.DataFrame) -> pd.DataFrame:
        """Without the first row, the house as it is: what it tells of coarser steps corrects the others."""
        first = dict(frame.iloc[0])
        rest: pd.DataFrame = frame.iloc[1:].copy()
        for column, value in {"heat_kwh": self.base.heat_kwh, **self._own}.items():
            if first[column] > 0.0:
                rest[column] *= value / first[column]
        return rest

    @property
    def _own(self) -> dict[str, float]:
        base = self.base
        return {"fuel": base.fuel.amount, "cost": sum(f.cost for f in base.fuels), "peak_w": base.peak_w}


def _piece(
    blob: bytes, levels: tuple[tuple[str, tuple[float, ...]], ...], steps: int, iterations: int,
    inputs: dict[str, Floats],
) -> pd.DataFrame:  # fmt: skip
    """Run draws in a worker, which assembles the house for its first piece."""
    totals = _family(blob, levels).run(inputs, steps_per_hour=steps, iterations=iterations, threads=1)
    return totals.frame


@lru_cache(maxsize=2)
def _family(blob: bytes, levels: tuple[tuple[str, tuple[float, ...]], ...]) -> Family:
    house, weather = pickle.loads(blob)
    return Family(simulate(house, weather), dict(levels))


def _burned(season: Season, draws: pd.DataFrame) -> pd.DataFrame:
    """Fuel and money by what the heater, the woodpile and the dealer may be."""
    fuel = season.fuel
    points = draws["efficiency"] * (fuel.efficiency / PLAIN if fuel.efficiency > BEST_FIRE else 1.0)
    more = fuel.efficiency / np.maximum(fuel.efficiency + points, 0.1 * fuel.efficiency)
    more = more * _wetter(fuel.row, draws["moisture"].to_numpy(float))
    return draws.assign(fuel=draws["fuel"] * more, cost=draws["cost"] * more * draws["price"])


def _wetter(wood: catalogue.Row, points: Floats) -> Floats | float:
    """Fuel over that of wood as dry as its row, when its moisture is so many points off; 1 for what is no wood.

    By net heat, since a fire loses the heat of its water; cordwood is bought by volume and keeps its dry matter, chips
    by weight.
    """
    by_volume = wood.get("solid_share") is not None
    if not by_volume and wood.name != CHIPS:
        return 1.0
    usual = wood["moisture"]

    def net(moisture: Any) -> Any:
        drier = (1.0 - moisture) / (1.0 - usual)
        heat = net_heat(wood["hhv"] * drier, moisture)
        return heat / drier if by_volume else heat

    factor: Floats = net(usual) / net(np.clip(usual + points, 0.05, WETTEST))
    return factor


def _summed(season: Season, draws: pd.DataFrame, winters: int) -> Spread:
    """Quantiles, drivers and parts."""
    from scipy.stats import spearmanr

    good = draws[draws["error"] == ""]
    if len(good) < 0.5 * len(draws):
        raise InputError(f"half the draws must run, got {len(good)} of {len(draws)}: {draws['error'].max()}")
    quantiles = good[list(COLUMNS)].quantile(list(QUANTILES))
    names = [name for name in (*WAYS, "winter") if np.ptp(good[name].to_numpy(float)) > 0.0]
    moved = np.ptp(good["fuel"].to_numpy(float)) > 0.0
    strength = {name: float(spearmanr(good[name], good["fuel"]).statistic) if moved else 0.0 for name in names}
    drivers = pd.Series(strength, dtype=float, name="rank_correlation")
    drivers = drivers[drivers.abs().sort_values(ascending=False, kind="stable").index]
    return Spread(
        season=season,
        draws=draws,
        unit=season.fuel.unit,
        quantiles=quantiles.rename_axis("quantile"),
        drivers=drivers,
        parts=_parts(good, winters),
        failed=len(draws) - len(good),
    )


def _parts(good: pd.DataFrame, winters: int) -> pd.Series[float]:
    """Standard deviation by winters and by the rest, as shares of the median."""
    fuel, shift = good["fuel"].to_numpy(float), good[WINTER].to_numpy(float)
    middle, whole = float(np.median(fuel)), float(fuel.var())
    if winters > 1:
        means = good.groupby("winter")["fuel"].transform("mean").to_numpy(float)
        weather = float(means.var())
    else:
        weather = float(np.cov(fuel, shift, bias=True)[0, 1] ** 2 / shift.var()) if shift.var() > 0.0 else 0.0
    share = 1.0 / middle if middle > 0.0 else 0.0
    parts = {"winter": math.sqrt(weather), "rest": math.sqrt(max(whole - weather, 0.0)), "all": math.sqrt(whole)}
    return pd.Series({name: sigma * share for name, sigma in parts.items()}, name="sigma")
