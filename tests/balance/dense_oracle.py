"""An independent dense solution of any network, in plain numpy: the judge of the compiled engine.

Nothing here is shared with the engine. Every sub-step is one dense backward-Euler system

    C (T1 - T0) / dt = -K(T) T1 + b + controls,

with the conductances taken, in the first of `iterations` passes, at the temperatures the sub-step starts from, and in
each later pass at those of the pass before. Flows are booked with the conductances of the last pass. The state of the
controls is found by brute force: every combination of free, hold and cap is solved with the control outputs as
unknowns beside the temperatures, and the one that breaks no law is taken.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np

KELVIN = 273.15
MODES = ("free", "hold", "cap")


@dataclass
class Oracle:
    """The same calls as the engine's network, kept as plain lists."""

    nodes: dict = field(default_factory=dict)
    boundaries: dict = field(default_factory=dict)
    links: list = field(default_factory=list)
    sources: list = field(default_factory=list)
    controls: list = field(default_factory=list)

    def node(self, name, *, capacity=0.0, start=0.0):
        self.nodes[name] = (capacity, start)

    def boundary(self, name, temperature):
        self.boundaries[name] = temperature

    def link(self, a, b, conductance=0.0, *, buoyant=0.0, mix="larger", radiant=0.0):
        self.links.append((a, b, conductance, buoyant, mix, radiant))

    def source(self, node, power):
        self.sources.append((node, power))

    def heater(self, name, into, *, setpoint, capacity=np.inf, sensor=None):
        shares = into if isinstance(into, dict) else {into: 1.0}
        sensor = max(shares, key=shares.get) if sensor is None else sensor
        self.controls.append(("heater", name, shares, sensor, setpoint, capacity, None))

    def vent(self, name, node, *, limit, to=None, capacity=np.inf):
        self.controls.append(("vent", name, {node: 1.0}, node, limit, capacity, to))

    def run(self, steps, *, step=3600.0, substeps=1, iterations=2):
        return _Stepping(self, step / substeps, substeps, iterations).run(steps)


@dataclass
class OracleRun:
    temperature: np.ndarray  # (steps + 1, nodes)
    power: np.ndarray  # (steps, controls) W, vents negative
    unmet: np.ndarray  # (steps, heaters) K
    flows: np.ndarray  # (steps, links) W from a to b
    storage: float  # J, given up positive
    boundary: np.ndarray  # (boundaries,) J into the network
    sources: float  # J
    vented_to: np.ndarray  # (controls,) J removed


def conductance(link_values, ta, tb, mix):
    """W/K of one link between the temperatures ta and tb [degC]."""
    fixed, buoyant, radiant = link_values
    warm, cold = buoyant if isinstance(buoyant, tuple) else (buoyant, buoyant)
    free = (warm if ta > tb else cold) * abs(ta - tb) ** (1.0 / 3.0)
    convective = max(fixed, free) if mix == "larger" else np.sqrt(fixed**2 + free**2)
    ka, kb = ta + KELVIN, tb + KELVIN
    return convective + radiant * (ka**2 + kb**2) * (ka + kb)


def at(value, step):
    """A constant, or the value of one step; pairs element by element."""
    if isinstance(value, tuple):
        return tuple(at(v, step) for v in value)
    array = np.asarray(value, float)
    return float(array) if array.ndim == 0 else float(array[step])


class _Stepping:
    def __init__(self, network, dt, substeps, iterations):
        self.net, self.dt, self.substeps, self.iterations = network, dt, substeps, iterations
        self.index = {name: i for i, name in enumerate(network.nodes)}
        self.n = len(self.index)
        self.capacity = np.array([c for c, _ in network.nodes.values()], float)
        self.bindex = {name: i for i, name in enumerate(network.boundaries)}

    def run(self, steps):
        net = self.net
        t = np.array([s for _, s in net.nodes.values()], float)
        temperature = [t.copy()]
        power = np.zeros((steps, len(net.controls)))
        flows = np.zeros((steps, len(net.links)))
        heaters = [k for k, c in enumerate(net.controls) if c[0] == "heater"]
        unmet = np.zeros((steps, len(heaters)))
        boundary = np.zeros(len(self.bindex))
        sources = 0.0
        for i in range(steps):
            for _ in range(self.substeps):
                new, q, f = self.substep(i, t)
                power[i] += q / self.substeps
                flows[i] += f / self.substeps
                t = new
            for j, k in enumerate(heaters):
                _, _, _, sensor, setpoint, _, _ = net.controls[k]
                unmet[i, j] = max(0.0, at(setpoint, i) - t[self.index[sensor]])
            for m, (a, b, *_) in enumerate(net.links):
                if a in self.bindex:
                    boundary[self.bindex[a]] += flows[i, m] * self.dt * self.substeps
                if b in self.bindex:
                    boundary[self.bindex[b]] -= flows[i, m] * self.dt * self.substeps
            sources += sum(at(p, i) for _, p in net.sources) * self.dt * self.substeps
            temperature.append(t.copy())
        trace = np.array(temperature)
        return OracleRun(
            temperature=trace,
            power=power,
            unmet=unmet,
            flows=flows,
            storage=float(self.capacity @ (trace[0] - trace[-1])),
            boundary=boundary,
            sources=sources,
            vented_to=-power.sum(axis=0) * self.dt * self.substeps,
        )

    def substep(self, i, start):
        guess = start
        for _ in range(self.iterations):
            g = self.conductances(i, guess)
            guess, q = self.solve(i, start, g)
        drops = [self.value(a, i, guess) - self.value(b, i, guess) for a, b, *_ in self.net.links]
        return guess, q, np.multiply(g, drops)

    def value(self, name, i, t):
        return t[self.index[name]] if name in self.index else at(self.net.boundaries[name], i)

    def conductances(self, i, t):
        return [
            conductance((at(fixed, i), at(buoyant, i), at(radiant, i)), self.value(a, i, t), self.value(b, i, t), mix)
            for a, b, fixed, buoyant, mix, radiant in self.net.links
        ]

    def solve(self, i, start, g):
        """Temperatures and control outputs [W] of one sub-step with given link conductances."""
        matrix = np.diag(self.capacity / self.dt)
        right = self.capacity / self.dt * start
        for gk, (a, b, *_) in zip(g, self.net.links, strict=True):
            for this, other in ((a, b), (b, a)):
                if this in self.index:
                    row = self.index[this]
                    matrix[row, row] += gk
                    if other in self.index:
                        matrix[row, self.index[other]] -= gk
                    else:
                        right[row] += gk * at(self.net.boundaries[other], i)
        for name, power in self.net.sources:
            right[self.index[name]] += at(power, i)
        best = None
        for modes in itertools.product(MODES, repeat=len(self.net.controls)):
            held = [c[3] for c, mode in zip(self.net.controls, modes, strict=True) if mode == "hold"]
            if len(set(held)) < len(held):
                continue  # one temperature cannot be held twice
            answer = self.solved_in(modes, i, matrix, right)
            if answer is None:
                continue
            if best is None or answer[0] < best[0]:
                best = answer
            if best[0] <= 1e-9:
                break
        if best is None or best[0] > 1e-6:
            raise ArithmeticError(f"no combination of control modes fits in step {i}")
        return best[1], best[2]

    def solved_in(self, modes, i, matrix, right):
        """(how far the laws are broken, temperatures, outputs) with each control in the given mode."""
        n, m = self.n, len(modes)
        full = np.zeros((n + m, n + m))
        full[:n, :n] = matrix
        rhs = np.concatenate([right, np.zeros(m)])
        sign = np.array([1.0 if c[0] == "heater" else -1.0 for c in self.net.controls])
        for k, (mode, control) in enumerate(zip(modes, self.net.controls, strict=True)):
            _, _, shares, sensor, target, capacity, to = control
            row, s, cap = n + k, self.index[sensor], at(capacity, i)
            for name, share in shares.items():
                full[self.index[name], row] -= share
            if mode == "free":
                full[row, row] = 1.0
            elif mode == "hold":
                full[row, s], rhs[row] = 1.0, at(target, i)
            elif np.isinf(cap):
                return None
            elif to is None:
                full[row, row], rhs[row] = 1.0, sign[k] * cap
            else:  # a vent to a boundary, fully open: q = -cap (T - T_boundary)
                full[row, row], full[row, s], rhs[row] = 1.0, cap, cap * at(self.net.boundaries[to], i)
        try:
            x = np.linalg.solve(full, rhs)
        except np.linalg.LinAlgError:
            return None
        t, q = x[:n], x[n:]
        worst = max([0.0, *(self.broken(k, mode, i, t, q, modes) for k, mode in enumerate(modes))])
        return worst, t, q

    def broken(self, k, mode, i, t, q, modes):
        """By how much [K, or W/W] control k is not where its law puts it."""
        kind, _, _, sensor, target, capacity, to = self.net.controls[k]
        cap, ts = at(capacity, i), t[self.index[sensor]]
        over = ts - at(target, i)
        if kind == "vent":
            over = -over
        output = q[k] if kind == "heater" else -q[k]
        if kind == "vent" and to is not None:
            drop = ts - at(self.net.boundaries[to], i)
            if drop <= 0.0:  # the boundary is warmer: no flow whatever the limit says
                return abs(output) if mode == "free" else max(1.0, abs(output))
            most = cap * drop
        else:
            most = cap
        size = max(1.0, abs(output))
        if mode == "free":
            return max(0.0, -over)
        waiting = [
            modes[j]
            for j, other in enumerate(self.net.controls[:k])
            if kind == other[0] == "heater" and other[3] == sensor and at(other[4], i) == at(target, i)
        ]
        if any(w != "cap" for w in waiting) and abs(output) > 0.0:
            return np.inf  # an earlier heater on the same sensor is not yet fully on
        if mode == "hold":
            return max(0.0, -output / size, (output - most) / size)
        return max(0.0, over)
