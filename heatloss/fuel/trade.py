"""The units fuel is sold in: their full names, what one is in SI, and the step one buys in."""

from __future__ import annotations

from dataclasses import dataclass

from heatloss.errors import UnknownNameError

POUND_KG = 0.45359237
SHORT_TON_KG = 2000.0 * POUND_KG
FOOT_M = 0.3048
GALLON_M3 = 231.0 * 0.0254**3
CORD_M3 = 128.0 * FOOT_M**3
THERM_KWH = 105.4804 / 3.6


@dataclass(frozen=True)
class TradeUnit:
    """One unit of trade.

    Attributes
    ----------
    one, many : str
        The name as printed, so exact that it cannot be mistaken: ``"short ton"``, ``"gallon (US)"``.
    step : float
        The smallest amount it is sensible to order, in this unit; common practice, no source.
    si, si_factor : str, float
        The SI unit a reader outside the United States buys in, and how many of it make one of these.
    volume : float or None
        What one unit takes up in the shed or tank [m3]; None where the unit is no volume.
    """

    one: str
    many: str
    step: float
    si: str
    si_factor: float
    volume: float | None = None

    def name(self, amount: float) -> str:
        """Return the singular for exactly one, else the plural."""
        return self.one if amount == 1.0 else self.many


TRADE_UNITS = {
    "short_ton": TradeUnit("short ton", "short tons", 0.25, "kg", SHORT_TON_KG),
    "cord": TradeUnit("cord", "cords", 0.25, "m3 stacked", CORD_M3, CORD_M3),
    "gallon": TradeUnit("gallon (US)", "gallons (US)", 10.0, "L", GALLON_M3 * 1000.0, GALLON_M3),
    "bushel": TradeUnit("bushel", "bushels", 1.0, "kg", 56.0 * POUND_KG),
    "therm": TradeUnit("therm", "therms", 10.0, "kWh of gas", THERM_KWH),
    "kWh": TradeUnit("kWh", "kWh", 100.0, "kWh", 1.0),
}


def trade_unit(name: str) -> TradeUnit:
    """Return the unit of trade of that name.

    Parameters
    ----------
    name : str
        One of ``short_ton``, ``cord``, ``gallon``, ``bushel``, ``therm``, ``kWh``.

    Raises
    ------
    UnknownNameError
        For any other word, a bare ``"ton"`` among them.

    Notes
    -----
    A short ton is 2000 lb, a US gallon 231 cubic inches, a cord 128 ft3 stacked, a US therm 105.4804 MJ, a bushel
    of shelled corn 56 lb.

    References
    ----------
    NIST Special Publication 811 (2008), appendix B, for pound, foot, gallon, cord and US therm (from memory);
    the bushel of shelled corn: USDA test weight (from memory).

    Examples
    --------
    >>> trade_unit("cord").volume.__round__(3)
    3.625
    """
    if name not in TRADE_UNITS:
        raise UnknownNameError("unit of trade", name, TRADE_UNITS)
    return TRADE_UNITS[name]
