"""Geodesic domes against the sphere, Euler's formula and the symmetry of the icosahedron."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from bare_houses import house, part, shape

from heatloss.errors import InputError
from heatloss.geometry import build
from heatloss.geometry.dome import mesh
from heatloss.geometry.surface import area_vector, below, orientation

CASES = [(f, p) for f in (2, 3, 4) for p in ("1/2", "5/8")]
HEIGHT = {"1/2": 1.0, "5/8": 1.25}


def dome(ridge=None, **given):
    form = shape("dome", **({"radius": 1.0, "frequency": 3, "portion": "5/8"} | given))
    return build(house(form.model_copy(update={"ridge": ridge})))


def hull(g):
    return sum(s.area for s in g.surfaces if s.part.startswith("dome"))


@pytest.mark.parametrize("portion", ["1/2", "5/8"])
def test_reaches_the_sphere_as_frequency_grows(portion):
    """Cap of height h: area 2 pi R h, volume pi h^2 (3 R - h) / 3, floor pi (2 R h - h^2). Errors fall as 1/f^2."""
    h = HEIGHT[portion]
    closed = (2.0 * math.pi * h, math.pi * h**2 * (3.0 - h) / 3.0, math.pi * (2.0 * h - h**2))
    errors = []
    for frequency in (2, 3, 4, 6, 12):
        g = dome(frequency=frequency, portion=portion)
        found = (hull(g), g.volume, g.floor_area)
        errors.append([1.0 - a / b for a, b in zip(found, closed, strict=True)])
    for coarse, fine in pairwise(errors):
        assert all(0.0 < b < a for a, b in zip(coarse, fine, strict=True))
    for a, b in zip(errors[-2], errors[-1], strict=True):
        assert a / b == pytest.approx(4.0, rel=0.12)
    assert max(errors[-1]) < 0.012


@pytest.mark.parametrize(("frequency", "portion"), CASES)
def test_euler_and_count(frequency, portion):
    """An open cap is a disc: V - E + F = 1. Facets: 5 f^2 in the top faces, and two a step in each ring below."""
    corners, triangles = mesh(frequency, HEIGHT[portion])
    edges = {frozenset(pair) for t in triangles for pair in ((t[0], t[1]), (t[1], t[2]), (t[0], t[2]))}
    assert len(corners) - len(edges) + len(triangles) == 1
    rings_below = {(2, "1/2"): 1, (2, "5/8"): 2, (3, "1/2"): 1, (3, "5/8"): 2, (4, "1/2"): 2, (4, "5/8"): 3}
    assert len(triangles) == 5 * frequency**2 + 10 * frequency * rings_below[frequency, portion]
    assert len(dome(frequency=frequency, portion=portion).surfaces) == len(triangles)


@pytest.mark.parametrize(("frequency", "portion"), CASES)
def test_corners_lie_on_the_sphere_and_the_base_is_level(frequency, portion):
    g = dome(radius=4.0, frequency=frequency, portion=portion, riser=0.8)
    rise = HEIGHT[portion] * 4.0
    low = 0.8 + rise - 4.0  # height of the sphere's centre
    corners = {p for s in g.surfaces if s.part.startswith("dome") for p in s.polygon}
    for x, y, z in corners:
        assert math.hypot(x, y, z - low) == pytest.approx(4.0, rel=1e-12)
        assert z >= 0.8 - 1e-9
    assert max(z for _, _, z in corners) == pytest.approx(0.8 + rise)
    assert len(g.floor) == 5 * frequency
    assert all(math.hypot(x, y) == pytest.approx(math.sqrt(2.0 * rise * 4.0 - rise**2)) for x, y, _ in g.floor)


def test_riser_is_a_prism_under_the_base():
    bare, raised = dome(radius=4.0), dome(radius=4.0, riser=1.2)
    walls = [s for s in raised.surfaces if s.part == "riser"]
    assert len(walls) == 15
    assert all(s.tilt == pytest.approx(90.0) for s in walls)
    assert sum(s.area for s in walls) == pytest.approx(1.2 * raised.perimeter)
    assert raised.volume == pytest.approx(bare.volume + 1.2 * bare.floor_area)
    assert hull(raised) == pytest.approx(hull(bare))
    assert raised.perimeter == pytest.approx(bare.perimeter)


def test_sizes_scale():
    one, four = dome(), dome(radius=4.0)
    assert four.volume == pytest.approx(64.0 * one.volume)
    assert [s.name for s in one.surfaces] == [s.name for s in four.surfaces]
    assert [s.area for s in four.surfaces] == pytest.approx([16.0 * s.area for s in one.surfaces])


def test_bearing_turns_every_facet():
    """72 deg is a turn onto itself; any other bearing adds to all azimuths."""
    still, turned, onto_itself = dome(), dome(bearing=20.0), dome(bearing=72.0)

    def facets(g, by):
        return sorted((round(s.area, 9), round(s.tilt, 7), round((s.azimuth + by) % 360.0, 5)) for s in g.surfaces)

    assert facets(still, 20.0) == facets(turned, 0.0)
    assert facets(still, 0.0) == facets(onto_itself, 0.0)


def test_a_turn_by_a_hair_keeps_names_and_order():
    for a, b in zip(dome().surfaces, dome(bearing=1e-9).surfaces, strict=True):
        assert (a.name, round(a.tilt, 6)) == (b.name, round(b.tilt, 6))


@pytest.mark.parametrize(("frequency", "portion"), CASES)
def test_groups_are_tilt_rings_by_quarters(frequency, portion):
    g = dome(frequency=frequency, portion=portion)
    assert len({s.plane for s in g.surfaces}) == len(g.surfaces)
    for s in g.surfaces:
        kind, quarter, _, ring = s.group.split()
        low, high = (float(x) for x in ring.split("-"))
        assert s.part == f"{kind} {quarter}"
        assert low - 1e-6 <= s.tilt <= high + 1e-6
        toward = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}[quarter]
        assert math.cos(math.radians(s.azimuth - toward)) >= math.cos(math.radians(45.0)) - 1e-9
    assert len({s.group for s in g.surfaces}) <= 16


def test_five_eighths_leans_outward_at_the_foot_and_half_a_sphere_does_not():
    assert max(s.tilt for s in dome(portion="5/8").surfaces) > 95.0
    assert max(s.tilt for s in dome(portion="1/2", frequency=4).surfaces) < 90.0


def test_a_measured_height_moves_the_base():
    """Three divisions cut level at the ring itself, 1.18 radii high: the cap of that height is the limit."""
    kit = dome(ridge=1.18)
    assert len(kit.surfaces) == 105
    assert max(p[2] for s in kit.surfaces for p in s.polygon) == pytest.approx(1.18)
    assert hull(kit) == pytest.approx(2.0 * math.pi * 1.18, rel=0.04)
    assert dome(ridge=1.25) == dome(portion="5/8")


def test_parts_in_a_dome():
    form = shape("dome", radius=4.0, frequency=3, portion="5/8", riser=1.2)
    g = build(
        house(
            form,
            part("north lining", "dome north"),
            part("door", "riser 8", area=1.5),
            part("vents", "dome east", "dome west", area=1.0, glazing="glass single 3 mm"),
            part("skirt", "dome", height=0.4),
        )
    )
    bare = build(house(form))
    assert sum(s.area for s in g.surfaces) == pytest.approx(sum(s.area for s in bare.surfaces))
    assert sum(s.area for s in g.surfaces if s.part == "vents") == pytest.approx(2.0)
    assert not [s for s in g.surfaces if s.part == "dome north"]
    skirt = [s for s in g.surfaces if s.part == "skirt"]
    assert all(max(p[2] for p in s.polygon) <= 1.6 + 1e-9 for s in skirt)
    low = [below(s.polygon, 1.6) for s in bare.surfaces if s.part.startswith("dome")]
    assert sum(s.area for s in skirt) == pytest.approx(sum(orientation(area_vector(p))[0] for p in low if p))


def test_a_height_that_is_no_dome_is_refused():
    with pytest.raises(InputError) as caught:
        dome(ridge=0.4)
    assert str(caught.value) == (
        "ridge must be 0.5 to 1.6 radii over the riser, got 0.4 radii (shape.ridge). "
        "It is the height of the top over the floor."
    )
