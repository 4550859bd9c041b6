"""The surfaces of a house as a frame, with the U of each in still conditions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from heatloss.geometry.surface import Surface

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.catalogue import Own
    from heatloss.house import House, Layer

R_OUTSIDE = 0.04  # m2 K/W, ISO 6946:2017 table 7, from memory


def surfaces(house: House) -> pd.DataFrame:
    """The surfaces of a house, one a row.

    Parameters
    ----------
    house : House
        The description.

    Returns
    -------
    frame
        Index ``name``; columns ``part``, ``role``, ``area`` [m2], ``tilt`` [deg], ``azimuth`` [deg] and
        ``u_value`` [W/(m2 K)]. The floor is not among them.

    Notes
    -----
    ``u_value`` is the rated one of a glazing or a door (its catalogue row, with the films of that rating), the typed
    ``u``, or 1 / (R_si + layers + R_se) for layers. It is for reading and for sums by hand; the hourly balance takes
    its films from wind, tilt and temperature.
    """
    import pandas as pd

    from heatloss.geometry import build

    rows = [(s.name, s.part, s.role, s.area, s.tilt, s.azimuth, u_value(s, house.own)) for s in build(house).surfaces]
    columns = ["name", "part", "role", "area", "tilt", "azimuth", "u_value"]
    return pd.DataFrame(rows, columns=columns).set_index("name")


def u_value(surface: Surface, own: Own | None = None) -> float:
    """U of one surface with the fixed films of its rating [W/(m2 K)].

    Parameters
    ----------
    surface : Surface
        Its glazing, layers or u.
    own : mapping, optional
        A person's own catalogue rows.

    Returns
    -------
    float
        [W/(m2 K)]

    Notes
    -----
    Layers in series between surface resistances: U = 1 / (R_si + sum R + R_se), ISO 6946 equation 4. Towards a
    heated house or a cold space both faces have R_si; against the ground there is no outside film. Studs count by the
    standard's combined method.

    References
    ----------
    ISO 6946:2017, Building components and building elements, 6.7.1 and table 7; from memory.
    """
    from heatloss.catalogue import row

    if surface.glazing is not None:
        return row("glazing", surface.glazing, own)["u_value"]
    if surface.u is not None:
        return surface.u
    inside, outside = r_inside(surface.tilt), r_outside(surface)
    return 1.0 / (inside + sum(layer_resistances(surface.layers or (), own, inside, outside)) + outside)


def r_outside(surface: Surface) -> float:
    """Surface resistance of the far face [m2 K/W]: still air in a house or a cold space, none against the ground."""
    if surface.behind == "ground":
        return 0.0
    indoors = isinstance(surface.behind, str) and surface.behind != "outdoors"
    return r_inside(surface.tilt) if indoors else R_OUTSIDE


def r_inside(tilt: float) -> float:
    """Inside surface resistance by the direction of the heat flow [m2 K/W].

    Notes
    -----
    0.10 upward, 0.13 level (within 30 deg of it), 0.17 downward; a tilt counts as on a :class:`Surface`.

    References
    ----------
    ISO 6946:2017, table 7; from memory.

    Examples
    --------
    >>> r_inside(90.0), r_inside(27.0)
    (0.13, 0.1)
    """
    if tilt < 60.0:
        return 0.10
    return 0.13 if tilt <= 120.0 else 0.17


def layer_resistances(layers: Sequence[Layer], own: Own | None, r_si: float, r_se: float) -> list[float]:
    """Resistance of each layer [m2 K/W], those with studs lessened so that the wall has its combined resistance.

    Parameters
    ----------
    layers : sequence of Layer
        From the inside out; studs of several layers stand in one line, and the largest share counts for all.
    own : mapping, optional
    r_si, r_se : float
        Surface resistances [m2 K/W].

    Returns
    -------
    list of float
        [m2 K/W]

    Notes
    -----
    Mean of the upper limit (sections side by side) and the lower limit (layers side by side).

    References
    ----------
    ISO 6946:2017, 6.7.2, combined method; from memory.
    """
    from heatloss.catalogue import row
    from heatloss.physics.layers import combined_resistance

    clear = [layer_resistance(layer, own) for layer in layers]
    if not any(layer.stud for layer in layers):
        return clear
    share = max(layer.stud_share or 0.0 for layer in layers)
    at_studs = [
        (layer.thickness or 0.0) / row("materials", layer.stud, own)["conductivity"] if layer.stud else r
        for layer, r in zip(layers, clear, strict=True)
    ]
    whole, _, _ = combined_resistance([clear, at_studs], shares=[1.0 - share, share], r_si=r_si, r_se=r_se)
    studded = sum(r for layer, r in zip(layers, clear, strict=True) if layer.stud)
    rest = whole - r_si - r_se - (sum(clear) - studded)
    return [r * rest / studded if layer.stud else r for layer, r in zip(layers, clear, strict=True)]


def layer_resistance(layer: Layer, own: Own | None = None) -> float:
    """Resistance of one layer: typed, of the catalogue row, or thickness over conductivity [m2 K/W]."""
    from heatloss.catalogue import row

    if layer.r is not None:
        return layer.r
    found = row("materials", str(layer.material), own)
    given = found.get("resistance")
    return given if given is not None else (layer.thickness or 0.0) / found["conductivity"]
