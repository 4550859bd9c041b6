"""Which of the steady design loads a report shows, and what it calls them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from heatloss.season import Season

NORMAL = {
    "place_design": "steady, design temperature (typed)",
    "header_996": "steady, 99.6 % (file header)",
    "file_996": "steady, this file's 0.4 % quantile",
}
EXTREME = {
    "place_minimum_20_year": "steady, 20-year minimum (typed)",
    "minimum_20_year": "steady, 20-year minimum (header)",
}


@dataclass(frozen=True)
class DesignLoad:
    """One steady load: what it is called, its outdoor temperature [degC] and the load [W]."""

    words: str
    temperature: float
    load_w: float


def coldest_normal(season: Season) -> DesignLoad | None:
    """Return the 99.6 % load: at the temperature typed, else the header's, else the file's quantile."""
    return _first(season, NORMAL)


def extreme(season: Season) -> DesignLoad | None:
    """Return the load at the 20-year minimum; None where neither the house file nor the weather file gives one."""
    return _first(season, EXTREME)


def _first(season: Season, words: dict[str, str]) -> DesignLoad | None:
    for name, text in words.items():
        if name in season.design.index:
            return DesignLoad(text, season.design_temperatures[name], float(season.design[name]))
    return None
