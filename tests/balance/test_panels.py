"""Between the inner and the outer face: rated panels, layers with mass, closed curtains, what lies behind."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import PLAIN, TWIN, WALL, box, dome, free, gable, made, surface, weather, with_hours

from heatloss import catalogue, conductances
from heatloss.balance.curtains import closed_curtains
from heatloss.balance.panels import BARE_SHEET, SOIL_BEHIND
from heatloss.geometry import build

OUTSIDE = -10.0
INSIDE = 10.0


def steady(house, *, at: int = 0, **method):
    """The house held at 10 degC over -10 degC outdoors, in the steady state, with fixed films."""
    still = with_hours(weather(), temp_air=np.full(8760, OUTSIDE))
    given = house.changed(setpoint=[], heater=[], method={**PLAIN, **method})
    geometry, drivers, assembly = made(given, still)
    assembly.network.heater("hold", "air", setpoint=INSIDE)
    return geometry, drivers, assembly, assembly.network.steady(at=at)


def loss(run, geometry, name: str) -> float:
    """W/(m2 K) from the air through a surface, bars left out."""
    s = next(s for s in geometry.surfaces if s.name == name)
    return float(run.flow("air", f"{name} inside")[0]) / s.area / (INSIDE - OUTSIDE)


def test_every_construction_has_its_rated_u() -> None:
    faces = [
        surface("glass", 60.0, 30.0, 180.0, glazing="glass sealed double"),
        surface("thin", 10.0, 90.0, 180.0, glazing="polyethylene single"),
        surface("wall", 20.0, 90.0, 0.0, layers=WALL),
        surface("roof", 20.0, 10.0, 0.0, layers=WALL),
        surface("typed", 10.0, 90.0, 90.0, u="0.8 W/(m2 K)"),
        surface("door", 4.0, 90.0, 180.0, door="wood door"),
    ]
    geometry, _, _, run = steady(free(faces, bed=[], cover={"bridging": 1.0}))
    ply = catalogue.row("materials", "plywood")["conductivity"]
    inner = 0.028 / ply + 2.0
    assert loss(run, geometry, "glass") == pytest.approx(catalogue.row("glazing", "glass sealed double")["u_value"])
    assert loss(run, geometry, "wall") == pytest.approx(1.0 / (0.13 + inner + 0.04), rel=1e-9)
    assert loss(run, geometry, "roof") == pytest.approx(1.0 / (0.10 + inner + 0.04), rel=1e-9)
    assert loss(run, geometry, "typed") == pytest.approx(0.8, rel=1e-9)
    assert loss(run, geometry, "door") == pytest.approx(catalogue.row("doors", "wood door")["u_value"], rel=1e-9)
    thin = catalogue.row("glazing", "polyethylene single")
    # a rating that is all films leaves a bare sheet of high conductance
    sheet = 1.0 / (thin["r_si"] + thin["r_se"] + 1.0 / BARE_SHEET)
    assert loss(run, geometry, "thin") == pytest.approx(min(thin["u_value"], sheet), rel=0.02)


def test_bars_lead_past_the_outer_film() -> None:
    row = catalogue.row("glazing", TWIN)
    geometry, _, _, run = steady(box(cover={"bridging": 1.15}))
    film, rest = row["r_si"], 1.0 / row["u_value"] - row["r_si"]
    for s in geometry.surfaces:
        whole = float(run.flow("air", f"{s.name} inside")[0])
        assert whole == pytest.approx(20.0 * s.area / (film + rest / 1.15), rel=1e-9)
        bars = float(run.flow(f"{s.name} inside", "outdoor")[0])
        assert bars == pytest.approx(0.15 / 1.15 * whole, rel=1e-9)
    _, _, assembly, _ = steady(box(cover={"bridging": 1.0}))
    assert "bridging" not in assembly.losses


def test_what_lies_behind() -> None:
    faces = [
        surface("roof", 60.0, 30.0, 180.0),
        surface("end", 20.0, 90.0, 180.0),
        surface("house", 12.0, 90.0, 0.0, u="1.2 W/(m2 K)", behind="house"),
        surface("cellar", 12.0, 90.0, 90.0, u="1.2 W/(m2 K)", behind="4 degC"),
        surface("berm", 12.0, 90.0, 270.0, layers=[{"material": "concrete", "thickness": "20 cm"}], behind="ground"),
    ]
    _, drivers, assembly, run = steady(free(faces, bed=[]))
    house = catalogue.default("house_temperature")
    assert float(run.flow("air", "house inside")[0]) == pytest.approx(12.0 * (INSIDE - house) / (1.0 / 1.2), rel=1e-6)
    assert float(run.flow("air", "cellar inside")[0]) == pytest.approx(12.0 * 1.2 * (INSIDE - 4.0), rel=1e-9)
    concrete = 0.2 / catalogue.row("materials", "concrete")["conductivity"]
    earth = assembly.network._boundaries["earth"].array()
    assert float(run.flow("air", "berm inside")[0]) == pytest.approx(
        12.0 * (INSIDE - earth[0]) / (0.13 + concrete + SOIL_BEHIND), rel=1e-9
    )
    assert earth == pytest.approx(OUTSIDE, abs=1e-9)  # air that never changes
    # none of them sees wind, sky or sun
    assert not assembly.sunlight.outside[:, 2:].any()
    assert len(drivers.temp_air) == 8760
    to_sky = {link.a for link in assembly.network._links if link.b == "sky"}
    assert not to_sky & {f"{name} outside" for name in ("house", "cellar", "berm")}


def test_berm_leans_on_soil_that_lags_behind_the_air() -> None:
    berm = surface("berm", 12.0, 90.0, 270.0, layers=WALL, behind="ground")
    faces = [surface("roof", 60.0, 30.0, 180.0), surface("end", 20.0, 90.0, 180.0), berm]
    _, drivers, assembly = made(free(faces, bed=[]))
    earth = assembly.network._boundaries["earth"].array()
    air = drivers.by_month(drivers.temp_air)
    soil = drivers.by_month(earth)
    assert earth.mean() == pytest.approx(drivers.temp_air.mean(), abs=0.2)
    assert 0.3 < np.ptp(soil) / np.ptp(air) < 0.95
    assert soil.argmax() in (air.argmax() + 1, air.argmax() + 2)


def test_closed_curtain_adds_its_resistance() -> None:
    row = catalogue.row("glazing", TWIN)
    cloth = catalogue.row("curtains", "energy curtain")["resistance"]
    for leak in (0.0, 0.3):
        house = box(cover={"bridging": 1.0}, curtain=[{"material": "energy curtain", "edge_leak": leak}])
        night = int(np.flatnonzero(~made(house)[1].daylight)[0])
        noon = int(np.flatnonzero(made(house)[1].daylight)[3])
        geometry, _, _, open_run = steady(house, at=noon)
        _, _, _, closed = steady(house, at=night)
        u = row["u_value"]
        covered = leak * u + (1.0 - leak) / (1.0 / u + cloth)
        for s in geometry.surfaces:
            assert loss(open_run, geometry, s.name) == pytest.approx(u, rel=1e-9)
            assert loss(closed, geometry, s.name) == pytest.approx(covered, rel=1e-9), leak


def test_curtain_hours_and_sides() -> None:
    night = gable(curtain=[{"material": "energy curtain"}])
    _, drivers, _ = made(night)
    closed = closed_curtains(night, drivers)[0]
    assert (closed.closed == ~drivers.daylight).all()
    always = gable(curtain=[{"material": "energy curtain", "schedule": "always", "on": ["roof", "south wall"]}])
    hung = closed_curtains(always, drivers)[0]
    assert (hung.closed == 1.0).all()
    covered = {s.name for s in build(always).surfaces if hung.covers(s)}
    assert covered == {"north roof", "south roof", "south wall"}
    ends = gable(
        curtain=[{"material": "energy curtain", "on": ["ends", "walls"]}],
        part=[{"name": "door", "on": "east end", "area": "2 m2", "door": "wood door"}],
    )
    hung = closed_curtains(ends, drivers)[0]
    assert {s.name for s in build(ends).surfaces if hung.covers(s)} == {
        "north wall",
        "south wall",
        "east end",
        "west end",
    }
    round_house = dome(curtain=[{"material": "energy curtain", "on": "dome east"}])
    hung = closed_curtains(round_house, drivers)[0]
    assert {s.part for s in build(round_house).surfaces if hung.covers(s)} == {"dome east"}


def test_films_that_let_heat_rays_through_show_the_room_to_the_sky() -> None:
    clear = box(cover={"glazing": "polyethylene single"}, method={"latent": "none"})
    geometry, _, assembly = made(clear)
    row = catalogue.row("glazing", "polyethylene single")
    rays = [link for link in assembly.network._links if link.a == "radiant star" and link.b in ("sky", "outdoor")]
    total = sum(link.laws[3] for link in rays) / 5.670374419e-8
    assert total == pytest.approx(row["longwave"] * sum(s.area for s in geometry.surfaces), rel=1e-9)
    assert len(rays) == 2 * len(geometry.surfaces)
    # wet films hold the rays back
    wet = made(clear.changed(method={"latent": "share"}))[2]
    held = sum(link.laws[3] for link in wet.network._links if link.a == "radiant star" and link.b in ("sky", "outdoor"))
    assert held < 0.5 * sum(link.laws[3] for link in rays)
    assert catalogue.row("glazing", TWIN)["longwave"] == 0.0
    panel = made(box())[2]
    assert not [li for li in panel.network._links if li.a == "radiant star" and li.b in ("sky", "outdoor")]


def test_layers_bring_their_mass() -> None:
    house = gable(part=[{"name": "n", "on": "north wall", "layers": WALL}])
    geometry, _, assembly = made(house)
    area = next(s.area for s in geometry.surfaces if s.part == "n")
    ply = catalogue.row("materials", "plywood")
    mass = sum(c for name, (c, _) in assembly.network._nodes.items() if name.startswith("n on north wall cell"))
    assert mass == pytest.approx(area * 0.028 * ply["density"] * ply["specific_heat"], rel=1e-9)
    glazed = catalogue.row("glazing", TWIN)["capacity"]
    face = assembly.network._nodes["south wall inside"][0] + assembly.network._nodes["south wall outside"][0]
    assert face == pytest.approx(glazed * 2.0 * 16.67, rel=1e-9)


def test_studs_make_a_wall_worse() -> None:
    layers = [
        {"material": "plywood", "thickness": "12 mm"},
        {"material": "fiberglass batt", "thickness": "140 mm", "stud": "softwood", "stud_share": 0.15},
        {"material": "plywood", "thickness": "16 mm"},
    ]
    bare = [{k: v for k, v in layer.items() if "stud" not in k} for layer in layers]
    flows = {}
    for name, built in (("studs", layers), ("clear", bare)):
        house = gable(part=[{"name": "n", "on": "north wall", "layers": built}])
        _, _, _, run = steady(house)
        flows[name] = float(run.flow("air", "n on north wall inside")[0])
    assert 1.1 < flows["studs"] / flows["clear"] < 1.5


def test_unheated_space_stands_between_the_wall_and_the_outdoors() -> None:
    shed = {"name": "shed", "volume": "20 m3", "area": "30 m2", "u": "1.5 W/(m2 K)", "ach": 2.0}
    house = gable(part=[{"name": "n", "on": "north wall", "u": "0.6 W/(m2 K)", "behind": "shed"}], space=[shed])
    geometry, drivers, _, run = steady(house)
    area = next(s.area for s in geometry.surfaces if s.part == "n")
    density = drivers.pressure / (287.05 * (OUTSIDE + 273.15))
    outer = 30.0 * 1.5 + 2.0 * 20.0 * density * 1006.0 / 3600.0
    inner = 0.6 * area
    assert float(run.flow("air", "n on north wall inside")[0]) == pytest.approx(
        20.0 / (1.0 / inner + 1.0 / outer), rel=2e-3
    )
    assert conductances(house)["w_per_k"]["opaque"] == pytest.approx(1.0 / (1.0 / inner + 1.0 / outer), rel=0.02)
