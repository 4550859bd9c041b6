"""Units of trade against their definitions."""

from __future__ import annotations

import pytest

from heatloss.errors import UnknownNameError
from heatloss.fuel import TRADE_UNITS, trade_unit


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
