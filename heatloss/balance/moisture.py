"""What a network declares of water vapour: bodies of moist air, wet faces, air that flows, sources, drying vents."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import NamedTuple

from heatloss.balance.values import Driven

Number = float | Driven


class MoistAir(NamedTuple):
    """A body of moist air on a node of heat."""

    node: str
    mass: Number
    pressure: Number
    start: float


class WetFace(NamedTuple):
    """A node at whose temperature water evaporates into a body of air or condenses from it."""

    node: str
    air: str
    conductance: tuple[Number, Number]
    along: int | None
    factor: tuple[Number, Number]


class AirFlow(NamedTuple):
    """Air that carries vapour from one body to another, or to a boundary's air."""

    air: str
    to: str
    conductance: Number
    along: int | None
    factor: Number
    vent: str | None


class VapourSource(NamedTuple):
    """Vapour that is given, or made by a heater's flame."""

    air: str
    rate: Number
    heater: str | None
    by_watt: Number


class Dryer(NamedTuple):
    """A vent that opens at a limit of relative humidity."""

    air: str
    to: str
    link: int
    limit: Number
    capacity: Number


@dataclass
class Moisture:
    """All that is declared, in order."""

    airs: dict[str, MoistAir] = field(default_factory=dict)
    humidities: dict[str, Number] = field(default_factory=dict)
    faces: list[WetFace] = field(default_factory=list)
    flows: list[AirFlow] = field(default_factory=list)
    sources: list[VapourSource] = field(default_factory=list)
    dryers: list[Dryer] = field(default_factory=list)

    def copy(self) -> Moisture:
        """One of its own."""
        return Moisture(**{f.name: getattr(self, f.name).copy() for f in fields(self)})

    def ties(self) -> tuple[object, ...]:
        """What must be equal in a batch: names and ties, not numbers."""
        return (
            tuple(self.airs),
            tuple(self.humidities),
            tuple((s.node, s.air, s.along) for s in self.faces),
            tuple((s.air, s.to, s.along, s.vent) for s in self.flows),
            tuple((s.air, s.heater) for s in self.sources),
            tuple((s.air, s.to, s.link) for s in self.dryers),
        )

    def parameters(self) -> list[Number]:
        """Every number, in the order of the kernel."""
        found: list[Number] = []
        for air in self.airs.values():
            found += [air.mass, air.pressure]
        found += self.humidities.values()
        for face in self.faces:
            found += [*face.conductance, *face.factor]
        for flow in self.flows:
            found += [flow.conductance, flow.factor]
        for source in self.sources:
            found += [source.rate, source.by_watt]
        for dryer in self.dryers:
            found += [dryer.limit, dryer.capacity]
        return found
