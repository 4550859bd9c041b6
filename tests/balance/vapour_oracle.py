"""The coupled equations of heat and vapour in plain numpy: the judge of the compiled balance of moisture.

Nothing here is shared with the engine. One step is one system of equations in the temperatures, the humidities and
what every control gives, all at the step's end; `residual` says how far a state is from fulfilling each of them. A
control is one equation by projection: heater q = clip(q + k (T_set - T), 0, cap), and likewise a vent and a drying
vent. Saturation is psychrolib's, taken as a straight line between its values at every eighth of a kelvin.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import psychrolib
from dense_oracle import at, conductance

CP = 1006.0
GRID = np.linspace(-90.0, 110.0, 1601)
psychrolib.SetUnitSystem(psychrolib.SI)
PRESSURE = np.array([psychrolib.GetSatVapPres(float(t)) for t in GRID])


def saturation_ratio(temp: float, pressure: float) -> float:
    vapour = np.interp(temp, GRID, PRESSURE)
    return float(0.621945 * vapour / (pressure - vapour))


def pair(value):
    return value if isinstance(value, tuple) else (value, value)


@dataclass
class MoistOracle:
    """The same calls as the engine's network, kept as plain lists."""

    nodes: dict = field(default_factory=dict)
    boundaries: dict = field(default_factory=dict)
    links: list = field(default_factory=list)
    sources: list = field(default_factory=list)
    heaters: dict = field(default_factory=dict)
    vents: dict = field(default_factory=dict)
    airs: dict = field(default_factory=dict)
    outer: dict = field(default_factory=dict)
    faces: list = field(default_factory=list)
    flows: list = field(default_factory=list)
    vapours: list = field(default_factory=list)
    dryers: list = field(default_factory=list)

    def node(self, name, *, capacity=0.0, start=0.0):
        self.nodes[name] = (capacity, start)

    def boundary(self, name, temperature):
        self.boundaries[name] = temperature

    def link(self, a, b, conductance=0.0, *, buoyant=0.0, mix="larger", radiant=0.0):
        self.links.append((a, b, conductance, buoyant, mix, radiant))
        return len(self.links) - 1

    def source(self, node, power):
        self.sources.append((node, power))

    def heater(self, name, node, *, setpoint, capacity):
        self.heaters[name] = (node, setpoint, capacity)

    def vent(self, name, node, *, limit, to, capacity):
        self.vents[name] = (node, limit, to, capacity)

    def moist_air(self, node, *, mass, pressure, start):
        self.airs[node] = (mass, pressure, start)

    def humidity(self, boundary, ratio):
        self.outer[boundary] = ratio

    def wet(self, node, air, conductance=0.0, *, along=None, factor=0.0):
        self.faces.append((node, air, pair(conductance), along, pair(factor)))

    def air_flow(self, air, to, conductance=0.0, *, along=None, factor=0.0, vent=None):
        self.flows.append((air, to, conductance, along, factor, vent))

    def vapour(self, air, rate=0.0, *, heater=None, by_watt=0.0):
        self.vapours.append((air, rate, heater, by_watt))

    def dryer(self, air, to, *, limit, capacity):
        self.dryers.append((air, to, limit, capacity))

    def residual(self, i, dt, t0, w0, t, w, q, d):
        """Of every equation of step i, in K, g/kg and kW; and the water of each face [kg/s].

        Parameters: temperatures and humidity ratios before and after, W of heaters and vents (what they take,
        positive), kg/s of air through the drying vents.
        """
        node = {name: k for k, name in enumerate(self.nodes)}
        body = {name: k for k, name in enumerate(self.airs)}
        capacity = np.array([c for c, _ in self.nodes.values()])
        heat = capacity / dt * (t - t0)
        mass = np.array([at(m, i) for m, *_ in self.airs.values()])
        vapour = mass / dt * (w - w0)

        def temperature(name):
            return t[node[name]] if name in node else at(self.boundaries[name], i)

        g = []
        for a, b, fixed, buoyant, mix, radiant in self.links:
            ta, tb = temperature(a), temperature(b)
            g.append(conductance((at(fixed, i), at(buoyant, i), at(radiant, i)), ta, tb, mix))
            for this, drop in ((a, ta - tb), (b, tb - ta)):
                if this in node:
                    heat[node[this]] += g[-1] * drop
        for name, value in self.sources:
            heat[node[name]] -= at(value, i)
        rules = []
        watts = dict(zip([*self.heaters, *self.vents], np.divide(q, 1e3), strict=True))  # kW
        for name, (where, setpoint, cap) in self.heaters.items():
            heat[node[where]] -= 1e3 * watts[name]
            rules.append(watts[name] - np.clip(watts[name] + at(setpoint, i) - t[node[where]], 0.0, 1e-3 * at(cap, i)))
        for name, (where, limit, to, cap) in self.vents.items():
            heat[node[where]] += 1e3 * watts[name]
            most = 1e-3 * at(cap, i) * max(t[node[where]] - temperature(to), 0.0)
            rules.append(watts[name] - np.clip(watts[name] + t[node[where]] - at(limit, i), 0.0, most))
        for k, (air, to, limit, cap) in enumerate(self.dryers):
            held = at(limit, i) * saturation_ratio(t[node[air]], self.airs[air][1])
            most = at(cap, i) / CP if held > at(self.outer[to], i) else 0.0  # no drying with air above the limit
            rules.append(d[k] - np.clip(d[k] + 1e3 * (w[body[air]] - held), 0.0, most))
            vapour[body[air]] += d[k] * (w[body[air]] - at(self.outer[to], i))
            heat[node[air]] += d[k] * CP * (t[node[air]] - temperature(to))
        water = []
        for where, air, plain, along, factor in self.faces:
            full = saturation_ratio(t[node[where]], self.airs[air][1])
            drop = full - w[body[air]]
            which = 0 if drop > 0.0 else 1
            c = at(plain[which], i) + (at(factor[which], i) * g[along] if along is not None else 0.0)
            water.append(c * drop)
            vapour[body[air]] -= c * drop
            heat[node[where]] += c * drop * (2.501e6 - 2361.0 * t[node[where]])
        for air, to, plain, along, factor, vent in self.flows:
            flow = at(plain, i) + (at(factor, i) * g[along] if along is not None else 0.0)
            if vent is not None:
                where, _, outside, _ = self.vents[vent]
                reach = t[node[where]] - temperature(outside)
                flow += 1e3 * watts[vent] / (CP * max(reach, 0.05)) if reach > 0.05 else 0.0
            far = w[body[to]] if to in body else at(self.outer[to], i)
            vapour[body[air]] += flow * (w[body[air]] - far)
            if to in body:
                vapour[body[to]] -= flow * (w[body[air]] - far)
        for air, rate, heater, by_watt in self.vapours:
            vapour[body[air]] -= at(rate, i) + (by_watt * 1e3 * watts[heater] if heater is not None else 0.0)
        weight = capacity / dt + sum(at(link[2], i) for link in self.links)
        return np.concatenate([heat / weight, 1e3 * vapour / (mass / dt), rules]), np.array(water)
