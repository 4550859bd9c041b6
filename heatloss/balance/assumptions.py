"""What a season assumed, in sentences: every default that was used stands here with its number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from heatloss import catalogue
from heatloss.balance.drivers import SHELTERS
from heatloss.balance.floor import perimeter_factor
from heatloss.balance.tanks import BOTTOM_FILM
from heatloss.physics.snow import FREEZES, STEEPEST

if TYPE_CHECKING:
    from heatloss.balance.assemble import Assembly
    from heatloss.balance.drivers import Drivers
    from heatloss.geometry import Geometry
    from heatloss.house import House

OUTSIDE = {
    "fan": "2.8 + 3.0 u",
    "natural": "2.8 + 3.0 u",
    "iso_6946": "4 + 4 u (ISO 6946)",
    "glasshouse": "2.8 + 1.2 u, 2.5 u^0.8 from 4 m/s (glasshouse)",
    "film_house": "7.2 + 3.84 u (film house)",
    "film_tunnel": "0.95 + 6.76 u^0.49 (film tunnel)",
    "rough_surface": "the root of the squares of 3.0 u^0.75 and 0.84 dT^(1/3)",
}
SKIES = {
    "longwave": "the file's own long-wave column",
    "berdahl_martin": "Berdahl and Martin from dew point and opaque cloud",
    "swinbank": "Swinbank from air temperature, a clear sky",
    "brutsaert": "Brutsaert from vapour pressure, a clear sky",
    "clark_allen": "Clark and Allen from dew point and opaque cloud",
    "fixed_11k": "a fixed 11 K below the air, since the file knows neither cloud nor long wave",
    "outdoor": "the outdoor air temperature",
}
MOIST = ("leaves", "regression")
"""Words of the method by which vapour is balanced."""
EXCHANGE = {
    "wind_stack": "moves with wind and temperature difference",
    "constant": "is constant",
    "fixed_density": "is constant, of air at 1.2 kg/m3",
}


def assumptions(house: House, geometry: Geometry, drivers: Drivers, made: Assembly) -> tuple[str, ...]:
    """The sentences, in the order of the balance: air films, sky, sun, vapour, ground, air, controls."""
    return (
        *_films(house, drivers),
        *_sun(house, drivers),
        *_vapour(house, made),
        *_ground(house, made),
        *_tanks(house),
        *_air(house),
        *_controls(house, made),
        *geometry.notes,
    )


def defaults_used(house: House, drivers: Drivers) -> tuple[str, ...]:
    """Names of the default rows that stand behind keys the house does not type or types alike."""
    pieces = (*house.part, *house.surface)
    held: dict[str, set[float]] = {
        "bridging": {house.cover.bridging},
        "frame": {house.cover.frame},
        "soiling": {house.cover.soiling},
        "condensate": {house.cover.condensate},
        "foundation_wall": {house.floor.wall_thickness},
        "absorptance_opaque": {p.solar_absorptance for p in pieces},
        "emissivity_opaque": {p.emissivity for p in pieces},
        "curtain_edge_leak": {c.edge_leak for c in house.curtain if c.form == "panel"},
        "curtain_gap": {c.edge_leak for c in house.curtain if c.form == "levels"},
        "planted_share": {house.canopy.share} if house.method.latent in MOIST else set(),
        "leaf_area": {house.canopy.leaf_area} if house.method.latent in MOIST else set(),
        "gains_radiant_share": {house.gains.radiant_share} if house.gains.power else set(),
    }
    used = [name for name, values in held.items() if _default(house, name) in values]
    used += [SHELTERS[house.place.shelter], "wind_exponent"]
    if not drivers.albedo_known and house.method.sun != "none":
        used.append("albedo")
    return tuple(used)


def _default(house: House, name: str) -> float:
    return catalogue.default(name, house.own)


def _films(house: House, drivers: Drivers) -> Iterator[str]:
    method = house.method
    if method.films == "fixed":
        yield "Air films are the fixed ones of each rating, heat rays within them."
    else:
        least = _default(house, "inside_film_minimum")
        inside = (
            "natural convection alone"
            if method.films == "natural"
            else f"natural convection, at least {least:g} W/(m2 K): fans, plants or water stir the air"
        )
        yield f"Inside air film: {inside}."
        factor = _default(house, SHELTERS[house.place.shelter])
        yield (
            f"Outside air film: {OUTSIDE[method.films]} W/(m2 K), u the wind at the house: the station's, less by "
            f"height and by shelter ({house.place.shelter}, x {factor:g})."
        )
    yield f"Sky temperature: {SKIES[drivers.sky_form]}."
    yield f"Bars and joints add {100 * (house.cover.bridging - 1):.3g} % to what the panes conduct."


def _sun(house: House, drivers: Drivers) -> Iterator[str]:
    if house.method.sun == "none":
        yield "No sun is counted."
        return
    ground = "the file's albedo" if drivers.albedo_known else f"an albedo of {_default(house, 'albedo'):g}"
    yield (
        f"Sun on each surface by the {house.method.sun} sky over ground with {ground}; bars stop "
        f"{100 * house.cover.frame:.3g} % of the light and dirt {100 * (1 - house.cover.soiling):.3g} %."
    )
    if not house.place.obstacles:
        yield "Nothing hides the sun: no tree line, house or hill is typed under place.obstacles."
    if house.method.snow == "none" or drivers.snowfall is None:
        why = "by the method word snow" if house.method.snow == "none" else "since the weather file tells none"
        yield f"Snow on roof and ground is not counted, {why}."
    else:
        yield (
            f"Snow lies where rain fell below {FREEZES:g} degC and lets {100 * _default(house, 'snow_light'):.3g} % of "
            f"the light through a roof flatter than {STEEPEST:g} deg, until its outer face is above that for 3 hours."
        )
    if house.method.latent != "none":
        yield (
            f"Plants and benches take up {100 * _default(house, 'crossing_light'):.3g} % of the light on its way to "
            "walls and far glazings."
        )
        yield (
            f"Drops on the cover let {100 * house.cover.condensate:.3g} % of the light through in the first 4 hours of "
            "day."
        )


def _vapour(house: House, made: Assembly) -> Iterator[str]:
    latent = house.method.latent
    if latent == "none":
        yield "No vapour is counted: a dry house."
        return
    if latent == "share":
        yield (
            f"{100 * _default(house, 'latent_share'):.3g} % of the sun that floor, beds and plants take up goes into "
            "vapour and leaves with the air; drying by extra venting is not counted."
        )
        if any(tank.in_sun and not tank.lid for tank in house.water):
            open_water = _default(house, "latent_share_full")
            yield f"Of the sun that open tanks take up, {100 * open_water:.3g} % evaporates."
        return
    canopy = house.canopy
    if canopy.share * canopy.leaf_area > 0.0:
        how = (
            "by the regression on light and dryness"
            if latent == "regression" or house.method.films == "fixed"
            else "by their pores, open in the light, at a temperature of their own"
        )
        yield (
            f"Vapour is balanced hour by hour: {100 * canopy.share:.3g} % of the floor is planted, with "
            f"{canopy.leaf_area:g} m2 of leaves to the m2, which transpire {how}."
        )
    else:
        yield "Vapour is balanced hour by hour; nothing grows."
    yield (
        "Floor and beds evaporate as wet as their rows say, open water freely; vapour condenses on whatever is colder "
        "than its dew point, warms it and runs off."
    )
    if made.losses.get("drying"):
        yield (
            "Where a setpoint names a humidity, vents open for it by at most "
            f"{_default(house, 'drying_air_changes'):g} air changes an hour, as far as the air outside is the drier."
        )
    else:
        yield "No humidity is named in a setpoint: nothing is vented to dry the house."


def _ground(house: House, made: Assembly) -> Iterator[str]:
    floor = house.floor
    if house.method.ground == "f_factor":
        name, factor = perimeter_factor(house)
        yield f"Ground by the perimeter method: {factor:g} W/(m K) ({name}), no lag."
    elif house.method.ground == "outdoor":
        yield "The deep ground follows the outdoor air (a method for checks)."
    else:
        if made.ground_again:
            yield "The monthly means inside left the first guess by more than 0.5 K: the ground was worked out again."
        edge = (
            f"edge foam R-{floor.edge / 0.1761101838:.3g} to {floor.depth:.3g} m, {floor.direction}"
            if floor.edge
            else "no edge insulation"
        )
        yield f"Ground by ISO 13370: {floor.kind} on {floor.soil}, {edge}; half a metre of soil stores heat."


def _air(house: House) -> Iterator[str]:
    if any(p.behind == "house" for p in (*house.part, *house.surface)):
        yield f"The house behind the shared wall is {_default(house, 'house_temperature'):g} degC warm all year."
    air = house.air
    said = (
        f"class {air.class_!r}"
        if air.class_
        else f"{air.ach:g} per hour"
        if air.ach is not None
        else f"n50 {air.n50:g} per hour / 20"
        if air.n50 is not None
        else f"leakage area {1e4 * (air.leakage_area or 0):.4g} cm2 at 4 Pa, with wind and stack"
    )
    moves = f", which {EXCHANGE[house.method.air_exchange]}" if air.class_ else ""
    yield f"Air exchange: {said}{moves}."
    for curtain in house.curtain:
        levels = curtain.form == "levels" and house.method.films != "fixed"
        how = "with air of its own above" if levels else "as a resistance added to the panes"
        yield (
            f"Curtain {curtain.material!r} ({curtain.schedule}) {how}, {100 * curtain.edge_leak:.3g} % of it open at "
            "edges."
        )


def _tanks(house: House) -> Iterator[str]:
    if house.water:
        yield f"Tanks stand on the floor, {BOTTOM_FILM:g} m2 K/W between, and on the foam if their sides have any."


def _controls(house: House, made: Assembly) -> Iterator[str]:
    if not house.setpoint:
        yield "No setpoint is given: nothing heats or vents."
        return
    if not any(s.vent is not None or s.cool is not None for s in house.setpoint):
        yield "No vent temperature is given: the house never vents and its soil stores more summer heat."
    elif any(s.vent is not None for s in house.setpoint):
        yield f"Open vents exchange at most {_default(house, 'vent_air_changes'):g} air changes an hour."
    for heater in house.heater:
        if heater.radiant_share > 0.0:
            yield (
                f"{heater.name} gives {100 * heater.radiant_share:.3g} % of its heat as rays, part of which warm the "
                "cover at once."
            )
        if heater.output is None:
            yield f"{heater.name} has no output typed: it gives whatever is needed."
    if not house.heater:
        yield "No heater is given: whatever heat is needed comes, from no fuel."
