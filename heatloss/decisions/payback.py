"""Whether a change to the house pays: every measure alone and all of them together, each by its own hourly balance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from heatloss import catalogue
from heatloss.balance.drivers import Site
from heatloss.decisions.changes import changed, clash, covers
from heatloss.decisions.design import governing
from heatloss.decisions.measures import TOGETHER, Measure, Price, measures_of, read_measures, starter
from heatloss.decisions.money import Terms, judged
from heatloss.errors import InputError
from heatloss.geometry import build
from heatloss.geometry.table import u_value
from heatloss.season import Season, simulate, steady_load

if TYPE_CHECKING:
    from heatloss.geometry import Surface
    from heatloss.house import House
    from heatloss.weather import Weather

COLUMNS = (
    "fuel", "unit", "cost", "saving", "price", "price_low", "price_high", "payback_years", "discounted_years", "npv",
    "irr", "light_lost", "light_darkest", "heat_kwh", "peak_w", "design_w", "lowest", "cold_roof", "note",
)  # fmt: skip
LEFT_OUT = f"left out of {TOGETHER}: "
"""How the note of a measure begins that fits the house, and not the measures before it."""
SAME = "changes nothing"
"""How the note of a measure begins that the house has already."""
AS_IT_IS = "as it is"
BY_ITSELF = "it is weighed by itself"
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
    light : frame [mol/(m2 d)]
        Daily light integral inside by month in heating order: the house as it is, then each row that fits.
    terms : Terms
    examples : bool
        Whether they are the starter measures, whose costs are examples.
    seasons : dict of str to Season
        Of every row that fits.
    """

    base: Season
    measures: tuple[Measure, ...]
    table: pd.DataFrame
    flows: pd.DataFrame
    light: pd.DataFrame
    terms: Terms
    examples: bool
    seasons: Mapping[str, Season]

    @property
    def taken(self) -> tuple[Measure, ...]:
        """The measures of ``all together``."""
        fits = self.table["saving"].notna() & ~self.table["note"].str.startswith((LEFT_OUT, SAME))
        return tuple(m for m in self.measures if fits[m.name])

    @property
    def years(self) -> int:
        """How long the money is looked at [year]."""
        return self.terms.years

    @property
    def discount(self) -> float:
        """Interest a year [1]."""
        return self.terms.discount

    @property
    def escalation(self) -> float:
        """Rise of the fuel's price a year [1]."""
        return self.terms.escalation


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
        ``unit``), ``cost`` (all fuel a year), ``saving`` (of the first year), ``price`` with ``price_low`` and
        ``price_high`` (to lay out now) [usd]; ``payback_years``, ``discounted_years``; ``npv`` [usd], ``irr`` (NaN
        where there is none); ``light_lost`` (share of the sun that enters while a heater is in use),
        ``light_darkest`` (daily light integral of the darkest month) [mol/(m2 d)]; ``heat_kwh``, ``peak_w``;
        ``design_w`` (steady load that a heater is sized on, without margin); ``lowest`` (coldest air, which a leaf
        follows) [degC]; ``cold_roof`` (whether a roof lets less heat out, so that snow lies longer); ``note`` (why it
        does not fit, with NaN in the row; that it changes nothing; that it is weighed by itself; or which measure
        before it, that changes the same thing, has its place). These are left out of ``all together``, which is the
        house as it is where no measure is left.

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
    taken = listed(measures)
    terms = Terms(years, discount, escalation)
    if not house.heater:
        raise InputError("heater must be given to know what fuel is saved, got none. Add a [[heater]] table.")
    site = Site(weather)
    base = simulate(house, site)
    houses, prices, notes = _fitted(house, taken)
    with ThreadPoolExecutor(2) as pool:
        runs = {name: pool.submit(_run, base, new, site) for name, new in houses.items()}
    seasons: dict[str, Season] = {}
    for name, run in runs.items():
        try:
            seasons[name] = run.result()
        except InputError as problem:
            notes[name] = f"does not fit: {problem}"
    fitting: list[Measure] = []
    rows: dict[str, dict[str, Any]] = {}
    for measure in taken:
        name = measure.name
        if name not in seasons:
            rows[name] = {"note": notes[name]}
            continue
        rows[name] = _row(base, seasons[name], prices[name], [measure], terms)
        if why := _left_out(base, seasons[name], measure, fitting):
            rows[name]["note"] = why
            continue
        fitting.append(measure)
        if seasons[name].heat_kwh == base.heat_kwh and rows[name]["saving"] == 0.0:
            rows[name]["note"] = "saves nothing: the heat is the same, the house may have it already"
    rows[TOGETHER], seasons[TOGETHER] = _together(base, fitting, rows, seasons, terms, site)
    flows = pd.DataFrame({name: row.pop("flows") for name, row in rows.items() if "flows" in row})
    light = pd.DataFrame({AS_IT_IS: base.light, **{name: season.light for name, season in seasons.items()}})
    table = _table(rows)
    return Weighed(base, taken, table, flows.rename_axis("year"), light, terms, measures is None, seasons)


def listed(measures: str | Path | Iterable[Measure | Mapping[str, Any]] | None) -> tuple[Measure, ...]:
    """Measures of a file or a list; the starter measures where none is given."""
    if measures is None:
        return starter()
    return read_measures(measures) if isinstance(measures, (str, Path)) else measures_of(measures)


def _fitted(house: House, taken: Sequence[Measure]) -> tuple[dict[str, House], dict[str, Price], dict[str, str]]:
    """The changed house and its price for each measure that fits, and for the others why not."""
    houses: dict[str, House] = {}
    prices: dict[str, Price] = {}
    notes: dict[str, str] = {}
    for measure in taken:
        try:
            houses[measure.name] = new = measure.changed(house)
            prices[measure.name] = measure.price(new)
        except InputError as problem:
            houses.pop(measure.name, None)
            notes[measure.name] = f"does not fit: {problem}"
    return houses, prices, notes


def _run(base: Season, new: House, site: Site) -> Season:
    return base if new == base.house else simulate(new, site)


def _left_out(base: Season, season: Season, measure: Measure, fitting: Sequence[Measure]) -> str:
    """Why a measure that fits the house is not taken together with the others; empty where it is."""
    if season is base:
        return f"{SAME}: the house is so already"
    if measure.alone:
        return f"{LEFT_OUT}{BY_ITSELF}"
    why = clash(base.house, fitting, measure)
    return f"{LEFT_OUT}{why}" if why else ""


def _together(
    base: Season,
    fitting: Sequence[Measure],
    rows: Mapping[str, dict[str, Any]],
    seasons: Mapping[str, Season],
    terms: Terms,
    site: Site,
) -> tuple[dict[str, Any], Season]:
    """The row and the season of all that fit together."""
    if not fitting:
        return {**_row(base, base, Price(0.0, 0.0, 0.0), [], terms), "note": NONE_FITS}, base
    if len(fitting) == 1:
        only = fitting[0].name
        return {k: v for k, v in rows[only].items() if k != "note"}, seasons[only]
    new = changed(base.house, fitting)
    season = simulate(new, site)
    total = sum((m.price(new) for m in fitting), Price(0.0, 0.0, 0.0))
    return _row(base, season, total, fitting, terms), season


def _table(rows: Mapping[str, Mapping[str, Any]]) -> pd.DataFrame:
    blank = dict.fromkeys(COLUMNS, np.nan) | {"unit": "", "cold_roof": False, "note": ""}
    frame = pd.DataFrame([{**blank, **row} for row in rows.values()], columns=list(COLUMNS))
    frame.index = pd.Index(list(rows), name="measure")
    return frame.astype({"cold_roof": bool})


def _row(base: Season, season: Season, price: Price, measures: Sequence[Measure], terms: Terms) -> dict[str, Any]:
    """One row of the table, with its flows."""
    cost = sum(fuel.cost for fuel in season.fuels)
    saving = sum(fuel.cost for fuel in base.fuels) - cost
    prices = [m.price(season.house).value for m in measures]
    return {
        "fuel": season.fuel.amount,
        "unit": season.fuel.unit,
        "cost": cost,
        "saving": saving,
        "price": price.value,
        "price_low": price.low,
        "price_high": price.high,
        **judged(measures, prices, saving, terms),
        "light_lost": _light_lost(base, season),
        "light_darkest": float(season.light.min()),
        "heat_kwh": season.heat_kwh,
        "peak_w": season.peak_w,
        "design_w": steady_load(season, governing(season).temperature),
        "lowest": float(season.unmet["lowest"]),
        "cold_roof": _roof_loss(season.house) < _roof_loss(base.house) * (1.0 - 1e-9),
    }


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
