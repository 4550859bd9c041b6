"""Whether a calibration finds a hidden truth: ``python tests/benchmarks/twins.py --trials 100``.

Each trial hides a house, lets the engine burn its fuel week by week for 26 weeks, spoils the log as a person would (6 %
of scatter, whole bags counted, two weeks forgotten), and calibrates the house file against it. Truths are spread evenly
over what the priors say (a Sobol sequence with a fixed seed); everything here is invented.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import norm, qmc

from heatloss import calibrate, read_weather, sample_house, simulate
from heatloss.decisions.calibrated import altered
from heatloss.decisions.calibration import PRIORS, Calibration
from heatloss.decisions.logs import FuelLog
from heatloss.decisions.matching import shares_of, weather_for
from heatloss.errors import InputError
from heatloss.house import House
from heatloss.season import Season
from heatloss.weather import Weather

INPUTS = ("u", "leakage", "light")
SEED, SCATTER, FORGOTTEN, WEEKS = 20, 0.06, 2, 26
START = pd.Timestamp(2015, 10, 4)
EDGE = 0.05
"""Truths lie between this quantile of the priors and its mirror image: glass has a limit to its light."""


@dataclass(frozen=True)
class Trial:
    """One hidden truth and what was found of it."""

    truth: dict[str, float]
    inputs: pd.DataFrame
    bias: float
    """Fuel of the calibrated house over that of the true one, less 1."""

    @classmethod
    def of(cls, truth: dict[str, float], found: Calibration, true_fuel: float) -> Trial:
        """The figures alone; a calibration is large."""
        return cls(truth, found.inputs, found.season.fuels[0].amount / true_fuel - 1.0)

    @property
    def inside(self) -> list[bool]:
        """For each input whether the truth lies in its range."""
        rows = self.inputs
        return [bool(rows.loc[n, "low"] <= self.truth[n] <= rows.loc[n, "high"]) for n in rows.index]


def bare_log(weeks: int = WEEKS) -> FuelLog:
    """Weeks without amounts."""
    ends = pd.date_range(START, periods=weeks + 1, freq="7D")
    frame = pd.DataFrame({"start": ends[:-1], "end": ends[1:], "amount": 1.0, "line": range(2, weeks + 2)})
    empty = pd.DataFrame({"inside": [], "outside": []}, index=pd.DatetimeIndex([]), dtype=float)
    return FuelLog("twin", frame, "bag", None, 1.0, empty)


def truths(count: int, inputs: Sequence[str] = INPUTS, seed: int = SEED) -> list[dict[str, float]]:
    """Values spread evenly over the priors."""
    points = qmc.Sobol(len(inputs), seed=seed).random(1 << max(count - 1, 1).bit_length())[:count]
    spread = np.array([PRIORS[name].spread for name in inputs])
    factors = np.exp(norm.ppf(EDGE + (1.0 - 2.0 * EDGE) * points) * spread)
    return [dict(zip(inputs, (float(v) for v in row), strict=True)) for row in factors]


def burned(season: Season, log: FuelLog) -> np.ndarray:
    """Bags of every interval."""
    fuel = season.fuels[0]
    days = season.drivers.index.normalize()
    daily = fuel.hourly["energy"].groupby(days).sum() / 1000.0 / log.unit_energy(fuel.row, fuel.basis)
    dates = pd.DatetimeIndex(daily.index).tz_localize(None)
    return (shares_of(log, dates) * log.days[:, None]) @ daily.to_numpy()


def spoiled(log: FuelLog, amounts: np.ndarray, rng: np.random.Generator) -> FuelLog:
    """A log as a person keeps it: scatter, whole bags, forgotten weeks."""
    scattered = amounts * np.exp(SCATTER * rng.standard_normal(len(amounts)))
    counted = np.diff(np.round(np.concatenate([[0.0], np.cumsum(scattered)])))
    kept = np.sort(rng.choice(len(amounts), len(amounts) - FORGOTTEN, replace=False))
    rows = log.intervals.assign(amount=counted).iloc[kept].reset_index(drop=True)
    return FuelLog(log.name, rows, log.unit, log.bag_kg, log.step, log.temperatures)


def trial(house: House, weather: Weather, truth: dict[str, float], seed: int) -> Trial | None:
    """One hidden truth, one log, one calibration; None where the log is said not to carry the inputs."""
    log = bare_log()
    record, _ = weather_for(log, weather, typical=True)
    season = simulate(altered(house, truth), record)
    kept = spoiled(log, burned(season, log), np.random.default_rng([SEED, seed]))
    try:
        return Trial.of(truth, calibrate(house, record, kept, tuple(truth)), season.fuels[0].amount)
    except InputError:
        return None


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the trials and print what came of them."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--trials", type=int, default=100)
    reader.add_argument("--workers", type=int, default=1)
    asked = reader.parse_args(arguments)
    house, weather = sample_house(), read_weather("chicago")
    with ThreadPoolExecutor(asked.workers) as pool:
        work = [pool.submit(trial, house, weather, t, i) for i, t in enumerate(truths(asked.trials))]
        results = [future.result() for future in work]
    done = [result for result in results if result is not None]
    inside = np.array([t.inside for t in done])
    print(f"{len(results)} trials, {len(results) - len(done)} refused; truth inside the 90 % range:")
    for name, share in zip(INPUTS, inside.mean(axis=0), strict=True):
        off = np.mean([t.inputs.loc[name, "value"] for t in done]) / np.mean([t.truth[name] for t in done]) - 1.0
        print(f"  {name:10s}{100 * share:5.0f} %   mean fitted over mean true {100 * off:+.1f} %")
    bias = np.array([t.bias for t in done])
    print(f"season's fuel: bias {100 * bias.mean():+.2f} %, standard deviation {100 * bias.std():.2f} %")
    return 0


if __name__ == "__main__":
    sys.exit(main())
