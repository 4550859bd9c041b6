"""A house becomes a network: which node, which link, which source each part of it is.

The engine knows no greenhouse words; they all stand here. Every link to a boundary and every source carries the word
of the ledger path it belongs to.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.balance.canopy import Canopy, canopy_of, grow
from heatloss.balance.curtains import LEVEL_SHARE, Closed, Stack, closed_curtains, hang, stacks_of
from heatloss.balance.drivers import Drivers
from heatloss.balance.floor import Column, ground_of, yearly_wave
from heatloss.balance.heating import heat
from heatloss.balance.inside import fixed_films, inside_films
from heatloss.balance.network import Driven, Network, Value
from heatloss.balance.panels import Panel, panel_of
from heatloss.balance.schedule import Targets, targets
from heatloss.balance.stores import stock
from heatloss.balance.sunlight import Inside, Sunlight, distribute
from heatloss.balance.tanks import Tank, fill
from heatloss.balance.wetness import moisten
from heatloss.catalogue import Row
from heatloss.geometry import Geometry, Surface
from heatloss.house import House
from heatloss.physics import air_exchange, films, ground, moist_air, snow
from heatloss.physics.films import STEFAN_BOLTZMANN
from heatloss.physics.moist_air import CP_AIR

Floats = NDArray[np.float64]
AIR, STAR, OUTDOOR, SKY = "air", "radiant star", "outdoor", "sky"
VENTS, COOLER = "vents", "cooler"
BERM_DEPTH = 1.0
"""Depth at which the earth behind a bermed wall is met [m]; common practice, no source."""
MORNING = 4
"""Hours after sunrise in which drops hang on a wet cover; common practice, no source."""
OUTSIDE_FORMS = {"fan": "flat_plate", "natural": "flat_plate"}
"""Outside film of the method words that name an inside film; the others name the outside form itself."""


@dataclass
class Assembly:
    """A network with the meaning of its parts.

    Attributes
    ----------
    network : Network
    losses : {path: numbers of the links from a node to a boundary}
    gains : {path: numbers of the sources}
    heaters : {heater of the house: names of its actuators}
    tanks : names of the tanks' nodes
    feet : {top of a column of floor or bed: its lowest cell}
    films : {inner face: (number of its film's link, the air it meets)}
    leaks : (body of air, number of the link) of what leaks in or out
    mixing : (air below, air above, number of the link) of every cloth
    vents : names of the vents that exchange air
    air_density : float [kg/m3]
    leaf_light : (hours,) [W]
        Sun that leaves take.
    rows : every catalogue row used, as (row, fields)
    sunlight : Sunlight
    targets : Targets
    inside_months : (12,) [degC]
        What the ground was told of the inside.
    ground_again : bool
        Whether those are the simulated means and not the first guess.
    """

    network: Network = field(default_factory=Network)
    losses: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    gains: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    heaters: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    tanks: list[str] = field(default_factory=list)
    feet: dict[str, str] = field(default_factory=dict)
    films: dict[str, tuple[int, str]] = field(default_factory=dict)
    leaks: list[tuple[str, int]] = field(default_factory=list)
    mixing: list[tuple[str, str, int]] = field(default_factory=list)
    vents: list[str] = field(default_factory=list)
    air_density: float = 1.2
    leaf_light: Floats | None = None
    rows: dict[tuple[str, str], Row] = field(default_factory=dict)
    sunlight: Sunlight | None = None
    targets: Targets | None = None
    inside_months: Floats | None = None
    ground_again: bool = False

    def use(self, kind: str, name: str, own: Mapping[str, Any] | None) -> Row:
        """Look a row up and remember that it was used."""
        row = catalogue.row(kind, name, own)
        self.rows[kind, name] = row
        return row

    def lose(self, path: str, node: str, boundary: str, conductance: Value = 0.0, **law: Any) -> int:
        """Link a node to a boundary and book it under a path; gives the number of the link."""
        link = self.network.link(node, boundary, conductance, **law)
        self.losses[path].append(link)
        return link

    def gain(self, path: str, node: str, power: Value) -> None:
        """Add a source and book it under a path."""
        self.gains[path].append(self.network.source(node, power))


def assemble(house: House, geometry: Geometry, drivers: Drivers, inside_months: Floats | None = None) -> Assembly:
    """Build the network of a house.

    Parameters
    ----------
    house : House
    geometry : Geometry
    drivers : Drivers
        From ``prepare`` for the same house, geometry and weather.
    inside_months : (12,) [degC], optional
        Monthly means of the inside air for the ground; without it the larger of setpoint and outdoor mean + 4 K.

    Returns
    -------
    Assembly
    """
    made = Assembly(ground_again=inside_months is not None)
    made.targets = targets(house, drivers.index, drivers.daylight, drivers.ghi)
    start = float(np.nan_to_num(np.nanmean(made.targets.heat) if house.setpoint else 10.0, nan=10.0))
    net = made.network
    made.air_density = float(moist_air.density(start, drivers.pressure))
    air_capacity = made.air_density * CP_AIR * geometry.volume
    light = made.use("defaults", "light_capacity", house.own)["value"]
    net.node(AIR, capacity=float(air_capacity + light * geometry.floor_area), start=start)
    fixed = house.method.films == "fixed"
    if not fixed:
        net.node(STAR, start=start)
    net.boundary(OUTDOOR, drivers.temp_air)
    net.boundary(SKY, drivers.temp_sky)
    columns = ground_of(house, geometry, drivers, made, inside_months, start)
    rows = [made.use("glazing", s.glazing, house.own) if s.glazing else None for s in geometry.surfaces]
    _spaces(made, house, drivers, float(drivers.temp_air.mean()))
    curtains = closed_curtains(house, drivers)
    panels = _panels(made, house, geometry, drivers, rows, curtains, start)
    tanks = [fill(made, tank, start, floor=columns[0].top) for tank in house.water]
    canopy = canopy_of(made, house, columns, geometry.floor_area)
    if canopy is not None and canopy.node:
        grow(made, canopy, columns, air=AIR, start=start)
    stacks = stacks_of(made, curtains, geometry, panels)
    if fixed:
        fixed_films(made, panels, columns, tanks, AIR)
    else:
        least = 0.0
        if house.method.films != "natural":
            least = made.use("defaults", "inside_film_minimum", house.own)["value"]
        least = max(least, house.air.fan_film)
        for stack in stacks:
            hang(made, house, stack, panels, air=AIR, air_heat=LEVEL_SHARE * air_capacity, least=least, start=start)
        inside_films(made, geometry, panels, columns, tanks, stacks, canopy, air=AIR, star=STAR, least=least)
    _air(made, house, geometry, drivers, curtains, stacks)
    _sun(made, house, geometry, drivers, rows, panels, columns, tanks, curtains, canopy)
    _gains(made, house)
    _controls(made, house, geometry, drivers)
    if house.method.latent in ("leaves", "regression"):
        moisten(made, house, geometry, drivers, panels, columns, tanks, stacks, canopy, air=AIR, outdoor=OUTDOOR)
    stock(made, house, geometry, drivers, columns, air=AIR, star=STAR)
    return made


def _panels(
    made: Assembly,
    house: House,
    geometry: Geometry,
    drivers: Drivers,
    rows: Sequence[Row | None],
    closed: Sequence[Closed],
    start: float,
) -> dict[str, Panel]:
    """One chain for every group of surfaces: inner face, what lies between, outer face and its boundaries."""
    form = house.method.films
    outside = _outside_film(house, drivers)
    panels: dict[str, Panel] = {}
    for group in dict.fromkeys(s.group for s in geometry.surfaces):
        members = [j for j, s in enumerate(geometry.surfaces) if s.group == group]
        surface = geometry.surfaces[members[0]]
        row = rows[members[0]]
        panel = panel_of(made, house, geometry, group, members, row, closed)
        panels[group] = panel
        net = made.network
        net.node(panel.inner, capacity=panel.face_capacity, start=start)
        net.node(panel.outer, capacity=panel.face_capacity, start=start)
        _between(net, panel, start)
        if surface.behind == "outdoors":
            if row is not None and house.cover.bridging > 1.0:
                made.lose("bridging", panel.inner, OUTDOOR, panel.bridge)
            _outer_face(made, panel, [geometry.surfaces[j] for j in members], outside, fixed=form == "fixed")
        else:
            _behind(made, house, panel, surface, drivers)
    return panels


def _between(net: Network, panel: Panel, start: float) -> None:
    """The chain from the inner to the outer face."""
    last = panel.inner
    for i, (resistance, capacity) in enumerate(panel.cells):
        cell = f"{panel.name} cell {i + 1}"
        net.node(cell, capacity=capacity * panel.area, start=start)
        net.link(last, cell, panel.area / resistance)
        last = cell
    net.link(last, panel.outer, panel.through)


def _outside_film(house: House, drivers: Drivers) -> tuple[Floats, float]:
    """Forced part by hour [W/(m2 K)] and buoyant part [W/(m2 K^(4/3))] of the outside film."""
    if house.method.films == "fixed":
        return np.zeros(0), 0.0
    forced, buoyant = films.outside_convection(drivers.wind, OUTSIDE_FORMS.get(house.method.films, house.method.films))
    return np.broadcast_to(np.asarray(forced, dtype=float), drivers.wind.shape).copy(), buoyant


def _outer_face(
    made: Assembly, panel: Panel, members: Sequence[Surface], outside: tuple[Floats, float], *, fixed: bool
) -> None:
    """Wind film to the air; long wave to the sky and to what stands at air temperature."""
    if fixed:
        made.lose(panel.path, panel.outer, OUTDOOR, panel.area / panel.r_se)
        return
    sky_area = panel.emissivity_out * sum(s.area * films.sky_split(s.tilt)[0] for s in members)
    air_area = panel.emissivity_out * panel.area - sky_area
    forced, buoyant = outside
    made.lose(
        panel.path,
        panel.outer,
        OUTDOOR,
        Driven(forced, panel.area),
        buoyant=buoyant * panel.area,
        mix="root_square",
        radiant=STEFAN_BOLTZMANN * air_area,
    )
    if sky_area > 0.0:
        made.lose(panel.path, panel.outer, SKY, radiant=STEFAN_BOLTZMANN * sky_area)
    if panel.longwave:  # a film lets heat rays through: the room sees the sky
        sky = sum(s.area * films.sky_split(s.tilt)[0] for s in members)
        made.lose(panel.path, STAR, SKY, radiant=panel.longwave * (STEFAN_BOLTZMANN * sky))
        made.lose(panel.path, STAR, OUTDOOR, radiant=panel.longwave * (STEFAN_BOLTZMANN * (panel.area - sky)))


def _earth(made: Assembly, house: House, drivers: Drivers) -> Floats:
    """Undisturbed soil 1 m down, which a bermed wall leans against (Kusuda and Achenbach)."""
    soil = made.use("soils", house.floor.soil, house.own)
    mean, amplitude, coldest = yearly_wave(drivers.by_month(drivers.temp_air))
    return np.asarray(
        ground.soil_temperature(
            BERM_DEPTH,
            day=(drivers.month - 0.5) * 365.0 / 12.0,
            mean=mean,
            amplitude=amplitude,
            diffusivity=soil["conductivity"] / soil["volumetric_heat"],
            coldest_day=(coldest - 0.5) * 365.0 / 12.0,
        )
    )


def space_node(name: str) -> str:
    """Node of an unheated space's air."""
    return f"space {name}"


def _spaces(made: Assembly, house: House, drivers: Drivers, start: float) -> None:
    """Unheated rooms against the house: their own air, hull and leaks; no sun of their own."""
    for space in house.space:
        air = float(moist_air.density(start, drivers.pressure)) * CP_AIR * space.volume
        made.network.node(space_node(space.name), capacity=air, start=start)
        made.lose("opaque", space_node(space.name), OUTDOOR, space.area * space.u)
        leak = space.ach * float(air_exchange.heat_per_ach(space.volume, drivers.pressure, start))
        made.lose("infiltration", space_node(space.name), OUTDOOR, leak)


def _behind(made: Assembly, house: House, panel: Panel, surface: Surface, drivers: Drivers) -> None:
    """A heated house, the earth, or a steady temperature on the far side."""
    temperature: Value
    if surface.behind == "house":
        name, temperature = "house", made.use("defaults", "house_temperature", house.own)["value"]
    elif surface.behind == "ground":
        name, temperature = "earth", _earth(made, house, drivers)
    elif isinstance(surface.behind, str):
        made.network.link(panel.outer, space_node(surface.behind), panel.area / panel.r_se)
        return
    else:
        name, temperature = f"steady {surface.behind:g} degC", surface.behind
    if name not in made.network.boundaries:
        made.network.boundary(name, temperature)
    made.lose(panel.path, panel.outer, name, panel.area / panel.r_se)


def _air(
    made: Assembly,
    house: House,
    geometry: Geometry,
    drivers: Drivers,
    curtains: Sequence[Closed],
    stacks: Sequence[Stack],
) -> None:
    """Outdoor air that leaks through the house, as a conductance; over a closed curtain it meets the air there."""
    leak = leak_conductance(made, house, geometry, drivers, curtains)
    covered = sum(s.area for s in geometry.surfaces if s.role == "cover")
    left = np.ones_like(leak)
    for stack in stacks:
        over = stack.shut * sum(stack.covered.values()) / covered
        left = left - over
        made.leaks.append((stack.top, made.lose("infiltration", stack.top, OUTDOOR, leak * over)))
    made.leaks.append((AIR, made.lose("infiltration", AIR, OUTDOOR, leak * np.maximum(left, 0.0))))


def leak_conductance(
    made: Assembly, house: House, geometry: Geometry, drivers: Drivers, curtains: Sequence[Closed] = ()
) -> Floats:
    """Air exchange as a conductance, hour by hour [W/K]; less while a curtain of the panel form is closed.

    Notes
    -----
    Where the exchange depends on the temperature difference, the setpoint stands for the inside. Density is that at
    the record's mean pressure and the mean setpoint, or 1.2 kg/m3 by the method word ``fixed_density``.
    """
    assert made.targets is not None
    inside = np.where(np.isnan(made.targets.heat), np.maximum(drivers.temp_air + 4.0, 0.0), made.targets.heat)
    difference = inside - drivers.temp_air
    air, method = house.air, house.method.air_exchange
    ach: Floats | float
    if air.class_ is not None:
        row = made.use("infiltration", air.class_, house.own)
        if method == "wind_stack":
            ach = np.asarray(
                air_exchange.linear_ach(
                    drivers.wind,
                    temperature_difference=difference,
                    base=row["ach_base"],
                    wind=row["ach_wind"],
                    stack=row["ach_stack"],
                )
            )
        else:
            ach = row["ach"]
    elif air.ach is not None:
        ach = air.ach
    elif air.n50 is not None:
        ach = air_exchange.ach_from_n50(air.n50)
    else:
        assert air.leakage_area is not None
        flow = air_exchange.leakage_flow(
            air.leakage_area, temperature_difference=np.abs(difference), wind_speed=drivers.wind
        )
        ach = np.asarray(flow) * 3600.0 / geometry.volume
    if air.doors is not None and air.doors.count > 0:
        door = air_exchange.door_flow(air.doors.area, height=2.0, temperature_difference=np.abs(difference))
        ach = ach + np.asarray(
            air_exchange.door_ach(
                door, openings_per_day=air.doors.count, seconds=air.doors.seconds, volume=geometry.volume
            )
        )
    per_ach = (
        1.2 * CP_AIR * geometry.volume / 3600.0
        if method == "fixed_density"
        else float(air_exchange.heat_per_ach(geometry.volume, drivers.pressure, float(inside.mean())))
    )
    leak = np.broadcast_to(np.asarray(ach, dtype=float) * per_ach, drivers.temp_air.shape).copy()
    covered = sum(s.area for s in geometry.surfaces if s.role == "cover")
    for curtain in curtains:
        if curtain.levels:
            continue
        share = sum(s.area for s in geometry.surfaces if curtain.covers(s)) / covered if covered else 0.0
        leak *= 1.0 - curtain.closed * min(share, 1.0) * (1.0 - curtain.row["infiltration_factor"])
    return leak


def _sun(
    made: Assembly,
    house: House,
    geometry: Geometry,
    drivers: Drivers,
    rows: Sequence[Row | None],
    panels: Mapping[str, Panel],
    columns: Sequence[Column],
    tanks: Sequence[Tank],
    curtains: Sequence[Closed],
    canopy: Canopy | None,
) -> None:
    """Absorbed sun to the nodes; by the latent share, part of what floor and plants take goes into vapour."""
    absorbs = {name: made.use("defaults", f"absorptance_{name}", house.own)["value"] for name in ("water", "barrel")}
    within = [Inside(c.top, c.area, "floor", c.absorptance, (c.area, 0.0)) for c in columns]
    for tank in tanks:
        if tank.use.in_sun:
            black = absorbs["barrel"] if tank.use.lid else absorbs["water"]
            within.append(Inside(tank.node, tank.top + tank.side, tank.node, black, (tank.top, tank.side / np.pi)))
    shares = [
        _light_share(made, house, s, row, drivers, curtains) for s, row in zip(geometry.surfaces, rows, strict=True)
    ]
    planted = house.method.latent == "share" or canopy is not None
    crossing = made.use("defaults", "crossing_light", house.own)["value"] if planted else 0.0
    light = distribute(geometry.surfaces, rows, shares, within, drivers, crossing=crossing)
    made.sunlight = light
    if house.method.sun == "none":
        return
    inner, outer = light.inner_faces, light.outer_faces
    for panel in panels.values():
        members = list(panel.members)
        made.gain("sun", panel.inner, inner[:, members].sum(axis=1))
        made.gain(panel.path, panel.outer, outer[:, members].sum(axis=1))
    latent = made.use("defaults", "latent_share", house.own)["value"] if house.method.latent == "share" else 0.0
    wet = made.use("defaults", "latent_share_full", house.own)["value"] if house.water and latent else 0.0
    lidded = {tank.node for tank in tanks if tank.use.lid}
    if canopy is not None and not canopy.node:
        made.leaf_light = light.on_floor * canopy.taken * canopy.area
    for name, power in light.within.items():
        hidden = canopy.over(name) if canopy is not None and canopy.node else 0.0
        made.gain("sun", name, power * (1.0 - hidden))
        if canopy is not None and hidden:
            made.leaf_light = hidden * power + (0.0 if made.leaf_light is None else made.leaf_light)
        share = 0.0 if name in lidded else wet if name.startswith("tank ") else latent
        if share:
            made.gain("evaporation", name, -share * power)
    if canopy is not None and canopy.node and made.leaf_light is not None:
        made.gain("sun", canopy.node, made.leaf_light)


def _light_share(
    made: Assembly, house: House, surface: Surface, row: Row | None, drivers: Drivers, curtains: Sequence[Closed]
) -> Floats | float:
    """What bars, dirt, curtains parked or closed, morning drops and snow leave of the light through one surface."""
    if row is None:
        return 1.0
    share: Floats | float = (1.0 - house.cover.frame) * house.cover.soiling
    for curtain in curtains:
        if curtain.covers(surface):
            parked = curtain.row["light_open"]
            drawn = curtain.row.get("light_closed")
            share = share * (parked + curtain.closed * (min(parked if drawn is None else drawn, parked) - parked))
    if house.method.latent != "none":
        share = share * np.where(drivers.hours_of_day(MORNING), house.cover.condensate, 1.0)
    if drivers.snowfall is not None and surface.tilt < snow.STEEPEST:
        assert made.targets is not None
        held = np.where(np.isnan(made.targets.heat), drivers.temp_air, made.targets.heat)
        outer = drivers.temp_air + row["u_value"] * row["r_se"] * (held - drivers.temp_air)
        lying = snow.lies(drivers.temp_air, precipitation=drivers.snowfall, temp_surface=outer)
        share = share * np.where(lying, made.use("defaults", "snow_light", house.own)["value"], 1.0)
    return share


def _gains(made: Assembly, house: House) -> None:
    if house.gains.power > 0.0:
        rays = house.gains.radiant_share if house.method.films != "fixed" else 0.0
        made.gain("gains", AIR, house.gains.power * (1.0 - rays))
        if rays > 0.0:
            made.gain("gains", STAR, house.gains.power * rays)


def _controls(made: Assembly, house: House, geometry: Geometry, drivers: Drivers) -> None:
    """Heaters in their order, tanks held by a heater, vents, a cooling machine."""
    assert made.targets is not None
    net = made.network
    heat(made, house, drivers, air=AIR, star=STAR)
    if not np.isnan(made.targets.vent).all():
        changes = made.use("defaults", "vent_air_changes", house.own)["value"]
        most = changes * float(air_exchange.heat_per_ach(geometry.volume, drivers.pressure, 25.0))
        limit = np.where(np.isnan(made.targets.vent), 200.0, made.targets.vent)
        stages = round(house.air.vent_steps)
        for i in range(stages):
            name = VENTS if i == 0 else f"{VENTS} {i + 1}"
            net.vent(name, AIR, limit=limit + i * house.air.vent_step, to=OUTDOOR, capacity=most / stages)
            made.vents.append(name)
    if not np.isnan(made.targets.cool).all():
        net.vent(COOLER, AIR, limit=np.where(np.isnan(made.targets.cool), 200.0, made.targets.cool))
