"""A gothic house against integration."""

from __future__ import annotations

import math

import pytest
from bare_houses import house, shape
from scipy.integrate import quad

from heatloss.errors import InputError
from heatloss.geometry import build


def gothic(radius=None, **given):
    size = {"length": 10.0, "width": 6.0, "eave": 1.0, "ridge": 5.0, "bearing": 0.0}
    form = shape("gothic", **(size | given))
    return build(house(form.model_copy(update={"radius": radius})))


def centre(half, rise, radius):
    """The centre of the arc through (half, 0) and (0, rise) that bulges outward, from the two circle equations."""
    chord = math.hypot(half, rise)
    d = math.sqrt(radius**2 - chord**2 / 4.0)
    return half / 2.0 - rise * d / chord, rise / 2.0 - half * d / chord


@pytest.mark.parametrize(
    ("width", "eave", "ridge", "radius"), [(6.0, 1.0, 5.0, None), (9.0, 1.2, 4.2, 8.0), (6.0, 0.0, 4.0, 7.0)]
)
def test_converges_to_the_integrals_of_the_arcs(width, eave, ridge, radius):
    half, rise = width / 2.0, ridge - eave
    r = radius or (half**2 + rise**2) / width  # plumb at the eave: (R - w/2)^2 + rise^2 = R^2
    cx, cz = centre(half, rise, r)
    height = lambda x: cz + math.sqrt(max(r**2 - (x - cx) ** 2, 0.0))  # noqa: E731
    section = 2.0 * quad(height, 0.0, half, epsabs=1e-10)[0] + width * eave
    arc = r * (math.atan2(rise - cz, -cx) - math.atan2(-cz, half - cx))
    g = gothic(width=width, eave=eave, ridge=ridge, radius=radius, strips=200)
    roof = sum(s.area for s in g.surfaces if "roof" in s.part)
    assert roof == pytest.approx(2.0 * arc * 10.0, rel=5e-5)
    assert g.volume == pytest.approx(section * 10.0, rel=5e-5)


def test_default_strips_stay_near():
    """12 strips: within 0.4 % of the hull and 1 % of the volume of 200."""
    few, many = gothic(), gothic(strips=200)
    assert few.volume == pytest.approx(many.volume, rel=0.01)
    assert sum(s.area for s in few.surfaces) == pytest.approx(sum(s.area for s in many.surfaces), rel=0.004)


def test_it_is_pointed_and_plumb_at_the_eave():
    """Tilts fall from the eave to the ridge; the first strip is half a strip off plumb, the last well off level."""
    tilts = [s.tilt for s in gothic(strips=40).surfaces if s.part == "west roof"]
    assert len(tilts) == 20
    assert tilts == sorted(tilts, reverse=True)
    per_strip = math.degrees(math.asin(4.0 / (25.0 / 6.0))) / 20.0
    assert tilts[0] == pytest.approx(90.0 - per_strip / 2.0, rel=1e-9)
    assert tilts[-1] > 15.0


def test_a_rise_of_nearly_half_the_width_is_nearly_a_hoop():
    g = gothic(eave=1.0, ridge=4.0 + 1e-9)
    hoop = build(house(shape("hoop", length=10.0, width=6.0, eave=1.0, bearing=0.0)))
    assert g.volume == pytest.approx(hoop.volume, rel=1e-6)


def test_a_low_roof_lies_midway_between_round_and_straight():
    """Rise 2 on a half width of 3: round is R = 3.25, the chord sqrt(13); the arc of R = 6.5 is between."""
    g = gothic(ridge=3.0, strips=200)
    chord = math.sqrt(13.0)
    round_, taken = (2.0 * r * math.asin(chord / (2.0 * r)) for r in (3.25, 6.5))
    roof = sum(s.area for s in g.surfaces if "roof" in s.part) / 20.0
    assert roof == pytest.approx(taken, rel=1e-5)
    assert chord < roof < round_
    assert g.notes == (
        "The gothic roof's radius is not given; 6.5 m was taken, midway between a round and a straight roof.",
    )
    assert gothic().notes == ()


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"ridge": 3.0, "radius": 3.0}, "radius must be at least 3.25 m for this width and rise, got 3 m "
         "(shape.radius). A smaller arc bulges beyond the eave or makes no point."),
        ({"radius": 4.0}, "radius must be at least 4.167 m for this width and rise, got 4 m "
         "(shape.radius). A smaller arc bulges beyond the eave or makes no point."),
    ],
)  # fmt: skip
def test_refusals(given, text):
    with pytest.raises(InputError) as caught:
        gothic(**given)
    assert str(caught.value) == text
