"""Pictures of a season, drawn on axes that the caller owns: readable in grey, a unit on every axis.

Every function takes a season and a matplotlib ``Axes`` and gives the axes back. ``style`` is the look they share.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from heatloss import catalogue
from heatloss.fuel import purchase, trade_unit
from heatloss.report.design import coldest_normal, extreme
from heatloss.report.measures import BTU_PER_KWH, MONTHS, Units, fahrenheit, figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from heatloss.fuel import Fuel, Purchase
    from heatloss.season import Season

WEEK_HOURS = 168
SPARSE = 12
"""Every so many hours the area under a falling line gets a corner: less would show, more only weighs."""
NARROW = 5.0
"""Figures less wide than this have their keys below and fewer dates, so that they fit a phone [in]."""
HOUR = pd.Timedelta(hours=1)


class Band(NamedTuple):
    """One band of a stacked bar: the ledger paths it adds up, its colour and its hatching."""

    name: str
    paths: tuple[str, ...]
    colour: str
    hatch: str


# From the zero line outward, on both sides of it. Neighbours differ in lightness or in hatching, so that they stay
# apart in grey and to every kind of colour vision.
BANDS = (
    Band("sun that stays", ("sun",), "#f3cf6b", ""),
    Band("machines, people", ("gains", "lamps", "people", "fans", "compost"), "#6f6f6f", ""),
    Band("glazing and frame", ("cover", "bridging"), "#2c5274", ""),
    Band("opaque parts", ("opaque",), "#d8d2c4", ""),
    Band("air leaks", ("infiltration", "curtain leak"), "#7fa6c4", "||||"),
    Band("ground", ("ground",), "#7a5c3a", ""),
    Band("vapour", ("evaporation", "condensation"), "#c4dcea", ""),
    Band("vents", ("vent",), "#eef3f5", "////"),
    Band("stores", ("storage",), "#a9bfa4", "\\\\\\\\"),
    Band("heaters", ("heater", "mass stove"), "#9c2f22", ""),
)
OTHER = Band("other", (), "#ffffff", "xxxx")
INK, OUTDOOR, INSIDE, SETPOINT, HEATER = "#333333", "#5b8db8", "#14293d", "#c9c3b4", "#9c2f22"
SUN, INSIDE_RANGE, HEATER_RANGE, GRID, PAPER = "#f3cf6b", "#d8c9a3", "#e6cbc8", "#dddddd", "#ffffff"


@contextmanager
def style() -> Iterator[None]:
    """Draw within this context for the look that the pictures share; nothing stays changed after it."""
    import matplotlib as mpl

    look: dict[Any, Any] = {
        "font.size": 9.0, "axes.titlesize": 10.0, "axes.titlelocation": "left", "axes.titlepad": 8.0,
        "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": INK, "axes.labelcolor": INK,
        "xtick.color": INK, "ytick.color": INK, "text.color": INK, "axes.grid": True, "axes.grid.axis": "y",
        "grid.color": GRID, "grid.linewidth": 0.6, "axes.axisbelow": True, "hatch.linewidth": 0.5,
        "legend.frameon": False, "figure.dpi": 100.0, "savefig.dpi": 100.0,
    }  # fmt: skip
    # Not rc_context: it also puts back what a backend switched on when a notebook drew its first figure within.
    before = {key: mpl.rcParams[key] for key in look}
    mpl.rcParams.update(look)
    try:
        yield
    finally:
        mpl.rcParams.update(before)


def heat_by_month(season: Season, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw the heat that comes in above zero and the heat that goes out below it, month by month.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for million Btu, ``"si"`` for kWh.

    Returns
    -------
    Axes
        The same; every band is a container of bars under its own label.

    Notes
    -----
    Frame and glazing are one band, and so on as ``BANDS`` says. A band stands above zero in the months in which its
    paths together bring heat in: water and soil do so in one month and take it up in another. The bars of a month
    reach as far up as down, since the ledger closes.
    """
    scale = BTU_PER_KWH / 1e6 if units == "us" else 1.0
    place = np.arange(len(season.monthly))
    above, below = np.zeros(len(place)), np.zeros(len(place))
    for band, heat in bands(season):
        gain, loss = np.maximum(heat, 0.0) * scale, np.minimum(heat, 0.0) * scale
        bars: dict[str, Any] = {"color": band.colour, "hatch": band.hatch, "edgecolor": INK, "linewidth": 0.5}
        if gain.any():
            ax.bar(place, gain, bottom=above, label=f"{band.name}, in", **bars)
        if loss.any():
            ax.bar(place, loss, bottom=below, label=f"{band.name}, out", **bars)
        above, below = above + gain, below + loss
    ax.axhline(0.0, color=INK, linewidth=1.0)
    ax.set_xticks(place, _month_names(ax, season.monthly.index))
    ax.tick_params(axis="x", length=0.0)
    ax.yaxis.set_major_formatter(lambda value, _: f"{abs(value):,.0f}")
    ax.margins(y=0.04)
    ax.set_ylabel(f"{'million Btu' if units == 'us' else 'kWh'}, in above, out below")
    ax.set_title("Heat in and out, month by month")
    _keys(ax)
    return ax


def coldest_week_temperatures(season: Season, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw outdoor air, inside air and setpoint through the coldest week, hour by hour.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F, ``"si"`` for °C.

    Returns
    -------
    Axes
        The same, with a line for each, labelled where it ends.

    Notes
    -----
    The coldest week is that of the lowest mean outdoor temperature in the weather record. The outdoor temperature is
    the hour's mean, drawn in its middle; inside is that at the hour's end; the setpoint holds for a whole hour.
    """
    week = coldest_week(season)
    times = _clock(week)
    degrees = week[["outdoor", "setpoint", "inside"]].map(fahrenheit) if units == "us" else week
    ax.step(times, degrees["setpoint"], where="post", color=SETPOINT, linewidth=3.0, label="setpoint")
    ax.plot(times + HOUR, degrees["inside"], color=INSIDE, linewidth=1.2, label="inside")
    ax.plot(times + 0.5 * HOUR, degrees["outdoor"], color=OUTDOOR, linewidth=1.8, label="outdoors")
    ax.set_ylabel("°F" if units == "us" else "°C")
    ax.set_title("The coldest week: temperature")
    _days(ax, times)
    _name_the_lines(ax)
    return ax


def coldest_week_heat(season: Season, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw the heat of all heaters through the coldest week, hour by hour.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for thousand Btu/h, ``"si"`` for kW.

    Returns
    -------
    Axes
        The same, with one bar for every hour and a mark at the highest.

    Notes
    -----
    Hourly means. The highest one is no heater size: a typical year is chosen for its means, not for its extremes.
    """
    week = coldest_week(season)
    times = _clock(week)
    scale, unit = power_scale(units)
    heat = week["heat"].to_numpy() * scale
    ax.bar(times, heat, width=1.0 / 24.0, align="edge", color=HEATER, label="heaters")
    top = float(heat.max())
    ax.set_ylim(0.0, 1.25 * top or 1.0)
    if top > 0.0:
        hour = int(heat.argmax())
        late = hour > len(heat) // 2
        ax.annotate(
            f"highest hour: {figure(top)}", (times[hour] + 0.5 * HOUR, top),
            xytext=(-4 if late else 4, 5), textcoords="offset points", ha="right" if late else "left",
        )  # fmt: skip
    ax.set_ylabel(unit)
    ax.set_title("The coldest week: heat from the heaters")
    _days(ax, times)
    return ax


def load_duration(season: Season, ax: Axes, *, sizes: Mapping[str, float] | None = None, units: Units = "us") -> Axes:
    """Draw for how many hours of the year the load is at least so high, with heater sizes across it.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.
    sizes : mapping, optional
        Outputs to mark, [W] by name; without it the outputs typed in the house file and its steady design loads.
    units : str
        ``"us"`` for thousand Btu/h, ``"si"`` for kW.

    Returns
    -------
    Axes
        The same: the line ``load`` falls from the highest hour, a level line for each size.

    Notes
    -----
    Hourly means of one weather year, the highest first. A heater in the house file that is too small cuts the curve off
    at its own output.
    """
    scale, unit = power_scale(units)
    heat = np.sort(season.hourly["heat"].to_numpy())[::-1] * scale
    heat = heat[heat > 0.0]
    hours = np.arange(len(heat))
    ax.fill_between(hours[::SPARSE], heat[::SPARSE], color=HEATER_RANGE, linewidth=0.0)
    ax.plot(hours, heat, color=HEATER, linewidth=1.6, label="load")
    marked = _sizes(season) if sizes is None else dict(sizes)
    levels = [watts * scale for watts in marked.values()]
    ax.set_ylim(0.0, 1.12 * max([*levels, *heat[:1], 1e-9]))
    ax.set_xlim(0.0, max(1.0, 1.02 * len(heat)))
    for level, place, name in zip(levels, apart(levels, 0.085 * ax.get_ylim()[1]), marked, strict=True):
        ax.axhline(level, color=INSIDE, linewidth=1.0, linestyle=(0, (5, 2)), label=name)
        ax.annotate(f"{name}: {figure(level)}", (0.99, place), xycoords=("axes fraction", "data"), xytext=(0, 3),
                    textcoords="offset points", ha="right",
                    bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8})  # fmt: skip
    ax.set_xlabel("hours of the year with at least this load")
    ax.set_ylabel(unit)
    ax.set_title("How long the load is how high")
    return ax


def temperatures_over_the_year(season: Season, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw inside air, outdoor air and every tank, day by day through the heating year.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.
    units : str
        ``"us"`` for °F, ``"si"`` for °C.

    Returns
    -------
    Axes
        The same: a band from each day's coldest to its warmest hour inside, a line of daily means for the others.

    Notes
    -----
    Days stand in heating order, July first in the north; the days of a calendar year meet at its end. Days that a
    longer record holds more than once are put together.
    """
    hourly = season.hourly
    times = pd.DatetimeIndex(hourly.index)
    first = season.months[0]
    day = pd.Index((times.month - first) % 12 * 100 + times.day, name="day")
    tanks = [name for name in hourly.columns if str(name).startswith("tank ")]
    degrees = hourly[["outdoor", "inside", *tanks]]
    by_day = (degrees.map(fahrenheit) if units == "us" else degrees).groupby(day)
    mean, low, high = by_day.mean(), by_day["inside"].min(), by_day["inside"].max()
    x = np.arange(len(mean))
    ax.fill_between(x, low, high, color=INSIDE_RANGE, linewidth=0.0, label="inside")
    ax.plot(x, mean["outdoor"], color=OUTDOOR, linewidth=1.1, label="outdoors")
    for i, tank in enumerate(tanks):
        dashes = ("-", (0, (4, 1.5)), (0, (1, 1)))[i % 3]
        ax.plot(x, mean[tank], color=INSIDE, linewidth=1.8, linestyle=dashes, label=str(tank).removeprefix("tank "))
    starts = [int(np.searchsorted(mean.index, 100 * i)) for i in range(12)]
    ax.set_xticks(starts, _month_names(ax, [(first - 1 + i) % 12 + 1 for i in range(12)]))
    ax.set_xlim(0, max(1, len(mean) - 1))
    ax.set_ylabel("°F" if units == "us" else "°C")
    ax.set_title("Inside, tank and outdoors over the year")
    ax.legend(loc="upper center", bbox_to_anchor=(0.5, -0.1), ncols=2 if narrow(ax) else 4)
    return ax


def light_by_month(season: Season, ax: Axes) -> Axes:
    """Draw the light that reaches floor and beds in each month, beside what the crop asks for.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw.

    Returns
    -------
    Axes
        The same: one bar a month, and a band over the crop's range where the house names a crop.

    Notes
    -----
    Daily light integral without the plants' own shade and without lamps.
    """
    light = season.light
    place = np.arange(len(light))
    ax.bar(place, light.to_numpy(), color=SUN, edgecolor=INK, linewidth=0.5, label="light")
    if season.house.crop is not None:
        wants = catalogue.row("crops", season.house.crop, season.house.own).fields["light"]
        ax.axhspan(wants.low, wants.high, color=OUTDOOR, alpha=0.35, linewidth=0.0, label=season.house.crop)
        ax.annotate(f"{season.house.crop} wants {wants.low:g} to {wants.high:g}", (0.5, wants.high),
                    xycoords=("axes fraction", "data"), xytext=(0, 4), textcoords="offset points",
                    ha="center", bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8})  # fmt: skip
    ax.set_xticks(place, _month_names(ax, light.index))
    ax.tick_params(axis="x", length=0.0)
    ax.set_ylabel("mol a day on a square metre")
    ax.set_title("Light on floor and beds")
    return ax


def fuel_so_far(fuel: Fuel, ax: Axes, *, bought: Purchase | None = None, units: Units = "us") -> Axes:
    """Draw the fuel used up to each month's end, with the range of eight winters in ten and what to buy.

    Parameters
    ----------
    fuel : Fuel
        Of one heater, such as ``season.fuel``.
    ax : Axes
        Where to draw.
    bought : Purchase, optional
        Range and purchase; without it the stated judgement of ``heatloss.fuel.purchase``.
    units : str
        ``"us"`` for the fuel's unit of trade, ``"si"`` for what it is bought in elsewhere.

    Returns
    -------
    Axes
        The same: the line ``middle estimate``, the band ``8 winters in 10`` (P10 to P90), a level line at the purchase.

    Notes
    -----
    The range of the whole winter is taken in proportion for the months before its end. Compare with the bags or gallons
    gone at a month's end.
    """
    bought = purchase(fuel) if bought is None else bought
    trade = trade_unit(fuel.unit)
    scale, unit = (1.0, trade.many) if units == "us" else (trade.si_factor, trade.si)
    used = np.concatenate([[0.0], np.cumsum(fuel.monthly["amount"].to_numpy())]) * scale
    place = np.arange(len(used))
    low, high = (used * (limit / fuel.amount if fuel.amount > 0.0 else 0.0) for limit in (bought.low, bought.high))
    ax.fill_between(place, low, high, color=HEATER_RANGE, linewidth=0.0, label="8 winters in 10")
    ax.plot(place, used, color=HEATER, linewidth=2.0, marker="o", markersize=3.5, label="middle estimate")
    enough = bought.amount * scale
    ax.axhline(enough, color=INSIDE, linewidth=1.2, linestyle=(0, (5, 2)), label="to buy")
    ax.annotate(f"to buy, lasts 95 winters in 100: {figure(enough)}", (0.02, enough),
                xycoords=("axes fraction", "data"), xytext=(0, 3), textcoords="offset points")  # fmt: skip
    ax.set_ylim(0.0, 1.15 * max(enough, float(high[-1])) or 1.0)
    ax.set_xlim(0, len(used) - 1)
    ax.set_xticks(place[1:], _month_names(ax, fuel.monthly.index))
    ax.set_xlabel("to the end of the month")
    ax.set_ylabel(f"{unit} of {fuel.name}")
    ax.set_title("Fuel used so far")
    keys = [(key, name) for key, name in zip(*ax.get_legend_handles_labels(), strict=True) if name != "to buy"]
    ax.legend(*zip(*keys, strict=True), loc="upper left", bbox_to_anchor=(0.0, 0.82), handlelength=1.4)
    return ax


def coldest_week(season: Season) -> pd.DataFrame:
    """Return the hours of the season in the week of the lowest mean outdoor temperature.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.

    Returns
    -------
    frame
        168 rows of ``season.hourly``; all of them for a shorter record.
    """
    start = season.weather.coldest(WEEK_HOURS / 24.0)["start"].iloc[0]
    return season.hourly.loc[start:].iloc[:WEEK_HOURS]


def _sizes(season: Season) -> dict[str, float]:
    """Outputs typed in the house file and the steady loads of its design temperatures [W]."""
    typed = {heater.name: heater.output for heater in season.house.heater if heater.output is not None}
    steady = {load.words.split(" (")[0]: load.load_w for load in (coldest_normal(season), extreme(season)) if load}
    return typed | steady


def _month_names(ax: Axes, months: Iterable[int]) -> list[str]:
    """Three letters for a month, one where the page is narrow."""
    return [MONTHS[int(m) - 1][: 1 if narrow(ax) else 3] for m in months]


def narrow(ax: Axes) -> bool:
    """Whether the picture is meant for a page as narrow as a phone."""
    figure_ = ax.get_figure(root=True)
    return figure_ is not None and float(figure_.get_size_inches()[0]) < NARROW


def bands(season: Season) -> Iterator[tuple[Band, NDArray[np.float64]]]:
    """Every band that holds a path of the season, with its kWh by month, gains positive."""
    paths = list(season.ledger.index)
    known = {path for band in BANDS for path in band.paths}
    rest = OTHER._replace(paths=tuple(path for path in paths if path not in known))
    for band in (*BANDS[:-1], rest, BANDS[-1]):
        here = [path for path in band.paths if path in paths]
        if here:
            yield band, season.monthly[here].sum(axis=1).to_numpy()


def _keys(ax: Axes) -> None:
    """Beside the bars, in the order of their stacks: what comes in above the zero line, what goes out below it."""
    found: list[tuple[Any, str]] = [(bars, str(bars.get_label())) for bars in ax.containers]
    ins = [(bars, name.removesuffix(", in")) for bars, name in found if name.endswith(", in")]
    outs = [(bars, name.removesuffix(", out")) for bars, name in found if name.endswith(", out")]
    low, high = ax.get_ylim()
    look: dict[str, Any] = {"handlelength": 1.4, "handleheight": 1.1, "labelspacing": 0.35, "borderaxespad": 0.4}
    if narrow(ax):
        names = {name: bars for bars, name in [*ins[::-1], *outs]}  # what stands on both sides has one look
        ax.legend(list(names.values()), list(names), loc="upper center", bbox_to_anchor=(0.5, -0.08), ncols=2, **look)
        return
    look["bbox_to_anchor"] = (1.0, -low / (high - low))
    upper = ax.legend([bars for bars, _ in ins[::-1]], [name for _, name in ins[::-1]], loc="lower left", **look)
    ax.legend([bars for bars, _ in outs], [name for _, name in outs], loc="upper left", **look)
    ax.add_artist(upper)  # the second legend has taken its place


def _clock(week: pd.DataFrame) -> pd.DatetimeIndex:
    """Start of every hour on the record's own clock."""
    return pd.DatetimeIndex(week.index).tz_localize(None)


def _days(ax: Axes, times: pd.DatetimeIndex) -> None:
    """Mark midnights with their date; no year, for a typical one has none."""
    midnights = [t for t in times if t.hour == 0][:: 2 if narrow(ax) else 1]
    ax.set_xticks(midnights, [f"{t.day} {MONTHS[t.month - 1][:3]}" for t in midnights])  # type: ignore[arg-type]
    ax.set_xlim(times[0], times[-1] + HOUR)  # type: ignore[arg-type]


def _name_the_lines(ax: Axes) -> None:
    """Write every line's name behind its end, moved apart where lines end close together."""
    low, high = ax.get_ylim()
    lines = [line for line in ax.get_lines() if np.isfinite(np.asarray(line.get_ydata(), dtype=float)).any()]
    ends = [_last(line.get_ydata()) for line in lines]
    for line, place in zip(lines, apart(ends, 0.085 * (high - low)), strict=True):
        ax.annotate(
            str(line.get_label()), (1.0, place), xycoords=("axes fraction", "data"), xytext=(5, 0),
            textcoords="offset points", va="center", annotation_clip=False,
        )  # fmt: skip


def _last(values: Any) -> float:
    known = np.asarray(values, dtype=float)
    return float(known[np.isfinite(known)][-1])


def power_scale(units: Units) -> tuple[float, str]:
    """What a watt is in the unit that pictures show loads in, and that unit."""
    return (BTU_PER_KWH / 1e6, "thousand Btu/h") if units == "us" else (1e-3, "kW")


def apart(places: Sequence[float], least: float) -> list[float]:
    """Places moved up and down as little as needed to stand at least so far from each other, in the same order.

    >>> apart([3.0, 3.0, 10.0], 2.0)
    [2.0, 4.0, 10.0]
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    moved = [places[i] for i in order]
    for _ in range(len(moved)):
        for j in range(1, len(moved)):
            lack = least - (moved[j] - moved[j - 1])
            if lack > 0.0:
                moved[j - 1] -= 0.5 * lack
                moved[j] += 0.5 * lack
    back = dict(zip(order, moved, strict=True))
    return [back[i] for i in range(len(places))]
