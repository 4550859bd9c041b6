"""Odd stores and sources of a house: lamps, people, compost, a mass stove, air through buried pipes, make-up water."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.balance.network import Driven
from heatloss.balance.schedule import clock_hours, clock_share, in_dates
from heatloss.house import HeaterUse, day_of_year
from heatloss.house.heating import Appliance, appliance
from heatloss.physics import moist_air, stores, water
from heatloss.physics.films import STEFAN_BOLTZMANN, natural_convection
from heatloss.physics.moist_air import CP_AIR

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.drivers import Drivers
    from heatloss.balance.floor import Column
    from heatloss.geometry import Geometry
    from heatloss.house import House
    from heatloss.house.stores import BuriedPipe, MassStove, _Timed

Floats = NDArray[np.float64]
RINGS = (0.25, 0.35, 0.40)
"""Soil around a pipe in rings: shares of the way from its wall to half the spacing; common practice, no source."""
COLUMN_DEPTH = 0.5
"""Soil that the floor's own column holds [m]; pipes lie below it or at its foot."""
MASONRY_HEAT, MASONRY_CONDUCTIVITY, MASONRY_DENSITY = 840.0, 0.8, 1900.0
"""Of brick: specific heat [J/(kg K)], conductivity [W/(m K)], density [kg/m3]; textbooks, from memory."""
CUBIC_YARD = 0.764554857984
"""[m3], exact."""
STOVE_EMISSIVITY, FIXED_FILM = 0.9, 7.7
"""Of a mass stove's face [1]; its film with rays, for the method of fixed films [W/(m2 K)], ISO 6946, from memory."""


def stock(
    made: Assembly,
    house: House,
    geometry: Geometry,
    drivers: Drivers,
    columns: Sequence[Column],
    *,
    air: str,
    star: str,
) -> None:
    """Declare all odd stores and sources on a network whose heat and vapour are declared."""
    moist = house.method.latent in ("leaves", "regression")
    rays = star if house.method.films != "fixed" else air
    latent = float(np.asarray(moist_air.latent_heat(20.0)))
    if house.air.fan_power > 0.0:
        made.gain("fans", air, house.air.fan_power)
    for lamps in house.lamps:
        power = lamps.power * hours_on(lamps, drivers.index)
        made.gain("lamps", air, (1.0 - lamps.radiant_share) * power)
        made.gain("lamps", rays, lamps.radiant_share * power)
        if house.method.latent != "none":
            drawn = lamps.vapor_share * power
            made.gain("evaporation", rays, -lamps.radiant_share * drawn)
            made.gain("evaporation", air, -(1.0 - lamps.radiant_share) * drawn)
            if moist:
                made.network.vapour(air, drawn / latent)
    for people in house.people:
        power = people.count * people.heat * hours_on(people, drivers.index)
        made.gain("people", air, (1.0 - people.vapor_share) * power)
        if moist:
            made.network.vapour(air, people.vapor_share * power / latent)
    for heap in house.compost:
        first = day_of_year(heap.built) or 0
        day = np.asarray(drivers.index.day_of_year) - 1 + (np.asarray(drivers.index.hour) + 0.5) / 24.0
        age = (day - first) % 365.0
        heat = stores.compost_heat(age, volume=heap.volume, heat=heap.heat, decay=heap.decay)
        made.gain("compost", air, heap.share * np.asarray(heat))
    for stove in house.mass_stove:
        _stove(made, house, stove, drivers, air, star)
    for pipe in house.buried_pipe:
        _pipe(made, house, geometry, pipe, drivers, columns[0], air)
    for tank in house.water:
        if tank.make_up > 0.0:
            name = f"make-up of {tank.name}"
            made.network.boundary(name, tank.make_up_temperature)
            each = float(water.tank_capacity(tank.make_up)) / 86400.0
            made.lose("make-up water", f"tank {tank.name}", name, each)
    if moist:
        _flames(made, house, air, latent)


def stores_said(house: House, load: float | None) -> Iterator[str]:
    """What the report says of odd stores and sources; ``load`` [W] is that of the coldest design temperature."""
    for use in house.heater:
        if use.unvented:
            yield (
                f"STOP: {use.name} burns without a flue. Its carbon monoxide kills people and its other gases harm "
                "plants; ask the local code before it is lit. Only its heat and its vapour are counted here."
            )
    for lamps in house.lamps:
        if house.method.latent != "none":
            yield (
                f"Of the power of {lamps.name}, {100 * (1 - lamps.vapor_share):.3g} % replaces heating at once; the "
                "rest leaves the plants as vapour."
            )
    for pipe in house.buried_pipe:
        yield f"The fan of {pipe.name} follows clock, sun and outdoor air; it does not feel the air inside."
    for heap in house.compost:
        if load is not None and heap.heat * heap.share > 0.0:
            needed = stores.compost_for(load, heat=heap.heat, share=heap.share) / CUBIC_YARD
            yield (
                f"{needed:,.0f} cubic yards of fresh compost such as {heap.name} would carry the design night; "
                f"it holds {heap.volume / CUBIC_YARD:,.0f}."
            )


def hours_on(timed: _Timed, index: pd.DatetimeIndex) -> Floats:
    """Share of each hour within dates and clock times."""
    inside = in_dates(index, timed.from_, timed.to).astype(float)
    return inside if timed.start is None or timed.end is None else inside * clock_share(index, timed.start, timed.end)


def pipe_on(pipe: BuriedPipe, drivers: Drivers) -> Floats:
    """Share of each hour in which the fan of buried pipes runs.

    Notes
    -----
    Decided by dates, clock, sun and outdoor air, which are known beforehand: the control does not feel the air inside.
    Without a condition it runs in all hours of its dates and clock; with several, if any of them is met.
    """
    tests = [
        flag
        for limit, flag in (
            (pipe.sun_above, drivers.ghi > (pipe.sun_above or 0.0)),
            (pipe.warm_above, drivers.temp_air > (pipe.warm_above or 0.0)),
            (pipe.cold_below, drivers.temp_air < (pipe.cold_below or 0.0)),
        )
        if limit is not None
    ]
    on = hours_on(pipe, drivers.index)
    return on * np.logical_or.reduce(tests) if tests else on


def _pipe(
    made: Assembly,
    house: House,
    geometry: Geometry,
    pipe: BuriedPipe,
    drivers: Drivers,
    floor: Column,
    air: str,
) -> None:
    """Rings of soil round the pipes, from the air to the foot of the floor's column.

    Notes
    -----
    What lies under that column carries the heat on to the ground, so that no path is counted twice; the loss of pipes
    far below it comes out a little small. Water that condenses in the pipes is not counted.
    """
    net = made.network
    soil = made.use("soils", house.floor.soil, house.own)
    k, heat = soil["conductivity"], soil["volumetric_heat"]
    length = pipe.length * pipe.count
    mass_flow = made.air_density * pipe.flow
    film = stores.pipe_film(mass_flow / pipe.count, pipe.diameter) * np.pi * pipe.diameter * length
    on = pipe_on(pipe, drivers)
    wall = pipe.diameter / 2.0
    out = wall + np.cumsum(RINGS) * (pipe.spacing / 2.0 - wall)
    radii = [wall, *(float(r) for r in out)]
    last, carried = "", 0.0
    start = net.start_of(floor.top)
    for i, (near, far) in enumerate(pairwise(radii)):
        ring = f"soil of {pipe.name} {i + 1}"
        middle = np.sqrt(near * far)
        net.node(ring, capacity=float(heat * np.pi * (far**2 - near**2) * length), start=start)
        inner = float(np.log(middle / near)) / (2.0 * np.pi * k * length)
        if last:
            net.link(last, ring, 1.0 / (carried + inner))
        else:
            through = 1.0 / (1.0 / film + inner)
            net.link(air, ring, Driven(on, stores.exchange_conductance(mass_flow * CP_AIR, through)))
        last, carried = ring, float(np.log(far / middle)) / (2.0 * np.pi * k * length)
    plan = min(length * pipe.spacing, geometry.floor_area)
    over = max(pipe.depth - COLUMN_DEPTH, 0.05) / (k * plan)
    net.link(last, made.feet[floor.top], 1.0 / (carried + over))
    made.gain("fans", air, pipe.fan * on)


def firing(stove: MassStove, drivers: Drivers) -> Floats:
    """Share of each hour's time in which a mass stove burns, over the time of one firing [1]; a firing sums to 1.

    Notes
    -----
    A fire that burns past midnight belongs to the day on which it was lit.
    """
    index = drivers.index
    begin = clock_hours(stove.fire_at)
    days = np.asarray(index.normalize().asi8)
    lit = in_dates(index, stove.from_, stove.to)
    if stove.colder_than is not None:
        mean = pd.Series(drivers.temp_air).groupby(days).transform("mean").to_numpy()
        lit = lit & (mean < stove.colder_than)
    hour = np.asarray(index.hour, dtype=float)
    share = np.where(lit, _overlap(hour, begin, begin + stove.burns), 0.0)
    before = np.concatenate([lit[-24:], lit[:-24]]) if len(lit) > 24 else lit
    late = np.where(before, _overlap(hour + 24.0, begin, begin + stove.burns), 0.0)
    return np.asarray((share + late) / stove.burns)


def stove_unit(stove: MassStove, house: House) -> Appliance:
    """A mass stove as an appliance, for its fuel."""
    typed = {} if stove.efficiency is None else {"efficiency": stove.efficiency}
    return appliance(HeaterUse(name=stove.name, type="masonry heater", fuel=stove.fuel, **typed), house)


def stove_energy(stove: MassStove, house: House, drivers: Drivers) -> Floats:
    """Energy of a mass stove's fuel by hour [W], on the basis of its efficiency."""
    unit = stove_unit(stove, house)
    return firing(stove, drivers) * stove.load * unit.fuel[unit.basis] / 3600.0


def _stove(made: Assembly, house: House, stove: MassStove, drivers: Drivers, air: str, star: str) -> None:
    """Core and shell of masonry; the fire heats the core, the shell warms air and room."""
    net = made.network
    start = net.start_of(air)
    core, shell = f"stove {stove.name} core", f"stove {stove.name} shell"
    for node in (core, shell):
        net.node(node, capacity=0.5 * stove.mass * MASONRY_HEAT, start=start)
    thickness = stove.mass / (MASONRY_DENSITY * stove.area)
    net.link(core, shell, 2.0 * MASONRY_CONDUCTIVITY * stove.area / thickness)
    if house.method.films == "fixed":
        net.link(shell, air, FIXED_FILM * stove.area)
    else:
        warm, cold = natural_convection(0.0)
        net.link(shell, air, buoyant=(float(warm) * stove.area, float(cold) * stove.area))
        net.link(shell, star, radiant=STEFAN_BOLTZMANN * STOVE_EMISSIVITY * stove.area)
    heat = (stove_unit(stove, house).efficiency or 1.0) * stove_energy(stove, house, drivers)
    made.gain("mass stove", core, (1.0 - stove.at_once) * heat)
    made.gain("mass stove", air, stove.at_once * heat)


def _flames(made: Assembly, house: House, air: str, latent: float) -> None:
    """Vapour of burners without a flue: the water of their fuel by the heat they give."""
    for use in house.heater:
        if not use.unvented:
            continue
        unit = appliance(use, house)
        hhv, lhv = unit.fuel["hhv"], unit.fuel["lhv"]
        for name in made.heaters[use.name]:
            made.network.vapour(air, heater=name, by_watt=(hhv - lhv) / lhv / latent)


def _overlap(hour: Floats, first: float, last: float) -> Floats:
    shared: Floats = np.clip(np.minimum(hour + 1.0, last) - np.maximum(hour, first), 0.0, 1.0)
    return shared
