"""Free surfaces: taken as typed, pooled by the way they face."""

from __future__ import annotations

import pytest
from bare_houses import free_surface, house, part, shape

from heatloss.errors import InputError
from heatloss.geometry import build

FORM = shape("free", floor_area=48.0, perimeter=28.0, volume=129.6)
ROOM = (
    free_surface("south glass", 12.0, 90.0, 180.0, glazing="glass sealed double"),
    free_surface("south wall", 9.6, 90.0, 180.0, u=0.5, solar_absorptance=0.6, emissivity=0.9),
    free_surface("back", 21.6, 90.0, 360.0, layers=(object(),), behind="house"),
    free_surface("roof", 48.0, 0.0, 77.0, u=0.3),
    free_surface("cellar", 16.2, 90.0, 270.0, u=1.0, behind=10.0),
)


def test_surfaces_as_typed():
    g = build(house(FORM, surface=ROOM))
    assert [s.name for s in g.surfaces] == [s.name for s in ROOM]
    assert [s.area for s in g.surfaces] == [s.area for s in ROOM]
    assert [s.role for s in g.surfaces] == ["cover", "opaque", "opaque", "opaque", "opaque"]
    assert [s.behind for s in g.surfaces] == ["outdoors", "outdoors", "house", "outdoors", 10.0]
    assert [s.azimuth for s in g.surfaces] == [180.0, 180.0, 0.0, 0.0, 270.0]
    assert (g.floor_area, g.perimeter, g.volume, g.height) == (48.0, 28.0, 129.6, pytest.approx(2.7))
    assert g.surfaces[1].solar_absorptance == 0.6
    assert g.surfaces[0].plane == g.surfaces[1].plane
    assert len({s.plane for s in g.surfaces}) == 4
    assert len({s.group for s in g.surfaces}) == 5


def test_parts_go_on_surfaces_by_name():
    g = build(
        house(FORM, part("door", "south wall", width=1.0, height=2.0, u=1.5, door="insulated steel door"), surface=ROOM)
    )
    found = {s.name: s for s in g.surfaces}
    assert found["south wall"].area == pytest.approx(7.6)
    assert (found["door"].area, found["door"].role) == (pytest.approx(2.0), "door")


def test_refusals():
    with pytest.raises(InputError) as caught:
        build(house(FORM, part("skirt", "south wall", height=0.5), surface=ROOM))
    assert str(caught.value) == (
        'height must come with a width on south wall, whose outline is not known, got 0.5 m alone (part "skirt"). '
        "Give the part's area."
    )
