"""What was probably wrong in the house file: its uncertain inputs fitted to the fuel burned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.decisions.calibrated import EFFICIENCY, altered, calibrated_house, most_light
from heatloss.decisions.logs import FuelLog, read_log
from heatloss.decisions.matching import shares_of, weather_for
from heatloss.decisions.signature import HARDLY, LOOSE
from heatloss.errors import InputError, UnknownNameError
from heatloss.physics.comparison import cv_rmse, nmbe
from heatloss.season import Season, simulate
from heatloss.variants import neutral, vary

if TYPE_CHECKING:
    from pathlib import Path

    from heatloss.house import House
    from heatloss.weather import Weather

Floats = NDArray[np.float64]


class Prior(NamedTuple):
    """What is known of an input before the log: spread of its logarithm about the house file's value, and its bounds.

    The spreads are judgements (no source): glazing by a tenth, leakage by two fifths, film by a fifth (3 to 5), vapour
    by a third (0.10 to 0.40), light by a tenth, efficiency by a twelfth.
    """

    words: str
    spread: float
    least: float
    most: float
    step: float


PRIORS = {
    "u": Prior("U-value of the glazing", 0.10, 0.6, 1.7, 0.05),
    "leakage": Prior("air leaking in and out", 0.40, 0.2, 5.0, 0.15),
    "inside_film": Prior("air moving along the inside", 0.20, 0.4, 2.5, 0.15),
    "latent": Prior("sun that goes into vapor", 0.35, 0.2, 2.2, 0.15),
    "light": Prior("light through the glazing", 0.10, 0.5, 1.3, 0.05),
    EFFICIENCY: Prior("efficiency of the heater", 0.08, 0.6, 1.25, 0.05),
}
"""Inputs that can be fitted; bounds and steps are factors on the house file's value."""
USUAL = ("u", "leakage", "light")
"""What is fitted without a word, as far as the log carries it."""
INTERVALS_EACH = 4
"""Intervals that a log must hold for each input; common practice, no source."""
CARRIED = 0.05
"""What the log must know of every direction, against what was known before it (variances); practice, no source."""
FLAT_SHARE = 0.2
"""An interval's unexplained part is a share of its fuel, and of this share of an average one's."""
LEAST_NOISE = 0.01
CONFIDENCE = 0.9
HALF = 1.6448536269514722
"""Half of a 90 % range, in standard deviations of a normal spread."""
TURNS = 8
SETTLED = 0.02
"""A step is the last one where it moves no input by more than this share of its prior spread."""
HELD_OUT = 4
"""Every fourth interval is left out of the fit that is judged by them."""


@dataclass(frozen=True)
class Match:
    """How well modelled fuel fits: NMBE and CV(RMSE) with p = 1, and their p."""

    nmbe: float
    cv_rmse: float
    parameters: int = 1

    @classmethod
    def of(cls, measured: Floats, modelled: Floats) -> Match:
        """By the guideline's formulas."""
        return cls(nmbe(measured, modelled), cv_rmse(measured, modelled))


@dataclass(frozen=True, eq=False)
class Calibration:
    """A house file against what was burned.

    Attributes
    ----------
    inputs : frame
        Index the inputs; ``value``, ``low``, ``high`` (90 %), ``was`` (the house file's), ``prior_low`` and
        ``prior_high``; factors but for ``inside_film`` [W/(m2 K)] and ``latent`` [1]; ``words``.
    before, after, held_out : Match
        Of the house file, of the calibrated one, and of a fit that did not know every fourth interval, on those; None
        where the log is too short for it.
    correlation : frame
        Of the fitted logarithms.
    intervals : frame
        ``start``, ``end``, ``measured``, ``before``, ``after``, ``residual`` in the log's unit, ``held_out``.
    house : House
        The calibrated house, as a house file would say it.
    rows : dict
        Its catalogue rows, for ``heatloss.decisions.calibrated.write_calibrated``.
    noise : float
        Share of an interval's fuel that stays unexplained [1].
    carried : int
        Inputs that the log can tell apart.
    season : Season
        The calibrated house on the log's weather.
    estimate : Season
        The house as the file has it.
    log : FuelLog
    heater : int
    covariance : array
        Of the logarithms.
    notes : tuple of str
    """

    inputs: pd.DataFrame
    before: Match
    after: Match
    held_out: Match | None
    correlation: pd.DataFrame
    intervals: pd.DataFrame
    house: House
    rows: dict[str, Any]
    noise: float
    carried: int
    season: Season
    estimate: Season
    log: FuelLog
    heater: int
    covariance: Floats
    unit_energy: float
    notes: tuple[str, ...]

    @cached_property
    def alike(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of inputs that this log cannot tell apart well, with their correlation, the closest first."""
        names, r = list(self.correlation.index), self.correlation.to_numpy()
        pairs = [(names[i], names[j], float(r[i, j])) for i in range(len(names)) for j in range(i)]
        return tuple(sorted((p for p in pairs if abs(p[2]) > 0.7), key=lambda p: -abs(p[2])))

    def saving(self, after: FuelLog, weather: Weather, *, typical: bool = False) -> HouseSaving:
        """What a measure saved that was done after this log, by the calibrated house in the weather since.

        Parameters
        ----------
        after : FuelLog
            Of the time after it, in the same unit.
        weather : Weather
            Of that log's dates.
        typical : bool
            Whether a typical year may stand for them.

        Returns
        -------
        HouseSaving

        Raises
        ------
        InputError
            For a log without intervals, or in another unit.
        """
        if after.unit != self.log.unit:
            raise InputError(f"both logs must be in one unit, got {self.log.unit} and {after.unit}. Convert one.")
        record, _ = weather_for(after, weather, typical=typical)
        season = simulate(self.house, record)
        overlap = shares_of(after, _dates(season)) * after.days[:, None] / self.unit_energy
        energy = _by_day(season.fuels[self.heater].hourly["energy"].to_numpy() / 1000.0, season)
        gradient = np.array([(overlap @ d).sum() for d in _slopes(season, list(self.inputs.index), self.heater)])
        each = overlap @ energy
        unexplained = self.noise * math.sqrt(float((each**2).sum()))
        counting = len(each) * (self.log.counting_variance if after.step else 0.0)
        deviation = math.sqrt(float(gradient @ self.covariance @ gradient) + unexplained**2 + counting)
        expected, saved = float(each.sum()), float(each.sum()) - after.total
        half = HALF * deviation
        return HouseSaving(expected, after.total, saved, saved - half, saved + half, after.unit, len(each))

    def next_winter(self, weather: Weather) -> NextWinter:
        """The calibrated house's fuel in another year, with the range that the log leaves open."""
        season = simulate(self.house, weather)
        names = list(self.inputs.index)
        fuel = season.fuels[self.heater]
        gradient = np.array([d.sum() for d in _slopes(season, names, self.heater)]) / self.unit_energy
        amount = fuel.energy_kwh / self.unit_energy
        monthly = fuel.monthly["energy_kwh"].to_numpy() / self.unit_energy
        unexplained = self.noise * math.sqrt(float((monthly**2).sum()))
        deviation = math.sqrt(float(gradient @ self.covariance @ gradient) + unexplained**2)
        half = HALF * deviation
        return NextWinter(amount, max(0.0, amount - half), amount + half, self.log.unit, season)


@dataclass(frozen=True, eq=False)
class NextWinter:
    """Fuel of a year: amount and 90 % range in the log's unit. A colder winter than the file's is not in the range."""

    amount: float
    low: float
    high: float
    unit: str
    season: Season


@dataclass(frozen=True, eq=False)
class HouseSaving:
    """What a measure saved: fuel expected without it, measured, the difference and its 90 % range, in ``unit``."""

    expected: float
    measured: float
    saved: float
    low: float
    high: float
    unit: str
    intervals: int

    @property
    def proven(self) -> bool:
        """Whether the whole range lies above nothing."""
        return self.low > 0.0


def calibrate(
    house: House,
    weather: Weather,
    fuel_log: FuelLog | str | Path,
    inputs: Sequence[str] | None = None,
    *,
    heater: str | None = None,
    typical: bool = False,
) -> Calibration:
    """Fit up to four uncertain inputs of a house to the fuel that was burned.

    Parameters
    ----------
    house : House
    weather : Weather
        Of the log's dates.
    fuel_log : FuelLog, str or Path
        From ``read_log``, or the file.
    inputs : sequence of str, optional
        Of :data:`PRIORS`. Without it as many of ``u``, ``leakage``, ``light`` as the log can tell apart.
    heater : str, optional
        Name of the heater that burned it; the first one without it.
    typical : bool
        Whether a typical year may stand for the log's own weather.

    Returns
    -------
    Calibration

    Raises
    ------
    InputError
        For an input that the house does not have, or more inputs than the log can carry.

    Notes
    -----
    Least squares of the intervals' fuel, weighed by what stays unexplained and by counting whole bags, with a normal
    prior on each input's logarithm about the house file's value: Gauss and Newton, the house simulated whole at every
    turn, its slopes by central differences of six lanes side by side. What stays unexplained is fitted with them.
    Ranges are those of the posterior's covariance with Student's t. A log carries as many inputs as there are
    directions among them of which it knows at least a twentieth of what the priors know.

    References
    ----------
    .. [1] ASHRAE Guideline 14-2014 for NMBE and CV(RMSE), p = 1, from memory. Tarantola 2005, inverse problem theory,
       for the prior, from memory.
    """
    log = fuel_log if isinstance(fuel_log, FuelLog) else read_log(fuel_log)
    place = _place_of(house, heater)
    names = _checked(house, log, inputs, place)
    record, notes = weather_for(log, weather, typical=typical)
    problem = _Problem(house, record, log, place)
    fit = problem.fit(names)
    left_out: list[str] = []
    while fit.carried < len(fit.names):
        if inputs is not None:
            raise InputError(_too_many(fit, log))
        if len(fit.names) == 1:
            break
        left_out.append(fit.weakest)
        fit = problem.fit(tuple(n for n in fit.names if n != fit.weakest), fit)
    said = [f"{PRIORS[n].words} was left as it is: this log cannot tell it from the rest." for n in left_out]
    if fit.noise > LOOSE:
        said.append(HARDLY)
    return problem.calibration(fit, (*log.notes, *notes, *said))


@dataclass(frozen=True, eq=False)
class _Fit:
    """A solution: logarithms of factors, slopes, noise, covariance."""

    names: tuple[str, ...]
    x: Floats
    season: Season
    modelled: Floats
    slopes: Floats
    noise: float
    variance: Floats
    covariance: Floats
    information: Floats
    freedom: float

    @property
    def carried(self) -> int:
        """Directions of which the log knows enough."""
        return int((np.linalg.eigvalsh(self.information) > CARRIED).sum())

    @property
    def weakest(self) -> str:
        """The input with the largest part in the direction of which the log knows least."""
        _, vectors = np.linalg.eigh(self.information)
        return self.names[int(np.abs(vectors[:, 0]).argmax())]


class _Problem:
    """One house, one log, one weather."""

    def __init__(self, house: House, weather: Weather, log: FuelLog, heater: int) -> None:
        self.house, self.weather, self.log, self.heater = house, weather, log, heater
        self.estimate = simulate(house, weather)
        fuel = self.estimate.fuels[heater]
        self.unit_energy = log.unit_energy(fuel.row, fuel.basis)
        self.overlap = shares_of(log, _dates(self.estimate)) * log.days[:, None]
        self.measured = log.intervals["amount"].to_numpy(dtype=float)
        if not self.measured.sum() > 0.0:
            raise InputError(f"the log must hold some fuel, got 0 in all ({log.name}). Check its columns.")

    def fuel(self, season: Season) -> Floats:
        """Fuel of each interval, in the log's unit."""
        energy = season.fuels[self.heater].hourly["energy"].to_numpy() / 1000.0
        return np.asarray(self.overlap @ _by_day(energy, season) / self.unit_energy)

    def slopes(self, season: Season, names: tuple[str, ...]) -> Floats:
        """Intervals x inputs: change of the fuel by the logarithm of each."""
        daily = _slopes(season, list(names), self.heater)
        return np.column_stack([self.overlap @ d / self.unit_energy for d in daily])

    def values(self, names: Sequence[str], x: Floats) -> dict[str, float]:
        """Inputs as ``altered`` takes them."""
        return {n: _neutral(self.house, n) * math.exp(v) for n, v in zip(names, x, strict=True)}

    def fit(self, names: tuple[str, ...], near: _Fit | None = None) -> _Fit:
        """Turn by turn to the most likely inputs."""
        x = np.zeros(len(names)) if near is None else np.array([near.x[near.names.index(n)] for n in names])
        spread = np.array([PRIORS[n].spread for n in names])
        low, high = np.log([_bounds(self.house, n) for n in names]).T
        noise, slopes = 0.08, np.empty((len(self.measured), len(names)))
        if near is not None:
            noise, slopes = near.noise, near.slopes[:, [near.names.index(n) for n in names]]
        for turn in range(TURNS):
            season = simulate(altered(self.house, self.values(names, x), self.heater), self.weather)
            modelled = self.fuel(season)
            if near is None and turn < 2:
                slopes = self.slopes(season, names)
            noise, variance = self._noise(modelled, slopes, spread, noise)
            step = _step(x, modelled - self.measured, slopes, variance, spread, low, high)
            if np.all(np.abs(step) < SETTLED * spread) or turn == TURNS - 1:
                break
            x = x + step
        weighed = slopes.T @ (slopes / variance[:, None])
        information = weighed * np.outer(spread, spread)
        covariance = np.asarray(np.linalg.inv(weighed + np.diag(spread**-2.0)), dtype=float)
        freedom = max(len(self.measured) - float(np.trace(covariance @ weighed)), 1.0)
        return _Fit(names, x, season, modelled, slopes, noise, variance, covariance, information, freedom)

    def _noise(self, modelled: Floats, slopes: Floats, spread: Floats, noise: float) -> tuple[float, Floats]:
        """The unexplained share of the fuel at which the residuals are as large as they should be."""
        residual = modelled - self.measured
        flat = FLAT_SHARE * self.measured.sum() / self.log.days.sum() * self.log.days
        shape = modelled**2 + flat**2
        for _ in range(20):
            variance = self.log.counting_variance + noise**2 * shape
            weighed = slopes.T @ (slopes / variance[:, None])
            solve = np.linalg.inv(weighed + np.diag(spread**-2.0))
            rest = residual - slopes @ (solve @ (slopes.T @ (residual / variance)))
            freedom = max(len(residual) - float(np.trace(solve @ weighed)), 1.0)
            ratio = float((rest**2 / variance).sum()) / freedom
            noise = float(np.clip(noise * math.sqrt(ratio), LEAST_NOISE, 1.0))
        return noise, self.log.counting_variance + noise**2 * shape

    def without(self, fit: _Fit, left_out: NDArray[np.bool_]) -> Match | None:
        """How a fit that did not know some intervals does on them, by the slopes at the solution."""
        if left_out.sum() < 2 or (~left_out).sum() < INTERVALS_EACH * len(fit.names):
            return None
        kept = ~left_out
        spread = np.array([PRIORS[n].spread for n in fit.names])
        low, high = np.log([_bounds(self.house, n) for n in fit.names]).T
        residual = (fit.modelled - self.measured)[kept]
        step = _step(fit.x, residual, fit.slopes[kept], fit.variance[kept], spread, low, high)
        return Match.of(self.measured[left_out], (fit.modelled + fit.slopes @ step)[left_out])

    def calibration(self, fit: _Fit, notes: tuple[str, ...]) -> Calibration:
        """All that is told of a fit."""
        left_out = np.arange(len(self.measured)) % HELD_OUT == 2
        before = self.fuel(self.estimate)
        values = self.values(fit.names, fit.x)
        made, rows = calibrated_house(self.house, values, heater=self.heater, source=self.log.name)
        frame = self.log.intervals[["start", "end"]].assign(
            measured=self.measured, before=before, after=fit.modelled, residual=self.measured - fit.modelled,
            held_out=left_out,
        )  # fmt: skip
        deviation = np.sqrt(np.diag(fit.covariance))
        return Calibration(
            inputs=_told(self.house, fit, deviation),
            before=Match.of(self.measured, before),
            after=Match.of(self.measured, fit.modelled),
            held_out=self.without(fit, left_out),
            correlation=pd.DataFrame(fit.covariance / np.outer(deviation, deviation), fit.names, fit.names),
            intervals=frame,
            house=made,
            rows=rows,
            noise=fit.noise,
            carried=fit.carried,
            season=fit.season,
            estimate=self.estimate,
            log=self.log,
            heater=self.heater,
            covariance=fit.covariance,
            unit_energy=self.unit_energy,
            notes=notes,
        )


def _step(
    x: Floats, residual: Floats, slopes: Floats, variance: Floats, spread: Floats, low: Floats, high: Floats
) -> Floats:
    """The step of bounded least squares with the prior as further rows."""
    from scipy.optimize import lsq_linear

    root = np.sqrt(variance)
    rows = np.vstack([slopes / root[:, None], np.diag(1.0 / spread)])
    right = -np.concatenate([residual / root, x / spread])
    found = lsq_linear(rows, right, bounds=(np.minimum(low - x, -1e-12), np.maximum(high - x, 1e-12)))
    return np.asarray(found.x)


def _slopes(season: Season, names: list[str], heater: int) -> list[Floats]:
    """For each input the change of the fuel's energy of every day by the logarithm of the input [kWh]."""
    hourly = season.fuels[heater].hourly
    energy, heat = (_by_day(hourly[name].to_numpy() / 1000.0, season) for name in ("energy", "heat"))
    lost = sum(_by_day(hourly[name].to_numpy() / 1000.0, season) for name in ("standby", "starting", "over_fire"))
    whole = _by_day(season.paths["heater"] / 1000.0, season)
    usual = (energy - lost).sum() / max(float(heat.sum()), 1e-9)
    ratio = np.where(heat > 0.0, (energy - lost) / np.maximum(heat, 1e-9), usual)
    share = np.where(whole > 0.0, heat / np.maximum(whole, 1e-9), heat.sum() / max(float(whole.sum()), 1e-9))
    simulated = [n for n in names if n != EFFICIENCY]
    slopes: dict[str, Floats] = {EFFICIENCY: -energy}
    if simulated:
        lanes: dict[str, Floats] = {}
        for i, name in enumerate(simulated):
            own = neutral(season.house, name)
            lanes[name] = np.full(2 * len(simulated), own)
            lanes[name][2 * i : 2 * i + 2] = own * np.exp([-PRIORS[name].step, PRIORS[name].step])
        daily = vary(season, lanes, daily=True).daily
        assert daily is not None
        found = daily.to_numpy()
        for i, name in enumerate(simulated):
            rise = (found[2 * i + 1] - found[2 * i]) / (2.0 * PRIORS[name].step)
            slopes[name] = rise * share * ratio
    return [slopes[name] for name in names]


def _by_day(hourly: Floats, season: Season) -> Floats:
    days, _ = pd.factorize(season.drivers.index.normalize())
    return np.asarray(np.bincount(days, weights=hourly))


def _dates(season: Season) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(season.drivers.index.normalize().unique()).tz_localize(None)


def _neutral(house: House, name: str) -> float:
    return 1.0 if name == EFFICIENCY else neutral(house, name)


def _bounds(house: House, name: str) -> tuple[float, float]:
    """Least and greatest factor on the house file's value."""
    least, most = PRIORS[name].least, PRIORS[name].most
    return least, min(most, most_light(house)) if name == "light" else most


def _told(house: House, fit: _Fit, deviation: Floats) -> pd.DataFrame:
    """Values and ranges of the inputs."""
    from scipy.stats import norm, t

    own = np.array([_neutral(house, n) for n in fit.names])
    spread = np.array([PRIORS[n].spread for n in fit.names])
    half = float(t.ppf(0.5 + CONFIDENCE / 2.0, fit.freedom)) * deviation
    prior = float(norm.ppf(0.5 + CONFIDENCE / 2.0)) * spread
    return pd.DataFrame(
        {
            "value": own * np.exp(fit.x),
            "low": own * np.exp(fit.x - half),
            "high": own * np.exp(fit.x + half),
            "was": own,
            "prior_low": own * np.exp(-prior),
            "prior_high": own * np.exp(prior),
            "words": [PRIORS[n].words for n in fit.names],
        },
        index=pd.Index(fit.names, name="input"),
    )


def _place_of(house: House, heater: str | None) -> int:
    names = [use.name for use in house.heater]
    if not names:
        raise InputError("heater must be given to compare its fuel, got none. Add a [[heater]] table to the house.")
    if heater is None:
        return 0
    if heater not in names:
        raise UnknownNameError("heater", heater, names)
    return names.index(heater)


def _checked(house: House, log: FuelLog, inputs: Sequence[str] | None, heater: int) -> tuple[str, ...]:
    """The inputs to fit, as many as the log has intervals for."""
    count = len(log.intervals)
    room = min(4, count // INTERVALS_EACH)
    if inputs is None:
        usual = [n for n in USUAL if not (n == "u" and house.cover.glazing is None)]
        if room < 1:
            raise InputError(
                f"the log must hold at least {INTERVALS_EACH} intervals of fuel, got {count} ({log.name}). Go on."
            )
        return tuple(usual[:room])
    names = tuple(dict.fromkeys(inputs))
    for name in names:
        if name not in PRIORS:
            raise UnknownNameError("input", name, PRIORS)
    if not 1 <= len(names) <= room:
        raise InputError(
            f"inputs must be from 1 to {room}, {INTERVALS_EACH} intervals of the log for each and 4 at most, got "
            f"{len(names)} for {count} intervals ({log.name}). Fit fewer, or go on with the log."
        )
    if "latent" in names and house.method.latent != "share":
        raise InputError(
            f"latent must be left out where method.latent is {house.method.latent!r}. Fit inside_film in its place."
        )
    if EFFICIENCY in names:
        altered(house, {EFFICIENCY: 1.0}, heater)
    return names


def _too_many(fit: _Fit, log: FuelLog) -> str:
    others = [n for n in fit.names if n != fit.weakest]
    told = (
        f"{fit.weakest} cannot be told from {' and '.join(others)}" if others else f"nothing is told of {fit.weakest}"
    )
    return (
        f"inputs must be no more than the log carries, {fit.carried}, got {len(fit.names)} ({log.name}: {told}). "
        f"Leave out {fit.weakest}, or go on with the log."
    )
