"""How big a heater: steady loads side by side, and what a smaller or larger one would do in this weather year."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.balance.assemble import AIR, Assembly
from heatloss.balance.network import Driven, Network
from heatloss.decisions.candidates import candidates as compared
from heatloss.decisions.candidates import delivered, label_for, losses, mild_night_load, one_or_two
from heatloss.decisions.design import FILE, HEADER, Design, extreme, found
from heatloss.decisions.design import NORMAL as NORMAL_TEMPERATURES
from heatloss.decisions.methods import (
    ASIDE,
    EN_12831,
    EP406,
    LEAVES_OUT,
    SPELL,
    en_load,
    hand_table,
    practice_load,
    spell_load,
)
from heatloss.errors import InputError
from heatloss.house.heating import appliances
from heatloss.physics.heater import pressure_height
from heatloss.season import COLD, WARM_UP_HOURS, Season, inside_held, simulate, steady_load

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.house.heating import Appliance
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
NORMAL, EXTREME = "steady 99.6 %", "steady 20-year minimum"
ANNUAL_99, COLDEST, HIGHEST = (
    "steady 99 %, not a size",
    "steady, coldest hour here, not a size",
    "highest hour with sun, not a size",
)
COMPARED = {
    ANNUAL_99: (("header_99", HEADER), ("file_99", "this file's 1 % quantile")),
    COLDEST: (("file_coldest", FILE),),
}
"""Where the outdoor temperatures of further steady loads are looked for, first come first taken."""
MISSING_MINIMUM = (
    'The 20-year minimum is missing, so the size is incomplete: type minimum_20_year = "... degF" under [place]; '
    "this weather file has none."
)
TYPICAL_YEAR = (
    "The curve is of one typical year, and a typical year is not a cold one: never size a heater on the curve alone."
)
OUTPUTS = 12


@dataclass(frozen=True, eq=False)
class HeaterSize:
    """Loads side by side, the recommended output and the shortfall curve.

    Attributes
    ----------
    loads : Series [W]
        By method. Those named ``not a size`` are for comparison. The 20-year load is left out where no such
        temperature is known.
    outdoor : Series [degC]
        The outdoor temperature of each load.
    origin : Series
        Where that temperature comes from, in words.
    inside : float [degC]
        The highest setpoint held while a heater is in use.
    margin : float [1]
        What is added to the 99.6 % load.
    recommended_w : float [W]
        Heat delivered into the house: the larger of the 99.6 % load with its margin and the 20-year load.
    governs : str
        The name of that load.
    fitted_w : float or None [W]
        Labels of all heaters in the house file, as output; None where one has none typed, or there is no heater.
    fitted_delivered_w : float or None [W]
        What they give on the night of that load, after ash, altitude and poor fuel.
    label : dict
        ``output_w`` and ``input_w`` that the first heater's label must say for the recommended heat, ``losses`` between
        them by reason, as factors. ``input_w`` is None for a heat pump, all without a heater.
    leaves_out : Series
        What each load does not count, by method.
    mild_w : float [W]
        The load that nine in ten heated night hours pass: a smallest fire should not be above it.
    one_or_two : frame
        One heater of the size and two of 65 %: what the other gives when one fails, and down to which cold.
    hand : frame
        The governing steady load as a sum of a few rows: area, U, W/K, K, W.
    candidates : frame
        A person's own list of heaters beside the size; empty without one.
    complete : bool
        Whether the extreme minimum is known: of 20 years where fish or a crop would die, of 10 otherwise.
    curve : frame
        For each output: ``output_w`` [W], ``unmet_hours`` below the setpoint, ``degree_hours`` below it [K h],
        ``lowest`` inside [degC], all while a heater is in use.
    notes : tuple of str
        What is missing and what is left out.
    season : Season
        The house with all the heat it wants.
    """

    loads: pd.Series[float]
    outdoor: pd.Series[float]
    origin: pd.Series[str]
    inside: float
    margin: float
    recommended_w: float
    governs: str
    fitted_w: float | None
    fitted_delivered_w: float | None
    label: dict[str, Any]
    leaves_out: pd.Series[str]
    mild_w: float
    one_or_two: pd.DataFrame
    hand: pd.DataFrame
    candidates: pd.DataFrame
    complete: bool
    curve: pd.DataFrame
    notes: tuple[str, ...]
    season: Season


def size_heater(
    house: House, weather: Weather, *, margin: float = 0.20, candidates: Sequence[Mapping[str, Any]] = ()
) -> HeaterSize:
    """Size a heater on its coldest night and show what other outputs would do.

    Parameters
    ----------
    house : House
        Its own heater outputs are set aside; their dates and the setpoints within them count.
    weather : Weather
    margin : float [1]
        Added to the load at the 99.6 % temperature.
    candidates : sequence of mappings
        A person's own list of heaters to pick from: ``[[heater]]`` tables as in a house file, each with an output or an
        input.

    Returns
    -------
    HeaterSize

    Raises
    ------
    InputError
        For a house without a setpoint, a margin below 0, or a candidate that is no heater.

    Notes
    -----
    Steady load: rated W/K times the highest setpoint less the outdoor temperature; no sun, no stored heat, curtains
    open. Recommended is the larger of (a) the load at the temperature exceeded in 99.6 % of the hours, times
    1 + margin, and (b) the load at the lowest temperature met once in 20 years, without margin, where fish or a crop
    would die, and once in 10 years otherwise. Beside it stand the sums of EN 12831-1 and EP406 and the hourly balance
    on a built spell of three dark, windy days, which are no sizes. The curve caps one heater in the hourly balance of
    the given weather. Recommended is heat delivered; ``label`` says what a label must promise for it.

    References
    ----------
    The steady form of ANSI/ASAE EP406 and ASHRAE's 99.6 % design temperature (both from memory); the margin of 1.10 to
    1.25 is common practice, no source.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> size = size_heater(sample_house(), read_weather("chicago"))
    >>> size.governs, bool(size.recommended_w > 1.2 * size.loads["steady 99.6 %"])
    ('steady 20-year minimum', True)
    """
    if not 0.0 <= margin < np.inf:
        raise InputError(f"margin must be 0 or more [1], got {margin:g}. Write 20 per cent as 0.20.")
    if not house.setpoint:
        raise InputError('setpoint must be given to size a heater, got none. Add [[setpoint]] with day = "55 degF".')
    season = simulate(_unlimited(house), weather)
    worst = extreme(season)
    loads, outdoor, origin = _loads(season, margin, worst)
    sizes = [name for name in (_with_margin(margin), worst.method if worst else "") if name in loads.index]
    governs = max(sizes, key=lambda name: float(loads[name]))
    recommended, night = float(loads[governs]), float(outdoor[governs])
    height, units = pressure_height(season.drivers.pressure), appliances(house)
    ua = float(loads[NORMAL]) / (inside_held(season) - float(outdoor[NORMAL]))
    return HeaterSize(
        loads=loads,
        outdoor=outdoor,
        origin=origin,
        inside=inside_held(season),
        margin=margin,
        recommended_w=recommended,
        governs=governs,
        fitted_w=_all([unit.output() for unit in units]),
        fitted_delivered_w=_all([delivered(unit, height, night) for unit in units]),
        label=_label(units[0], recommended, height) if units else {},
        leaves_out=_leaves_out(loads),
        mild_w=mild_night_load(season),
        one_or_two=one_or_two(units[0] if units else None, recommended, ua, inside_held(season)),
        hand=hand_table(season, night),
        candidates=compared(season, candidates, recommended, night) if candidates else pd.DataFrame(),
        complete=worst is not None,
        curve=_curve(season, _outputs(season.peak_w, recommended)),
        notes=tuple(_notes(house, worst is not None)),
        season=season,
    )


def _unlimited(house: House) -> House:
    """The house with heaters that give whatever is needed, a heat pump's cold nights too."""
    typed = []
    for use, unit in zip(house.tree().get("heater", []), appliances(house), strict=True):
        rest = {key: value for key, value in use.items() if key not in ("output", "input", "cut_off")}
        if unit.row is not None and unit.row.table:
            rest = {k: v for k, v in rest.items() if k not in ("type", "price")}
            rest |= {"fuel": "electricity", "efficiency": 1.0, "basis": "hhv"}
        typed.append(rest)
    return house.changed(heater=typed)


def _all(watts: list[float]) -> float | None:
    """The sum of several outputs; None where one is not known, or there are none."""
    return sum(watts) if watts and all(np.isfinite(w) for w in watts) else None


def _label(unit: Appliance, recommended: float, height: float) -> dict[str, Any]:
    output, burned = label_for(unit, recommended, height)
    return {"heater": unit.name, "output_w": output, "input_w": burned, "losses": losses(unit, height)}


def _with_margin(margin: float) -> str:
    return f"{NORMAL} x {1.0 + margin:.2f}"


def _loads(
    season: Season, margin: float, worst: Design | None
) -> tuple[pd.Series[float], pd.Series[float], pd.Series[str]]:
    """Load, outdoor temperature and its origin, by method."""
    normal = found(season, NORMAL_TEMPERATURES, NORMAL)
    assert normal is not None
    load = steady_load(season, normal.temperature)
    rows: dict[str, tuple[float, float, str]] = {
        NORMAL: (load, normal.temperature, normal.origin),
        _with_margin(margin): (load * (1.0 + margin), normal.temperature, normal.origin),
    }
    if worst is not None:
        rows[worst.method] = steady_load(season, worst.temperature), worst.temperature, worst.origin
    for method, candidates in COMPARED.items():
        design = found(season, candidates, method)
        if design is not None:
            rows[method] = steady_load(season, design.temperature), design.temperature, design.origin
    cold = worst or normal
    for method, way in ((EN_12831, en_load), (EP406, practice_load)):
        rows[method + ASIDE] = way(season, cold.temperature), cold.temperature, cold.origin
    rows[SPELL + ASIDE] = spell_load(season, cold), cold.temperature, cold.origin
    heat = season.hourly["heat"]
    rows[HIGHEST] = season.peak_w, float(season.hourly["outdoor"].iloc[int(heat.to_numpy().argmax())]), FILE
    frame = pd.DataFrame(rows, index=["w", "outdoor", "origin"]).T
    return frame["w"].astype(float), frame["outdoor"].astype(float), frame["origin"]


def _leaves_out(loads: pd.Series[float]) -> pd.Series[str]:
    """What each load does not count."""
    words = {name: next(text for start, text in LEAVES_OUT.items() if name.startswith(start)) for name in loads.index}
    return pd.Series(words, name="leaves_out")


def _outputs(peak: float, recommended: float) -> Floats:
    """Even steps up to the larger of the two, the recommended one among them."""
    outputs: Floats = np.linspace(0.0, max(peak, recommended), OUTPUTS + 1)[1:]
    outputs[np.abs(outputs - recommended).argmin()] = recommended
    return outputs


def _curve(season: Season, outputs: Floats) -> pd.DataFrame:
    """What each output leaves short; the compiled loop lets go of the interpreter, so years run side by side."""
    with ThreadPoolExecutor() as pool:
        rows = list(pool.map(lambda output: _shortfall(season, float(output)), outputs))
    return pd.DataFrame(rows, columns=["output_w", "unmet_hours", "degree_hours", "lowest"])


def _shortfall(season: Season, output: float) -> tuple[float, int, float, float]:
    """Output [W], hours and degree-hours [K h] below the setpoint, lowest inside [degC], while a heater is in use."""
    assert season.assembly.targets is not None
    network, hours = _capped(season.assembly, season.heating.astype(float), output), season.run.steps
    before = min(WARM_UP_HOURS, hours)
    warm = network.run(before, substeps=4, first=hours - before)
    names = list(warm.temperature.columns)
    run = network.started(dict(zip(names, warm.lane_temperature[-1], strict=True))).run(hours, substeps=4)
    inside = run.lane_temperature[1:, names.index(AIR)][season.heating]
    below = np.maximum(np.nan_to_num(season.assembly.targets.heat, nan=-100.0)[season.heating] - inside, 0.0)
    lowest = float(inside.min()) if len(inside) else float("nan")
    return output, int((below > COLD).sum()), float(below.sum()), lowest


def _capped(made: Assembly, in_use: Floats, output: float) -> Network:
    """The network with one heater of this output for the air; those that warm a tank stay as they are."""
    names = [name for given in made.heaters.values() for name in given[:1]] or ["heat"]
    one = names[0]
    return made.network.limited({name: Driven(in_use, output) if name == one else 0.0 for name in names})


def _notes(house: House, complete: bool) -> Iterator[str]:
    if not complete:
        yield MISSING_MINIMUM
    if house.curtain:
        yield "The steady loads count curtains as open: one may stick on the coldest night."
    for tank in house.water:
        if tank.setpoint is not None:
            yield f"In the curve the heater in {tank.name} is not limited, and gives the house what the tank loses."
    yield TYPICAL_YEAR
