"""A house becomes a network: nodes and their mass, films, the radiant star, controls, lanes side by side."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest
from season_cases import SAMPLES, TWIN, WALL, box, dome, free, gable, made, quick, surface, weather, with_hours

from heatloss import catalogue, sample_house
from heatloss.balance import run_lanes
from heatloss.balance.assemble import assemble
from heatloss.errors import InputError
from heatloss.physics import films
from heatloss.physics.films import STEFAN_BOLTZMANN

ROWS = """
[glazing."twin grey"]
like = "polycarbonate twin-wall 8 mm"
emissivity_in = { value = 0.9, unit = "1", source = "check", mark = "calculated" }

[floors."soil grey"]
like = "bare soil"
emissivity = { value = 0.9, unit = "1", source = "check", mark = "calculated" }
"""


def star_areas(run, tops) -> dict[str, float]:
    """Effective area of each face towards the star [m2], from the flow and the two temperatures."""
    found = {}
    star = run.temperature["radiant star"].to_numpy()[1:] + 273.15
    for name in tops:
        face = run.temperature[name].to_numpy()[1:] + 273.15
        found[name] = float(np.median(run.flow(name, "radiant star") / (STEFAN_BOLTZMANN * (face**4 - star**4))))
    return found


@pytest.mark.parametrize("pieces", [1, 3])
def test_floor_and_cover_exchange_rays_as_two_grey_surfaces(pieces, tmp_path) -> None:
    """6 x 16.67 m gable, emissivity 0.9 all over: 85.9 m2 x 4 sigma T^3 between floor and cover, with the floor whole
    or in three; the exact answer of two grey surfaces, calculated.
    """
    (tmp_path / "rows.toml").write_text(ROWS)
    beds = [{"name": n, "area": a, "depth": "5 cm"} for n, a in (("a", "30 m2"), ("b", "25 m2"))]
    house = gable(
        catalogue=str(tmp_path / "rows.toml"),
        cover={"glazing": "twin grey"},
        floor={"kind": "soil grey"},
        bed=beds[: pieces - 1],
        method={"sun": "none", "latent": "none"},
    )
    geometry, _, assembly = made(house)
    run = assembly.network.run(24, iterations=60, first=0)
    tops = ["floor", "bed a", "bed b"][:pieces]
    areas = star_areas(run, [*tops, *(f"{s.name} inside" for s in geometry.surfaces)])
    floor = sum(areas[name] for name in tops)
    cover = sum(areas.values()) - floor
    assert 1.0 / (1.0 / floor + 1.0 / cover) == pytest.approx(85.9, abs=0.05)
    exact = 1.0 / (0.1 / (0.9 * 100.02) + 1.0 / 100.02 + 0.1 / (0.9 * 209.4))
    assert exact == pytest.approx(85.9, abs=0.05)


def test_splitting_the_floor_changes_no_ray(tmp_path) -> None:
    (tmp_path / "rows.toml").write_text(ROWS)
    given = {"catalogue": str(tmp_path / "rows.toml"), "method": {"sun": "none"}}
    totals = []
    for beds in (
        [],
        [{"name": "a", "area": "30 m2", "depth": "5 cm"}, {"name": "b", "area": "25 m2", "depth": "5 cm"}],
    ):
        geometry, _, assembly = made(gable(bed=beds, **given))
        run = assembly.network.run(6, iterations=60, first=0)
        tops = ["floor", *(f"bed {b['name']}" for b in beds)]
        areas = star_areas(run, [*tops, *(f"{s.name} inside" for s in geometry.surfaces)])
        totals.append((sum(areas[t] for t in tops), sum(areas.values())))
    assert totals[0] == pytest.approx(totals[1], rel=1e-6)


def test_a_lumped_cover_is_refused() -> None:
    lump = free([surface("cover", 150.0, 45.0, 180.0)], bed=[])
    with pytest.raises(InputError, match="A curved or lumped cover sees itself: give it as its flat facets"):
        made(lump)


def test_air_and_what_is_light_in_it_have_their_mass() -> None:
    geometry, drivers, assembly = made(gable())
    density = drivers.pressure / (287.05 * 283.15)
    expected = density * 1006.0 * geometry.volume + catalogue.default("light_capacity") * geometry.floor_area
    assert assembly.network._nodes["air"][0] == pytest.approx(expected, rel=1e-3)


def test_tank_is_a_node_of_its_water() -> None:
    tanks = [{"name": "a", "volume": "1000 gal"}, {"name": "b", "volume": "2 m3", "in_sun": False, "lid": True}]
    _, _, assembly = made(gable(water=tanks))
    assert assembly.tanks == ["tank a", "tank b"]
    assert assembly.network._nodes["tank a"][0] == pytest.approx(3.785411784 * 4.186e6, rel=1e-12)
    assert assembly.network._nodes["tank b"][0] == pytest.approx(2.0 * 4.186e6, rel=1e-12)
    assert {"air", "radiant star"} <= set(assembly.network.hubs)


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_becomes_few_hubs_and_many_chains(name) -> None:
    _, _, assembly = made(sample_house(name))
    net = assembly.network
    groups = {s.group for s in made(sample_house(name))[0].surfaces}
    assert set(net.boundaries) <= {"outdoor", "sky", "ground", "house"}
    assert len(net.hubs) <= 6 + 4 * len(sample_house(name).curtain) + len(assembly.tanks)
    assert len(net.chains) + len(net.hubs) >= len(groups)
    assert {"outdoor", "sky", "ground"} <= set(net.boundaries)
    booked = sorted(itertools.chain(*assembly.losses.values()))
    to_boundary = [k for k, li in enumerate(net._links) if {li.a, li.b} & set(net.boundaries)]
    assert booked == to_boundary  # each once
    assert sorted(itertools.chain(*assembly.gains.values())) == list(range(len(net._sources)))


def test_inside_film_is_at_least_the_minimum_of_fans() -> None:
    """At hardly any difference of temperature the film is 4.0 W/(m2 K) with fans and nearly nothing without."""
    still = with_hours(weather(), temp_air=np.full(8760, 9.9))
    for word, least in (("fan", 4.0), ("natural", 0.0)):
        given = gable(method={"films": word, "sun": "none", "sky": "outdoor"}, setpoint=[], heater=[])
        geometry, _, assembly = made(given, still)
        assembly.network.heater("hold", "air", setpoint=10.0)
        run = assembly.network.run(48, iterations=30, first=0)
        s = geometry.surfaces[0]
        name = f"{s.name} inside"
        flow = run.flow("air", name)[-1] / s.area
        film = flow / (run.temperature["air"].iloc[-1] - run.temperature[name].iloc[-1])
        assert (film == pytest.approx(4.0, rel=1e-6)) if least else (film < 2.0), word


def test_natural_film_follows_tilt_and_direction() -> None:
    """Walton's forms at a few kelvin: cold walls, a cold roof, a warm floor; films.natural_convection gives both."""
    _, _, assembly = made(gable(method={"films": "natural", "sun": "none"}))
    run = assembly.network.run(24, iterations=60, first=24 * 14)
    after = run.temperature.iloc[-1]
    for name, area, cosine in (("south wall inside", 2 * 16.67, 0.0), ("floor", 100.02, 1.0)):
        warmer, colder = films.natural_convection(cosine)
        difference = after[name] - after["air"]
        film = (warmer if difference > 0 else colder) * abs(difference) ** (1 / 3)
        assert run.flow(name, "air")[-1] == pytest.approx(film * area * difference, rel=1e-4), name


def test_outside_film_and_sky_share() -> None:
    _, drivers, assembly = made(gable())
    hour = 500
    run = assembly.network.run(1, iterations=80, first=hour)
    after = run.temperature.iloc[-1]
    area = 2.0 * 16.67
    face = after["south wall outside"]
    forced, _ = films.outside_convection(float(drivers.wind[hour]), "flat_plate")
    sky_share, air_share = films.sky_split(90.0)
    air = drivers.temp_air[hour]
    rays = 0.9 * air_share * films.radiant_coefficient(face, air)
    assert run.flow("south wall outside", "outdoor")[0] == pytest.approx(
        area * (forced + rays) * (face - air), rel=1e-6
    )
    to_sky = 0.9 * sky_share * films.radiant_coefficient(face, drivers.temp_sky[hour]) * (face - drivers.temp_sky[hour])
    assert run.flow("south wall outside", "sky")[0] == pytest.approx(area * to_sky, rel=1e-6)


def test_gains_go_to_air_and_rays() -> None:
    _, _, assembly = made(gable(gains={"power": "800 W", "radiant_share": 0.3}))
    given = dict(assembly.network._sources[i] for i in assembly.gains["gains"])
    assert given == pytest.approx({"air": 560.0, "radiant star": 240.0}, rel=1e-12)
    assert "gains" not in made(gable())[2].gains
    done = quick(gable(gains={"power": "800 W"}))
    assert done.ledger["gains"] == pytest.approx(0.8 * 8760.0, rel=1e-12)


def test_heaters_are_controls_in_their_order() -> None:
    house = gable(
        heater=[
            {"name": "stove", "type": "wood stove", "output": "6 kW", "from": "10-01", "to": "04-30"},
            {"name": "backup", "type": "propane unit heater"},
        ],
        water=[{"name": "t", "volume": "1 m3", "setpoint": "20 degC", "heater": "backup"}],
    )
    _, _, assembly = made(house)
    names = [a.name for a in assembly.network._actuators]
    assert names == ["stove", "backup", "backup in t", "vents"]
    assert assembly.heaters == {"stove": ["stove"], "backup": ["backup", "backup in t"]}
    stove = assembly.network._actuators[0]
    share = catalogue.row("heaters", "wood stove")["radiant_share"]
    assert stove.into == pytest.approx({"air": 1.0 - share, "radiant star": share})
    assert stove.sensor == "air"
    most = stove.capacity.array()
    assert set(most) == {0.0, 6000.0}
    assert (most > 0).sum() == 24 * (31 + 30 + 31 + 31 + 28 + 31 + 30)


@pytest.mark.parametrize(
    ("air", "low", "high"),
    [
        ({"class": "structured sheet new"}, 0.5, 1.6),
        ({"n50": 15.0}, 0.75, 0.75),
        ({"leakage_area": "600 cm2"}, 0.1, 1.5),
        ({"ach": 0.7, "doors": {"count": 40, "seconds": 30, "area": "2 m2"}}, 0.7, 0.9),
    ],
)
def test_air_exchange_by_the_hour(air, low, high) -> None:
    done = quick(gable().changed(air=air))
    difference = done.hourly["inside"] - done.hourly["outdoor"]
    density = done.drivers.pressure / (287.05 * 283.15)
    per_ach = density * 1006.0 * done.geometry.volume / 3600.0
    clear = difference.abs() > 2.0
    ach = (-done.paths["infiltration"] / difference / per_ach)[clear]
    assert low * 0.99 < ach.median() < high * 1.01
    assert ach.min() > 0.0
    if "n50" in air:
        assert ach.std() < 1e-6
    else:
        assert ach.std() > 0.005  # it moves with wind and temperature


def test_curtains_tighten_the_house_at_night() -> None:
    done = quick(gable(curtain=[{"material": "energy curtain", "on": "roof", "form": "panel"}]))
    leak = -done.paths["infiltration"] / (done.hourly["inside"] - done.hourly["outdoor"])
    night = ~done.drivers.daylight
    roof = sum(s.area for s in done.geometry.surfaces if s.name.endswith("roof"))
    share = roof / sum(s.area for s in done.geometry.surfaces)
    factor = catalogue.row("curtains", "energy curtain")["infiltration_factor"]
    assert leak[night].median() / leak[~night].median() == pytest.approx(1.0 - share * (1.0 - factor), rel=1e-6)


def test_lanes_agree_to_the_last_bit_on_a_real_house() -> None:
    """32 houses that differ in glazing area, leaks and setpoint, side by side and one at a time."""
    base = free(water=[{"name": "t", "volume": "2 m3"}])
    geometry, drivers, _ = made(base)
    networks = []
    for i in range(32):
        house = base.changed(
            cover={"bridging": 1.02 + 0.004 * i},
            setpoint=[{"day": (8.0 + 0.1 * i, "degC"), "vent": "26 degC"}],
        )
        stretched = [dataclasses.replace(s, area=s.area * (1.0 + 0.003 * i)) for s in geometry.surfaces]
        networks.append(assemble(house, dataclasses.replace(geometry, surfaces=tuple(stretched)), drivers).network)
    given = {"substeps": 4, "first": 24 * 20}
    lanes = run_lanes(networks, 60, **given)
    assert len(lanes) == 32
    for i in (0, 1, 7, 31):
        alone = networks[i].run(60, **given)
        assert (lanes[i].lane_temperature == alone.lane_temperature).all()
        assert (lanes[i].lane_power == alone.lane_power).all()
        assert (lanes[i].lane_flow == alone.lane_flow).all()
    heats = [lane.power["stove"].sum() for lane in lanes]
    assert heats == sorted(heats)
    assert heats[0] < heats[-1]


def test_dome_shares_a_temperature_by_group_but_not_its_sun() -> None:
    geometry, _, assembly = made(dome())
    groups = {s.group for s in geometry.surfaces}
    assert len(groups) < len(geometry.surfaces) / 2
    inner = [n for n in assembly.network._nodes if n.endswith(" inside")]
    assert len(inner) == len(groups)
    light = assembly.sunlight.outside
    assert len({round(float(x), 3) for x in light.sum(axis=0)}) > len(groups)


def test_massless_copy_keeps_everything_else() -> None:
    net = made(box())[2].network
    bare = net.massless()
    assert all(c == 0.0 for c, _ in bare._nodes.values())
    assert bare._links == net._links
    assert list(bare._nodes) == list(net._nodes)


def test_opaque_part_and_cover_are_different_paths() -> None:
    _, _, assembly = made(gable(part=[{"name": "n", "on": "north wall", "layers": WALL}]))
    net = assembly.network
    assert {net._links[k].a for k in assembly.losses["opaque"]} == {"n on north wall outside"}
    assert "north wall outside" not in net._nodes
    assert {net._links[k].a for k in assembly.losses["infiltration"]} == {"air"}
    assert {net._links[k].b for k in assembly.losses["ground"]} == {"ground"}
    assert TWIN in {name for kind, name in assembly.rows if kind == "glazing"}
