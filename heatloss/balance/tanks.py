"""Tanks of water: a store with its top, its side, perhaps insulated, and its bottom on the floor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from heatloss.physics import water

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.house import Water

BOTTOM_FILM = 0.2
"""Between a tank's water and the floor it stands on: its wall and an imperfect contact [m2 K/W]; common practice, no
source."""


@dataclass(frozen=True)
class Tank:
    """One tank.

    Attributes
    ----------
    use : Water
    node : str
        Of its water.
    top_node, side_node : str
        What the room meets there: the water itself, or the outside of lid and insulation.
    top, side : float [m2]
    """

    use: Water
    node: str
    top_node: str
    side_node: str
    top: float
    side: float

    @property
    def open_top(self) -> float:
        """Water that meets the air [m2]."""
        return 0.0 if self.use.lid else self.top * (1.0 - self.use.raft)

    @property
    def faces(self) -> dict[str, list[tuple[float, float]]]:
        """Of each node that the room meets: (area, cosine as the air sees it) of its pieces."""
        found: dict[str, list[tuple[float, float]]] = {self.top_node: [(self.top, 1.0)]}
        found.setdefault(self.side_node, []).append((self.side, 0.0))
        return found


def fill(made: Assembly, use: Water, start: float, *, floor: str) -> Tank:
    """Declare one tank; its insulation is on side, bottom and lid, never on open water."""
    net = made.network
    top, side = water.tank_areas(use.volume)
    name = f"tank {use.name}"
    net.node(
        name, capacity=float(water.tank_capacity(use.volume)), start=start if use.setpoint is None else use.setpoint
    )
    net.freezes(name, water.FREEZING_HEAT * use.volume)
    made.tanks.append(name)
    net.link(name, floor, top / (BOTTOM_FILM + use.insulation))
    if not use.insulation > 0.0:
        return Tank(use, name, name, name, top, side)
    lid, wall = (f"{name} lid" if use.lid else name), f"{name} side"
    for face, area in ((lid, top), (wall, side)):
        if face != name:
            net.node(face, start=start)
            net.link(name, face, area / use.insulation)
    return Tank(use, name, lid, wall, top, side)
