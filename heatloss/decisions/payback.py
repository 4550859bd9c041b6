"""Whether a change to the house pays: every measure alone and all of them together, each by its own hourly balance."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.decisions.changes import changed, clash, covers
from heatloss.decisions.measures import (
    TOGETHER,
    Measure,
    Price,
    measures_of,
    read_measures,
    starter,
)
from heatloss.errors import InputError
from heatloss.geometry import build
from heatloss.geometry.table import u_value
from heatloss.physics import economics
from heatloss.season import Season, simulate

if TYPE_CHECKING:
    from heatloss.geometry import Surface
    from heatloss.house import House
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
COLUMNS = (
    "fuel", "cost", "saving", "price", "price_low", "price_high", "payback_years", "npv", "irr", "light_lost",
    "heat_kwh", "peak_w", "cold_roof", "note",
)  # fmt: skip
LEFT_OUT = f"left out of {TOGETHER}: "
"""How the note of a measure begins that fits the house, and not the measures before it."""
NONE_FITS = "nothing to take together: no measure fits this house and changes it"
ROOF_TILT = 75.0
"""What is less steep counts as a roof that carries snow [deg]; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """Measures weighed on one house.

    Attributes
    ----------
    base : Season
        The house as it is.
    measures : tuple of Measure
    table : frame
        As :func:`payback` gives it.
    flows : frame [usd]
        Money out and in by year, 0 for now, a column for each row that fits; fuel gets dearer, nothing is discounted.
    years : int [year]
    discount, escalation : float [1]
    examples : bool
        Whether they are the starter measures, whose costs are examples.
    """

    base: Season
    measures: tuple[Measure, ...]
    table: pd.DataFrame
    flows: pd.DataFrame
    years: int
    discount: float
    escalation: float
    examples: bool


def payback(
    house: House,
    weather: Weather,
    measures: str | Path | Iterable[Measure | Mapping[str, Any]] | None = None,
    *,
    years: int = 15,
    discount: float = 0.05,
    escalation: float = 0.03,
) -> pd.DataFrame:
    """What measures save and cost, each alone and all together.

    Parameters
    ----------
    house : House
        With at least one heater: its fuel and price count.
    weather : Weather
    measures : path or iterable of Measure or mapping, optional
        A file of measures, or their tables; without it the starter measures, whose costs are examples.
    years : int [year]
        How long the money is looked at.
    discount : float [1]
        Interest a year.
    escalation : float [1]
        Rise of the fuel's price a year. Both nominal, or both real.

    Returns
    -------
    frame
        Index ``measure``, the last row ``all together``. Columns ``fuel`` (a year, of the first heater, in its trade
        unit), ``cost`` (all fuel a year), ``saving`` (of the first year), ``price`` with ``price_low`` and
        ``price_high`` (to lay out now) [usd]; ``payback_years``; ``npv`` [usd], ``irr`` (NaN where there is none);
        ``light_lost`` (share of the sun that enters while a heater is in use); ``heat_kwh``, ``peak_w``;
        ``cold_roof`` (whether a roof lets less heat out, so that snow lies longer); ``note`` (why it does not fit,
        with NaN in the row; that it changes nothing; or which measure before it, that changes the same thing, has its
        place). These are left out of ``all together``, which is the house as it is where no measure is left.

    Raises
    ------
    InputError
        For a house without heater, or a faulty list of measures.

    Notes
    -----
    Every row is the hourly balance of the changed house: savings of single measures are never added. A measure whose
    life ends within the years is bought again at the same price; what is left of it at the end is worth nothing. NPV of
    - price + sum over years t of (saving (1 + e)^(t - 1) - upkeep) / (1 + r)^t; payback of price / (saving - upkeep).

    References
    ----------
    Textbooks of engineering economics (from memory); IRR by numpy-financial.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> foam = {"name": "foam", "set": {"floor": {"depth": "3 ft"}}, "cost": "400 usd", "life": 30}
    >>> table = payback(sample_house(), read_weather("chicago"), [foam])
    >>> bool(0.0 < table.loc["foam", "saving"] < 100.0)
    True
    """
    return weigh(house, weather, measures, years=years, discount=discount, escalation=escalation).table


def weigh(
    house: House,
    weather: Weather,
    measures: str | Path | Iterable[Measure | Mapping[str, Any]] | None = None,
    *,
    years: int = 15,
    discount: float = 0.05,
    escalation: float = 0.03,
) -> Weighed:
    """As :func:`payback`, with the season of the house as it is and the measures beside the table."""
    if measures is None:
        taken = starter()
    else:
        taken = read_measures(measures) if isinstance(measures, (str, Path)) else measures_of(measures)
    economics.present_value_factor(years, rate=discount, escalation=escalation)  # refuses what is no number of years
    if not house.heater:
        raise InputError("heater must be given to know what fuel is saved, got none. Add a [[heater]] table.")
    base = simulate(house, weather)
    terms = years, discount, escalation
    rows: dict[str, dict[str, Any]] = {}
    fitting: list[Measure] = []
    for measure in taken:
        try:
            new = measure.changed(house)
            price = measure.price(new)
            season = base if new == house else simulate(new, weather)
        except InputError as problem:
            rows[measure.name] = {"note": f"does not fit: {problem}"}
            continue
        rows[measure.name] = _row(base, season, price, [measure], terms)
        if season is base:
            rows[measure.name]["note"] = "changes nothing: the house is so already"
        elif why := clash(house, fitting, measure):
            rows[measure.name]["note"] = f"{LEFT_OUT}{why}"
        else:
            fitting.append(measure)
            if season.heat_kwh == base.heat_kwh and rows[measure.name]["saving"] == 0.0:
                rows[measure.name]["note"] = "saves nothing: the heat is the same, the house may have it already"
    if not fitting:
        rows[TOGETHER] = {**_row(base, base, Price(0.0, 0.0, 0.0), [], terms), "note": NONE_FITS}
    elif len(fitting) == 1:
        rows[TOGETHER] = {k: v for k, v in rows[fitting[0].name].items() if k != "note"}
    else:
        new = changed(house, fitting)
        total = sum((m.price(new) for m in fitting), Price(0.0, 0.0, 0.0))
        rows[TOGETHER] = _row(base, simulate(new, weather), total, fitting, terms)
    flows = pd.DataFrame({name: row.pop("flows") for name, row in rows.items() if "flows" in row})
    return Weighed(base, taken, _table(rows), flows.rename_axis("year"), *terms, examples=measures is None)


def _table(rows: Mapping[str, Mapping[str, Any]]) -> pd.DataFrame:
    blank = dict.fromkeys(COLUMNS, np.nan) | {"cold_roof": False, "note": ""}
    frame = pd.DataFrame([{**blank, **row} for row in rows.values()], columns=list(COLUMNS))
    frame.index = pd.Index(list(rows), name="measure")
    return frame.astype({"cold_roof": bool})


def _row(
    base: Season, season: Season, price: Price, measures: Sequence[Measure], terms: tuple[int, float, float]
) -> dict[str, Any]:
    """One row of the table."""
    years, discount, escalation = terms
    cost = sum(fuel.cost for fuel in season.fuels)
    saving = sum(fuel.cost for fuel in base.fuels) - cost
    upkeep = sum(m.upkeep for m in measures)
    flows = economics.cash_flows(price.value, saving, years=years, escalation=escalation, maintenance=upkeep)
    for measure in measures:
        flows[measure.life : years : measure.life] -= measure.price(season.house).value
    return {
        "flows": flows,
        "fuel": season.fuel.amount,
        "cost": cost,
        "saving": saving,
        "price": price.value,
        "price_low": price.low,
        "price_high": price.high,
        "payback_years": economics.payback(price.value, saving - upkeep),
        "npv": float(flows @ (1.0 + discount) ** -np.arange(years + 1.0)),
        "irr": _rate_of_return(flows),
        "light_lost": _light_lost(base, season),
        "heat_kwh": season.heat_kwh,
        "peak_w": season.peak_w,
        "cold_roof": _roof_loss(season.house) < _roof_loss(base.house) * (1.0 - 1e-9),
    }


def _rate_of_return(flows: Floats) -> float:
    """The rate at which the flows are worth nothing; NaN where nothing is paid, or nothing comes in."""
    import numpy_financial

    if not (flows[0] < 0.0 and np.any(flows[1:] > 0.0)):
        return math.nan
    return float(numpy_financial.irr(flows))


def _light_lost(base: Season, season: Season) -> float:
    """Share of the sun that no longer enters, over the hours in which the house as it is may be heated [1]."""
    before, after = base.assembly.sunlight, season.assembly.sunlight
    assert before is not None
    assert after is not None
    entered = float(before.entered[base.heating].sum())
    return 1.0 - float(after.entered[base.heating].sum()) / entered if entered > 0.0 else 0.0


def _roof_loss(house: House) -> float:
    """Rated heat through all that is not steep, curtains closed [W/K]."""
    roofs = (s for s in build(house).surfaces if s.tilt < ROOF_TILT and s.behind == "outdoors")
    return sum(s.area / (1.0 / u_value(s, house.own) + _curtain(house, s)) for s in roofs)


def _curtain(house: House, surface: Surface) -> float:
    """Resistance of the curtain under a surface [m2 K/W]."""
    over = [c for c in house.curtain if covers(c.on, surface, house)]
    return catalogue.row("curtains", over[0].material, house.own)["resistance"] if over else 0.0
