"""Networks of equal topology marched side by side, in as many pieces of time as memory likes."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.kernel import march
from heatloss.balance.plan import Plan
from heatloss.errors import InputError

Floats = NDArray[np.float64]


class Block(NamedTuple):
    """What a piece of time gave.

    Attributes
    ----------
    temperature : (steps + 1, nodes, lanes) [degC]
        In the kernel's order of nodes; row 0 is the start.
    power : (steps, heaters and vents, lanes) [W]
        Step means, vents negative.
    flow : (steps, links, lanes) [W]
        Step means, links as declared.
    humidity : (steps + 1, bodies of moist air, lanes) [kg/kg]
    evaporated : (steps, wet faces, lanes) [kg/s]
    latent : (steps, wet faces, lanes) [W]
    carried : (steps, flows of air and drying vents, lanes) [kg/s]
        All step means.
    """

    temperature: Floats
    power: Floats
    flow: Floats
    humidity: Floats
    evaporated: Floats
    latent: Floats
    carried: Floats


class Lanes:
    """The state of a batch between pieces of time.

    Attributes
    ----------
    plan : Plan
    temperature : (nodes, lanes) [degC]
        At the end of the last piece, in the kernel's order of nodes.
    humidity : (bodies of moist air, lanes) [kg/kg]
        Then too.
    """

    def __init__(self, plan: Plan, *, step: float, substeps: int, iterations: int) -> None:
        self.plan, self.step, self.substeps = plan, step, substeps
        self.passes = 1 if plan.topology.linear == len(plan.topology.link_a) else iterations
        self.temperature, self.humidity = plan.start, plan.start_humidity

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
        )
        block.temperature[0] = self.temperature
        block.humidity[0] = self.humidity
        table = self.plan.table(first, steps)
        fault = march(top, damp, values, table, 0, self.substeps, self.passes, self.step, *block, (0,) * lanes)
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
        self.temperature, self.humidity = block.temperature[-1], block.humidity[-1]
        return block
