"""Quantities and prices as people type them, each refusal in full, and no string that is run, hangs or escapes."""

from __future__ import annotations

import math
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatloss import units
from heatloss.errors import InputError
from heatloss.units import GLOSSARY, convert, parse, parse_price

# Definitions: foot 0.3048 m, pound 0.45359237 kg, gallon 231 in3, international-table Btu 1055.05585262 J,
# US therm 105.4804 MJ, cord 128 ft3, short ton 2000 lb (SI brochure and NIST SP 811, from memory).
TYPED = [
    ("24 ft", "m", 7.3152),
    ("8ft", "m", 2.4384),
    ("8 ft 6 in", "m", 2.5908),
    ("5.5 in", "m", 0.1397),
    ("1/2 in", "m", 0.0127),
    ("3 1/2 in", "m", 0.0889),
    ("-3 1/2 in", "m", -0.0889),
    ((2.4, "m"), "m", 2.4),
    ([2.4, "m"], "m", 2.4),
    ((np.float64(8), "ft"), "m", 2.4384),
    ("880 ft2", "m2", 880 * 0.3048**2),
    ("880 ft^2", "m2", 880 * 0.3048**2),
    ("880 sq ft", "m2", 880 * 0.3048**2),
    ("1800 gal", "m3", 1800 * 231 * 0.0254**3),
    ("1 cord", "m3", 128 * 0.3048**3),
    ("40 lb", "kg", 18.1436948),
    ("2 short_ton", "kg", 1814.36948),
    ("2 short tons", "kg", 1814.36948),
    ("2 tonne", "kg", 2000.0),
    ("R-13", "m2 K/W", 13 * 0.3048**2 * 3600 / 1.8 / 1055.05585262),
    ("RSI-2.3", "m2 K/W", 2.3),
    ("13 ft2 h degF/Btu", "m2 K/W", 13 * 0.3048**2 * 3600 / 1.8 / 1055.05585262),
    ("0.7 Btu/(h ft^2 degF)", "W/(m2 K)", 0.7 * 1.8 * 1055.05585262 / 3600 / 0.3048**2),
    ("0.7 BTU/hour/ft**2/degF", "W/(m2 K)", 0.7 * 1.8 * 1055.05585262 / 3600 / 0.3048**2),
    ("3.5 W/m²K", "W/(m2 K)", 3.5),
    ("68 degF", "degC", 20.0),
    ("-40 °F", "degC", -40.0),
    ("20 °C", "degC", 20.0),
    ("273.15 K", "degC", 0.0),
    ("9 delta_degF", "K", 5.0),
    ("5 K", "K", 5.0),
    ("5 delta_degC", "K", 5.0),
    ("60000 Btu/h", "W", 60000 * 1055.05585262 / 3600),
    ("60 kBtu/h", "W", 60000 * 1055.05585262 / 3600),
    ("60 MBH", "W", 60000 * 1055.05585262 / 3600),
    ("1 therm", "J", 105.4804e6),
    ("1 MMBtu", "J", 1055.05585262e6),
    ("8200 Btu/lb", "J/kg", 8200 * 1055.05585262 / 0.45359237),
    ("15 mph", "m/s", 6.7056),
    ("0.5 1/h", "1/h", 0.5),
    ("0.5 per hour", "1/h", 0.5),
    ("0.5 ach", "1/h", 0.5),
    ("355 cfm", "m3/s", 355 * 0.3048**3 / 60),
    ("90 deg", "deg", 90.0),
    ("5 %", "1", 0.05),
    ("0.25", "1", 0.25),
    (0.25, "1", 0.25),
    ((5, "%"), "1", 0.05),
    ("1e-3 m", "m", 0.001),
]


@pytest.mark.parametrize(("typed", "unit", "expected"), TYPED, ids=lambda v: str(v)[:24])
def test_typed_quantities(typed: object, unit: str, expected: float) -> None:
    assert parse(typed, unit) == pytest.approx(expected, rel=1e-12, abs=1e-12)


SAYS = "eave must be {}, got {} (shape.eave). {}"
LENGTH = 'Type a value such as "8 ft" or "8 m".'
REFUSED = [
    (8, "m", SAYS.format("a length with its unit [m]", "8", 'Type eave = "8 ft" or eave = "8 m".')),
    (8.5, "m", SAYS.format("a length with its unit [m]", "8.5", 'Type eave = "8.5 ft" or eave = "8.5 m".')),
    ("8", "m", SAYS.format("a length with its unit [m]", "'8'", 'Type eave = "8 ft" or eave = "8 m".')),
    (13, "m2 K/W", SAYS.format("an R-value with its unit [m2 K/W]", "13", 'Type eave = "R-13" or eave = "RSI-13".')),
    (
        68,
        "degC",
        SAYS.format("a temperature with its unit [degC]", "68", 'Type eave = "68 degF" or eave = "68 degC".'),
    ),
    ("8 lb", "m", SAYS.format("a length [m]", "'8 lb'", LENGTH)),
    ("R-13", "m", SAYS.format("a length [m]", "'R-13'", LENGTH)),
    ("R13", "m2 K/W", SAYS.format("an R-value [m2 K/W]", "'R13'", 'Type a value such as "R-8" or "RSI-8".')),
    ("68 degF", "m", SAYS.format("a length [m]", "'68 degF'", LENGTH)),
    ("8 parsnip", "m", SAYS.format("a quantity in a unit that exists [m]", "'8 parsnip'", LENGTH)),
    ("1,400 ft", "m", SAYS.format("a length [m]", "'1,400 ft'", "Write the number with a point and no commas.")),
    ("2 ton", "kg", SAYS.format("a mass [kg]", "'2 ton'", "Say short_ton (2000 lb) or tonne (1000 kg).")),
    ("2 tons", "kg", SAYS.format("a mass [kg]", "'2 tons'", "Say short_ton (2000 lb) or tonne (1000 kg).")),
    ("9 bag", "kg", SAYS.format("a mass [kg]", "'9 bag'", "A bag has no fixed mass: give its lb or kg.")),
    ("68 F", "degC", SAYS.format("a temperature [degC]", "'68 F'", "Write degF for the temperature.")),
    ("9 degF", "K", SAYS.format("a temperature difference [K]", "'9 degF'", 'Type "9 delta_degF".')),
    ("5 degC", "K", SAYS.format("a temperature difference [K]", "'5 degC'", 'Type "5 K".')),
    (
        "-500 degF",
        "degC",
        SAYS.format("above absolute zero [degC]", "'-500 degF'", 'Type a value such as "8 degF" or "8 degC".'),
    ),
    ("60 MBtu/h", "W", SAYS.format("a power [W]", "'60 MBtu/h'", "Say kBtu (1000 Btu) or MMBtu (a million Btu).")),
    (math.nan, "m", SAYS.format("a length [m]", "nan", LENGTH)),
    ("nan m", "m", SAYS.format("a length [m]", "'nan m'", LENGTH)),
    ((math.inf, "m"), "m", SAYS.format("a length [m]", "(inf, 'm')", LENGTH)),
    ("1e999 m", "m", SAYS.format("a finite number [m]", "'1e999 m'", LENGTH)),
    ("1e308 km", "m", SAYS.format("a finite number [m]", "'1e308 km'", LENGTH)),
    (True, "m", SAYS.format("a length [m]", "True", LENGTH)),
    (True, "1", SAYS.format("a plain number or a percentage [1]", "True", 'Type a value such as "0.8" or "80 %".')),
    (None, "m", SAYS.format("a length [m]", "None", LENGTH)),
    ("", "m", SAYS.format("a length [m]", "''", LENGTH)),
    ((8, "ft", 3), "m", SAYS.format("a length [m]", "(8, 'ft', 3)", LENGTH)),
    ("5/0 m", "m", SAYS.format("a length [m]", "'5/0 m'", LENGTH)),
    ("8 ft 14 in", "m", SAYS.format("a quantity in a unit that exists [m]", "'8 ft 14 in'", LENGTH)),
    ("9**9**9 m", "m", SAYS.format("a quantity in a unit that exists [m]", "'9**9**9 m'", LENGTH)),
    ("9 m**9**9", "m", SAYS.format("a quantity in a unit that exists [m]", "'9 m**9**9'", LENGTH)),
    ("__import__('os')", "m", SAYS.format("a length [m]", "\"__import__('os')\"", LENGTH)),
    ("8 __import__('os')", "m", SAYS.format("a quantity in a unit that exists [m]", "\"8 __import__('os')\"", LENGTH)),
]


@pytest.mark.parametrize(("typed", "unit", "message"), REFUSED, ids=lambda v: str(v)[:24])
def test_refusals_word_for_word(typed: object, unit: str, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        parse(typed, unit, name="eave", where="shape.eave")
    assert str(refusal.value) == message


def test_long_text_is_refused_at_once() -> None:
    start = time.perf_counter()
    for text in ["8 " + "m" * 1_000_000, "1" * 1_000_000, "8 " + "(" * 5000, "8 ft " * 100_000, "8 " + "m/" * 39]:
        with pytest.raises(InputError):
            parse(text, "m")
    assert time.perf_counter() - start < 5


def test_a_quantity_is_never_run(tmp_path: Path) -> None:
    mark = tmp_path / "ran"
    for text in [f"8 open('{mark}','w')", f"(lambda: open('{mark}','w'))() m", f"8 m + open('{mark}','w')"]:
        with pytest.raises(InputError):
            parse(text, "m")
    assert not mark.exists()


@given(st.text(max_size=120), st.sampled_from(["m", "degC", "K", "m2 K/W", "W/(m2 K)", "1", "kg", "J/(kg K)"]))
@settings(max_examples=300, deadline=None)
def test_any_text_gives_a_number_or_a_refusal(text: str, unit: str) -> None:
    with suppress(InputError):
        assert math.isfinite(parse(text, unit))


UNITS_IN_TEXT = st.text("mfthkgdJWKBtuegF0123456789.*/^()% -", max_size=40)


@given(st.floats(allow_nan=True), UNITS_IN_TEXT, st.sampled_from(["m", "degC", "W/(m2 K)", "1"]))
@settings(max_examples=300, deadline=None)
def test_near_units_give_a_number_or_a_refusal(number: float, text: str, unit: str) -> None:
    for typed in (f"{number} {text}", f"{text} {number}", (number, text)):
        with suppress(InputError):
            assert math.isfinite(parse(typed, unit))


@given(st.one_of(st.text(max_size=60), st.tuples(st.floats(), st.text(max_size=20)), st.integers(), st.none()))
@settings(max_examples=200, deadline=None)
def test_any_price_gives_a_number_or_a_refusal(typed: object) -> None:
    with suppress(InputError):
        assert parse_price(typed, "short_ton") >= 0


@pytest.mark.parametrize("unit", sorted(units._PLAIN.keys() - {"W/m2K"}))  # a slip everybody writes
def test_the_plain_table_agrees_with_pint(unit: str) -> None:
    base, plain = units._PLAIN[unit]
    registry = units._registry()
    by_pint = registry.Quantity(units._pint_form(unit)) / registry.Quantity(units._pint_form(base))
    assert plain == pytest.approx(by_pint.to("dimensionless").magnitude, rel=1e-12)


@given(st.floats(-1e9, 1e9), st.sampled_from(sorted(units._PLAIN)))
def test_there_and_back(number: float, unit: str) -> None:
    base = units._PLAIN[unit][0]
    assert convert(convert(number, unit, base), base, unit) == pytest.approx(number, rel=1e-12)


def test_convert_keeps_the_shape_of_what_it_is_given() -> None:
    assert convert(20.0, "degC", "degF") == 68.0
    assert convert(20.0, "degC", "K") == 293.15
    assert convert(50.0, "degF", "degC") == pytest.approx(10.0, abs=1e-12)
    assert convert(5.0, "K", "delta_degF") == pytest.approx(9.0)
    np.testing.assert_allclose(convert(np.array([0.0, 100.0]), "degC", "degF"), [32.0, 212.0])
    assert convert(1.0, "short_ton", "tonne") == pytest.approx(0.90718474)
    assert convert(1.0, "acre", "m2") == pytest.approx(4046.87, rel=1e-5)


@pytest.mark.parametrize(
    ("pair", "message"),
    [
        (("W", "m"), "unit must be one that W can be written in, got 'm'. Ask for a unit of the same kind."),
        (("kg", "ton"), "unit must be one that kg can be written in, got 'ton'. Say short_ton (2000 lb) or tonne"),
    ],
)
def test_convert_refuses_another_kind(pair: tuple[str, str], message: str) -> None:
    with pytest.raises(InputError) as refusal:
        convert(1.0, *pair)
    assert str(refusal.value).startswith(message)


PRICES = [
    ("$280/short_ton", "short_ton", 280.0),
    ("$280 per short ton", "short_ton", 280.0),
    ("280 usd/short_ton", "short_ton", 280.0),
    ("280 USD/short_ton", "short_ton", 280.0),
    ((280, "usd/short_ton"), "short_ton", 280.0),
    ("300 $/tonne", "short_ton", 300 * 0.90718474),
    ("$2.79/gal", "gallon", 2.79),
    ("15 cents/kWh", "kWh", 0.15),
    ("$13/MMBtu", "therm", 13 * 105.4804 / 1055.05585262),
    ("$5/bushel", "bushel", 5.0),
    ("$0/cord", "cord", 0.0),
]


@pytest.mark.parametrize(("typed", "per", "expected"), PRICES, ids=lambda v: str(v)[:24])
def test_prices(typed: object, per: str, expected: float) -> None:
    assert parse_price(typed, per) == pytest.approx(expected, rel=1e-12)


def test_price_by_the_bag() -> None:
    assert parse_price("$5.60/bag", "short_ton", bag_mass=40 * 0.45359237) == pytest.approx(280.0, rel=1e-12)


PRICE = "price must be {}, got {} (heater[1]). {}"
BAD_PRICES = [
    (280, "short_ton", PRICE.format("a price with its unit [usd/short_ton]", "280", 'Type price = "$280/short_ton".')),
    ("280", "cord", PRICE.format("a price with its unit [usd/cord]", "'280'", 'Type price = "$280/cord".')),
    ("280 eur/cord", "cord", PRICE.format("a price with its unit [usd/cord]", "'280 eur/cord'", 'Type "$280/cord".')),
    (
        "$280/cord",
        "short_ton",
        PRICE.format(
            "a price by the short_ton [usd/short_ton]", "'$280/cord'", 'Type a price such as "$280/short_ton".'
        ),
    ),
    (
        "$280/ton",
        "short_ton",
        PRICE.format(
            "a price by the short_ton [usd/short_ton]", "'$280/ton'", "Say short_ton (2000 lb) or tonne (1000 kg)."
        ),
    ),
    (
        "$6/bag",
        "short_ton",
        PRICE.format("a price by the short_ton [usd/short_ton]", "'$6/bag'", 'Type a price such as "$280/short_ton".'),
    ),
    (
        "$-5/cord",
        "cord",
        PRICE.format("zero or more [usd/cord]", "'$-5/cord'", 'Type a price such as "$280/cord".'),
    ),
]


@pytest.mark.parametrize(("typed", "per", "message"), BAD_PRICES, ids=lambda v: str(v)[:24])
def test_price_refusals_word_for_word(typed: object, per: str, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        parse_price(typed, per, where="heater[1]")
    assert str(refusal.value) == message


def test_pint_stays_away_until_an_odd_unit_comes() -> None:
    code = (
        "import sys; from heatloss.units import parse, convert;"
        "parse('8 ft', 'm'); parse('R-13', 'm2 K/W'); parse('68 degF', 'degC'); convert(1.0, 'kW', 'Btu/h');"
        "assert 'pint' not in sys.modules; parse('8 furlong', 'm'); assert 'pint' in sys.modules"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).stderr == b""


def test_a_cache_folder_that_cannot_be_written_does_no_harm() -> None:
    code = "from heatloss.units import parse; print(parse('1 furlong', 'm'))"
    env = {"XDG_CACHE_HOME": "/dev/null/none", "HOME": "/dev/null", "PYTHONPATH": ":".join(sys.path)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env, check=False)
    assert done.stderr == ""
    assert float(done.stdout) == pytest.approx(201.168, rel=1e-5)


def test_the_glossary_names_units_that_exist() -> None:
    plain = {"usd", "year", "degC"}
    for name, (unit, meaning) in GLOSSARY.items():
        assert meaning, name
        if unit not in plain:
            assert units._registry().Quantity(units._pint_form(unit)) is not None, name


@pytest.mark.parametrize(
    ("typed", "unit", "hint"),
    [
        ("44,5 ft", "m", "Write the number with a point and no commas."),
        ("100,000 Btu/h", "W", "Write the number with a point and no commas."),
        ("44 ft 6", "m", 'Type "44 ft 6 in".'),
        ("44' 6\"", "m", 'Type "44 ft 6 in".'),
        ("44'", "m", 'Type "44 ft".'),
        ('6"', "m", 'Type "6 in".'),
    ],
)
def test_commas_and_signs_get_the_line_to_type(typed: str, unit: str, hint: str) -> None:
    with pytest.raises(InputError) as refusal:
        parse(typed, unit)
    assert str(refusal.value).endswith(hint)


def test_a_comma_in_a_price() -> None:
    with pytest.raises(InputError, match="with a point and no commas"):
        parse_price("$1,280/short_ton", "short_ton")
