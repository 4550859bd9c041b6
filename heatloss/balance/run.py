"""What a run of a network gave: temperatures, powers, flows, and the ledgers of heat and water."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from heatloss.balance.ledger import last_bits, worst_residual
from heatloss.balance.values import Driven, Floats
from heatloss.errors import UnknownNameError

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.balance.network import Network


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
    lane_humidity : (steps + 1, bodies of moist air) [kg/kg]
    lane_evaporated : (steps, wet faces) [kg/s]
        Step means, negative where water condenses.
    lane_latent : (steps, wet faces) [W]
        Latent heat given to the face, step means.
    lane_carried : (steps, flows of air and drying vents) [kg/s]
        Vapour, step means, positive from the body of air declared first.
    lane_ice : (steps + 1, nodes that freeze) [J]
        Latent heat of the ice in them.
    """

    network: Network
    step: float
    first: int
    lane_temperature: Floats
    lane_power: Floats
    lane_flow: Floats
    lane_humidity: Floats
    lane_evaporated: Floats
    lane_latent: Floats
    lane_carried: Floats
    lane_ice: Floats

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
        drawn = np.diff(self.lane_ice, axis=0).sum(axis=1) - np.diff(self.lane_temperature, axis=0) @ capacity
        given: Floats = drawn / self.step
        return given

    @property
    def ice(self) -> pd.DataFrame:
        """Frame (steps + 1) x nodes that freeze: share that is ice [1], row 0 the start."""
        import pandas as pd

        latent = np.array([latent for latent, _ in self.network._freezing.values()])
        return pd.DataFrame(self.lane_ice / np.where(latent > 0.0, latent, 1.0), columns=list(self.network._freezing))

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
        if net._moisture.faces:
            terms["latent"] = self.lane_latent.sum(axis=1)
        terms["storage"] = self.storage
        return terms

    def vapour_given(self, which: int) -> Floats:
        """Vapour of the source declared as number ``which`` [kg/s], one value per step."""
        source = self.network._moisture.sources[which]
        given = self._input(source.rate)
        if source.heater is not None:
            given = given + self._input(source.by_watt) * self.power[source.heater].to_numpy()
        return given

    @cached_property
    def humidity(self) -> pd.DataFrame:
        """Frame (steps + 1) x bodies of moist air [kg/kg], row 0 the start."""
        import pandas as pd

        return pd.DataFrame(self.lane_humidity, columns=list(self.network._moisture.airs))

    @cached_property
    def water_terms(self) -> dict[str, Floats]:
        """Step-mean vapour [kg/s] by word, gains of the air positive: faces, sources, each boundary, storage."""
        moisture = self.network._moisture
        evaporated = self.lane_evaporated
        terms = {
            "evaporation": np.where(evaporated > 0.0, evaporated, 0.0).sum(axis=1),
            "condensation": np.where(evaporated < 0.0, evaporated, 0.0).sum(axis=1),
            "sources": sum((self.vapour_given(i) for i in range(len(moisture.sources))), np.zeros(self.steps)),
            **{name: np.zeros(self.steps) for name in moisture.humidities},
        }
        for k, to in enumerate([f.to for f in moisture.flows] + [d.to for d in moisture.dryers]):
            if to in moisture.humidities:
                terms[to] = terms[to] - self.lane_carried[:, k]
        mass = np.array([self._input(air.mass) for air in moisture.airs.values()]).reshape(-1, self.steps)
        change = np.diff(self.lane_humidity, axis=0).T
        terms["storage"] = -(mass * change).sum(axis=0) / self.step
        return terms

    @cached_property
    def water_closure(self) -> float:
        """Worst |residual| of the vapour over the sum of all positive terms, of every step and the whole; 0 without."""
        table = np.array(list(self.water_terms.values()))
        table = np.hstack([table, table.sum(axis=1, keepdims=True)])
        positive = np.where(table > 0.0, table, 0.0).sum(axis=0)
        least = np.maximum(positive, 1e-12 * max(float(positive.max()), 1e-30))
        return float((np.abs(table.sum(axis=0)) / least).max())

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
        bits = last_bits(np.asarray(self._stiffness), np.abs(self.lane_temperature).max())
        return float(worst_residual(np.array(list(self.terms.values())), bits))

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
