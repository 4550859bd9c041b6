"""A bare network of heat: nodes, boundaries, links, sources, heaters, vents; W, K, J, degC.

The network knows nothing of greenhouses. Each value is a float or one value per step; every flow is booked with the
conductance of the solve that made it, so the ledger closes to rounding.

References
----------
Backward Euler with the exact scalar step of a thermostat, and the cubic radiative secant
``(Ta^2 + Tb^2)(Ta + Tb)``, are textbook forms (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.structure import split
from heatloss.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Driven:
    """A value that follows a column of the driver table: offset + factor * column.

    Networks that share a column object share it in a batch too; only the two numbers differ by lane.
    """

    column: Floats
    factor: float = 1.0
    offset: float = 0.0

    def array(self) -> Floats:
        """One value per step."""
        return self.offset + self.factor * self.column

    def __mul__(self, factor: float) -> Driven:
        """The same course, so many times as large."""
        return Driven(self.column, self.factor * factor, self.offset * factor)


Value = float | Floats | Sequence[float] | Driven


class Link(NamedTuple):
    """One declared link, its values as ``Driven`` or float."""

    a: str
    b: str
    laws: tuple[float | Driven, float | Driven, float | Driven, float | Driven]
    root_square: bool


class Actuator(NamedTuple):
    """One declared heater or vent."""

    name: str
    kind: int
    into: dict[str, float]
    sensor: str
    threshold: float | Driven
    capacity: float | Driven
    to: str | None


@dataclass
class Network:
    """Nodes, boundaries, links, sources and controls, stepped by the compiled kernel.

    Examples
    --------
    >>> net = Network()
    >>> net.node("air", capacity=5e5, start=10.0)
    >>> net.boundary("outdoor", 0.0)
    >>> link = net.link("air", "outdoor", 100.0)
    >>> net.heater("stove", "air", setpoint=10.0)
    >>> round(float(net.run(24).power["stove"].iloc[-1]), 6)
    1000.0
    """

    _nodes: dict[str, tuple[float, float]] = field(default_factory=dict)
    _boundaries: dict[str, float | Driven] = field(default_factory=dict)
    _links: list[Link] = field(default_factory=list)
    _sources: list[tuple[str, float | Driven]] = field(default_factory=list)
    _actuators: list[Actuator] = field(default_factory=list)

    # ---- declaring -------------------------------------------------------------------------------------------------

    def node(self, name: str, *, capacity: float = 0.0, start: float = 0.0) -> None:
        """Declare a node.

        Parameters
        ----------
        name : str
            New name, unlike those of all nodes and boundaries.
        capacity : float [J/K]
            Heat capacity; 0 is allowed.
        start : float [degC]
            Temperature before the first step.
        """
        self._fresh(name)
        self._nodes[name] = (
            _number(capacity, f"capacity of node {name!r}", "J/K", least=0.0),
            _number(start, f"start of node {name!r}", "degC"),
        )

    def boundary(self, name: str, temperature: Value) -> None:
        """Declare a boundary of given temperature [degC], a float or one value per step."""
        self._fresh(name)
        self._boundaries[name] = _value(temperature, f"temperature of boundary {name!r}", "degC")

    def link(
        self,
        a: str,
        b: str,
        conductance: Value = 0.0,
        *,
        buoyant: Value | tuple[Value, Value] = 0.0,
        mix: str = "larger",
        radiant: Value = 0.0,
    ) -> int:
        """Tie two nodes, or a node and a boundary.

        Parameters
        ----------
        a, b : str
            Declared names.
        conductance : float or one value per step [W/K]
        buoyant : float, one value per step, or a pair of them [W/K^(4/3)]
            Natural convection; a pair means (a warmer, b warmer).
        mix : {"larger", "root_square"}
            How the two film parts join.
        radiant : float or one value per step [W/K^4]

        Returns
        -------
        int
            Number of the link, its column in ``Run.lane_flow``.

        Notes
        -----
        G = mix(conductance, buoyant |Ta - Tb|^(1/3)) + radiant (Ta^2 + Tb^2)(Ta + Tb), the last with T in K.
        """
        what = f"of link {a!r} to {b!r}"
        for end in (a, b):
            if end not in self._nodes and end not in self._boundaries:
                raise UnknownNameError("link end", end, [*self._nodes, *self._boundaries])
        if a == b:
            raise InputError(f"link must tie two different names, got {a!r} twice.")
        if mix not in ("larger", "root_square"):
            raise UnknownNameError("mix", mix, ("larger", "root_square"), what)
        pair = buoyant if isinstance(buoyant, tuple) else (buoyant, buoyant)
        if len(pair) != 2:
            raise InputError(f"buoyant {what} must be a value or a pair (a warmer, b warmer), got {len(pair)} values.")
        up, down = pair
        values = (
            _value(conductance, f"conductance {what}", "W/K", least=0.0),
            _value(up, f"buoyant {what}", "W/K^(4/3)", least=0.0),
            _value(down, f"buoyant {what}", "W/K^(4/3)", least=0.0),
            _value(radiant, f"radiant {what}", "W/K^4", least=0.0),
        )
        self._links.append(Link(a, b, values, mix == "root_square"))
        return len(self._links) - 1

    def source(self, node: str, power: Value) -> int:
        """Add a given power [W] to a node; calls add up, negative is allowed. Gives the number of the source."""
        self._known_node(node, "source")
        self._sources.append((node, _value(power, f"power of the source at {node!r}", "W")))
        return len(self._sources) - 1

    def heater(
        self,
        name: str,
        into: str | Mapping[str, float],
        *,
        setpoint: Value,
        capacity: Value = math.inf,
        sensor: str | None = None,
    ) -> None:
        """Declare a heater that holds its sensor at the setpoint as far as its capacity goes.

        Parameters
        ----------
        name : str
        into : str or {node: share}
            Where the heat goes; shares sum to 1.
        setpoint : float or one value per step [degC]
        capacity : float or one value per step [W]
        sensor : str, optional
            By default the node of largest share. Heaters of one sensor act in the order declared.
        """
        shares = dict(into) if isinstance(into, Mapping) else {into: 1.0}
        for node, share in shares.items():
            self._known_node(node, f"heater {name!r}")
            _number(share, f"share of heater {name!r} into {node!r}", "1", least=0.0)
        if not abs(sum(shares.values()) - 1.0) <= 1e-9:
            raise InputError(f"shares of heater {name!r} must sum to 1, got {sum(shares.values()):g}.")
        sensor = max(shares, key=lambda k: shares[k]) if sensor is None else sensor
        self._known_node(sensor, f"sensor of heater {name!r}")
        self._new_actuator(
            Actuator(
                name,
                0,
                shares,
                sensor,
                _value(setpoint, f"setpoint of heater {name!r}", "degC"),
                _value(capacity, f"capacity of heater {name!r}", "W", least=0.0, endless=True),
                None,
            )
        )

    def vent(self, name: str, node: str, *, limit: Value, to: str | None = None, capacity: Value = math.inf) -> None:
        """Declare a removal of heat that holds a node at or below a limit.

        Parameters
        ----------
        name, node : str
        limit : float or one value per step [degC]
        to : str, optional
            None removes heat as such, ``capacity`` in W. A boundary's name exchanges air with it, ``capacity`` in
            W/K, and nothing where it is warmer than the node.
        capacity : float or one value per step [W or W/K]
        """
        self._known_node(node, f"vent {name!r}")
        if to is not None and to not in self._boundaries:
            raise UnknownNameError("boundary", to, self._boundaries, f"vent {name!r}")
        self._new_actuator(
            Actuator(
                name,
                1 if to is None else 2,
                {node: 1.0},
                node,
                _value(limit, f"limit of vent {name!r}", "degC"),
                _value(capacity, f"capacity of vent {name!r}", "W" if to is None else "W/K", least=0.0, endless=True),
                to,
            )
        )

    # ---- asking ----------------------------------------------------------------------------------------------------

    @property
    def boundaries(self) -> tuple[str, ...]:
        """Names of the boundaries."""
        return tuple(self._boundaries)

    def temperature_of(self, boundary: str) -> Floats | float:
        """Temperature of a boundary [degC], one number or one per step."""
        if boundary not in self._boundaries:
            raise UnknownNameError("boundary", boundary, self._boundaries)
        value = self._boundaries[boundary]
        return value.array() if isinstance(value, Driven) else value

    @property
    def hubs(self) -> tuple[str, ...]:
        """Names of the nodes that the network treats as hubs."""
        names = list(self._nodes)
        return tuple(names[i] for i in self._split()[0])

    @property
    def chains(self) -> tuple[tuple[str, ...], ...]:
        """Names along each chain that the network found."""
        names = list(self._nodes)
        return tuple(tuple(names[i] for i in chain) for chain in self._split()[1])

    def copy(self, **changes: Any) -> Network:
        """A network of its own with the same parts, some of them replaced."""
        parts = {f.name: getattr(self, f.name).copy() for f in fields(self)}
        return Network(**{**parts, **changes})

    def massless(self) -> Network:
        """A copy with every capacity 0: the limit in which degree-hours are exact."""
        return self.copy(_nodes={name: (0.0, start) for name, (_, start) in self._nodes.items()})

    def started(self, temperatures: Mapping[str, float]) -> Network:
        """A copy whose nodes start at the given temperatures [degC]."""
        nodes = {name: (c, float(temperatures.get(name, s))) for name, (c, s) in self._nodes.items()}
        return self.copy(_nodes=nodes)

    def limited(self, capacities: Mapping[str, Value]) -> Network:
        """A copy whose named heaters or vents have other capacities [W, or W/K of a vent to a boundary]."""
        known = [a.name for a in self._actuators]
        for name in capacities:
            if name not in known:
                raise UnknownNameError("heater or vent", name, known)
        checked = {
            name: _value(value, f"capacity of {name!r}", "W", least=0.0, endless=True)
            for name, value in capacities.items()
        }
        return self.copy(_actuators=[a._replace(capacity=checked.get(a.name, a.capacity)) for a in self._actuators])

    def run(
        self, steps: int, *, step: float = 3600.0, substeps: int = 1, iterations: int = 2, first: int | None = None
    ) -> Run:
        """Step the network.

        Parameters
        ----------
        steps : int
            How many steps; inputs are constant within a step.
        step : float [s]
            Length of a step.
        substeps : int
            Equal parts of a step, each implicit at its end.
        iterations : int
            How often the films are evaluated in a sub-step.
        first : int, optional
            Row of the inputs to begin with; without it the inputs must have just ``steps`` values.

        Raises
        ------
        InputError
            For inputs of unlike length, a node tied to nothing, or controls that contradict one another.
        """
        return run_lanes([self], steps, step=step, substeps=substeps, iterations=iterations, first=first)[0]

    def steady(self, *, at: int = 0) -> Run:
        """Solve one instant with all capacities ignored; ``at`` is the row of inputs that vary.

        Both rows of ``temperature`` hold the answer and the ledger is in W.
        """
        run = self.massless().run(1, step=1.0, iterations=200, first=at)
        run.lane_temperature[0] = run.lane_temperature[1]
        return run

    # ---- within ----------------------------------------------------------------------------------------------------

    def _fresh(self, name: str) -> None:
        if name in self._nodes or name in self._boundaries:
            raise InputError(f"name must be new, got {name!r}, which stands for a node or boundary already.")

    def _known_node(self, name: str, where: str) -> None:
        if name not in self._nodes:
            raise UnknownNameError("node", name, self._nodes, where)

    def _new_actuator(self, new: Actuator) -> None:
        for old in self._actuators:
            if old.name == new.name:
                raise InputError(f"name must be new, got {new.name!r}, which stands for a heater or vent already.")
            mine, theirs = _largest(new.into), _largest(old.into)
            if new.sensor != old.sensor and mine == old.sensor and theirs == new.sensor:
                raise InputError(
                    f"sensors must not be crossed, got {new.name!r} sensing what {old.name!r} feeds and the reverse. "
                    "Let each control sense the node it feeds."
                )
        self._actuators.append(new)

    def _neighbours(self) -> list[set[int]]:
        number = {name: i for i, name in enumerate(self._nodes)}
        near: list[set[int]] = [set() for _ in number]
        for link in self._links:
            if link.a in number and link.b in number:
                near[number[link.a]].add(number[link.b])
                near[number[link.b]].add(number[link.a])
        return near

    def _controlled(self) -> list[int]:
        number = {name: i for i, name in enumerate(self._nodes)}
        return sorted({number[n] for a in self._actuators for n in (*a.into, a.sensor)})

    def _split(self) -> tuple[list[int], list[list[int]]]:
        return split(self._neighbours(), self._controlled())


def run_lanes(
    networks: Sequence[Network],
    steps: int,
    *,
    step: float = 3600.0,
    substeps: int = 1,
    iterations: int = 2,
    first: int | None = None,
) -> list[Run]:
    """Run networks of equal topology side by side, one per lane; arguments as ``Network.run``.

    Returns
    -------
    list of Run
        In the order of ``networks``, equal to the last bit to one-at-a-time runs.

    Raises
    ------
    InputError
        Also where the topologies differ.
    """
    from heatloss.balance.lanes import Lanes  # the compiler loads with the first run
    from heatloss.balance.plan import compile_networks

    if not (_whole(steps) and steps > 0):
        raise InputError(f"steps must be a whole number > 0, got {steps!r}.")
    for name, count in (("substeps", substeps), ("iterations", iterations)):
        if not (_whole(count) and count > 0):
            raise InputError(f"{name} must be a whole number > 0, got {count!r}.")
    step = _number(step, "step", "s")
    if not step > 0.0:
        raise InputError(f"step must be > 0 [s], got {step:g}.")
    plan = compile_networks(networks, steps, first)
    block = Lanes(plan, step=step, substeps=substeps, iterations=iterations).advance(first or 0, steps)
    return [
        Run(
            network,
            step,
            first or 0,
            block.temperature[:, plan.place, lane],
            block.power[:, :, lane],
            block.flow[:, :, lane],
        )
        for lane, network in enumerate(networks)
    ]


@dataclass(frozen=True, eq=False)
class Run:
    """What a run gave; frames are made when asked for.

    Attributes
    ----------
    network : Network
        What was run.
    step : float [s]
    lane_temperature : (steps + 1, nodes) [degC]
        Nodes in the order declared.
    lane_power : (steps, heaters and vents) [W]
        Step means, vents negative.
    lane_flow : (steps, links) [W]
        Step means, positive from a to b of each link as declared.
    """

    network: Network
    step: float
    first: int
    lane_temperature: Floats
    lane_power: Floats
    lane_flow: Floats

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.lane_power)

    @cached_property
    def temperature(self) -> pd.DataFrame:
        """Frame (steps + 1) x nodes [degC], row 0 the start."""
        import pandas as pd

        return pd.DataFrame(self.lane_temperature, columns=list(self.network._nodes))

    @cached_property
    def power(self) -> pd.DataFrame:
        """Frame steps x (heaters, vents), step-mean W, vents negative."""
        import pandas as pd

        return pd.DataFrame(self.lane_power, columns=[a.name for a in self.network._actuators])

    @cached_property
    def unmet(self) -> pd.DataFrame:
        """Frame steps x heaters: K below the setpoint at the step's end."""
        import pandas as pd

        heaters = [a for a in self.network._actuators if a.kind == 0]
        return pd.DataFrame(
            {
                a.name: np.maximum(0.0, self._input(a.threshold) - self.temperature[a.sensor].to_numpy()[1:])
                for a in heaters
            },
            index=range(self.steps),
        )

    def flow(self, a: str, b: str) -> Floats:
        """Step-mean flow from a to b over all links between them [W]."""
        total, found = np.zeros(self.steps), False
        for k, link in enumerate(self.network._links):
            if {link.a, link.b} == {a, b}:
                total += self.lane_flow[:, k] * (1.0 if link.a == a else -1.0)
                found = True
        if not found:
            pairs = [f"{link.a} to {link.b}" for link in self.network._links]
            raise UnknownNameError("link", f"{a} to {b}", pairs)
        return total

    def source_power(self, which: int) -> Floats:
        """Power of the source declared as number ``which`` [W], one value per step."""
        return self._input(self.network._sources[which][1])

    @cached_property
    def storage(self) -> Floats:
        """Step-mean power given up by all capacities [W], negative where they fill."""
        capacity = np.array([c for c, _ in self.network._nodes.values()])
        given: Floats = -(np.diff(self.lane_temperature, axis=0) @ capacity) / self.step
        return given

    @cached_property
    def terms(self) -> dict[str, Floats]:
        """Step-mean W by ledger word, gains positive: sources, heaters, vents, each boundary, storage."""
        net = self.network
        kinds = np.array([a.kind for a in net._actuators], dtype=int)
        terms = {
            "sources": sum((self.source_power(i) for i in range(len(net._sources))), np.zeros(self.steps)),
            "heaters": self.lane_power[:, kinds == 0].sum(axis=1),
            "vents": self.lane_power[:, kinds > 0].sum(axis=1),
            **{name: np.zeros(self.steps) for name in net._boundaries},
        }
        for k, link in enumerate(net._links):
            if link.a in net._boundaries:
                terms[link.a] = terms[link.a] + self.lane_flow[:, k]
            if link.b in net._boundaries:
                terms[link.b] = terms[link.b] - self.lane_flow[:, k]
        terms["storage"] = self.storage
        return terms

    @cached_property
    def ledger(self) -> pd.Series[float]:
        """J over the run by word, gains positive, losses negative; sums to zero."""
        import pandas as pd

        return pd.Series({word: float(term.sum()) * self.step for word, term in self.terms.items()}, name="J")

    @cached_property
    def closure(self) -> float:
        """Worst |residual| over the sum of all positive terms, of every step and the whole; 0 where nothing flows.

        What the arithmetic cannot resolve is no residual: the last bits of each capacity's heat and of each boundary
        link's two temperatures are taken off it.
        """
        table = np.array(list(self.terms.values()))
        table = np.hstack([table, table.sum(axis=1, keepdims=True)])
        positive = np.where(table > 0.0, table, 0.0).sum(axis=0)
        bits = np.full(self.steps + 1, 8 * np.finfo(float).eps * self._stiffness * np.abs(self.lane_temperature).max())
        bits[-1] *= np.sqrt(self.steps)
        residual = np.maximum(np.abs(table.sum(axis=0)) - bits, 0.0)
        return float(np.divide(residual, positive, out=np.zeros_like(residual), where=positive > 0.0).max())

    @property
    def _stiffness(self) -> float:
        """Upper bound of capacities over the step and conductances to boundaries [W/K], to 1000 K and 127 degC."""
        net = self.network
        total = sum(c for c, _ in net._nodes.values()) / self.step
        for link in net._links:
            if link.a in net._boundaries or link.b in net._boundaries:
                fixed, up, down, rays = (float(np.max(self._input(value))) for value in link.laws)
                total += fixed + 10.0 * max(up, down) + 4.0 * 400.0**3 * rays
        return total

    def _input(self, value: float | Driven) -> Floats:
        if isinstance(value, Driven):
            return value.array()[self.first : self.first + self.steps]
        return np.full(self.steps, value)


def _whole(value: Any) -> bool:
    return isinstance(value, (int, np.integer)) and not isinstance(value, bool)


def _largest(shares: Mapping[str, float]) -> str:
    return max(shares, key=lambda k: shares[k])


def _number(value: Any, name: str, unit: str, least: float = -math.inf) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number [{unit}], got {value!r}.") from None
    if not (math.isfinite(number) and number >= least):
        bound = "finite" if least == -math.inf else f">= {least:g} and finite"
        raise InputError(f"{name} must be {bound} [{unit}], got {number:g}.")
    return number


def _value(value: Value, name: str, unit: str, least: float = -math.inf, endless: bool = False) -> float | Driven:
    """A checked float, or a checked column."""
    if isinstance(value, Driven):
        _check_column(value.array(), name, unit, least, endless)
        return value
    try:
        column = np.array(value, dtype=float)  # a copy: what the caller does to it later is not the network's
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number, or one per step [{unit}], got {value!r}.") from None
    if column.ndim == 0:
        number = float(column)
        return number if endless and number == math.inf else _number(number, name, unit, least)
    _check_column(column, name, unit, least, endless)
    return Driven(column)


def _check_column(column: Floats, name: str, unit: str, least: float, endless: bool) -> None:
    if column.ndim != 1 or not len(column):
        raise InputError(f"{name} must be one value per step, got an array of shape {column.shape}.")
    fine = (np.isfinite(column) | (endless & (column == math.inf))) & (column >= least)
    if not fine.all():
        where = int(np.argmin(fine))
        bound = "finite" if least == -math.inf else f">= {least:g} and finite"
        raise InputError(f"{name} must be {bound} [{unit}], got {column[where]:g} (step {where}).")


def columns_of(values: Iterable[float | Driven]) -> list[Floats]:
    """Distinct column objects among the values, in their order."""
    seen: dict[int, Floats] = {}
    for value in values:
        if isinstance(value, Driven):
            seen.setdefault(id(value.column), value.column)
    return list(seen.values())
