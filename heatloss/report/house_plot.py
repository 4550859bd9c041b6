"""The house drawn from its own surfaces, each in the colour of the heat that a square foot or metre of it loses."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from heatloss import catalogue
from heatloss.balance.assemble import OUTDOOR, SKY, STAR, space_node
from heatloss.errors import UnknownNameError
from heatloss.geometry.surface import area_vector
from heatloss.physics.films import sky_split
from heatloss.report.measures import BTU_PER_KWH, FT2_PER_M2, Units, figure
from heatloss.report.plots import INK, narrow

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from heatloss.geometry import Surface
    from heatloss.season import Season

    Floats = NDArray[np.float64]

LIFT = 24.0
"""How far above the horizon the eye stands [deg]."""
STEPS = 8
"""Shades between the least and the largest loss, one more at most where round limits ask for it."""
MANY = 20
ON_DARK, ON_LIGHT = "#f7f3ec", "#2b2116"
"""Figures on the shades, which stay as they are on dark paper."""
SQUARE = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
QUARTERS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


def loss_per_area(season: Season) -> pd.Series[float]:
    """Mean heat that a square metre of each surface gives to what lies behind it, while a heater runs.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.

    Returns
    -------
    Series [W/m2]
        By the surface's name; over all hours where no heater runs.

    Notes
    -----
    What the outer face gives to air, sky, earth or the room behind, what bars carry past it, and the heat rays that
    pass it, less the sun that warms the outer face: over all surfaces the ledger's paths for glazing, frame and opaque
    parts. Surfaces of one group share a temperature and so a figure. Heat rays through film are booked for the cover
    as a whole; they are parted by area, sky view and the film's own share.
    """
    groups: dict[str, list[Surface]] = {}
    for surface in season.geometry.surfaces:
        groups.setdefault(surface.group, []).append(surface)
    sky, level = (_flow(season, STAR, far) for far in (SKY, OUTDOOR))
    rays = {g: _ray_areas(season, members) for g, members in groups.items()}
    whole = [sum(pair[i] for pair in rays.values()) or 1.0 for i in (0, 1)]
    runs = season.hourly["heat"].to_numpy() > 0.0
    hours = runs if runs.any() else np.ones(len(runs), dtype=bool)
    found: dict[str, float] = {}
    for group, members in groups.items():
        up, out = rays[group]
        watts = _given(season, group) + sky * (up / whole[0]) + level * (out / whole[1])
        mean = float(watts[hours].mean()) / sum(s.area for s in members)
        found |= {s.name: mean for s in members}
    return pd.Series({s.name: found[s.name] for s in season.geometry.surfaces}, name="w_per_m2", dtype=float)


def house_drawn(season: Season, ax: Axes, *, units: Units = "us", bearing: float = 135.0) -> Axes:
    """Draw the house from two opposite corners, every surface in the shade of what a piece of it loses.

    Parameters
    ----------
    season : Season
        What ``simulate`` gave.
    ax : Axes
        Where to draw; the views stand side by side, or one over the other in a narrow figure.
    units : str
        ``"us"`` for Btu/h and square foot, ``"si"`` for W and square metre.
    bearing : float [deg]
        From where the first view looks at the house, clockwise from north.

    Returns
    -------
    Axes
        The same, with a polygon for every surface that can be seen, labelled with its name.

    Notes
    -----
    Parallel projection, the eye a little above the house. Openings that the house file gives by their size, such as
    doors, have no place on their side and are named below. A free shape has no outlines: each of its surfaces is drawn
    as a square that faces its own way, apart from the others.
    """
    loss = loss_per_area(season) * (BTU_PER_KWH / 1e3 / FT2_PER_M2 if units == "us" else 1.0)
    shades = _shades(loss)
    outlines = _outlines(season)
    views = {turn % 360.0: _seen(outlines, turn) for turn in (bearing, bearing + 180.0)}
    for (turn, view), offset in zip(views.items(), _offsets(list(views.values()), narrow(ax)), strict=True):
        for name, corners in view:
            _draw(ax, name, corners + offset, float(loss[name]), shades, _large(corners, view))
        low = min(float(corners[:, 1].min()) for _, corners in view)
        words = f"from the {QUARTERS[round(turn / 45.0) % 8]}"
        ax.annotate(words, (offset[0], low + offset[1]), xytext=(0, -5), textcoords="offset points", ha="center",
                    va="top")  # fmt: skip
    apart_ = [f"{s.name} {figure(float(loss[s.name]), 2)}" for s in season.geometry.surfaces if s.name not in outlines]
    unit = "Btu/h a square foot" if units == "us" else "W a square metre"
    rest = f"\nplace unknown: {', '.join(apart_)}" if apart_ else ""
    _key(ax, shades, f"{unit}, mean while a heater runs{rest}")
    ax.set_title("What each part of the house loses")
    ax.set_aspect("equal")
    ax.autoscale_view()
    ax.margins(0.05)
    ax.axis("off")
    return ax


def _flow(season: Season, a: str, b: str) -> Floats:
    """Heat from a to b, hour by hour, nothing where they are not linked [W]."""
    try:
        return season.run.flow(a, b)
    except UnknownNameError:
        return np.zeros(season.run.steps)


def _given(season: Season, group: str) -> Floats:
    """What a group's faces give to whatever is not the house, less the sun on the outer one, hour by hour [W]."""
    members = [j for j, s in enumerate(season.geometry.surfaces) if s.group == group]
    light = season.assembly.sunlight
    warmed = np.zeros(season.run.steps)
    if light is not None and season.house.method.sun != "none":
        warmed = light.outer_faces[:, members].sum(axis=1)
    far = [*season.network.boundaries, *(space_node(space.name) for space in season.house.space)]
    pairs = [(f"{group} {face}", end) for face in ("inside", "outside") for end in far]
    return sum((_flow(season, *pair) for pair in pairs), -warmed)


def _ray_areas(season: Season, members: Sequence[Surface]) -> tuple[float, float]:
    """Area of a group that lets heat rays through, as seen by the sky and by what stands level with it [m2]."""
    if members[0].glazing is None:
        return 0.0, 0.0
    passes = catalogue.row("glazing", members[0].glazing, season.house.own)["longwave"]
    up = sum(s.area * sky_split(s.tilt)[0] for s in members)
    return passes * up, passes * (sum(s.area for s in members) - up)


def _outlines(season: Season) -> dict[str, Floats]:
    """Corners of every surface that has a place, or of squares where the shape has none [m]."""
    geometry = season.geometry
    if geometry.floor is not None:
        return {s.name: np.array(s.polygon) for s in geometry.surfaces if s.polygon is not None}
    away, shifted, found = 0.6 * geometry.volume ** (1.0 / 3.0), defaultdict[str, float](float), {}
    for s in geometry.surfaces:
        tilt, azimuth, half = math.radians(s.tilt), math.radians(s.azimuth), 0.5 * math.sqrt(s.area)
        normal = np.array([math.sin(tilt) * math.sin(azimuth), math.sin(tilt) * math.cos(azimuth), math.cos(tilt)])
        across = np.array([-math.cos(azimuth), math.sin(azimuth), 0.0])
        way = f"{s.tilt:.3f} {s.azimuth:.3f}"
        middle = away * normal + shifted[way] * across
        shifted[way] += 2.2 * half
        slope = np.cross(normal, across)
        found[s.name] = np.array([middle + half * (i * across + j * slope) for i, j in SQUARE])
    return found


def _seen(outlines: Mapping[str, Floats], bearing: float) -> list[tuple[str, Floats]]:
    """Name and projected corners [m] of every surface that faces the eye, the farthest first."""
    b, lift = math.radians(bearing), math.radians(LIFT)
    eye = np.array([math.sin(b) * math.cos(lift), math.cos(b) * math.cos(lift), math.sin(lift)])
    right = np.array([-math.cos(b), math.sin(b), 0.0])
    up = np.cross(eye, right)
    seen = []
    for name, corners in outlines.items():
        if float(np.dot(area_vector([tuple(p) for p in corners]), eye)) > 0.0:
            seen.append((float((corners @ eye).mean()), name, corners @ np.column_stack([right, up])))
    return [(name, corners) for _, name, corners in sorted(seen, key=lambda row: row[:2])]


def _offsets(views: Sequence[Sequence[tuple[str, Floats]]], one_over_the_other: bool) -> list[Floats]:
    """Where each view goes: centred, the second to the right of the first or under it."""
    offsets, edge = [], 0.0
    for view in views:
        corners = np.concatenate([c for _, c in view])
        low, high = corners.min(axis=0), corners.max(axis=0)
        middle, size = 0.5 * (low + high), high - low
        along = 1 if one_over_the_other else 0
        place = np.zeros(2)
        place[along] = (-1.0 if one_over_the_other else 1.0) * (edge + 0.5 * size[along])
        edge += size[along] + (0.22 if one_over_the_other else 0.12) * float(size.max())
        offsets.append(place - middle)
    return offsets


def _large(corners: Floats, view: Sequence[tuple[str, Floats]]) -> bool:
    """Whether a surface is wide enough on the page, across its length, for its figure; of many none is."""
    length, page = np.ptp(corners, axis=0).max(), np.ptp(np.concatenate([c for _, c in view]), axis=0).max()
    return len(view) <= MANY and bool(_flat_area(corners) > 0.09 * length * page)


def _flat_area(corners: Floats) -> float:
    return area_vector([(float(x), float(y), 0.0) for x, y in corners])[2]


def _draw(ax: Axes, name: str, corners: Floats, loss: float, shades: Shades, large: bool) -> None:
    from matplotlib.colors import to_rgb
    from matplotlib.patches import Polygon

    shade = shades.of(loss)
    ax.add_patch(Polygon(corners, closed=True, facecolor=shade, edgecolor=INK, linewidth=0.6, label=name))
    if large:
        dark = float(np.dot(to_rgb(shade), (0.3, 0.59, 0.11))) < 0.55
        ax.annotate(
            figure(loss, 2), corners.mean(axis=0), ha="center", va="center", color=ON_DARK if dark else ON_LIGHT
        )


class Shades(NamedTuple):
    """Limits of the classes of loss, and a colour for each class, the darker the more is lost."""

    limits: Floats
    colours: tuple[str, ...]

    def of(self, loss: float) -> str:
        """Colour of a loss."""
        place = int(np.searchsorted(self.limits, loss, side="right")) - 1
        return self.colours[min(max(place, 0), len(self.colours) - 1)]


def _shades(loss: pd.Series[float]) -> Shades:
    """Classes with round limits from the least to the largest loss; differences of a twentieth share one."""
    import matplotlib as mpl
    from matplotlib.colors import to_hex

    low, high = float(loss.min()), float(loss.max())
    rough = max((high - low) / STEPS, abs(high) / 20.0, 1e-6)
    power = 10.0 ** math.floor(math.log10(rough))
    width = next(power * nice for nice in (1.0, 2.0, 2.5, 5.0, 10.0) if power * nice >= rough * (1.0 - 1e-9))
    start = width * math.floor(low / width)
    count = max(1, math.ceil((high - start) / width))
    scheme = mpl.colormaps["YlOrBr"]
    colours = tuple(to_hex(scheme(0.06 + 0.8 * (i + 0.5) / count)) for i in range(count))
    return Shades(np.asarray(start + width * np.arange(count + 1), dtype=float), colours)


def _key(ax: Axes, shades: Shades, title: str) -> None:
    from matplotlib.patches import Patch

    spans = zip(shades.limits[:-1], shades.limits[1:], shades.colours, strict=True)
    keys = [Patch(facecolor=c, edgecolor=INK, linewidth=0.5, label=f"{a:g} to {b:g}") for a, b, c in spans]
    ax.legend(handles=keys, title=title, loc="upper center", bbox_to_anchor=(0.5, -0.04), ncols=3 if narrow(ax) else 5,
              handlelength=1.4, columnspacing=1.2)  # fmt: skip
