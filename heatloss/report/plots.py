"""Pictures of a season, drawn on axes that the caller owns: readable in grey, a unit on every axis.

Every function takes a season and a matplotlib ``Axes`` and gives the axes back. ``style`` is the look they share.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from heatloss.report.measures import BTU_PER_KWH, MONTHS, Units, fahrenheit, figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from heatloss.season import Season

WEEK_HOURS = 168
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
    Band("machines, people", ("gains",), "#6f6f6f", ""),
    Band("glazing and frame", ("cover", "bridging"), "#2c5274", ""),
    Band("opaque parts", ("opaque",), "#d8d2c4", ""),
    Band("air leaks", ("infiltration", "curtain leak"), "#7fa6c4", "...."),
    Band("ground", ("ground",), "#7a5c3a", ""),
    Band("vapour", ("evaporation", "condensation"), "#c4dcea", ""),
    Band("vents", ("vent",), "#eef3f5", "////"),
    Band("stores", ("storage",), "#a9bfa4", "\\\\\\\\"),
    Band("heaters", ("heater",), "#9c2f22", ""),
)
OTHER = Band("other", (), "#ffffff", "xxxx")
INK, OUTDOOR, INSIDE, SETPOINT, HEATER = "#333333", "#5b8db8", "#14293d", "#c9c3b4", "#9c2f22"


@contextmanager
def style() -> Iterator[None]:
    """Draw within this context for the look that the pictures share; nothing stays changed after it."""
    import matplotlib as mpl

    look: dict[Any, Any] = {
        "font.size": 9.0, "axes.titlesize": 10.0, "axes.titlelocation": "left", "axes.titlepad": 8.0,
        "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": INK, "axes.labelcolor": INK,
        "xtick.color": INK, "ytick.color": INK, "text.color": INK, "axes.grid": True, "axes.grid.axis": "y",
        "grid.color": "#dddddd", "grid.linewidth": 0.6, "axes.axisbelow": True, "hatch.linewidth": 0.5,
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
    for band, heat in _bands(season):
        gain, loss = np.maximum(heat, 0.0) * scale, np.minimum(heat, 0.0) * scale
        bars: dict[str, Any] = {"color": band.colour, "hatch": band.hatch, "edgecolor": INK, "linewidth": 0.5}
        if gain.any():
            ax.bar(place, gain, bottom=above, label=f"{band.name}, in", **bars)
        if loss.any():
            ax.bar(place, loss, bottom=below, label=f"{band.name}, out", **bars)
        above, below = above + gain, below + loss
    ax.axhline(0.0, color=INK, linewidth=1.0)
    ax.set_xticks(place, [MONTHS[int(m) - 1][:3] for m in season.monthly.index])
    ax.tick_params(axis="x", length=0.0)
    ax.yaxis.set_major_formatter(lambda value, _: f"{abs(value):,.0f}")
    ax.set_ylabel(f"{'million Btu' if units == 'us' else 'kWh'} a month: in above, out below")
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
    unit = "thousand Btu/h" if units == "us" else "kW"
    heat = week["heat"].to_numpy() * (BTU_PER_KWH / 1e6 if units == "us" else 1e-3)
    ax.bar(times, heat, width=1.0 / 24.0, align="edge", color=HEATER, label="heaters")
    top = float(heat.max())
    ax.set_ylim(0.0, 1.25 * top or 1.0)
    if top > 0.0:
        hour = int(heat.argmax())
        late = hour > len(heat) // 2
        ax.annotate(
            f"highest hour of the week: {figure(top)} {unit}", (times[hour] + 0.5 * HOUR, top),
            xytext=(-4 if late else 4, 5), textcoords="offset points", ha="right" if late else "left",
        )  # fmt: skip
    ax.set_ylabel(unit)
    ax.set_title("The coldest week: heat from the heaters")
    _days(ax, times)
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


def _bands(season: Season) -> Iterator[tuple[Band, NDArray[np.float64]]]:
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
    look["bbox_to_anchor"] = (1.0, -low / (high - low))
    upper = ax.legend([bars for bars, _ in ins[::-1]], [name for _, name in ins[::-1]], loc="lower left", **look)
    ax.legend([bars for bars, _ in outs], [name for _, name in outs], loc="upper left", **look)
    ax.add_artist(upper)  # the second legend has taken its place


def _clock(week: pd.DataFrame) -> pd.DatetimeIndex:
    """Start of every hour on the record's own clock."""
    return pd.DatetimeIndex(week.index).tz_localize(None)


def _days(ax: Axes, times: pd.DatetimeIndex) -> None:
    """Mark midnights with their date; no year, for a typical one has none."""
    midnights = [t for t in times if t.hour == 0]
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
