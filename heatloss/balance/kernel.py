"""The compiled stepping of a heat network: backward Euler, exact controls, every flow booked.

One step is: values of the step -> conductances -> elimination -> controls -> temperatures -> flows. Each is one small
function below, in that order. Arrays end in the lane axis: lane count 1 is one house, 32 a batch; one source serves
both, and the numbers agree to the last bit because every operation is a correctly rounded basic one.

Nodes are numbered in the order of their elimination, those that a control feeds or senses last. Temperatures of the
boundaries follow those of the nodes in the same array, so that a link needs no case for its far end.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BUOYANT, RADIANT, ROOT_SQUARE = 1, 2, 4  # what a link's conductance depends on; how its two film parts mix
HEATER, IDEAL_VENT, AIR_VENT = 0, 1, 2  # kinds of actuator
KELVIN = 273.15
TOLERANCE = 1e-10  # K, the rounding allowed when a control mode is checked against its own law


class Topology(NamedTuple):
    """What is tied to what; equal for all lanes of a batch."""

    nodes: int
    boundaries: int
    linear: int  # the first links, whose conductance does not depend on temperature
    link_a: Ints  # node, or nodes + boundary
    link_b: Ints
    link_entry: Ints  # off-diagonal entry of a link between two nodes, else -1
    link_shape: Ints  # BUOYANT | RADIANT | ROOT_SQUARE
    link_group: Ints  # column of the booked flows
    link_sign: Floats  # +1, or -1 where the link was turned round
    entries: int  # off-diagonal entries, fill included
    near_start: Ints  # per pivot: where its remaining neighbours begin
    near_node: Ints
    near_entry: Ints
    pair_start: Ints  # per pivot: where the entries between its neighbours begin
    pair_entry: Ints
    source_node: Ints
    varying: Ints  # parameters that change from step to step
    p_boundary: int  # where the parameters of boundaries, sources, actuators begin; links come first, four each
    p_source: int
    p_actuator: int  # two each: setpoint or limit, capacity
    control_nodes: int  # the last nodes, fed or sensed
    actuator_kind: Ints
    actuator_sensor: Ints  # index into sensor_node
    actuator_boundary: Ints  # of an air vent, else 0
    feed: Floats  # (actuators, control nodes) shares of the power
    sensor_node: Ints


class Values(NamedTuple):
    """The numbers of each lane: parameter = offset + factor * table[step, column]."""

    offset: Floats  # (parameters, lanes)
    factor: Floats
    column: Ints
    capacity: Floats  # (nodes, lanes), J/K


@njit(cache=True, nogil=True, inline="always")
def cube_root(x: float) -> float:
    """Cube root of x >= 0 by basic operations only, so that lanes vectorise and agree; 0 below 1e-12."""
    y = math.sqrt(math.sqrt(x + 1e-13))
    for _ in range(5):  # Halley's step, third order
        cube = y * y * y
        y = y * (cube + 2.0 * x) / (2.0 * cube + x + 1e-300)
    return y if x > 1e-12 else 0.0


@njit(cache=True, nogil=True)
def set_parameters(top: Topology, values: Values, row: Floats, now: Floats, lanes: Any) -> None:
    """Parameters of this step, where they vary."""
    for i in top.varying:
        for lane in range(len(lanes)):
            now[i, lane] = values.offset[i, lane] + values.factor[i, lane] * row[values.column[i, lane]]


@njit(cache=True, nogil=True)
def add_link(
    top: Topology, k: int, g: Floats, temps: Floats, diagonal: Floats, off: Floats, right: Floats, lanes: Any
) -> None:
    """Enter link k of conductance g into the equations."""
    a, b, e, n = top.link_a[k], top.link_b[k], top.link_entry[k], top.nodes
    if e >= 0:
        for lane in range(len(lanes)):
            diagonal[a, lane] += g[k, lane]
            diagonal[b, lane] += g[k, lane]
            off[e, lane] -= g[k, lane]
    elif a < n:
        for lane in range(len(lanes)):
            diagonal[a, lane] += g[k, lane]
            right[a, lane] += g[k, lane] * temps[b, lane]


@njit(cache=True, nogil=True)
def film(top: Topology, k: int, now: Floats, temps: Floats, g: Floats, lanes: Any) -> None:
    """Conductance of link k at the present temperatures: film part, then long wave."""
    a, b, shape = top.link_a[k], top.link_b[k], top.link_shape[k]
    for lane in range(len(lanes)):
        g[k, lane] = now[4 * k, lane]
    if shape & BUOYANT:
        square = (shape & ROOT_SQUARE) != 0
        for lane in range(len(lanes)):
            d = temps[a, lane] - temps[b, lane]
            when_a, when_b = now[4 * k + 1, lane], now[4 * k + 2, lane]
            natural = (when_a if d > 0.0 else when_b) * cube_root(abs(d))
            fixed = g[k, lane]
            mixed = math.sqrt(fixed * fixed + natural * natural)
            larger = natural if natural > fixed else fixed
            g[k, lane] = mixed if square else larger
    if shape & RADIANT:
        for lane in range(len(lanes)):
            ka, kb = temps[a, lane] + KELVIN, temps[b, lane] + KELVIN
            g[k, lane] += now[4 * k + 3, lane] * (ka * ka + kb * kb) * (ka + kb)


@njit(cache=True, nogil=True)
def eliminate(top: Topology, diagonal: Floats, off: Floats, right: Floats, weight: Floats, lanes: Any) -> None:
    """Forward elimination of all nodes in their order (symmetric: weights = off-diagonals over the pivot)."""
    for p in range(top.nodes):
        start, end = top.near_start[p], top.near_start[p + 1]
        pair = top.pair_start[p]
        for i in range(start, end):
            e, q = top.near_entry[i], top.near_node[i]
            for lane in range(len(lanes)):
                w = off[e, lane] / diagonal[p, lane]
                weight[i, lane] = w
                diagonal[q, lane] -= w * off[e, lane]
                right[q, lane] -= w * right[p, lane]
            for j in range(i + 1, end):
                target, f = top.pair_entry[pair], top.near_entry[j]
                pair += 1
                for lane in range(len(lanes)):
                    off[target, lane] -= weight[i, lane] * off[f, lane]


@njit(cache=True, nogil=True)
def substitute(
    top: Topology, first: int, last: int, diagonal: Floats, weight: Floats, right: Floats, out: Floats, lanes: Any
) -> None:
    """Backward substitution of the nodes first <= p < last; those after are known in ``out``."""
    for p in range(last - 1, first - 1, -1):
        for lane in range(len(lanes)):
            out[p, lane] = right[p, lane] / diagonal[p, lane]
        for i in range(top.near_start[p], top.near_start[p + 1]):
            q = top.near_node[i]
            for lane in range(len(lanes)):
                out[p, lane] -= weight[i, lane] * out[q, lane]


@njit(cache=True, nogil=True)
def responses(
    top: Topology, diagonal: Floats, weight: Floats, load: Floats, unit: Floats, response: Floats, lanes: Any
) -> None:
    """response[c, a]: rise of control node c per watt of actuator a."""
    n, c = top.nodes, top.control_nodes
    for a in range(len(top.actuator_kind)):
        for j in range(c):
            for lane in range(len(lanes)):
                load[n - c + j, lane] = top.feed[a, j]
        for p in range(n - c, n):
            for i in range(top.near_start[p], top.near_start[p + 1]):
                q = top.near_node[i]
                for lane in range(len(lanes)):
                    load[q, lane] -= weight[i, lane] * load[p, lane]
        substitute(top, n - c, n, diagonal, weight, load, unit, lanes)
        for j in range(c):
            for lane in range(len(lanes)):
                response[j, a, lane] = unit[n - c + j, lane]


@njit(cache=True, nogil=True)
def threshold(top: Topology, now: Floats, temps: Floats, a: int, lane: int) -> float:
    """Sensor temperature at which actuator a begins: a vent to warmer air waits for that air's temperature."""
    at: float = now[top.p_actuator + 2 * a, lane]
    if top.actuator_kind[a] == AIR_VENT:
        outer: float = temps[top.nodes + top.actuator_boundary[a], lane]
        return outer if outer > at else at
    return at


@njit(cache=True, nogil=True)
def rank_actuators(top: Topology, now: Floats, temps: Floats, lane: int, order: Ints, counts: Ints) -> None:
    """Per sensor: its heaters by falling setpoint, then its vents by rising limit; equal ones as declared.

    ``order[s, 0, :]`` heaters, ``order[s, 1, :]`` vents; ``counts[s, :]`` how many of each.
    """
    counts[:] = 0
    for a in range(len(top.actuator_kind)):
        s = top.actuator_sensor[a]
        side = 0 if top.actuator_kind[a] == HEATER else 1
        sign = -1.0 if side == 0 else 1.0
        i = counts[s, side]
        mine = sign * threshold(top, now, temps, a, lane)
        while i > 0 and sign * threshold(top, now, temps, order[s, side, i - 1], lane) > mine:
            order[s, side, i] = order[s, side, i - 1]
            i -= 1
        order[s, side, i] = a
        counts[s, side] += 1


@njit(cache=True, nogil=True)
def solve_small(matrix: Floats, right: Floats, n: int) -> bool:
    """Gauss with row exchange of the leading n x n block, in place; the answer is left in ``right``."""
    for p in range(n):
        best = p
        for r in range(p + 1, n):
            if abs(matrix[r, p]) > abs(matrix[best, p]):
                best = r
        if matrix[best, p] == 0.0:
            return False
        if best != p:
            for c in range(n):
                matrix[p, c], matrix[best, c] = matrix[best, c], matrix[p, c]
            right[p], right[best] = right[best], right[p]
        for r in range(p + 1, n):
            w = matrix[r, p] / matrix[p, p]
            for c in range(p, n):
                matrix[r, c] -= w * matrix[p, c]
            right[r] -= w * right[p]
    for p in range(n - 1, -1, -1):
        for c in range(p + 1, n):
            right[p] -= matrix[p, c] * right[c]
        right[p] /= matrix[p, p]
    return True


@njit(cache=True, nogil=True)
def powers_of_mode(
    top: Topology, now: Floats, temps: Floats, lane: int, free: Floats, response: Floats,
    order: Ints, mode: Ints, power: Floats, matrix: Floats, right: Floats, unknown: Ints,
) -> bool:  # fmt: skip
    """Power of every actuator when each sensor is in the given mode; False where that mode cannot be.

    Mode m of a sensor: 0 free; 2k + 1 the first k heaters full and the next one holding; 2k those k full and no more;
    negative the same for its vents. A full air vent moves capacity * (T - outer), a straight line in T.
    """
    first_control = top.nodes - top.control_nodes
    count = 0
    power[:] = 0.0
    for s in range(len(top.sensor_node)):
        side = 0 if mode[s] > 0 else 1
        for i in range((abs(mode[s]) + 1) // 2):
            a = order[s, side, i]
            capacity = now[top.p_actuator + 2 * a + 1, lane]
            if i == abs(mode[s]) // 2 or top.actuator_kind[a] == AIR_VENT:
                unknown[count] = a
                count += 1
            elif capacity == math.inf:
                return False
            else:
                power[a] = capacity if side == 0 else -capacity
    if count == 0:
        return True
    for r in range(count):
        a = unknown[r]
        s = top.actuator_sensor[a]
        j = top.sensor_node[s] - first_control
        known = free[j]
        for b in range(len(power)):
            known += response[j, b] * power[b]
        full = (abs(mode[s]) % 2 == 0) or (a != order[s, 0 if mode[s] > 0 else 1, abs(mode[s]) // 2])
        if full:  # q + G (T - outer) = 0
            g = now[top.p_actuator + 2 * a + 1, lane]
            if g == math.inf:
                return False
            right[r] = -g * (known - temps[top.nodes + top.actuator_boundary[a], lane])
            for c in range(count):
                matrix[r, c] = g * response[j, unknown[c]]
            matrix[r, r] += 1.0
        else:  # T = setpoint
            right[r] = now[top.p_actuator + 2 * a, lane] - known
            for c in range(count):
                matrix[r, c] = response[j, unknown[c]]
    if not solve_small(matrix, right, count):
        return False
    for r in range(count):
        power[unknown[r]] = right[r]
    return True


@njit(cache=True, nogil=True)
def mode_is_true(
    top: Topology, now: Floats, temps: Floats, lane: int, free: Floats, response: Floats,
    order: Ints, counts: Ints, mode: Ints, power: Floats,
) -> bool:  # fmt: skip
    """Whether every sensor's temperature and every power obey the laws that the mode supposes."""
    for s in range(len(top.sensor_node)):
        j = top.sensor_node[s] - (top.nodes - top.control_nodes)
        t = free[j]
        for b in range(len(power)):
            t += response[j, b] * power[b]
        side = 0 if mode[s] > 0 else 1
        sign = 1.0 if side == 0 else -1.0
        full = abs(mode[s]) // 2
        if abs(mode[s]) % 2 == 1:
            a = order[s, side, full]
            most = now[top.p_actuator + 2 * a + 1, lane]
            if top.actuator_kind[a] == AIR_VENT:
                reach = now[top.p_actuator + 2 * a, lane] - temps[top.nodes + top.actuator_boundary[a], lane]
                if not reach > 0.0:
                    return False
                most = most * reach
            if not 0.0 <= sign * power[a] <= most:
                return False
            continue
        if full > 0 and sign * (threshold(top, now, temps, order[s, side, full - 1], lane) - t) < -TOLERANCE:
            return False
        for other in range(2):
            begin = full if other == side else 0
            if begin < counts[s, other] and mode[s] * (1 if other == 0 else -1) >= 0:
                beyond = threshold(top, now, temps, order[s, other, begin], lane) - t
                if (beyond if other == 0 else -beyond) > TOLERANCE:
                    return False
    return True


@njit(cache=True, nogil=True)
def control(
    top: Topology, now: Floats, temps: Floats, lane: int, free: Floats, response: Floats,
    order: Ints, counts: Ints, mode: Ints, power: Floats, matrix: Floats, right: Floats, unknown: Ints,
) -> bool:  # fmt: skip
    """Find the mode whose own answer it is; the last one is tried first, then all in fixed order."""
    if powers_of_mode(top, now, temps, lane, free, response, order, mode, power, matrix, right, unknown) and (
        mode_is_true(top, now, temps, lane, free, response, order, counts, mode, power)
    ):
        return True
    sensors = len(top.sensor_node)
    for s in range(sensors):
        mode[s] = -2 * counts[s, 1]
    while True:
        if powers_of_mode(top, now, temps, lane, free, response, order, mode, power, matrix, right, unknown) and (
            mode_is_true(top, now, temps, lane, free, response, order, counts, mode, power)
        ):
            return True
        s = 0
        while s < sensors:
            mode[s] += 1
            if mode[s] <= 2 * counts[s, 0]:
                break
            mode[s] = -2 * counts[s, 1]
            s += 1
        if s == sensors:
            return False


@njit(cache=True, nogil=True)
def book(top: Topology, k: int, g: Floats, difference: Floats, weight: float, flow: Floats, lanes: Any) -> None:
    """Add link k's flow, weight * G * (Ta - Tb), to its column."""
    a, b, column, sign = top.link_a[k], top.link_b[k], top.link_group[k], top.link_sign[k] * weight
    for lane in range(len(lanes)):
        flow[column, lane] += sign * (g[k, lane] * (difference[a, lane] - difference[b, lane]))


@njit(cache=True, nogil=True)
def march(  # long: the loop over steps in one place; each line of it is a function above
    top: Topology, values: Values, table: Floats, first: int, substeps: int, iterations: int, step: float,
    temperature: Floats, power: Floats, flow: Floats, lanes: Any,
) -> int:  # fmt: skip
    """Step the network; results are written into the last three array arguments.

    Parameters
    ----------
    table : (rows, columns)
        Driver columns; the run reads ``first`` and the rows after it.
    temperature : (steps + 1, nodes, lanes) [degC]
        Row 0 holds the start.
    power : (steps, actuators, lanes) [W]
        Step means.
    flow : (steps, groups, lanes) [W]
        Step means, zero at entry.
    lanes : tuple
        Its length is the lane count, a constant to the compiler.

    Returns
    -------
    int
        0, or 1 + the step in which the controls had no consistent answer.
    """
    n, actuators, count = top.nodes, len(top.actuator_kind), len(lanes)
    c = top.control_nodes
    links = len(top.link_a)
    now = values.offset.copy()
    temps = np.zeros((n + top.boundaries, len(lanes)))
    mean = np.zeros_like(temps)
    g = np.zeros((links, len(lanes)))
    base_diagonal, base_off, base_right = np.zeros((n, count)), np.zeros((top.entries, count)), np.zeros((n, count))
    diagonal, off, right = np.zeros((n, count)), np.zeros((top.entries, count)), np.zeros((n, count))
    held, weight = np.zeros((n, count)), np.zeros((len(top.near_node), count))
    load, unit = np.zeros((n, count)), np.zeros((n, count))
    response, heat = np.zeros((c, actuators, count)), np.zeros((actuators, count))
    free_lane, response_lane, heat_lane = np.zeros(c), np.zeros((c, actuators)), np.zeros(actuators)
    order, counts = np.zeros((count, len(top.sensor_node), 2, actuators), np.int64), np.zeros(
        (count, len(top.sensor_node), 2), np.int64
    )
    mode = np.zeros((count, len(top.sensor_node)), np.int64)
    small, small_right = np.zeros((actuators, actuators)), np.zeros(actuators)
    unknown = np.zeros(actuators, np.int64)
    rate = substeps / step
    temps[:n] = temperature[0]
    for t in range(len(power)):
        set_parameters(top, values, table[first + t], now, lanes)
        for b in range(top.boundaries):
            for lane in range(len(lanes)):
                temps[n + b, lane] = now[top.p_boundary + b, lane]
        base_off[:] = 0.0
        for p in range(n):
            for lane in range(len(lanes)):
                base_diagonal[p, lane] = values.capacity[p, lane] * rate
                base_right[p, lane] = 0.0
        for i in range(len(top.source_node)):
            p = top.source_node[i]
            for lane in range(len(lanes)):
                base_right[p, lane] += now[top.p_source + i, lane]
        for k in range(top.linear):
            for lane in range(len(lanes)):
                g[k, lane] = now[4 * k, lane]
            add_link(top, k, g, temps, base_diagonal, base_off, base_right, lanes)
        for lane in range(count):
            rank_actuators(top, now, temps, lane, order[lane], counts[lane])
        mean[:] = 0.0
        for _ in range(substeps):
            for p in range(n):
                for lane in range(len(lanes)):
                    held[p, lane] = base_right[p, lane] + values.capacity[p, lane] * rate * temps[p, lane]
            for _ in range(iterations):
                diagonal[:], off[:], right[:] = base_diagonal, base_off, held
                for k in range(top.linear, links):
                    film(top, k, now, temps, g, lanes)
                    add_link(top, k, g, temps, diagonal, off, right, lanes)
                eliminate(top, diagonal, off, right, weight, lanes)
                substitute(top, n - c, n, diagonal, weight, right, temps, lanes)
                if actuators:
                    responses(top, diagonal, weight, load, unit, response, lanes)
                    for lane in range(count):
                        free_lane[:] = temps[n - c : n, lane]
                        response_lane[:] = response[:, :, lane]
                        if not control(
                            top, now, temps, lane, free_lane, response_lane, order[lane], counts[lane], mode[lane],
                            heat_lane, small, small_right, unknown,
                        ):  # fmt: skip
                            return t + 1
                        heat[:, lane] = heat_lane
                    for j in range(c):
                        for a in range(actuators):
                            for lane in range(len(lanes)):
                                temps[n - c + j, lane] += response[j, a, lane] * heat[a, lane]
                substitute(top, 0, n - c, diagonal, weight, right, temps, lanes)
            for k in range(top.linear, links):
                book(top, k, g, temps, 1.0 / substeps, flow[t], lanes)
            for p in range(n + top.boundaries):
                for lane in range(len(lanes)):
                    mean[p, lane] += temps[p, lane]
            for a in range(actuators):
                for lane in range(len(lanes)):
                    power[t, a, lane] += heat[a, lane] / substeps
        for k in range(top.linear):
            book(top, k, g, mean, 1.0 / substeps, flow[t], lanes)
        temperature[t + 1] = temps[:n]
    return 0
