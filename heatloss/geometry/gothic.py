"""Gothic house: two circular arcs that meet in a pointed ridge, from the ground or on side walls."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.prism import strip_count, vault
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A gothic house of given length, width, eave and ridge height, with plane strips for its two arcs.

    Without a radius the arcs rise plumb from the eave, the pointed arch of the builder: possible where the rise is
    more than half the width. A lower gothic needs its radius. Strips are chords of equal angle with their ends on
    the arcs, half of them on each.

    Raises
    ------
    InputError
        If a dimension is missing, or the arcs would bulge beyond the eaves or not meet in a point.

    Notes
    -----
    An arc of radius R over the chord c from eave to ridge has its centre sqrt(R^2 - c^2/4) from the middle of the
    chord; it must lie no higher than the eave and beyond the ridge line.
    """
    half, ridge, eave = 0.5 * length_of(shape, "width"), length_of(shape, "ridge"), shape.eave or 0.0
    rise = ridge - eave
    if not rise > 0.0:
        raise InputError(f"ridge must be above the eave of {eave:.4g} m, got {ridge:.4g} m (shape.ridge).")
    radius = _radius(shape, half, rise)
    chord = math.hypot(half, rise)
    offset = math.sqrt(max(radius**2 - 0.25 * chord**2, 0.0))
    across, up = 0.5 * half - rise / chord * offset, 0.5 * rise - half / chord * offset  # centre of the right arc
    first, last = math.atan2(-up, half - across), math.atan2(rise - up, -across)
    per_arc = strip_count(shape) // 2
    right = [(half, eave)]
    for i in range(1, per_arc):
        angle = first + (last - first) * i / per_arc
        right.append((across + radius * math.cos(angle), eave + up + radius * math.sin(angle)))
    left = [(-x, z) for x, z in right]
    return vault(shape, [*left, (0.0, ridge), *right[::-1]])


def _radius(shape: Shape, half: float, rise: float) -> float:
    """Radius of the two arcs [m]: as typed, or that of arcs plumb at the eave."""
    chord = math.hypot(half, rise)
    plumb, level = rise * chord / (2.0 * half), half * chord / (2.0 * rise)
    least = math.hypot(0.5 * chord, max(plumb, level))
    if shape.radius is None:
        if not rise > half:
            raise InputError(
                f"radius must be given for a gothic roof that rises {rise:.4g} m, no more than half its width, "
                f"got nothing (shape.radius). Any radius above {least:.4g} m makes a point."
            )
        return least
    if not shape.radius >= least * (1.0 - 1e-9):
        raise InputError(
            f"radius must be at least {least:.4g} m for this width and rise, got {shape.radius:.4g} m "
            "(shape.radius). A smaller arc bulges beyond the eave or makes no point."
        )
    return shape.radius
