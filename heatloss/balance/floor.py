"""Floor and beds as columns of soil over the ground's virtual temperature (ISO 13370), or the perimeter method."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics import ground, layers

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.drivers import Drivers
    from heatloss.geometry import Geometry
    from heatloss.house import House

Floats = NDArray[np.float64]
GROUND = "ground"
BED_WETNESS = 0.5
"""Share of a watered bed's top that evaporates as free water [1]; common practice, no source."""
DRY_FLOOR = 0.1
"""Wetness of a floor whose row does not say; common practice, no source [1]."""
LEAST_REST = 0.05
"""Least resistance left under the soil column [m2 K/W]; below it the column is cut shorter."""


@dataclass(frozen=True)
class Column:
    """A piece of the floor: its top face and what the air and the sun find there.

    Attributes
    ----------
    top : str
        Node of the top face.
    area : float [m2]
    absorptance, emissivity : float [1]
    r_si : float [m2 K/W]
        Fixed film over it, for the fixed method.
    wetness : float [1]
        Share of it that evaporates as free water.
    """

    top: str
    area: float
    absorptance: float
    emissivity: float
    r_si: float = ground.R_SI
    wetness: float = BED_WETNESS


def slab_of(made: Assembly, house: House, geometry: Geometry) -> ground.Slab:
    """The floor by ISO 13370."""
    floor = house.floor
    soil = made.use("soils", floor.soil, house.own)
    return ground.slab(
        geometry.floor_area,
        geometry.perimeter,
        wall_thickness=floor.wall_thickness,
        conductivity=soil["conductivity"],
        volumetric_heat=soil["volumetric_heat"],
        r_floor=floor.insulation + sum(_resistances(made, house)),
        edge_resistance=floor.edge or 0.0,
        edge_depth=floor.depth or 0.0,
        edge_direction=floor.direction,
    )


def perimeter_factor(house: House) -> tuple[str, float]:
    """Row of the perimeter method that fits the floor, and its loss by length [W/(m K)].

    Notes
    -----
    The nearest tabulated depth and the next lower tabulated R, so that the loss is not made too small.
    """
    floor = house.floor
    if floor.insulation > 0.0:
        kind, steps = "fully insulated R-", [10, 15, 20, 30]
        r = floor.insulation
    elif floor.edge:
        depth = "0.6" if (floor.depth or 0.0) < 0.9 else "1.2"
        kind, steps, r = f"{floor.direction} {depth} m R-", [5, 10, 15], floor.edge
    else:
        return "uninsulated", ground.F_FACTORS["uninsulated"]
    us = r / 0.1761101838
    fitting = [s for s in steps if s <= us * 1.001]
    name = f"{kind}{max(fitting)}" if fitting else "uninsulated"
    return name, ground.F_FACTORS[name]


def steady_conductance(made: Assembly, house: House, geometry: Geometry) -> float:
    """Floor and beds to the ground without storage [W/K]: ISO 13370's, a bed in place of the floor's own build-up."""
    slab = slab_of(made, house, geometry)
    if house.method.ground == "f_factor":
        return perimeter_factor(house)[1] * slab.perimeter
    whole = geometry.floor_area / slab.h_ground
    rest = geometry.floor_area - sum(bed.area for bed in house.bed)
    total = rest / whole
    for bed in house.bed:
        filling = bed.depth / made.use("soils", bed.soil, house.own)["conductivity"]
        total += bed.area / (whole - slab.r_floor + house.floor.insulation + filling)
    return total


def ground_of(
    house: House, geometry: Geometry, drivers: Drivers, made: Assembly, inside_months: Floats | None, start: float
) -> list[Column]:
    """Build the columns of floor and beds down to the ground and tie them to it."""
    slab = slab_of(made, house, geometry)
    if house.method.ground == "iso_13370":
        made.network.boundary(GROUND, _virtual(made, house, drivers, slab, inside_months))
    beds = sum(bed.area for bed in house.bed)
    if not beds < geometry.floor_area:
        raise InputError(
            f"bed areas must sum to less than the floor [m2], got {beds:.4g} on {geometry.floor_area:.4g} (bed)."
        )
    floor_row = made.use("floors", house.floor.kind, house.own)
    over_soil = [_material(made, house, name, thickness) for name, thickness in floor_row.layers]
    columns = [
        Column(
            "floor",
            geometry.floor_area - beds,
            floor_row["absorptance"],
            floor_row["emissivity"],
            wetness=floor_row.get("wetness", DRY_FLOOR) or 0.0,
        ),
    ]
    _column(made, house, columns[0], over_soil, slab, geometry.floor_area, start)
    canopy = made.use("defaults", "absorptance_canopy", house.own)["value"]
    for bed in house.bed:
        soil = made.use("soils", bed.soil, house.own)
        filling = (bed.depth, soil["conductivity"], soil["volumetric_heat"] / 1000.0, 1000.0)
        column = Column(f"bed {bed.name}", bed.area, canopy, floor_row["emissivity"])
        _column(made, house, column, [filling], slab, geometry.floor_area, start)
        columns.append(column)
    return columns


Layered = tuple[float, float, float, float] | float


def _material(made: Assembly, house: House, name: str, thickness: float) -> Layered:
    row = made.use("materials", name, house.own)
    given = row.get("resistance")
    return given if given is not None else (thickness, row["conductivity"], row["density"], row["specific_heat"])


def _resistances(made: Assembly, house: House) -> list[float]:
    """Resistance of each layer of the floor's own build-up [m2 K/W]."""
    found = []
    for name, thickness in made.use("floors", house.floor.kind, house.own).layers:
        row = made.use("materials", name, house.own)
        given = row.get("resistance")
        found.append(given if given is not None else thickness / row["conductivity"])
    return found


def _column(
    made: Assembly,
    house: House,
    column: Column,
    over_soil: Sequence[Layered],
    slab: ground.Slab,
    floor_area: float,
    start: float,
) -> None:
    """Top face, what lies on the soil, insulation, half a metre of soil, then the rest of the ground."""
    soil = made.use("soils", house.floor.soil, house.own)
    k, heat = soil["conductivity"], soil["volumetric_heat"]
    insulation = [house.floor.insulation] if house.floor.insulation > 0.0 else []
    whole = floor_area / slab.h_ground - slab.r_floor - ground.R_SI  # steady, from under the build-up to the ground
    depths = list(ground.SOIL_CELLS)
    while depths and whole - sum(depths) / k < LEAST_REST:
        depths.pop()
    built = layers.build_up([*over_soil, *insulation], fine="near")
    steps, carried = list(built.steps), built.last
    for depth in depths:
        steps.append((carried + 0.5 * depth / k, heat * depth))
        carried = 0.5 * depth / k
    net, last = made.network, column.top
    net.node(column.top, start=start)
    for i, (resistance, capacity) in enumerate(steps):
        cell = f"{column.top} cell {i + 1}"
        net.node(cell, capacity=capacity * column.area, start=start)
        net.link(last, cell, column.area / resistance)
        last = cell
    made.feet[column.top] = last
    rest = carried + max(whole - sum(depths) / k, 1e-6)
    if house.method.ground == "f_factor":
        _, factor = perimeter_factor(house)
        made.lose(GROUND, "air", "outdoor", factor * slab.perimeter * column.area / floor_area)
    else:
        far = "outdoor" if house.method.ground == "outdoor" else GROUND
        made.lose(GROUND, last, far, column.area / rest)


def yearly_wave(months: Floats) -> tuple[float, float, float]:
    """Mean [degC], amplitude [K] and coldest month of the first harmonic of twelve monthly means."""
    wave = (months * np.exp(-2j * np.pi * np.arange(1, 13) / 12.0)).sum() / 6.0
    return float(months.mean()), float(abs(wave)), float((np.angle(-wave) * -12.0 / (2.0 * np.pi)) % 12.0)


def ground_temperature(
    made: Assembly, house: House, geometry: Geometry, drivers: Drivers, inside_months: Floats
) -> Floats:
    """Virtual ground temperature by hour [degC] when the inside has these monthly means."""
    return _virtual(made, house, drivers, slab_of(made, house, geometry), inside_months)


def _virtual(made: Assembly, house: House, drivers: Drivers, slab: ground.Slab, inside_months: Floats | None) -> Floats:
    """Virtual ground temperature by hour from first harmonics of the outdoor and inside monthly means."""
    assert made.targets is not None
    outdoor = drivers.by_month(drivers.temp_air)
    if inside_months is None:
        more = made.use("defaults", "ground_guess_offset", house.own)["value"]
        held = drivers.by_month(np.where(np.isnan(made.targets.heat), -100.0, made.targets.heat))
        inside_months = np.maximum(held, outdoor + more)
    made.inside_months = inside_months
    mean, amplitude, coldest = yearly_wave(outdoor)
    turn = np.cos(2.0 * np.pi * (np.arange(1, 13) - coldest) / 12.0)
    return np.asarray(
        ground.virtual_temperature(
            drivers.month,
            floor=slab,
            inside_mean=float(inside_months.mean()),
            outdoor_mean=mean,
            outdoor_amplitude=amplitude,
            inside_amplitude=float(-(inside_months * turn).sum() / 6.0),
            coldest_month=coldest,
        )
    )
