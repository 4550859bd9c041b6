"""Whether a change pays: payback, net present value, internal rate of return, discounted payback."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics._numeric import positive


def payback(cost: float, saving: float) -> float:
    """Years until the first year's saving has paid the cost.

    Parameters
    ----------
    cost : float
        Cost of the change [usd].
    saving : float
        Saving of the first year [usd].

    Returns
    -------
    float
        Payback; infinite where nothing is saved [year].

    Raises
    ------
    InputError
        For a negative cost.

    Notes
    -----
    cost / saving. Interest and dearer fuel are left out.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(payback(1500.0, 220.0), 3)
    6.818
    """
    positive("cost", cost, "usd", zero=True)
    if cost == 0.0:
        return 0.0
    return cost / saving if saving > 0.0 else math.inf


def present_value_factor(years: int, *, rate: float, escalation: float = 0.0) -> float:
    """Worth today of a yearly saving over its first year's amount.

    Parameters
    ----------
    years : int
        Years the saving lasts [year].
    rate : float
        Discount rate a year [1].
    escalation : float
        Rise of the fuel's price a year [1].

    Returns
    -------
    float
        Factor [1].

    Raises
    ------
    InputError
        For fewer than one year, or rates that are not above -1.

    Notes
    -----
    (1 - ((1 + e) / (1 + r))^N) / (r - e), or N / (1 + r) where the two are equal. Savings fall at the end of each
    year, the first one not yet dearer. Rates are both nominal or both real, see :func:`real_rate`.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(present_value_factor(15, rate=0.05, escalation=0.03), 6)
    12.529552
    """
    _check_terms(years, rate, escalation)
    growth = math.log1p(escalation) - math.log1p(rate)  # its rounding cancels between the two lines below
    if growth == 0.0:
        return years / (1.0 + rate)
    return math.expm1(years * growth) / math.expm1(growth) / (1.0 + rate)


def cash_flows(
    cost: float,
    saving: float,
    *,
    years: int,
    escalation: float = 0.0,
    maintenance: float = 0.0,
    residual: float = 0.0,
) -> NDArray[np.float64]:
    """Money out and in, by year.

    Parameters
    ----------
    cost : float
        Cost of the change, now [usd].
    saving : float
        Saving of the first year [usd].
    years : int
        Years it lasts [year].
    escalation : float
        Rise of the fuel's price a year [1].
    maintenance : float
        Upkeep a year [usd].
    residual : float
        What it is worth at the end [usd].

    Returns
    -------
    array
        The cost, negative, then one flow for each year [usd].

    Raises
    ------
    InputError
        For fewer than one year, an escalation that is not above -1 or a negative cost.

    Notes
    -----
    saving (1 + e)^(t - 1) - maintenance, the residual added to the last.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> cash_flows(1500.0, 220.0, years=2, escalation=0.03).round(2).tolist()
    [-1500.0, 220.0, 226.6]
    """
    positive("cost", cost, "usd", zero=True)
    _check_terms(years, 0.0, escalation)
    flows = np.empty(years + 1)
    flows[0] = -cost
    flows[1:] = saving * (1.0 + escalation) ** np.arange(years) - maintenance
    flows[-1] += residual
    return flows


def npv(
    cost: float,
    saving: float,
    *,
    years: int,
    rate: float,
    escalation: float = 0.0,
    maintenance: float = 0.0,
    residual: float = 0.0,
) -> float:
    """Net present value of a change.

    Parameters
    ----------
    cost : float
        Cost of the change, now [usd].
    saving : float
        Saving of the first year [usd].
    years : int
        Years it lasts [year].
    rate : float
        Discount rate a year [1].
    escalation : float
        Rise of the fuel's price a year [1].
    maintenance : float
        Upkeep a year [usd].
    residual : float
        What it is worth at the end [usd].

    Returns
    -------
    float
        Net present value [usd].

    Raises
    ------
    InputError
        As :func:`cash_flows`, or for a rate that is not above -1.

    Notes
    -----
    Sum of the flows over (1 + r)^t.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(npv(1500.0, 220.0, years=15, rate=0.05, escalation=0.03), 2)
    1256.5
    """
    _check_terms(years, rate, escalation)
    flows = cash_flows(cost, saving, years=years, escalation=escalation, maintenance=maintenance, residual=residual)
    return float(flows @ (1.0 + rate) ** -np.arange(years + 1.0))


def irr(
    cost: float,
    saving: float,
    *,
    years: int,
    escalation: float = 0.0,
    maintenance: float = 0.0,
    residual: float = 0.0,
) -> float | None:
    """Internal rate of return of a change.

    Parameters
    ----------
    cost : float
        Cost of the change, now [usd].
    saving : float
        Saving of the first year [usd].
    years : int
        Years it lasts [year].
    escalation : float
        Rise of the fuel's price a year [1].
    maintenance : float
        Upkeep a year [usd].
    residual : float
        What it is worth at the end [usd].

    Returns
    -------
    float or None
        Rate a year at which the net present value is zero, negative where the money does not come back [1]; None where
        there is no such rate: nothing is paid, or nothing comes in.

    Raises
    ------
    InputError
        As :func:`cash_flows`.

    Notes
    -----
    Solved by numpy-financial, whose NaN is turned into None.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(irr(1500.0, 220.0, years=15, escalation=0.03), 6)
    0.147747
    """
    import numpy_financial

    flows = cash_flows(cost, saving, years=years, escalation=escalation, maintenance=maintenance, residual=residual)
    if not (flows[0] < 0.0 and np.any(flows[1:] > 0.0)):
        return None
    rate = float(numpy_financial.irr(flows))
    return rate if math.isfinite(rate) else None


def discounted_payback(
    cost: float, saving: float, *, years: int, rate: float, escalation: float = 0.0, maintenance: float = 0.0
) -> float:
    """Years until savings, discounted, have paid the cost.

    Parameters
    ----------
    cost : float
        Cost of the change, now [usd].
    saving : float
        Saving of the first year [usd].
    years : int
        Years it lasts [year].
    rate : float
        Discount rate a year [1].
    escalation : float
        Rise of the fuel's price a year [1].
    maintenance : float
        Upkeep a year [usd].

    Returns
    -------
    float
        Discounted payback; infinite where it is not reached in the years given [year].

    Raises
    ------
    InputError
        As :func:`cash_flows`, or for a rate that is not above -1.

    Notes
    -----
    Straight line inside the year in which the sum turns.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(discounted_payback(1500.0, 220.0, years=15, rate=0.05, escalation=0.03), 3)
    7.625
    """
    _check_terms(years, rate, escalation)
    flows = cash_flows(cost, saving, years=years, escalation=escalation, maintenance=maintenance)
    worth = flows * (1.0 + rate) ** -np.arange(years + 1.0)
    balance = np.cumsum(worth)
    if balance[0] >= 0.0:
        return 0.0
    if not np.any(balance >= 0.0):
        return math.inf
    year = int(np.argmax(balance >= 0.0))
    return float(year - balance[year] / worth[year])


def real_rate(nominal: float, *, inflation: float) -> float:
    """Rate with inflation taken out.

    Parameters
    ----------
    nominal : float
        Rate in money of the day [1].
    inflation : float
        Inflation a year [1].

    Returns
    -------
    float
        Rate in money of today [1].

    Raises
    ------
    InputError
        For a rate that is not above -1.

    Notes
    -----
    (1 + nominal) / (1 + inflation) - 1; it holds for the discount rate and the rise of the fuel's price alike.

    References
    ----------
    .. [1] Textbooks of engineering economics, from memory.

    Examples
    --------
    >>> round(real_rate(0.05, inflation=0.02), 6)
    0.029412
    """
    _check_terms(1, nominal, inflation)
    return (1.0 + nominal) / (1.0 + inflation) - 1.0


def _check_terms(years: int, rate: float, escalation: float) -> None:
    if not (1 <= years <= 100 and years == int(years)):
        raise InputError(f"years must be a whole number from 1 to 100 [year], got {years}.")
    for name, value in (("rate", rate), ("escalation", escalation)):
        if not -1.0 < value <= 1.0:
            raise InputError(f"{name} must be above -1 and at most 1 [1], got {value:g}. Write 5 per cent as 0.05.")
