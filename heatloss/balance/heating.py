"""Heaters of a house as controls of the network: where their heat goes, how much they can give hour by hour."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.schedule import in_use
from heatloss.house.heating import Appliance, appliance, in_order
from heatloss.physics.heater import from_table, pressure_height

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.drivers import Drivers
    from heatloss.house import House
    from heatloss.house.models import HeaterUse

Floats = NDArray[np.float64]
FLOOR = "floor"


def heat(made: Assembly, house: House, drivers: Drivers, *, air: str, star: str) -> None:
    """Declare the heaters, base before backup, and those that hold a tank.

    Parameters
    ----------
    made : Assembly
        With its nodes and targets.
    house : House
    drivers : Drivers
    air, star : str
        Names of the air's node and of the radiant star.
    """
    assert made.targets is not None
    net, held = made.network, made.targets.heat
    limits = {use.name: capacity(use, house, drivers) for use in house.heater}
    if not np.isnan(held).all():
        setpoint = np.where(np.isnan(held), -100.0, held)
        for use in in_order(house):
            rays = use.radiant_share if house.method.films != "fixed" else 0.0
            into = {air: 1.0 - rays, star: rays} if rays > 0.0 else {air: 1.0}
            if use.distribution == "floor":
                into = {FLOOR: 1.0}
            net.heater(use.name, into, setpoint=setpoint, capacity=limits[use.name], sensor=air)
        for use in house.heater:
            made.heaters[use.name].append(use.name)
        if not house.heater:
            net.heater("heat", air, setpoint=setpoint)
    for tank in house.water:
        if tank.setpoint is not None and tank.heater is not None:
            name = f"{tank.heater} in {tank.name}"
            net.heater(name, f"tank {tank.name}", setpoint=tank.setpoint, capacity=limits[tank.heater])
            made.heaters[tank.heater].append(name)


def capacity(use: HeaterUse, house: House, drivers: Drivers) -> Floats | float:
    """Output by hour [W]: nothing out of its dates; a heat pump's share by outdoor temperature; less at altitude."""
    unit = appliance(use, house)
    on = in_use(use, drivers.index)
    most = unit.output(pressure_height(drivers.pressure))
    if unit.row is not None and unit.row.table:
        return np.where(on, pump_capacity(unit, most, drivers.temp_air), 0.0)
    return most if on.all() else np.where(on, most, 0.0)


def pump_capacity(unit: Appliance, rated: float, temp_air: Floats) -> Floats:
    """Output of a heat pump by outdoor temperature [W]; nothing below its cut-off."""
    assert unit.row is not None
    temperatures, _, shares = (np.array(x) for x in zip(*unit.row.table, strict=True))
    share = np.asarray(from_table(temp_air, temperatures=list(temperatures), values=list(shares)))
    runs = temp_air >= unit.cut_off
    return np.where(runs, rated if math.isinf(rated) else rated * share, 0.0)
