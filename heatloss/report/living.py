"""Fish and crop: the temperatures of a season beside the limits of what lives in the house."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas as pd

from heatloss.catalogue import Row, row
from heatloss.report.measures import MONTHS, Units, heading, temperature, wrapped

if TYPE_CHECKING:
    from heatloss.house import Water
    from heatloss.season import Season


def living(season: Season, units: Units) -> Iterator[str]:
    """Write each tank's extremes and the crop's coldest hour, with one warning where a limit is passed.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.

    Yields
    ------
    str
        Lines of at most 80 columns; none where the house has neither tank nor crop.
    """
    for title, sentences in living_words(season, units):
        yield from heading(title)
        for level, sentence in sentences:
            yield from wrapped(sentence, indent=2 + 2 * level)


def living_words(season: Season, units: Units) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """The same as sentences: a title, and every sentence with its level, 1 where it belongs to the one before."""
    if season.house.water:
        tanks = [line for water in season.house.water for line in _tank(season, water, units)]
        if any(water.species for water in season.house.water):
            tanks.append((0, "Oxygen, not temperature, is the first danger to fish: see to their air first."))
        yield "Tanks", tanks
    if season.house.crop is not None:
        lowest = float(season.hourly["inside"][season.heating].min())
        yield "Crop", list(_crop(lowest, row("crops", season.house.crop, season.house.own), units))


def _tank(season: Season, water: Water, units: Units) -> Iterator[tuple[int, str]]:
    degrees = season.hourly[f"tank {water.name}"]
    months = pd.DatetimeIndex(degrees.index).month
    low, high = int(degrees.to_numpy().argmin()), int(degrees.to_numpy().argmax())
    coldest, warmest = float(degrees.iloc[low]), float(degrees.iloc[high])
    yield (
        0,
        f"{water.name}: lowest {temperature(coldest, units)} in {MONTHS[months[low] - 1]}, "
        f"highest {temperature(warmest, units)} in {MONTHS[months[high] - 1]}",
    )
    if water.species is not None:
        fish = row("fish", water.species, season.house.own)
        stop, kill_low, kill_high, prefer_low, prefer_high = (
            temperature(fish[limit], units)
            for limit in ("stop_feeding", "kill_low", "kill_high", "prefer_low", "prefer_high")
        )
        yield (
            1,
            f"{fish.name}: likes {prefer_low} to {prefer_high}, stops feeding below {stop}, dies at {kill_low} or "
            f"{kill_high}",
        )
        if warning := _fish_warning(coldest, warmest, fish):
            yield 1, warning


def _fish_warning(coldest: float, warmest: float, fish: Row) -> str:
    """Return the worst thing that the water did to the fish, empty where it kept their range."""
    if coldest <= fish["kill_low"]:
        return f"WARNING: the water gets cold enough to kill {fish.name}."
    if warmest >= fish["kill_high"]:
        return f"WARNING: the water gets warm enough to kill {fish.name}."
    too_cold, too_warm = coldest < fish["prefer_low"], warmest > fish["prefer_high"]
    also = " In summer it is too warm for them." if too_warm else ""
    if coldest < fish["stop_feeding"]:
        return f"WARNING: the water gets so cold that {fish.name} stop feeding.{also}"
    if too_cold or too_warm:
        how = " and ".join(word for word, so in (("colder", too_cold), ("warmer", too_warm)) if so)
        return f"WARNING: the water gets {how} than {fish.name} like."
    return ""


def _crop(lowest: float, crop: Row, units: Units) -> Iterator[tuple[int, str]]:
    kill, chill = crop["kill"], crop["chill"]
    yield (
        0,
        f"{crop.name}: lowest inside in the heater's dates {temperature(lowest, units)}; harmed by days below "
        f"{temperature(chill, units)}, killed by an hour or two below {temperature(kill, units)}",
    )
    if lowest < kill:
        yield 1, f"WARNING: cold enough inside to kill {crop.name}."
    elif lowest < chill:
        yield 1, f"WARNING: cold enough inside to harm {crop.name}, if it lasts."
