"""Logs made by the engine or by a line, for tests; nothing in them was ever burned."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

from heatloss.decisions.logs import FuelLog
from heatloss.decisions.matching import days_of, shares_of, weather_for
from heatloss.physics.comparison import heating_line
from heatloss.season import Season

START = pd.Timestamp(2015, 10, 4)
NO_TEMPERATURES = pd.DataFrame({"inside": [], "outside": []}, index=pd.DatetimeIndex([]), dtype=float)


def bare_log(weeks: int, *, unit: str = "gal", start: pd.Timestamp = START, step: float = 0.0) -> FuelLog:
    """Weeks of one unit each."""
    ends = pd.date_range(start, periods=weeks + 1, freq="7D")
    frame = pd.DataFrame({"start": ends[:-1], "end": ends[1:], "amount": 1.0, "line": range(2, weeks + 2)})
    return FuelLog("log.csv", frame, unit, None, step, NO_TEMPERATURES)


def with_amounts(log: FuelLog, amounts: np.ndarray) -> FuelLog:
    """The same weeks with other amounts."""
    rows = log.intervals.assign(amount=amounts)
    return FuelLog(log.name, rows, log.unit, log.bag_kg, log.step, log.temperatures)


def by_line(log: FuelLog, weather, numbers, *, noise: float = 0.0, seed: int = 1) -> FuelLog:
    """Fuel by a heating line."""
    record, _ = weather_for(log, weather, typical=True)
    days = days_of(log, record)
    rate = days.shares @ heating_line(np.array(numbers), days.temp_air, days.sun)
    rng = np.random.default_rng(seed)
    return with_amounts(log, np.maximum(rate * log.days * (1.0 + noise * rng.standard_normal(len(rate))), 0.0))


def by_season(log: FuelLog, season: Season, *, noise: float = 0.0, seed: int = 1) -> FuelLog:
    """Fuel of a season's first heater."""
    fuel = season.fuels[0]
    daily = fuel.hourly["energy"].groupby(season.drivers.index.normalize()).sum() / 1000.0
    dates = pd.DatetimeIndex(daily.index).tz_localize(None)
    overlap = shares_of(log, dates) * log.days[:, None]
    amounts = overlap @ daily.to_numpy() / log.unit_energy(fuel.row, fuel.basis)
    rng = np.random.default_rng(seed)
    return with_amounts(log, amounts * np.exp(noise * rng.standard_normal(len(amounts))))


def written(log: FuelLog, path: Path, head: str) -> Path:
    """The log as a file."""
    rows = [
        f"{end:%Y-%m-%d},{amount:.6g}"
        for end, amount in zip(log.intervals["end"], log.intervals["amount"], strict=True)
    ]
    path.write_text("\n".join([head, f"{log.intervals['start'].min():%Y-%m-%d},", *rows]) + "\n", encoding="utf-8")
    return path
