"""Many houses on one weather record: the season's balance of each, side by side, sums only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.balance.assemble import AIR, assemble
from heatloss.balance.drivers import Drivers, Site, prepare
from heatloss.balance.floor import GROUND, ground_temperature
from heatloss.balance.network import Driven, Network
from heatloss.balance.schedule import in_use
from heatloss.errors import InputError
from heatloss.fuel.amount import price_of, unit_energy
from heatloss.fuel.burn import burn
from heatloss.geometry import build
from heatloss.house.heating import appliance
from heatloss.physics.heater import pressure_height
from heatloss.physics.sun import daily_light_integral
from heatloss.season import (
    CLOSES,
    COLD,
    MOVED,
    ROUNDING,
    WARM_UP_HOURS,
    heated_hours,
    heating_order,
)

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.lanes import Block
    from heatloss.balance.plan import Plan
    from heatloss.geometry import Geometry
    from heatloss.house import House
    from heatloss.house.heating import Appliance
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
LANES = 32
"""Houses marched side by side: four vectors of eight numbers, or eight of four; more gain little and take memory."""
FEW = 8
"""Up to so many of one kind are marched one by one: it is quicker than a batch of :data:`LANES` filled up."""
COLUMNS = (
    "heat_kwh", "peak_w", "fuel", "unit", "cost", "unmet_hours", "degree_hours", "lowest", "sun_entered_kwh",
    "light_darkest", "closure", "error",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Totals:
    """What many houses do in one weather year.

    Attributes
    ----------
    frame : frame
        One row per house. ``heat_kwh``; ``peak_w``, the largest hourly mean; ``fuel`` of the first heater in its trade
        ``unit``; ``cost`` of all fuels [usd]; ``unmet_hours``, ``degree_hours`` [K h] below the setpoint while a heater
        is in use, ``lowest`` air [degC]; ``sun_entered_kwh`` through the glazings while a heater is in use;
        ``light_darkest``, the daily light integral of the darkest month [mol/(m2 d)]; ``closure``; ``error``, why a
        house could not be run (NaN elsewhere in its row), else empty. Fuel and cost are NaN without a heater.
    monthly : frame
        Houses x months in heating order: heat [kWh].
    inside : frame
        Houses x months in heating order: mean inside air [degC].
    daily : frame or None
        Houses x days: heat [kWh].
    """

    frame: pd.DataFrame
    monthly: pd.DataFrame
    inside: pd.DataFrame
    daily: pd.DataFrame | None


class _Burner(NamedTuple):
    """One heater of a house: rows of its actuators, the heat to the energy in its fuel, energy and price of a unit."""

    actuators: list[int]
    energy: Callable[[Floats], Floats]
    unit_energy: float
    price: float


@dataclass(frozen=True, eq=False)
class Case:
    """One house made ready: its network, and what its results are measured against."""

    number: int
    network: Network
    held: Floats
    heating: NDArray[np.bool_]
    burners: list[_Burner]
    unit: str
    entered: float
    light: float
    inside_months: Floats | None  # what the ground was told, where it may have to be told again
    ground: Callable[[Floats], Floats]

    def told(self, inside_months: Floats) -> Case:
        """The same house over ground that knows the simulated inside."""
        boundaries = {**self.network._boundaries, GROUND: Driven(self.ground(inside_months))}
        return replace(self, network=self.network.copy(_boundaries=boundaries), inside_months=None)


@dataclass(eq=False)
class _Sums:
    """Sums of a group, one value or row per lane."""

    monthly: Floats
    inside: Floats
    daily: Floats | None
    peak: Floats
    given: Floats
    unmet: Floats
    below: Floats
    lowest: Floats
    closure: Floats


def simulate_many(
    houses: Mapping[Any, House] | pd.Series | Iterable[House],
    weather: Weather,
    *,
    steps_per_hour: int = 4,
    iterations: int = 2,
    threads: int = 2,
    daily: bool = False,
    inside: Callable[[int], Floats | None] | None = None,
    progress: Callable[[int], object] | None = None,
) -> Totals:
    """Run the hourly balance of many houses, of whatever kinds, on one weather record.

    Parameters
    ----------
    houses : mapping, Series or iterable of House
        Keys or index name the rows; an iterable, which may be a generator, is numbered from 0.
    weather : Weather
    steps_per_hour, iterations : int
        As for ``simulate``.
    threads : int
        Processors to use.
    daily : bool
        Whether the heat of every day is wanted too.
    inside : callable, optional
        By the place of a house in the row, mean inside air of its months, January first [degC], where it is about
        known: a guess within half a kelvin saves telling the ground again, and with it half the time.
    progress : callable, optional
        Called with the number of houses done, now and then.

    Returns
    -------
    Totals

    Raises
    ------
    InputError
        For numbers that cannot be; a house that cannot be run is a row with its error.

    Notes
    -----
    What ``simulate`` gives one at a time, to 1e-9 of each figure: sums over hours are added up month by month, in
    another order. Sun, sky and like surfaces are worked out once for the site; houses whose networks have equal ties
    are marched together, :data:`LANES` at a time. Only sums are kept, so that memory does not grow with the hours.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> house = sample_house()
    >>> totals = simulate_many({"as it is": house, "calm": house.changed(air={"ach": 0.1})}, read_weather("chicago"))
    >>> bool(totals.frame.loc["calm", "heat_kwh"] < totals.frame.loc["as it is", "heat_kwh"])
    True
    """
    clock = Clock.of(weather, steps_per_hour, iterations, threads, daily)
    labels: list[Any] = []
    numbered = houses.items() if isinstance(houses, (Mapping, pd.Series)) else enumerate(houses)

    def only_houses() -> Iterator[House]:
        for label, house in numbered:
            labels.append(label)
            yield house

    rows = _run_all(only_houses(), clock, threads, inside, progress)
    return totals_of(rows, labels, clock)


@dataclass(frozen=True, eq=False)
class Clock:
    """The site, how finely it is stepped, and the record in pieces of one month each."""

    site: Site
    substeps: int
    iterations: int
    daily: bool
    index: pd.DatetimeIndex = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "index", self.site.weather.hours.index)

    @classmethod
    def of(cls, weather: Weather, steps_per_hour: int, iterations: int, threads: int, daily: bool) -> Clock:
        """From a record and checked numbers."""
        if not hasattr(weather, "hours"):
            raise InputError(f"weather must be a Weather, got {weather!r}. Read it first: read_weather({weather!r}).")
        for name, number in (("steps_per_hour", steps_per_hour), ("iterations", iterations), ("threads", threads)):
            if not (isinstance(number, int) and not isinstance(number, bool) and number > 0):
                raise InputError(f"{name} must be a whole number > 0, got {number!r}.")
        return cls(Site(weather), steps_per_hour, iterations, daily)

    @property
    def months(self) -> list[int]:
        """Calendar months in heating order."""
        return heating_order(self.site.weather)

    @property
    def pieces(self) -> Iterator[tuple[int, int, int]]:
        """First hour, count and place in the heating order of every run of hours in one month."""
        month = np.asarray(self.index.month)
        cuts = np.flatnonzero(np.diff(month)) + 1
        for first, end in zip([0, *cuts], [*cuts, len(month)], strict=True):
            yield int(first), int(end - first), self.months.index(int(month[first]))

    @property
    def days(self) -> tuple[NDArray[np.int64], pd.DatetimeIndex]:
        """Number of each hour's day, and the days."""
        day, known = pd.factorize(self.index.normalize())
        return day.astype(np.int64), pd.DatetimeIndex(known)


def _run_all(
    houses: Iterator[House],
    clock: Clock,
    threads: int,
    inside: Callable[[int], Floats | None] | None,
    progress: Callable[[int], object] | None,
) -> dict[int, dict[str, Any]]:
    """Every house's row: houses are made ready in turn, and full groups marched by other threads meanwhile."""
    rows: dict[int, dict[str, Any]] = {}
    shelves: dict[Any, list[Case]] = {}
    running: set[Future[tuple[dict[int, dict[str, Any]], list[Case]]]] = set()
    said = 0

    def gather(*, all_of_them: bool) -> None:
        nonlocal running, said
        while running and (all_of_them or len(running) > threads):
            done, running = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                found, again = future.result()
                rows.update(found)
                for case in again:
                    shelve(case)
            if progress is not None and len(rows) > said:
                said = len(rows)
                progress(said)

    def shelve(case: Case) -> None:
        kind = _kind(case)
        shelves.setdefault(kind, []).append(case)
        held = sum(map(len, shelves.values()))
        if len(shelves[kind]) == LANES or held > 4 * LANES:
            start(kind if len(shelves[kind]) == LANES else max(shelves, key=lambda k: len(shelves[k])))

    def start(kind: Any) -> None:
        running.add(pool.submit(_march_group, shelves.pop(kind), clock))

    with ThreadPoolExecutor(threads) as pool:
        for number, house in enumerate(houses):
            try:
                shelve(_ready(number, house, clock, None if inside is None else inside(number)))
            except InputError as problem:
                rows[number] = {"error": str(problem)}
            gather(all_of_them=False)
        while shelves or running:
            for kind in list(shelves):
                start(kind)
            gather(all_of_them=True)
    return rows


def _kind(case: Case) -> Any:
    """Houses of one kind can be marched together."""
    from heatloss.balance.plan import ties

    return ties(case.network), tuple(len(b.actuators) for b in case.burners)


def _ready(number: int, house: House, clock: Clock, inside: Floats | None = None) -> Case:
    """Make one house ready, with what has been worked out for the site."""
    geometry = build(house)
    drivers = prepare(house, geometry, clock.site)
    return ready_case(number, house, geometry, drivers, assemble(house, geometry, drivers, inside))


def ready_case(number: int, house: House, geometry: Geometry, drivers: Drivers, made: Assembly) -> Case:
    """What an assembled house's results are measured against."""
    assert made.targets is not None
    heating = heated_hours(house, drivers.index)
    names = [a.name for a in made.network._actuators]
    entered, light = _light(made, drivers, heating)
    burners, unit = _burners(made, house, drivers, names)
    return Case(
        number=number,
        network=made.network,
        held=np.nan_to_num(made.targets.heat, nan=-100.0),
        heating=heating,
        burners=burners,
        unit=unit,
        entered=entered,
        light=light,
        inside_months=made.inside_months if house.method.ground == "iso_13370" else None,
        ground=_Ground(made, house, geometry, drivers),
    )


class _Ground:
    """The ground's virtual temperature for a simulated inside; the light, which is large, is let go."""

    def __init__(self, made: Assembly, house: House, geometry: Geometry, drivers: Drivers) -> None:
        self.of = replace(made, sunlight=None, network=Network()), house, geometry, drivers

    def __call__(self, inside_months: Floats) -> Floats:
        return ground_temperature(*self.of, inside_months)


def _light(made: Assembly, drivers: Drivers, heating: NDArray[np.bool_]) -> tuple[float, float]:
    """Sun that enters while a heater is in use [kWh], and the darkest month's light [mol/(m2 d)]."""
    assert made.sunlight is not None
    darkest = daily_light_integral(float(drivers.by_month(made.sunlight.on_floor).min()))
    return float(made.sunlight.entered[heating].sum()) / 1000.0, float(darkest)


def _burners(made: Assembly, house: House, drivers: Drivers, names: list[str]) -> tuple[list[_Burner], str]:
    """The heaters in the order of the house, and the first one's unit of trade."""
    burners, units = [], []
    height = pressure_height(drivers.pressure)
    for use in house.heater:
        unit = appliance(use, house)
        units.append(unit.fuel.text("unit"))
        burners.append(
            _Burner(
                [names.index(name) for name in made.heaters[use.name]],
                partial(_energy, unit, drivers.temp_air, in_use(use, drivers.index), height),
                unit_energy(unit.fuel, unit.basis),
                price_of(unit.fuel, use.price, use.name),
            )
        )
    return burners, units[0] if units else ""


def _energy(unit: Appliance, temp_air: Floats, on: NDArray[np.bool_], height: float, heat: Floats) -> Floats:
    """Energy in the fuel for the heat of every hour [W]."""
    return burn(unit, heat, temp_air=temp_air, on=on, height=height).energy


def _march_group(cases: list[Case], clock: Clock) -> tuple[dict[int, dict[str, Any]], list[Case]]:
    """Rows of a group, and those cases that must be run again over other ground."""
    if 1 < len(cases) <= FEW:
        parts = [_march_group([case], clock) for case in cases]
        return {k: v for rows, _ in parts for k, v in rows.items()}, [case for _, again in parts for case in again]
    filled = cases if len(cases) == 1 else [*cases, *cases[:1] * (LANES - len(cases))]
    try:
        sums = _march(filled, _plan_of(filled, clock), clock)
    except InputError as problem:
        if len(cases) == 1:
            return {cases[0].number: {"error": str(problem)}}, []
        parts = [_march_group([case], clock) for case in cases]  # one of them is at fault, the others are not
        return {k: v for rows, _ in parts for k, v in rows.items()}, [case for _, again in parts for case in again]
    rows, again = {}, []
    for lane, case in enumerate(cases):
        by_calendar = sums.inside[lane][np.argsort(clock.months)]
        if case.inside_months is not None and np.abs(by_calendar - case.inside_months).max() > MOVED:
            again.append(case.told(by_calendar))
        else:
            rows[case.number] = _row(case, sums, lane)
    return rows, again


def rows_of(cases: list[Case], plan: Plan, clock: Clock) -> dict[int, dict[str, Any]]:
    """Rows by number of a group whose plan stands already and whose ground is told; a case may come twice."""
    sums = _march(cases, plan, clock)
    return {case.number: _row(case, sums, lane) for lane, case in enumerate(cases)}


def _plan_of(cases: list[Case], clock: Clock) -> Plan:
    from heatloss.balance.plan import compile_networks

    return compile_networks([case.network for case in cases], len(clock.index), None)


def _march(cases: list[Case], plan: Plan, clock: Clock) -> _Sums:
    """The warm-up and the year of one group, month by month."""
    from heatloss.balance.lanes import Lanes  # the compiler loads with the first run

    hours, n = len(clock.index), len(cases)
    lanes = Lanes(plan, step=3600.0, substeps=clock.substeps, iterations=clock.iterations, whole=False)
    before = min(WARM_UP_HOURS, hours)
    lanes.advance(hours - before, before)
    lanes.pause()
    day, days = clock.days
    sums = _Sums(
        monthly=np.zeros((n, 12)),
        inside=np.zeros((n, 12)),
        daily=np.zeros((len(days), n)) if clock.daily else None,
        peak=np.zeros(n),
        given=np.zeros((n, len(cases[0].burners), hours)),
        unmet=np.zeros(n),
        below=np.zeros(n),
        lowest=np.full(n, np.inf),
        closure=np.zeros(n),
    )
    measure, length = _Measure(cases, plan), np.zeros(12)
    for first, count, month in clock.pieces:
        block = lanes.advance(first, count)
        heat = measure.add(sums, block, first, month)
        length[month] += count
        sums.closure = np.maximum(sums.closure, lanes.closure(block, first))
        if sums.daily is not None:
            np.add.at(sums.daily, day[first : first + count], heat.T / 1000.0)
    sums.inside /= length
    return sums


class _Measure:
    """What the cases of a group are measured by, stacked."""

    def __init__(self, cases: list[Case], plan: Plan) -> None:
        self.cases = cases
        self.air = plan.place[list(cases[0].network._nodes).index(AIR)]
        self.heaters = [i for i, a in enumerate(cases[0].network._actuators) if a.kind == 0]

    def add(self, sums: _Sums, block: Block, first: int, month: int) -> Floats:
        """Add a piece of time; gives its heat (lanes, steps) [W]."""
        from heatloss.balance.lanes import by_lane

        now = slice(first, first + len(block.power))
        heat = by_lane(block.power[:, self.heaters].sum(axis=1))
        air = by_lane(block.temperature[1:, self.air])
        below = np.stack([case.held[now] for case in self.cases]) - air
        heating = np.stack([case.heating[now] for case in self.cases])
        below = np.where((below > ROUNDING) & heating, below, 0.0)
        sums.monthly[:, month] += heat.sum(axis=1) / 1000.0
        sums.inside[:, month] += air.sum(axis=1)
        sums.peak = np.maximum(sums.peak, heat.max(axis=1))
        sums.unmet += (below > COLD).sum(axis=1)
        sums.below += below.sum(axis=1)
        sums.lowest = np.minimum(sums.lowest, air.min(axis=1))
        for lane, case in enumerate(self.cases):
            for i, burner in enumerate(case.burners):
                sums.given[lane, i, now] = block.power[:, burner.actuators, lane].sum(axis=1)
        return heat


def _row(case: Case, sums: _Sums, lane: int) -> dict[str, Any]:
    closure = float(sums.closure[lane])
    if not closure <= CLOSES:
        return {"error": f"the ledger must close within {CLOSES:g} of the gains, got {closure:.2g}. Report this house."}
    amounts = [
        float(burner.energy(given).sum()) / 1000.0 / burner.unit_energy
        for given, burner in zip(sums.given[lane], case.burners, strict=True)
    ]
    costs = [amount * burner.price for amount, burner in zip(amounts, case.burners, strict=True)]
    return {
        "heat_kwh": float(sums.monthly[lane].sum()),
        "peak_w": float(sums.peak[lane]),
        "fuel": float(amounts[0]) if amounts else np.nan,
        "unit": case.unit,
        "cost": float(sum(costs)) if costs else np.nan,
        "unmet_hours": float(sums.unmet[lane]),
        "degree_hours": float(sums.below[lane]),
        "lowest": float(sums.lowest[lane]),
        "sun_entered_kwh": case.entered,
        "light_darkest": case.light,
        "closure": closure,
        "error": "",
        "monthly": sums.monthly[lane],
        "inside": sums.inside[lane],
        "daily": None if sums.daily is None else sums.daily[:, lane],
    }


def totals_of(rows: dict[int, dict[str, Any]], labels: list[Any], clock: Clock) -> Totals:
    """Rows by number as frames."""
    index = pd.Index(labels, name="house")
    blank = dict.fromkeys(COLUMNS, np.nan) | {"unit": ""}
    ordered = [rows[number] for number in range(len(labels))]
    frame = pd.DataFrame([{**blank, **row} for row in ordered], columns=list(COLUMNS), index=index)
    dark = np.full(12, np.nan)
    monthly, inside = (
        pd.DataFrame([row.get(key, dark) for row in ordered], index=index, columns=clock.months).rename_axis(
            columns="month"
        )
        for key in ("monthly", "inside")
    )
    daily = None
    if clock.daily:
        _, days = clock.days
        none = np.full(len(days), np.nan)
        daily = pd.DataFrame([row.get("daily", none) for row in ordered], index=index, columns=days)
    return Totals(frame, monthly, inside, daily)
