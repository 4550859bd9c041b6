"""Where the sun ends: through the glazings, first hit inside, then reflected until it is taken up or lost again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.drivers import Drivers
from heatloss.catalogue import Row
from heatloss.geometry import Surface
from heatloss.physics import optics
from heatloss.physics.sun import cavity

Floats = NDArray[np.float64]
EVEN_LIGHT = 0.5
"""Cosine of incidence at which a beam fares as light of an even sky: 60 deg (rule of the textbooks, from memory)."""


@dataclass(frozen=True)
class Glass:
    """Optics of one glazing: sheets whose absorption is fitted to the rated normal transmittance.

    Attributes
    ----------
    scale : float
        Left over where even lossless sheets of its index let less or more through than rated [1].
    diffuse_transmittance, diffuse_absorptance : float
        For light from the whole hemisphere [1].
    inner_share : float
        Of what the sheets keep of light from outside, what warms the inner face [1].
    """

    n: float
    sheets: int
    kl: float
    scale: float
    diffuse_transmittance: float
    diffuse_absorptance: float
    inner_share: float

    @classmethod
    def of(cls, row: Row) -> Glass:
        """From a row of the glazing catalogue; its diffuse transmittance is the row's own."""
        return _glass(row["refractive_index"], int(row["sheets"]), row["solar_normal"], row["solar_diffuse"])

    def beam(self, cos_incidence: Floats, lit: NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """Transmittance and absorptance for beam light, zero where ``lit`` is false."""
        through, kept = np.zeros_like(cos_incidence), np.zeros_like(cos_incidence)
        light = optics.stack(cos_incidence[lit], n=self.n, kl=self.kl, sheets=self.sheets)
        through[lit], kept[lit] = np.asarray(light.transmittance) * self.scale, light.absorptance
        return through, kept


@lru_cache(maxsize=256)
def _glass(n: float, sheets: int, solar_normal: float, through: float) -> Glass:
    """Fitted once for each kind of glazing: many houses are made of the same."""
    kl, scale = optics.fit_extinction(n=n, sheets=sheets, solar_normal=solar_normal)
    diffuse = optics.hemispherical(n=n, kl=kl, sheets=sheets)
    kept = min(float(diffuse.absorptance), 1.0 - through)
    share = float(optics.inner_share(EVEN_LIGHT, n=n, kl=kl, sheets=sheets)) if kl > 0.0 else 0.5
    return Glass(n, sheets, kl, scale, through, kept, share)


@dataclass(frozen=True)
class Inside:
    """A surface of the enclosure that has no outside: floor, bed, tank.

    Attributes
    ----------
    name : str
    area : float [m2]
    plane : str
        Surfaces of one plane do not light each other.
    absorptance : float [1]
    projected : (top, side) [m2]
        Area seen from straight above and, for an upright body, from the side; the sun's own height weighs them.
    """

    name: str
    area: float
    plane: str
    absorptance: float
    projected: tuple[float, float]


@dataclass(frozen=True)
class Sunlight:
    """Absorbed sun, hour by hour [W].

    Attributes
    ----------
    inside : (hours, surfaces of the geometry)
        On the inner faces, what came through the glazings.
    outside : (hours, surfaces of the geometry)
        From outside: in the sheets of a glazing, on the outer face of an opaque part.
    within : {name: (hours,)}
        By each surface without an outside.
    entered, lost : (hours,)
        Through the glazings inwards, and out again.
    on_floor : (hours,) [W/m2]
        Light that meets a square metre of floor or bed, all reflections counted.
    inward : (surfaces of the geometry,)
        Share of what the sheets of each glazing keep of light from outside that warms the inner face; of light from
        inside it is the outer face that gets this; 0 for opaque parts [1].
    """

    inside: Floats
    outside: Floats
    within: dict[str, Floats]
    entered: Floats
    lost: Floats
    on_floor: Floats
    inward: Floats

    @property
    def inner_faces(self) -> Floats:
        """What warms the inner faces (hours, surfaces of the geometry) [W]."""
        return self.inside * (1.0 - self.inward) + self.outside * self.inward

    @property
    def outer_faces(self) -> Floats:
        """What warms the outer faces (hours, surfaces of the geometry) [W]."""
        return self.outside * (1.0 - self.inward) + self.inside * self.inward


def distribute(
    surfaces: Sequence[Surface],
    rows: Sequence[Row | None],
    light_share: Sequence[float | Floats],
    within: Sequence[Inside],
    drivers: Drivers,
    *,
    crossing: float = 0.0,
) -> Sunlight:
    """Follow the sun from the outside of each surface to where it ends.

    Parameters
    ----------
    surfaces : sequence of Surface
    rows : sequence of Row or None
        The glazing of each, None for opaque parts.
    light_share : sequence of numeric
        What bars, dirt, drops, snow and open curtains leave of the light, for each surface [1].
    within : sequence of Inside
        Floor, beds, tanks.
    drivers : Drivers
    crossing : float
        Share of the light on its way to walls and far glazings that plants and benches take up for the floor [1].

    Returns
    -------
    Sunlight

    Notes
    -----
    Every kind of light meets first what stands in its way, by area projected on the directions it comes from: beam
    light from the sun's place, sky light from the half-space above, ground light from below. Far glazings stand in the
    way too, and part of it leaves there at once. For sky light the weight of a face of tilt b is A (1 - cos b) / 2 and
    of the floor A: what enters a closed body of glass, the sum of A (1 + cos b) / 2, is just that. What is reflected
    goes on as diffuse light until it is taken up or lost, solved exactly. What the sheets keep warms the inner or
    the outer face as each lies nearer to it. Scattering glazings turn part of their beam light into diffuse light; that
    is left out.
    """
    area = np.array([s.area for s in surfaces])
    glass = {name: Glass.of(row) for name, row in {r.name: r for r in rows if r is not None}.items()}
    panes = [None if row is None else glass[row.name] for row in rows]
    (beam, from_sky, from_ground), outside = _through(surfaces, panes, light_share, drivers)
    entered = beam + from_sky + from_ground
    inward = np.array([0.0 if pane is None else pane.inner_share for pane in panes])
    hours, count = outside.shape
    if not entered.any():
        none = {w.name: np.zeros(hours) for w in within}
        return Sunlight(np.zeros((hours, count)), outside, none, entered, np.zeros(hours), np.zeros(hours), inward)

    all_area = np.concatenate([area, [w.area for w in within]])
    planes = [s.plane for s in surfaces] + [w.plane for w in within]
    absorptance = np.array(
        [
            (s.solar_absorptance or 0.0) if pane is None else pane.diffuse_absorptance
            for s, pane in zip(surfaces, panes, strict=True)
        ]
        + [w.absorptance for w in within]
    )
    let = np.array([0.0 if p is None else p.diffuse_transmittance for p in panes] + [0.0] * len(within))
    day = np.flatnonzero(entered > 0.0)
    cosine = np.cos(np.radians([s.tilt for s in surfaces]))
    down, up = area * (1.0 - cosine) / 2.0, area * (1.0 + cosine) / 2.0
    sine = np.clip(np.cos(np.radians(drivers.zenith[day])), 0.02, 1.0)[:, None]
    behind = np.maximum(-drivers.cos_incidence[day], 0.0) * area
    first = _first_hit(behind, within, sine, np.sqrt(1.0 - sine**2)) * beam[day, None]
    one = np.ones((1, 1))
    first += _first_hit(down[None, :], within, one, 0.5 * np.pi * one) * from_sky[day, None]
    first += np.append(up / up.sum(), np.zeros(len(within))) * from_ground[day, None]
    _meet_plants(first, within, count, crossing)
    ends = cavity(all_area, absorptance=absorptance, transmittance=let, planes=planes, first_hit=first)
    absorbed, lost = np.zeros((hours, len(all_area))), np.zeros(hours)
    absorbed[day], lost[day] = ends.absorbed, ends.lost.sum(axis=1)
    return Sunlight(
        inside=absorbed[:, :count],
        outside=outside,
        within={w.name: absorbed[:, count + i] for i, w in enumerate(within)},
        entered=entered,
        lost=lost,
        on_floor=_met(absorbed[:, count:], within),
        inward=inward,
    )


def _meet_plants(first: Floats, within: Sequence[Inside], count: int, crossing: float) -> None:
    """Give a share of the light on its way to the shell to the level surfaces by area, in place."""
    level = np.array([w.area if w.projected[1] == 0.0 else 0.0 for w in within])
    if crossing > 0.0 and level.any():
        met = crossing * first[:, :count].sum(axis=1, keepdims=True)
        first[:, :count] *= 1.0 - crossing
        first[:, count:] += met * (level / level.sum())


def _through(
    surfaces: Sequence[Surface], panes: Sequence[Glass | None], light_share: Sequence[float | Floats], drivers: Drivers
) -> tuple[tuple[Floats, Floats, Floats], Floats]:
    """Beam, sky and ground light that enters the house (hours,), and what each surface keeps outside of it [W]."""
    hours, count = drivers.beam.shape
    beam, sky, ground = np.zeros(hours), np.zeros(hours), np.zeros(hours)
    outside = np.zeros((hours, count))
    diffuse = drivers.sky_diffuse + drivers.ground_diffuse
    lit = (drivers.beam > 0.0) & (drivers.cos_incidence > 0.0)
    for j, (surface, pane) in enumerate(zip(surfaces, panes, strict=True)):
        if surface.behind != "outdoors":
            continue
        if pane is None:
            kept = surface.solar_absorptance or 0.0
            outside[:, j] = kept * surface.area * (drivers.beam[:, j] + diffuse[:, j])
            continue
        through, absorbed = pane.beam(drivers.cos_incidence[:, j], lit[:, j])
        scale = surface.area * light_share[j]
        beam += scale * through * drivers.beam[:, j]
        sky += scale * pane.diffuse_transmittance * drivers.sky_diffuse[:, j]
        ground += scale * pane.diffuse_transmittance * drivers.ground_diffuse[:, j]
        outside[:, j] = surface.area * (absorbed * drivers.beam[:, j] + pane.diffuse_absorptance * diffuse[:, j])
    return (beam, sky, ground), outside


def _met(absorbed: Floats, within: Sequence[Inside]) -> Floats:
    """Mean light on the level surfaces, from what they absorb [W/m2]."""
    level = [i for i, w in enumerate(within) if w.projected[1] == 0.0 and w.absorptance > 0.0]
    met = sum((absorbed[:, i] / within[i].absorptance for i in level), np.zeros(len(absorbed)))
    return np.asarray(met / max(sum(within[i].area for i in level), 1e-9))


def _first_hit(shell: Floats, within: Sequence[Inside], level: Floats, upright: Floats) -> Floats:
    """Share of light that first meets each surface (cases, surfaces + within).

    Parameters
    ----------
    shell : (cases, surfaces) [m2]
        Area of the house's own surfaces projected on the light's directions.
    within : sequence of Inside
    level, upright : (cases, 1) [1]
        What a level area, and the outline of an upright body, count for: sine and cosine of the sun's height; 1 and
        pi / 2 for the whole sky, of which a level face sees all and an upright one half.

    Notes
    -----
    Upright bodies shade the rest in proportion to their own projected area.
    """
    flat = np.array([w.projected[0] if w.projected[1] == 0.0 else 0.0 for w in within])
    bodies = np.array([w.projected if w.projected[1] > 0.0 else (0.0, 0.0) for w in within])
    open_area = np.hstack([shell, level * flat])
    body_area = level * bodies[:, 0] + upright * bodies[:, 1]
    total = open_area.sum(axis=1, keepdims=True)
    met = body_area.sum(axis=1, keepdims=True)
    taken = np.minimum(met / total, 1.0)
    share: Floats = open_area * (1.0 - taken) / total
    share[:, shell.shape[1] :] += body_area * np.divide(taken, met, out=np.zeros_like(met), where=met > 0.0)
    return share
