"""What moves the fuel most: one thing at a time, and two at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss import catalogue
from heatloss.batch import simulate_many
from heatloss.errors import InputError, UnknownNameError
from heatloss.variants import INPUTS

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather


@dataclass(frozen=True)
class Lever:
    """One thing about a house that can stand lower or higher.

    Attributes
    ----------
    words : str
        For charts.
    unit : str
        Of its values.
    low, high : float
        What is tried; see ``why``.
    why : str
        Where the two come from.
    house : callable (House, value) -> House
        InputError where it does not fit a house.
    """

    words: str
    unit: str
    low: float
    high: float
    why: str
    house: Callable[[House, float], House]


def _night(house: House, more: float) -> House:
    """Nights warmer or colder; days as they are."""
    moved = tuple(s.model_copy(update={"night": s.night + more}) for s in house.setpoint)
    return house.model_copy(update={"setpoint": moved})


def _curtain(house: House, resistance: float) -> House:
    """The house's curtains with this resistance; a house without one gets one on all its glazing; 0 takes them away."""
    if resistance == 0.0:
        return house.changed(curtain=[])
    hung = house if house.curtain else house.changed(curtain=[{"material": "energy curtain"}])
    own = dict(hung.own or {})
    rows = {c.material: catalogue.row("curtains", c.material, hung.own) for c in hung.curtain}
    own["curtains"] = {**own.get("curtains", {})} | {
        name: replace(row, fields={**row.fields, "resistance": replace(row.fields["resistance"], value=resistance)})
        for name, row in rows.items()
    }
    hung = hung.model_copy()
    hung._own = own
    return hung


def _latent(house: House, share: float) -> House:
    """The share of the sun that goes into vapour, where that is how the house reckons moisture."""
    if house.method.latent != "share":
        raise InputError(f"latent must be share to be moved, got {house.method.latent!r} (method).")
    return INPUTS["latent"].house(house, share)


def _edge(house: House, resistance: float) -> House:
    """Foam along the foundation, as deep as the house has it, else 2 ft."""
    floor = {k: v for k, v in house.tree().get("floor", {}).items() if k not in ("edge", "depth", "direction")}
    if resistance > 0.0:
        depth = house.floor.depth or 0.6096
        floor |= {"edge": f"RSI-{resistance!r}", "depth": f"{depth!r} m", "direction": house.floor.direction}
    return house.changed(floor=floor)


def _bearing(house: House, more: float) -> House:
    shape = house.tree()["shape"]
    if house.shape.bearing is None:
        raise InputError("shape must have a bearing to be turned, got none.")
    return house.changed(shape={**shape, "bearing": f"{(house.shape.bearing + more) % 360.0!r} deg"})


def _water(house: House, volume: float) -> House:
    """More water in the sun, in barrels with lids."""
    barrels = {"name": "more water", "volume": f"{volume!r} m3", "in_sun": True, "lid": True}
    return house.changed(water=[*house.tree().get("water", []), barrels]) if volume > 0.0 else house


LEVERS: dict[str, Lever] = {
    "leakage": Lever("air leaking in and out", "times", 0.6, 1.7, "10 to 90 % of houses of a class (judgement)",
                     INPUTS["leakage"].house),
    "u": Lever("U-value of the glazing", "times", 0.87, 1.13, "10 to 90 % of a rating as built (judgement)",
               INPUTS["u"].house),
    "setpoint": Lever("all setpoints", "K", -1.0, 1.0, "error of a thermostat (common practice)",
                      INPUTS["setpoint"].house),
    "night": Lever("night setpoint", "K", -3.0, 3.0, "5 degF either way", _night),
    "light": Lever("light through the glazing", "times", 0.9, 1.1, "dirt and age (judgement)", INPUTS["light"].house),
    "latent": Lever("sun that goes into vapor", "share", 0.15, 0.45, "range of the catalogue (judgement)",
                    _latent),
    "inside_film": Lever("air moving along the inside", "W/(m2 K)", 2.5, 5.0, "still air to fans (judgement)",
                         INPUTS["inside_film"].house),
    "curtain": Lever("night curtain", "m2 K/W", 0.0, 0.16, "none to an aluminized one (catalogue)", _curtain),
    "edge": Lever("foundation foam", "m2 K/W", 0.0, 1.76, "none to R-10", _edge),
    "water": Lever("more water in the sun", "m3", 0.0, 2.0, "none to ten barrels", _water),
    "bearing": Lever("bearing of the ridge", "deg", -45.0, 45.0, "an eighth of a turn either way", _bearing),
}  # fmt: skip
"""What can be moved, by name. The ranges are for comparing one with the other; they are not all equally likely."""


def one_at_a_time(
    house: House,
    weather: Weather,
    levers: Mapping[str, Lever] | None = None,
    *,
    steps_per_hour: int = 1,
    iterations: int = 2,
    progress: Callable[[int], object] | None = None,
) -> pd.DataFrame:
    """Fuel with each thing low and high, all else as it is.

    Parameters
    ----------
    house : House
        With a heater.
    weather : Weather
    levers : {name: Lever}, optional
        In place of :data:`LEVERS`.
    steps_per_hour, iterations, progress
        As for ``simulate_many``.

    Returns
    -------
    frame
        Index ``input``, the one that moves the fuel most first; ``words``, ``unit``, ``low``, ``high`` (values tried),
        ``fuel_low``, ``fuel_high``, ``fuel`` (as it is, in the trade unit), ``swing`` (largest less smallest, as a
        share of ``fuel``), ``why``. What does not fit the house is left out.

    Raises
    ------
    InputError
        For a house without heater.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> few = {name: LEVERS[name] for name in ("leakage", "edge")}
    >>> found = one_at_a_time(sample_house(), read_weather("chicago"), few)
    >>> list(found.index), bool(found.loc["leakage", "fuel_low"] < found.loc["leakage", "fuel_high"])
    (['leakage', 'edge'], True)
    """
    _heated(house)
    chosen = LEVERS if levers is None else levers
    houses: dict[str, House] = {"": house}
    for name, lever in chosen.items():
        try:
            houses |= {f"{name} {end}": lever.house(house, getattr(lever, end)) for end in ("low", "high")}
        except InputError:
            continue
    fuel = _fuel(houses, weather, steps_per_hour, iterations, progress)
    rows = []
    for name, lever in chosen.items():
        ends = [fuel.get(f"{name} {end}", np.nan) for end in ("low", "high")]
        if np.isfinite(ends).all():
            most, least = max(*ends, fuel[""]), min(*ends, fuel[""])
            rows.append((name, lever.words, lever.unit, lever.low, lever.high, *ends, fuel[""],
                         (most - least) / fuel[""] if fuel[""] else np.nan, lever.why))  # fmt: skip
    columns = ["input", "words", "unit", "low", "high", "fuel_low", "fuel_high", "fuel", "swing", "why"]
    frame = pd.DataFrame(rows, columns=columns).set_index("input")
    return frame.sort_values("swing", ascending=False, kind="stable")


def map_of_two(
    house: House,
    weather: Weather,
    first: str,
    first_values: Sequence[float],
    second: str,
    second_values: Sequence[float],
    *,
    steps_per_hour: int = 1,
    iterations: int = 2,
    progress: Callable[[int], object] | None = None,
) -> pd.DataFrame:
    """Fuel over two things moved at once.

    Parameters
    ----------
    house : House
    weather : Weather
    first, second : str
        Of :data:`LEVERS`.
    first_values, second_values : sequence of float
        In the units of the lever.
    steps_per_hour, iterations, progress
        As for ``simulate_many``.

    Returns
    -------
    frame
        Index the first values, columns the second; fuel of the first heater in its trade unit, NaN where a house
        cannot be.

    Raises
    ------
    InputError
        For unknown names, the same name twice, or no values.
    """
    _heated(house)
    for name in (first, second):
        if name not in LEVERS:
            raise UnknownNameError("input", name, LEVERS)
    if first == second or not len(first_values) or not len(second_values):
        raise InputError(f"inputs must be two, each with values, got {first!r} and {second!r}.")
    houses: dict[str, House] = {}
    for a in first_values:
        for b in second_values:
            try:
                houses[f"{a!r} {b!r}"] = LEVERS[second].house(LEVERS[first].house(house, a), b)
            except InputError:
                continue
    fuel = _fuel(houses, weather, steps_per_hour, iterations, progress)
    table = [[fuel.get(f"{a!r} {b!r}", np.nan) for b in second_values] for a in first_values]
    return pd.DataFrame(table, index=pd.Index(first_values, name=first), columns=pd.Index(second_values, name=second))


def _heated(house: House) -> None:
    if not house.heater:
        raise InputError("heater must be given to know what moves its fuel, got none. Add a [[heater]] table.")


def _fuel(
    houses: Mapping[str, House],
    weather: Weather,
    steps_per_hour: int,
    iterations: int,
    progress: Callable[[int], object] | None,
) -> dict[str, float]:
    frame = simulate_many(
        houses, weather, steps_per_hour=steps_per_hour, iterations=iterations, progress=progress
    ).frame
    return {str(name): float(fuel) for name, fuel in frame["fuel"].items()}
