"""Money over the years: pyxirr and the closed forms, what wears out, what never pays."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import pyxirr

from heatloss import InputError
from heatloss.decisions.measures import measures_of
from heatloss.decisions.money import Terms, flows_of, judged
from heatloss.physics import economics


def one(life: int = 30, upkeep: str = "0 usd/year", name: str = "it") -> Any:
    tree = {"name": name, "cost": "1 usd", "life": life, "upkeep": upkeep, "set": {"crop": "lettuce"}}
    return measures_of([tree])[0]


def test_the_checked_example() -> None:
    """1500 now, 220 in the first year, 3 % dearer, 5 % interest, 15 years (textbook forms, calculated)."""
    found = judged([one()], [1500.0], 220.0, Terms(15, 0.05, 0.03))
    assert found["payback_years"] == pytest.approx(1500 / 220, rel=1e-12)
    assert found["discounted_years"] == pytest.approx(7.625, abs=5e-4)
    assert found["npv"] == pytest.approx(220 * 12.529552 - 1500, abs=2e-4)
    assert found["irr"] == pytest.approx(0.147747, abs=5e-7)


@pytest.mark.parametrize(("rate", "escalation"), [(0.05, 0.03), (0.0, 0.02), (0.07, 0.07), (0.03, -0.01)])
def test_as_pyxirr_and_the_closed_form(rate: float, escalation: float) -> None:
    terms = Terms(18, rate, escalation)
    found = judged([one(life=7, upkeep="12 usd/year")], [900.0], 240.0, terms)
    assert found["npv"] == pytest.approx(pyxirr.npv(rate, found["flows"]), rel=1e-9)
    assert found["irr"] == pytest.approx(pyxirr.irr(found["flows"]), abs=1e-9)
    annuity = economics.present_value_factor(18, rate=rate)
    again = 900.0 * sum((1.0 + rate) ** -year for year in (0, 7, 14))
    closed = 240.0 * economics.present_value_factor(18, rate=rate, escalation=escalation) - 12.0 * annuity - again
    assert found["npv"] == pytest.approx(closed, rel=1e-9)


def test_what_is_bought_again_each_at_its_own_life() -> None:
    flows = flows_of([one(4), one(5, name="b")], [10.0, 100.0], 0.0, Terms(10))
    assert np.flatnonzero(flows).tolist() == [0, 4, 5, 8]
    assert flows[[0, 4, 5, 8]].tolist() == [-110.0, -10.0, -100.0, -10.0]


def test_discounted_payback_is_the_last_turn() -> None:
    """Paid back in the second year, bought again in the third, paid back for good in the fourth."""
    found = judged([one(3)], [100.0], 60.0, Terms(5, 0.0, 0.0))
    assert found["flows"].cumsum().tolist() == [-100.0, -40.0, 20.0, -20.0, 40.0, 100.0]
    assert found["discounted_years"] == pytest.approx(3.0 + 20.0 / 60.0)
    assert judged([one(3)], [0.0], 60.0, Terms(5))["discounted_years"] == 0.0


def test_no_rate_is_said_by_nan_and_never_pays_by_infinity() -> None:
    for price, saving in ((100.0, 0.0), (100.0, -5.0), (0.0, 5.0)):
        assert math.isnan(judged([one()], [price], saving, Terms())["irr"])
    found = judged([one()], [100.0], -5.0, Terms())
    assert found["payback_years"] == found["discounted_years"] == math.inf


@pytest.mark.parametrize("bad", [{"years": 0}, {"discount": -1.0}, {"escalation": float("nan")}])
def test_terms_that_are_none(bad: Any) -> None:
    with pytest.raises(InputError, match="must be"):
        Terms(**bad)
