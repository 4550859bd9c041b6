"""A box against sums by hand."""

from __future__ import annotations

import pytest
from bare_houses import house, part, shape

from heatloss.geometry import build


def test_box_by_hand():
    g = build(house(shape("box", length=8.0, width=6.0, eave=2.7, bearing=90.0)))
    found = [(s.name, s.area, s.tilt, s.azimuth) for s in g.surfaces]
    expected = [
        ("north wall", 21.6, 90.0, 0.0),
        ("roof", 48.0, 0.0, 0.0),
        ("south wall", 21.6, 90.0, 180.0),
        ("east end", 16.2, 90.0, 90.0),
        ("west end", 16.2, 90.0, 270.0),
    ]
    for a, b in zip(found, expected, strict=True):
        assert a == pytest.approx(b)
    assert (g.floor_area, g.perimeter, g.volume, g.height) == pytest.approx((48.0, 28.0, 129.6, 2.7))


def test_the_flat_roof_answers_to_roof():
    g = build(house(shape("box", length=8.0, width=6.0, eave=2.7, bearing=0.0), part("deck", "roof")))
    assert {s.name: s.area for s in g.surfaces if s.role == "opaque"} == pytest.approx({"deck": 48.0})
