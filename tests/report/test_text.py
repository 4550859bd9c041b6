"""The season in words: the season's own figures stand in it, in both units, and no line is too wide."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd
import pytest

from heatloss.fuel import purchase
from heatloss.report import CAUTIONS, season_report
from heatloss.report.text import SAMPLE_NOTE, amount_words


def rounded(value: float) -> str:
    return f"{float(f'{value:.3g}'):,.0f}"


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("fuels", [0, 1, 2])
@pytest.mark.parametrize("minimum", [None, -29.0])
@pytest.mark.parametrize("peak", [14_100.0, 0.0, 4.2e6])
def test_no_line_is_wider_than_the_page(season_maker: Any, units: Any, fuels: int, minimum: Any, peak: float) -> None:
    text = season_report(season_maker(fuels=fuels, minimum_20_year=minimum, peak=peak), units=units, sample=True)
    assert max(len(line) for line in text.split("\n")) <= 80
    assert not any(line != line.rstrip() for line in text.split("\n"))


def test_the_first_screen_answers_what_is_asked_first(made_season: Any) -> None:
    first_screen = "\n".join(season_report(made_season, sample=True).split("\n")[:25])
    for words in ("short tons of pellets", "8 winters in 10", "lasts 95 in 100", "cost", "not a heater size",
                  "0.4 % quantile", "20-year minimum", "below the setpoint"):  # fmt: skip
        assert words in first_screen


def test_the_fuel_stands_trade_unit_first_with_bags_and_kilograms(made_season: Any) -> None:
    fuel = made_season.fuel
    line = f"{fuel.amount:.1f} short tons of pellets ({fuel.bags:,.0f} bags of 40 lb, {rounded(fuel.mass_kg)} kg)"
    assert line in season_report(made_season)


def test_si_comes_first_when_asked(made_season: Any) -> None:
    fuel = made_season.fuel
    line = f"{rounded(fuel.mass_kg)} kg of pellets ({fuel.amount:.1f} short tons, {fuel.bags:,.0f} bags of 40 lb)"
    text = season_report(made_season, units="si")
    assert line in text
    assert "14.1 kW (48,100 Btu/h)" in text
    assert "48,100 Btu/h (14.1 kW)" in season_report(made_season)


def test_the_range_and_the_purchase_are_those_of_the_fuel(made_season: Any) -> None:
    bought = purchase(made_season.fuel)
    text = season_report(made_season)
    assert f"{bought.low:.1f} to {bought.high:.1f} short tons" in text
    assert f"buy {bought.bags} bags, {bought.amount:.2f} short tons" in text


def test_no_bare_ton_and_no_bare_gallon_is_printed(season_maker: Any) -> None:
    for units in ("us", "si"):
        text = flat(season_report(season_maker(fuels=2), units=units))
        assert not re.search(r"(?<!short )\btons?\b", text)
        assert not re.search(r"gallons?\b(?! \(US\))", text)


def test_an_example_price_is_called_one(season_maker: Any) -> None:
    text = season_report(season_maker(fuels=2))
    pellets, propane = (next(line for line in text.split("\n") if a in line) for a in ("a short ton", "a gallon (US)"))
    assert "EXAMPLE" in pellets
    assert "EXAMPLE" not in propane


def test_the_highest_hour_is_no_heater_size_and_stands_beside_the_design_loads(made_season: Any) -> None:
    text = season_report(made_season)
    assert "not a heater size; 16 Jan 03:00" in text
    assert re.search(r"steady, this file's 0.4 % quantile +51,900 Btu/h \(15.2 kW\) +-3 °F \(-19.4 °C\)", text)
    assert re.search(r"steady, 20-year minimum \(typed\) +64,500 Btu/h \(18.9 kW\) +-20 °F \(-29.0 °C\)", text)


def test_a_missing_minimum_is_said_and_no_figure_is_made_up(season_maker: Any) -> None:
    text = season_report(season_maker(minimum_20_year=None))
    line = next(line for line in text.split("\n") if "20-year minimum" in line)
    assert "MISSING: any heater size is incomplete" in line
    assert "Btu" not in line
    assert 'minimum_20_year = "... degF" under [place]' in text


def test_a_header_value_comes_before_the_files_quantile(season_maker: Any) -> None:
    season = season_maker(minimum_20_year=None)
    known = {"header_996": -18.7, "file_996": -20.0, "minimum_20_year": -29.5}
    season.design_temperatures = known
    season.design = pd.Series({"header_996": 15e3, "file_996": 15.5e3, "minimum_20_year": 19e3})
    text = season_report(season)
    assert "steady, 99.6 % (file header)" in text
    assert "quantile" not in text
    assert "steady, 20-year minimum (header)" in text
    assert "MISSING" not in text


def test_the_months_are_those_of_the_season_in_heating_order(made_season: Any) -> None:
    lines = season_report(made_season).split("\n")
    start = lines.index("MONTH BY MONTH")
    months = [line.split()[0] for line in lines[start + 3 : start + 15]]
    assert months[0] == "July"
    assert months[-1] == "June"
    january = next(line for line in lines[start:] if line.strip().startswith("January")).split()
    row = made_season.monthly.loc[1]
    assert january[3] == f"{row.heat_kwh * 3412.1416 / 1e6:.1f}"
    assert january[5] == f"{row.fuel:.2f}"
    assert january[6] == f"{row.cost:.0f}"


def test_the_flows_sum_to_all_on_both_sides(made_season: Any) -> None:
    lines = season_report(made_season).split("\n")
    totals = [line.split() for line in lines if line.startswith("    all ")]
    assert len(totals) == 2
    assert totals[0][1:3] == totals[1][1:3]
    cold = made_season.hourly.index.month.isin([10, 11, 12, 1, 2, 3, 4])
    cover = -made_season.hourly.loc[cold, "cover"].sum() / 1000.0
    assert f"{cover:,.0f}" in next(line for line in lines if line.startswith("    glazing"))


def test_the_hand_figure_stands_beside_the_hourly_one(made_season: Any) -> None:
    text = flat(season_report(made_season, units="si"))
    assert "rated UA 565 W/K (1,070 Btu/h °F) x degree-hours, no sun and no mass: 34,800 kWh" in text
    share = 100.0 * made_season.heat_kwh / made_season.hand_kwh
    assert f"{share:.0f} % of the hand figure" in text


def test_heat_and_fuel_by_floor_area_in_both_units(made_season: Any) -> None:
    text = flat(season_report(made_season, units="si"))
    area = made_season.geometry.floor_area
    assert f"{float(f'{made_season.heat_kwh / area:.3g}'):g} kWh/m2" in text
    assert f"{float(f'{made_season.fuel.mass_kg / area:.3g}'):g} kg/m2" in text
    assert "Btu/ft2" in text
    assert "lb/ft2" in text


def test_what_falls_outside_the_heaters_dates_is_said(season_maker: Any) -> None:
    season = season_maker()
    never = "Between 1 May and 30 September, when the heater is off, the house never fell below its setpoint."
    assert never in flat(season_report(season))
    season.out_of_dates = pd.Series({"hours": 31.0, "degree_hours": 50.0, "lowest": 4.0})
    text = flat(season_report(season))
    assert "pellet boiler is in use from 1 October to 30 April" in text
    assert "below its setpoint for 31 hours, 90.0 °F hours (50.0 K hours)" in text
    assert "the lowest then was 39 °F (4.0 °C) inside" in text
    assert 'widen the dates, such as from = "09-01" or to = "05-31"' in text


def test_a_heater_too_small_is_said_right_under_the_fuel(season_maker: Any) -> None:
    season = season_maker(fuels=2)
    season.unmet = pd.Series({"hours": 1313.0, "degree_hours": 2000.0, "lowest": 2.0})
    lines = season_report(season).split("\n")
    at = next(i for i, line in enumerate(lines) if "HEATER TOO SMALL" in line)
    assert lines[at] == "  HEATER TOO SMALL: 1,313 hours below the setpoint; this fuel does not hold it."
    assert "pellets" in lines[at - 1] + lines[at - 2]
    season.unmet["hours"] = 20.0
    assert "TOO SMALL" not in season_report(season)


def test_the_purchase_has_its_room_and_its_cost(made_season: Any) -> None:
    fuel, bought = made_season.fuel, purchase(made_season.fuel)
    room = fuel.storage_m3 * bought.amount / fuel.amount
    words = f": {rounded(room / 0.3048**3)} ft3; ${bought.amount * fuel.price:,.0f}"
    assert words in flat(season_report(made_season))


def test_the_basis_of_a_typed_efficiency_is_said(season_maker: Any) -> None:
    season = season_maker()
    assert "counts on the" not in season_report(season)
    season.house.heater[0].efficiency = 0.8
    words = "pellet boiler: 80 % counts on the higher heating value (hhv), as the catalogue row does"
    assert words in flat(season_report(season))
    season.house.heater[0].basis = "hhv"
    assert "counts on the" not in season_report(season)


def test_si_comes_first_in_the_flows_too(made_season: Any) -> None:
    for units, first, second in (("us", "mill. Btu", "kWh"), ("si", "kWh", "mill. Btu")):
        lines = season_report(made_season, units=units).split("\n")
        head = next(line for line in lines if "heater on" in line and "share" in line)
        assert head.index(first) < head.index(second)


def test_hours_below_the_setpoint_are_counted_with_their_depth(season_maker: Any) -> None:
    season = season_maker()
    assert re.search(r"below the setpoint, heater on +0 hours$", season_report(season), re.MULTILINE)
    season.unmet = pd.Series({"hours": 1.0, "degree_hours": 2.0, "lowest": 8.0})
    text = season_report(season, units="si")
    assert re.search(r"below the setpoint, heater on +1 hour, 2.00 K hours \(3.60 °F hours\)", text)


def test_the_cost_of_the_months_is_that_of_all_heaters(season_maker: Any) -> None:
    season = season_maker(fuels=2)
    lines = season_report(season).split("\n")
    total = next(line for line in lines if line.startswith("  season ")).split()
    assert total[-2] == f"{sum(f.cost for f in season.fuels):,.0f}"
    january = next(line for line in lines if line.startswith("  January ")).split()
    assert january[-2] == f"{sum(f.monthly.loc[1, 'cost'] for f in season.fuels):,.0f}"


def test_assumptions_and_rows_come_with_their_sources(made_season: Any) -> None:
    text = flat(season_report(made_season))
    assert made_season.assumptions[0] in text
    assert "u_value 3.3 W/(m2 K): a sheet [read]" in text
    assert "standard deviation of 22 %" in text


def test_cautions_are_always_there(season_maker: Any) -> None:
    for season in (season_maker(), season_maker(fuels=0)):
        text = flat(season_report(season))
        assert all(flat(caution) in text for caution in CAUTIONS)


def test_a_sample_says_so_in_its_first_and_last_line(made_season: Any) -> None:
    lines = season_report(made_season, sample=True).split("\n")
    assert lines[0] == lines[-1] == SAMPLE_NOTE
    assert SAMPLE_NOTE not in season_report(made_season)


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (5.14, "short_ton", "5.1 short tons"), (0.042, "cord", "0.04 cords"), (1.0, "cord", "1.0 cord"),
        (1234.4, "gallon", "1,234 gallons (US)"), (0.0, "short_ton", "0.0 short tons"), (812.0, "therm", "812 therms"),
    ],
)  # fmt: skip
def test_amounts_in_words(amount: float, unit: str, words: str) -> None:
    assert amount_words(amount, unit) == words
