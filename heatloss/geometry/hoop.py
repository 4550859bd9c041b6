"""Hoop house: a circular roof, from the ground or on side walls."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from heatloss.geometry.prism import vault
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A hoop house of given length, width, eave and ridge height, with an even number of plane strips for its roof.

    The arc springs from the eave (side walls of that height, none if it is zero) and is a half circle where the
    ridge is half the width above it, flatter where it is less.

    Notes
    -----
    Radius R = (rise^2 + (w/2)^2) / (2 rise). Strips are chords of equal angle x with their ends on the arc, so ridge
    and eaves lie where they are typed, while the roof is smaller than the cylinder by a share of x^2 / 24 and the
    half-round section by x^2 / 6: 0.3 % and 1.1 % for 12 strips, 0.07 % and 0.3 % for 24.
    """
    half, eave = 0.5 * length_of(shape, "width"), shape.eave or 0.0
    rise = length_of(shape, "ridge") - eave
    radius = 0.5 * (rise**2 + half**2) / rise
    reach = math.pi - 2.0 * math.atan2(radius - rise, half)  # angle of the whole arc
    strips = shape.strips or 12
    curve = []
    for i in range(strips + 1):
        angle = (i / strips - 0.5) * reach
        curve.append((radius * math.sin(angle), eave + rise - radius * (1.0 - math.cos(angle))))
    curve[0], curve[strips // 2], curve[-1] = (-half, eave), (0.0, eave + rise), (half, eave)
    return vault(shape, curve)
