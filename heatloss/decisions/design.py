"""The cold a decision has to stand: which design temperature governs, and whether lives hang on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.season import Season

HEADER, FILE = "the weather file's header", "this file"
NORMAL = (
    ("place_design", "place.design_temperature"),
    ("header_996", HEADER),
    ("file_996", "this file's 0.4 % quantile"),
)
"""Where the temperature exceeded in 99.6 % of the hours is looked for, first come first taken."""
EXTREMES = {
    20: (("place_minimum_20_year", "place.minimum_20_year"), ("minimum_20_year", HEADER)),
    10: (("minimum_10_year", HEADER),),
}
"""The same for the lowest temperature met once in so many years."""


class Design(NamedTuple):
    """An outdoor design temperature [degC], its method and where it comes from, in words."""

    temperature: float
    method: str
    origin: str


def found(season: Season, candidates: tuple[tuple[str, str], ...], method: str) -> Design | None:
    """The first of the candidates that is known."""
    known = season.design_temperatures
    return next((Design(known[name], method, words) for name, words in candidates if name in known), None)


def years_to_stand(house: House) -> int:
    """20 where fish or a crop would die without heat, 10 elsewhere."""
    return 20 if house.crop is not None or any(tank.species is not None for tank in house.water) else 10


def extreme(season: Season) -> Design | None:
    """The lowest temperature met once in 20 years where lives hang on it; in 10 otherwise, or 20 if that is known."""
    for years in dict.fromkeys((years_to_stand(season.house), 20)):
        worst = found(season, EXTREMES[years], f"steady {years}-year minimum")
        if worst is not None:
            return worst
    return None


def governing(season: Season) -> Design:
    """The extreme, or where none is known the temperature exceeded in 99.6 % of the hours."""
    worst = extreme(season)
    if worst is not None:
        return worst
    normal = found(season, NORMAL, "steady 99.6 %")
    assert normal is not None  # a file always has its quantile
    return normal
