"""Gothic house: two circular arcs that meet in a pointed ridge, from the ground or on side walls."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from heatloss.errors import InputError
from heatloss.geometry.prism import vault
from heatloss.geometry.surface import Body, length_of

if TYPE_CHECKING:
    from heatloss.house import Shape


def body(shape: Shape) -> Body:
    """A gothic house of given length, width, eave and ridge height, with plane strips for its two arcs.

    Without a radius the arcs rise plumb from the eave where the rise is more than half the width: the pointed arch.
    A lower roof cannot have that form and a point too; its arcs then lie midway between the round roof and the
    straight one over the same eave and ridge, which is noted. The roof cannot be further from the truth than those
    two are, about 3 % of its area. Strips are chords of equal angle, half of them on each arc.

    Raises
    ------
    InputError
        If the radius makes the arcs bulge beyond the eaves, or level or falling at the ridge.

    Notes
    -----
    An arc of radius R over the chord c from eave to ridge has its centre sqrt(R^2 - c^2/4) from the middle of the
    chord; the centre must lie no higher than the eave and not on this side of the ridge line.
    """
    half, ridge, eave = 0.5 * length_of(shape, "width"), length_of(shape, "ridge"), shape.eave or 0.0
    rise = ridge - eave
    radius, note = _radius(shape, half, rise)
    chord = math.hypot(half, rise)
    offset = math.sqrt(max(radius**2 - 0.25 * chord**2, 0.0))
    across, up = 0.5 * half - rise / chord * offset, 0.5 * rise - half / chord * offset  # centre of the right arc
    first, last = math.atan2(-up, half - across), math.atan2(rise - up, -across)
    per_arc = (shape.strips or 12) // 2
    right = [(half, eave)]
    for i in range(1, per_arc):
        angle = first + (last - first) * i / per_arc
        right.append((across + radius * math.cos(angle), eave + up + radius * math.sin(angle)))
    left = [(-x, z) for x, z in right]
    return replace(vault(shape, [*left, (0.0, ridge), *right[::-1]]), notes=note)


def _radius(shape: Shape, half: float, rise: float) -> tuple[float, tuple[str, ...]]:
    """Radius of the two arcs [m]: as typed, or assumed with a note if the form does not give it."""
    least = (half**2 + rise**2) / (2.0 * min(half, rise))  # plumb at the eave, or level at the ridge
    if shape.radius is None:
        if rise > half:
            return least, ()
        return 2.0 * least, (
            f"The gothic roof's radius is not given; {2.0 * least:.3g} m was taken, midway between a round and a "
            "straight roof.",
        )
    if not shape.radius >= least * (1.0 - 1e-9):
        raise InputError(
            f"radius must be at least {least:.4g} m for this width and rise, got {shape.radius:.4g} m "
            "(shape.radius). A smaller arc bulges beyond the eave or makes no point."
        )
    return shape.radius, ()
