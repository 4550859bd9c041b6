"""Units of trade against their definitions."""

from __future__ import annotations

import pandas as pd
import pytest

from heatloss.catalogue import names, row
from heatloss.errors import UnknownNameError
from heatloss.fuel import TRADE_UNITS, demand, trade_unit


# NIST Special Publication 811 (2008), appendix B (from memory): exact definitions.
@pytest.mark.parametrize(
    ("name", "si"),
    [("short_ton", 907.18474), ("gallon", 3.785411784), ("cord", 3.624556363776), ("therm", 105.4804 / 3.6)],
)
def test_definitions(name: str, si: float) -> None:
    assert trade_unit(name).si_factor == pytest.approx(si, rel=1e-12)


def test_a_bare_ton_is_refused_and_the_short_ton_named() -> None:
    with pytest.raises(UnknownNameError, match="short_ton"):
        trade_unit("ton")


def test_names_are_exact() -> None:
    assert trade_unit("short_ton").name(5.1) == "short tons"
    assert trade_unit("gallon").name(1.0) == "gallon (US)"
    assert all(unit.step > 0 for unit in TRADE_UNITS.values())


@pytest.mark.parametrize("name", names("fuels"))
def test_units_go_round(name: str) -> None:
    """Energy to units of trade, to kilograms and bags, and back: nothing is lost on the way."""
    fuel = row("fuels", name)
    hours = pd.Series(3000.0, index=pd.date_range("2001-01-01", periods=48, freq="h"))
    bought = demand(hours, fuel=fuel, efficiency=0.75, basis="lhv")
    assert bought.amount * fuel["mass_per_unit"] * fuel["lhv"] == pytest.approx(48 * 3000.0 * 3600.0 / 0.75, rel=1e-12)
    if bought.mass_kg and not trade_unit(bought.unit).volume and bought.unit in ("short_ton", "bushel"):
        assert bought.amount * trade_unit(bought.unit).si_factor == pytest.approx(bought.mass_kg, rel=1e-9)
    if bought.bags is not None and bought.bag_kg is not None:
        assert bought.bags * bought.bag_kg == pytest.approx(bought.mass_kg, rel=1e-12)
    if bought.unit == "short_ton" and bought.bag_kg is not None:
        assert bought.bags == pytest.approx(50.0 * bought.amount, rel=1e-9)  # 50 bags of 40 lb
