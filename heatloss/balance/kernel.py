"""The compiled stepping of a heat network: backward Euler, exact controls, every flow booked.

One step is: values of the step -> conductances -> elimination -> controls -> temperatures -> flows. Each is one small
function below, in that order. Arrays end in the lane axis: one lane is one house, many a batch; one source serves
both, and the numbers agree to the last bit because every operation is a correctly rounded basic one.

Nodes are numbered in the order of their elimination, those that a control feeds or senses last. Temperatures of the
boundaries follow those of the nodes in the same array, so that a link needs no case for its far end.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from heatloss.balance.compiling import NONE, Floats, Ints, Rows, compiled, inlined
from heatloss.balance.vapour import SATURATION, Damp, blank, foresee, settle

INLINED = "0c8f56cd8330"  # of compiling.py and vapour.py: the disk cache of machine code looks at this file alone
BUOYANT, ROOT_SQUARE, RADIANT = 1, 2, 4  # the larger of two film parts, or the root of their squares; long wave
DRYING = 8  # set by the balance of vapour
HEATER, IDEAL_VENT, AIR_VENT = 0, 1, 2  # kinds of actuator
KELVIN = 273.15
TOLERANCE = 1e-10  # K, the rounding allowed when a control mode is checked against its own law
LEAST_DIFFERENCE = 1e-30  # K, the least that natural convection is reckoned with: a node tied by it alone is not loose


class Topology(NamedTuple):
    """What is tied to what; equal for all lanes of a batch."""

    nodes: int
    boundaries: int
    linear: int  # the first links, whose conductance does not depend on temperature
    link_a: Rows  # node, or nodes + boundary
    link_b: Rows
    link_entry: Rows  # off-diagonal entry of a link between two nodes, else NONE
    link_shape: Ints  # bits of what the conductance depends on
    link_group: Rows  # column of the booked flows
    link_sign: Floats  # +1, or -1 where the link was turned round
    booked: Rows  # links whose flow is booked: those of fixed conductance, then
    booked_films: Rows  # the others
    fixed: int  # the first pivots, which no film touches: eliminated once a step
    fixed_entries: int  # the first entries, needed by those pivots alone
    entries: int  # off-diagonal entries, fill included
    near_start: Ints  # per pivot: where its remaining neighbours begin
    near_node: Rows
    near_entry: Rows
    pair_start: Ints  # per pivot: where the entries between its neighbours begin
    pair_entry: Rows
    source_node: Rows
    varying: Rows  # parameters that change from step to step
    p_boundary: int  # where the parameters of boundaries, sources, actuators begin; links come first, four each
    p_source: int
    p_actuator: int  # two each: setpoint or limit, capacity
    control_nodes: int  # the last nodes, fed or sensed
    actuator_kind: Ints
    actuator_sensor: Ints  # which sensor
    actuator_row: Ints  # that sensor's place among the control nodes
    actuator_boundary: Ints  # of an air vent, else 0
    feed: Floats  # (actuators, control nodes) shares of the power
    sensor_row: Ints  # place of each sensor among the control nodes
    icy: Rows  # nodes that freeze


class Values(NamedTuple):
    """The numbers of each lane: parameter = offset + factor * table[step, column]."""

    offset: Floats  # (parameters, lanes)
    factor: Floats
    column: Ints
    capacity: Floats  # (nodes, lanes), J/K
    freezing: Floats  # (nodes that freeze, lanes), J from water to ice


@inlined
def cube_root(x: float) -> float:
    """Cube root of x >= 0 by basic operations only, so that lanes vectorise and agree.

    A third of the exponent's bits starts Halley's third-order step; relative error 5e-2, then 8e-5, then 4e-13.
    """
    third = ((np.float64(x).view(np.int64) >> 32) * 1431655766) >> 32
    y = np.int64((third + 715094163) << 32).view(np.float64)
    for _ in range(2):
        cube = y * y * y
        y = y * (cube + 2.0 * x) / (2.0 * cube + x + 1e-300)
    return y


@inlined
def copy(source: Floats, target: Floats, first: int, lanes: Any) -> None:
    """Copy the rows from ``first`` on."""
    for i in range(first, len(source)):
        for lane in range(len(lanes)):
            target[i, lane] = source[i, lane]


@inlined
def set_parameters(
    varying: Rows, offset: Floats, factor: Floats, column: Ints, row: Floats, now: Floats, lanes: Any
) -> None:
    """Parameters of this step, where they vary."""
    for i in varying:
        for lane in range(len(lanes)):
            now[i, lane] = offset[i, lane] + factor[i, lane] * row[column[i, lane]]


@inlined
def enter_links(
    link_a: Rows, link_b: Rows, link_entry: Rows, link_shape: Ints, first: int, last: int, n: int, now: Floats,
    temps: Floats, g: Floats, diagonal: Floats, off: Floats, right: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Conductance of the links first <= k < last at the present temperatures, entered into the equations."""
    for k in range(first, last):
        a, b, e, shape = link_a[k], link_b[k], link_entry[k], link_shape[k]
        for lane in range(len(lanes)):
            g[k, lane] = now[4 * k, lane]
        if shape & BUOYANT:
            for lane in range(len(lanes)):
                d = temps[a, lane] - temps[b, lane]
                when_a, when_b = now[4 * k + 1, lane], now[4 * k + 2, lane]
                natural = (when_a if d > 0.0 else when_b) * cube_root(max(abs(d), LEAST_DIFFERENCE))
                fixed = g[k, lane]
                g[k, lane] = natural if natural > fixed else fixed
        elif shape & ROOT_SQUARE:
            for lane in range(len(lanes)):
                d = temps[a, lane] - temps[b, lane]
                when_a, when_b = now[4 * k + 1, lane], now[4 * k + 2, lane]
                natural = (when_a if d > 0.0 else when_b) * cube_root(max(abs(d), LEAST_DIFFERENCE))
                g[k, lane] = math.sqrt(g[k, lane] * g[k, lane] + natural * natural)
        if shape & RADIANT:
            for lane in range(len(lanes)):
                ka, kb = temps[a, lane] + KELVIN, temps[b, lane] + KELVIN
                g[k, lane] += now[4 * k + 3, lane] * (ka * ka + kb * kb) * (ka + kb)
        if e != NONE:
            for lane in range(len(lanes)):
                diagonal[a, lane] += g[k, lane]
                diagonal[b, lane] += g[k, lane]
                off[e, lane] -= g[k, lane]
        elif a < n:
            for lane in range(len(lanes)):
                diagonal[a, lane] += g[k, lane]
                right[a, lane] += g[k, lane] * temps[b, lane]


@inlined
def eliminate(
    near_start: Ints, near_node: Rows, near_entry: Rows, pair_start: Ints, pair_entry: Rows, first: int, last: int,
    diagonal: Floats, off: Floats, right: Floats, weight: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Eliminate the pivots first <= p < last from the equations; the diagonal is left inverted.

    The matrix is symmetric: a weight is an off-diagonal entry over the pivot.
    """
    for p in range(first, last):
        pair, end = pair_start[p], near_start[p + 1]
        for lane in range(len(lanes)):
            diagonal[p, lane] = 1.0 / diagonal[p, lane]
        for i in range(near_start[p], end):
            e, q = near_entry[i], near_node[i]
            for lane in range(len(lanes)):
                weight[i, lane] = off[e, lane] * diagonal[p, lane]
            for lane in range(len(lanes)):
                diagonal[q, lane] -= weight[i, lane] * off[e, lane]
                right[q, lane] -= weight[i, lane] * right[p, lane]
            for j in range(i + 1, end):
                target, f = pair_entry[pair], near_entry[j]
                pair += 1
                for lane in range(len(lanes)):
                    off[target, lane] -= weight[i, lane] * off[f, lane]


@inlined
def carry(near_start: Ints, near_node: Rows, first: int, last: int, weight: Floats, right: Floats, lanes: Any) -> None:
    """Forward substitution of the pivots first <= p < last."""
    for p in range(first, last):
        for i in range(near_start[p], near_start[p + 1]):
            q = near_node[i]
            for lane in range(len(lanes)):
                right[q, lane] -= weight[i, lane] * right[p, lane]


@inlined
def substitute(
    near_start: Ints, near_node: Rows, first: int, last: int,
    inverse: Floats, weight: Floats, right: Floats, out: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Backward substitution of the nodes first <= p < last; those after are known in ``out``."""
    for p in range(last - 1, first - 1, -1):
        for lane in range(len(lanes)):
            out[p, lane] = right[p, lane] * inverse[p, lane]
        for i in range(near_start[p], near_start[p + 1]):
            q = near_node[i]
            for lane in range(len(lanes)):
                out[p, lane] -= weight[i, lane] * out[q, lane]


@inlined
def responses(
    near_start: Ints, near_node: Rows, feed: Floats,
    inverse: Floats, weight: Floats, load: Floats, unit: Floats, response: Floats, lanes: Any,
) -> None:  # fmt: skip
    """response[c, a]: rise of control node c per watt of actuator a."""
    n, c = len(inverse), feed.shape[1]
    for a in range(len(feed)):
        like = a > 0  # what feeds the same nodes has the same response
        for j in range(c):
            like = like and feed[a, j] == feed[a - 1, j]
        if like:
            for j in range(c):
                for lane in range(len(lanes)):
                    response[j, a, lane] = response[j, a - 1, lane]
            continue
        for j in range(c):
            for lane in range(len(lanes)):
                load[n - c + j, lane] = feed[a, j]
        carry(near_start, near_node, n - c, n, weight, load, lanes)
        substitute(near_start, near_node, n - c, n, inverse, weight, load, unit, lanes)
        for j in range(c):
            for lane in range(len(lanes)):
                response[j, a, lane] = unit[n - c + j, lane]


@compiled
def set_laws(
    kind: Ints, sensor: Ints, outer: Ints, n: int, p_actuator: int, now: Floats, temps: Floats,
    law: Floats, order: Ints, counts: Ints, lanes: Any,
) -> None:  # fmt: skip
    """The law of every actuator in this step, and the order in which those of one sensor act.

    ``law[lane, a]``: setpoint or limit; capacity; temperature of the air a vent reaches; temperature at which the
    actuator begins (a vent to warmer air waits for that air's temperature). ``order[lane, s, 0]``: heaters by falling
    setpoint; ``order[lane, s, 1]``: vents by rising limit; equal ones as declared; ``counts`` how many.
    """
    for lane in range(len(lanes)):
        for s in range(counts.shape[1]):
            counts[lane, s, 0] = 0
            counts[lane, s, 1] = 0
        for a in range(len(kind)):
            at = now[p_actuator + 2 * a, lane]
            law[lane, a, 0] = at
            law[lane, a, 1] = now[p_actuator + 2 * a + 1, lane]
            if kind[a] == AIR_VENT:
                law[lane, a, 2] = temps[n + outer[a], lane]
                at = max(at, law[lane, a, 2])
            law[lane, a, 3] = at
            s = sensor[a]
            side = 0 if kind[a] == HEATER else 1
            i = counts[lane, s, side]
            while i > 0:
                before = law[lane, order[lane, s, side, i - 1], 3]
                if (before >= at) if side == 0 else (before <= at):
                    break
                order[lane, s, side, i] = order[lane, s, side, i - 1]
                i -= 1
            order[lane, s, side, i] = a
            counts[lane, s, side] += 1


@compiled
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


@inlined
def powers_of_mode(
    kind: Ints, row: Ints, sensors: int, law: Floats, order: Ints, mode: Ints, lane: int,
    free: Floats, response: Floats, power: Floats, matrix: Floats, right: Floats, unknown: Ints,
) -> bool:  # fmt: skip
    """Power of every actuator when each sensor is in the given mode; False where that mode cannot be.

    Mode m of a sensor: 0 free; 2k + 1 the first k heaters full and the next one holding; 2k those k full and no more;
    negative the same for its vents. A full air vent moves capacity * (T - outer), a straight line in T.
    ``row[a]`` is the row of actuator a's sensor in ``free`` and ``response``.
    """
    count = 0
    for a in range(len(kind)):
        power[a, lane] = 0.0
    for s in range(sensors):
        m = mode[lane, s]
        side = 0 if m > 0 else 1
        for i in range((abs(m) + 1) // 2):
            a = order[lane, s, side, i]
            holds = 2 * i + 1 == abs(m)
            if holds or kind[a] == AIR_VENT:
                unknown[count] = a if holds else -1 - a
                count += 1
            else:
                power[a, lane] = law[lane, a, 1] if side == 0 else -law[lane, a, 1]
            if not holds and law[lane, a, 1] == math.inf:
                return False
    for r in range(count):
        holds = unknown[r] >= 0
        a = unknown[r] if holds else -1 - unknown[r]
        j = row[a]
        known = free[j, lane]
        for b in range(len(kind)):
            known += response[j, b, lane] * power[b, lane]
        if holds:  # T = setpoint
            right[r] = law[lane, a, 3] - known
        else:  # q + G (T - outer) = 0
            right[r] = -law[lane, a, 1] * (known - law[lane, a, 2])
        for c in range(count):
            b = unknown[c] if unknown[c] >= 0 else -1 - unknown[c]
            matrix[r, c] = response[j, b, lane] if holds else law[lane, a, 1] * response[j, b, lane]
        if not holds:
            matrix[r, r] += 1.0
    if not solve_small(matrix, right, count):
        return False
    for r in range(count):
        power[unknown[r] if unknown[r] >= 0 else -1 - unknown[r], lane] = right[r]
    return True


@inlined
def mode_is_true(
    kind: Ints, sensor_row: Ints, law: Floats, order: Ints, counts: Ints, mode: Ints, lane: int,
    free: Floats, response: Floats, power: Floats,
) -> bool:  # fmt: skip
    """Whether every sensor's temperature and every power obey the laws that the mode supposes."""
    for s in range(len(sensor_row)):
        j, m = sensor_row[s], mode[lane, s]
        t = free[j, lane]
        for b in range(len(kind)):
            t += response[j, b, lane] * power[b, lane]
        side = 0 if m > 0 else 1
        sign = 1.0 if side == 0 else -1.0
        full = abs(m) // 2
        if abs(m) % 2 == 1:
            a = order[lane, s, side, full]
            most = law[lane, a, 1]
            if kind[a] == AIR_VENT:
                reach = law[lane, a, 0] - law[lane, a, 2]
                if reach > 0.0:
                    most = most * reach
                elif most < math.inf:  # only endless air would hold the room at the warmer outer temperature
                    return False
            if not 0.0 <= sign * power[a, lane] <= most:
                return False
            continue
        if full > 0 and sign * (law[lane, order[lane, s, side, full - 1], 3] - t) < -TOLERANCE:
            return False
        if m >= 0 and full < counts[lane, s, 0] and law[lane, order[lane, s, 0, full], 3] - t > TOLERANCE:
            return False
        if m <= 0 and full < counts[lane, s, 1] and t - law[lane, order[lane, s, 1, full], 3] > TOLERANCE:
            return False
    return True


@inlined
def usual(
    kind: Ints, j: int, law: Floats, order: Ints, counts: Ints, mode: Ints, lane: int,
    free: Floats, response: Floats, power: Floats,
) -> bool:  # fmt: skip
    """The commonest modes of a single sensor: nothing at work, its first heater or vent holding; False for others."""
    m, t = mode[lane, 0], free[j, lane]
    if abs(m) > 1:
        return False
    slack = TOLERANCE if m == 0 else 0.0
    heat = counts[lane, 0, 0] > 0 and law[lane, order[lane, 0, 0, 0], 3] - t > slack
    vent = counts[lane, 0, 1] > 0 and t - law[lane, order[lane, 0, 1, 0], 3] > slack
    for b in range(len(kind)):
        power[b, lane] = 0.0
    mode[lane, 0] = 0
    if heat == vent:  # neither
        return not heat
    a = order[lane, 0, 0 if heat else 1, 0]
    given, most = (law[lane, a, 3] - t) / response[j, a, lane], law[lane, a, 1]
    if kind[a] == AIR_VENT:
        reach = law[lane, a, 0] - law[lane, a, 2]
        if not reach > 0.0:
            return False
        most = most * reach
    power[a, lane] = given
    mode[lane, 0] = 1 if heat else -1
    within: bool = abs(given) <= most and (given >= 0.0) == heat
    return within


@compiled
def control(
    kind: Ints, row: Ints, sensor_row: Ints, law: Floats, order: Ints, counts: Ints, mode: Ints,
    free: Floats, response: Floats, power: Floats, matrix: Floats, right: Floats, unknown: Ints, lanes: Any,
) -> bool:  # fmt: skip
    """Find each lane's mode whose own answer it is: the last one first, then all in fixed order; False if none."""
    sensors = len(sensor_row)
    for lane in range(len(lanes)):
        if sensors == 1 and usual(kind, sensor_row[0], law, order, counts, mode, lane, free, response, power):
            continue
        last = True
        while not (
            powers_of_mode(kind, row, sensors, law, order, mode, lane, free, response, power, matrix, right, unknown)
            and mode_is_true(kind, sensor_row, law, order, counts, mode, lane, free, response, power)
        ):
            s = 0
            while s < sensors:
                mode[lane, s] += 1
                if last or mode[lane, s] > 2 * counts[lane, s, 0]:
                    mode[lane, s] = -2 * counts[lane, s, 1]
                    s += 1
                else:
                    break
            if s == sensors and not last:
                return False
            last = False
    return True


@inlined
def book(
    link_a: Rows, link_b: Rows, link_group: Rows, link_sign: Floats, booked: Rows, share: float,
    g: Floats, temps: Floats, flow: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Add share * G * (Ta - Tb) of some links to their columns."""
    for k in booked:
        a, b, column, scale = link_a[k], link_b[k], link_group[k], link_sign[k] * share
        for lane in range(len(lanes)):
            flow[column, lane] += scale * (g[k, lane] * (temps[a, lane] - temps[b, lane]))


@inlined
def freeze(icy: Rows, capacity: Floats, freezing: Floats, ice: Floats, temps: Floats, lanes: Any) -> None:
    """Turn what water is colder than 0 degC by into ice, or ice back into water; ``ice`` is its latent heat [J]."""
    for i in range(len(icy)):
        p = icy[i]
        for lane in range(len(lanes)):
            lacking = -capacity[p, lane] * temps[p, lane]
            turned = min(max(lacking, -ice[i, lane]), freezing[i, lane] - ice[i, lane])
            ice[i, lane] += turned
            temps[p, lane] = 0.0 if turned == lacking else temps[p, lane] + turned / capacity[p, lane]


@compiled
def march(  # long: the loop over steps in one place; each line of it is a function above
    top: Topology, damp: Damp, values: Values, table: Floats, first: int, substeps: int, iterations: int, step: float,
    temperature: Floats, power: Floats, flow: Floats, humidity: Floats, evaporated: Floats, warmth: Floats,
    flown: Floats, frozen: Floats, owed: Floats, heat: Floats, vented: Floats, lanes: Any,
) -> int:  # fmt: skip
    """Step the network; results are written into the last eleven array arguments.

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
    humidity : (steps + 1, bodies of moist air, lanes) [kg/kg]
        Row 0 holds the start.
    evaporated : (steps, wet faces, lanes) [kg/s]
        Step means, negative where water condenses; zero at entry.
    warmth : (steps, wet faces, lanes) [W]
        Its latent heat, given to the face; zero at entry.
    flown : (steps, flows of air and drying vents, lanes) [kg/s]
        Vapour carried by air; zero at entry.
    frozen : (steps + 1, nodes that freeze, lanes) [J]
        Latent heat of the ice; row 0 holds the start.
    owed : (wet faces, lanes) [W]
        Latent heat still to be given.
    heat : (actuators, lanes) [W]
        Power at the last moment.
    vented : (flows of air, lanes) [kg/s]
        Air through vents as last foreseen. These three come from the steps before and go to those after.
    lanes : tuple or array
        Its length is the lane count: of a tuple, a constant to the compiler, for one lane; of an array, known only at
        run time, for a batch. A short constant count would have the loops over lanes unrolled before the compiler looks
        for vectors.

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
    base_weight = np.zeros_like(weight)
    load, unit = np.zeros((n, count)), np.zeros((n, count))
    response = np.zeros((c, actuators, count))
    sensors = len(top.sensor_row)
    order, counts = np.zeros((count, sensors, 2, actuators), np.int64), np.zeros((count, sensors, 2), np.int64)
    mode = np.zeros((count, sensors), np.int64)
    law = np.zeros((count, actuators, 4))
    matrix, answer, unknown = np.zeros((actuators, actuators)), np.zeros(actuators), np.zeros(actuators, np.int64)
    free = temps[n - c : n]
    ice = frozen[0].copy()
    moist = blank(damp, count)
    airs = len(damp.air_node)
    limit, slope, at = np.zeros((airs, count)), np.zeros((airs, count)), np.zeros((airs, count))
    moist.ratio[:] = humidity[0]
    moist.now[:] = humidity[0]
    moist.vented[:] = vented
    rate = substeps / step
    temps[:n] = temperature[0]
    for t in range(len(power)):
        set_parameters(top.varying, values.offset, values.factor, values.column, table[first + t], now, lanes)
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
        enter_links(
            top.link_a, top.link_b, top.link_entry, top.link_shape, 0, top.linear, n, now, temps, g, base_diagonal,
            base_off, base_right, lanes,
        )  # fmt: skip
        set_laws(
            top.actuator_kind, top.actuator_sensor, top.actuator_boundary, n, top.p_actuator, now, temps, law, order,
            counts, lanes,
        )  # fmt: skip
        eliminate(
            top.near_start, top.near_node, top.near_entry, top.pair_start, top.pair_entry, 0, top.fixed, base_diagonal,
            base_off, right, base_weight, lanes,
        )  # fmt: skip  # ``right`` is scratch here: the heat held is not known yet
        copy(base_diagonal, diagonal, 0, lanes)
        copy(base_weight, weight, 0, lanes)
        mean[:] = 0.0
        for _ in range(substeps):
            for p in range(n):
                for lane in range(len(lanes)):
                    held[p, lane] = base_right[p, lane] + values.capacity[p, lane] * rate * temps[p, lane]
            carry(top.near_start, top.near_node, 0, top.fixed, base_weight, held, lanes)
            for _ in range(iterations):
                copy(base_diagonal, diagonal, top.fixed, lanes)
                copy(base_off, off, top.fixed_entries, lanes)
                copy(held, right, top.fixed, lanes)
                enter_links(
                    top.link_a, top.link_b, top.link_entry, top.link_shape, top.linear, links, n, now, temps, g,
                    diagonal, off, right, lanes,
                )  # fmt: skip
                if airs:
                    foresee(
                        damp, moist, SATURATION, n, rate, now, g, heat, temps, top.link_a, top.link_b, diagonal, right,
                        owed, limit, slope, at, lanes,
                    )  # fmt: skip
                eliminate(
                    top.near_start, top.near_node, top.near_entry, top.pair_start, top.pair_entry, top.fixed, n,
                    diagonal, off, right, weight, lanes,
                )  # fmt: skip
                substitute(top.near_start, top.near_node, n - c, n, diagonal, weight, right, temps, lanes)
                if actuators:
                    responses(top.near_start, top.near_node, top.feed, diagonal, weight, load, unit, response, lanes)
                    if not control(
                        top.actuator_kind, top.actuator_row, top.sensor_row, law, order, counts, mode, free, response,
                        heat, matrix, answer, unknown, lanes,
                    ):  # fmt: skip
                        return t + 1
                    for j in range(c):
                        for a in range(actuators):
                            for lane in range(len(lanes)):
                                temps[n - c + j, lane] += response[j, a, lane] * heat[a, lane]
                substitute(top.near_start, top.near_node, top.fixed, n - c, diagonal, weight, right, temps, lanes)
            substitute(top.near_start, top.near_node, 0, top.fixed, diagonal, weight, held, temps, lanes)
            if airs:
                settle(
                    damp, moist, SATURATION, n, rate, 1.0 / substeps, now, g, heat, temps, owed, evaporated[t],
                    warmth[t], flown[t], lanes,
                )  # fmt: skip
            book(
                top.link_a, top.link_b, top.link_group, top.link_sign, top.booked_films, 1.0 / substeps, g, temps,
                flow[t], lanes,
            )  # fmt: skip
            for p in range(n + top.boundaries):
                for lane in range(len(lanes)):
                    mean[p, lane] += temps[p, lane]
            freeze(top.icy, values.capacity, values.freezing, ice, temps, lanes)
            for a in range(actuators):
                for lane in range(len(lanes)):
                    power[t, a, lane] += heat[a, lane] / substeps
        book(
            top.link_a, top.link_b, top.link_group, top.link_sign, top.booked, 1.0 / substeps, g, mean, flow[t],
            lanes,
        )  # fmt: skip
        temperature[t + 1] = temps[:n]
        humidity[t + 1] = moist.ratio
        frozen[t + 1] = ice
    vented[:] = moist.vented
    return 0
