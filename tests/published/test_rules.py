"""Worked sums and rules that the trade publishes, rows of rules.csv, each done with the library's own functions."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from heatloss import units
from heatloss.physics import air_exchange, ground, heater, steady

TEXT = (Path(__file__).parent / "rules.csv").read_text(encoding="utf-8")
ROWS = {row["id"]: row for row in csv.DictReader(TEXT.splitlines())}
R_1 = units.parse("R-1", "m2 K/W")


def expected(row: str) -> list[float]:
    return [float(x) for x in ROWS[row]["expected"].split()]


def near(row: str, *, relative: bool = False) -> object:
    tolerance = float(ROWS[row]["tolerance"])
    return pytest.approx(expected(row), abs=0 if relative else tolerance, rel=tolerance if relative else 0)


def slab_u(area: float, perimeter: float, conductivity: float) -> float:
    return ground.slab(area, perimeter, wall_thickness=0.3, conductivity=conductivity, volumetric_heat=3e6).u


def strip_saving(added: float) -> float:
    """Share of the hull's loss that insulating a strip of it saves, by R-values."""
    share = expected("E15a")[0]
    before = 1.5 * R_1
    return share * (1.0 - before / (before + added * R_1))


def test_every_row_is_tested_here() -> None:
    text = Path(__file__).read_text(encoding="utf-8")
    assert all(f'near("{name}"' in text for name in ROWS)


def test_infiltration_of_a_day() -> None:
    w_per_k = 0.7 * air_exchange.heat_per_ach(600.0, 89600.0, 5.0, specific_heat=1007.0)
    assert [w_per_k * (22.0 - 5.0) * 24 / 1000] == near("E6")


def test_degree_day_sum() -> None:
    loss = units.parse("75000 Btu/h", "W") / units.parse("70 delta_degF", "K")
    days = 6000 * units.parse("1 delta_degF", "K")
    energy = 3.6e6 * steady.degree_day_heat(loss, days) / 0.85
    therms = energy / (100000 * units.BTU)
    assert [therms] == near("E10a")
    assert [0.60 * therms] == near("E10b")


def test_insulated_strip() -> None:
    strip = 2 * (30 + 100) * 3
    assert [strip / 5000] == near("E15a")
    assert [strip_saving(5.0)] == near("E15b")
    assert [strip_saving(10.0)] == near("E15c")


def test_room_for_an_open_burner() -> None:
    asked = heater.room_for_air(units.parse("72000 Btu/h", "W")) / units.FOOT**3
    assert asked == pytest.approx(3600, rel=1e-7)
    assert [round(asked / 50 * 1000, 2)] == near("E18")


def test_slab_table() -> None:
    ratios = [0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0]
    assert [slab_u(100.0, 100.0 * ratio, 1.5) for ratio in ratios] == near("ISO")


def test_slab_against_an_older_formula() -> None:
    assert [slab_u(200.0, 60.0, 1.4)] == near("MACEY")
    assert slab_u(200.0, 60.0, 1.4) == pytest.approx(0.467, abs=5e-4)


def test_curtain_ratios() -> None:
    glass = 4.41 + 0.40
    assert [1 - (2.93 + 0.10) / glass, 1 - (3.00 + 0.16) / glass] == near("MIHARA")


def test_equal_price_of_delivered_heat() -> None:
    # The sheet's contents include the heater's efficiency already.
    assert [3 * content for content in (5.74, 0.82, 13.6)] == near("FPL", relative=True)


def test_heat_content_from_two_carbon_figures() -> None:
    pounds_a_gallon = 12.70, 22.40
    assert [p / c * 1e6 for p, c in zip(pounds_a_gallon, (139.05, 161.3), strict=True)] == near("CO2", relative=True)
