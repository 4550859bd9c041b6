"""The tables of what stands and hangs in a house: water, beds, curtains, the crop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from heatloss import catalogue
from heatloss.house import fields as f
from heatloss.house.entry import Entry, Fault, Standard, given, key, left_out


class Water(Entry):
    """A tank, pond or row of barrels."""

    label: ClassVar[str] = "water"
    name: Annotated[str, f.Text()] = key("What you call it.", example="perch tank")
    volume: Annotated[float, f.VOLUME] = key("How much water.", example="1400 gal")
    in_sun: Annotated[bool, f.Flag()] = key("true if the sun reaches it.", True)
    lid: Annotated[bool, f.Flag()] = key("true if it is covered, so that little evaporates.", False)
    insulation: Annotated[float, f.R_VALUE] = key(
        "R-value of what is wrapped around its side, laid under it and in its lid.", 0.0, example="R-10"
    )
    setpoint: Annotated[float | None, f.TEMPERATURE] = key(
        "Temperature a heater in the water holds.", None, example="60 degF"
    )
    heater: Annotated[str | None, f.Text()] = key(
        "Name of the [[heater]] that holds it.", None, example="pellet boiler"
    )
    raft: Annotated[float, f.SHARE] = key("Share of its top that rafts cover.", 0.0, example=0.8)
    make_up: Annotated[float, f.Quantity("m3/day", "a flow from 0 to 10000 m3/day", least=0, most=10000)] = key(
        "Fresh water a day, as much as leaves it.", 0.0, example="20 gal/day"
    )
    make_up_temperature: Annotated[float, f.TEMPERATURE] = key("How warm it comes.", 10.0, example="50 degF")
    stocking: Annotated[
        float | None, f.Quantity("kg/m3", "a stocking from 0 to 500 kg/m3 (31 lb/ft3)", least=0, most=500)
    ] = key("Weight of fish per volume.", None, example="0.3 lb/gal")
    species: Annotated[str | None, f.Name("fish")] = key("Its name in the fish catalogue.", None)
    aerator: Annotated[float | None, f.POWER] = key("What its air pump draws.", None, example="40 W")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        if "setpoint" in typed and "heater" not in typed:
            yield given("heater", "where setpoint is given", 'heater = "name of a [[heater]]"')
        if "heater" in typed and "setpoint" not in typed:
            yield given("setpoint", "where heater is given", 'setpoint = "60 degF"')


class Bed(Entry):
    """A raised bed, a gravel bed or pots, as heat store."""

    label: ClassVar[str] = "bed"
    name: Annotated[str, f.Text()] = key("What you call it.", example="raised beds")
    area: Annotated[float, f.AREA] = key("Its top.", example="300 ft2")
    depth: Annotated[float, f.Quantity("m", "a depth above 0 and at most 5 m (16 ft)", above=0, most=5)] = key(
        "How deep it is filled.", example="12 in"
    )
    soil: Annotated[str, f.Name("soils")] = key("What it is filled with, from the catalogue of soils.", "garden soil")


class Curtain(Entry):
    """A night curtain."""

    label: ClassVar[str] = "curtain"
    material: Annotated[str, f.Name("curtains")] = key("Its name in the catalogue of curtains.")
    form: Annotated[Literal["levels", "panel"], f.Word(("levels", "panel"))] = key(
        "levels: the air over it is counted by itself; panel: a resistance added to the panes.", "levels"
    )
    schedule: Annotated[Literal["night", "always"], f.Word(("night", "always"))] = key(
        "Closed at night (when the sun is down) or always.", "night"
    )
    close_at: Annotated[str | None, f.Clock()] = key("When it closes, in place of sunset.", None, example="17:00")
    open_at: Annotated[str | None, f.Clock()] = key("When it opens, in place of sunrise.", None, example="08:30")
    sun_below: Annotated[float | None, f.Quantity("W/m2", "a sun from 0 to 1000 W/m2", least=0, most=1000)] = key(
        "Closed too while the sun on level ground is below this.", None, example="50 W/m2"
    )
    cold_below: Annotated[float | None, f.TEMPERATURE] = key(
        "Closed too, by day as well, while it is colder outdoors than this.", None, example="-5 degF"
    )
    edge_leak: Annotated[float, f.SHARE] = key("Share of its area left open at edges and joints.", None)
    on: Annotated[tuple[str, ...], f.Sides()] = key("The sides it covers.", ("all",), example="roof")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        if "edge_leak" not in typed:
            gap = "curtain_edge_leak" if values.get("form") == "panel" else "curtain_gap"
            values["edge_leak"] = catalogue.default(gap, f.OWN.get())
        for one, other, line in (("close_at", "open_at", "08:30"), ("open_at", "close_at", "17:00")):
            if one in typed and other not in typed:
                yield given(other, f"where {one} is given", f'{other} = "{line}"')
        if values.get("schedule") == "always" and "close_at" in typed:
            yield left_out("close_at", 'where schedule is "always"', typed["close_at"], "Keep one of them.")


class Canopy(Entry):
    """How much grows in the house; counts where the method balances moisture."""

    label: ClassVar[str] = "canopy"
    share: Annotated[float, f.SHARE] = key(
        "Share of the whole floor that is planted, beds first; 0 for an empty house.", Standard("planted_share")
    )
    leaf_area: Annotated[float, f.Quantity("1", "a leaf area from 0 to 10", least=0, most=10, bare=True)] = key(
        "Area of the leaves by planted area: seedlings 0.3, lettuce 1 to 2, tall tomatoes 3.", Standard("leaf_area")
    )
