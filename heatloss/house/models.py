"""The tables of a house file, key by key, in a grower's words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from heatloss import catalogue, units
from heatloss.errors import InputError
from heatloss.house import fields as f
from heatloss.house.entry import Entry, Fault, Many, One, Standard, given, key, left_out
from heatloss.house.fields import KEY, shown

CONSTRUCTIONS = ("glazing", "layers", "u", "door")


def one_construction(typed: Mapping[str, Any], among: tuple[str, ...]) -> Iterator[Fault]:
    """Exactly one way of saying what a part is made of."""
    came = [name for name in among if name in typed]
    if not came:
        words = f"{', '.join(among[:-1])} or {among[-1]}"
        line = 'glazing = "polycarbonate twin-wall 8 mm"'
        yield Fault((), f"{KEY} must say what it is made of by {words}, got none of them. Type, for example, {line}.")
    for extra in came[1:]:
        yield left_out(extra, f"where {came[0]} is given", typed[extra], "Keep the one that is true.")


class Obstacle(Entry):
    """Something beside the house that hides the low sun: trees, a hill, a building."""

    label: ClassVar[str] = "obstacle"
    bearing_from: Annotated[float, f.BEARING] = key("Compass bearing of its left edge.", example="120 deg")
    bearing_to: Annotated[float, f.BEARING] = key("Compass bearing of its right edge, clockwise.", example="160 deg")
    height: Annotated[float, f.HEIGHT_ANGLE] = key("How high its top stands above the horizon.", example="15 deg")


class Place(Entry):
    """Where the house stands and which winter it meets."""

    label: ClassVar[str] = "place"
    weather: Annotated[str | None, f.Text()] = key(
        "Weather file beside the house file, or the name of a built-in sample.", None, example="chicago"
    )
    latitude: Annotated[float | None, f.Quantity("deg", "a latitude from -90 to 90", least=-90, most=90, bare=True)] = (
        key("Degrees north of the equator; only to overrule the weather file.", None, example=41.98)
    )
    longitude: Annotated[
        float | None, f.Quantity("deg", "a longitude from -180 to 180", least=-180, most=180, bare=True)
    ] = key("Degrees east of Greenwich, negative in America; only to overrule the weather file.", None, example=-87.9)
    altitude: Annotated[
        float | None, f.Quantity("m", "an altitude from -450 to 6000 m (-1476 to 19685 ft)", least=-450, most=6000)
    ] = key("Height above the sea; only to overrule the weather file.", None, example="670 ft")
    lapse: Annotated[Literal["none", "standard"], f.Word(("none", "standard"))] = key(
        "Whether the air is taken colder by the height above the station: not, or by 6.5 K a kilometer.", "none"
    )
    frost_hollow: Annotated[float, f.Quantity("K", "a difference from 0 to 15 K (27 delta_degF)", least=0, most=15)] = (
        key("How much colder than the station a still, clear night is here.", 0.0, example="4 delta_degF")
    )
    utc_offset: Annotated[float | None, f.Quantity("h", "hours from -12 to 14", least=-12, most=14, bare=True)] = key(
        "Hours of standard time from Greenwich; only to overrule the weather file.", None, example=-6
    )
    shelter: Annotated[Literal["open", "partial", "sheltered"], f.Word(("open", "partial", "sheltered"))] = key(
        "How the wind reaches the house: open field, some trees and buildings, or well sheltered.", "partial"
    )
    obstacles: Annotated[tuple[Obstacle, ...], Many(Obstacle)] = key("What hides the low sun.", ())
    design_temperature: Annotated[float | None, f.TEMPERATURE] = key(
        "Outdoor temperature to size the heater on, where it shall not be taken from the weather file.",
        None,
        example="-4 degF",
    )
    minimum_20_year: Annotated[float | None, f.TEMPERATURE] = key(
        "The lowest temperature met once in 20 years, for weather files that do not say it.", None, example="-27 degF"
    )


class Cover(Entry):
    """What the light comes through, wherever no part says otherwise."""

    label: ClassVar[str] = "cover"
    glazing: Annotated[str | None, f.Name("glazing")] = key(
        "Its name in the catalogue.", None, example="polycarbonate twin-wall 8 mm"
    )
    bridging: Annotated[float, f.Quantity("1", "a factor from 1 to 2", least=1, most=2, bare=True)] = key(
        "By how much bars and joints raise its loss: 1.05 for wood, 1.10 for aluminum.", Standard("bridging")
    )
    frame: Annotated[float, f.SHARE] = key("Share of the light that bars and frames stop.", Standard("frame"))
    soiling: Annotated[float, f.SHARE] = key("Share of the light that dirt and age let through.", Standard("soiling"))
    condensate: Annotated[float, f.SHARE] = key(
        "Share of the morning's light that drops on a wet cover let through.", Standard("condensate")
    )


class Layer(Entry):
    """One layer of a wall: a material and its thickness, or an R-value alone."""

    label: ClassVar[str] = "layer"
    material: Annotated[str | None, f.Name("materials")] = key("Its name in the catalogue.", None, example="plywood")
    thickness: Annotated[float | None, f.LENGTH] = key("How thick it is.", None, example="0.5 in")
    r: Annotated[float | None, f.R_LAYER] = key("R-value of a layer without weight.", None, example="R-13")
    stud: Annotated[str | None, f.Name("materials")] = key(
        "What bridges the layer at intervals: a name in the catalogue.", None, example="softwood"
    )
    stud_share: Annotated[float | None, f.SHARE] = key(
        "Share of the layer's face that the studs take.", None, example=0.15
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        for one, other, line in (("stud", "stud_share", "0.15"), ("stud_share", "stud", '"softwood"')):
            if one in typed and other not in typed:
                yield given(other, f"where {one} is given", f"{other} = {line}")
        if "stud" in typed and "thickness" not in typed:
            yield given("thickness", "where stud is given", 'thickness = "5.5 in"')
        if "r" in typed:
            for name in ("material", "thickness", "stud"):
                if name in typed:
                    yield left_out(name, "where r is given", typed[name], "Keep the one you know.")
        elif "material" not in typed:
            yield Fault((), f'{KEY} must be a material with its thickness or an r, got neither. Type {{ r = "R-13" }}.')
        elif "material" in values:
            fixed = catalogue.row("materials", values["material"], f.OWN.get()).get("resistance") is not None
            if fixed and "thickness" in typed:
                yield left_out(
                    "thickness",
                    f"for {values['material']}, which has one R-value",
                    typed["thickness"],
                    "Repeat the layer if there are two.",
                )
            if not fixed and "thickness" not in typed:
                yield given("thickness", f"for {values['material']}", 'thickness = "0.5 in"')


class _Piece(Entry):
    """What parts and free surfaces have in common."""

    glazing: Annotated[str | None, f.Name("glazing")] = key(
        "The light comes through it: a name in the glazing catalogue.", None, example="polycarbonate twin-wall 8 mm"
    )
    layers: Annotated[tuple[Layer, ...] | None, Many(Layer)] = key(
        "What it is made of, from the inside out.", None, example=[{"material": "plywood", "thickness": "0.5 in"}]
    )
    u: Annotated[float | None, f.U_VALUE] = key(
        "Its U-value with the air films, where you know no more.", None, example="0.1 Btu/(h ft^2 degF)"
    )
    door: Annotated[str | None, f.Name("doors")] = key(
        "It is a door: its name in the door catalogue, which gives its U-value.", None
    )
    solar_absorptance: Annotated[float, f.SHARE] = key(
        "Share of the sun that its faces take up: 0.3 white, 0.6 gray or wood, 0.9 black.",
        Standard("absorptance_opaque"),
    )
    emissivity: Annotated[float, f.SHARE] = key(
        "Of its faces for heat rays: 0.9 for nearly everything, 0.1 for bare aluminum.", Standard("emissivity_opaque")
    )
    behind: Annotated[str | float, f.Behind(f.TEMPERATURE)] = key(
        "What lies behind it: outdoors, ground, house, the name of a [[space]], or a steady temperature.", "outdoors"
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        yield from one_construction(typed, CONSTRUCTIONS)
        if "door" in values and "u" not in typed:
            values["u"] = catalogue.row("doors", values["door"], f.OWN.get())["u_value"]
        if "layers" in typed and values.get("layers") == ():
            yield Fault(("layers",), f'{KEY} must hold at least one layer, got []. Type layers = [{{ r = "R-13" }}].')

    def tree(self) -> dict[str, Any]:
        """The table as it may be typed; a door's U-value is left to its row."""
        tree = super().tree()
        if self.door is not None:
            del tree["u"]
        return tree


class Part(_Piece):
    """A part of the house that is made differently from the cover: insulated wall, kneewall, door, vent."""

    label: ClassVar[str] = "part"
    name: Annotated[str, f.Text()] = key("What you call it.", example="north wall insulation")
    on: Annotated[tuple[str, ...], f.Sides()] = key(
        "The side it belongs to, or several; with neither area nor height it takes the whole side.",
        example="north wall",
    )
    area: Annotated[float | None, f.AREA] = key("Its area.", None, example="20 ft2")
    width: Annotated[float | None, f.LENGTH] = key("Its width, with height in place of area.", None, example="3 ft")
    height: Annotated[float | None, f.LENGTH] = key(
        "Its height; without a width it is a strip along the foot of the side, such as a kneewall.",
        None,
        example="2 ft",
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        yield from super().settle(values, typed)
        if "area" in typed:
            for name in ("width", "height"):
                if name in typed:
                    yield left_out(name, "where area is given", typed[name], "Give the area, or width and height.")
        elif "width" in typed and "height" not in typed:
            yield given("height", "where width is given", 'height = "7 ft"')


class FreeSurface(_Piece):
    """One surface of a house whose shape is free."""

    label: ClassVar[str] = "surface"
    name: Annotated[str, f.Text()] = key("What you call it.", example="south slope")
    area: Annotated[float, f.AREA] = key("Its area.", example="520 ft2")
    tilt: Annotated[float, f.TILT] = key("0 deg faces the sky, 90 deg is upright.", example="30 deg")
    azimuth: Annotated[float, f.BEARING] = key(
        "Where it faces: 90 deg east, 180 deg south; not needed when flat.", 0.0, example="180 deg"
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        yield from super().settle(values, typed)
        if "azimuth" not in typed and values.get("tilt", 0.0) not in (0.0, 180.0):
            yield given("azimuth", "unless the surface lies flat", 'azimuth = "180 deg"')

    def tree(self) -> dict[str, Any]:
        """The table as it may be typed; north is written out unless the surface lies flat."""
        tree = super().tree()
        if self.tilt not in (0.0, 180.0):
            tree.setdefault("azimuth", "0.0 deg")
        return tree


class Space(Entry):
    """A shed, porch or vestibule that is not heated and shelters a part of the house."""

    label: ClassVar[str] = "space"
    name: Annotated[str, f.Text()] = key("What you call it; parts say behind = this name.", example="tool shed")
    volume: Annotated[float, f.VOLUME] = key("Its air.", example="600 ft3")
    area: Annotated[float, f.AREA] = key("Its own walls and roof towards the outdoors.", example="300 ft2")
    u: Annotated[float, f.U_VALUE] = key("Their U-value with the air films.", example="0.3 Btu/(h ft^2 degF)")
    ach: Annotated[float, f.Quantity("1/h", "air changes from 0 to 100 per hour", least=0, most=100, bare=True)] = key(
        "Air changes per hour with the outdoors.", 1.0, example=1.0
    )


class Floor(Entry):
    """The floor and the ground under it."""

    label: ClassVar[str] = "floor"
    kind: Annotated[str, f.Name("floors")] = key("Its name in the catalogue of floors.", "bare soil")
    soil: Annotated[str, f.Name("soils")] = key("The ground: sand, clay, rock; sand is the safe side.", "sand")
    insulation: Annotated[float, f.R_VALUE] = key("R-value under the whole floor.", 0.0, example="R-10")
    edge: Annotated[float | None, f.R_LAYER] = key("R-value of foam along the foundation.", None, example="R-10")
    depth: Annotated[float | None, f.LENGTH] = key(
        "How deep that foam reaches, or how wide it lies.", None, example="2 ft"
    )
    direction: Annotated[Literal["vertical", "horizontal"], f.Word(("vertical", "horizontal"))] = key(
        "Whether that foam goes down or lies flat.", "vertical"
    )
    wall_thickness: Annotated[float, f.LENGTH] = key(
        "Thickness of the foundation wall.", Standard("foundation_wall"), example="8 in"
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        if "edge" in typed and "depth" not in typed:
            yield given("depth", "where edge is given", 'depth = "2 ft"')
        for name in ("depth", "direction"):
            if name in typed and "edge" not in typed:
                yield left_out(name, "where edge is not given", typed[name], 'Add edge = "R-10" for the foam.')


class Doors(Entry):
    """How often and how long the doors stand open."""

    label: ClassVar[str] = "air.doors"
    count: Annotated[float, f.Quantity("1", "a number from 0 to 10000", least=0, most=10000, bare=True)] = key(
        "Openings a day.", example=10
    )
    seconds: Annotated[float, f.Quantity("s", "seconds from 0 to 86400", least=0, most=86400, bare=True)] = key(
        "How long each lasts.", example=20
    )
    area: Annotated[float, f.AREA] = key("The opening.", example="21 ft2")


_LEAKS = ("class", "ach", "n50", "leakage_area")


class Air(Entry):
    """How leaky the house is, said in one of four ways."""

    label: ClassVar[str] = "air"
    class_: Annotated[str | None, f.Name("infiltration")] = key(
        "Its leakage class in the infiltration catalogue.", None, example="structured sheet new", alias="class"
    )
    ach: Annotated[
        float | None, f.Quantity("1/h", "air changes from 0 to 100 per hour", least=0, most=100, bare=True)
    ] = key("Air changes per hour, always the same.", None, example=0.8)
    n50: Annotated[
        float | None, f.Quantity("1/h", "air changes from 0 to 1000 per hour", least=0, most=1000, bare=True)
    ] = key("Air changes per hour at 50 Pa, from a blower door.", None, example=10)
    leakage_area: Annotated[float | None, f.Quantity("m2", "an area from 0 to 100 m2", least=0, most=100)] = key(
        "All cracks together as one hole, at 4 Pa.", None, example="120 in2"
    )
    fan_power: Annotated[float, f.POWER] = key("Draw of the fans that stir the air.", 0.0, example="60 W")
    fan_film: Annotated[float, f.Quantity("W/(m2 K)", "a film from 0 to 25 W/(m2 K)", least=0, most=25)] = key(
        "Film of the inside faces that they keep up, where it is more than the usual.", 0.0, example="6 W/(m2 K)"
    )
    vent_steps: Annotated[float, f.Quantity("1", "a number from 1 to 6", least=1, most=6, bare=True)] = key(
        "Stages in which the vents open, each with an equal share.", 1.0, example=3
    )
    vent_step: Annotated[float, f.Quantity("K", "a difference above 0 and at most 15 K", above=0, most=15)] = key(
        "From one stage to the next.", 2.0, example="4 delta_degF"
    )
    doors: Annotated[Doors | None, One(Doors)] = key("Air that comes in when a door is opened.", None)

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        came = [name for name in _LEAKS if name in typed]
        if not came:
            line = 'class = "structured sheet new"'
            yield Fault((), f"{KEY} must hold class, ach, n50 or leakage_area, got none of them. Type {line}.")
        for extra in came[1:]:
            yield left_out(extra, f"where {came[0]} is given", typed[extra], "Keep the one you trust most.")


class Gains(Entry):
    """Heat from lamps, pumps and people, all year."""

    label: ClassVar[str] = "gains"
    power: Annotated[float, f.POWER] = key("Their mean power.", 0.0, example="200 W")
    radiant_share: Annotated[float, f.SHARE] = key(
        "Share given off as rays and not to the air.", Standard("gains_radiant_share"), example=0.5
    )


class Setpoint(Entry):
    """The temperatures to hold, for the whole year or between two dates."""

    label: ClassVar[str] = "setpoint"
    from_: Annotated[str | None, f.MonthDay()] = key(
        "First day, month first; with one setpoint for the year leave from and to out.",
        None,
        example="10-01",
        alias="from",
    )
    to: Annotated[str | None, f.MonthDay()] = key("Last day.", None, example="04-30")
    day: Annotated[float, f.TEMPERATURE] = key("Heated to this by day.", example="55 degF")
    night: Annotated[float, f.TEMPERATURE] = key("Heated to this at night; the same as day if left out.", math.nan)
    vent: Annotated[float | None, f.TEMPERATURE] = key("Vents open at this.", None, example="80 degF")
    cool: Annotated[float | None, f.TEMPERATURE] = key("Cooled down to this by a machine.", None, example="85 degF")
    humidity: Annotated[
        float | None,
        f.Quantity(
            "1", "a share above 0 and at most 1", above=0, most=1, bare=True, hint='85 % is typed 0.85 or "85 %".'
        ),
    ] = key("Relative humidity at which vents open to dry the house.", None, example=0.9)
    sun_above: Annotated[float | None, f.Quantity("W/m2", "a sun from 0 to 1000 W/m2", least=0, most=1000)] = key(
        "The day's temperature only while the sun on level ground is above this.", None, example="100 W/m2"
    )
    ramp: Annotated[float, f.Quantity("h", "a time from 0 to 24 h", least=0, most=24)] = key(
        "Time in which the setpoint climbs from night to day.", 0.0, example="1 h"
    )
    day_from: Annotated[str | None, f.Clock()] = key(
        "When the day begins; at sunrise if left out.", None, example="07:00"
    )
    day_to: Annotated[str | None, f.Clock()] = key("When the day ends; at sunset if left out.", None, example="19:00")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        if "night" not in typed and "day" in values:
            values["night"] = values["day"]
        pairs = (("from", "to", "04-30"), ("to", "from", "10-01"), ("day_from", "day_to", "19:00"),
                 ("day_to", "day_from", "07:00"))  # fmt: skip
        for one, other, line in pairs:
            if one in typed and other not in typed:
                yield given(other, f"where {one} is given", f'{other} = "{line}"')
        heated = [(values[name], name) for name in ("day", "night") if name in values and name in typed]
        if heated:
            top, warmest = max(heated)
            for name in ("vent", "cool"):
                if name in values and not values[name] > top:
                    yield Fault(
                        (name,),
                        f"{KEY} must be warmer than {warmest} {shown(typed[warmest])}, got {shown(typed[name])}. "
                        "Otherwise the heater works against the open vents.",
                    )


RADIANT_SHARES = {"fan": 0.0, "pipe": 0.45, "floor": 0.0, "radiant": 0.6}
"""Share of rays by the way the heat comes in; heating texts, from memory: pipes 0.4 to 0.5, rays 0.5 to 0.8."""


class HeaterUse(Entry):
    """A heater; the first is the main one, the next give what it cannot."""

    label: ClassVar[str] = "heater"
    name: Annotated[str, f.Text()] = key("What you call it.", example="pellet boiler")
    type: Annotated[str | None, f.Name("heaters")] = key(
        "Its name in the heater catalogue.", None, example="pellet boiler"
    )
    fuel: Annotated[str | None, f.Name("fuels")] = key("Its name in the fuel catalogue.", None, example="pellets")
    output: Annotated[float | None, f.POWER_ABOVE] = key(
        "The most heat it can give the house; without it as much as is needed.", None, example="60000 Btu/h"
    )
    input: Annotated[float | None, f.POWER_ABOVE] = key(
        "The most fuel it can burn, where the label says that in place of the output.", None, example="75000 Btu/h"
    )
    efficiency: Annotated[
        float | None,
        f.Quantity(
            "1", "a share above 0 and at most 10", above=0, most=10, bare=True, hint='80 % is typed 0.8 or "80 %".'
        ),
    ] = key("Share of the fuel's heat that reaches the house over a season.", None, example=0.8)
    steady_efficiency: Annotated[
        float | None,
        f.Quantity(
            "1", "a share above 0 and at most 1.1", above=0, most=1.1, bare=True, hint='80 % is typed 0.8 or "80 %".'
        ),
    ] = key("The same at full fire, as on a test bench; starts, idling and ash then count on top.", None, example=0.85)
    basis: Annotated[Literal["hhv", "lhv"] | None, f.Word(("hhv", "lhv"))] = key(
        "Which heat of the fuel the efficiency counts on: hhv (higher, usual in America) or lhv (lower).",
        None,
        example="hhv",
    )
    radiant_share: Annotated[float, f.SHARE] = key(
        "Share given off as rays: 0 for a unit heater, 0.4 for a stove.", None
    )
    from_: Annotated[str | None, f.MonthDay()] = key(
        "First day in use, month first.", None, example="09-15", alias="from"
    )
    to: Annotated[str | None, f.MonthDay()] = key("Last day in use.", None, example="05-31")
    price: Annotated[float | None, f.Price()] = key(
        "What the fuel costs you, per trade unit.", None, example="280 usd/short_ton"
    )
    unvented: Annotated[bool, f.Flag()] = key(
        "true for a flame without a flue, whose vapor stays inside; dangerous, and often against the code.", False
    )
    order: Annotated[Literal["base", "backup"], f.Word(("base", "backup"))] = key(
        "base heats first; backup gives what all base heaters together cannot.", "base"
    )
    distribution: Annotated[
        Literal["fan", "pipe", "floor", "radiant"] | None, f.Word(("fan", "pipe", "floor", "radiant"))
    ] = key("How its heat comes into the house: blown air, hot-water pipes, a warm floor, rays.", None, example="pipe")
    cut_off: Annotated[float | None, f.TEMPERATURE] = key(
        "A heat pump stops when it is colder outdoors than this.", None, example="-13 degF"
    )
    minimum: Annotated[float | None, f.POWER_ABOVE] = key(
        "Its smallest fire, as heat into the house.", None, example="15000 Btu/h"
    )
    standby: Annotated[float | None, f.POWER] = key(
        "Fuel it burns while it waits: a pilot, a jacket kept hot.", None, example="200 W"
    )
    start: Annotated[float | None, f.Quantity("J", "an energy from 0 to 100 kWh", least=0, most=3.6e8)] = key(
        "Fuel that each start costs.", None, example="0.5 kWh"
    )
    electric: Annotated[float | None, f.POWER] = key(
        "What its fan, auger and pump draw while it runs.", None, example="120 W"
    )
    hopper: Annotated[float | None, f.MASS] = key("Fuel its hopper holds.", None, example="120 lb")
    load: Annotated[float | None, f.MASS] = key("Fuel in one load, filled by hand.", None, example="40 lb")
    moisture: Annotated[float | None, f.Quantity("1", "a share from 0 to 0.7", least=0, most=0.7, bare=True)] = key(
        "Water in its wood, as a share of the whole weight; 0.2 is a year under cover.", None, example=0.2
    )

    @classmethod
    def unknown(cls, typed: Mapping[str, Any]) -> Iterator[Fault]:
        """A bare rating says neither what goes in nor what comes out."""
        rest = {name: value for name, value in typed.items() if name not in ("rating", "size", "power")}
        for name in typed.keys() - rest.keys():
            line = f"output = {shown(typed[name])} for heat into the house, or input = ... for heat in the fuel"
            yield Fault((name,), f"{KEY} must say input or output, got {shown(typed[name])}. Type {line}.")
        yield from super().unknown(rest)

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        if "type" not in typed:
            for name, line in (("fuel", '"pellets"'), ("efficiency", "0.8"), ("basis", '"hhv"')):
                if name not in typed and not (name == "efficiency" and "steady_efficiency" in typed):
                    yield given(name, "where type is not", f"{name} = {line}, or a type from the catalogue of heaters")
        for one, other, line in (("from", "to", "05-31"), ("to", "from", "09-15")):
            if one in typed and other not in typed:
                yield given(other, f"where {one} is given", f'{other} = "{line}"')
        row = catalogue.row("heaters", values["type"], f.OWN.get()) if values.get("type") else None
        if "radiant_share" not in typed:
            way = values.get("distribution")
            values["radiant_share"] = RADIANT_SHARES[way] if way else row["radiant_share"] if row else 0.0
        pump = row is not None and bool(row.table)
        yield from _efficiency(values, typed, pump=pump)
        yield from _rating(typed, pump=pump)
        fuel = values.get("fuel") or (row.text("fuel") if row else None)
        if "moisture" in typed and fuel and catalogue.row("fuels", fuel, f.OWN.get()).get("solid_share") is None:
            yield left_out("moisture", f"for {fuel}", typed["moisture"], "It is for cordwood.")
        if "price" in values and fuel and ("fuel" in values or "fuel" not in typed):
            try:
                values["price"] = units.parse_price(values["price"], _trade_unit(fuel), name=KEY)
            except InputError as error:
                yield Fault(("price",), str(error))

    def tree(self) -> dict[str, Any]:
        """The table as it may be typed, the price by the trade unit of the fuel."""
        tree = super().tree()
        if self.price is not None:
            fuel = self.fuel or catalogue.row("heaters", str(self.type), f.OWN.get()).text("fuel")
            tree["price"] = f"{self.price!r} usd/{_trade_unit(fuel)}"
        return tree


def _trade_unit(fuel: str) -> str:
    return catalogue.row("fuels", fuel, f.OWN.get()).text("unit")


def _efficiency(values: Mapping[str, Any], typed: Mapping[str, Any], *, pump: bool) -> Iterator[Fault]:
    limit = 1.1 if values.get("basis") == "lhv" else 1.0
    for name in ("efficiency", "steady_efficiency"):
        if not pump and values.get(name, 0.0) > limit:
            yield Fault(
                (name,),
                f"{KEY} must be at most {limit:g}{' on lhv' if limit > 1 else ''}, got {shown(typed[name])}. "
                'A heat pump needs its curve: type = "heat pump".',
            )
    if "efficiency" in typed and "steady_efficiency" in typed:
        yield left_out(
            "steady_efficiency", "where efficiency is given", typed["steady_efficiency"], "A season's has it all in."
        )


def _rating(typed: Mapping[str, Any], *, pump: bool) -> Iterator[Fault]:
    if "output" in typed and "input" in typed:
        yield left_out("input", "where output is given", typed["input"], "Keep the one on the label.")
    if pump and "input" in typed:
        yield left_out("input", "for a heat pump", typed["input"], "Type the output rated at 8 degC (47 degF).")
    if "cut_off" in typed and not pump:
        yield left_out("cut_off", "but for a heat pump", typed["cut_off"], "A fire burns at any cold.")


def _words(name: str, words: tuple[str, ...], meaning: str) -> Any:
    return key(f"{meaning}: {', '.join(words)}.", words[0])


FILMS = ("fan", "natural", "iso_6946", "glasshouse", "film_house", "film_tunnel", "rough_surface", "fixed")
SKIES = ("auto", "berdahl_martin", "swinbank", "brutsaert", "clark_allen", "fixed_11k", "outdoor")
GROUNDS = ("iso_13370", "f_factor", "outdoor")
LATENTS = ("leaves", "regression", "share", "none")
SUNS = ("perez", "haydavies", "isotropic", "none")
EXCHANGES = ("wind_stack", "constant", "fixed_density")
SNOWS = ("roof", "none")


class Method(Entry):
    """Which published form each part of the sum uses; the first word of each is the default."""

    label: ClassVar[str] = "method"
    films: Annotated[str, f.Word(FILMS)] = _words("films", FILMS, "Air films at the faces")
    sky: Annotated[str, f.Word(SKIES)] = _words("sky", SKIES, "Temperature of the sky")
    ground: Annotated[str, f.Word(GROUNDS)] = _words("ground", GROUNDS, "Loss through the floor")
    latent: Annotated[str, f.Word(LATENTS)] = _words(
        "latent", LATENTS, "Moisture: balanced with leaves or a regression for the crop, a share of the sun, or none"
    )
    sun: Annotated[str, f.Word(SUNS)] = _words("sun", SUNS, "Sun on tilted surfaces")
    snow: Annotated[str, f.Word(SNOWS)] = _words("snow", SNOWS, "Snow on roof and ground, where the file tells")
    air_exchange: Annotated[str, f.Word(EXCHANGES)] = _words("air_exchange", EXCHANGES, "Air leaks")
