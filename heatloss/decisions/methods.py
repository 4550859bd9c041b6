"""Design loads by several published ways, each with what it leaves out, and the sum an installer can do by hand."""

from __future__ import annotations

import pandas as pd

from heatloss import catalogue
from heatloss.balance.conductance import hand_parts
from heatloss.decisions.design import Design
from heatloss.physics.air_exchange import heat_per_ach
from heatloss.physics.steady import en_12831_load, ep406_load
from heatloss.season import Season, inside_held, simulate
from heatloss.weather.spell import design_spell, spell_start

EN_12831, EP406, SPELL = "EN 12831-1", "EP406", "hourly, built spell"
ASIDE = ", not a size"
LEAVES_OUT = {
    "steady": "sun, stored heat, recovery after a setback",
    EN_12831: "sun, stored heat, recovery after a setback; its allowance for bridges is 0.1 W/(m2 K) all over",
    EP406: "sun, stored heat, recovery; the edge of the floor stands for the ground, 0.5 Wh/(m3 K) for moist air",
    SPELL: "colder hours than its own; recovery after a setback and stored heat are in it",
    "highest hour": "every colder winter than this file's",
}
"""What each way of reckoning does not count."""
SPELL_DAYS = 3
EDGE_BARE, EDGE_INSULATED = 1.38, 0.69
"""Loss of the floor's edge [W/(m K)]; greenhouse handbooks, from memory."""
LEAST_ACH = 0.5


def design_ach(season: Season) -> float:
    """Air changes that the steady loads count [1/h]: the mean of the record, at least the class's design value."""
    house, inside = season.house, inside_held(season)
    per_ach = float(heat_per_ach(season.geometry.volume, season.drivers.pressure, inside))
    mean = float(season.conductances["infiltration"]) / per_ach
    if house.air.class_ is None:
        return mean
    return max(mean, catalogue.row("infiltration", house.air.class_, house.own)["ach"])


def hand_table(season: Season, outdoor: float) -> pd.DataFrame:
    """The steady load as a sum of a few rows, to check with a calculator.

    Parameters
    ----------
    season : Season
    outdoor : float [degC]

    Returns
    -------
    frame
        Index ``part``; ``area`` [m2] and ``u`` [W/(m2 K)] where the row has them, ``w_per_k``, ``difference`` [K],
        ``w``. The air's row has ``volume`` [m3] and ``ach`` [1/h]. Sums to the steady load.

    Notes
    -----
    U of glazed parts has its bars in it; parts against a heated house are left out, those against a cold space count
    with their share of the temperature difference.
    """
    rows = [
        {"part": part.name, "area": part.area, "u": part.u, "w_per_k": part.w_per_k}
        for part in hand_parts(season.house, season.geometry, season.drivers)
    ]
    volume, inside, ach = season.geometry.volume, inside_held(season), design_ach(season)
    per_ach = float(heat_per_ach(volume, season.drivers.pressure, inside))
    rows.append({"part": "air", "volume": volume, "ach": ach, "w_per_k": ach * per_ach})
    ground = float(season.conductances["ground"])
    rows.append({"part": "floor", "area": season.geometry.floor_area, "u": ground / season.geometry.floor_area,
                 "w_per_k": ground})  # fmt: skip
    columns = ["part", "area", "u", "volume", "ach", "w_per_k"]
    table = pd.DataFrame(rows, columns=columns).set_index("part")
    return table.assign(difference=inside - outdoor, w=table["w_per_k"] * (inside - outdoor))


def en_load(season: Season, outdoor: float) -> float:
    """Load by the parts of EN 12831-1 [W]: transmission with 0.1 W/(m2 K) for bridges, air at least 0.5 1/h, ground."""
    parts = hand_parts(season.house, season.geometry, season.drivers, bars=False)
    return en_12831_load(
        [part.area for part in parts],
        u_values=[part.u for part in parts],
        temp_inside=inside_held(season),
        temp_outside=outdoor,
        temp_mean=float(season.drivers.temp_air.mean()),
        volume=season.geometry.volume,
        ach=max(design_ach(season), LEAST_ACH),
        floor_area=season.geometry.floor_area,
        floor_u=float(season.conductances["ground"]) / season.geometry.floor_area,
    )


def practice_load(season: Season, outdoor: float) -> float:
    """Load by the form of ANSI/ASAE EP406 [W]."""
    parts = hand_parts(season.house, season.geometry, season.drivers)
    return ep406_load(
        [part.area for part in parts],
        u_values=[part.u for part in parts],
        temp_inside=inside_held(season),
        temp_outside=outdoor,
        volume=season.geometry.volume,
        ach=design_ach(season),
        perimeter=season.geometry.perimeter,
        perimeter_factor=EDGE_INSULATED if season.house.floor.edge else EDGE_BARE,
    )


def spell_load(season: Season, design: Design) -> float:
    """Highest hour of the balance on a built spell [W]: three days, dark and windy, setbacks and their recovery."""
    run = simulate(season.house, design_spell(season.weather, design.temperature, days=SPELL_DAYS))
    first = spell_start(season.weather, days=SPELL_DAYS)
    return float(run.paths["heater"][first : first + 24 * SPELL_DAYS].max())
