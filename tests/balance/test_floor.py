"""Floor and beds: columns of soil over the ground of ISO 13370."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import box, gable, made, quick, weather, with_hours

from heatloss import catalogue, conductances
from heatloss.balance.assemble import assemble
from heatloss.balance.drivers import prepare
from heatloss.balance.floor import perimeter_factor, slab_of, yearly_wave
from heatloss.errors import InputError
from heatloss.geometry import build


def steady_floor(house, inside: float = 20.0, far: float = 5.0):
    """Flow from a warm room through the floor in the steady state, W: films fixed, ground and outdoor at `far`."""
    still = with_hours(weather(), temp_air=np.full(8760, far))
    _, _, assembly = made(
        house.changed(method={"films": "fixed", "ground": "outdoor", "sun": "none", "latent": "none"}), still
    )
    net = assembly.network
    net.heater("hold", "air", setpoint=inside)
    run = net.steady()
    tops = [name for name in run.temperature if name == "floor" or name.startswith("bed ")]
    return {top: float(run.flow("air", top)[0]) for top in tops if "cell" not in top}


@pytest.mark.parametrize(
    "floor",
    [
        {},
        {"kind": "concrete slab", "soil": "sand"},
        {"kind": "wood deck", "soil": "rock", "insulation": "RSI-1.5"},
        {"kind": "gravel", "edge": "R-10", "depth": "2 ft"},
        {"kind": "brick on sand", "edge": "R-10", "depth": "4 ft", "direction": "horizontal"},
    ],
)
def test_column_conducts_in_the_steady_state_what_the_standard_says(floor) -> None:
    house = box(floor=floor, setpoint=[], heater=[], method={"latent": "none"})
    geometry, _, assembly = made(house)
    slab = slab_of(assembly, house, geometry)
    flow = steady_floor(house)["floor"]
    assert flow == pytest.approx(15.0 * slab.h_ground, rel=1e-9)
    assert flow / 15.0 == pytest.approx(conductances(house)["w_per_k"]["ground"], rel=1e-9)


def test_edge_insulation_lowers_the_loss() -> None:
    """H_g of the 6 x 16.67 m house, bare and with RSI-1.8, 0.6 m deep: 74.4 and 52.1 W/K, calculated by ISO 13370."""
    bare = conductances(gable())["w_per_k"]["ground"]
    edged = conductances(gable(floor={"edge": "RSI-1.8", "depth": "0.6 m"}))["w_per_k"]["ground"]
    assert bare == pytest.approx(74.365, abs=0.02)
    assert edged == pytest.approx(52.128, abs=0.2)  # the foam's own 63 mm of thickness is not known here


def test_bed_stands_on_the_soil_in_place_of_the_floor() -> None:
    house = box(
        floor={"kind": "wood deck"},
        bed=[{"name": "b", "area": "15 m2", "depth": "40 cm", "soil": "garden soil"}],
        setpoint=[],
        heater=[],
        method={"latent": "none"},
    )
    flow = steady_floor(house)
    geometry, _, assembly = made(house)
    slab = slab_of(assembly, house, geometry)
    whole = geometry.floor_area / slab.h_ground
    filling = 0.4 / catalogue.row("soils", "garden soil")["conductivity"]
    assert flow["floor"] == pytest.approx(15.0 * 25.0 / whole, rel=1e-9)
    assert flow["bed b"] == pytest.approx(15.0 * 15.0 / (whole - slab.r_floor + filling), rel=1e-9)


def test_soil_column_holds_half_a_metre_of_heat() -> None:
    """Six cells of 2, 3, 5, 10, 15, 15 cm with the heat of clay; a bed's own filling above them."""
    house = box(floor={"soil": "clay"}, bed=[{"name": "b", "area": "10 m2", "depth": "30 cm", "soil": "garden soil"}])
    _, _, assembly = made(house)
    nodes = assembly.network._nodes
    cells = [nodes[f"floor cell {i}"][0] for i in range(1, 7)]
    assert cells == pytest.approx([3.0e6 * 30.0 * d for d in (0.02, 0.03, 0.05, 0.10, 0.15, 0.15)], rel=1e-9)
    assert "floor cell 7" not in nodes
    bed = sum(c for name, (c, _) in nodes.items() if name.startswith("bed b cell"))
    assert bed == pytest.approx(10.0 * (0.3 * 2.6e6 + 0.5 * 3.0e6), rel=1e-9)


def test_short_way_to_the_ground_cuts_the_column() -> None:
    """On rock under a small floor little is left below half a metre: the column is cut and the sum stays the same."""
    house = box(
        shape={"length": "3 m", "width": "2 m"},
        floor={"soil": "rock", "wall_thickness": "0.1 m"},
        setpoint=[],
        heater=[],
        method={"latent": "none"},
    )
    geometry, _, assembly = made(house)
    names = [n for n in assembly.network._nodes if n.startswith("floor cell")]
    assert steady_floor(house)["floor"] == pytest.approx(15.0 * slab_of(assembly, house, geometry).h_ground, rel=1e-9)
    assert 1 <= len(names) <= 6


def test_virtual_temperature_gives_the_monthly_flows_of_the_standard() -> None:
    """Phi of January, February and August: 807.6, 851.9, 190.6 W; ISO 13370 for this house with RSI-1.8, 0.6 m deep,
    20 degC inside, 10 degC outside on the mean with a swing of 10 K, coldest in January; calculated.
    """
    month = 0.5 + 12.0 * (np.arange(8760) + 0.5) / 8760.0
    within = np.sin(np.pi / 12.0) / (np.pi / 12.0)  # the mean of a month swings less than its middle day
    outdoor = 10.0 - 10.0 / within * np.cos(2.0 * np.pi * (month - 1.0) / 12.0)
    house = gable(floor={"edge": "RSI-1.8", "depth": "0.6 m"}, setpoint=[{"day": "20 degC"}], method={"sun": "none"})
    still = with_hours(weather(), temp_air=outdoor)
    geometry = build(house)
    drivers = prepare(house, geometry, still)
    assembly = assemble(house, geometry, drivers, inside_months=np.full(12, 20.0))
    virtual = assembly.network._boundaries["ground"].array()
    slab = slab_of(assembly, house, geometry)
    flow = slab.h_ground * (20.0 - virtual)
    for number, expected in ((1, 807.6), (2, 851.9), (8, 190.6)):
        hour = int(np.argmin(np.abs(drivers.month - number)))
        assert flow[hour] == pytest.approx(expected, abs=4.0), number  # months are not of one length


def test_yearly_wave_of_months() -> None:
    months = np.arange(1, 13)
    mean, swing, coldest = yearly_wave(8.0 - 12.0 * np.cos(2.0 * np.pi * (months - 1.4) / 12.0))
    assert (mean, swing, coldest) == pytest.approx((8.0, 12.0, 1.4), rel=1e-9)
    _, _, south = yearly_wave(8.0 - 12.0 * np.cos(2.0 * np.pi * (months - 7.3) / 12.0))
    assert south == pytest.approx(7.3, rel=1e-9)


def test_ground_is_told_the_simulated_inside_where_it_leaves_the_guess() -> None:
    """A house that runs warm in summer: the means the ground was told are those that came out."""
    done = quick(gable(setpoint=[{"day": "10 degC"}]))
    assert done.assembly.ground_again
    means = done.drivers.by_month(done.hourly["inside"].to_numpy())
    assert np.abs(means - done.assembly.inside_months).max() < 1.0
    assert means.max() > 20.0


@pytest.mark.parametrize(
    ("floor", "name"),
    [
        ({}, "uninsulated"),
        ({"edge": "R-12", "depth": "2 ft"}, "vertical 0.6 m R-10"),
        ({"edge": "R-15", "depth": "4 ft"}, "vertical 1.2 m R-15"),
        ({"edge": "R-4", "depth": "2 ft"}, "uninsulated"),
        ({"edge": "R-5", "depth": "2 ft", "direction": "horizontal"}, "horizontal 0.6 m R-5"),
        ({"insulation": "R-21"}, "fully insulated R-20"),
        ({"insulation": "R-5"}, "uninsulated"),
    ],
)
def test_perimeter_row_never_flatters(floor, name) -> None:
    found, factor = perimeter_factor(box(floor=floor))
    assert found == name
    assert factor > 0.3


def test_perimeter_method_loses_from_the_air() -> None:
    done = quick(box(method={"ground": "f_factor"}))
    inside, outdoor = done.hourly["inside"], done.hourly["outdoor"]
    assert done.paths["ground"] == pytest.approx(
        -conductances(done.house)["w_per_k"]["ground"] * (inside - outdoor).to_numpy(), rel=1e-9, abs=1e-6
    )


@pytest.mark.parametrize("area", ["40 m2", "55 m2"])
def test_beds_must_leave_some_floor(area) -> None:
    with pytest.raises(
        InputError, match=r"^bed areas must sum to less than the floor \[m2\], got [45][05] on 40 \(bed"
    ):
        quick(box(bed=[{"name": "b", "area": area, "depth": "30 cm"}]))
