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
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, NamedTuple

from heatloss.balance.moisture import AirFlow, Dryer, MoistAir, Moisture, VapourSource, WetFace
from heatloss.balance.run import Run
from heatloss.balance.structure import split
from heatloss.balance.values import Driven, Floats, Value, number, value_of, whole
from heatloss.errors import InputError, UnknownNameError

__all__ = ["Actuator", "Driven", "Link", "Network", "Run", "Value", "run_lanes"]


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
    _moisture: Moisture = field(default_factory=Moisture)
    _freezing: dict[str, tuple[float, float]] = field(default_factory=dict)

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
            number(capacity, f"capacity of node {name!r}", "J/K", least=0.0),
            number(start, f"start of node {name!r}", "degC"),
        )

    def freezes(self, node: str, latent: float, *, ice: float = 0.0) -> None:
        """Let a node of water freeze: it stays at 0 degC until so much heat [J] is drawn from it, or given back.

        ``ice`` is the latent heat of the ice that it starts with [J].

        Raises
        ------
        InputError
            For a node that holds no heat.
        """
        self._known_node(node, "ice")
        if not self._nodes[node][0] > 0.0:
            raise InputError(f"capacity of node {node!r} must be > 0 [J/K] for it to freeze, got 0.")
        latent = number(latent, f"heat that freezes {node!r}", "J", least=0.0)
        ice = number(ice, f"ice of {node!r}", "J", least=0.0)
        if ice > latent:
            raise InputError(f"ice of {node!r} must be <= {latent:g} [J], got {ice:g}.")
        self._freezing[node] = latent, ice

    def boundary(self, name: str, temperature: Value) -> None:
        """Declare a boundary of given temperature [degC], a float or one value per step."""
        self._fresh(name)
        self._boundaries[name] = value_of(temperature, f"temperature of boundary {name!r}", "degC")

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
            value_of(conductance, f"conductance {what}", "W/K", least=0.0),
            value_of(up, f"buoyant {what}", "W/K^(4/3)", least=0.0),
            value_of(down, f"buoyant {what}", "W/K^(4/3)", least=0.0),
            value_of(radiant, f"radiant {what}", "W/K^4", least=0.0),
        )
        self._links.append(Link(a, b, values, mix == "root_square"))
        return len(self._links) - 1

    def source(self, node: str, power: Value) -> int:
        """Add a given power [W] to a node; calls add up, negative is allowed. Gives the number of the source."""
        self._known_node(node, "source")
        self._sources.append((node, value_of(power, f"power of the source at {node!r}", "W")))
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
            number(share, f"share of heater {name!r} into {node!r}", "1", least=0.0)
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
                value_of(setpoint, f"setpoint of heater {name!r}", "degC"),
                value_of(capacity, f"capacity of heater {name!r}", "W", least=0.0, endless=True),
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
                value_of(limit, f"limit of vent {name!r}", "degC"),
                value_of(capacity, f"capacity of vent {name!r}", "W" if to is None else "W/K", least=0.0, endless=True),
                to,
            )
        )

    # ---- declaring water vapour ------------------------------------------------------------------------------------

    def moist_air(self, node: str, *, mass: Value, pressure: float = 101325.0, start: float = 0.005) -> None:
        """Let the air of a node carry water vapour.

        Parameters
        ----------
        node : str
        mass : float or one value per step [kg]
            Of dry air.
        pressure : float [Pa]
        start : float [kg/kg]
            Humidity ratio before the first step.
        """
        self._known_node(node, "moist air")
        if node in self._moisture.airs:
            raise InputError(f"moist air must be new, got {node!r}, which is declared already.")
        self._moisture.airs[node] = MoistAir(
            node,
            value_of(mass, f"mass of the air of {node!r}", "kg", least=1e-9),
            number(pressure, f"pressure of the air of {node!r}", "Pa", least=3e4),
            number(start, f"humidity ratio of {node!r}", "kg/kg", least=0.0),
        )

    def humidity(self, boundary: str, ratio: Value) -> None:
        """Give the air of a boundary its humidity ratio [kg/kg]."""
        if boundary not in self._boundaries:
            raise UnknownNameError("boundary", boundary, self._boundaries)
        self._moisture.humidities[boundary] = value_of(ratio, f"humidity of {boundary!r}", "kg/kg", least=0.0)

    def wet(
        self,
        node: str,
        air: str,
        conductance: Value | tuple[Value, Value] = 0.0,
        *,
        along: int | None = None,
        factor: Value | tuple[Value, Value] = 0.0,
    ) -> int:
        """Let water evaporate at a node into moist air, or condense from it.

        Parameters
        ----------
        node, air : str
            The node at whose temperature the vapour is saturated, the body of moist air; the same one for fog.
        conductance : float, one value per step, or a pair of them [kg/s]
            By unit of humidity ratio; a pair means (evaporating, condensing).
        along : int, optional
            Number of the link whose film also moves the vapour.
        factor : as ``conductance`` [kg K/J]
            What that link's conductance is multiplied with.

        Returns
        -------
        int
            Number of the wet face, its column in ``Run.lane_evaporated``.

        Notes
        -----
        Evaporation c (w_s(T) - w) [kg/s], c = conductance + factor * G of the link; its latent heat,
        2.501e6 - 2361 T [J/kg], leaves the node.
        """
        self._known_node(node, "wet face")
        self._known_air(air, "wet face")
        what = f"of the wet face at {node!r}"
        pairs = [
            (value_of(one, f"{name} {what}", unit, least=0.0), value_of(other, f"{name} {what}", unit, least=0.0))
            for name, unit, (one, other) in (
                ("conductance", "kg/s", conductance if isinstance(conductance, tuple) else (conductance, conductance)),
                ("factor", "kg K/J", factor if isinstance(factor, tuple) else (factor, factor)),
            )
        ]
        self._known_link(along, what)
        self._moisture.faces.append(WetFace(node, air, pairs[0], along, pairs[1]))
        return len(self._moisture.faces) - 1

    def air_flow(
        self,
        air: str,
        to: str,
        conductance: Value = 0.0,
        *,
        along: int | None = None,
        factor: Value = 0.0,
        vent: str | None = None,
    ) -> int:
        """Let flowing air carry vapour between two bodies of moist air, or to a boundary's air.

        Parameters
        ----------
        air, to : str
        conductance : float or one value per step [kg/s]
        along, factor : as ``wet``
            Link whose conductance is the heat of that flow; 1 / (specific heat of air) carries just its vapour.
        vent : str, optional
            Name of a vent to a boundary, whose air this is.

        Returns
        -------
        int
            Number of the flow, its column in ``Run.lane_carried``.
        """
        self._known_air(air, "flow of air")
        if to not in self._moisture.airs and to not in self._moisture.humidities:
            raise UnknownNameError("moist air", to, [*self._moisture.airs, *self._moisture.humidities])
        vents = [a.name for a in self._actuators if a.kind == 2]
        if vent is not None and vent not in vents:
            raise UnknownNameError("vent", vent, vents, f"flow of air from {air!r}")
        what = f"of the flow of air from {air!r} to {to!r}"
        self._known_link(along, what)
        self._moisture.flows.append(
            AirFlow(
                air,
                to,
                value_of(conductance, f"conductance {what}", "kg/s", least=0.0),
                along,
                value_of(factor, f"factor {what}", "kg K/J", least=0.0),
                vent,
            )
        )
        return len(self._moisture.flows) - 1

    def vapour(self, air: str, rate: Value = 0.0, *, heater: str | None = None, by_watt: Value = 0.0) -> int:
        """Add vapour to a body of moist air: a rate [kg/s], or so much for each watt of a heater [kg/J].

        Its latent heat is no part of it: that is a source of heat of its own, where it is taken from the house.
        """
        self._known_air(air, "source of vapour")
        heaters = [a.name for a in self._actuators if a.kind == 0]
        if heater is not None and heater not in heaters:
            raise UnknownNameError("heater", heater, heaters, f"vapour into {air!r}")
        what = f"into {air!r}"
        self._moisture.sources.append(
            VapourSource(
                air,
                value_of(rate, f"vapour {what}", "kg/s"),
                heater,
                value_of(by_watt, f"vapour of a flame {what}", "kg/J", least=0.0),
            )
        )
        return len(self._moisture.sources) - 1

    def dryer(self, air: str, to: str, *, limit: Value, capacity: Value) -> int:
        """Declare a vent that opens so far that a body of moist air stays at a relative humidity.

        Parameters
        ----------
        air, to : str
            The moist air, the boundary it is exchanged with; nothing where that is the moister.
        limit : float or one value per step [1]
        capacity : float or one value per step [W/K]

        Returns
        -------
        int
            Number of the link it acts by, as ``link`` gives it.
        """
        self._known_air(air, "drying vent")
        if to not in self._moisture.humidities:
            raise UnknownNameError("moist air", to, self._moisture.humidities, "drying vent")
        link = self.link(air, to)
        self._moisture.dryers.append(
            Dryer(
                air,
                to,
                link,
                value_of(limit, f"limit of the drying vent of {air!r}", "1", least=0.0),
                value_of(capacity, f"capacity of the drying vent of {air!r}", "W/K", least=0.0),
            )
        )
        return link

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

    def start_of(self, node: str) -> float:
        """Temperature of a node before the first step [degC]."""
        self._known_node(node, "start")
        return self._nodes[node][1]

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
        """A copy with every capacity 0, and next to no air to moisten: the limit in which degree-hours are exact."""
        moisture = self._moisture.copy()
        moisture.airs = {name: air._replace(mass=1e-6) for name, air in moisture.airs.items()}
        nodes = {name: (0.0, start) for name, (_, start) in self._nodes.items()}
        return self.copy(_nodes=nodes, _moisture=moisture, _freezing={})

    def started(self, temperatures: Mapping[str, float], humidity: Mapping[str, float] | None = None) -> Network:
        """A copy whose nodes start at the given temperatures [degC], its moist air at given ratios [kg/kg]."""
        nodes = {name: (c, float(temperatures.get(name, s))) for name, (c, s) in self._nodes.items()}
        moisture = self._moisture.copy()
        given = humidity or {}
        moisture.airs = {name: a._replace(start=float(given.get(name, a.start))) for name, a in moisture.airs.items()}
        return self.copy(_nodes=nodes, _moisture=moisture)

    def continued(self, run: Run) -> Network:
        """A copy that starts where a run of the same network ended."""
        temperatures = dict(zip(self._nodes, run.lane_temperature[-1], strict=True))
        ice = {
            name: (run.network._freezing[name][0], float(run.lane_ice[-1, i])) for i, name in enumerate(self._freezing)
        }
        humidity = dict(zip(self._moisture.airs, run.lane_humidity[-1], strict=True))
        return self.started(temperatures, humidity).copy(_freezing=ice)

    def limited(self, capacities: Mapping[str, Value]) -> Network:
        """A copy whose named heaters or vents have other capacities [W, or W/K of a vent to a boundary]."""
        known = [a.name for a in self._actuators]
        for name in capacities:
            if name not in known:
                raise UnknownNameError("heater or vent", name, known)
        checked = {
            name: value_of(value, f"capacity of {name!r}", "W", least=0.0, endless=True)
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

    def _known_air(self, name: str, where: str) -> None:
        if name not in self._moisture.airs:
            raise UnknownNameError("moist air", name, self._moisture.airs, where)

    def _known_link(self, link: int | None, where: str) -> None:
        if link is not None and not 0 <= link < len(self._links):
            raise InputError(f"link {where} must be the number of a declared link, got {link!r}.")

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

    if not (whole(steps) and steps > 0):
        raise InputError(f"steps must be a whole number > 0, got {steps!r}.")
    for name, count in (("substeps", substeps), ("iterations", iterations)):
        if not (whole(count) and count > 0):
            raise InputError(f"{name} must be a whole number > 0, got {count!r}.")
    step = number(step, "step", "s")
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
            *(part[:, :, lane] for part in block[3:]),
        )
        for lane, network in enumerate(networks)
    ]


def _largest(shares: Mapping[str, float]) -> str:
    return max(shares, key=lambda k: shares[k])
