"""Networks of equal topology marched side by side, in as many pieces of time as memory likes."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.audit import given_and_stored
from heatloss.balance.kernel import HEATER, march
from heatloss.balance.ledger import last_bits, worst_residual
from heatloss.balance.plan import Plan
from heatloss.errors import InputError

Floats = NDArray[np.float64]
LONGEST_ALONE = 900.0
"""Sub-step up to which one evaluation holds vapour and heat together [s]; found by trial, an hour does not."""
LEAST_OF_LONG = 3
"""Evaluations that a longer one takes at least: with two, an hour in a hot closed house swings too far."""


def by_lane(values: Floats) -> Floats:
    """The lane axis first, each lane's row in one piece: its sums are then the same to the last bit in any company."""
    return np.ascontiguousarray(np.moveaxis(values, -1, 0))


class Block(NamedTuple):
    """What a piece of time gave.

    Attributes
    ----------
    temperature : (steps + 1, nodes, lanes) [degC]
        In the kernel's order of nodes; row 0 is the start.
    power : (steps, heaters and vents, lanes) [W]
        Step means, vents negative.
    flow : (steps, links, lanes) [W]
        Step means, links as declared; of a batch that keeps sums only (steps, boundaries, lanes), what goes to each.
    humidity : (steps + 1, bodies of moist air, lanes) [kg/kg]
    evaporated : (steps, wet faces, lanes) [kg/s]
    latent : (steps, wet faces, lanes) [W]
    carried : (steps, flows of air and drying vents, lanes) [kg/s]
        All step means.
    ice : (steps + 1, nodes that freeze, lanes) [J]
    """

    temperature: Floats
    power: Floats
    flow: Floats
    humidity: Floats
    evaporated: Floats
    latent: Floats
    carried: Floats
    ice: Floats


def passes_of(plan: Plan, substep: float, iterations: int) -> int:
    """How often a sub-step is evaluated: once where all is linear, more where vapour takes long steps."""
    if len(plan.damp.air_node) and substep > LONGEST_ALONE:
        return max(iterations, LEAST_OF_LONG)
    return 1 if plan.topology.linear == len(plan.topology.link_a) else iterations


class Lanes:
    """The state of a batch between pieces of time.

    Attributes
    ----------
    plan : Plan
    temperature : (nodes, lanes) [degC]
        At the end of the last piece, in the kernel's order of nodes.
    humidity : (bodies of moist air, lanes) [kg/kg]
        Then too.
    ice : (nodes that freeze, lanes) [J]
    owed : (wet faces, lanes) [W]
        Latent heat still to be given.
    heat : (heaters and vents, lanes) [W]
    vented : (flows of air, lanes) [kg/s]
        As they were last.
    whole : bool
        Whether the flow through every link is booked, or only the sum to each boundary.
    """

    def __init__(self, plan: Plan, *, step: float, substeps: int, iterations: int, whole: bool = True) -> None:
        self.whole = whole
        if not whole:
            plan = _by_boundary(plan)
        self.plan, self.step, self.substeps = plan, step, substeps
        self.passes = passes_of(plan, step / substeps, iterations)
        self.temperature, self.humidity = plan.start, plan.start_humidity
        self.ice = plan.start_ice
        self.pause()

    def pause(self) -> None:
        """Keep temperatures and humidity alone, as a network does that starts where another run ended."""
        lanes = self.temperature.shape[1]
        self.owed = np.zeros((len(self.plan.damp.wet_air), lanes))
        self.heat = np.zeros((len(self.plan.topology.actuator_kind), lanes))
        self.vented = np.zeros((len(self.plan.damp.flow_from), lanes))

    def advance(self, first: int, steps: int) -> Block:
        """March the steps from row ``first`` of the inputs on.

        Raises
        ------
        InputError
            For controls that contradict one another, or a part tied to nothing.
        """
        top, damp, values, lanes = self.plan.topology, self.plan.damp, self.plan.values, self.temperature.shape[1]
        block = Block(
            np.empty((steps + 1, top.nodes, lanes)),
            np.zeros((steps, len(top.actuator_kind), lanes)),
            np.zeros((steps, self.plan.groups, lanes)),
            np.empty((steps + 1, len(damp.air_node), lanes)),
            np.zeros((steps, len(damp.wet_air), lanes)),
            np.zeros((steps, len(damp.wet_air), lanes)),
            np.zeros((steps, len(damp.flow_from) + len(damp.dry_air), lanes)),
            np.empty((steps + 1, len(top.icy), lanes)),
        )
        block.ice[0] = self.ice
        block.temperature[0] = self.temperature
        block.humidity[0] = self.humidity
        table = self.plan.table(first, steps)
        how = 0, self.substeps, self.passes, self.step
        side = (0,) if lanes == 1 else np.zeros(lanes)  # see ``march``
        fault = march(top, damp, values, table, *how, *block, self.owed, self.heat, self.vented, side)
        if fault:
            raise InputError(
                f"controls must have one consistent answer, got none in step {first + fault - 1}. "
                "Let each control sense the node it feeds."
            )
        if not np.isfinite(block.temperature).all():
            raise InputError(
                "every node must be tied to a boundary or hold heat, got a network without a finite answer. "
                "Link the loose part to a boundary or give one of its nodes a capacity."
            )
        self.temperature, self.humidity, self.ice = block.temperature[-1], block.humidity[-1], block.ice[-1]
        return block

    def closure(self, block: Block, first: int) -> Floats:
        """Worst residual of the ledger over a block's steps and the whole of it, by lane, as ``Run.closure`` has it."""
        bits = last_bits(self._stiffness, np.abs(block.temperature).max(axis=(0, 1)))
        return worst_residual(by_lane(self.terms(block, first)), bits)

    def terms(self, block: Block, first: int) -> Floats:
        """Step-mean W, gains positive (terms, steps, lanes): sources, heaters, vents, latent, boundaries, storage."""
        top, values = self.plan.topology, self.plan.values
        steps, lanes = len(block.power), block.power.shape[2]
        heaters = top.actuator_kind == HEATER
        sources, storage = np.zeros((steps, lanes)), np.zeros((steps, lanes))
        given_and_stored(
            top.p_source, top.p_actuator, values.offset, values.factor, values.column, self.plan.table(first, steps),
            values.capacity, block.temperature, self.step, sources, storage,
        )  # fmt: skip
        edges = np.zeros((top.boundaries, steps, lanes))
        if not self.whole:
            edges -= np.moveaxis(block.flow, 1, 0)
        else:
            for a, b, link, sign in zip(top.link_a, top.link_b, top.link_group, top.link_sign, strict=True):
                if a >= top.nodes:
                    edges[a - top.nodes] += sign * block.flow[:, link]
                if b >= top.nodes:
                    edges[b - top.nodes] -= sign * block.flow[:, link]
        storage += np.diff(block.ice, axis=0).sum(axis=1) / self.step
        given = block.power[:, heaters].sum(axis=1), block.power[:, ~heaters].sum(axis=1)
        return np.concatenate([np.stack([sources, *given, block.latent.sum(axis=1)]), edges, storage[None]])

    @cached_property
    def _stiffness(self) -> Floats:
        """Capacities over the step and conductances to boundaries by lane [W/K], at most (``Run`` says more)."""
        top, values = self.plan.topology, self.plan.values
        low = np.array([1.0, *(column.min() for column in self.plan.columns)])[values.column]
        high = np.array([1.0, *(column.max() for column in self.plan.columns)])[values.column]
        most = values.offset + np.maximum(values.factor * low, values.factor * high)
        total: Floats = values.capacity.sum(axis=0) / self.step
        for k in np.flatnonzero((top.link_a >= top.nodes) | (top.link_b >= top.nodes)):
            fixed, up, down, rays = most[4 * k : 4 * k + 4]
            total = total + fixed + 10.0 * np.maximum(up, down) + 4.0 * 400.0**3 * rays
        return total


def _by_boundary(plan: Plan) -> Plan:
    """The same plan, booking only what goes to each boundary; a link between two boundaries is no node's affair."""
    top = plan.topology
    outward = (top.link_b >= top.nodes) & (top.link_a < top.nodes)
    booked, films = (rows[outward[rows]] for rows in (top.booked, top.booked_films))
    group = np.where(outward, top.link_b - np.uint32(top.nodes), 0).astype(np.uint32)
    changed = top._replace(booked=booked, booked_films=films, link_group=group, link_sign=np.ones(len(group)))
    return plan._replace(topology=changed, groups=top.boundaries)
