"""What a change costs and saves over the years."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatloss.decisions.measures import Measure
from heatloss.physics import economics

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Terms:
    """How money is looked at.

    Attributes
    ----------
    years : int [year]
    discount, escalation : float [1]
        Interest and rise of the fuel's price a year; both nominal, or both real.
    """

    years: int = 15
    discount: float = 0.05
    escalation: float = 0.03

    def __post_init__(self) -> None:
        """Refuse what is no number of years, no rate."""
        economics.present_value_factor(
            self.years, rate=self.discount, escalation=self.escalation
        )  # refuses what is none

    def worth(self, flows: Floats) -> float:
        """Net present value of flows by year, the first of them now [usd]."""
        return float(flows @ (1.0 + self.discount) ** -np.arange(self.years + 1.0))


def flows_of(measures: Sequence[Measure], prices: Sequence[float], saving: float, terms: Terms) -> Floats:
    """Money out and in by year: what wears out is bought again, upkeep is paid, fuel gets dearer [usd].

    Parameters
    ----------
    measures : sequence of Measure
    prices : sequence of float [usd]
        Of each.
    saving : float [usd]
        Of the first year.
    terms : Terms
    """
    flows = economics.cash_flows(
        sum(prices), saving, years=terms.years, escalation=terms.escalation, maintenance=sum(m.upkeep for m in measures)
    )
    for measure, price in zip(measures, prices, strict=True):
        flows[measure.life : terms.years : measure.life] -= price
    return flows


def judged(measures: Sequence[Measure], prices: Sequence[float], saving: float, terms: Terms) -> dict[str, Any]:
    """``payback_years``, ``discounted_years``, ``npv``, ``irr`` and the ``flows`` of measures taken together.

    Parameters
    ----------
    measures : sequence of Measure
    prices : sequence of float [usd]
    saving : float [usd]
        Of the first year.
    terms : Terms
    """
    flows, upkeep = flows_of(measures, prices, saving, terms), sum(m.upkeep for m in measures)
    return {
        "flows": flows,
        "payback_years": economics.payback(sum(prices), saving - upkeep),
        "discounted_years": _discounted(flows, terms),
        "npv": terms.worth(flows),
        "irr": _rate_of_return(flows),
    }


def _discounted(flows: Floats, terms: Terms) -> float:
    """Years until the flows, discounted, have paid for themselves for good; infinite where they do not in the years.

    A measure that is bought again may fall below nothing once more: it is the last turn that counts, on a straight
    line within its year.
    """
    worth = flows * (1.0 + terms.discount) ** -np.arange(terms.years + 1.0)
    balance = np.cumsum(worth)
    below = np.flatnonzero(balance < 0.0)
    if not len(below):
        return 0.0
    last = int(below[-1])
    return math.inf if last == terms.years else float(last - balance[last] / worth[last + 1])


def _rate_of_return(flows: Floats) -> float:
    """The rate at which the flows are worth nothing; NaN where nothing is paid, or nothing comes in."""
    import numpy_financial

    if not (flows[0] < 0.0 and np.any(flows[1:] > 0.0)):
        return math.nan
    return float(numpy_financial.irr(flows))
