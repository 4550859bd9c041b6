"""The fire goes out, the fuel runs out, the power fails: how long until air, plants, water and fish reach their limits.

Every hour of a built design spell and of the file's coldest week is tried as the first of the outage. What is found is
the shortest time of all; with perfect luck it is longer, with a broken pane shorter: bounds, not promises.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.balance.assemble import AIR, assemble
from heatloss.balance.curtains import closed_curtains
from heatloss.balance.drivers import prepare
from heatloss.balance.restart import Courses, courses, crossing
from heatloss.catalogue import row
from heatloss.decisions.design import Design, governing
from heatloss.errors import InputError
from heatloss.house.heating import appliance, in_order
from heatloss.physics.oxygen import aeration_power, oxygen_saturation, oxygen_time, oxygen_uptake
from heatloss.season import Season, simulate
from heatloss.weather.spell import design_spell, spell_start

if TYPE_CHECKING:
    from heatloss.balance.network import Network
    from heatloss.house import House
    from heatloss.house.contents import Water
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
FIRE, FUEL, POWER = "fire out", "fuel out", "power cut"
CAUSES = (FIRE, FUEL, POWER)
SPELL, WEEK = "built spell", "coldest week of the file"
HORIZON = 72
"""How far an outage is followed [h]."""
SPELL_DAYS, WEEK_DAYS = 3, 7
LEAF_BELOW_AIR = 2.0
"""Leaf below the air on a clear night without a curtain [K]; horticulture texts 1 to 2 K, from memory."""
PIPE_HOURS = 0.4
"""Time constant of a half-inch line of still water in still air [h]: 740 J/(m K) over 0.5 W/(m K), calculated."""
USABLE, INVERTER = 0.8, 0.9
"""Share of a battery's content that may be used, and of it what an inverter passes; common practice, no source."""


class Limit(NamedTuple):
    """Something that must not get colder than ``level`` [degC]: ``node`` of the network, or the line of still water."""

    name: str
    node: str
    level: float
    leaf: bool = False


@dataclass(frozen=True)
class Oxygen:
    """A fish tank without its air pump.

    Attributes
    ----------
    tank, species : str
    temperature : float [degC]
        Warmest water of the hours tried: warm fish breathe most and warm water holds least.
    oxygen : float [mg/L]
        Then in the water, saturated.
    stocking : float [kg/m3]
    stocking_typed : bool
        Whether it stands in the house file; else the catalogue's middle value.
    low, middle, high : float [h]
        Time to 4 mg/L at the highest, middle and lowest uptake of the catalogue.
    pump_w : float [W]
        The air pump that is typed, else what the fish need.
    pump_typed : bool
    """

    tank: str
    species: str
    temperature: float
    oxygen: float
    stocking: float
    stocking_typed: bool
    low: float
    middle: float
    high: float
    pump_w: float
    pump_typed: bool

    def battery_wh(self, hours: float) -> float:
        """Battery that carries the pump for so long [Wh], through an inverter and used to 80 %."""
        return self.pump_w * hours / (USABLE * INVERTER)


@dataclass(frozen=True, eq=False)
class Outages:
    """What an outage does to one house.

    Attributes
    ----------
    table : frame
        One row for each cause and limit: ``cause``, ``limit``, ``hours`` (shortest; infinite where it is not reached
        within 72), ``weather`` and ``start`` of the outage that is the shortest.
    lowest : frame
        ``cause``, ``what`` (air or a tank), ``temperature`` [degC] reached within 72 hours.
    oxygen : tuple of Oxygen
        One for each tank with fish, to be read before any temperature.
    variants : frame
        ``variant``, ``cause``, ``limit``, ``hours`` in the built spell: curtain, more water, sealed doors.
    course : dict of str to frame
        By cause, that outage of the built spell which reaches the alarm's limit first, or is coldest: index ``hours``
        since it began [h], columns ``air`` and the tanks [degC].
    frost_w, frost_peak_w : float [W]
        Mean and highest hour of the heat that keeps frost off for the spell's coldest 24 hours.
    running : dict of str to float [W]
        What draws current, by name.
    alarm : dict of str to (float or None)
        By cause: warmest alarm temperature that is needed to leave ``leave`` hours [degC]; None where none does, minus
        infinity where the limit is not reached.
    alarm_limit : str
        The limit that alarm is for.
    leave : float [h]
    carry : float [h]
        For how long a battery or generator shall carry on.
    design : Design
        The coldest hour of the built spell.
    season : Season
        The house in its own weather.
    """

    table: pd.DataFrame
    lowest: pd.DataFrame
    oxygen: tuple[Oxygen, ...]
    variants: pd.DataFrame
    course: dict[str, pd.DataFrame]
    frost_w: float
    frost_peak_w: float
    running: dict[str, float]
    alarm: dict[str, float | None]
    alarm_limit: str
    leave: float
    carry: float
    design: Design
    season: Season

    def carry_wh(self) -> float:
        """Energy that all that draws current takes in the hours to be carried [Wh], as a battery must hold it."""
        return sum(self.running.values()) * self.carry / (USABLE * INVERTER)


def outage(house: House, weather: Weather, *, leave: float = 1.0, carry: float = 24.0) -> pd.DataFrame:
    """How long a house lasts without its heater or its power.

    Parameters
    ----------
    house : House
    weather : Weather
    leave, carry : float [h]
        As for :func:`study`.

    Returns
    -------
    frame
        ``cause``, ``limit``, ``hours``, ``weather``, ``start``: the table of :func:`study`, oxygen first.

    Raises
    ------
    InputError
        For a house without a heater.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> found = outage(sample_house(), read_weather("chicago"))
    >>> found["limit"].iloc[0], bool(found["hours"].iloc[0] < 2.0)
    ('oxygen in perch tank', True)
    """
    return study(house, weather, leave=leave, carry=carry).table


def study(house: House, weather: Weather, *, leave: float = 1.0, carry: float = 24.0) -> Outages:
    """Try an outage at every hour of a built design spell and of the file's coldest week.

    Parameters
    ----------
    house : House
        With at least one heater.
    weather : Weather
    leave : float [h]
        Time that an alarm shall leave to get there.
    carry : float [h]
        Time that a battery shall carry the pumps.

    Returns
    -------
    Outages

    Raises
    ------
    InputError
        For a house without a heater, or a time that is not above 0.

    Notes
    -----
    *Fire out*: the first heater fails, others go on. *Fuel out*: all that burn its fuel. *Power cut*: all that need
    current; fans stop, so that the inside films are those of still air; lamps and pumps give no heat; a motor curtain
    stays where it is. The state at each hour is that of the hourly balance; from it the network runs on without those
    heaters, in one-minute steps for two hours and quarters of an hour to 72. Limits are crossed on straight lines
    between steps. A backward step is late by half a step of cooling: 2 % in the first ten minutes.

    Left out: cold corners and layers (plants at the glass freeze first), ice that gives off heat as it forms, wind that
    finds a new leak, people who open the door.

    References
    ----------
    .. [1] Newton's law of cooling for the bare case; calculated.
    """
    if not house.heater:
        raise InputError("heater must be given to fail, got none. Add a [[heater]] table to the house.")
    for name, value in (("leave", leave), ("carry", carry)):
        if not 0.0 < value <= HORIZON:
            raise InputError(f"{name} must be above 0 and at most {HORIZON} [h], got {value:g}.")
    season = simulate(house, weather)
    design = governing(season)
    trials = _trials(season, design)
    limits = list(_limits(house))
    found = [(cause, trial, trial.after(cause)) for cause in CAUSES for trial in trials]
    variants = _variants(house, weather, design, _worst_limit(house, limits), found)
    oxygen = tuple(_oxygen(season, trials))
    first = [(POWER, f"oxygen in {o.tank}", o.low, "any", "any") for o in oxygen]
    worst = _worst_limit(house, limits)
    frost_w, frost_peak_w = _frost(season, design)
    return Outages(
        table=pd.DataFrame([*first, *_table(found, limits)], columns=["cause", "limit", "hours", "weather", "start"]),
        lowest=pd.DataFrame(_lowest(found, house), columns=["cause", "what", "temperature"]),
        oxygen=oxygen,
        variants=pd.DataFrame(variants, columns=["variant", "cause", "limit", "hours"]),
        course={cause: _course(run, trial, worst) for cause, trial, run in found if trial.name == SPELL},
        frost_w=frost_w,
        frost_peak_w=frost_peak_w,
        running=_running(house, oxygen),
        alarm={cause: _alarm(found, cause, worst, leave, _lowest_setpoint(season)) for cause in CAUSES},
        alarm_limit=worst.name,
        leave=leave,
        carry=carry,
        design=design,
        season=season,
    )


def _limits(house: House) -> Iterator[Limit]:
    """Everything in the house that has a limit, the air first."""
    yield Limit("air at freezing", AIR, 0.0)
    yield Limit("leaves at freezing", AIR, 0.0, leaf=True)
    if house.crop is not None:
        crop = row("crops", house.crop, house.own)
        yield Limit(f"{crop.name} chilled, harm if it lasts", AIR, crop["chill"], leaf=True)
        yield Limit(f"{crop.name} killed", AIR, crop["kill"], leaf=True)
    yield Limit("water lines freeze", "line", 0.0)
    for tank in house.water:
        node = f"tank {tank.name}"
        if tank.species is not None:
            fish = row("fish", tank.species, house.own)
            yield Limit(f"{fish.name} stop feeding, {tank.name}", node, fish["stop_feeding"])
            if fish["kill_low"] > 0.0:
                yield Limit(f"{fish.name} die of cold, {tank.name}", node, fish["kill_low"])
        yield Limit(f"ice on {tank.name}", node, 0.0)


def _worst_limit(house: House, limits: list[Limit]) -> Limit:
    """What the alarm is for: the crop's death, else freezing leaves."""
    killed = [limit for limit in limits if limit.name.endswith(" killed")]
    return killed[0] if killed else limits[1]


@dataclass(frozen=True, eq=False)
class _Trial:
    """One stretch of weather with every hour of it tried as the first of an outage."""

    name: str
    season: Season
    starts: tuple[int, ...]
    leaf: Floats  # how far leaves may be below the air, by start: nothing under a closed curtain
    cuts: Mapping[bool, Network]  # by whether the curtain is closed: the network without power
    closed: NDArray[np.bool_]
    known: dict[Any, Courses] = field(default_factory=dict)

    def after(self, cause: str) -> Courses:
        """Courses of every start, in their order; those of equal failures are run once."""
        out = tuple(_out(self.season, cause))
        key = (*out, cause == POWER)
        if key not in self.known:
            self.known[key] = self._powerless() if cause == POWER else self._fireless(out)
        return self.known[key]

    def _fireless(self, out: tuple[str, ...]) -> Courses:
        network = self.season.network.limited(dict.fromkeys(out, 0.0))
        return self._courses(network, np.arange(len(self.starts)))

    def _powerless(self) -> Courses:
        parts = [(which, self._courses(self.cuts[state], which)) for state in self.cuts for which in [self._in(state)]]
        parts = [(which, part) for which, part in parts if len(which)]
        names = tuple(name for name in parts[0][1].names if all(name in part.names for _, part in parts))
        whole = np.empty((len(self.starts), len(parts[0][1].hours), len(names)))
        for which, part in parts:
            whole[which] = part.temperature[:, :, [part.names.index(name) for name in names]]
        return Courses(parts[0][1].hours, names, whole)

    def _in(self, closed: bool) -> NDArray[np.int64]:
        return np.flatnonzero(self.closed == closed)

    def _courses(self, network: Network, which: NDArray[np.int64]) -> Courses:
        starts = [self.starts[i] for i in which]
        if not starts:
            return Courses(np.zeros(1), (), np.zeros((0, 1, 0)))
        run = self.season.run
        temperature = _carried(run.network._nodes, run.lane_temperature[starts], network._nodes, AIR)
        airs, known = network._moisture.airs, run.network._moisture.airs
        humidity = (
            _carried(known, run.lane_humidity[starts], airs, AIR) if known else np.zeros((len(starts), len(airs)))
        )
        return courses(network, starts=starts, temperature=temperature, humidity=humidity, hours=HORIZON)


def _carried(known: Any, state: Floats, wanted: Any, rest: str) -> Floats:
    """The state in another network's order; a node that was not there begins like ``rest``."""
    place = {name: i for i, name in enumerate(known)}
    return state[:, [place.get(name, place[rest]) for name in wanted]] if wanted else np.zeros((len(state), 0))


def _trials(season: Season, design: Design) -> list[_Trial]:
    """The built spell, and the coldest week of the file itself."""
    house, weather = season.house, season.weather
    days = SPELL_DAYS + HORIZON // 24
    spelled = simulate(house, design_spell(weather, design.temperature, days=days))
    first = spell_start(weather, days=days)
    week = int(pd.DatetimeIndex(weather.hours.index).searchsorted(weather.coldest(float(WEEK_DAYS))["start"].iloc[0]))
    return [
        _trial(SPELL, spelled, range(first, first + 24 * SPELL_DAYS)),
        _trial(WEEK, season, range(week, min(week + 24 * WEEK_DAYS, season.run.steps))),
    ]


def _trial(name: str, season: Season, starts: range) -> _Trial:
    curtains = closed_curtains(season.house, season.drivers)
    shut = curtains[0].closed[list(starts)] > 0.5 if curtains else np.zeros(len(starts), dtype=bool)
    cuts = {bool(state): _cut(season, closed=bool(state)) for state in np.unique(shut)}
    return _Trial(name, season, tuple(starts), np.where(shut, 0.0, LEAF_BELOW_AIR), cuts, shut)


def _cut(season: Season, *, closed: bool) -> Network:
    """The house without power: still air, no lamps or pumps, the curtain as it was, no heater that needs current."""
    house = season.house
    curtains = [{**curtain.tree(), "schedule": "always"} for curtain in house.curtain] if closed else []
    dark = house.changed(**_unpowered(house), curtain=curtains)
    made = assemble(
        dark, season.geometry, prepare(dark, season.geometry, season.weather), season.assembly.inside_months
    )
    return made.network.limited(dict.fromkeys(_out(season, POWER), 0.0))


def _unpowered(house: House) -> dict[str, Any]:
    """What of the house file changes when fans, lamps and pumps stand still."""
    method = house.method.tree() | ({"films": "natural"} if house.method.films == "fan" else {})
    air = {key: value for key, value in house.air.tree().items() if key not in ("fan_power", "fan_film")}
    return {"method": method, "air": air, "gains": {}, "lamps": [], "buried_pipe": []}


def _out(season: Season, cause: str) -> list[str]:
    """Actuators that stand still."""
    house = season.house
    units = [appliance(use, house) for use in in_order(house)]
    if cause == FIRE:
        failed = units[:1]
    elif cause == FUEL:
        failed = [unit for unit in units if unit.fuel.name == units[0].fuel.name]
    else:
        failed = [unit for unit in units if unit.needs_power]
    return [name for unit in failed for name in season.assembly.heaters[unit.name]]


def _times(limit: Limit, run: Courses, leaf: Floats) -> Floats:
    """Hours to a limit from every start."""
    level = limit.level + leaf if limit.leaf else limit.level
    return crossing(run.hours, _line(run) if limit.node == "line" else run.of(limit.node), level)


def _line(run: Courses) -> Floats:
    """Temperature of still water in a thin line, which follows the air with its own lag."""
    air = run.of(AIR)
    line = air.copy()
    for i, step in enumerate(np.diff(run.hours)):
        line[:, i + 1] = (line[:, i] + step / PIPE_HOURS * air[:, i + 1]) / (1.0 + step / PIPE_HOURS)
    return line


def _table(found: list[tuple[str, _Trial, Courses]], limits: list[Limit]) -> Iterator[tuple[str, str, float, str, str]]:
    for cause in CAUSES:
        for limit in limits:
            best = (math.inf, "", "")
            for of, trial, run in found:
                if of == cause:
                    hours = _times(limit, run, trial.leaf)
                    at = int(hours.argmin())
                    hour = pd.DatetimeIndex(trial.season.drivers.index)[trial.starts[at]]
                    best = min(best, (float(hours[at]), trial.name, f"{hour:%m-%d %H:%M}"))
            yield cause, limit.name, *best


def _lowest(found: list[tuple[str, _Trial, Courses]], house: House) -> Iterator[tuple[str, str, float]]:
    for cause in CAUSES:
        runs = [run for of, _, run in found if of == cause]
        for node in (AIR, *(f"tank {tank.name}" for tank in house.water)):
            yield cause, node.removeprefix("tank "), min(float(run.of(node).min()) for run in runs)


def _course(run: Courses, trial: _Trial, limit: Limit) -> pd.DataFrame:
    """The worst of all starts."""
    hours = _times(limit, run, trial.leaf)
    at = int(hours.argmin()) if np.isfinite(hours).any() else int(run.of(AIR).min(axis=1).argmin())
    tanks = [name for name in run.names if name.startswith("tank ")]
    columns = {name.removeprefix("tank "): run.of(name)[at] for name in (AIR, *tanks)}
    return pd.DataFrame(columns, index=pd.Index(run.hours, name="hours"))


def _oxygen(season: Season, trials: list[_Trial]) -> Iterator[Oxygen]:
    for tank in season.house.water:
        if tank.species is not None:
            seen = [trial.season.hourly[f"tank {tank.name}"].iloc[list(trial.starts)].max() for trial in trials]
            yield tank_oxygen(tank, season.house, float(max(seen)), pressure=season.drivers.pressure)


def tank_oxygen(tank: Water, house: House, temperature: float, *, pressure: float = 101325.0) -> Oxygen:
    """How long the fish of a tank have air when its pump stops.

    Parameters
    ----------
    tank : Water
        With a species.
    house : House
        For the person's own catalogue rows.
    temperature : float [degC]
        Of the water.
    pressure : float [Pa]
        Of the air.

    Returns
    -------
    Oxygen

    Notes
    -----
    Uptake is stated for the middle of the range the species likes and doubles every 10 K.

    Examples
    --------
    >>> from heatloss import sample_house
    >>> house = sample_house()
    >>> found = tank_oxygen(house.water[0], house, 15.0)
    >>> found.low < found.middle < found.high
    True
    """
    fish = row("fish", str(tank.species), house.own)
    stocking = fish["stocking"] if tank.stocking is None else tank.stocking
    rated = 0.5 * (fish["prefer_low"] + fish["prefer_high"])
    taken = fish.fields["oxygen_use"]
    at = [oxygen_uptake(u, temp_water=temperature, temp_rated=rated) for u in (taken.high, taken.value, taken.low)]
    held = float(oxygen_saturation(min(max(temperature, 0.0), 40.0), pressure=pressure))
    low, middle, high = (oxygen_time(held, stocking=stocking, uptake=u) for u in at)
    pump = tank.aerator if tank.aerator is not None else aeration_power(stocking * tank.volume, uptake=at[0])
    return Oxygen(
        tank.name, fish.name, temperature, held, stocking, tank.stocking is not None, low, middle, high, pump,
        tank.aerator is not None,
    )  # fmt: skip


def _running(house: House, oxygen: tuple[Oxygen, ...]) -> dict[str, float]:
    """What draws current: heaters with their fans, the pumps and lamps of [gains], other fans, air pumps."""
    units = [appliance(use, house) for use in in_order(house)]
    draws = {unit.name: unit.electric for unit in units if unit.electric > 0.0 and not unit.table}
    if house.gains.power > 0.0:
        draws["lamps, pumps and fans of [gains]"] = house.gains.power
    if house.air.fan_power > 0.0:
        draws["fans that stir the air"] = house.air.fan_power
    draws |= {f"fan of {pipe.name}": pipe.fan for pipe in house.buried_pipe}
    return draws | {f"air pump of {o.tank}": o.pump_w for o in oxygen}


def _lowest_setpoint(season: Season) -> float:
    assert season.assembly.targets is not None
    held = season.assembly.targets.heat[season.heating]
    return float(np.nanmin(held)) if len(held) else math.nan


def _alarm(
    found: list[tuple[str, _Trial, Courses]], cause: str, limit: Limit, leave: float, setpoint: float
) -> float | None:
    """Warmest air temperature that any start has ``leave`` hours before the limit; None where that is too late."""
    needed = -math.inf
    for of, trial, run in found:
        if of != cause:
            continue
        for start, hours in enumerate(_times(limit, run, trial.leaf)):
            if math.isinf(hours):
                continue
            if hours < leave:
                return None
            needed = max(needed, float(np.interp(hours - leave, run.hours, run.of(AIR)[start])))
    return needed if needed < setpoint - 1.0 else None


def _frost(season: Season, design: Design) -> tuple[float, float]:
    """Mean and highest hour [W] of the spell's coldest 24 hours, air held so that no leaf freezes, power out."""
    house = season.house
    guard = LEAF_BELOW_AIR if not house.curtain else 0.5
    held = house.changed(
        **_unpowered(house), setpoint=[{"day": f"{guard} degC"}],
        heater=[{"name": "guard", "fuel": "electricity", "efficiency": 1.0, "basis": "hhv"}],
        water=[{k: v for k, v in tank.tree().items() if k not in ("setpoint", "heater")} for tank in house.water],
    )  # fmt: skip
    spelled = simulate(held, design_spell(season.weather, design.temperature, days=SPELL_DAYS))
    first = spell_start(season.weather, days=SPELL_DAYS)
    heat = spelled.hourly["heat"].to_numpy()[first : first + 24 * SPELL_DAYS]
    days = np.convolve(heat, np.ones(24) / 24.0, mode="valid")
    return float(days.max()), float(heat.max())


def _variants(
    house: House, weather: Weather, design: Design, limit: Limit, found: list[tuple[str, _Trial, Courses]]
) -> Iterator[tuple[str, str, str, float]]:
    """The built spell for the house as it is, and again for a changed one."""
    for cause, trial, run in found:
        if trial.name == SPELL and cause in (FIRE, POWER):
            yield "as it is", cause, limit.name, float(_times(limit, run, trial.leaf).min())
    days = SPELL_DAYS + HORIZON // 24
    spelled, first = design_spell(weather, design.temperature, days=days), spell_start(weather, days=days)
    for name, changed in _changes(house).items():
        trial = _trial(SPELL, simulate(changed, spelled), range(first, first + 24 * SPELL_DAYS))
        for cause in (FIRE, POWER):
            hours = _times(limit, trial.after(cause), trial.leaf)
            yield name, cause, limit.name, float(hours.min())


def _changes(house: House) -> dict[str, House]:
    """The curtain the other way, more water, the doors kept shut and the joints taped."""
    changes: dict[str, Any] = {}
    if house.curtain:
        changes["without the curtain"] = {"curtain": []}
    elif house.shape.kind != "free":
        changes["with a curtain at night"] = {"curtain": [{"material": "energy curtain"}]}
    water = [tank.tree() for tank in house.water]
    more = {"name": "more water", "volume": f"{MORE_WATER} m3"}
    changes["4 m3 (1,060 gallons) more water"] = {"water": [*water, more]}
    air = {k: v for k, v in house.air.tree().items() if k != "doors"}
    changes["doors kept shut, joints taped"] = {"air": _taped(air)}
    return {name: house.changed(**change) for name, change in changes.items()}


MORE_WATER = 4.0
"""Water added to see what it does [m3], about a thousand gallons."""
TAPED = 0.7
"""Air exchange left when joints are taped; common practice, no source."""


def _taped(air: dict[str, Any]) -> dict[str, Any]:
    """The same leak, three tenths smaller where it is a number, the taped class where it is a class."""
    from heatloss.house.entry import keys
    from heatloss.house.models import Air

    known = {field.alias or name: kind for name, field, kind in keys(Air)}
    for name in ("ach", "n50", "leakage_area"):
        if name in air:
            return {**air, name: known[name].write(TAPED * known[name].read(air[name]))}
    return {**air, "class": "structured sheet taped"}
