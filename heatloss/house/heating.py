"""A heater of a house with all that its house file and its catalogue row say, side by side and in SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from heatloss import catalogue
from heatloss.catalogue.wood import seasoned
from heatloss.physics.heater import altitude_derate

if TYPE_CHECKING:
    from heatloss.catalogue import Row
    from heatloss.house.models import HeaterUse
    from heatloss.house.whole import House


@dataclass(frozen=True)
class Appliance:
    """One heater, ready to reckon with.

    Attributes
    ----------
    name : str
    row : Row or None
        Of its type.
    fuel : Row
        Of its fuel, at its moisture.
    efficiency : float or None [1]
        Heat over energy in the fuel; None for a heat pump, whose ``table`` gives it.
    basis : str
        ``"hhv"`` or ``"lhv"``.
    seasonal : bool
        Whether that is a season's, with starts, idling and ash in it, and not a steady one.
    table : tuple
        A heat pump's (outdoor [degC], COP [1], share of its output [1]), coldest first.
    rated : float or None [W]
        What its label says, output or input; None where as much comes as is needed.
    by_input : bool
        Whether that is fuel burned.
    minimum_share, standby_share : float [1]
        Smallest fire, as a share of the output; fuel while it waits, as a share of the fuel at full fire.
    standby, start, minimum : float or None [W, J, W]
        The same, typed; ``start`` is fuel of one start.
    start_seconds : float [s]
        Fuel of one start, as time at full fire.
    most_starts : float [1/h]
        At half load.
    kept : bool
        Whether it cannot light itself, so that a person keeps it burning through short pauses.
    electric, ignition_power : float [W]
    ignition_seconds : float [s]
    hopper, load : float or None [kg]
    ash, fouling : float [1]
        Share of the fuel's weight left as ash; of the output lost to ash between cleanings.
    altitude_loss : float [1]
        Of output for each 300 m above 600 m.
    cut_off : float [degC]
        Outdoor temperature below which it stands still; minus infinity for a fire.
    """

    name: str
    row: Row | None
    fuel: Row
    efficiency: float | None
    basis: str
    seasonal: bool
    table: tuple[tuple[float, float, float], ...]
    rated: float | None
    by_input: bool
    minimum_share: float
    standby_share: float
    standby: float | None
    start: float | None
    minimum: float | None
    start_seconds: float
    most_starts: float
    kept: bool
    electric: float
    ignition_power: float
    ignition_seconds: float
    hopper: float | None
    load: float | None
    ash: float
    fouling: float
    altitude_loss: float
    cut_off: float

    def altitude_share(self, altitude: float) -> float:
        """Output at a height above the sea [m] over that at sea level [1]."""
        return altitude_derate(altitude, share_per_300_m=self.altitude_loss) if self.altitude_loss else 1.0

    def output(self, altitude: float = 0.0) -> float:
        """The most heat it can give the house there [W]; infinite where nothing is typed."""
        if self.rated is None:
            return math.inf
        heat = self.rated * (self.efficiency or 1.0) if self.by_input else self.rated
        return heat * self.altitude_share(altitude)

    @property
    def needs_power(self) -> bool:
        """Whether it stands still when the power is out."""
        return self.electric > 0.0 or bool(self.table) or self.fuel.text("unit") == "kWh"


def appliance(use: HeaterUse, house: House) -> Appliance:
    """Return a heater with its catalogue rows looked up.

    Parameters
    ----------
    use : HeaterUse
        A heater of the house, or a candidate for it.
    house : House
        For the person's own catalogue rows.

    Returns
    -------
    Appliance
    """
    row = catalogue.row("heaters", use.type, house.own) if use.type else None
    fuel = catalogue.row("fuels", use.fuel or (row.text("fuel") if row is not None else ""), house.own)
    if use.moisture is not None:
        fuel = seasoned(fuel, use.moisture)
    table = row.table if row is not None and use.efficiency is None and use.steady_efficiency is None else ()

    def known(name: str, rest: float = 0.0) -> float:
        found = None if row is None else row.get(name)
        return rest if found is None else found

    def known_or_none(name: str) -> float | None:
        return None if row is None else row.get(name)

    part_load = row is not None and row.get("start") is not None
    typed = use.efficiency if use.efficiency is not None else use.steady_efficiency
    seasonal = use.efficiency is not None or (use.steady_efficiency is None and not part_load)
    losses = 0.0 if seasonal else 1.0
    curve = row.table if row is not None else ()
    cut_off = use.cut_off if use.cut_off is not None else curve[0][0] if curve else -math.inf
    return Appliance(
        name=use.name,
        row=row,
        fuel=fuel,
        efficiency=None if table else typed if typed is not None else known("efficiency", 1.0),
        basis=use.basis or (row.text("basis") if row is not None else "hhv"),
        seasonal=seasonal,
        table=table,
        rated=use.output if use.output is not None else use.input,
        by_input=use.output is None and use.input is not None,
        minimum_share=known("minimum"),
        standby_share=losses * known("standby"),
        standby=use.standby if losses else None,
        start=use.start if losses else None,
        minimum=use.minimum,
        start_seconds=losses * known("start"),
        most_starts=known("most_starts", 4.0),
        kept=row is not None and row.words.get("fire") == "kept",
        electric=use.electric if use.electric is not None else known("electric_power"),
        ignition_power=known("ignition_power"),
        ignition_seconds=known("ignition_time"),
        hopper=use.hopper if use.hopper is not None else known_or_none("hopper"),
        load=use.load if use.load is not None else known_or_none("load"),
        ash=fuel.get("ash") or 0.0,
        fouling=known("fouling"),
        altitude_loss=known("altitude_loss"),
        cut_off=cut_off,
    )


def appliances(house: House) -> tuple[Appliance, ...]:
    """The heaters of a house in the order of its file."""
    return tuple(appliance(use, house) for use in house.heater)


def in_order(house: House) -> tuple[HeaterUse, ...]:
    """The heaters in the order they act: base before backup, else as in the file."""
    return tuple(sorted(house.heater, key=lambda use: use.order == "backup"))
