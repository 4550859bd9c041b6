"""The same network stepped by careful numpy, one dense solve per film pass: what the compiled engine is measured by.

Everything that can leave the loop has left it: values of a step come from one table, laws are grouped by their form,
conductances reach the matrix by one bincount over numbers worked out before, and temperatures, heater's and vent's
response come from one solve of three right sides. It serves one heater and one air vent on one sensor, as a greenhouse
has them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatloss.balance import Driven, Network

Floats = NDArray[np.float64]
KELVIN = 273.15


def by_step(value: float | Driven, first: int, steps: int) -> Floats:
    """A value of the network as one number per step."""
    return value.array()[first : first + steps] if isinstance(value, Driven) else np.full(steps, float(value))


@dataclass
class CarefulNumpy:
    """One network made ready for stepping.

    Attributes
    ----------
    capacity, start : (nodes,) [J/K], [degC]
    a, b : (links,)
        Numbers of the ends; those of boundaries follow those of nodes.
    laws : (steps, links, 4)
        Conductance, buoyant part with a warmer and with b warmer, radiant part.
    edge : (steps, boundaries) [degC]
    given : (steps, nodes) [W]
    """

    capacity: Floats
    start: Floats
    a: NDArray[np.int64]
    b: NDArray[np.int64]
    root_square: NDArray[np.bool_]
    laws: Floats
    edge: Floats
    given: Floats
    sensor: int
    heater: dict[str, Any]
    vent: dict[str, Any]

    @classmethod
    def of(cls, net: Network, steps: int, *, first: int = 0) -> CarefulNumpy:
        """Make ``steps`` steps of a network ready, from row ``first`` of its inputs."""

        def column(value: float | Driven) -> Floats:
            return by_step(value, first, steps)

        number = {name: i for i, name in enumerate([*net._nodes, *net._boundaries])}
        links, n = net._links, len(net._nodes)
        given = np.zeros((steps, n))
        for node, power in net._sources:
            given[:, number[node]] += column(power)
        heater, vent = net._actuators
        if not (heater.kind == 0 and vent.kind == 2 and heater.sensor == vent.sensor):
            raise ValueError("the reference serves one heater and one air vent on one sensor")
        into = np.zeros(n)
        for node, share in heater.into.items():
            into[number[node]] = share
        sensor = number[heater.sensor]
        assert vent.to is not None
        return cls(
            capacity=np.array([c for c, _ in net._nodes.values()]),
            start=np.array([t for _, t in net._nodes.values()]),
            a=np.array([number[k.a] for k in links]),
            b=np.array([number[k.b] for k in links]),
            root_square=np.array([k.root_square for k in links]),
            laws=np.stack([np.stack([column(v) for v in k.laws], axis=1) for k in links], axis=1),
            edge=np.stack([column(v) for v in net._boundaries.values()], axis=1),
            given=given,
            sensor=sensor,
            heater={"into": into, "at": column(heater.threshold), "most": column(heater.capacity)},
            vent={
                "into": np.eye(n)[sensor], "at": column(vent.threshold), "most": column(vent.capacity),
                "to": number[vent.to] - n,
            },
        )  # fmt: skip

    def march(self, steps: int, *, step: float = 3600.0, substeps: int = 4, iterations: int = 2) -> Floats:
        """Temperatures at the start and at the end of each step, (steps + 1, nodes) [degC]."""
        n, stored = len(self.capacity), self.capacity * substeps / step
        size = n + self.edge.shape[1]
        places = np.concatenate([self.a * (size + 1), self.b * (size + 1), self.a * size + self.b,
                                 self.b * size + self.a])  # fmt: skip
        curved = (self.laws[:, :, 1:3] != 0.0).any(axis=(0, 2))
        radiant = (self.laws[:, :, 3] != 0.0).any(axis=0)
        larger, square = np.flatnonzero(curved & ~self.root_square), np.flatnonzero(curved & self.root_square)
        rays = np.flatnonzero(radiant)
        found = np.empty((steps + 1, n))
        found[0] = t = self.start
        right = np.empty((n, 3))
        right[:, 1], right[:, 2] = self.heater["into"], self.vent["into"]
        for i in range(steps):
            edge, laws = self.edge[i], self.laws[i]
            for _ in range(substeps):
                held = stored * t + self.given[i]
                for _ in range(iterations):
                    g = self._conductance(np.concatenate([t, edge]), laws, larger, square, rays)
                    whole = np.bincount(places, np.concatenate([g, g, -g, -g]), size * size).reshape(size, size)
                    matrix = whole[:n, :n]
                    matrix[np.diag_indices(n)] += stored
                    right[:, 0] = held - whole[:n, n:] @ edge
                    free, heated, vented = np.linalg.solve(matrix, right).T
                    t = self._controlled(i, free, heated, vented)
            found[i + 1] = t
        return found

    def _conductance(self, t: Floats, laws: Floats, larger: Any, square: Any, rays: Any) -> Floats:
        """W/K of every link at temperatures of nodes and boundaries."""
        g = laws[:, 0].copy()
        drop = t[self.a] - t[self.b]
        natural = np.where(drop > 0.0, laws[:, 1], laws[:, 2]) * np.cbrt(np.abs(drop))
        g[larger] = np.maximum(g[larger], natural[larger])
        g[square] = np.hypot(g[square], natural[square])
        ka, kb = t[self.a[rays]] + KELVIN, t[self.b[rays]] + KELVIN
        g[rays] += laws[rays, 3] * (ka * ka + kb * kb) * (ka + kb)
        return g

    def _controlled(self, i: int, free: Floats, heated: Floats, vented: Floats) -> Floats:
        """Temperatures with heater or vent at work; both answer along a straight line."""
        s, want, limit = self.sensor, self.heater["at"][i], self.vent["at"][i]
        if free[s] < want:
            return free + heated * min((want - free[s]) / heated[s], self.heater["most"][i])
        outer = self.edge[i, self.vent["to"]]
        if free[s] > limit and free[s] > outer:
            wide = self.vent["most"][i]
            fully = wide * (free[s] - outer) / (1.0 + wide * vented[s])
            return free - vented * min((free[s] - max(limit, outer)) / vented[s], fully)
        return free
