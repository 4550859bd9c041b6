"""Water vapour of a house: what is wet, where it condenses, what carries it off, and drying at a limit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.curtains import LEVEL_SHARE, Stack
from heatloss.physics import moist_air, transpiration
from heatloss.physics.moist_air import CP_AIR, LEWIS, MASS_RATIO

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.canopy import Canopy
    from heatloss.balance.drivers import Drivers
    from heatloss.balance.floor import Column
    from heatloss.balance.panels import Panel
    from heatloss.balance.tanks import Tank
    from heatloss.geometry import Geometry
    from heatloss.house import House

Floats = NDArray[np.float64]
FILM = 1.0 / (CP_AIR * LEWIS)
"""Vapour by heat through one film [kg K/J], the Lewis analogy."""
WITH_AIR = 1.0 / CP_AIR
"""Vapour by heat with the same air [kg K/J]."""
FOG = 20.0
"""Air changes a minute with which what the air cannot hold falls out [1/min]; any large number."""
START_HUMIDITY = 70.0
"""Relative humidity before the warm-up, which forgets it [%]."""


def moisten(
    made: Assembly,
    house: House,
    geometry: Geometry,
    drivers: Drivers,
    panels: Mapping[str, Panel],
    columns: Sequence[Column],
    tanks: Sequence[Tank],
    stacks: Sequence[Stack],
    canopy: Canopy | None,
    *,
    air: str,
    outdoor: str,
) -> None:
    """Declare the balance of vapour on a network whose heat, sun and controls are declared."""
    net = made.network
    start = net.start_of(air)
    ratio = float(np.asarray(moist_air.humidity_ratio(start, START_HUMIDITY, drivers.pressure)))
    mass = made.air_density * geometry.volume
    levels = sum(len(stack.cloths) for stack in stacks)
    net.humidity(outdoor, drivers.ratio)
    net.moist_air(air, mass=mass * (1.0 - LEVEL_SHARE * levels), pressure=drivers.pressure, start=ratio)
    for stack in stacks:
        for i in range(len(stack.cloths)):
            net.moist_air(stack.air(i), mass=mass * LEVEL_SHARE, pressure=drivers.pressure, start=ratio)
    for below, above, link in made.mixing:
        net.air_flow(below, above, along=link, factor=WITH_AIR)
    for body, link in made.leaks:
        net.air_flow(body, outdoor, along=link, factor=WITH_AIR)
    for vent in made.vents:
        net.air_flow(air, outdoor, vent=vent)
    for panel in panels.values():
        _condenses(made, panel.inner)
    for stack in stacks:
        for i in range(len(stack.cloths)):
            _condenses(made, stack.under(i))
            _condenses(made, stack.over(i))
    for column in columns:
        _wet(made, column.top, column.wetness)
    for tank in tanks:
        film, body = made.films[tank.top_node]
        whole = sum(area for area, _ in tank.faces[tank.top_node])
        net.wet(tank.node, body, along=film, factor=FILM * tank.open_top / whole)
    if canopy is not None:
        _transpire(made, canopy, drivers, air)
    net.wet(air, air, (0.0, mass * FOG / 60.0))
    _dry(made, house, geometry, drivers, air, outdoor)


def _condenses(made: Assembly, node: str) -> None:
    """A face on which water condenses and runs off."""
    link, body = made.films[node]
    made.network.wet(node, body, along=link, factor=(0.0, FILM))


def _wet(made: Assembly, node: str, wetness: float) -> None:
    """A face that evaporates like so much free water, and takes up all that condenses."""
    link, body = made.films[node]
    made.network.wet(node, body, along=link, factor=(FILM * wetness, FILM))


def _transpire(made: Assembly, canopy: Canopy, drivers: Drivers, air: str) -> None:
    """Leaves by their pores, or the regression on light and dryness."""
    net = made.network
    light = made.leaf_light if made.leaf_light is not None else np.zeros(len(drivers.index))
    if canopy.node:
        pores = np.asarray(transpiration.leaf_resistance(np.maximum(light, 0.0) / canopy.surface))
        film = transpiration.BOUNDARY_RESISTANCE
        open_ = made.air_density * canopy.surface / (film + pores)
        net.wet(canopy.node, air, (open_, made.air_density * canopy.surface / film))
        return
    drawn = transpiration.BY_LIGHT * light
    made.gain("evaporation", air, -drawn)
    latent = float(np.asarray(moist_air.latent_heat(20.0)))
    net.vapour(air, drawn / latent)
    by_ratio = transpiration.BY_DRYNESS * canopy.leaf_area * canopy.area * drivers.pressure / MASS_RATIO / latent
    net.wet(air, air, (by_ratio, 0.0))


def _dry(made: Assembly, house: House, geometry: Geometry, drivers: Drivers, air: str, outdoor: str) -> None:
    """A vent that opens where the humidity limit of the day is passed."""
    assert made.targets is not None
    limit = made.targets.humidity
    if np.isnan(limit).all():
        return
    changes = made.use("defaults", "drying_air_changes", house.own)["value"]
    most = changes * geometry.volume / 3600.0 * made.air_density * CP_AIR
    shut = np.isnan(limit)
    link = made.network.dryer(air, outdoor, limit=np.where(shut, 1.0, limit), capacity=np.where(shut, 0.0, most))
    made.losses["drying"].append(link)
