"""From heat wanted to a heater with a label: what is lost between them, one or two of them, a person's own list."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from heatloss.balance.heating import pump_capacity
from heatloss.errors import InputError
from heatloss.house.heating import Appliance, appliance
from heatloss.physics.heater import pressure_height

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.season import Season

TWO_UNITS = 0.65
"""Share of the size that each of two heaters has; practice 60 to 75 %, common practice, no source."""
MILD = 0.10
"""Share of the heated night hours that ask for less than the mild-night load."""
TOO_LARGE = 1.5
"""A pellet heater this many times the size cycles; common practice, no source."""


def losses(unit: Appliance, height: float) -> dict[str, float]:
    """What output on the label loses on the way into the house, as factors by their reason.

    Parameters
    ----------
    unit : Appliance
    height : float
        Above the sea [m].

    Returns
    -------
    dict
        Factors of at most 1; those that are 1 are left out.

    Notes
    -----
    Ash between cleanings, thin air above 600 m for gas, and the poor end of the fuel's range of net heating value.
    """
    quality = unit.fuel.fields["lhv"]
    found = {
        "ash between cleanings": 1.0 - unit.fouling,
        f"thin air at {height:.0f} m": unit.altitude_share(height),
        "poor fuel": quality.low / quality.value if unit.fuel.text("unit") not in ("kWh", "therm", "gallon") else 1.0,
    }
    return {reason: factor for reason, factor in found.items() if factor < 1.0}


def delivered(unit: Appliance, height: float, outdoor: float) -> float:
    """Heat that it gives the house on the design night [W]; infinite where it has no output typed."""
    output = unit.output(height)
    if unit.row is not None and unit.row.table:
        return float(pump_capacity(unit, output, np.array([outdoor]))[0])
    return output * float(np.prod([f for reason, f in losses(unit, height).items() if "thin air" not in reason]))


def label_for(unit: Appliance, wanted: float, height: float) -> tuple[float, float | None]:
    """Output and input that a label must say for the heat wanted [W]; no input for a heat pump."""
    output = wanted / float(np.prod(list(losses(unit, height).values()) or [1.0]))
    return output, None if unit.efficiency is None else output / unit.efficiency


def mild_night_load(season: Season) -> float:
    """The load that nine in ten heated night hours pass [W]; 0 where no night asks for heat."""
    heat = season.paths["heater"]
    nights = heat[~season.drivers.daylight & (heat > 0.0)]
    return float(np.quantile(nights, MILD)) if len(nights) else 0.0


def one_or_two(unit: Appliance | None, recommended: float, ua: float, inside: float) -> pd.DataFrame:
    """One heater of the size beside two of 65 % each.

    Parameters
    ----------
    unit : Appliance or None
        For its smallest fire.
    recommended : float [W]
    ua : float [W/K]
        Design conductance.
    inside : float [degC]

    Returns
    -------
    frame
        Index ``heaters``; ``each_w``, ``together_w``, ``smallest_fire_w``, ``one_fails_w``, and ``holds_to``: outdoor
        temperature down to which the rest still holds the inside [degC].
    """
    share = unit.minimum_share if unit is not None else 0.0
    rows = []
    for name, each, count in (("one", recommended, 1), ("two", TWO_UNITS * recommended, 2)):
        left = each * (count - 1)
        rows.append((name, each, each * count, each * share, left, inside - left / ua))
    columns = ["heaters", "each_w", "together_w", "smallest_fire_w", "one_fails_w", "holds_to"]
    return pd.DataFrame(rows, columns=columns).set_index("heaters")


def read_heaters(path: str | Path) -> list[dict[str, Any]]:
    """A person's own list of heaters: a TOML file with ``[[heater]]`` tables as in a house file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    list of dict
        The tables as typed; :func:`candidates` checks them.

    Raises
    ------
    InputError
        For a file that cannot be read or holds no such table.
    """
    where = Path(path).name
    try:
        tree = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as fault:
        raise InputError(f"file of heaters must be readable, got {str(path)!r} ({fault.strerror}).") from None
    except ValueError as fault:
        raise InputError(f"file of heaters must be TOML text, got {where!r} ({fault}).") from None
    found, others = tree.get("heater"), [key for key in tree if key != "heater"]
    if others or not isinstance(found, list) or not found:
        got = ", ".join(others) or "none"
        raise InputError(f"file of heaters must hold [[heater]] tables and nothing else, got {got} ({where}).")
    return found


def checked(house: House, tables: Sequence[Mapping[str, Any]]) -> House:
    """The house with these heaters in place of its own, none of them bound to its dates or to a tank."""
    water = [{k: v for k, v in tank.tree().items() if k not in ("setpoint", "heater")} for tank in house.water]
    return house.changed(heater=[dict(table) for table in tables], water=water)


def candidates(season: Season, tables: Sequence[Mapping[str, Any]], recommended: float, outdoor: float) -> pd.DataFrame:
    """Heaters of a person's own list beside the size.

    Parameters
    ----------
    season : Season
    tables : sequence of mappings
        ``[[heater]]`` tables, each with an output or an input.
    recommended : float [W]
    outdoor : float [degC]
        Of the design night.

    Returns
    -------
    frame
        Index ``name``; ``delivered_w`` on the design night, ``share`` of the size [1], ``smallest_fire_w`` [W],
        ``verdict``.

    Raises
    ------
    InputError
        For a table that is no heater, or says neither output nor input.
    """
    house, mild = checked(season.house, tables), mild_night_load(season)
    height, rows = pressure_height(season.drivers.pressure), []
    for use in house.heater:
        if use.output is None and use.input is None:
            raise InputError(
                f'output or input must be given to compare, got neither (heater {use.name!r}). Type output = "20 kW".'
            )
        unit = appliance(use, house)
        gives = delivered(unit, height, outdoor)
        smallest = unit.minimum if unit.minimum is not None else unit.minimum_share * unit.output(height)
        verdict = _verdict(unit, gives, recommended, smallest, mild)
        rows.append((use.name, gives, gives / recommended, smallest, verdict))
    columns = ["name", "delivered_w", "share", "smallest_fire_w", "verdict"]
    return pd.DataFrame(rows, columns=columns).set_index("name")


def _verdict(unit: Appliance, gives: float, wanted: float, smallest: float, mild: float) -> str:
    if not gives > 0.0:
        return "stands still on the design night: a backup must give it all"
    if gives < wanted:
        return f"too small alone: a backup must give the other {100.0 * (1.0 - gives / wanted):.0f} %"
    if unit.fuel.text("unit") == "short_ton" and gives > TOO_LARGE * wanted:
        return "enough, but so large that it will start and stop most of the winter"
    if smallest > mild > 0.0:
        return "enough; its smallest fire is more than a mild night needs, so it will start and stop"
    return "enough"
