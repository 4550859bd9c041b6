"""A lean-to against sums by hand."""

from __future__ import annotations

import math

import pytest
from bare_houses import house, part, shape

from heatloss.errors import InputError
from heatloss.geometry import build

SIZE = {"length": 10.0, "width": 4.0, "eave": 2.0, "ridge": 3.0}


def test_lean_to_by_hand():
    """10 x 4 m, low wall 2, high wall 3 at the house: slope 10 sqrt(17), tilt atan(1/4), ends 4 x 2.5."""
    form = shape("lean-to", bearing=90.0, shared_wall="north wall", **SIZE)
    g = build(house(form, part("house wall", "north wall", u=0.4)))
    expected = [
        ("house wall", "opaque", "house", 30.0, 90.0, 0.0),
        ("south roof", "cover", "outdoors", 10.0 * math.sqrt(17.0), math.degrees(math.atan(0.25)), 180.0),
        ("south wall", "cover", "outdoors", 20.0, 90.0, 180.0),
        ("east end", "cover", "outdoors", 10.0, 90.0, 90.0),
        ("west end", "cover", "outdoors", 10.0, 90.0, 270.0),
    ]
    for s, (name, role, behind, *numbers) in zip(g.surfaces, expected, strict=True):
        assert (s.name, s.role, s.behind) == (name, role, behind)
        assert (s.area, s.tilt, s.azimuth) == pytest.approx(numbers)
    assert (g.floor_area, g.volume) == pytest.approx((40.0, 100.0))
    assert g.perimeter == pytest.approx(18.0)  # the edge along the house is left out


@pytest.mark.parametrize(
    ("bearing", "shared", "roof", "azimuth"),
    [
        (90.0, "south wall", "north roof", 0.0),
        (10.0, "west wall", "east roof", 100.0),
        (10.0, "east wall", "west roof", 280.0),
        (170.0, "west wall", "east roof", 80.0),
    ],
)
def test_roof_looks_away_from_the_house(bearing, shared, roof, azimuth):
    form = shape("lean-to", bearing=bearing, shared_wall=shared, **SIZE)
    g = build(house(form, part("house wall", shared)))
    slope = next(s for s in g.surfaces if 0.0 < s.tilt < 90.0)
    assert (slope.name, slope.azimuth) == (roof, pytest.approx(azimuth))


def test_words_for_several_sides_leave_the_shared_wall_alone():
    form = shape("lean-to", bearing=90.0, shared_wall="north wall", **SIZE)
    g = build(house(form, part("house wall", "north wall"), part("skirt", "walls", height=0.5)))
    skirts = [s for s in g.surfaces if s.part == "skirt"]
    assert [(s.plane, s.area) for s in skirts] == [("south wall", pytest.approx(5.0))]
    everything = build(house(form, part("house wall", "north wall"), part("lining", "all")))
    assert {s.part for s in everything.surfaces} == {"house wall", "lining"}


def test_a_shared_wall_left_to_the_cover_is_refused():
    form = shape("lean-to", bearing=90.0, shared_wall="north wall", **SIZE)
    with pytest.raises(InputError) as caught:
        build(house(form, part("door to the house", "north wall", area=2.0)))
    assert str(caught.value) == (
        "north wall must be described by parts as a whole, got 28 m2 left to the cover (shape.shared_wall). "
        'Add a [[part]] with on = "north wall" and its layers or u.'
    )
