"""One network from many starts: its course over the next days, fine at first, from the state of any hour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from heatloss.balance.values import Floats
from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.balance.network import Network
    from heatloss.balance.plan import Plan

FINE_HOURS, FINE, COARSE = 2, 60, 4
"""One-minute steps for the first two hours, then quarters of an hour."""


@dataclass(frozen=True, eq=False)
class Courses:
    """What follows each start.

    Attributes
    ----------
    hours : (steps + 1,) [h]
        Since the start.
    names : tuple of str
        The nodes, as declared.
    temperature : (starts, steps + 1, nodes) [degC]
    """

    hours: Floats
    names: tuple[str, ...]
    temperature: Floats

    def of(self, node: str) -> Floats:
        """Temperature of one node (starts, steps + 1) [degC]."""
        return self.temperature[:, :, self.names.index(node)]


def courses(
    network: Network, *, starts: Sequence[int], temperature: Floats, humidity: Floats, hours: int, iterations: int = 2
) -> Courses:
    """Run a network from each of many hours of its inputs.

    Parameters
    ----------
    network : Network
        Its inputs stand hour by hour; after the last comes the first.
    starts : sequence of int
        Rows to begin with.
    temperature : (starts, nodes) [degC]
        State there, nodes in the order declared.
    humidity : (starts, bodies of moist air) [kg/kg]
    hours : int
        How far, at least 2.
    iterations : int
        How often the films are evaluated in a step.

    Returns
    -------
    Courses

    Raises
    ------
    InputError
        For fewer hours than 2.
    """
    from heatloss.balance.plan import compile_networks

    if hours < FINE_HOURS:
        raise InputError(f"hours must be {FINE_HOURS} or more [h], got {hours!r} (courses).")
    plan = compile_networks([network], _rows(network), 0)
    first, count = min(starts), max(starts) - min(starts) + hours
    fine, coarse = (_repeated(plan, first, count, times) for times in (FINE, COARSE))
    begun = [(start - first) * FINE for start in starts]
    thawed = np.repeat(plan.start_ice[None, :, 0], len(starts), axis=0)
    state = State(temperature[:, _kernel_order(plan)], humidity, thawed)
    early, after = _marched(fine, begun, state, FINE_HOURS * FINE, iterations)
    later = [(start - first + FINE_HOURS) * COARSE for start in starts]
    late, _ = _marched(coarse, later, after, (hours - FINE_HOURS) * COARSE, iterations)
    times = np.concatenate([np.arange(FINE_HOURS * FINE + 1) / FINE, FINE_HOURS + np.arange(1, late.shape[1]) / COARSE])
    whole = np.concatenate([early, late[:, 1:]], axis=1)
    return Courses(times, tuple(network._nodes), whole[:, :, plan.place])


def crossing(hours: Floats, temperature: Floats, limit: Floats | float) -> Floats:
    """Time at which each course first reaches a limit from above.

    Parameters
    ----------
    hours : (steps + 1,) [h]
    temperature : (starts, steps + 1) [degC]
    limit : float, or one a start [degC]

    Returns
    -------
    (starts,) [h]
        Straight lines between the steps; 0 where it starts there, infinite where it is never reached.

    Examples
    --------
    >>> crossing(np.array([0.0, 1.0, 2.0]), np.array([[4.0, 1.0, -3.0]]), 0.0)
    array([1.25])
    """
    level = np.broadcast_to(np.asarray(limit, dtype=float), temperature.shape[:1])[:, None]
    below = temperature <= level
    at = below.argmax(axis=1)
    row = np.arange(len(temperature))
    before = np.maximum(at - 1, 0)
    warm, cold = temperature[row, before], temperature[row, at]
    share = np.divide(warm - level[:, 0], warm - cold, out=np.zeros(len(row)), where=warm > cold)
    found = hours[before] + share * (hours[at] - hours[before])
    return np.where(below.any(axis=1), np.where(at == 0, 0.0, found), np.inf)


def _rows(network: Network) -> int:
    """Length of the inputs; one where none varies."""
    from heatloss.balance.plan import compile_networks

    columns = compile_networks([network], 1, 0).columns
    return len(columns[0]) if columns else 1


def _kernel_order(plan: Plan) -> list[int]:
    """Declared number of each node of the kernel."""
    order = [0] * len(plan.place)
    for declared, kernel in enumerate(plan.place):
        order[kernel] = declared
    return order


def _repeated(plan: Plan, first: int, hours: int, times: int) -> Plan:
    """The plan over some hours of its inputs, each hour in so many steps."""
    rows = first + np.arange(hours)
    return plan._replace(columns=[np.repeat(column[rows % len(column)], times) for column in plan.columns])


class State(NamedTuple):
    """What a march begins from: temperatures (starts, nodes), humidities and latent heat of ice, a row a start."""

    temperature: Floats
    humidity: Floats
    ice: Floats


def _marched(plan: Plan, firsts: Sequence[int], state: State, steps: int, iterations: int) -> tuple[Floats, State]:
    """Temperatures (starts, steps + 1, nodes) in the kernel's order, and the state at the end."""
    from heatloss.balance.lanes import Lanes

    times = FINE if steps == FINE_HOURS * FINE else COARSE
    courses = np.empty((len(firsts), steps + 1, state.temperature.shape[1]))
    courses[:, 0] = state.temperature
    if not steps:
        return courses, state
    damp, ice = np.array(state.humidity, dtype=float), np.array(state.ice, dtype=float)
    lanes = Lanes(plan, step=3600.0 / times, substeps=1, iterations=iterations)
    for i, first in enumerate(firsts):
        lanes.temperature = np.ascontiguousarray(state.temperature[i][:, None])
        lanes.humidity = np.ascontiguousarray(damp[i][:, None])
        lanes.ice = np.ascontiguousarray(ice[i][:, None])
        courses[i] = lanes.advance(first, steps).temperature[:, :, 0]
        damp[i], ice[i] = lanes.humidity[:, 0], lanes.ice[:, 0]
    return courses, State(courses[:, -1], damp, ice)
