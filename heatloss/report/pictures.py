"""The pictures of the page: each drawn once, narrow enough for a phone, as a drawing that lies within the page.

Colours become names that the page sets for light and for dark; letters become outlines, so that no font is needed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from io import StringIO
from typing import TYPE_CHECKING, NamedTuple

from markupsafe import Markup, escape

from heatloss.fuel import Fuel, Purchase, purchase, trade_unit
from heatloss.report.flows import cold_months, span
from heatloss.report.measures import Units, figure, heat, money, power, temperature
from heatloss.report.plots import GRID, HEATER, HEATER_RANGE, INK, INSIDE, INSIDE_RANGE, OUTDOOR, PAPER, SETPOINT

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from heatloss.decisions.payback import Weighed
    from heatloss.report.spread_text import Sureness
    from heatloss.season import Season

WIDTH = 4.2
"""Width of every picture [in]: a column of the page, and little more than a phone."""
COLOURS = {
    "ink": (INK, "#dcdcdc"),
    "paper": (PAPER, "#1d1f21"),
    "grid": (GRID, "#3d4043"),
    "inside": (INSIDE, "#b5d0ec"),
    "inside-range": (INSIDE_RANGE, "#6b6350"),
    "outdoor": (OUTDOOR, "#7fb0dc"),
    "setpoint": (SETPOINT, "#7d786c"),
    "heater": (HEATER, "#e07464"),
    "heater-range": (HEATER_RANGE, "#5d342e"),
}
"""Colours that change with the page: by name, on light and on dark paper. All others stay."""


Drawn = tuple[Callable[["Figure"], object], float, str, str]
"""How to draw a picture, its height [in], what it shows, and the words under it."""


class Picture(NamedTuple):
    """A drawing as SVG, which says within what it shows to those who do not see it, and the words under it."""

    svg: Markup
    caption: str


def of_the_season(season: Season, units: Units) -> list[Picture]:
    """Where the heat goes, the load, temperatures and light, in the order of the page."""
    return _pictures("s", [*_of_the_house(season, units), *_of_the_year(season, units)])


def of_the_rest(season: Season, sure: Sureness | None, weighed: Weighed | None, units: Units) -> list[Picture]:
    """Fuel with its range; the money where measures were weighed."""
    money_drawn = _of_the_money(weighed) if weighed is not None else ()
    return _pictures("r", [*_of_the_fuel(season, sure, units), *money_drawn])


def _pictures(key: str, drawn: list[Drawn]) -> list[Picture]:
    rows = enumerate(drawn)
    return [Picture(svg(draw, height, alt, f"{key}{i}"), caption) for i, (draw, height, alt, caption) in rows]


def _of_the_house(season: Season, units: Units) -> Iterator[Drawn]:
    from heatloss.report.flow_plot import heat_flow
    from heatloss.report.house_plot import house_drawn, loss_per_area
    from heatloss.report.plots import heat_by_month

    cold = cold_months(season)
    months = span(cold) if cold else "the whole year"
    loss = loss_per_area(season)
    yield (
        lambda f: heat_flow(season, f.add_subplot(), units=units), 3.9,
        f"Streams to scale: what brings heat into the house from {months}, and what takes it out. "
        "The same figures stand in the table Where the heat goes.",
        "Every stream is as wide as its heat. The widest on the right is where to insulate first.",
    )  # fmt: skip
    yield (
        lambda f: house_drawn(season, f.add_subplot(), units=units), 5.2,
        f"The house from two corners. The most is lost by {loss.idxmax()}, the least by {loss.idxmin()}.",
        "The darker, the more a piece of it loses.",
    )  # fmt: skip
    yield (
        lambda f: heat_by_month(season, f.add_subplot(), units=units), 4.6,
        f"Bars for every month: heat that comes in above the line, heat that goes out below it. Heaters give "
        f"{heat(season.heat_kwh, units)} in the year.",
        "In every month as much comes in as goes out.",
    )  # fmt: skip


def _of_the_fuel(season: Season, sure: Sureness | None, units: Units) -> Iterator[Drawn]:
    from heatloss.report.plots import fuel_so_far

    def drawn(fuel: Fuel, bought: Purchase, f: Figure) -> None:
        fuel_so_far(fuel, f.add_subplot(), bought=bought, units=units)

    for i, fuel in enumerate(season.fuels):
        bought, trade = sure.purchase if sure is not None and i == 0 else purchase(fuel), trade_unit(fuel.unit)
        scale, unit = (1.0, trade.many) if units == "us" else (trade.si_factor, trade.si)
        low, middle, high, enough = (figure(x * scale) for x in (bought.low, fuel.amount, bought.high, bought.amount))
        yield (
            partial(drawn, fuel, bought), 3.4,
            f"Fuel of the {fuel.heater} from month to month: {middle} {unit} by the end, between {low} and {high} in "
            f"eight winters of ten; to buy: {enough}.",
            "Compare it with what is gone at a month's end.",
        )  # fmt: skip


def _of_the_year(season: Season, units: Units) -> Iterator[Drawn]:
    from heatloss.report.plots import (
        coldest_week_heat,
        coldest_week_temperatures,
        light_by_month,
        load_duration,
        temperatures_over_the_year,
    )

    def week(f: Figure) -> None:
        upper, lower = f.subplots(2, 1, sharex=True)
        coldest_week_temperatures(season, upper, units=units)
        coldest_week_heat(season, lower, units=units)

    yield (
        lambda f: load_duration(season, f.add_subplot(), units=units), 3.4,
        f"The load of every hour in falling order, from {power(season.peak_w, units)}, with heater sizes across it.",
        "A heater at the height of a line leaves the hours short that stand above it, in this year.",
    )  # fmt: skip
    yield (
        week, 4.9,
        "The coldest week hour by hour: outdoor and inside temperature above, heat of the heaters below.",
        "The highest hour of a typical year is no heater size.",
    )  # fmt: skip
    low, high = (float(season.hourly["inside"].agg(way)) for way in ("min", "max"))
    yield (
        lambda f: temperatures_over_the_year(season, f.add_subplot(), units=units), 3.6,
        f"Temperatures day by day: inside from {temperature(low, units)} to {temperature(high, units)} over the year.",
        "The band reaches from each day's coldest hour to its warmest; lines are daily means.",
    )  # fmt: skip
    yield (
        lambda f: light_by_month(season, f.add_subplot()), 3.4,
        f"Light on floor and beds in every month; the least is {float(season.light.min()):.0f} mol a day on 1 m2.",
        "Without the plants' own shade and without lamps.",
    )  # fmt: skip


def _of_the_money(weighed: Weighed) -> Iterator[Drawn]:
    from heatloss.report.decision_plots import money_by_year, savings

    best = weighed.table["saving"].max()
    if not best > 0.0:
        return
    example = " Costs are EXAMPLES." if weighed.examples else ""
    yield (
        lambda f: savings(weighed, f.add_subplot()), 1.5 + 0.2 * len(weighed.table),
        f"What each measure saves in the first year, alone; the most is {money(best)}. Figures in the table What pays.",
        f"Savings of single measures do not add up.{example}",
    )  # fmt: skip
    yield (
        lambda f: money_by_year(weighed, f.add_subplot()), 4.2,
        "Money laid out and saved, added up year by year in dollars of today; a line for each measure.",
        f"A measure has paid where its line crosses zero.{example}",
    )  # fmt: skip


def svg(draw: Callable[[Figure], object], height: float, alt: str, key: str) -> Markup:
    """Draw a figure of the page's width and give it as an SVG element.

    Parameters
    ----------
    draw : callable
        Takes a figure and draws on it.
    height : float [in]
    alt : str
        What it shows, in words.
    key : str
        Put before every name within, so that many drawings can share one page.

    Returns
    -------
    Markup
        ``<svg ...>...</svg>`` without a size of its own; colours of ``COLOURS`` by name.
    """
    import matplotlib as mpl
    from matplotlib.figure import Figure

    from heatloss.report.plots import style

    page = StringIO()
    with mpl.rc_context({"svg.hashsalt": "heatloss", "svg.fonttype": "path"}), style():
        figure_ = Figure(figsize=(WIDTH, height), layout="constrained")
        draw(figure_)
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        figure_.savefig(page, format="svg", transparent=True, metadata=nothing)
    text = page.getvalue()
    text = text[text.index("<svg") :].rstrip()
    text = re.sub(r'\bid="', f'id="{key}-', text)
    text = re.sub(r'(xlink:href="#|url\(#)', rf"\g<1>{key}-", text)
    text = re.sub(r'^<svg [^>]*?(viewBox="[^"]*")[^>]*>', rf'<svg role="img" aria-label="{escape(alt)}" \g<1>>', text)
    text = re.sub(r"<metadata>.*?</metadata>|<style.*?</style>|<!--.*?-->", "", text, flags=re.S)
    for name, (light, _) in COLOURS.items():
        text = re.sub(rf"{light}\b", f"var(--{name})", text, flags=re.I)
    return Markup(text)
