"""Shapes side by side: the same floor in another form, turned, under another roof, and what each takes to build."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from heatloss.balance import conductances
from heatloss.decisions.measures import sum_of
from heatloss.errors import InputError, UnknownNameError
from heatloss.geometry import Geometry, Surface, build
from heatloss.physics import economics
from heatloss.season import Season, simulate
from heatloss.units import parse_price

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

SHEET = 1.2192 * 2.4384
"""A sheet of 4 by 8 ft [m2]."""
SHEET_TRIANGLES = 4.0 / 3.0
"""Sheets bought for the area that triangles of a dome need: cut from rows, about a quarter is left over; judgement, no
source."""
WASTE = 1.10
"""Sheets bought for the area of flat sides: one in ten is offcut; common practice, no source."""
RAFTER_STEP = 1.2192
"""Rafters, studs and purlins stand a sheet's width apart [m]; common practice, no source."""
BOARD_FOOT = 0.3048**2 * 0.0254
"""Wood of a foot by a foot by an inch [m3]."""
FRAME_SECTION = 0.0508 * 0.1016
"""Section of a two-by-four as it is sold [m2]."""
PER = {"sheet": "", "tape": "m", "board_foot": "", "foundation": "m", "opaque": "m2", "hub": ""}
"""What each price is counted by; nothing for a piece."""
FORMS = ("gable", "box", "hoop", "gothic", "dome")
QUARTERS = ("north", "east", "south", "west")
WINTER = (11, 12, 1, 2)
SOUTHERN_WINTER = (5, 6, 7, 8)
COLUMNS = (
    "floor_area", "volume", "hull_area", "glazing_area", "glazing_north", "glazing_east", "glazing_south",
    "glazing_west", "glazing_flat", "ua", "winter_sun_kwh", "light_darkest", "heat_kwh", "fuel", "unit", "cost",
    "sheets", "tape_m", "board_feet", "foundation_m", "build", "twenty_winters", "error",
)  # fmt: skip


@dataclass(frozen=True)
class UnitPrices:
    """What a person pays; the figures that come with the package are invented examples.

    Attributes
    ----------
    sheet : float [usd]
        A sheet of 4 by 8 ft of glazing.
    tape : float [usd/m]
    board_foot : float [usd]
    foundation : float [usd/m]
        Along the perimeter.
    opaque : float [usd/m2]
        Walls and doors that are not glazed, materials.
    hub : float [usd]
        A connector at each corner of a dome.
    """

    sheet: float = 70.0
    tape: float = 1.6
    board_foot: float = 1.3
    foundation: float = 40.0
    opaque: float = 45.0
    hub: float = 18.0

    def __post_init__(self) -> None:
        """Refuse what is no price."""
        for it in fields(self):
            if not 0.0 <= getattr(self, it.name) < math.inf:
                raise InputError(f"{it.name} must be 0 or more [usd], got {getattr(self, it.name):g}.")


def read_prices(path: str | Path) -> UnitPrices:
    """Read unit prices: a TOML file of lines such as ``tape = "0.50 usd/ft"``.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    UnitPrices

    Raises
    ------
    InputError
        For a file that cannot be read, an unknown name, a price without its unit.
    """
    try:
        tree = tomllib.loads(Path(path).read_text(encoding="utf-8-sig"))
    except (OSError, ValueError) as problem:
        raise InputError(f"file of prices must be TOML that can be read, got {str(path)!r} ({problem}).") from None
    known = {it.name: it.name for it in fields(UnitPrices)}
    found = {}
    for name, typed in tree.items():
        if name not in known:
            raise UnknownNameError("price", name, known)
        unit = PER[name]
        found[name] = parse_price(typed, unit, name=name, where=str(path)) if unit else sum_of(typed, name, str(path))
    return UnitPrices(**found)


def forms_of(house: House) -> dict[str, House]:
    """The house as it is, and the same floor as every other form, turned, and under a steeper and a flatter roof."""
    if house.shape.kind == "free":
        raise InputError("shape must have dimensions to be drawn in another form, got free surfaces.")
    turned = ((house.shape.bearing if house.shape.bearing is not None else 90.0) + 90.0) % 180.0
    return {
        "as it is": house,
        **{kind: variant(house, kind) for kind in FORMS},
        "gable, turned": variant(house, "gable", bearing=turned),
        "gable, roof at 45 deg": variant(house, "gable", pitch=45.0),
        "gable, roof at 20 deg": variant(house, "gable", pitch=20.0),
    }


def variant(house: House, kind: str, *, bearing: float | None = None, pitch: float | None = None) -> House:
    """A house of the same floor area and glazing in another shape, another way round, with another roof.

    Parameters
    ----------
    house : House
        Not of free surfaces; beds, tanks, air, setpoints and heaters are kept, parts and curtains are not, since they
        stand on sides that the new shape may lack.
    kind : str
        ``gable``, ``box``, ``hoop``, ``gothic`` or ``dome``.
    bearing : float, optional
        Of the ridge; as the house has it, else 90 [deg].
    pitch : float, optional
        Of a gable's roof above the level; as the house has it, else 30 [deg].

    Returns
    -------
    House

    Raises
    ------
    InputError
        For an unknown kind, a free shape, or a pitch that is none.

    Notes
    -----
    Length to width and the height of the walls stay those of the house; a shape without them gets 2 to 1 and 1.8 m. A
    hoop is half round over the width, a gothic arch as high as 0.6 of its width, a dome a hemisphere of frequency 3
    whose floor has the area.
    """
    if kind not in FORMS:
        raise InputError(f"kind must be one of {', '.join(FORMS)}, got {kind!r}.")
    if house.shape.kind == "free":
        raise InputError("shape must have dimensions to be drawn in another form, got free surfaces.")
    if pitch is not None and not 0.0 < pitch < 80.0:
        raise InputError(f"pitch must be between 0 and 80 [deg], got {pitch:g}.")
    area, old = build(house).floor_area, house.shape
    aspect = old.length / old.width if old.length and old.width else 2.0
    eave = old.eave or 1.8
    if pitch is None:
        rise = old.ridge - eave if old.kind == "gable" and old.ridge else 0.0
        pitch = math.degrees(math.atan2(rise, 0.5 * old.width)) if rise and old.width else 30.0
    width = math.sqrt(area / aspect)
    turned = bearing if bearing is not None else old.bearing if old.bearing is not None else 90.0
    shape: dict[str, Any] = {"kind": kind, "length": f"{width * aspect!r} m", "width": f"{width!r} m",
                             "bearing": f"{turned % 360.0!r} deg"}  # fmt: skip
    if kind == "dome":
        shape = {"kind": "dome", "frequency": 3, "radius": f"{_dome_radius(house, area)!r} m"}
    elif kind in ("gable", "box"):
        shape["eave"] = f"{eave!r} m"
    if kind == "gable":
        shape["ridge"] = f"{eave + 0.5 * width * math.tan(math.radians(pitch))!r} m"
    if kind == "gothic":
        shape["ridge"] = f"{0.6 * width!r} m"
    title = f"{kind}, same floor"
    return house.changed(shape=shape, part=[], curtain=[], surface=[], title=title)


def _dome_radius(house: House, area: float) -> float:
    """Radius of the dome whose many-sided floor has an area [m]."""
    one = house.changed(shape={"kind": "dome", "frequency": 3, "radius": "1 m"}, part=[], curtain=[], surface=[])
    return math.sqrt(area / build(one).floor_area)


def take_off(house: House) -> pd.DataFrame:
    """Materials by part of a house.

    Parameters
    ----------
    house : House

    Returns
    -------
    frame
        Index ``part``; ``area`` [m2], ``sheets`` (of 4 by 8 ft, glazing alone), ``tape_m`` (joints between and around
        sheets) [m], ``board_feet`` of framing, ``hubs``.

    Notes
    -----
    Sheets: area over 32 ft2, times 1.10, or 4/3 for a dome's triangles. Tape: a flat side has a joint every 4 ft and
    its outline, area / 1.22 m + perimeter; a round roof the joints alone; a dome the edges of its triangles, each once.
    Framing, two-by-fours as sold (8 square inches): one along every joint and outline. A rule for comparing, not a
    cutting list: doors, vents, bracing and foundation are left out, and the bows of a hoop, which are pipe, count as
    wood of the same length.

    Examples
    --------
    >>> from heatloss import sample_house
    >>> round(float(take_off(sample_house())["sheets"].sum()))
    54
    """
    geometry = build(house)
    dome = house.shape.kind == "dome"
    rows: dict[str, list[float]] = {}
    for surface in geometry.surfaces:
        if surface.behind != "outdoors":
            continue
        glazed = surface.role == "cover"
        triangle = dome and surface.side.startswith("dome")
        joints = surface.area / RAFTER_STEP
        if triangle:
            joints = _outline(surface) / 2.0
        elif "strip" not in surface.name:
            joints += _outline(surface)
        sheets = surface.area / SHEET * (SHEET_TRIANGLES if triangle else WASTE) if glazed else 0.0
        wood = joints * FRAME_SECTION / BOARD_FOOT
        row = rows.setdefault(surface.part, [0.0] * 4)
        for i, value in enumerate((surface.area, sheets, joints if glazed else 0.0, wood)):
            row[i] += value
    frame = pd.DataFrame.from_dict(rows, orient="index", columns=["area", "sheets", "tape_m", "board_feet"])
    frame.index.name = "part"
    frame["hubs"] = 0.0
    if dome:
        frame.loc[frame.index[0], "hubs"] = float(len(_corners(geometry)))
    return frame


def _outline(surface: Surface) -> float:
    """Length around a face [m]; of one without an outline, that of a square of its area."""
    if surface.polygon is None:
        return 4.0 * math.sqrt(surface.area)
    ends = zip(surface.polygon, surface.polygon[1:] + surface.polygon[:1], strict=True)
    return sum(math.dist(a, b) for a, b in ends)


def _corners(geometry: Geometry) -> set[tuple[float, ...]]:
    return {
        tuple(round(x, 4) for x in p) for s in geometry.surfaces for p in s.polygon or () if s.side.startswith("dome")
    }


def build_cost(house: House, prices: UnitPrices) -> float:
    """What the shell costs by a person's unit prices [usd]."""
    off, geometry = take_off(house), build(house)
    opaque = sum(s.area for s in geometry.surfaces if s.role != "cover" and s.behind == "outdoors")
    whole = off[["sheets", "tape_m", "board_feet", "hubs"]].sum()
    return float(
        math.ceil(whole["sheets"]) * prices.sheet
        + whole["tape_m"] * prices.tape
        + whole["board_feet"] * prices.board_foot
        + geometry.perimeter * prices.foundation
        + opaque * prices.opaque
        + whole["hubs"] * prices.hub
    )


def compare_shapes(
    houses: Mapping[str, House] | Sequence[House],
    weather: Weather,
    *,
    prices: UnitPrices | None = None,
    winters: int = 20,
    discount: float = 0.05,
    escalation: float = 0.03,
    steps_per_hour: int = 4,
) -> pd.DataFrame:
    """Houses side by side: hull, sun, fuel, materials and money.

    Parameters
    ----------
    houses : mapping or sequence of House
        By name; a sequence is named by its titles. :func:`variant` makes some of the same floor.
    weather : Weather
    prices : UnitPrices, optional
        Your own; without them invented examples.
    winters : int
        Of fuel that are added to the build cost [year].
    discount, escalation : float
        Interest and rise of the fuel's price a year [1].
    steps_per_hour : int

    Returns
    -------
    frame
        One row per house. ``floor_area``, ``hull_area`` (all that faces outdoors), ``glazing_area`` and its parts by
        the way they face (within 45 deg; flatter than 15 deg is ``glazing_flat``) [m2], ``volume`` [m3]; ``ua`` (rated,
        floor and air among it) [W/K]; ``winter_sun_kwh`` through the glazing in the four darkest months,
        ``light_darkest`` [mol/(m2 d)]; ``heat_kwh``, ``fuel`` in its ``unit``, ``cost`` a year [usd]; ``sheets``,
        ``tape_m`` [m], ``board_feet``, ``foundation_m`` [m]; ``build`` [usd], ``twenty_winters``: build and the fuel of
        the winters in money of today [usd]; ``error``.

    Raises
    ------
    InputError
        For no houses, names used twice, or terms that cannot be.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> house = sample_house()
    >>> found = compare_shapes({k: variant(house, k) for k in ("gable", "dome")}, read_weather("chicago"))
    >>> bool(found.loc["dome", "hull_area"] < found.loc["gable", "hull_area"])
    True
    """
    named = _named(houses)
    paid = UnitPrices() if prices is None else prices
    factor = economics.present_value_factor(winters, rate=discount, escalation=escalation)
    rows = []
    for name, house in named.items():
        try:
            season = simulate(house, weather, steps_per_hour=steps_per_hour)
            row = _row(season, paid, factor)
        except InputError as problem:
            row = {"error": str(problem)}
        rows.append({"house": name, **dict.fromkeys(COLUMNS, np.nan), "unit": "", "error": "", **row})
    return pd.DataFrame(rows).set_index("house")


def _named(houses: Mapping[str, House] | Sequence[House]) -> dict[str, House]:
    if isinstance(houses, Mapping):
        named = dict(houses)
    else:
        titles = [house.title or f"house {i + 1}" for i, house in enumerate(houses)]
        if twice := next((t for i, t in enumerate(titles) if t in titles[:i]), None):
            raise InputError(f"title must be used once, got {twice!r} twice. Give houses by name.")
        named = dict(zip(titles, houses, strict=True))
    if not named:
        raise InputError("houses must be at least one, got none.")
    return named


def _row(season: Season, prices: UnitPrices, factor: float) -> dict[str, Any]:
    geometry, house = season.geometry, season.house
    outdoors = [s for s in geometry.surfaces if s.behind == "outdoors"]
    off = take_off(house)
    cost = sum(fuel.cost for fuel in season.fuels)
    shell = build_cost(house, prices)
    return {
        "floor_area": geometry.floor_area,
        "volume": geometry.volume,
        "hull_area": sum(s.area for s in outdoors),
        "glazing_area": sum(s.area for s in outdoors if s.role == "cover"),
        **_facing([s for s in outdoors if s.role == "cover"]),
        "ua": float(conductances(house, season.weather)["w_per_k"].sum()),
        "winter_sun_kwh": _winter_sun(season),
        "light_darkest": float(season.light.min()),
        "heat_kwh": season.heat_kwh,
        "fuel": season.fuels[0].amount if season.fuels else np.nan,
        "unit": season.fuels[0].unit if season.fuels else "",
        "cost": cost if season.fuels else np.nan,
        "sheets": float(math.ceil(off["sheets"].sum())),
        "tape_m": float(off["tape_m"].sum()),
        "board_feet": float(off["board_feet"].sum()),
        "foundation_m": geometry.perimeter,
        "build": shell,
        "twenty_winters": shell + cost * factor if season.fuels else np.nan,
    }


def _facing(glazed: Sequence[Surface]) -> dict[str, float]:
    """Glazing by the quarter of the compass it faces [m2]."""
    found = {f"glazing_{word}": 0.0 for word in (*QUARTERS, "flat")}
    for s in glazed:
        flat = s.tilt < 15.0 or s.tilt > 165.0
        found["glazing_flat" if flat else f"glazing_{QUARTERS[round(s.azimuth / 90.0) % 4]}"] += s.area
    return found


def _winter_sun(season: Season) -> float:
    """Sun through the glazing in the four darkest months [kWh]."""
    sunlight = season.assembly.sunlight
    assert sunlight is not None
    months = WINTER if season.weather.site.latitude >= 0.0 else SOUTHERN_WINTER
    return float(sunlight.entered[np.isin(season.drivers.index.month, months)].sum()) / 1000.0


def equal_bench(house: House, other: House) -> House:
    """Another house scaled in plan to the floor area of the first; heights stay, but for the arch of a hoop.

    Raises
    ------
    InputError
        For a free shape.
    """
    shape = other.tree()["shape"]
    if other.shape.kind == "free":
        raise InputError("shape must have dimensions to be scaled, got free surfaces.")
    by = math.sqrt(build(house).floor_area / build(other).floor_area)
    if other.shape.kind == "hoop" and other.shape.ridge is not None:  # an arch grows with its width
        rise = (other.shape.ridge - (other.shape.eave or 0.0)) * by
        shape["ridge"] = f"{(other.shape.eave or 0.0) + rise!r} m"
    scaled = {
        key: f"{getattr(other.shape, key) * by!r} m"
        for key in ("length", "width", "radius")
        if key in shape and getattr(other.shape, key)
    }
    return other.changed(shape={**shape, **scaled})
