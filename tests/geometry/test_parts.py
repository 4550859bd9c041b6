"""Parts cut out of sides: areas, order, roles, refusals."""

from __future__ import annotations

from itertools import permutations

import pytest
from bare_houses import house, part, shape

from heatloss.errors import InputError, UnknownNameError
from heatloss.geometry import build

GABLE = shape("gable", length=12.0, width=6.0, eave=2.5, ridge=4.5, bearing=90.0)


def areas(*parts, form=GABLE):
    return {s.name: s.area for s in build(house(form, *parts)).surfaces}


def test_openings_come_off_their_side():
    found = areas(part("door", "east end", width=1.0, height=2.0), part("vent", "south roof", area=1.5))
    assert (found["door"], found["east end"], found["west end"]) == pytest.approx((2.0, 19.0, 21.0))
    assert found["south roof"] + found["vent"] == pytest.approx(found["north roof"])


def test_a_part_on_several_sides_stands_on_each():
    found = areas(part("door", "ends", area=2.0), part("insulation", "north wall", "north roof"))
    assert (found["door on east end"], found["door on west end"]) == pytest.approx((2.0, 2.0))
    assert found["insulation on north wall"] == pytest.approx(30.0)
    assert "north roof" not in found


def test_a_strip_runs_along_the_foot():
    """On the walls 12 x 0.6; on the gable ends 6 x 0.6 below the eave, and the triangle's foot above it."""
    found = areas(part("knee", "walls", height=0.6), part("skirt", "ends", height=3.5))
    assert found["knee on north wall"] == pytest.approx(7.2)
    assert found["north wall"] == pytest.approx(22.8)
    assert found["skirt on east end"] == pytest.approx(15.0 + 0.5 * (6.0 + 3.0) * 1.0)
    assert found["east end"] == pytest.approx(0.5 * 3.0 * 1.0)


def test_a_strip_on_a_curved_side_is_measured_plumb():
    """Half round of radius 3: the polygon below 1.5 m; every strip whose foot is lower takes part."""
    hoop = shape("hoop", length=10.0, width=6.0, bearing=90.0)
    surfaces = build(house(hoop, part("skirt", "north roof", height=1.5))).surfaces
    skirt = [s for s in surfaces if s.part == "skirt"]
    assert [s.plane for s in skirt] == ["roof strip 1", "roof strip 2"]  # 12 strips: 1.5 m is exactly 30 deg up
    bare = build(house(hoop)).surfaces
    assert sum(s.area for s in skirt) == pytest.approx(bare[0].area + bare[1].area)
    assert max(p[2] for s in skirt for p in s.polygon) == pytest.approx(1.5)


def test_a_second_strip_stands_on_the_first():
    once = areas(part("knee", "walls", height=1.0))
    twice = areas(part("low", "walls", height=0.4), part("high", "walls", height=0.6))
    assert once["north wall"] == pytest.approx(twice["north wall"])
    assert once["knee on north wall"] == pytest.approx(twice["low on north wall"] + twice["high on north wall"])


def test_openings_and_strips_leave_the_rest_to_the_whole_side():
    parts = [
        part("insulation", "north wall"),
        part("door", "north wall", area=2.0),
        part("hatch", "north wall", width=0.5, height=0.5),
        part("knee", "north wall", height=0.5),
    ]
    expected = {"knee": 6.0, "door": 2.0, "hatch": 0.25, "insulation": 30.0 - 8.25}
    for order in permutations(parts):
        found = areas(*order)
        assert {name: found[name] for name in expected} == pytest.approx(expected)
        assert "north wall" not in found


def test_splitting_an_opening_changes_nothing_else():
    whole, halves = areas(part("vent", "roof", area=3.0)), areas(*(part(n, "roof", area=1.5) for n in ("a", "b")))
    for side in ("north roof", "south roof", "north wall", "east end"):
        assert whole[side] == pytest.approx(halves[side], rel=1e-12)


def test_pieces_stay_in_the_plane_and_direction_of_their_side():
    g = build(house(GABLE, part("vent", "south roof", area=3.0), part("insulation", "north wall")))
    found = {s.name: s for s in g.surfaces}
    assert (found["vent"].plane, found["vent"].tilt) == ("south roof", found["south roof"].tilt)
    assert found["vent"].group != found["south roof"].group
    assert (found["insulation"].plane, found["insulation"].group) == ("north wall", "insulation on north wall")
    assert [s.name for s in g.surfaces] == [
        "insulation", "north roof", "south roof", "vent", "south wall", "east end", "west end",
    ]  # fmt: skip


def test_an_opening_on_a_curved_side_is_shared_by_its_strips():
    hoop = shape("hoop", length=10.0, width=6.0, bearing=90.0)
    surfaces = build(
        house(hoop, part("vent", "south roof", area=1.2), part("hatch", "roof strip 1", area=0.3))
    ).surfaces
    vents = [s for s in surfaces if s.part == "vent"]
    assert [s.area for s in vents] == pytest.approx([0.2] * 6)
    assert {s.name: s.plane for s in surfaces}["hatch"] == "roof strip 1"


def test_roles_and_fields():
    g = build(
        house(
            GABLE,
            part("door", "east end", area=2.0, door="insulated steel door"),
            part("window", "west end", area=1.0, glazing="glass sealed double"),
            part("panel", "west end", area=1.0, layers=("foam",), solar_absorptance=0.3, emissivity=0.9),
            part("north", "north wall", u=0.4, behind="ground"),
        )
    )
    found = {s.name: s for s in g.surfaces}
    roles = {n: found[n].role for n in ("door", "window", "panel", "north", "east end")}
    assert roles == {"door": "door", "window": "cover", "panel": "opaque", "north": "opaque", "east end": "cover"}
    assert found["north"].behind == "ground"
    assert (found["panel"].layers, found["panel"].solar_absorptance, found["panel"].u) == (("foam",), 0.3, None)
    assert (found["east end"].glazing, found["east end"].emissivity) == ("polycarbonate twin-wall 8 mm", None)


def test_all_takes_everything():
    g = build(house(GABLE, part("lining", "all")))
    assert {s.part for s in g.surfaces} == {"lining"}
    assert sum(s.area for s in g.surfaces) == pytest.approx(sum(areas().values()))


@pytest.mark.parametrize(
    ("parts", "text"),
    [
        ([part("door", "east end", area=22.0)],
         'area must be above 0 and at most 21 m2, what is left of east end, got 22 m2 (part "door").'),
        ([part("a", "east end", area=15.0), part("b", "east end", area=7.0)],
         'area must be above 0 and at most 6 m2, what is left of east end, got 7 m2 (part "b").'),
        ([part("knee", "north wall", height=2.6)],
         'height must be above 0 and at most 2.5 m, what is left of north wall, got 2.6 m (part "knee").'),
        ([part("low", "walls", height=2.0), part("high", "walls", height=1.0)],
         'height must be above 0 and at most 0.5 m, what is left of north wall, got 1 m (part "high").'),
        ([part("a", "north wall"), part("b", "north wall")],
         'area must be free on north wall, got nothing left of it (part "b"). Other parts take it whole.'),
        ([part("east end", "east end", area=1.0)],
         'name must differ from the names of the sides, got "east end" (part.name).'),
    ],
)  # fmt: skip
def test_refusals(parts, text):
    with pytest.raises(InputError) as caught:
        build(house(GABLE, *parts))
    assert str(caught.value) == text


def test_a_side_the_shape_does_not_have():
    with pytest.raises(UnknownNameError) as caught:
        build(house(GABLE, part("door", "north end", area=1.0)))
    assert str(caught.value).startswith("on must be a known name, got 'north end' (part \"door\"). The nearest: ")
    hoop = shape("hoop", length=10.0, width=6.0, bearing=90.0)
    with pytest.raises(UnknownNameError, match="on must be a known name, got 'walls'"):
        build(house(hoop, part("knee", "walls", height=0.5)))


def test_strips_stack_on_a_curved_side():
    hoop = shape("hoop", length=10.0, width=6.0, bearing=90.0)
    one = areas(part("skirt", "roof", height=2.0), form=hoop)
    two = areas(part("low", "roof", height=1.0), part("high", "roof", height=1.0), form=hoop)
    assert sum(v for k, v in one.items() if "skirt" in k) == pytest.approx(
        sum(v for k, v in two.items() if "low" in k or "high" in k)
    )
    assert {k: v for k, v in one.items() if "skirt" not in k} == pytest.approx(
        {k: v for k, v in two.items() if "low" not in k and "high" not in k}
    )


def test_a_strip_hidden_by_others_is_refused():
    hoop = shape("hoop", length=10.0, width=6.0, bearing=90.0)
    with pytest.raises(InputError) as caught:
        build(house(hoop, part("skirt", "north roof", height=1.0), part("board", "roof strip 1", height=0.5)))
    assert str(caught.value) == 'height must reach above the other strips on roof strip 1, got 0.5 m (part "board").'
