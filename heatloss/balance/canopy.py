"""The crop: how much of the floor it covers, the light it takes, and by the leaf form its own node of heat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.physics import transpiration
from heatloss.physics.films import STEFAN_BOLTZMANN
from heatloss.physics.moist_air import CP_AIR

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.floor import Column
    from heatloss.house import House

Floats = NDArray[np.float64]
LEAVES = "leaves"


@dataclass(frozen=True)
class Canopy:
    """Leaves over floor and beds.

    Attributes
    ----------
    node : str
        Their node, empty where the crop has no temperature of its own.
    area : float [m2]
        Ground that is planted.
    leaf_area : float [1]
        Leaf area by planted area.
    share : {name of a column's top: share of it that is planted}
    taken : float [1]
        Of the light and the heat rays on planted ground, what leaves take.
    emissivity : float [1]
    """

    node: str
    area: float
    leaf_area: float
    share: Mapping[str, float]
    taken: float
    emissivity: float = 0.95

    def over(self, column: str) -> float:
        """Share of a column that leaves hide [1]."""
        return self.share.get(column, 0.0) * self.taken

    @property
    def seen(self) -> float:
        """Area of leaves that the house above sees [m2]."""
        return self.area * self.taken

    @property
    def surface(self) -> float:
        """Both sides of all leaves [m2]."""
        return 2.0 * self.leaf_area * self.area


def canopy_of(made: Assembly, house: House, columns: Sequence[Column], floor_area: float) -> Canopy | None:
    """The crop of a house, on its beds first and then on the floor; None where no moisture is balanced."""
    if house.method.latent not in ("leaves", "regression"):
        return None
    planted = left = house.canopy.share * floor_area
    share: dict[str, float] = {}
    for column in [*columns[1:], columns[0]]:
        here = min(left, column.area)
        if here > 0.0:
            share[column.top] = here / column.area
        left -= here
    if not planted * house.canopy.leaf_area > 0.0:
        return None
    taken = transpiration.intercepted_light(house.canopy.leaf_area)
    node = LEAVES if house.method.latent == "leaves" and house.method.films != "fixed" else ""
    return Canopy(node, planted, house.canopy.leaf_area, share, float(taken))


def grow(made: Assembly, canopy: Canopy, columns: Sequence[Column], *, air: str, start: float) -> None:
    """The node of the leaves: a film of still air on both sides, heat rays down to what they hide."""
    net = made.network
    net.node(canopy.node, start=start)
    film = made.air_density * CP_AIR / transpiration.BOUNDARY_RESISTANCE
    made.films[canopy.node] = (net.link(canopy.node, air, film * canopy.surface), air)
    for column in columns:
        hidden = canopy.over(column.top) * column.area
        if hidden > 0.0:
            grey = 1.0 / canopy.emissivity + 1.0 / column.emissivity - 1.0
            net.link(canopy.node, column.top, radiant=STEFAN_BOLTZMANN * hidden / grey)
