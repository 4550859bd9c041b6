"""What lies between the inner and the outer face of a part: a rated panel, layers with mass, a closed curtain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.curtains import Closed
from heatloss.balance.network import Driven, Value
from heatloss.catalogue import Row
from heatloss.geometry import Geometry, Surface
from heatloss.geometry.table import R_OUTSIDE, layer_resistances, r_inside, r_outside
from heatloss.physics import films, layers

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.house import House, Layer

Floats = NDArray[np.float64]
BARE_SHEET = 500.0
"""Conductance of a bare sheet, taken where its rating is all films [W/(m2 K)]: 0.4 mm of plastic at 0.2 W/(m K);
calculated, and of no weight beside films of 5 to 20."""
SOIL_BEHIND = 0.5
"""Resistance of the earth behind a bermed wall [m2 K/W]: about 0.75 m of soil at 1.5 W/(m K); common practice, no
source."""


@dataclass(frozen=True)
class Panel:
    """One group of surfaces as a chain.

    Attributes
    ----------
    name, inner, outer : str
        Of the group and its two face nodes.
    path : "cover" or "opaque"
    members : numbers of the surfaces
    area : float [m2]
    cells : ((resistance [m2 K/W], capacity [J/(m2 K)]), ...)
    through : float or Driven [W/K]
        From the last cell, or the inner face, to the outer face.
    bridge : float or Driven [W/K]
        By bars from the inner face to outdoor air.
    face_capacity : float [J/K]
    r_si, r_se : float [m2 K/W]
        Films of its rating.
    emissivity_in, emissivity_out : float [1]
    longwave : float or Driven [1]
        Heat rays that pass the panel, less while a curtain is closed.
    """

    name: str
    path: str
    members: tuple[int, ...]
    area: float
    cells: tuple[tuple[float, float], ...]
    through: Value
    bridge: Value
    face_capacity: float
    r_si: float
    r_se: float
    emissivity_in: float
    emissivity_out: float
    longwave: float | Driven

    @property
    def inner(self) -> str:
        return f"{self.name} inside"

    @property
    def outer(self) -> str:
        return f"{self.name} outside"


def panel_of(
    made: Assembly,
    house: House,
    geometry: Geometry,
    name: str,
    members: Sequence[int],
    row: Row | None,
    curtains: Sequence[Closed],
) -> Panel:
    """The chain of one group of surfaces."""
    surface = geometry.surfaces[members[0]]
    area = sum(geometry.surfaces[j].area for j in members)
    if row is not None:
        return _glazed(made, house, surface, name, members, area, row, curtains)
    r_si = r_inside(surface.tilt)
    r_se = SOIL_BEHIND if surface.behind == "ground" else r_outside(surface)
    cells: tuple[tuple[float, float], ...] = ()
    if surface.layers:
        each = layer_resistances(surface.layers, house.own, r_si, r_outside(surface))
        built = layers.build_up([_layer(made, house, *pair) for pair in zip(surface.layers, each, strict=True)])
        cells, through = built.steps, area / (built.last or 1.0 / BARE_SHEET)
    else:
        assert surface.u is not None
        rated = R_OUTSIDE if surface.behind == "ground" else r_se
        through = area * films.panel_conductance(surface.u, r_si=r_si, r_se=rated, bare=BARE_SHEET)
    return Panel(
        name=name,
        path="opaque",
        members=tuple(members),
        area=area,
        cells=cells,
        through=through,
        bridge=0.0,
        face_capacity=0.0,
        r_si=r_si,
        r_se=r_se,
        emissivity_in=surface.emissivity if surface.emissivity is not None else 0.9,
        emissivity_out=surface.emissivity if surface.emissivity is not None else 0.9,
        longwave=0.0,
    )


def _glazed(
    made: Assembly,
    house: House,
    surface: Surface,
    name: str,
    members: Sequence[int],
    area: float,
    row: Row,
    curtains: Sequence[Closed],
) -> Panel:
    """Rated panel, and behind a closed curtain its greater resistance."""
    r_si, r_se = row["r_si"], row["r_se"]
    sheet = films.panel_conductance(row["u_value"], r_si=r_si, r_se=r_se, bare=BARE_SHEET)
    bars = (house.cover.bridging - 1.0) * area / (1.0 / sheet + r_se)
    through: Value = sheet * area
    bridge: Value = bars
    dry, wet = row["longwave"], row["longwave_wet"]
    passes = dry if house.method.latent == "none" else wet
    more = dry - passes  # what a wet film no longer lets through, its water takes up
    longwave: float | Driven = passes if house.method.films != "fixed" else 0.0
    for curtain in curtains:
        if curtain.covers(surface) and curtain.levels:
            past = curtain.edge_leak + (1.0 - curtain.edge_leak) * curtain.row["longwave"]
            longwave = Driven(curtain.closed, passes * (past - 1.0), passes) if passes else 0.0
            break
        if curtain.covers(surface):
            made.rows["curtains", curtain.row.name] = curtain.row
            closed = 1.0 / (1.0 + sheet * _behind_curtain(row["u_value"], curtain))
            through = Driven(curtain.closed, sheet * area * (closed - 1.0), sheet * area)
            bridge = Driven(curtain.closed, bars * (closed - 1.0), bars)
            if longwave:
                longwave = Driven(curtain.closed, passes * (curtain.row["longwave"] - 1.0), passes)
            break  # two curtains under one surface need the form with levels
    return Panel(
        name=name,
        path="cover",
        members=tuple(members),
        area=area,
        cells=(),
        through=through,
        bridge=bridge,
        face_capacity=0.5 * row["capacity"] * area,
        r_si=r_si,
        r_se=r_se,
        emissivity_in=row["emissivity_in"] + more,
        emissivity_out=row["emissivity_out"] + more,
        longwave=longwave,
    )


def _behind_curtain(u: float, curtain: Closed) -> float:
    """Resistance that a closed curtain adds to a cover of a U-value [m2 K/W].

    Open edges lead room air to the cover past the cloth, so that both ways run side by side, each with its films:
    1 / (e U + (1 - e) / (1/U + R)) - 1/U.
    """
    left = curtain.edge_leak
    return 1.0 / (left * u + (1.0 - left) / (1.0 / u + curtain.row["resistance"])) - 1.0 / u


def _layer(made: Assembly, house: House, layer: Layer, resistance: float) -> tuple[float, float, float, float] | float:
    """A layer as thickness, conductivity, density, specific heat, or as a bare resistance; studs add their mass."""
    if layer.material is None:
        return resistance
    row = made.use("materials", layer.material, house.own)
    if layer.thickness is None:
        return resistance
    density, heat = row["density"], row["density"] * row["specific_heat"]
    if layer.stud is not None and layer.stud_share is not None:
        stud = made.use("materials", layer.stud, house.own)
        density += layer.stud_share * (stud["density"] - density)
        heat += layer.stud_share * (stud["density"] * stud["specific_heat"] - heat)
    return layer.thickness, layer.thickness / resistance, density, heat / density
