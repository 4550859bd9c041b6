"""The house as one sum: W/K by path with the films of the ratings, for reading and for the hand figure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from heatloss import catalogue
from heatloss.balance.assemble import Assembly, leak_conductance
from heatloss.balance.drivers import Drivers, prepare
from heatloss.balance.floor import steady_conductance
from heatloss.balance.panels import SOIL_BEHIND
from heatloss.balance.schedule import targets
from heatloss.geometry import Geometry, build
from heatloss.geometry.table import u_value
from heatloss.physics.air_exchange import heat_per_ach

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.house import House
    from heatloss.weather import Weather

STANDARD_PRESSURE = 101325.0


def conductances(house: House, weather: Weather | None = None) -> pd.DataFrame:
    """Rated conductance of a house by path.

    Parameters
    ----------
    house : House
    weather : Weather, optional
        For wind, temperature difference and air pressure of the air exchange (means of the record); without it the
        class's own number and the altitude of ``place``, or sea level.

    Returns
    -------
    frame
        Index ``path`` (cover, bridging, opaque, infiltration, ground), column ``w_per_k`` [W/K].

    Notes
    -----
    Sum of A U with the films of each rating, curtains open; bars pass the outer face and share the inside film, so
    cover + bridging = A / (R_si + (1/L + R_se) / f) with L the panel's own conductance and f the bridging factor.
    Ground: the steady coefficient of ISO 13370, or F P. Parts against a heated house lose nothing worth a sum and are
    left out; parts at a steady temperature count with their A U.

    References
    ----------
    ISO 13789 (transmission coefficient, from memory); ISO 13370:2017 (from memory).
    """
    geometry = build(house)
    drivers = None if weather is None else prepare(house, geometry, weather)
    return rated(house, geometry, drivers)


def rated(house: House, geometry: Geometry, drivers: Drivers | None) -> pd.DataFrame:
    """As :func:`conductances`, for a geometry and drivers at hand."""
    import pandas as pd

    paths = dict.fromkeys(("cover", "bridging", "opaque", "infiltration", "ground"), 0.0)
    for part in hand_parts(house, geometry, drivers):
        paths[part.path] += part.area * part.u / part.bridging
        paths["bridging"] += part.area * part.u * (part.bridging - 1.0) / part.bridging
    paths["infiltration"] = _leak(house, geometry, drivers)
    paths["ground"] = steady_conductance(Assembly(), house, geometry)
    return pd.DataFrame({"w_per_k": paths}).rename_axis("path")


class HandPart(NamedTuple):
    """What is made alike, as a row of a sum by hand.

    Attributes
    ----------
    name, path : str
        What it is called, and its ledger path.
    area : float [m2]
    u : float [W/(m2 K)]
        With its bars and, against a cold space, that space's share of the temperature difference.
    bridging : float [1]
        Factor of the bars on what they cross.
    """

    name: str
    path: str
    area: float
    u: float
    bridging: float

    @property
    def w_per_k(self) -> float:
        """Conductance [W/K]."""
        return self.area * self.u


def hand_parts(house: House, geometry: Geometry, drivers: Drivers | None, *, bars: bool = True) -> list[HandPart]:
    """Alike surfaces together, those against a heated house left out; with ``bars`` their bridging in U."""
    shares = _shares_of_spaces(house, geometry, drivers)
    found: dict[tuple[str, str, float, float], float] = {}
    for surface in geometry.surfaces:
        if surface.behind == "house":
            continue
        u, f, name, path = u_value(surface, house.own), 1.0, surface.part, "opaque"
        if surface.behind == "ground":
            u = 1.0 / (1.0 / u + SOIL_BEHIND)
        if surface.glazing is not None:
            row, path = catalogue.row("glazing", surface.glazing, house.own), "cover"
            name = surface.glazing if surface.part == surface.side else name
            f = house.cover.bridging if bars and surface.behind == "outdoors" else 1.0
            u = 1.0 / (row["r_si"] + (1.0 / u - row["r_si"]) / f)
        else:
            u *= shares.get(str(surface.behind), 1.0)
        key = (name, path, u, f)
        found[key] = found.get(key, 0.0) + surface.area
    return [HandPart(name, path, area, u, f) for (name, path, u, f), area in found.items()]


def _shares_of_spaces(house: House, geometry: Geometry, drivers: Drivers | None) -> dict[str, float]:
    """Share of the whole temperature difference that stands over the parts against each unheated space.

    H_ue / (H_iu + H_ue), the reduction factor b of ISO 13789 (from memory).
    """
    pressure = STANDARD_PRESSURE if drivers is None else drivers.pressure
    found = {}
    for space in house.space:
        inner = sum(s.area * u_value(s, house.own) for s in geometry.surfaces if s.behind == space.name)
        outer = space.area * space.u + space.ach * float(heat_per_ach(space.volume, pressure, 0.0))
        found[space.name] = outer / (inner + outer)
    return found


def _leak(house: House, geometry: Geometry, drivers: Drivers | None) -> float:
    """Mean conductance of the air exchange [W/K]."""
    made = Assembly()
    if drivers is None:
        still = house.changed(method={**house.method.tree(), "air_exchange": "constant"})
        drivers = _calm(house)
        house = still
    made.targets = targets(house, drivers.index, drivers.daylight, drivers.ghi)
    return float(leak_conductance(made, house, geometry, drivers).mean())


def _calm(house: House) -> Drivers:
    """One winter hour without a file: 0 degC, a local wind of 2.5 m/s, the pressure of the altitude."""
    import pandas as pd

    from heatloss.physics.moist_air import standard_pressure

    one, zero = np.ones(1), np.zeros(1)
    return Drivers(
        index=pd.DatetimeIndex(["2001-01-01"]),
        temp_air=zero,
        temp_sky=zero,
        wind=2.5 * one,
        pressure=float(standard_pressure(house.place.altitude or 0.0)),
        ratio=zero,
        ghi=zero,
        zenith=180.0 * one,
        azimuth=zero,
        daylight=np.zeros(1, dtype=bool),
        beam=np.zeros((1, 0)),
        sky_diffuse=np.zeros((1, 0)),
        ground_diffuse=np.zeros((1, 0)),
        cos_incidence=np.zeros((1, 0)),
        sky_form="outdoor",
        albedo_known=False,
    )
