"""Hourly heat to fuel: trade units, bags, storage, money, carbon dioxide, and how much to buy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss.catalogue import default
from heatloss.errors import InputError
from heatloss.fuel.trade import trade_unit
from heatloss.units import parse

if TYPE_CHECKING:
    from heatloss.catalogue import Row
    from heatloss.fuel.burn import Burn
    from heatloss.house.heating import Appliance

JOULES_PER_KWH = 3.6e6
HEATING_ORDER_NORTH = (7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6)
P90 = 1.2815515655446004
P95 = 1.6448536269514722


@dataclass(frozen=True, eq=False)
class Fuel:
    """Fuel of one heater over a season.

    Attributes
    ----------
    name, heater : str
        The fuel's catalogue name and the heater's own name.
    amount, unit : float, str
        Fuel in its unit of trade: ``short_ton``, ``cord``, ``gallon``, ``bushel``, ``therm`` or ``kWh``.
    mass_kg : float
        Fuel as delivered [kg]; 0 for electricity.
    energy_kwh : float
        Energy in the fuel on the efficiency's basis [kWh].
    heat_kwh : float
        Heat given to the house [kWh].
    efficiency, basis : float, str
        Heat over energy for the whole season, on ``"hhv"`` (gross) or ``"lhv"`` (net).
    price, price_is_example, cost : float, bool, float
        Money per unit of trade, whether it is the catalogue's example, and for the season [usd].
    monthly : frame
        Index month in heating order; columns heat_kwh, energy_kwh, amount, mass_kg, cost, days.
    bags, bag_kg : float or None
        Bags, and what one holds [kg]; None where the fuel is not sold in bags.
    bags_per_week : float or None
        Bags a week in ``peak_month``, the month that burns most in a day.
    peak_month : int
        That month, 1 to 12.
    storage_m3 : float or None
        Room the whole season's fuel takes up [m3], of a gas tank the part that stays empty too; None for what comes
        through a pipe or a wire.
    co2_fossil_kg, co2_biogenic_kg : float
        Carbon dioxide [kg], from fossil carbon and from this century's plants, never added together.
    electric_kwh : float
        What fan, auger, pump and igniter draw; electricity that is the fuel is not in it.
    ash_kg : float
        Ash to carry out [kg].
    hourly : frame
        On the season's hours: ``heat``, ``energy`` in the fuel, ``flue``, ``standby``, ``starting``, ``over_fire``,
        ``outdoors`` (what a heat pump draws from there), ``electric`` [W]; ``lit`` [1]; ``starts`` [1/h]; ``amount`` in
        the unit of trade.
    row : Row
        Of the fuel, at its moisture.
    appliance : Appliance or None
        The heater; None where only an efficiency was given.
    """

    name: str
    heater: str
    amount: float
    unit: str
    mass_kg: float
    energy_kwh: float
    heat_kwh: float
    efficiency: float
    basis: str
    price: float
    price_is_example: bool
    cost: float
    monthly: pd.DataFrame
    bags: float | None
    bag_kg: float | None
    bags_per_week: float | None
    peak_month: int
    storage_m3: float | None
    co2_fossil_kg: float
    co2_biogenic_kg: float
    electric_kwh: float
    ash_kg: float
    hourly: pd.DataFrame
    row: Row
    appliance: Appliance | None

    def most(self, days: int) -> tuple[float, pd.Timestamp]:
        """Most fuel of so many days in a row [unit of trade], and the day they begin on.

        Raises
        ------
        InputError
            For fewer days than one, or more than there are.
        """
        daily = self.hourly["amount"].groupby(pd.DatetimeIndex(self.hourly.index).normalize()).sum()
        if not 1 <= days <= len(daily):
            raise InputError(f"days must be a whole number from 1 to {len(daily)} [d], got {days!r}.")
        sums = daily.rolling(days).sum()
        last = int(np.nanargmax(sums.to_numpy()))
        return float(sums.iloc[last]), daily.index[last - days + 1]


@dataclass(frozen=True)
class Purchase:
    """How much to buy so that it lasts.

    Attributes
    ----------
    low, high : float
        P10 and P90 of the season's fuel, in its unit of trade.
    amount : float
        Enough in 95 winters of 100, rounded up to whole bags or to the unit's step.
    bags : int or None
        The same in bags.
    sigma : float
        Standard deviation that was taken, as a share of the season's fuel.
    """

    low: float
    high: float
    amount: float
    bags: int | None
    sigma: float


def heating_value(fuel: Row, basis: str) -> float:
    """Return a fuel's energy per mass as delivered [J/kg].

    Parameters
    ----------
    fuel : Row
        A row of the fuels catalogue.
    basis : str
        ``"hhv"``, water in the flue gas counted as condensed, or ``"lhv"``, counted as vapour.

    Raises
    ------
    InputError
        For another basis.

    Examples
    --------
    >>> from heatloss.catalogue import row
    >>> heating_value(row("fuels", "electricity"), "hhv")
    3600000.0
    """
    if basis not in ("hhv", "lhv"):
        raise InputError(
            f"basis must be 'hhv' or 'lhv', got {basis!r} (heater efficiency). "
            "The maker's sheet says gross (hhv) or net (lhv)."
        )
    return fuel[basis]


def unit_energy(fuel: Row, basis: str) -> float:
    """Energy in one unit of trade on a basis [kWh]."""
    return fuel["mass_per_unit"] * heating_value(fuel, basis) / JOULES_PER_KWH


def price_of(fuel: Row, price: float | None, heater: str) -> float:
    """Price of one unit of trade [usd], the row's example where none is typed.

    Raises
    ------
    InputError
        Where the row has no example either.
    """
    known = fuel.get("price", None) if price is None else price
    if known is None:
        unit = fuel.text("unit")
        raise InputError(
            f"price must be given for {fuel.name}, whose catalogue row has no example, got none (heater {heater!r}). "
            f'Type price = "280 usd/{unit}" with your own figure.'
        )
    return float(known)


def demand(
    heat: pd.Series,
    *,
    fuel: Row,
    efficiency: float | np.ndarray | pd.Series,
    basis: str,
    price: float | None = None,
    heater: str = "heater",
    months: Sequence[int] = HEATING_ORDER_NORTH,
) -> Fuel:
    """Fuel that gives the heat of a season.

    Parameters
    ----------
    heat : hourly [W]
        Mean heat given to the house in each hour.
    fuel : Row
        A row of the fuels catalogue.
    efficiency : numeric [1]
        Heat over energy in the fuel: one number, or one per hour (a heat pump's coefficient of performance).
    basis : str
        ``"hhv"`` or ``"lhv"``: which heating value the efficiency was measured against.
    price : float [usd], optional
        Per unit of trade; without it the row's example price is taken and marked.
    heater : str
        The heater's name.
    months : sequence of int
        The order of the months in the monthly frame.

    Returns
    -------
    Fuel

    Raises
    ------
    InputError
        For heat that is negative or not a number, an efficiency that is not above 0, an unknown basis, or no price.

    Notes
    -----
    Energy in the fuel = heat / efficiency, and amount = energy / (mass of one unit x heating value), with the
    heating value of the same basis as the efficiency. A published "net" value of a fuel that has a boiler's
    efficiency in it already is no heating value and must not be divided by an efficiency again. Left out: what a fire
    burns at idle, and the power its fans and auger draw; :func:`burned_fuel` has both.

    Examples
    --------
    A heater of 100 % holding 1 kW for a day takes 24 kWh from the wire:

    >>> import pandas as pd
    >>> from heatloss.catalogue import row
    >>> day = pd.Series(1000.0, index=pd.date_range("2001-01-01", periods=24, freq="h"))
    >>> demand(day, fuel=row("fuels", "electricity"), efficiency=1.0, basis="hhv").amount
    24.0
    """
    if not np.all(heat.to_numpy() >= 0.0):
        raise InputError("heat must be 0 or more [W] in every hour, got a negative or missing value (fuel demand).")
    if not np.all(np.asarray(efficiency) > 0.0):
        raise InputError(
            f"efficiency must be above 0 [1], got {np.min(np.asarray(efficiency)):g} (heater {heater!r}). "
            'Type it as a share such as "0.80" or as "80 %".'
        )
    hourly = pd.DataFrame({"heat": heat, "energy": heat / efficiency})
    mean = float(np.mean(np.asarray(efficiency)))
    return _fuel(hourly, fuel, basis, price=price, heater=heater, months=months, idle=mean, appliance=None)


def burned_fuel(
    unit: Appliance,
    burned: Burn,
    index: pd.DatetimeIndex,
    *,
    price: float | None = None,
    months: Sequence[int] = HEATING_ORDER_NORTH,
) -> Fuel:
    """Fuel of one heater, with its starts, its idling and its electricity.

    Parameters
    ----------
    unit : Appliance
    burned : Burn
        From :func:`heatloss.fuel.burn.burn`, one house.
    index : DatetimeIndex
        Starts of its hours.
    price : float [usd], optional
        Per unit of trade; without it the row's example price is taken and marked.
    months : sequence of int
        The order of the months in the monthly frame.

    Returns
    -------
    Fuel

    Raises
    ------
    InputError
        For no price.
    """
    columns = ("heat", "energy", "flue", "standby", "starting", "over_fire", "outdoors", "electric", "lit", "starts")
    hourly = pd.DataFrame({name: getattr(burned, name) for name in columns}, index=index)
    idle = unit.efficiency if unit.efficiency is not None else float(np.mean([cop for _, cop, _ in unit.table]))
    return _fuel(hourly, unit.fuel, unit.basis, price=price, heater=unit.name, months=months, idle=idle, appliance=unit)


def _fuel(
    hourly: pd.DataFrame,
    fuel: Row,
    basis: str,
    *,
    price: float | None,
    heater: str,
    months: Sequence[int],
    idle: float,
    appliance: Appliance | None,
) -> Fuel:
    """Sums of the hours; ``idle`` is the efficiency said where nothing was burned."""
    unit_price = price_of(fuel, price, heater)
    hourly = hourly.assign(amount=hourly["energy"] / 1000.0 / unit_energy(fuel, basis))
    monthly = _monthly(hourly["heat"], hourly["energy"], months)
    monthly["amount"] = monthly["energy_kwh"] / unit_energy(fuel, basis)
    monthly["mass_kg"] = monthly["amount"] * _unit_mass(fuel)
    monthly["cost"] = monthly["amount"] * unit_price
    total = monthly.sum()
    amount, mass = float(total["amount"]), float(total["mass_kg"])
    daily = monthly["mass_kg"] / monthly["days"] if mass else monthly["energy_kwh"] / monthly["days"]
    bag = fuel.get("bag_mass", None)
    return Fuel(
        name=fuel.name,
        heater=heater,
        amount=amount,
        unit=fuel.text("unit"),
        mass_kg=mass,
        energy_kwh=float(total["energy_kwh"]),
        heat_kwh=float(total["heat_kwh"]),
        efficiency=_seasonal_efficiency(total, idle),
        basis=basis,
        price=unit_price,
        price_is_example=price is None,
        cost=float(total["cost"]),
        monthly=monthly,
        bags=None if bag is None else mass / bag,
        bag_kg=bag,
        bags_per_week=None if bag is None else 7.0 * float(daily.max()) / bag,
        peak_month=int(daily.index[int(daily.to_numpy().argmax())]),
        storage_m3=_storage(fuel, amount, mass),
        co2_fossil_kg=amount * fuel["co2_fossil"],
        co2_biogenic_kg=amount * fuel["co2_biogenic"],
        electric_kwh=float(hourly["electric"].sum()) / 1000.0 if "electric" in hourly else 0.0,
        ash_kg=mass * (fuel.get("ash") or 0.0),
        hourly=hourly,
        row=fuel,
        appliance=appliance,
    )


def _monthly(heat: pd.Series, energy: pd.Series, months: Sequence[int]) -> pd.DataFrame:
    """Sum heat and energy [kWh] by month, the months that are in the data only, in the order given."""
    hourly = pd.DataFrame({"heat_kwh": heat / 1000.0, "energy_kwh": energy / 1000.0, "days": 1.0 / 24.0})
    by_month = hourly.groupby(pd.DatetimeIndex(heat.index).month).sum()
    by_month.index.name = "month"
    return by_month.loc[[m for m in months if m in by_month.index]]


def _unit_mass(fuel: Row) -> float:
    """Mass of one unit of trade [kg]; electricity weighs nothing."""
    return 0.0 if fuel.text("unit") == "kWh" else fuel["mass_per_unit"]


def _seasonal_efficiency(total: pd.Series, idle: float) -> float:
    """Heat over energy for the season; ``idle`` where nothing was burned, or where they differ by the last bits."""
    if not total["energy_kwh"] > 0.0:
        return idle
    found = float(total["heat_kwh"] / total["energy_kwh"])
    return idle if math.isclose(found, idle, rel_tol=1e-12) else found


def _storage(fuel: Row, amount: float, mass: float) -> float | None:
    """Room the fuel takes up [m3]: by the unit where it is a volume, else by bulk density."""
    volume = trade_unit(fuel.text("unit")).volume
    if volume is not None:
        return amount * volume / (fuel.get("tank_fill") or 1.0)
    density = fuel.get("bulk_density", None)
    return None if density is None else mass / density


def purchase(fuel: Fuel, *, sigma: float | None = None) -> Purchase:
    """How much of a fuel to buy so that it is enough 95 times in 100.

    Parameters
    ----------
    fuel : Fuel
        The season's fuel, taken as the median.
    sigma : float [1], optional
        Standard deviation of the estimate as a share of it; without it the catalogue's ``purchase_sigma``, 0.22.

    Returns
    -------
    Purchase

    Raises
    ------
    InputError
        For a sigma below 0.

    Notes
    -----
    A normal spread: P10 and P90 are amount x (1 -+ 1.2816 sigma), the purchase amount x (1 + 1.6449 sigma), rounded up.
    The default sigma is a stated judgement, not a computed range: winters differ from one another by about a tenth, and
    leakage, glazing, setpoint and efficiency are each known to about a tenth. It serves until a range is computed for
    the house itself.

    References
    ----------
    The quantiles 1.2816 and 1.6449 of the normal distribution: any table (from memory).

    Examples
    --------
    >>> import pandas as pd
    >>> from heatloss.catalogue import row
    >>> winter = pd.Series(1000.0, index=pd.date_range("2001-01-01", periods=1000, freq="h"))
    >>> bought = purchase(demand(winter, fuel=row("fuels", "electricity"), efficiency=1.0, basis="hhv"))
    >>> round(bought.low), round(bought.high), bought.amount
    (718, 1282, 1400.0)
    """
    if sigma is None:
        sigma = default("purchase_sigma")
    if not sigma >= 0.0:
        raise InputError(f"sigma must be 0 or more [1], got {sigma:g} (purchase).")
    low, high = fuel.amount * max(0.0, 1.0 - P90 * sigma), fuel.amount * (1.0 + P90 * sigma)
    return rounded_purchase(fuel, low, high, fuel.amount * (1.0 + P95 * sigma), sigma)


def rounded_purchase(fuel: Fuel, low: float, high: float, enough: float, sigma: float) -> Purchase:
    """A purchase that is enough for an amount: whole bags, or the unit's step; range and sigma are kept as given."""
    if fuel.bags is None or fuel.bag_kg is None or not fuel.mass_kg > 0.0:
        step = trade_unit(fuel.unit).step
        return Purchase(low, high, _up(enough / step) * step, None if fuel.bags is None else 0, sigma)
    bags = _up(enough * fuel.bags / fuel.amount)
    return Purchase(low, high, bags * fuel.bag_kg * fuel.amount / fuel.mass_kg, bags, sigma)


def typed_amount(text: str, fuel: Fuel, *, name: str = "amount") -> float:
    """An amount that a person types, in the fuel's unit of trade.

    Parameters
    ----------
    text : str
        Such as ``"6 short_ton"``, ``"250 bags"``, ``"5400 kg"``, ``"3 cord"``, ``"300 gallon"``.
    fuel : Fuel
    name : str
        For the message.

    Returns
    -------
    float

    Raises
    ------
    InputError
        For a unit that this fuel is not sold in.
    """
    number, _, unit = text.strip().partition(" ")
    word = unit.strip().lower()
    try:
        if word in ("bag", "bags") and fuel.bag_kg is not None and fuel.mass_kg > 0.0:
            found = float(number.replace(",", "")) * fuel.bag_kg * fuel.amount / fuel.mass_kg
        elif word in ("bushel", "bushels") and fuel.unit == "bushel":
            found = float(number.replace(",", ""))
        else:
            base = _BASES[fuel.unit]
            one = fuel.mass_kg / fuel.amount if base == "kg" and fuel.amount > 0.0 else parse(f"1 {fuel.unit}", base)
            found = parse(text, base, name=name) / one
    except (InputError, ValueError):
        found = math.nan
    if not (found >= 0.0 and math.isfinite(found)):
        bags = " or bags" if fuel.bag_kg is not None else ""
        raise InputError(
            f"{name} must be an amount of {fuel.name} in {trade_unit(fuel.unit).many}{bags}, got {text!r}. "
            f'Type, for example, "{max(1, round(fuel.amount))} {fuel.unit}".'
        )
    return found


_BASES = {"short_ton": "kg", "bushel": "kg", "cord": "m3", "gallon": "m3", "therm": "J", "kWh": "J"}


def _up(value: float) -> int:
    """Round up, but not for the last bits of a whole number."""
    return math.ceil(value * (1.0 - 1e-12))
