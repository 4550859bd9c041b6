"""A hoop house against the cylinder."""

from __future__ import annotations

import math

import pytest
from bare_houses import house, shape

from heatloss.geometry import build

LENGTH, WIDTH = 20.0, 8.0


def hoop(**given):
    return build(house(shape("hoop", **({"length": LENGTH, "width": WIDTH, "bearing": 90.0} | given))))


def roof_area(g):
    return sum(s.area for s in g.surfaces if "roof" in s.part)


def test_half_round_converges_to_the_half_cylinder():
    """Chords under the arc: the roof falls short by a share x^2/24, the section by x^2/6, x the angle of a strip."""
    area, volume = math.pi * 4.0 * LENGTH, 0.5 * math.pi * 16.0 * LENGTH
    for strips in (4, 12, 48, 200):
        g, x = hoop(strips=strips), math.pi / strips
        assert 1.0 - roof_area(g) / area == pytest.approx(x**2 / 24.0, rel=0.05)
        assert 1.0 - g.volume / volume == pytest.approx(x**2 / 6.0, rel=0.05)


def test_flat_arc_on_walls_converges_to_the_circular_segment():
    """Rise 2.5 over a half width of 4: R = (2.5^2 + 4^2) / 5 = 4.45; arc 2 R asin(4 / R)."""
    radius, rise = 4.45, 2.5
    angle = 2.0 * math.asin(4.0 / radius)
    segment = 0.5 * radius**2 * (angle - math.sin(angle))
    g = hoop(strips=200, eave=1.0, ridge=3.5)
    assert roof_area(g) == pytest.approx(radius * angle * LENGTH, rel=3e-5)
    assert g.volume == pytest.approx((segment + WIDTH * 1.0) * LENGTH, rel=3e-5)
    assert max(p[2] for s in g.surfaces for p in s.polygon) == pytest.approx(1.0 + rise, rel=1e-12)
    assert [s.area for s in g.surfaces if "wall" in s.part] == pytest.approx([LENGTH, LENGTH])


@pytest.mark.parametrize("given", [{}, {"eave": 0.5}, {"eave": 1.0, "ridge": 3.5}])
def test_strips_end_on_the_arc_and_are_alike(given):
    g = hoop(**given)
    strips = [s for s in g.surfaces if "roof" in s.part]
    assert [s.name for s in strips] == [f"roof strip {i}" for i in range(1, 13)]
    assert [s.part for s in strips] == ["north roof"] * 6 + ["south roof"] * 6
    assert max(s.area for s in strips) == pytest.approx(min(s.area for s in strips), rel=1e-9)
    assert [s.tilt for s in strips[:6]] == pytest.approx([s.tilt for s in strips[:5:-1]])
    assert len({s.plane for s in strips}) == 12
    ridge, eave = given.get("ridge", given.get("eave", 0.0) + 4.0), given.get("eave", 0.0)
    rise = ridge - eave
    radius = (rise**2 + 16.0) / (2.0 * rise)
    for s in strips:
        for _, north, up in s.polygon:
            assert math.hypot(north, up - (ridge - radius)) == pytest.approx(radius, rel=1e-12)


def test_every_way_to_say_a_half_circle_is_the_same():
    plain = hoop(eave=1.0)
    assert plain == hoop(eave=1.0, ridge=5.0) == hoop(eave=1.0, width=None, radius=4.0) == hoop(eave=1.0, strips=12)


def test_strips_share_a_group_within_15_degrees():
    """Half round: 6 steps from level to plumb on each half, however many strips."""
    for strips in (12, 24, 48):
        g = hoop(strips=strips)
        groups = {s.group for s in g.surfaces if "roof" in s.part}
        assert groups == {f"{w} roof tilt {t}-{t + 15}" for w in ("north", "south") for t in range(0, 90, 15)}
