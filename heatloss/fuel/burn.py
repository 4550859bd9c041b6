"""Hour by hour from heat to fuel: what the fire burns for the heat, and what goes up the flue, idles and is wasted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics.heater import from_table, starts_per_hour

if TYPE_CHECKING:
    from heatloss.house.heating import Appliance

Floats = NDArray[np.float64]
BLOCK_HOURS, SHORTEST_FIRE = 6, 2.0
"""A fire lit by hand serves a quarter of the day and burns at least two hours of it; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Burn:
    """What one heater burns, hour by hour; arrays (hours, ...).

    Attributes
    ----------
    heat : [W]
        Given to the house.
    energy : [W]
        In the fuel, on the basis of the efficiency.
    flue, standby, starting, over_fire : [W]
        Where the rest goes: up the flue, into waiting, into starts, and into a smallest fire that gives more heat than
        was asked for, its own flue counted.
    outdoors : [W]
        What a heat pump takes out of the air or the ground.
    electric : [W]
        What fan, auger, pump and igniter draw.
    lit : [1]
        Share of the hour with a fire.
    starts : [1/h]
    output : float or (...,) [W]
        Full output that the part load was counted by.

    Notes
    -----
    energy + outdoors = heat + flue + standby + starting + over_fire, each a sum of its own.
    """

    heat: Floats
    energy: Floats
    flue: Floats
    standby: Floats
    starting: Floats
    over_fire: Floats
    outdoors: Floats
    electric: Floats
    lit: Floats
    starts: Floats
    output: Floats | float

    @property
    def residual(self) -> Floats:
        """What the parts differ by in each hour [W]."""
        lost = self.heat + self.flue + self.standby + self.starting + self.over_fire
        return self.energy + self.outdoors - lost


def burn(unit: Appliance, heat: Floats, *, temp_air: Floats, on: NDArray[np.bool_], height: float = 0.0) -> Burn:
    """Fuel of one heater for the heat it gave.

    Parameters
    ----------
    unit : Appliance
        From ``heatloss.house.heating.appliance``.
    heat : hourly
        Mean heat given to the house in each hour [W]; further axes are other houses.
    temp_air : hourly
        Outdoors [degC].
    on : hourly
        Whether it is in use by its dates.
    height : float
        Above the sea [m].

    Returns
    -------
    Burn

    Raises
    ------
    InputError
        For heat that is negative or missing, or an efficiency that is not above 0.

    Notes
    -----
    With P the output and m P its smallest fire, it is lit the share y = min(1, heat / m P) of the hour, and

    * burned for the heat: heat / efficiency, of which (1 - efficiency) goes up the flue;
    * standby: its share of the full fire, for (1 - y) of the hours in use;
    * starts: 4 n y (1 - y) an hour, or one where the hour before was cold, each so many seconds of full fire;
    * a fire that is lit and kept by hand burns at least two hours at its smallest in every quarter of a day that asks
      for heat; what it gives beyond that is over-fire and not credited to the house. Within the quarter the house
      evens it out.

    Efficiency is level between smallest and full fire, so that it never rises at low fire. Where no output is typed the
    highest hour stands for it. A season's efficiency has starts, standby and over-fire in it; none are added.

    References
    ----------
    .. [1] Cycling by starts and standby: common form, from memory. Parabola of thermostat starts: handbooks of
       controls, from memory.

    Examples
    --------
    >>> from heatloss import sample_house
    >>> from heatloss.house.heating import appliances
    >>> unit = appliances(sample_house())[0]
    >>> hours = np.full(24, 5000.0)
    >>> burned = burn(unit, hours, temp_air=np.zeros(24), on=np.ones(24, dtype=bool))
    >>> round(float(hours.sum() / burned.energy.sum()), 2)
    0.69
    """
    heat = np.asarray(heat, dtype=float)
    if not np.all(heat >= 0.0):
        raise InputError("heat must be 0 or more [W] in every hour, got a negative or missing value (fuel demand).")
    share = _efficiency(unit, temp_air, heat.ndim)
    output = np.maximum(_output(unit, heat, height), 1e-9)
    smallest = _smallest(unit, output)
    flat = (slice(None),) + (None,) * (heat.ndim - 1)
    used = np.broadcast_to(on[flat], heat.shape)
    lit = np.where(heat > 0.0, np.minimum(1.0, heat / np.maximum(smallest, 1e-9)), 0.0)
    over = np.zeros_like(heat)
    if unit.kept and not unit.seasonal:
        lit, over = _by_hand(heat, smallest, lit)
        over = over / share
    cold_before = np.concatenate([np.ones_like(lit[:1]), lit[:-1]]) == 0.0
    starts = np.asarray(starts_per_hour(lit, most=0.0 if unit.kept else unit.most_starts))
    starts = np.maximum(starts, np.where(cold_before & (lit > 0.0), 1.0, 0.0))
    full = output / (unit.efficiency or 1.0)
    per_start = unit.start if unit.start is not None else unit.start_seconds * full
    waiting = unit.standby if unit.standby is not None else unit.standby_share * full
    standby = np.where(used, waiting * (1.0 - lit), 0.0)
    starting = per_start * starts / 3600.0
    burned = heat / share
    return Burn(
        heat=heat,
        energy=burned + standby + starting + over,
        flue=np.maximum(burned * (1.0 - share), 0.0),
        standby=standby,
        starting=starting,
        over_fire=over,
        outdoors=np.maximum(burned * (share - 1.0), 0.0),
        electric=unit.electric * _running(unit, heat, lit, output) + _igniting(unit, starts),
        lit=lit,
        starts=starts,
        output=output,
    )


def _efficiency(unit: Appliance, temp_air: Floats, axes: int) -> Floats:
    """Heat over energy, hour by hour."""
    if unit.efficiency is None:
        at, cop, _ = zip(*unit.table, strict=True)
        share = np.asarray(from_table(temp_air, temperatures=at, values=cop))
    else:
        share = np.full(len(temp_air), unit.efficiency)
    if not np.all(share > 0.0):
        raise InputError(
            f"efficiency must be above 0 [1], got {share.min():g} (heater {unit.name!r}). Type it as 0.80."
        )
    return share[(slice(None),) + (None,) * (axes - 1)]


def _output(unit: Appliance, heat: Floats, height: float) -> Floats | float:
    output = unit.output(height)
    return output if math.isfinite(output) else heat.max(axis=0)


def _smallest(unit: Appliance, output: Floats | float) -> Floats | float:
    """Smallest fire [W]; a heater of which nothing is known follows the load down to nothing."""
    if unit.minimum is not None:
        return np.minimum(unit.minimum, output)
    return unit.minimum_share * output


def _running(unit: Appliance, heat: Floats, lit: Floats, output: Floats | float) -> Floats:
    """Share of the hour in which fan, auger and pump run: while lit, or by the load where the fire is not known."""
    return lit if unit.minimum is not None or unit.minimum_share else heat / output


def _igniting(unit: Appliance, starts: Floats) -> Floats:
    return unit.ignition_power * unit.ignition_seconds * starts / 3600.0


def _by_hand(heat: Floats, smallest: Floats | float, lit: Floats) -> tuple[Floats, Floats]:
    """Share of each hour that is lit, and heat that nobody asked for [W], of a fire kept by hand."""
    hours = len(heat)
    pad = [(0, -hours % BLOCK_HOURS), *[(0, 0)] * (heat.ndim - 1)]
    asked = np.pad(heat, pad).reshape(-1, BLOCK_HOURS, *heat.shape[1:]).sum(axis=1)
    least = SHORTEST_FIRE * smallest
    over = np.where(asked > 0.0, np.maximum(least - asked, 0.0), 0.0) / BLOCK_HOURS
    burning = np.maximum(asked, least) / (BLOCK_HOURS * np.maximum(smallest, 1e-9))
    share = np.where(asked > 0.0, np.minimum(burning, 1.0), 0.0)
    return np.maximum(np.repeat(share, BLOCK_HOURS, axis=0)[:hours], lit), np.repeat(over, BLOCK_HOURS, axis=0)[:hours]
