"""The house is drawn from its own surfaces, and their shades are the heat that the season booked through them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from heatloss import House, read_weather, sample_house, simulate
from heatloss.report.house_plot import house_drawn, loss_per_area


@pytest.fixture(scope="module")
def seasons() -> dict[str, Any]:
    houses = {name: sample_house(name) for name in ("larkfield", "dome", "hoop", "lean_to")}
    return {name: simulate(h, read_weather(h.place.weather), steps_per_hour=1) for name, h in houses.items()}


def axes(width: float = 7.5) -> Axes:
    return Figure(figsize=(width, 4.5)).add_subplot()


def drawn(ax: Axes) -> list[tuple[str, Any]]:
    return [(str(p.get_label()), p) for p in ax.patches]


@pytest.mark.parametrize("name", ["larkfield", "dome", "hoop", "lean_to"])
def test_losses_over_their_areas_are_the_ledgers(seasons: dict[str, Any], name: str) -> None:
    """Glazing, frame and opaque parts while a heater runs; a film's heat rays too, which are booked as a whole."""
    season = seasons[name]
    loss = loss_per_area(season)
    runs = season.hourly["heat"] > 0.0
    paths = [p for p in ("cover", "bridging", "opaque") if p in season.ledger.index]
    booked = -season.hourly.loc[runs, paths].sum(axis=1).mean()
    assert sum(loss[s.name] * s.area for s in season.geometry.surfaces) == pytest.approx(booked, rel=1e-9)


def test_an_insulated_wall_loses_less_than_glazing(seasons: dict[str, Any]) -> None:
    loss = loss_per_area(seasons["larkfield"])
    assert 0.0 < loss["insulated north wall"] < 0.4 * loss["south wall"]


@pytest.mark.parametrize("name", ["larkfield", "dome", "hoop", "lean_to"])
def test_every_surface_with_an_outline_is_seen_from_one_corner_or_both(seasons: dict[str, Any], name: str) -> None:
    season = seasons[name]
    placed = {s.name for s in season.geometry.surfaces if s.polygon is not None}
    seen = [name for name, _ in drawn(house_drawn(season, axes()))]
    assert set(seen) == placed
    assert max(seen.count(name) for name in placed) <= 2


def test_openings_without_a_place_are_named_below(seasons: dict[str, Any]) -> None:
    ax = house_drawn(seasons["larkfield"], axes(), units="si")
    door = loss_per_area(seasons["larkfield"])["door"]
    assert f"place unknown: door {door:.0f}" in ax.get_legend().get_title().get_text()


def test_shades_are_classes_of_loss_and_darker_is_more(seasons: dict[str, Any]) -> None:
    season = seasons["larkfield"]
    ax = house_drawn(season, axes(), units="si")
    loss = loss_per_area(season)
    keys = ax.get_legend()
    limits = [tuple(float(x) for x in t.get_text().split(" to ")) for t in keys.get_texts()]
    shades = [k.get_facecolor()[:3] for k in keys.get_patches()]
    grey = [float(np.dot((0.2126, 0.7152, 0.0722), shade)) for shade in shades]
    assert grey == sorted(grey, reverse=True)
    for name, patch in drawn(ax):
        (place,) = [i for i, (low, high) in enumerate(limits) if low <= loss[name] < high]
        assert patch.get_facecolor()[:3] == pytest.approx(to_rgb(shades[place]))


def test_a_view_keeps_lengths_along_the_page(seasons: dict[str, Any]) -> None:
    """From the south a ridge east and west is drawn at its full length."""
    ax = house_drawn(seasons["larkfield"], axes(), bearing=180.0)
    wall = next(p for name, p in drawn(ax) if name == "south wall")
    assert np.ptp(wall.get_xy()[:, 0]) == pytest.approx(44 * 0.3048)


def test_views_stand_side_by_side_or_one_over_the_other(seasons: dict[str, Any]) -> None:
    for width, along in ((7.5, 0), (3.7, 1)):
        texts = [t for t in house_drawn(seasons["hoop"], axes(width)).texts if t.get_text().startswith("from the")]
        first, second = (np.array(t.xy) for t in texts)
        assert abs(first - second).argmax() == along


def test_a_free_shape_is_drawn_as_squares_of_its_areas() -> None:
    house = House(
        place={"weather": "chicago"},
        shape={"kind": "free", "floor_area": "40 m2", "perimeter": "26 m", "volume": "100 m3"},
        cover={"glazing": "polycarbonate twin-wall 8 mm"},
        surface=[
            {"name": "slope", "area": "36 m2", "tilt": "0 deg", "azimuth": "180 deg", "u": "1.0 W/(m2 K)"},
            {"name": "south", "area": "16 m2", "tilt": "90 deg", "azimuth": "180 deg",
             "glazing": "polycarbonate twin-wall 8 mm"},
            {"name": "south too", "area": "4 m2", "tilt": "90 deg", "azimuth": "180 deg", "u": "0.3 W/(m2 K)"},
        ],
        floor={"kind": "bare soil"},
        air={"ach": 0.5},
        setpoint=[{"day": "10 degC"}],
        heater=[{"name": "fan", "fuel": "electricity", "efficiency": 1.0, "basis": "hhv"}],
    )  # fmt: skip
    season = simulate(house, read_weather("chicago"), steps_per_hour=1)
    patches = dict(drawn(house_drawn(season, axes(), bearing=180.0)))
    assert set(patches) == {"slope", "south", "south too"}
    assert np.ptp(patches["south"].get_xy()[:, 0]) == pytest.approx(4.0)
    one, other = (patches[name].get_xy()[:, 0] for name in ("south", "south too"))
    assert one.max() < other.min() or other.max() < one.min()
