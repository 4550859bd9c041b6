"""The pictures carry the season's own numbers, in the units asked for, and stay readable."""

from __future__ import annotations

import subprocess
import sys
from itertools import combinations, pairwise
from types import SimpleNamespace
from typing import Any

import matplotlib as mpl
import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from heatloss import read_weather, sample_house, simulate
from heatloss.fuel import purchase
from heatloss.report.flow_plot import heat_flow
from heatloss.report.house_plot import house_drawn
from heatloss.report.plots import (
    BANDS,
    INSIDE,
    OTHER,
    OUTDOOR,
    SETPOINT,
    coldest_week,
    coldest_week_heat,
    coldest_week_temperatures,
    fuel_so_far,
    heat_by_month,
    light_by_month,
    load_duration,
    style,
    temperatures_over_the_year,
)

BTU = 1055.05585262  # J, the international table's, by definition
MILLION_BTU_PER_KWH = 3.6e6 / BTU / 1e6


@pytest.fixture(scope="module")
def season() -> Any:
    return simulate(sample_house(), read_weather("chicago"))


def axes() -> Axes:
    return Figure(figsize=(7.5, 4.5)).add_subplot()


def bars(ax: Axes) -> dict[str, np.ndarray]:
    """Heights of every container of bars by its label."""
    return {str(c.get_label()): np.array([p.get_height() for p in c]) for c in ax.containers}  # type: ignore[attr-defined]


def lines(ax: Axes) -> dict[str, np.ndarray]:
    return {str(line.get_label()): np.asarray(line.get_ydata(), dtype=float) for line in ax.get_lines()}


@pytest.mark.parametrize(("units", "scale"), [("us", MILLION_BTU_PER_KWH), ("si", 1.0)])
def test_bars_are_the_months_of_the_ledger(season: Any, units: Any, scale: float) -> None:
    drawn = bars(heat_by_month(season, axes(), units=units))
    months = season.monthly * scale
    assert drawn["heaters, in"] == pytest.approx(months["heat_kwh"].to_numpy(), rel=1e-12)
    assert drawn["sun that stays, in"] == pytest.approx(months["sun"].to_numpy(), rel=1e-12)
    assert drawn["air leaks, out"] == pytest.approx(months["infiltration"].to_numpy(), rel=1e-12)
    glazing = (months["cover"] + months["bridging"]).to_numpy()
    assert drawn["glazing and frame, out"] == pytest.approx(glazing, rel=1e-12)
    stores = drawn["stores, in"] + drawn["stores, out"]
    assert stores == pytest.approx(months["storage"].to_numpy(), rel=1e-12)
    assert (drawn["stores, in"] * drawn["stores, out"] == 0.0).all()


def test_a_month_reaches_as_far_up_as_down(season: Any) -> None:
    drawn = bars(heat_by_month(season, axes(), units="si"))
    total = sum(drawn.values())
    assert np.abs(total).max() <= 1e-6 * season.monthly["sun"].max()
    up = sum(h for name, h in drawn.items() if name.endswith(", in"))
    down = sum(h for name, h in drawn.items() if name.endswith(", out"))
    ax = heat_by_month(season, axes(), units="si")
    tops = np.array([[p.get_y() + p.get_height() for p in c] for c in ax.containers])  # type: ignore[attr-defined]
    assert tops.max(axis=0) == pytest.approx(up, rel=1e-12)
    assert tops.min(axis=0) == pytest.approx(down, rel=1e-12)


def test_months_stand_in_heating_order_with_heaters_on_top(season: Any) -> None:
    ax = heat_by_month(season, axes())
    assert [t.get_text() for t in ax.get_xticklabels()][:3] == ["Jul", "Aug", "Sep"]
    ins = [str(c.get_label()) for c in ax.containers if str(c.get_label()).endswith(", in")]
    assert ins[-1] == "heaters, in"


def test_a_path_without_a_band_is_drawn_as_other_and_never_lost() -> None:
    monthly = pd.DataFrame({"heater": [5.0, 7.0], "sauna": [-5.0, -7.0]}, index=[12, 1])
    made: Any = SimpleNamespace(monthly=monthly, ledger=monthly.sum())
    drawn = bars(heat_by_month(made, axes(), units="si"))
    assert list(drawn) == [f"{OTHER.name}, out", "heaters, in"]
    assert drawn[f"{OTHER.name}, out"] == pytest.approx([-5.0, -7.0])


def test_every_path_of_a_season_has_a_band(season: Any) -> None:
    assert set(season.ledger.index) <= {path for band in BANDS for path in band.paths}
    paths = [path for band in BANDS for path in band.paths]
    assert len(paths) == len(set(paths))


def test_the_week_is_the_coldest(season: Any) -> None:
    week = coldest_week(season)
    outdoor = season.weather.hours["temp_air"]
    assert len(week) == 168
    assert week["outdoor"].mean() == pytest.approx(outdoor.rolling(168).mean().min(), abs=1e-9)


@pytest.mark.parametrize(("units", "slope", "zero"), [("us", 1.8, 32.0), ("si", 1.0, 0.0)])
def test_lines_are_the_hours_of_the_season(season: Any, units: Any, slope: float, zero: float) -> None:
    drawn = lines(coldest_week_temperatures(season, axes(), units=units))
    week = coldest_week(season)
    for label, column in (("outdoors", "outdoor"), ("inside", "inside"), ("setpoint", "setpoint")):
        assert drawn[label] == pytest.approx(week[column].to_numpy() * slope + zero, abs=1e-9)


@pytest.mark.parametrize(("units", "per_watt"), [("us", 3.6 / BTU), ("si", 1e-3)])
def test_heat_is_the_hours_of_the_season(season: Any, units: Any, per_watt: float) -> None:
    ax = coldest_week_heat(season, axes(), units=units)
    heat = coldest_week(season)["heat"].to_numpy() * per_watt
    assert bars(ax)["heaters"] == pytest.approx(heat, rel=1e-12)
    (mark,) = ax.texts
    assert float(mark.get_text().split()[-1]) == pytest.approx(heat.max(), rel=5e-3)
    assert ax.get_ylim()[1] > heat.max()


def test_a_week_without_heat_has_no_mark(season: Any) -> None:
    cold: Any = SimpleNamespace(weather=season.weather, hourly=season.hourly.assign(heat=0.0))
    ax = coldest_week_heat(cold, axes())
    assert not ax.texts
    assert ax.get_ylim() == (0.0, 1.0)


def test_hours_without_a_setpoint_leave_a_gap(season: Any) -> None:
    free: Any = SimpleNamespace(weather=season.weather, hourly=season.hourly.assign(setpoint=np.nan))
    ax = coldest_week_temperatures(free, axes())
    assert {t.get_text() for t in ax.texts} == {"inside", "outdoors"}


@pytest.mark.parametrize(("units", "per_watt"), [("us", 3.6 / BTU), ("si", 1e-3)])
def test_load_duration_counts_the_hours_with_at_least_a_load(season: Any, units: Any, per_watt: float) -> None:
    drawn = lines(load_duration(season, axes(), units=units))
    heat = season.hourly["heat"].to_numpy() * per_watt
    assert len(drawn["load"]) == (heat > 0.0).sum()
    assert drawn["load"].sum() == pytest.approx(heat.sum(), rel=1e-12)
    for hours in (0, 10, 1000):
        assert (heat >= drawn["load"][hours]).sum() == hours + 1
    assert drawn["pellet boiler"] == pytest.approx([season.house.heater[0].output * per_watt] * 2)
    assert drawn["steady, 20-year minimum"] == pytest.approx([season.design["minimum_20_year"] * per_watt] * 2)


def test_load_duration_takes_other_sizes(season: Any) -> None:
    drawn = lines(load_duration(season, axes(), sizes={"small": 9_000.0, "large": 21_000.0}, units="si"))
    assert list(drawn) == ["load", "small", "large"]
    assert drawn["large"] == pytest.approx([21.0, 21.0])


@pytest.mark.parametrize(("units", "slope", "zero"), [("us", 1.8, 32.0), ("si", 1.0, 0.0)])
def test_the_year_stands_in_heating_order_day_by_day(season: Any, units: Any, slope: float, zero: float) -> None:
    ax = temperatures_over_the_year(season, axes(), units=units)
    drawn = lines(ax)
    hourly = season.hourly
    first = hourly[(hourly.index.month == 7) & (hourly.index.day == 1)]
    last = hourly[(hourly.index.month == 6) & (hourly.index.day == 30)]
    for label, column in (("outdoors", "outdoor"), ("perch tank", "tank perch tank")):
        assert len(drawn[label]) == 365
        assert drawn[label][0] == pytest.approx(first[column].mean() * slope + zero)
        assert drawn[label][-1] == pytest.approx(last[column].mean() * slope + zero)
    inside = ax.collections[0].get_paths()[0].vertices
    assert inside[:, 1].min() == pytest.approx(hourly["inside"].min() * slope + zero)
    assert inside[:, 1].max() == pytest.approx(hourly["inside"].max() * slope + zero)


def test_light_is_that_of_the_months_beside_the_crops_range(season: Any) -> None:
    ax = light_by_month(season, axes())
    assert bars(ax)["light"] == pytest.approx(season.monthly["light"].to_numpy(), rel=1e-12)
    wants = next(p for p in ax.patches if p.get_label() == "lettuce")
    low, high = (float(word) for word in ax.texts[0].get_text().split()[2::2])
    assert wants.get_bbox().intervaly == pytest.approx((low, high))


@pytest.mark.parametrize(("units", "scale"), [("us", 1.0), ("si", 907.18474)])
def test_fuel_so_far_ends_at_the_winter_and_its_range(season: Any, units: Any, scale: float) -> None:
    ax = fuel_so_far(season.fuel, axes(), units=units)
    drawn, bought = lines(ax), purchase(season.fuel)
    assert drawn["middle estimate"][-1] == pytest.approx(season.fuel.amount * scale)
    november = season.fuel.monthly["amount"].loc[[7, 8, 9, 10, 11]].sum()
    assert drawn["middle estimate"][5] == pytest.approx(november * scale)
    assert drawn["to buy"] == pytest.approx([bought.amount * scale] * 2)
    band = ax.collections[0].get_paths()[0].vertices
    at_the_end = band[band[:, 0] == 12.0][:, 1]
    assert (at_the_end.min(), at_the_end.max()) == pytest.approx((bought.low * scale, bought.high * scale))


@pytest.mark.parametrize(
    ("draw", "us", "si"),
    [
        (load_duration, "thousand Btu/h", "kW"),
        (temperatures_over_the_year, "°F", "°C"),
        (lambda season, ax, units: fuel_so_far(season.fuel, ax, units=units), "short tons", "kg"),
        (lambda season, ax, units: light_by_month(season, ax), "mol", "mol"),
        (heat_by_month, "million Btu", "kWh"),
        (coldest_week_temperatures, "°F", "°C"),
        (coldest_week_heat, "thousand Btu/h", "kW"),
    ],
)
def test_every_axis_has_its_unit_and_the_axes_come_back(season: Any, draw: Any, us: str, si: str) -> None:
    for units, word in (("us", us), ("si", si)):
        ax = axes()
        assert draw(season, ax, units=units) is ax
        assert ax.get_ylabel().startswith(word)


def lightness(colour: str) -> float:
    """CIE L* of an sRGB colour, 0 to 100 (IEC 61966-2-1 and CIE 1976, from memory)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = float(np.dot((0.2126, 0.7152, 0.0722), linear))
    return 116.0 * y ** (1.0 / 3.0) - 16.0


def test_neighbours_stay_apart_in_grey(season: Any) -> None:
    ax = heat_by_month(season, axes())
    for side in ("in", "out"):
        names = [str(c.get_label()).rpartition(", ") for c in ax.containers]
        stack = [next(b for b in BANDS if b.name == name) for name, _, where in names if where == side]
        for one, other in pairwise(stack):
            assert one.hatch != other.hatch or abs(lightness(one.colour) - lightness(other.colour)) > 12.0
    for one, other in combinations([OUTDOOR, INSIDE, SETPOINT], 2):
        assert abs(lightness(one) - lightness(other)) > 12.0


PICTURES = {
    "months": heat_by_month,
    "flow": heat_flow,
    "week, temperatures": coldest_week_temperatures,
    "week, heat": coldest_week_heat,
    "load duration": load_duration,
    "temperatures": temperatures_over_the_year,
    "fuel": lambda season, ax, units: fuel_so_far(season.fuel, ax, units=units),
    "light": lambda season, ax, units: light_by_month(season, ax),
    "house": house_drawn,
}


def words_on(ax: Axes) -> list[Any]:
    """Every piece of text that is drawn, the keys and the ticks within the limits among them."""
    ticks = [(axis, t) for axis in (ax.xaxis, ax.yaxis) for t in axis.get_ticklabels(which="both")]
    low = {axis: sorted(axis.get_view_interval()) for axis in (ax.xaxis, ax.yaxis)}
    places = {t: t.get_position()[0 if axis is ax.xaxis else 1] for axis, t in ticks}
    hidden = {t for axis, t in ticks if not (ax.axison and low[axis][0] <= places[t] <= low[axis][1])}
    return [t for t in ax.findobj(mpl.text.Text) if t.get_text().strip() and t.get_visible() and t not in hidden]


@pytest.fixture(scope="module")
def others() -> dict[str, Any]:
    """Houses of other kinds in other places, an hour a step."""
    houses = {name: sample_house(name) for name in ("dome", "lean_to")}
    return {name: simulate(h, read_weather(h.place.weather), steps_per_hour=1) for name, h in houses.items()}


@pytest.mark.parametrize("width", [3.7, 7.5])
@pytest.mark.parametrize("name", PICTURES)
def test_no_words_overlap_or_leave_the_page(season: Any, others: dict[str, Any], name: str, width: float) -> None:
    for made, units in ((season, "us"), (others["dome"], "si"), (others["lean_to"], "us")):
        with style():
            figure = Figure(figsize=(width, 4.6), layout="constrained")
            ax = PICTURES[name](made, figure.add_subplot(), units=units)
            figure.draw_without_rendering()
        boxes = [(t.get_text(), t.get_window_extent()) for t in words_on(ax)]
        for (one, a), (other, b) in combinations(boxes, 2):
            assert not a.padded(-0.5).overlaps(b.padded(-0.5)), (one, other)
        for one, a in boxes:
            assert a.x0 >= -0.5, one
            assert a.x1 <= figure.bbox.x1 + 0.5, one
            assert a.y0 >= -0.5, one
            assert a.y1 <= figure.bbox.y1 + 0.5, one


def test_style_changes_nothing_after_it_even_when_drawing_fails() -> None:
    before = dict(mpl.rcParams)

    def fail() -> None:
        with style():
            assert not mpl.rcParams["axes.spines.top"]
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert dict(mpl.rcParams) == before


def test_style_leaves_alone_what_a_backend_switches_on_within() -> None:
    with mpl.rc_context():
        mpl.rcParams["interactive"] = False
        with style():
            mpl.rcParams["interactive"] = True
        assert mpl.rcParams["interactive"]


def test_matplotlib_loads_only_to_draw() -> None:
    code = "import sys, heatloss.report.plots; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
