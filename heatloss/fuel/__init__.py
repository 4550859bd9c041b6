"""Heat to fuel in the units it is sold in, with money, room and carbon dioxide."""

from __future__ import annotations

from heatloss.fuel.amount import Fuel, Purchase, burned_fuel, demand, heating_value, purchase, typed_amount
from heatloss.fuel.burn import Burn, burn
from heatloss.fuel.trade import TRADE_UNITS, TradeUnit, trade_unit

__all__ = [
    "TRADE_UNITS",
    "Burn",
    "Fuel",
    "Purchase",
    "TradeUnit",
    "burn",
    "burned_fuel",
    "demand",
    "heating_value",
    "purchase",
    "trade_unit",
    "typed_amount",
]
