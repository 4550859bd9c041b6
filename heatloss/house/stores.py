"""Tables of odd stores and sources: buried pipes, a mass stove, compost, lamps, people."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar

from heatloss.house import fields as f
from heatloss.house.entry import Entry, Fault, Standard, given, key
from heatloss.house.fields import KEY, shown

COUNT = f.Quantity("1", "a number above 0 and at most 10000", above=0, most=10000, bare=True)
HOURS = f.Quantity("h", "a time above 0 and at most 24 h", above=0, most=24)
DAYS = f.Quantity("day", "a time above 0 and at most 1000 days", above=0, most=1000)
SUN = f.Quantity("W/m2", "a sun from 0 to 1000 W/m2", least=0, most=1000)


class _Timed(Entry):
    """Dates and a clock, each pair given whole."""

    name: Annotated[str, f.Text()] = key("What you call it.", example="bench")
    from_: Annotated[str | None, f.MonthDay()] = key("First day, month first.", None, example="10-01", alias="from")
    to: Annotated[str | None, f.MonthDay()] = key("Last day.", None, example="04-30")
    start: Annotated[str | None, f.Clock()] = key("When it begins; all day if left out.", None, example="06:00")
    end: Annotated[str | None, f.Clock()] = key("When it ends.", None, example="09:00")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        pairs = (("from", "to", "04-30"), ("to", "from", "10-01"), ("start", "end", "09:00"), ("end", "start", "06:00"))
        for one, other, line in pairs:
            if one in typed and other not in typed:
                yield given(other, f"where {one} is given", f'{other} = "{line}"')


class Lamps(_Timed):
    """Lamps over the plants, by the clock."""

    label: ClassVar[str] = "lamps"
    power: Annotated[float, f.POWER_ABOVE] = key("What they draw.", example="2000 W")
    radiant_share: Annotated[float, f.SHARE] = key("Share given off as light and rays.", Standard("lamp_radiant_share"))
    vapor_share: Annotated[float, f.SHARE] = key(
        "Share of the power that plants turn into vapor.", Standard("lamp_vapor_share")
    )


class People(_Timed):
    """People at work in the house, by the clock."""

    label: ClassVar[str] = "people"
    count: Annotated[float, COUNT] = key("How many.", example=2)
    heat: Annotated[float, f.POWER] = key("What one gives, vapor counted.", Standard("person_heat"))
    vapor_share: Annotated[float, f.SHARE] = key("Share of it in vapor.", Standard("person_vapor_share"))


class BuriedPipe(_Timed):
    """House air that a fan moves through pipes in the soil under the floor."""

    label: ClassVar[str] = "buried_pipe"
    length: Annotated[float, f.LENGTH] = key("Of one pipe.", example="40 ft")
    diameter: Annotated[float, f.LENGTH] = key("Inside one pipe.", example="4 in")
    count: Annotated[float, COUNT] = key("How many pipes side by side.", example=8)
    depth: Annotated[float, f.LENGTH] = key("How deep they lie.", example="3 ft")
    spacing: Annotated[float, f.LENGTH] = key("From one pipe to the next.", example="2 ft")
    flow: Annotated[float, f.Quantity("m3/s", "a flow above 0 and at most 100 m3/s", above=0, most=100)] = key(
        "Air through all pipes together.", example="800 ft3/min"
    )
    fan: Annotated[float, f.POWER] = key("What the fan draws.", example="150 W")
    sun_above: Annotated[float | None, SUN] = key(
        "It runs while the sun on level ground is above this.", None, example="200 W/m2"
    )
    warm_above: Annotated[float | None, f.TEMPERATURE] = key(
        "It runs while it is warmer outdoors than this.", None, example="60 degF"
    )
    cold_below: Annotated[float | None, f.TEMPERATURE] = key(
        "It runs while it is colder outdoors than this.", None, example="35 degF"
    )

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        yield from super().settle(values, typed)
        if "spacing" in values and "diameter" in values and not values["spacing"] > values["diameter"]:
            yield Fault(
                ("spacing",),
                f"{KEY} must be wider than the pipe's diameter, got {shown(typed['spacing'])}. "
                "It is from middle to middle.",
            )


class MassStove(_Timed):
    """A masonry heater: fired for hours, warm for a day."""

    label: ClassVar[str] = "mass_stove"
    mass: Annotated[float, f.MASS] = key("Weight of its body.", example="4000 lb")
    area: Annotated[float, f.AREA] = key("Its warm face.", example="80 ft2")
    load: Annotated[float, f.MASS] = key("Fuel of one firing.", example="40 lb")
    fuel: Annotated[str, f.Name("fuels")] = key("Its name in the catalogue of fuels.")
    efficiency: Annotated[
        float | None, f.Quantity("1", "a share above 0 and at most 1", above=0, most=1, bare=True)
    ] = key("Heat into body and room over that in the fuel; the row masonry heater's if left out.", None, example=0.65)
    at_once: Annotated[float, f.SHARE] = key("Share of that heat that the room takes while it burns.", 0.1)
    fire_at: Annotated[str, f.Clock()] = key("When it is lit, every day of its dates.", example="18:00")
    burns: Annotated[float, HOURS] = key("How long it burns.", 2.0, example="2 h")
    colder_than: Annotated[float | None, f.TEMPERATURE] = key(
        "Only on days with a mean outdoors below this.", None, example="35 degF"
    )
    price: Annotated[float | None, f.Quantity("usd", "a price", least=0, most=1e6, bare=True)] = key(
        "Dollars per unit of trade of the fuel.", None, example=250
    )


class Compost(Entry):
    """A heap of compost whose heat reaches the house."""

    label: ClassVar[str] = "compost"
    name: Annotated[str, f.Text()] = key("What you call it.", example="north heap")
    volume: Annotated[float, f.VOLUME] = key("Of the fresh heap.", example="20 yd3")
    built: Annotated[str, f.MonthDay()] = key("When it is built, month first.", example="11-01")
    heat: Annotated[float, f.Quantity("W/m3", "a heat from 0 to 5000 W/m3", least=0, most=5000)] = key(
        "Of fresh compost by volume.", Standard("compost_heat")
    )
    decay: Annotated[float, DAYS] = key("Time in which it falls to 37 %.", Standard("compost_decay"))
    share: Annotated[float, f.SHARE] = key("Share of it that reaches the house.", Standard("compost_share"))
