"""Curtains with their own air above: one or two cloths that part the house into levels while they are closed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.balance.network import Driven
from heatloss.balance.schedule import middle_between
from heatloss.errors import InputError
from heatloss.house.sides import means
from heatloss.physics import films
from heatloss.physics.films import STEFAN_BOLTZMANN
from heatloss.physics.moist_air import CP_AIR

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.drivers import Drivers
    from heatloss.balance.panels import Panel
    from heatloss.catalogue import Row
    from heatloss.geometry import Geometry, Surface
    from heatloss.house import Curtain, House, Shape

Floats = NDArray[np.float64]
OPEN_MIXING = 50.0
"""Exchange of the two levels while the cloth is drawn aside [W/(m2 K)]: large beside any film; of no weight beyond."""
FLATTEST = 75.0
"""Under what is less steep the cloth is drawn flat, under the rest it hangs [deg]; common practice, no source."""
LEVEL_SHARE = 0.1
"""Share of the house's air in each level over a cloth [1]; air stores too little heat for it to matter."""
MOST_CLOTHS = 2
THINNEST = 0.001
"""Resistance of a cloth whose row does not say [m2 K/W]: a sheet; common practice, no source."""


@dataclass(frozen=True)
class Closed:
    """One curtain with its hours.

    Attributes
    ----------
    row : Row
        Of the curtain catalogue.
    closed : (hours,) 0 or 1
    edge_leak : float
        Share that stays open [1].
    on : words of the sides it covers
    shape : Shape
        Which says what the words mean.
    levels : bool
        Whether it has air of its own above, or is a resistance added to the panes.
    """

    row: Row
    closed: Floats
    edge_leak: float
    on: frozenset[str]
    shape: Shape
    levels: bool

    def covers(self, surface: Surface) -> bool:
        """Whether it hangs under a surface: a glazed one of its sides."""
        where = {"part": surface.part, "name": surface.name, "side": surface.side}
        return surface.role == "cover" and means(self.on, self.shape, **where)


@dataclass(frozen=True)
class Stack:
    """The cloths under the same sides, the lowest first.

    Attributes
    ----------
    name : str
    cloths : one or two curtains
    covered : {name of a covered panel: its area [m2]}
    pieces : ((plane, area [m2], cosine as the air below sees it), ...)
    """

    name: str
    cloths: tuple[Closed, ...]
    covered: Mapping[str, float]
    pieces: tuple[tuple[str, float, float], ...]

    @property
    def area(self) -> float:
        """Of one cloth [m2]."""
        return sum(area for _, area, _ in self.pieces)

    def under(self, level: int) -> str:
        """Node of a cloth's lower face."""
        return f"{self.name} {level + 1} under"

    def over(self, level: int) -> str:
        """Node of its upper face."""
        return f"{self.name} {level + 1} over"

    def air(self, level: int) -> str:
        """Node of the air over it."""
        return f"air over {self.name} {level + 1}"

    @property
    def top(self) -> str:
        """The air that the cover meets."""
        return self.air(len(self.cloths) - 1)

    @property
    def shut(self) -> Floats:
        """Whether any cloth is closed (hours,)."""
        shut: Floats = np.maximum.reduce([cloth.closed for cloth in self.cloths])
        return shut


def closed_curtains(house: House, drivers: Drivers) -> list[Closed]:
    """The curtains of a house with their hours; with fixed films all are in the panel form."""
    return [
        Closed(
            catalogue.row("curtains", curtain.material, house.own),
            hours_closed(curtain, drivers),
            curtain.edge_leak,
            frozenset(curtain.on),
            house.shape,
            curtain.form == "levels" and house.method.films != "fixed",
        )
        for curtain in house.curtain
    ]


def hours_closed(curtain: Curtain, drivers: Drivers) -> Floats:
    """1 in the hours in which a curtain is closed."""
    if curtain.schedule == "always":
        shut = np.ones(len(drivers.index), dtype=bool)
    elif curtain.close_at is not None and curtain.open_at is not None:
        shut = middle_between(drivers.index, curtain.close_at, curtain.open_at)
    else:
        shut = ~drivers.daylight
    if curtain.sun_below is not None:
        shut = shut | (drivers.ghi < curtain.sun_below)
    if curtain.cold_below is not None:
        shut = shut | (drivers.temp_air < curtain.cold_below)
    return shut.astype(float)


def stacks_of(
    made: Assembly, curtains: Sequence[Closed], geometry: Geometry, panels: Mapping[str, Panel]
) -> list[Stack]:
    """The curtains with levels, those under the same sides together.

    Raises
    ------
    InputError
        For a curtain under no glazing, more than two under the same sides, or two that overlap.
    """
    found: list[Stack] = []
    taken: set[str] = set()
    for on in dict.fromkeys(c.on for c in curtains if c.levels):
        cloths = tuple(c for c in curtains if c.levels and c.on == on)
        words = ", ".join(sorted(on))
        if len(cloths) > MOST_CLOTHS:
            raise InputError(
                f"curtains must be at most {MOST_CLOTHS} under the same sides, got {len(cloths)} on {words}."
            )
        covered = {
            name: panel.area for name, panel in panels.items() if cloths[0].covers(geometry.surfaces[panel.members[0]])
        }
        twice = sorted(taken & set(covered))
        if twice:
            raise InputError(
                f"curtains must not overlap in part, got two under {twice[0]!r}. Type the same sides for both."
            )
        if not covered:
            raise InputError(
                f"curtain must hang under a glazed side, got {words}, where no glazing is. Name another side."
            )
        taken |= set(covered)
        for cloth in cloths:
            made.rows["curtains", cloth.row.name] = cloth.row
        members = [geometry.surfaces[j] for name in covered for j in panels[name].members]
        name = "curtain" if not found else f"curtain {len(found) + 1}"
        found.append(Stack(name, cloths, covered, _pieces(members)))
    return found


def _pieces(members: Sequence[Surface]) -> tuple[tuple[str, float, float], ...]:
    """A cloth drawn flat under what is not steep, and hung beside what is."""
    flat = sum(s.area * float(np.cos(np.radians(s.tilt))) for s in members if s.tilt < FLATTEST)
    hung = [
        (f"curtain of {s.plane}", s.area, -float(np.cos(np.radians(s.tilt)))) for s in members if s.tilt >= FLATTEST
    ]
    return ((("flat curtain", flat, -1.0),) if flat > 0.0 else ()) + tuple(hung)


def hang(
    made: Assembly,
    house: House,
    stack: Stack,
    panels: Mapping[str, Panel],
    *,
    air: str,
    air_heat: float,
    least: float,
    start: float,
) -> None:
    """Declare the cloths of a stack: their faces, the air over each, films, leaks, and heat rays up to the cover.

    Parameters
    ----------
    air : str
        Node of the house's air.
    air_heat : float [J/K]
        Of one level.
    least : float [W/(m2 K)]
        Least film of what the fans stir: the lowest face, and the cover while nothing is closed.
    """
    net = made.network
    gap = made.use("defaults", "curtain_gap_exchange", house.own)["value"] * made.air_density * CP_AIR
    below = air
    for i, cloth in enumerate(stack.cloths):
        closed = cloth.closed
        net.node(stack.air(i), capacity=air_heat, start=start)
        net.node(stack.under(i), start=start)
        net.node(stack.over(i), start=start)
        leak = cloth.edge_leak * gap * stack.area
        open_ = OPEN_MIXING * stack.area
        made.mixing.append((below, stack.air(i), net.link(below, stack.air(i), Driven(closed, leak - open_, open_))))
        cloth_share = 1.0 - cloth.edge_leak
        net.link(stack.under(i), stack.over(i), cloth_share * stack.area / max(cloth.row.get("cloth") or 0.0, THINNEST))
        pieces = [(cloth_share * a, c) for _, a, c in stack.pieces]
        film(made, stack.under(i), below, pieces, least * cloth_share * stack.area if i == 0 else 0.0)
        film(made, stack.over(i), stack.air(i), [(a, -c) for a, c in pieces], 0.0)
        below = stack.air(i)
    _rays_up(made, stack, panels)


def film(
    made: Assembly, node: str, air: str, tilt_cosines: Sequence[tuple[float, float]], least: float | Driven
) -> None:
    """Convection of a face to a body of air; ``tilt_cosines``: (area, cosine as the air sees it) of each piece."""
    pairs = [(a, *films.natural_convection(c)) for a, c in tilt_cosines]
    warmer = sum(a * up for a, up, _ in pairs)
    colder = sum(a * down for a, _, down in pairs)
    made.films[node] = (made.network.link(node, air, least, buoyant=(float(warmer), float(colder))), air)


def _rays_up(made: Assembly, stack: Stack, panels: Mapping[str, Panel]) -> None:
    """Heat rays from each cloth to the next one above, or to the cover by area share."""
    total = sum(stack.covered.values())
    for i, cloth in enumerate(stack.cloths):
        out = cloth.row["emissivity_out"]
        free = cloth.closed * (1.0 - cloth.edge_leak)
        for j in range(i + 1, len(stack.cloths)):
            other = stack.cloths[j]
            both = free * other.closed
            exchange = stack.area / (1.0 / out + 1.0 / other.row["emissivity_in"] - 1.0)
            if both.any():
                made.network.link(stack.over(i), stack.under(j), radiant=Driven(both, STEFAN_BOLTZMANN * exchange))
            free = free * (1.0 - other.closed)
        for name, area in stack.covered.items():
            panel = panels[name]
            share = area / total
            grey = 1.0 / out + share * stack.area / area * (1.0 / panel.emissivity_in - 1.0)
            made.network.link(
                stack.over(i), panel.inner, radiant=Driven(free, STEFAN_BOLTZMANN * share * stack.area / grey)
            )


def rays_past(stack: Stack) -> Floats:
    """Share of the heat rays from the house that pass all closed cloths to the cover (hours,): openings and films."""
    passes = np.ones_like(stack.cloths[0].closed)
    for cloth in stack.cloths:
        through = cloth.edge_leak + (1.0 - cloth.edge_leak) * cloth.row["longwave"]
        passes = passes * (1.0 - cloth.closed * (1.0 - through))
    return passes


def first_met(stack: Stack) -> list[Floats]:
    """For each cloth, whether it is the lowest closed one (hours,)."""
    free = np.ones_like(stack.cloths[0].closed)
    found = []
    for cloth in stack.cloths:
        found.append(free * cloth.closed)
        free = free * (1.0 - cloth.closed)
    return found
