"""What holds for every shape: closed hull, volume, coplanar planes, invariances, polygon helpers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from bare_houses import house, part, shape

from heatloss.errors import InputError
from heatloss.geometry import SHAPES, Geometry, Surface, build
from heatloss.geometry.surface import above, area_vector, below, length_of, orientation
from heatloss.house import Shape, sides

BEARINGS = (0.0, 30.0, 45.0, 90.0, 100.0, 135.0, 160.0, 275.0)
SIZES = {
    "gable": {"length": 13.0, "width": 6.0, "eave": 2.4, "ridge": 4.0},
    "gable without walls": {"length": 8.0, "width": 5.0, "eave": 0.0, "ridge": 4.0},
    "box": {"length": 12.0, "width": 7.0, "eave": 3.0},
    "hoop": {"length": 20.0, "width": 8.0},
    "hoop on walls": {"length": 20.0, "width": 8.0, "eave": 1.2, "ridge": 4.0, "strips": 8},
    "gothic": {"length": 15.0, "width": 6.0, "eave": 1.0, "ridge": 5.0},
    "low gothic": {"length": 15.0, "width": 9.0, "eave": 1.2, "ridge": 4.2},
    "dome": {"radius": 4.5, "frequency": 3, "portion": "5/8"},
    "dome on a riser": {"radius": 4.5, "frequency": 2, "portion": "1/2", "riser": 1.1},
}
KINDS = {key: next(kind for kind in ("gable", "box", "hoop", "gothic", "dome") if kind in key) for key in SIZES}


def bodies() -> list[tuple[str, Shape]]:
    found = [(f"{k} {b:g}", shape(KINDS[k], bearing=b, **size)) for k, size in SIZES.items() for b in BEARINGS]
    for b, wall in ((90.0, "north wall"), (60.0, "south wall"), (20.0, "west wall"), (150.0, "east wall")):
        size = {"length": 9.0, "width": 3.5, "eave": 1.8, "ridge": 3.2}
        found.append((f"lean-to {b:g}", shape("lean-to", bearing=b, shared_wall=wall, **size)))
    return found


def whole(form: Shape) -> Geometry:
    return build(house(form, *([part("shared", form.shared_wall)] if form.shared_wall else [])))


def normal(s: Surface) -> np.ndarray:
    tilt, azimuth = math.radians(s.tilt), math.radians(s.azimuth)
    return np.array([math.sin(tilt) * math.sin(azimuth), math.sin(tilt) * math.cos(azimuth), math.cos(tilt)])


every_body = pytest.mark.parametrize("form", [pytest.param(f, id=i) for i, f in bodies()])


@every_body
def test_hull_and_floor_close(form):
    g = whole(form)
    total = sum(s.area * normal(s) for s in g.surfaces) - [0.0, 0.0, g.floor_area]
    assert np.abs(total).max() < 1e-9 * sum(s.area for s in g.surfaces)


@every_body
def test_volume_is_that_of_the_divergence_theorem(form):
    """Area times normal dotted with a point of each face, summed over all faces and the floor at height 0, over 3."""
    g = whole(form)
    volume = sum(s.area * normal(s) @ np.array(s.polygon[0]) for s in g.surfaces) / 3.0
    assert g.volume == pytest.approx(volume, rel=1e-9)
    assert g.height == g.volume / g.floor_area


@every_body
def test_outlines_are_plane_and_carry_the_area_and_direction(form):
    for s in whole(form).surfaces:
        corners = np.array(s.polygon)
        assert np.abs((corners - corners[0]) @ normal(s)).max() < 1e-9
        assert orientation(area_vector(s.polygon)) == pytest.approx((s.area, s.tilt, s.azimuth), rel=1e-9)


@every_body
def test_faces_meet_edge_to_edge(form):
    """Every edge belongs to two faces, once each way round, or to one face and the floor."""
    g = whole(form)
    edges: dict[tuple, int] = {}
    for outline in [*(s.polygon for s in g.surfaces), g.floor[::-1]]:
        corners = [tuple(round(c, 6) + 0.0 for c in p) for p in outline]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            edges[a, b] = edges.get((a, b), 0) + 1
    assert all(n == 1 and edges.get((b, a)) == 1 for (a, b), n in edges.items())


@every_body
def test_names_planes_and_groups(form):
    surfaces = whole(form).surfaces
    assert len({s.name for s in surfaces}) == len(surfaces)
    for plane in {s.plane for s in surfaces}:
        assert len({(s.tilt, s.azimuth) for s in surfaces if s.plane == plane}) == 1
    assert all(0.0 <= s.azimuth < 360.0 and 0.0 <= s.tilt < 180.0 for s in surfaces)
    assert whole(form) == whole(form)


@every_body
def test_opposite_bearing_is_the_same_house(form):
    if form.kind == "dome":
        return
    turned = form.model_copy(update={"bearing": (form.bearing + 180.0) % 360.0})
    for a, b in zip(whole(form).surfaces, whole(turned).surfaces, strict=True):
        assert a.name == b.name
        assert (a.area, a.tilt, a.azimuth) == pytest.approx((b.area, b.tilt, b.azimuth))


@every_body
def test_side_words_say_where_a_face_looks(form):
    """Within 45 deg of its word, up to rounding at the border."""
    toward = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
    for s in whole(form).surfaces:
        side = form.shared_wall if s.part == "shared" else s.part
        for word in set(toward) & set(side.split()):
            assert math.cos(math.radians(s.azimuth - toward[word])) >= math.cos(math.radians(45.0)) - 1e-9


@every_body
def test_sides_are_those_the_house_file_knows(form):
    found = {form.shared_wall if s.part == "shared" else s.part for s in whole(form).surfaces}
    assert found == set(sides(form))


def test_every_registered_shape_is_tried_here():
    assert set(SHAPES) == {form.kind for _, form in bodies()}


def test_same_floor_as_gable_hoop_and_dome():
    """Hull over 100 m2 of floor, summed by hand.

    Gable 20 x 5, eave 2, ridge 3.25: walls 2 x 40, slopes 2 x 20 sqrt(2.5^2 + 1.25^2), ends 2 (10 + 3.125).
    Hoop 20 x 5: 12 chords of 2 x 2.5 sin(7.5 deg) by 20, ends 12 x 2.5^2 sin(15 deg) / 2 each.
    Dome: floor polygon of 15 corners on the base circle, 15/2 r^2 times the mean sine; the hull lies under that of
    the true cap, 2 pi R 1.25 R, and above it less 4 %.
    """
    gable = whole(shape("gable", length=20.0, width=5.0, eave=2.0, ridge=3.25, bearing=90.0))
    hoop = whole(shape("hoop", length=20.0, width=5.0, bearing=90.0))
    unit = whole(shape("dome", radius=1.0, frequency=3, portion="5/8"))
    radius = math.sqrt(100.0 / unit.floor_area)
    dome = whole(shape("dome", radius=radius, frequency=3, portion="5/8"))
    assert [g.floor_area for g in (gable, hoop, dome)] == pytest.approx([100.0] * 3, rel=1e-12)
    hull = [sum(s.area for s in g.surfaces) for g in (gable, hoop, dome)]
    assert hull[0] == pytest.approx(80.0 + 40.0 * math.sqrt(7.8125) + 26.25, rel=1e-12)
    strip, slice_ = 5.0 * math.sin(math.radians(7.5)), 3.125 * math.sin(math.radians(15.0))
    assert hull[1] == pytest.approx(12.0 * 20.0 * strip + 24.0 * slice_, rel=1e-12)
    cap = 2.5 * math.pi * radius**2
    assert 0.96 * cap < hull[2] < cap


def test_clipping_at_a_height():
    square = ((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (2.0, 0.0, 2.0), (0.0, 0.0, 2.0))
    for level in (0.0, 0.5, 1.3, 2.0):
        lower, upper = (abs(area_vector(p)[1]) if p else 0.0 for p in (below(square, level), above(square, level)))
        assert (lower, upper) == pytest.approx((2.0 * level, 4.0 - 2.0 * level))


def test_a_missing_dimension_is_refused():
    box = shape("box", length=8.0, width=6.0, eave=2.7, bearing=90.0)
    for value, got in ((None, "nothing"), (0.0, "0"), (float("nan"), "nan")):
        with pytest.raises(InputError) as caught:
            length_of(box.model_copy(update={"eave": value}), "eave")
        assert str(caught.value) == f"eave must be above 0 for a box, got {got} (shape.eave)."
