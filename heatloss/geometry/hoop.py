"""Hoop house: a circular roof, from the ground or on side walls."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.prism import strip_count, vault
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A hoop house of given length and width, with plane strips for its roof.

    The arc springs from the eave (side walls of that height, none if it is absent or zero). It is a half circle
    over the width, or flatter if a ridge height or a radius says so. Strips are chords of equal angle with their
    ends on the arc, so the ridge and the eaves lie where they are typed; the hull is smaller than the cylinder by
    a share of about (angle of one strip)^2 / 24, 0.3 % for 12 strips over a half circle.

    Raises
    ------
    InputError
        If a dimension is missing, the arc would be more than a half circle, or ridge and radius disagree.
    """
    half, eave = 0.5 * length_of(shape, "width"), shape.eave or 0.0
    rise = _rise(shape, half, eave)
    radius = 0.5 * (rise**2 + half**2) / rise
    reach = math.pi - 2.0 * math.atan2(radius - rise, half)  # angle of the whole arc
    strips = strip_count(shape)
    curve = []
    for i in range(strips + 1):
        angle = (i / strips - 0.5) * reach
        curve.append((radius * math.sin(angle), eave + rise - radius * (1.0 - math.cos(angle))))
    curve[0], curve[strips // 2], curve[-1] = (-half, eave), (0.0, eave + rise), (half, eave)
    return vault(shape, curve)


def _rise(shape: Shape, half: float, eave: float) -> float:
    """Height of the ridge over the eave [m]."""
    by_radius = half
    if shape.radius is not None:
        if not shape.radius >= half * (1.0 - 1e-9):
            raise InputError(
                f"radius must be at least half the width, {half:.4g} m, got {shape.radius:.4g} m (shape.radius). "
                "Leave it out for a half circle."
            )
        by_radius = shape.radius - math.sqrt(max(shape.radius**2 - half**2, 0.0))
    if shape.ridge is None:
        return by_radius
    rise = shape.ridge - eave
    if not 0.0 < rise <= half * (1.0 + 1e-9):
        raise InputError(
            f"ridge must be above the eave of {eave:.4g} m and at most {eave + half:.4g} m, the top of a half circle, "
            f'got {shape.ridge:.4g} m (shape.ridge). A pointed roof is kind = "gothic".'
        )
    if shape.radius is not None and abs(rise - by_radius) > 0.001 * half:
        raise InputError(
            f"radius must give the ridge height of {shape.ridge:.4g} m, got {shape.radius:.4g} m, which gives "
            f"{eave + by_radius:.4g} m (shape.radius). Leave one of the two out."
        )
    return rise
