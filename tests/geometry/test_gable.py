"""A gable house against sums by hand."""

from __future__ import annotations

import math

import pytest
from bare_houses import house, shape

from heatloss.geometry import build


def test_gable_by_hand():
    """12 x 6 m, eave 2.5, ridge 4.5: slopes sqrt(3^2 + 2^2) wide, tilt atan(2/3), ends 6 x 2.5 + 6 x 2 / 2."""
    g = build(house(shape("gable", length=12.0, width=6.0, eave=2.5, ridge=4.5, bearing=100.0)))
    slope, tilt = 12.0 * math.sqrt(13.0), math.degrees(math.atan(2.0 / 3.0))
    expected = [
        ("north wall", 30.0, 90.0, 10.0),
        ("north roof", slope, tilt, 10.0),
        ("south roof", slope, tilt, 190.0),
        ("south wall", 30.0, 90.0, 190.0),
        ("east end", 21.0, 90.0, 100.0),
        ("west end", 21.0, 90.0, 280.0),
    ]
    for s, (name, *numbers) in zip(g.surfaces, expected, strict=True):
        assert (s.name, s.part, s.plane, s.group, s.role) == (name, name, name, name, "cover")
        assert (s.area, s.tilt, s.azimuth) == pytest.approx(numbers, rel=1e-12)
    assert (g.floor_area, g.perimeter, g.volume, g.height) == pytest.approx((72.0, 36.0, 252.0, 3.5))


@pytest.mark.parametrize(
    ("bearing", "names"),
    [
        (0.0, ["west wall", "west roof", "east roof", "east wall", "north end", "south end"]),
        (44.9, ["west wall", "west roof", "east roof", "east wall", "north end", "south end"]),
        (45.0, ["north wall", "north roof", "south roof", "south wall", "east end", "west end"]),
        (135.0, ["north wall", "north roof", "south roof", "south wall", "east end", "west end"]),
        (135.1, ["east wall", "east roof", "west roof", "west wall", "south end", "north end"]),
        (180.0, ["west wall", "west roof", "east roof", "east wall", "north end", "south end"]),
    ],
)
def test_side_words_by_bearing(bearing, names):
    g = build(house(shape("gable", length=12.0, width=6.0, eave=2.5, ridge=4.5, bearing=bearing)))
    assert [s.name for s in g.surfaces] == names


def test_without_walls_only_slopes_and_ends_remain():
    g = build(house(shape("gable", length=8.0, width=6.0, eave=0.0, ridge=4.0, bearing=0.0)))
    assert [s.name for s in g.surfaces] == ["west roof", "east roof", "north end", "south end"]
    assert [s.area for s in g.surfaces] == pytest.approx([40.0, 40.0, 12.0, 12.0])
