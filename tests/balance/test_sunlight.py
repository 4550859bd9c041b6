"""Where the sun ends: through the glazings, first hit, reflections, and out again."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import TWIN, WALL, box, free, gable, made, quick, surface, weather, with_hours

from heatloss import catalogue
from heatloss.balance.sunlight import Glass, Inside, _first_hit
from heatloss.catalogue import names, row


@pytest.mark.parametrize("name", names("glazing"))
def test_glass_lets_through_what_it_is_rated_for(name) -> None:
    glass = Glass.of(row("glazing", name))
    cosine = np.array([1.0, 0.9, 0.6, 0.3, 0.1, 0.0])
    through, kept = glass.beam(cosine, cosine > 0.0)
    assert through[0] == pytest.approx(row("glazing", name)["solar_normal"], rel=1e-6)
    assert (np.diff(through) < 0.01).all()  # many sheets let a little more through near Brewster's angle
    assert through[3] < 0.75 * through[0]
    assert through[-1] == 0.0
    assert (through + kept <= 1.0 + 1e-12).all()
    assert (kept >= 0.0).all()
    assert glass.diffuse_transmittance == row("glazing", name)["solar_diffuse"]
    assert 0.0 <= glass.diffuse_absorptance <= 1.0 - glass.diffuse_transmittance
    # what comes from all around passes less well than what comes straight on
    assert 0.7 < glass.diffuse_transmittance / through[0] <= 1.0


def test_dark_side_of_a_pane_passes_nothing() -> None:
    glass = Glass.of(row("glazing", TWIN))
    through, kept = glass.beam(np.array([0.8, -0.8]), np.array([True, False]))
    assert through[0] > 0.5
    assert (through[1], kept[1]) == (0.0, 0.0)


def test_every_watt_ends_somewhere() -> None:
    house = free(water=[{"name": "t", "volume": "3 m3"}])
    geometry, drivers, assembly = made(house)
    light = assembly.sunlight
    ends = light.inside.sum(axis=1) + sum(light.within.values()) + light.lost
    assert light.entered == pytest.approx(ends, rel=1e-9, abs=1e-9)
    assert light.entered.max() > 5000.0
    for part in (light.inside, light.outside, light.lost, *light.within.values()):
        assert (np.asarray(part) >= 0.0).all()
    night = drivers.beam.sum(axis=1) + drivers.sky_diffuse.sum(axis=1) + drivers.ground_diffuse.sum(axis=1) == 0.0
    assert night.sum() > 3000
    assert not light.entered[night].any()
    assert set(light.within) == {"floor", "bed soil bed", "tank t"}
    assert len(geometry.surfaces) == light.inside.shape[1]


def test_what_enters_is_area_times_transmittance_times_light() -> None:
    geometry, drivers, assembly = made(gable())
    glass = Glass.of(row("glazing", TWIN))
    expected = np.zeros(8760)
    for j, s in enumerate(geometry.surfaces):
        through, _ = glass.beam(drivers.cos_incidence[:, j], drivers.cos_incidence[:, j] > 0.0)
        diffuse = drivers.sky_diffuse[:, j] + drivers.ground_diffuse[:, j]
        expected += s.area * (through * drivers.beam[:, j] + glass.diffuse_transmittance * diffuse)
    share = 0.90 * np.where(drivers.hours_of_day(4), catalogue.default("condensate"), 1.0)
    assert assembly.sunlight.entered == pytest.approx(share * expected, rel=1e-9, abs=1e-9)


def test_opaque_faces_take_their_share_outside() -> None:
    dark = [surface("wall", 20.0, 90.0, 180.0, layers=WALL, solar_absorptance=0.7)]
    light = [surface("wall", 20.0, 90.0, 180.0, layers=WALL, solar_absorptance=0.35)]
    rest = [surface("roof", 50.0, 30.0, 180.0), surface("north", 40.0, 90.0, 0.0)]
    found = {}
    for name, wall in (("dark", dark), ("light", light)):
        _, drivers, assembly = made(free([*wall, *rest], bed=[]))
        found[name] = assembly.sunlight.outside[:, 0]
        falls = drivers.beam[:, 0] + drivers.sky_diffuse[:, 0] + drivers.ground_diffuse[:, 0]
        assert found[name] == pytest.approx(20.0 * (0.7 if name == "dark" else 0.35) * falls, rel=1e-9)
    assert found["dark"].sum() == pytest.approx(2.0 * found["light"].sum(), rel=1e-9)


def test_parts_that_face_no_outdoors_see_no_sun() -> None:
    faces = [
        surface("roof", 50.0, 30.0, 180.0),
        surface("inner", 30.0, 90.0, 180.0, u="1 W/(m2 K)", behind="house"),
        surface("end", 30.0, 90.0, 90.0),
    ]
    _, _, assembly = made(free(faces, bed=[]))
    assert not assembly.sunlight.outside[:, 1].any()
    assert assembly.sunlight.inside[:, 1].any()


def test_bars_dirt_and_curtains_take_light_in_proportion() -> None:
    def entered(**changes):
        return made(gable(**changes))[2].sunlight.entered.sum()

    base = entered()
    assert entered(cover={"frame": 0.25}) == pytest.approx(base * 0.75 / 0.90, rel=1e-9)
    assert entered(cover={"soiling": 0.8}) == pytest.approx(base * 0.8, rel=1e-9)
    curtain = [{"material": "energy curtain"}]
    parked = base * row("curtains", "energy curtain")["light_open"]
    assert entered(curtain=curtain) == pytest.approx(parked, rel=2e-3)  # closed, it dims the twilight too
    roof = entered(curtain=[{"material": "energy curtain", "on": "roof"}])
    assert base * row("curtains", "energy curtain")["light_open"] < roof < base


def test_drops_hang_on_wet_covers_in_the_morning_only() -> None:
    wet, dry = made(gable()), made(gable(method={"latent": "none"}))
    early = wet[1].hours_of_day(4)
    ratio = wet[2].sunlight.entered / np.where(dry[2].sunlight.entered > 0.0, dry[2].sunlight.entered, 1.0)
    lit = dry[2].sunlight.entered > 0.0
    assert ratio[lit & ~early] == pytest.approx(1.0, rel=1e-12)
    assert ratio[lit & early] == pytest.approx(catalogue.default("condensate"), rel=1e-9)


def test_dark_floor_takes_more_than_a_light_one() -> None:
    dark = made(gable(floor={"kind": "bare soil"}))[2].sunlight
    pale = made(gable(floor={"kind": "concrete slab"}))[2].sunlight
    assert pale.lost.sum() > dark.lost.sum()
    assert pale.within["floor"].sum() < dark.within["floor"].sum()
    assert pale.entered == pytest.approx(dark.entered, rel=1e-12)
    # not all that meets a floor is taken up at once, yet part of what it throws back returns
    met = dark.on_floor * 100.02
    assert dark.within["floor"] == pytest.approx(met * row("floors", "bare soil")["absorptance"], rel=1e-9, abs=1e-9)


def test_overhead_sun_meets_the_floor_first_and_low_sun_the_far_wall() -> None:
    """First hit by projected area: a 6 m2 floor and a wall of 4 m2 that the sun meets from inside."""
    floor = Inside("floor", 6.0, "floor", 0.8, (6.0, 0.0))
    sine = np.array([[1.0], [0.5], [0.02]])
    walls = np.array([[0.0], [4.0 * np.sqrt(0.75)], [4.0 * np.sqrt(1 - 0.02**2)]])
    share = _first_hit(walls, [floor], sine, np.sqrt(1.0 - sine**2))
    assert share.sum(axis=1) == pytest.approx(1.0)
    assert share[0] == pytest.approx([0.0, 1.0])
    assert share[1, 1] == pytest.approx(3.0 / (3.0 + 4.0 * np.sqrt(0.75)))
    assert share[2, 1] < 0.05


def test_a_barrel_stands_in_the_way_of_floor_and_walls() -> None:
    floor = Inside("floor", 10.0, "floor", 0.8, (10.0, 0.0))
    barrel = Inside("tank b", 3.0, "tank b", 0.9, (0.5, 1.0))
    sine = np.array([[0.5]])
    upright = np.sqrt(1.0 - sine**2)
    walls = np.array([[2.0]])
    share = _first_hit(walls, [floor, barrel], sine, upright)[0]
    total = 10.0 * 0.5 + 2.0
    taken = (0.5 * 0.5 + 1.0 * upright[0, 0]) / total
    assert share[2] == pytest.approx(taken)
    assert share[:2] == pytest.approx(np.array([2.0, 5.0]) * (1.0 - taken) / total)
    assert share.sum() == pytest.approx(1.0)


def test_tank_in_the_sun_takes_light_and_one_in_the_shade_none() -> None:
    tank = {"name": "t", "volume": "4 m3"}
    lit = made(gable(water=[{**tank, "in_sun": True}]))[2].sunlight
    shaded = made(gable(water=[{**tank, "in_sun": False}]))[2].sunlight
    assert set(shaded.within) == {"floor"}
    assert lit.within["tank t"].sum() > 0.02 * lit.entered.sum()
    assert lit.within["floor"].sum() < shaded.within["floor"].sum()
    lid = made(gable(water=[{**tank, "lid": True}]))[2].sunlight
    assert lid.within["tank t"].sum() != pytest.approx(lit.within["tank t"].sum(), rel=1e-6)
    # by the fixed share an open tank in the sun evaporates more of it than the planted floor; under a lid none
    share = {"latent": "share"}
    done = quick(gable(water=[tank], method=share))
    closed = quick(gable(water=[{**tank, "lid": True}], method=share))
    light, under = done.assembly.sunlight.within, closed.assembly.sunlight.within
    vapour = 0.25 * light["floor"].sum() + 0.45 * light["tank t"].sum()
    assert done.ledger["evaporation"] == pytest.approx(-vapour / 1000.0, rel=1e-9)
    assert closed.ledger["evaporation"] == pytest.approx(-0.25 * under["floor"].sum() / 1000.0, rel=1e-9)


def test_snow_on_a_low_roof_takes_light_until_it_slides() -> None:
    """20 cm fall on 21 January at -12 degC; on 25 January it thaws."""
    hour = np.arange(8760)
    snowed = with_hours(
        weather(),
        snow_depth=np.where((hour >= 24 * 20) & (hour < 24 * 25), 0.2, 0.0),
        temp_air=np.where(hour < 24 * 24, -12.0, 6.0),
    )
    house = box(setpoint=[{"day": "-8 degC"}])
    clear, covered = made(house.changed(method={"snow": "none"}), snowed), made(house, snowed)
    assert clear[1].snowfall is None
    assert np.flatnonzero(covered[1].snowfall).tolist() == [24 * 20]
    share = covered[2].sunlight.entered / np.where(clear[2].sunlight.entered > 0.0, clear[2].sunlight.entered, 1.0)
    lit = clear[2].sunlight.entered > 0.0
    under = (hour >= 24 * 20) & (hour < 24 * 24)
    after = hour > 24 * 26
    assert (share[lit & under] < 1.0).all()  # the bright ground sends the walls more
    assert np.median(share[lit & under]) < 0.85
    assert share[lit & (hour < 24 * 20)] == pytest.approx(1.0, rel=1e-12)
    assert share[lit & after] == pytest.approx(1.0, rel=1e-12)
    steep = free([surface("s", 40.0, 80.0, 180.0), surface("n", 40.0, 80.0, 0.0), surface("e", 20.0, 90.0, 90.0)])
    entered = [
        made(steep.changed(method={"snow": word}), snowed)[2].sunlight.entered.sum() for word in ("roof", "none")
    ]
    assert entered[0] == pytest.approx(entered[1], rel=0.02)  # only the ground's albedo differs


def test_no_sun_no_light() -> None:
    _, _, assembly = made(gable(method={"sun": "none"}))
    light = assembly.sunlight
    assert not light.entered.any()
    assert not light.lost.any()
    assert set(assembly.gains) == set()


def test_what_sheets_keep_warms_the_face_they_are_nearer_to() -> None:
    geometry, _, assembly = made(gable())
    light = assembly.sunlight
    net = assembly.network
    for path, column, faces in (("sun", "inside", light.inner_faces), ("cover", "outside", light.outer_faces)):
        total = np.zeros(8760)
        for i in assembly.gains[path]:
            node, power = net._sources[i]
            if node.endswith(column):
                total += power.array()
        assert total == pytest.approx(faces.sum(axis=1), rel=1e-9, abs=1e-9)
    assert light.inner_faces + light.outer_faces == pytest.approx(light.inside + light.outside, rel=1e-9, abs=1e-9)
    assert np.all((light.inward > 0.4) & (light.inward < 0.5))
    assert len(geometry.surfaces) == 6
