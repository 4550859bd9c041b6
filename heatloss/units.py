"""Units at the door: what a person types becomes one plain float in an SI unit, and goes back out the same way.

The units of the trade are multiplied by factors of a plain table; any other spelling is worked out by pint, which is
imported only then.  Inside the library there are floats only; ``GLOSSARY`` says which unit belongs to which name.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from numbers import Real
from typing import TYPE_CHECKING, Any, TypeGuard

from heatloss.errors import InputError

if TYPE_CHECKING:
    import pint

FOOT = 0.3048
POUND = 0.45359237
BTU = 1055.05585262
"""International-table British thermal unit [J]."""
GALLON = 231 * 0.0254**3
"""United States gallon [m3]."""
US_THERM = 105.4804e6
"""United States therm [J]."""
SHORT_TON = 2000 * POUND
CORD = 128 * FOOT**3
"""Stacked wood, air between the pieces included [m3]."""
R_US = FOOT**2 * 3600 / BTU / 1.8
"""One ft2 h degF/Btu in m2 K/W."""

# unit -> (base unit, factor); a quantity in any of them needs no pint
_PLAIN: dict[str, tuple[str, float]] = {
    "m": ("m", 1.0), "cm": ("m", 0.01), "mm": ("m", 0.001), "km": ("m", 1000.0), "ft": ("m", FOOT),
    "foot": ("m", FOOT), "feet": ("m", FOOT), "in": ("m", 0.0254), "inch": ("m", 0.0254), "inches": ("m", 0.0254),
    "m2": ("m2", 1.0), "cm2": ("m2", 1e-4), "ft2": ("m2", FOOT**2), "in2": ("m2", 0.0254**2),
    "m3": ("m3", 1.0), "L": ("m3", 0.001), "l": ("m3", 0.001), "liter": ("m3", 0.001), "ft3": ("m3", FOOT**3),
    "gal": ("m3", GALLON), "gallon": ("m3", GALLON), "gallons": ("m3", GALLON), "cord": ("m3", CORD),
    "cords": ("m3", CORD),
    "kg": ("kg", 1.0), "g": ("kg", 0.001), "lb": ("kg", POUND), "lbs": ("kg", POUND), "tonne": ("kg", 1000.0),
    "tonnes": ("kg", 1000.0), "short_ton": ("kg", SHORT_TON), "short_tons": ("kg", SHORT_TON),
    "s": ("s", 1.0), "min": ("s", 60.0), "h": ("s", 3600.0), "hour": ("s", 3600.0), "hours": ("s", 3600.0),
    "d": ("s", 86400.0), "day": ("s", 86400.0),
    "J": ("J", 1.0), "kJ": ("J", 1e3), "MJ": ("J", 1e6), "GJ": ("J", 1e9), "Wh": ("J", 3600.0), "kWh": ("J", 3.6e6),
    "MWh": ("J", 3.6e9), "Btu": ("J", BTU), "kBtu": ("J", 1e3 * BTU), "MMBtu": ("J", 1e6 * BTU),
    "therm": ("J", US_THERM), "therms": ("J", US_THERM),
    "W": ("W", 1.0), "kW": ("W", 1000.0), "Btu/h": ("W", BTU / 3600), "kBtu/h": ("W", BTU / 3.6),
    "MBH": ("W", BTU / 3.6),
    "W/m2": ("W/m2", 1.0), "Btu/(h ft2)": ("W/m2", BTU / 3600 / FOOT**2),
    "W/K": ("W/K", 1.0), "Btu/(h degF)": ("W/K", BTU / 3600 * 1.8),
    "W/(m2 K)": ("W/(m2 K)", 1.0), "W/m2/K": ("W/(m2 K)", 1.0), "W/m2K": ("W/(m2 K)", 1.0),
    "Btu/(h ft2 degF)": ("W/(m2 K)", 1 / R_US), "Btu/(ft2 h degF)": ("W/(m2 K)", 1 / R_US),
    "Btu/h/ft2/degF": ("W/(m2 K)", 1 / R_US),
    "m2 K/W": ("m2 K/W", 1.0), "ft2 h degF/Btu": ("m2 K/W", R_US), "h ft2 degF/Btu": ("m2 K/W", R_US),
    "W/(m K)": ("W/(m K)", 1.0), "Btu in/(h ft2 degF)": ("W/(m K)", 0.0254 / R_US),
    "Btu/(h ft degF)": ("W/(m K)", FOOT / R_US),
    "kg/m3": ("kg/m3", 1.0), "lb/ft3": ("kg/m3", POUND / FOOT**3),
    "J/kg": ("J/kg", 1.0), "MJ/kg": ("J/kg", 1e6), "kWh/kg": ("J/kg", 3.6e6), "Btu/lb": ("J/kg", BTU / POUND),
    "MMBtu/short_ton": ("J/kg", 1e6 * BTU / SHORT_TON),
    "J/K": ("J/K", 1.0), "J/(m2 K)": ("J/(m2 K)", 1.0), "kJ/(m2 K)": ("J/(m2 K)", 1e3),
    "J/(kg K)": ("J/(kg K)", 1.0), "Btu/(lb degF)": ("J/(kg K)", BTU / POUND * 1.8),
    "J/(m3 K)": ("J/(m3 K)", 1.0), "MJ/(m3 K)": ("J/(m3 K)", 1e6),
    "m/s": ("m/s", 1.0), "mph": ("m/s", 0.44704), "ft/s": ("m/s", FOOT), "km/h": ("m/s", 1 / 3.6),
    "Pa": ("Pa", 1.0), "kPa": ("Pa", 1e3), "hPa": ("Pa", 100.0), "mbar": ("Pa", 100.0),
    "1/h": ("1/h", 1.0), "1/s": ("1/h", 3600.0), "ach": ("1/h", 1.0),
    "deg": ("deg", 1.0), "rad": ("deg", 180 / math.pi),
    "K": ("K", 1.0), "delta_degC": ("K", 1.0), "delta_degF": ("K", 1 / 1.8),
    "1": ("1", 1.0), "%": ("1", 0.01),
}  # fmt: skip

_TEMPERATURE = {"degC": (1.0, 0.0), "degF": (1 / 1.8, -32 / 1.8), "K": (1.0, -273.15)}
"""degC = scale x + offset."""

# what a target unit is called, and two lines to type for it; {0} stands for the number
_ASKED: dict[str, tuple[str, str, str]] = {
    "m": ("a length", "{0} ft", "{0} m"), "m2": ("an area", "{0} ft2", "{0} m2"),
    "m3": ("a volume", "{0} gal", "{0} m3"), "kg": ("a mass", "{0} lb", "{0} kg"), "s": ("a time", "{0} s", "{0} min"),
    "degC": ("a temperature", "{0} degF", "{0} degC"), "K": ("a temperature difference", "{0} delta_degF", "{0} K"),
    "W": ("a power", "{0} Btu/h", "{0} W"), "J": ("an energy", "{0} kWh", "{0} Btu"),
    "m2 K/W": ("an R-value", "R-{0}", "RSI-{0}"),
    "W/(m2 K)": ("a U-value", "{0} Btu/(h ft^2 degF)", "{0} W/(m2 K)"),
    "W/(m K)": ("a conductivity", "{0} W/(m K)", "{0} Btu in/(h ft^2 degF)"),
    "deg": ("an angle", "{0} deg", "{0} rad"), "m/s": ("a speed", "{0} m/s", "{0} mph"),
    "1/h": ("a rate of air exchange", "{0} 1/h", "{0} ach"), "kg/m3": ("a density", "{0} kg/m3", "{0} lb/ft3"),
    "1": ("a plain number or a percentage", "{0}", "{0} %"), "Pa": ("a pressure", "{0} Pa", "{0} kPa"),
}  # fmt: skip

_LONGEST = 80
_NUMBER = r"[+-]?(?:[0-9]{1,20}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,3})?"
_QUANTITY = re.compile(rf"({_NUMBER})(?:(?:\s+([0-9]{{1,6}}))?/([0-9]{{1,6}}))?(?![0-9.])\s*(.*)", re.DOTALL)
_FEET_AND_INCHES = re.compile(r"(-?[0-9]{1,6}) (?:ft|feet|foot) ([^ft]{1,20}?) ?(?:in|inch|inches)")
_RESISTANCE = re.compile(rf"(R|RSI)-({_NUMBER})")
_NAME = re.compile(r"[A-Za-z_]+")
_UNIT = re.compile(r"(?:[A-Za-z_]+(?:\^-?[0-9](?:\.[0-9])?|[0-9])?|\b1(?=/|$)|[*/() %])+")
_SPELLINGS = (("²", "2"), ("³", "3"), ("·", " "), ("⋅", " "), ("°", "deg"), ("**", "^"), ("short ton", "short_ton"),
              ("sq ft", "ft2"), ("cu ft", "ft3"), (" per ", "/"))  # fmt: skip

# names that pint lacks or reads otherwise than the trade does, in pint's words
_FOR_PINT = {
    "Btu": "Btu_it", "BTU": "Btu_it", "btu": "Btu_it", "kBtu": "(1000*Btu_it)", "MMBtu": "(1000000*Btu_it)",
    "MBH": "(1000*Btu_it/hour)", "therm": "US_therm", "therms": "US_therm", "cord": "(128*foot**3)",
    "cords": "(128*foot**3)", "cfm": "(foot**3/minute)", "sqft": "(foot**2)", "lbs": "pound", "ach": "(1/hour)",
    "degF": "delta_degF", "degC": "delta_degC", "d": "day", "short_ton": "(2000*pound)",
    "short_tons": "(2000*pound)", "deg": "degree",
}  # fmt: skip
_REFUSED = {
    "ton": "Say short_ton (2000 lb) or tonne (1000 kg).", "tons": "Say short_ton (2000 lb) or tonne (1000 kg).",
    "F": "Write degF for the temperature.", "C": "Write degC for the temperature.",
    "MBtu": "Say kBtu (1000 Btu) or MMBtu (a million Btu).", "bag": "A bag has no fixed mass: give its lb or kg.",
    "bags": "A bag has no fixed mass: give its lb or kg.",
}  # fmt: skip


class _UnitError(Exception):
    """A unit that cannot be read, or is of another kind; carries the condition and the hint, either may be empty."""

    def __init__(self, condition: str = "", hint: str = "") -> None:
        self.condition, self.hint = condition, hint
        super().__init__(condition)


def parse(value: object, unit: str, *, name: str = "value", where: str = "") -> float:
    """Read one quantity as a float in the unit asked for.

    Parameters
    ----------
    value : str or pair
        ``"8 ft"``, ``"R-13"``, ``"8 ft 6 in"``, ``"1/2 in"``, or a number and its unit, ``(2.4, "m")``.
    unit : str
        The unit of the result.  ``"degC"`` asks for a temperature, ``"K"`` for a temperature difference, ``"1"`` for
        a share or a factor, which alone may be a bare number.
    name, where : str
        What the quantity is called and the key or file it stands in, for the message.

    Returns
    -------
    float
        The quantity in ``unit``, finite.

    Raises
    ------
    InputError
        For a bare number, an unknown unit, a unit of another kind, or a value that is not finite.

    Notes
    -----
    Inside a product ``degF`` and ``degC`` are differences; alone they are temperatures.  The US therm is 105.4804 MJ,
    the cord 128 ft3 stacked, the gallon 231 cubic inches, the Btu the one of the international table.  Only letters,
    one-digit powers, products and quotients are read, and nothing is ever evaluated as code.

    Examples
    --------
    >>> parse("8 ft", "m")
    2.4384
    >>> round(parse("R-13", "m2 K/W"), 6)
    2.289432
    >>> round(parse("68 degF", "degC"), 9)
    20.0
    """
    number, text = _split(value, unit, name, where)
    try:
        result = _in_unit(number, text, unit)
    except _UnitError as bad:
        raise _refusal(value, unit, name, where, bad.condition, bad.hint) from None
    if not math.isfinite(result):
        raise _refusal(value, unit, name, where, "a finite number")
    if unit == "degC" and result < -273.15:
        raise _refusal(value, unit, name, where, "above absolute zero")
    return result


def parse_price(
    value: object, per: str, *, bag_mass: float | None = None, name: str = "price", where: str = ""
) -> float:
    """Read a price as dollars per one trade unit.

    Parameters
    ----------
    value : str or pair
        ``"$280/short_ton"``, ``"280 usd/short_ton"``, ``"15 cents/kWh"``, ``(280, "usd/short_ton")``.
    per : str
        The trade unit of the fuel: ``short_ton``, ``cord``, ``gallon``, ``therm``, ``kWh``, ``bushel``, ``bag``.
    bag_mass : float [kg], optional
        Mass of one bag; with it a price by the bag serves a fuel sold by mass.
    name, where : str
        For the message.

    Returns
    -------
    float
        The price [usd per ``per``], not negative.

    Raises
    ------
    InputError
        For a bare number, another currency, a unit of another kind, or a negative price.

    Examples
    --------
    >>> parse_price("$280/short_ton", "short_ton")
    280.0
    >>> round(parse_price("$0.12/kWh", "therm"), 6)
    3.516013
    """
    text = _text_of(value)
    found = re.fullmatch(rf"\$ ?({_NUMBER}) ?/ ?(.+)", text)
    money, unit, number = "usd", "", math.nan
    if found:
        number, unit = float(found[1]), found[2]
    elif found := re.fullmatch(rf"({_NUMBER}) ?(usd|USD|\$|dollars?|cents?|¢) ?/ ?(.+)", text):
        number, money, unit = float(found[1]), found[2], found[3]
    got, sample = _shown(value), f'"$280/{per}"'
    if re.fullmatch(_NUMBER, text):
        sample = f'{name} = "${_plain(float(text))}/{per}"'
    place = f" ({where})" if where else ""
    if not found:
        hint = _spelling(text) or f"Type {sample}."
        raise InputError(f"{name} must be a price with its unit [usd/{per}], got {got}{place}. {hint}")
    try:
        amount = 1.0 if unit == per else _amount(unit, per, bag_mass)
    except _UnitError as bad:
        hint = bad.hint or f"Type a price such as {sample}."
        raise InputError(f"{name} must be a price by the {per} [usd/{per}], got {got}{place}. {hint}") from None
    result = number * (0.01 if money[0] in "c¢" else 1.0) / amount
    if not 0 <= result < math.inf:
        hint = f"Type a price such as {sample}."
        raise InputError(f"{name} must be zero or more [usd/{per}], got {got}{place}. {hint}")
    return result


def convert(value: Any, from_unit: str, to_unit: str) -> Any:
    """The same quantity in another unit, for printing.

    Parameters
    ----------
    value : numeric
        Float, array or Series in ``from_unit``.
    from_unit, to_unit : str
        Units as ``parse`` knows them; ``degC``, ``degF`` and, against one of these, ``K`` are temperatures.

    Returns
    -------
    numeric
        Like ``value``, in ``to_unit``.

    Raises
    ------
    InputError
        When either unit is unknown or the two are of different kinds.

    Examples
    --------
    >>> convert(20.0, "degC", "degF")
    68.0
    >>> round(convert(1.0, "kW", "Btu/h"), 4)
    3412.1416
    """
    if {"degC", "degF"} & {from_unit, to_unit} and {from_unit, to_unit} <= _TEMPERATURE.keys():
        scale, offset = _TEMPERATURE[from_unit]
        scale_to, offset_to = _TEMPERATURE[to_unit]
        return (value * scale + offset - offset_to) / scale_to
    try:
        return value * factor(from_unit, to_unit)
    except _UnitError as bad:
        hint = bad.hint or "Ask for a unit of the same kind."
        raise InputError(f"unit must be one that {from_unit} can be written in, got {to_unit!r}. {hint}") from None


@lru_cache(maxsize=1024)
def factor(from_unit: str, to_unit: str) -> float:
    """How many ``to_unit`` one ``from_unit`` is; not for temperatures with an offset.

    >>> factor("ft", "m")
    0.3048
    """
    source, target = _PLAIN.get(from_unit), _PLAIN.get(to_unit)
    if source and target and source[0] == target[0]:
        return source[1] / target[1]
    if from_unit == to_unit:
        return 1.0
    registry = _registry()
    try:
        ratio = registry.Quantity(_pint_form(from_unit)) / registry.Quantity(_pint_form(to_unit))
        return float(ratio.to("dimensionless").magnitude)
    except _UnitError:
        raise
    except Exception:  # pint fails on odd text with many kinds of error; each means the same to a person
        raise _UnitError() from None


def _split(value: object, unit: str, name: str, where: str) -> tuple[float, str]:
    """The number and the unit's text of whatever a person gave."""
    text = _text_of(value)
    if len(text) > _LONGEST:
        raise _refusal(value, unit, name, where, f"at most {_LONGEST} characters long")
    if resistance := _RESISTANCE.fullmatch(text):
        return float(resistance[2]), "ft2 h degF/Btu" if resistance[1] == "R" else "m2 K/W"
    if feet := _FEET_AND_INCHES.fullmatch(text):
        inches = _number(_QUANTITY.fullmatch(feet[2]))
        if inches is not None and 0 <= inches[0] < 12 and inches[1] == "":
            sign = -1.0 if feet[1].startswith("-") else 1.0
            return float(feet[1]) * 12 + sign * inches[0], "in"
    if hint := _spelling(text):
        raise _refusal(value, unit, name, where, hint=hint)
    found = _number(_QUANTITY.fullmatch(text))
    if found is None:
        raise _refusal(value, unit, name, where)
    number, rest = found
    if not math.isfinite(number):
        raise _refusal(value, unit, name, where, "a finite number")
    if rest == "" and unit != "1":
        words = _ASKED.get(unit, ("a quantity", f"{{0}} {unit}", ""))[0]
        line = " or ".join(f'{name} = "{form.format(_plain(number))}"' for form in _forms(unit))
        raise _refusal(value, unit, name, where, f"{words} with its unit", f"Type {line}.")
    return number, f"1{rest}" if rest.startswith("/") else rest or "1"


def _spelling(text: str) -> str:
    """The line to type for a comma in a number, and for feet and inches half written or in signs; else empty."""
    if re.search(r"[0-9],[0-9]", text):
        return "Write the number with a point and no commas."
    feet = re.fullmatch(
        r"([0-9]{1,6})(?: ?(?:ft|feet|foot) | ?' ?)((?:[0-9]|1[01])(?:\.[0-9]{1,6})?) ?(?:in|\"|'')?", text
    )
    if feet:
        return f'Type "{feet[1]} ft {feet[2]} in".'
    if sign := re.fullmatch(rf"({_NUMBER}) ?('|\"|'')", text):
        return f'Type "{sign[1]} {"ft" if sign[2] == chr(39) else "in"}".'
    return ""


def _text_of(value: object) -> str:
    """One tidy line of text for a string, a pair or a bare number; empty for anything else."""
    if isinstance(value, (tuple, list)) and len(value) == 2 and isinstance(value[1], str):
        return f"{_text_of(value[0])} {_tidy(value[1])}" if _is_number(value[0]) else ""
    if _is_number(value):
        try:
            return repr(float(value))
        except OverflowError:
            return ""
    return _tidy(value) if isinstance(value, str) else ""


def _is_number(value: object) -> TypeGuard[float]:
    return isinstance(value, Real) and not isinstance(value, bool)


def _tidy(text: str) -> str:
    if len(text) > 4 * _LONGEST:
        return text
    text = " ".join(text.split())
    for old, new in _SPELLINGS:
        text = text.replace(old, new)
    return re.sub(r"(?<=[A-Za-z])\^(?=[2-9](?![0-9.]))", "", re.sub(r" ?([*/()]) ?", r"\1", text)).replace("*", " ")


def _number(found: re.Match[str] | None) -> tuple[float, str] | None:
    """Value and rest of a matched quantity; None where there is no number or a share by nothing."""
    if found is None:
        return None
    whole, numerator, denominator, rest = found.groups()
    if denominator is None:
        return float(whole), rest
    if int(denominator) == 0 or not whole.lstrip("+-").isdigit():
        return None
    if numerator is None:
        return float(whole) / int(denominator), rest
    share = int(numerator) / int(denominator)
    return float(whole) + (-share if whole.startswith("-") else share), rest


def _in_unit(number: float, text: str, unit: str) -> float:
    if unit == "degC":
        if text not in _TEMPERATURE:
            raise _UnitError("", _REFUSED.get(text, ""))
        scale, offset = _TEMPERATURE[text]
        return number * scale + offset
    if unit == "K" and text in {"degF", "degC"}:
        raise _UnitError("", f'Type "{_plain(number)} {"delta_degF" if text == "degF" else "K"}".')
    if text in {"degF", "degC"}:
        raise _UnitError()
    return number * factor(text, unit)


def _pint_form(text: str) -> str:
    """Unit text in pint's words, after checking that it is nothing but names, small powers, products and quotients."""
    if len(text) > _LONGEST or not _UNIT.fullmatch(text) or text.count("(") > 3:
        raise _UnitError("a quantity in a unit that exists")
    for found in _NAME.findall(text):
        if found in _REFUSED:
            raise _UnitError("", _REFUSED[found])
    spelled = re.sub(r"(?<=[A-Za-z_])([0-9])", r"**\1", text).replace("^", "**").replace("%", "percent")
    spelled = re.sub(r"(?<=[\w)]) (?=[A-Za-z_(])|(?<=\)) ?(?=\()", "*", spelled)
    spelled = _NAME.sub(lambda match: _FOR_PINT.get(match[0], match[0]), spelled)
    registry = _registry()
    for found in set(_NAME.findall(spelled)):
        if found not in registry:
            raise _UnitError("a quantity in a unit that exists")
    return spelled


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    import pint

    try:
        return pint.UnitRegistry(cache_folder=":auto:")
    except Exception:  # a cache folder that cannot be written, or a half-written file in it: do without
        return pint.UnitRegistry()


def _amount(unit: str, per: str, bag_mass: float | None) -> float:
    """How many ``per`` the unit of a price holds."""
    if unit == "bag" and bag_mass is not None:
        return bag_mass * factor("kg", per)
    if {"bag", "bushel"} & {unit, per}:
        raise _UnitError()
    return factor(unit, per)


def _forms(unit: str) -> tuple[str, ...]:
    if unit in _ASKED:
        return _ASKED[unit][1:]
    return (f"{{0}} {unit}",)


def _sample(unit: str) -> tuple[str, ...]:
    """Two values of a likely size to show beside a refusal."""
    return ("0.8", "80 %") if unit == "1" else tuple(form.format(8) for form in _forms(unit))


def _plain(number: float) -> str:
    return f"{number:g}"


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _refusal(value: object, unit: str, name: str, where: str, condition: str = "", hint: str = "") -> InputError:
    """The one sentence and the one hint for a quantity that cannot be used."""
    condition = condition or _ASKED.get(unit, ("a quantity",))[0]
    hint = hint or "Type a value such as " + " or ".join(f'"{line}"' for line in _sample(unit)) + "."
    place = f" ({where})" if where else ""
    return InputError(f"{name} must be {condition} [{unit}], got {_shown(value)}{place}. {hint}")


GLOSSARY: dict[str, tuple[str, str]] = {
    # weather and site
    "temp_air": ("degC", "outdoor dry-bulb temperature"),
    "temp_dew": ("degC", "outdoor dew point"),
    "relative_humidity": ("%", "outdoor relative humidity"),
    "wind_speed": ("m/s", "wind speed, at the station's height unless said otherwise"),
    "pressure": ("Pa", "air pressure at the site"),
    "ghi": ("W/m2", "global irradiance on the horizontal"),
    "dni": ("W/m2", "beam irradiance on a plane facing the sun"),
    "dhi": ("W/m2", "sky-diffuse irradiance on the horizontal"),
    "dni_extra": ("W/m2", "beam irradiance outside the atmosphere"),
    "poa": ("W/m2", "irradiance on a tilted plane"),
    "longwave_down": ("W/m2", "long-wave radiation of the sky on the horizontal"),
    "opaque_cloud": ("1", "share of the sky under opaque cloud"),
    "albedo": ("1", "share of the sun that the ground sends back"),
    "light": ("mol/(m2 d)", "photosynthetic light of a day on a level square metre, daily light integral"),
    "snow_depth": ("m", "snow on the ground"),
    "precipitation": ("mm", "water of rain or snow in the hour"),
    "airmass": ("1", "relative air mass the beam passes"),
    "mid_offset": ("min", "from the stamp to the middle of the sun's interval"),
    "latitude": ("deg", "north positive"),
    "longitude": ("deg", "east positive"),
    "altitude": ("m", "above sea level"),
    "utc_offset": ("h", "local standard time less universal time"),
    "zenith": ("deg", "angle of the sun from overhead"),
    "azimuth": ("deg", "direction, clockwise from north"),
    "tilt": ("deg", "angle of a surface from the horizontal"),
    "surface_azimuth": ("deg", "direction a surface faces, clockwise from north"),
    "cos_incidence": ("1", "cosine of the angle between the beam and a surface's normal"),
    "cos_tilt": ("1", "cosine of a surface's tilt as the air inside sees it"),
    "temp_sky": ("degC", "temperature of a black sky that sends the same long wave"),
    # shape and parts
    "length": ("m", "along the ridge"),
    "width": ("m", "across the ridge"),
    "eave": ("m", "height of the eave"),
    "ridge": ("m", "height of the ridge"),
    "radius": ("m", "of a hoop or dome"),
    "riser": ("m", "height of the straight wall under a hoop or dome"),
    "area": ("m2", "of a surface"),
    "floor_area": ("m2", "inside the foundation"),
    "perimeter": ("m", "exposed edge of the floor"),
    "volume": ("m3", "of air or of water"),
    "thickness": ("m", "of a layer"),
    "depth": ("m", "below ground"),
    "wall_thickness": ("m", "of the foundation wall"),
    # heat
    "u": ("W/(m2 K)", "heat through a part by area and kelvin, surface films included"),
    "u_value": ("W/(m2 K)", "heat through a part by area and kelvin, surface films included"),
    "ua": ("W/K", "heat through a part by kelvin"),
    "r": ("m2 K/W", "thermal resistance, surface films left out"),
    "r_us": ("ft2 h degF/Btu", "thermal resistance as the trade writes it"),
    "r_si": ("m2 K/W", "inside film of a rating"),
    "r_se": ("m2 K/W", "outside film of a rating"),
    "resistance": ("m2 K/W", "of a layer of given thickness, films left out"),
    "conductivity": ("W/(m K)", "of a material"),
    "density": ("kg/m3", "of a material"),
    "specific_heat": ("J/(kg K)", "of a material"),
    "volumetric_heat": ("J/(m3 K)", "heat that a cubic metre stores by kelvin"),
    "capacity": ("J/K", "heat that a node stores by kelvin"),
    "conductance": ("W/K", "heat flow by kelvin"),
    "temperature": ("degC", "of a node or boundary"),
    "power": ("W", "heat flow into a node"),
    "emissivity": ("1", "long-wave emissivity of a face"),
    "absorptance": ("1", "share of the sun that a face takes up"),
    "solar_absorptance": ("1", "share of the sun that a face takes up"),
    "transmittance": ("1", "share of radiation let through"),
    "refractive_index": ("1", "of a glazing sheet"),
    "kl": ("1", "extinction of one sheet: coefficient times thickness"),
    "bridging": ("1", "factor on the cover's conductance for bars and frames"),
    "frame": ("1", "share of the sun lost to bars"),
    "soiling": ("1", "factor on the sun for dirt"),
    "radiant_share": ("1", "share of a heater's or gain's heat given off as radiation"),
    "ach": ("1/h", "air changes"),
    "n50": ("1/h", "air changes at 50 Pa"),
    "leakage_area": ("m2", "effective leakage area at 4 Pa"),
    "edge_leak": ("1", "share of a curtain's air tightness lost at its edges"),
    "humidity_ratio": ("1", "water by mass of dry air"),
    # fuel and money
    "hhv": ("J/kg", "higher heating value, as fired"),
    "lhv": ("J/kg", "lower heating value, as fired"),
    "efficiency": ("1", "heat delivered over energy in the fuel, on the stated basis"),
    "cop": ("1", "heat of a heat pump over its electricity"),
    "heat_kwh": ("kWh", "heat given by the heaters"),
    "energy_kwh": ("kWh", "energy in the fuel, on the efficiency's basis"),
    "peak_w": ("W", "largest hourly mean of the heaters"),
    "mass_kg": ("kg", "of fuel"),
    "fuel_kg": ("kg", "of fuel"),
    "storage_m3": ("m3", "room that the fuel takes"),
    "co2_fossil_kg": ("kg", "carbon dioxide from fossil carbon"),
    "co2_biogenic_kg": ("kg", "carbon dioxide from grown carbon"),
    "cost": ("usd", "of fuel"),
    "npv": ("usd", "net present value"),
    "irr": ("1", "internal rate of return a year"),
    "payback_years": ("year", "cost over the first year's saving"),
    "nmbe": ("1", "normalised mean bias error, measured less modelled"),
    "cv_rmse": ("1", "coefficient of variation of the root mean square error"),
}  # fmt: skip
"""Name used in the library -> its unit and what it means."""
