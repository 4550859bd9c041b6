from __future__ import annotations

import math

import pytest
import pyxirr
from hypothesis import assume, given
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.physics import economics

TERMS = {"years": 15, "escalation": 0.03}


@given(
    st.floats(50.0, 20000.0), st.floats(1.0, 5000.0), st.integers(1, 40), st.floats(-0.02, 0.08), st.floats(0.0, 0.15)
)
def test_worth_and_rate_as_pyxirr(cost: float, saving: float, years: int, escalation: float, rate: float) -> None:
    flows = economics.cash_flows(cost, saving, years=years, escalation=escalation)
    worth = economics.npv(cost, saving, years=years, rate=rate, escalation=escalation)
    assert worth == pytest.approx(pyxirr.npv(rate, flows), rel=1e-9, abs=1e-6)
    assert worth == pytest.approx(
        saving * economics.present_value_factor(years, rate=rate, escalation=escalation) - cost, rel=1e-7, abs=1e-5
    )
    theirs = pyxirr.irr(flows)
    assume(theirs is not None and -0.9 < theirs < 10.0)
    assert economics.irr(cost, saving, years=years, escalation=escalation) == pytest.approx(theirs, abs=1e-7)


def test_upkeep_and_residual() -> None:
    plain = economics.npv(1000.0, 200.0, years=10, rate=0.05)
    with_both = economics.npv(1000.0, 200.0, years=10, rate=0.05, maintenance=20.0, residual=300.0)
    upkeep = 20.0 * economics.present_value_factor(10, rate=0.05)
    assert with_both == pytest.approx(plain - upkeep + 300.0 / 1.05**10, rel=1e-12)


def test_equal_rates_have_their_own_form() -> None:
    assert economics.present_value_factor(10, rate=0.04, escalation=0.04) == pytest.approx(10 / 1.04, rel=1e-14)
    nearest = economics.present_value_factor(1, rate=1.2362478651294984e-12)
    assert nearest == pytest.approx(1.0, rel=1e-11)
    near = economics.present_value_factor(10, rate=0.04, escalation=0.04 + 1e-9)
    assert near == pytest.approx(10 / 1.04, rel=1e-6)


def test_nothing_saved_never_pays() -> None:
    assert economics.payback(100.0, 0.0) == math.inf
    assert economics.payback(100.0, -5.0) == math.inf
    assert economics.payback(0.0, 5.0) == 0.0
    assert economics.irr(100.0, 0.0, **TERMS) is None
    assert economics.irr(100.0, -5.0, **TERMS) is None
    assert economics.irr(0.0, 5.0, **TERMS) is None
    assert economics.discounted_payback(1000.0, 20.0, rate=0.05, **TERMS) == math.inf
    assert economics.discounted_payback(0.0, 20.0, rate=0.05, **TERMS) == 0.0


def test_money_that_does_not_come_back_has_a_negative_rate() -> None:
    rate = economics.irr(1000.0, 50.0, years=10)
    assert rate is not None
    assert rate < 0.0
    assert economics.npv(1000.0, 50.0, years=10, rate=rate) == pytest.approx(0.0, abs=1e-6)


def test_discounted_payback_is_never_earlier() -> None:
    plain = economics.payback(1500.0, 220.0)
    assert economics.discounted_payback(1500.0, 220.0, years=15, rate=0.05) > plain
    assert economics.discounted_payback(1500.0, 220.0, years=15, rate=0.0) == pytest.approx(plain, rel=1e-12)


def test_real_and_nominal_rates_give_the_same_worth() -> None:
    nominal = economics.npv(1500.0, 220.0, years=15, rate=0.06, escalation=0.04)
    real = economics.npv(
        1500.0,
        220.0 / 1.02,
        years=15,
        rate=economics.real_rate(0.06, inflation=0.02),
        escalation=economics.real_rate(0.04, inflation=0.02),
    )
    assert nominal == pytest.approx(real, rel=1e-12)


def test_refusals() -> None:
    with pytest.raises(InputError, match="years must be a whole number from 1"):
        economics.npv(1.0, 1.0, years=0, rate=0.05)
    with pytest.raises(InputError, match=r"Write 5 per cent as 0\.05"):
        economics.present_value_factor(5, rate=-1.5)
    with pytest.raises(InputError, match="cost must be at least 0"):
        economics.payback(-1.0, 5.0)
