"""Where the heat goes in the cold months: the figures behind the text, the picture and the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss.report.measures import MONTHS

if TYPE_CHECKING:
    from heatloss.season import Season

COUNTS = 0.01
"""A month counts as cold if the heaters give more than this share of the season's heat in it."""


def cold_months(season: Season) -> list[int]:
    """Calendar months, in heating order, in which the heaters give more than a hundredth of the season's heat."""
    months, given = season.monthly.index.to_numpy(), season.monthly["heat_kwh"].to_numpy()
    return [int(month) for month, kwh in zip(months, given, strict=True) if kwh > COUNTS * season.heat_kwh]


def span(months: list[int]) -> str:
    """First and last of several months in words.

    Examples
    --------
    >>> span([11, 12, 1]), span([3])
    ('November to January', 'March')
    """
    first, last = (MONTHS[month - 1] for month in (months[0], months[-1]))
    return first if len(months) == 1 else f"{first} to {last}"


def flows(season: Season) -> pd.DataFrame:
    """Heat by path of the ledger, gains positive [kWh].

    Returns
    -------
    frame
        Index path; ``cold`` over the cold months, ``fire`` over the hours in which a heater runs.
    """
    hourly = season.hourly[[str(path) for path in season.ledger.index]]
    months = pd.DatetimeIndex(hourly.index).month
    hours = {"cold": np.isin(months, cold_months(season)), "fire": season.hourly["heat"].to_numpy() > 0.0}
    return pd.DataFrame({name: hourly[rows].sum() / 1000.0 for name, rows in hours.items()}).rename_axis("path")
