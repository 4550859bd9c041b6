"""What the inner faces exchange with one another: films to the air they meet, heat rays to the radiant star."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.curtains import Stack, film, first_met, rays_past
from heatloss.balance.network import Driven
from heatloss.physics import films
from heatloss.physics.films import STEFAN_BOLTZMANN

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.canopy import Canopy
    from heatloss.balance.floor import Column
    from heatloss.balance.panels import Panel
    from heatloss.balance.tanks import Tank
    from heatloss.geometry import Geometry

Floats = NDArray[np.float64]
Piece = tuple[str, float, float, str]  # node, area, emissivity, plane
AIR_FILM = 0.13
"""Film of a tank by the fixed method [m2 K/W], ISO 6946 for a wall, from memory."""


def fixed_films(
    made: Assembly, panels: Mapping[str, Panel], columns: Sequence[Column], tanks: Sequence[Tank], air: str
) -> None:
    """The films of every rating, heat rays within them."""
    net = made.network
    for panel in panels.values():
        made.films[panel.inner] = (net.link(panel.inner, air, panel.area / panel.r_si), air)
    for column in columns:
        made.films[column.top] = (net.link(column.top, air, column.area / column.r_si), air)
    for tank in tanks:
        for node, faces in tank.faces.items():
            made.films[node] = (net.link(node, air, sum(area for area, _ in faces) / AIR_FILM), air)


def inside_films(
    made: Assembly,
    geometry: Geometry,
    panels: Mapping[str, Panel],
    columns: Sequence[Column],
    tanks: Sequence[Tank],
    stacks: Sequence[Stack],
    canopy: Canopy | None,
    *,
    air: str,
    star: str,
    least: float,
) -> None:
    """Convection of every inner face to the air it meets, and its long wave to the radiant star on pooled planes.

    Parameters
    ----------
    air, star : str
        Nodes of the house's air and of the star.
    least : float [W/(m2 K)]
        Least film.

    Notes
    -----
    Closed cloths take the cover's place in the star: what lies under them sees the lowest one. The exchange areas are
    found for all open and for all closed; where stacks close at different hours each takes its own of the two.
    """
    over = {name: stack for stack in stacks for name in stack.covered}
    for panel in panels.values():
        members = [geometry.surfaces[j] for j in panel.members]
        tilts = [(s.area, -float(np.cos(np.radians(s.tilt)))) for s in members]
        stack = over.get(panel.name)
        if stack is None:
            film(made, panel.inner, air, tilts, least * panel.area)
        else:
            film(made, panel.inner, stack.top, tilts, Driven(stack.shut, -least * panel.area, least * panel.area))
    for column in columns:
        film(made, column.top, air, [(column.area, 1.0)], least * column.area)
    for tank in tanks:
        for node, faces in tank.faces.items():
            film(made, node, air, faces, least * sum(area for area, _ in faces))
    level = _level_pieces(columns, tanks, canopy)
    cover = [
        (panel.inner, geometry.surfaces[j].area, panel.emissivity_in, geometry.surfaces[j].plane)
        for panel in panels.values()
        for j in panel.members
    ]
    opened = _exchange(level + cover)
    if not stacks:
        for node, coefficient in opened.items():
            made.network.link(node, star, radiant=coefficient)
        return
    shielded = {panels[name].inner for stack in stacks for name in stack.covered}
    cloths = [
        (stack.under(0), area, stack.cloths[0].row["emissivity_in"], plane)
        for stack in stacks
        for plane, area, _ in stack.pieces
    ]
    closed = _exchange(level + [piece for piece in cover if piece[0] not in shielded] + cloths)
    any_shut = np.maximum.reduce([stack.shut for stack in stacks])
    for node, coefficient in opened.items():
        if node in shielded:
            continue
        made.network.link(node, star, radiant=Driven(any_shut, closed[node] - coefficient, coefficient))
    for stack in stacks:
        _rays_of(made, stack, panels, opened, closed, star)


def _rays_of(
    made: Assembly,
    stack: Stack,
    panels: Mapping[str, Panel],
    opened: Mapping[str, float],
    closed: Mapping[str, float],
    star: str,
) -> None:
    """The star's rays to the lowest closed cloth, and past the cloths to the cover."""
    passes = rays_past(stack)
    for name in stack.covered:
        made.network.link(panels[name].inner, star, radiant=Driven(passes, opened[panels[name].inner]))
    own = stack.cloths[0].row["emissivity_in"]
    for i, met in enumerate(first_met(stack)):
        if met.any():
            alike = stack.cloths[i].row["emissivity_in"] / own * (1.0 - stack.cloths[i].edge_leak)
            made.network.link(stack.under(i), star, radiant=Driven(met, closed[stack.under(0)] * alike))


def _level_pieces(columns: Sequence[Column], tanks: Sequence[Tank], canopy: Canopy | None) -> list[Piece]:
    """Floor, beds, leaves over them, tanks."""
    pieces: list[Piece] = []
    for column in columns:
        shaded = canopy.over(column.top) if canopy is not None and canopy.node else 0.0
        if shaded < 1.0:
            pieces.append((column.top, column.area * (1.0 - shaded), column.emissivity, "floor"))
    if canopy is not None and canopy.node:
        pieces.append((canopy.node, canopy.seen, canopy.emissivity, "floor"))
    for tank in tanks:
        pieces += [(tank.top_node, tank.top, 0.95, "floor"), (tank.side_node, tank.side, 0.9, f"side of {tank.node}")]
    return pieces


def _exchange(pieces: Sequence[Piece]) -> dict[str, float]:
    """Star coefficient of each node [W/K^4]."""
    areas = films.radiant_exchange_areas(*zip(*[p[1:] for p in pieces], strict=True))
    total: dict[str, float] = defaultdict(float)
    for (node, *_), effective in zip(pieces, areas, strict=True):
        total[node] += STEFAN_BOLTZMANN * float(effective)
    return total
