"""Where the heat comes from and where it goes, as a picture whose widths are to scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from heatloss.report.flows import cold_months, span
from heatloss.report.measures import BTU_PER_KWH, Units, figure
from heatloss.report.plots import INK, Band, apart, bands, narrow

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from heatloss.season import Season

TRUNK = 0.42, 0.58
GAP = 0.03
"""Room between the outer ends of two bands, as a share of all the heat."""


class Stream(NamedTuple):
    """One band of the picture: what it is, its heat [kWh], and its lower edge outside and at the trunk [kWh]."""

    band: Band
    kwh: float
    outside: float
    trunk: float


def heat_flow(season: Season, ax: Axes, *, units: Units = "us") -> Axes:
    """Draw what brings heat into the house in the cold months, and what takes it out, each as wide as its heat.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw; its height is all the heat.
    units : str
        ``"us"`` for million Btu, ``"si"`` for kWh.

    Returns
    -------
    Axes
        The same, without axis lines: a patch for each stream, labelled with its name and side.

    Notes
    -----
    Months without heating are left out; a house that is never heated shows its whole year. What comes in and what goes
    out are equally wide, since the ledger closes; stores stand on the side to which they tip over those months.
    """
    everyone = [int(month) for month in season.monthly.index]
    months = cold_months(season) or everyone
    place = [everyone.index(month) for month in months]
    heat = [(band, float(kwh[place].sum())) for band, kwh in bands(season)]
    gains = _stacked(sorted(((b, q) for b, q in heat if q > 0.0), key=lambda pair: pair[1]))
    losses = _stacked(sorted(((b, -q) for b, q in heat if q < 0.0), key=lambda pair: pair[1]))
    total = sum(s.kwh for s in gains)
    scale, unit = (BTU_PER_KWH / 1e6, "million Btu") if units == "us" else (1.0, "kWh")
    for streams, side in ((gains, "in"), (losses, "out")):
        for stream in streams:
            _ribbon(ax, stream, side, scale)
        _labels(ax, streams, side, total, scale)
    ax.bar(0.5 * sum(TRUNK), total * scale, width=TRUNK[1] - TRUNK[0], color=INK, label="house")
    ends = [s.outside for s in (*gains, *losses)] + [s.outside + s.kwh for s in (*gains, *losses)]
    ax.annotate(f"{figure(total * scale)} {unit} in all", (0.5, min(ends, default=0.0) * scale), xytext=(0, -4),
                textcoords="offset points", ha="center", va="top", annotation_clip=False)  # fmt: skip
    ax.set_ylim(min(ends, default=0.0) * scale, max(ends, default=1.0) * scale)
    ax.set_xlim(0.0, 1.0)
    ax.axis("off")
    ax.set_title(f"Where the heat goes, {span(months)}", loc="center")
    return ax


def _stacked(heat: Sequence[tuple[Band, float]]) -> list[Stream]:
    """The streams of one side, the smallest lowest: close together at the trunk, apart outside and centred on it."""
    total = sum(kwh for _, kwh in heat)
    gap = GAP * total
    outside, trunk = -0.5 * gap * (len(heat) - 1), 0.0
    streams = []
    for band, kwh in heat:
        streams.append(Stream(band, kwh, outside, trunk))
        outside, trunk = outside + kwh + gap, trunk + kwh
    return streams


def _ribbon(ax: Axes, stream: Stream, side: str, scale: float) -> None:
    """A band from the outer edge to the trunk, as high at both ends as its heat."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    far, near = (0.0, TRUNK[0]) if side == "in" else (1.0, TRUNK[1])
    half = 0.5 * (far + near)
    low, high = stream.outside * scale, (stream.outside + stream.kwh) * scale
    foot, top = stream.trunk * scale, (stream.trunk + stream.kwh) * scale
    corners = [(far, low), (half, low), (half, foot), (near, foot), (near, top), (half, top), (half, high), (far, high)]
    codes = [Path.MOVETO, *[Path.CURVE4] * 3, Path.LINETO, *[Path.CURVE4] * 3, Path.CLOSEPOLY]
    ax.add_patch(
        PathPatch(
            Path([*corners, (far, low)], codes), facecolor=stream.band.colour, hatch=stream.band.hatch, edgecolor=INK,
            linewidth=0.5, label=f"{stream.band.name}, {side}",
        )
    )  # fmt: skip


def _labels(ax: Axes, streams: Sequence[Stream], side: str, total: float, scale: float) -> None:
    """Name, heat and share beside the outer end of every stream."""
    middles = [s.outside + 0.5 * s.kwh for s in streams]
    between, room = ("\n", 0.105) if narrow(ax) else (" ", 0.055)
    for stream, place in zip(streams, apart(middles, room * total), strict=True):
        share = f"{100.0 * stream.kwh / total:.0f} %" if stream.kwh > 0.005 * total else "under 1 %"
        words = f"{stream.band.name}{between}{figure(stream.kwh * scale)}, {share}"
        ax.annotate(
            words, (0.0 if side == "in" else 1.0, place * scale), xycoords="data", va="center", annotation_clip=False,
            xytext=(-5 if side == "in" else 5, 0), textcoords="offset points", ha="right" if side == "in" else "left",
            fontsize="small", linespacing=1.1,
        )  # fmt: skip
