"""Cordwood by its water: what a stacked cord weighs and holds, drier or wetter than its catalogue row."""

from __future__ import annotations

from dataclasses import replace

from heatloss.catalogue.rows import Row, Value
from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric

VAPOUR = 2.443e6
"""Heat of vaporization at 25 degC [J/kg]; steam tables, from memory."""
HYDROGEN = 0.06
"""Share of hydrogen in dry wood [1]; handbooks of wood fuel, from memory."""
CORD_M3 = 128.0 * 0.3048**3
WETTEST = 0.7


def net_heat(gross: Numeric, moisture: Numeric) -> Numeric:
    """Net heat of wood by its whole weight [J/kg], from the gross heat and the moisture of that same wood [1].

    >>> round(net_heat(15816800.0, 0.2) / 1e6, 2)
    14.27
    """
    return gross - VAPOUR * (moisture + 9.0 * HYDROGEN * (1.0 - moisture))


def seasoned(wood: Row, moisture: float) -> Row:
    """The row of a cordwood at another moisture.

    Parameters
    ----------
    wood : Row
        A row of the fuels catalogue with ``solid_share`` and ``moisture``.
    moisture : float
        Water as a share of the whole weight [1]: 0.15 kiln or two summers, 0.2 a year under cover, 0.45 green.

    Returns
    -------
    Row
        Mass of a cord, density, gross and net heating value changed; dry matter, carbon dioxide and price as they were.

    Raises
    ------
    InputError
        For a row that is no cordwood, or a moisture outside 0 to 0.7.

    Notes
    -----
    A cord keeps its dry matter: mass = dry / (1 - m), gross = dry heat (1 - m), net = gross less 2.443 MJ for every kg
    of water, that of the 6 % hydrogen included. Shrinking is left out. How tightly the cord is stacked (the row's
    ``solid_share``, 0.55 to 0.70) is in the range of its mass.

    References
    ----------
    .. [1] Handbooks of wood fuel, heating value by moisture, from memory.

    Examples
    --------
    >>> from heatloss.catalogue import row
    >>> oak = row("fuels", "cordwood red oak")
    >>> green = seasoned(oak, 0.45)
    >>> round(green["mass_per_unit"] / oak["mass_per_unit"], 4), round(green["lhv"] / 2326)
    (1.4545, 3890)
    """
    if wood.get("solid_share") is None:
        raise InputError(f"fuel must be cordwood where moisture is given, got {wood.name!r}. Leave moisture out.")
    if not 0.0 <= moisture <= WETTEST:
        raise InputError(f"moisture must be between 0 and {WETTEST:g} [1], got {moisture:g}. Of the whole weight.")
    drier = (1.0 - moisture) / (1.0 - wood["moisture"])
    net = net_heat(wood["hhv"] * drier, moisture)
    fields = dict(wood.fields)
    for name, factor in (("mass_per_unit", 1.0 / drier), ("bulk_density", 1.0 / drier), ("hhv", drier)):
        fields[name] = _scaled(fields[name], factor)
    fields["lhv"] = _scaled(fields["lhv"], net / wood["lhv"])
    fields["moisture"] = replace(fields["moisture"], value=moisture, low=moisture, high=moisture)
    return replace(wood, fields=fields)


def cord_heat(wood: Row) -> tuple[float, float, float]:
    """Gross heat of one stacked cord: lowest, middle and highest.

    Parameters
    ----------
    wood : Row
        A row of cordwood.

    Returns
    -------
    tuple
        Heat [J]: of the loosest stack of the lightest wood, of the row, of the tightest stack of the densest.

    Notes
    -----
    Mass of a cord times gross heat by mass; the range is that of published charts, which differ by up to 30 % by
    stacking, moisture and species.

    Examples
    --------
    >>> from heatloss.catalogue import row
    >>> [round(heat / 1.05505585e9, 1) for heat in cord_heat(row("fuels", "cordwood red oak"))]
    [17.9, 20.0, 22.0]
    """
    mass, hhv = wood.fields["mass_per_unit"], wood["hhv"]
    return mass.low * hhv, mass.value * hhv, mass.high * hhv


def _scaled(value: Value, factor: float) -> Value:
    return replace(value, value=value.value * factor, low=value.low * factor, high=value.high * factor)
