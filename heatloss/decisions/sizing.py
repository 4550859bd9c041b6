"""How big a heater: steady loads side by side, and what a smaller or larger one would do in this weather year."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.balance.assemble import AIR, Assembly
from heatloss.balance.network import Driven, Network
from heatloss.errors import InputError
from heatloss.season import COLD, WARM_UP_HOURS, Season, simulate, steady_load

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
NORMAL, EXTREME = "steady 99.6 %", "steady 20-year minimum"
ANNUAL_99, COLDEST, HIGHEST = (
    "steady 99 %, not a size",
    "steady, coldest hour here, not a size",
    "highest hour with sun, not a size",
)
CANDIDATES = {
    NORMAL: (
        ("place_design", "place.design_temperature"),
        ("header_996", "the weather file's header"),
        ("file_996", "this file's 0.4 % quantile"),
    ),
    EXTREME: (
        ("place_minimum_20_year", "place.minimum_20_year"),
        ("minimum_20_year", "the weather file's header"),
    ),
    ANNUAL_99: (("header_99", "the weather file's header"), ("file_99", "this file's 1 % quantile")),
    COLDEST: (("file_coldest", "this file"),),
}
"""Where the outdoor temperature of each steady load is looked for, first come first taken."""
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
        Output of all heaters in the house file; None where one has none typed, or there is no heater.
    complete : bool
        Whether the 20-year minimum is known.
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
    complete: bool
    curve: pd.DataFrame
    notes: tuple[str, ...]
    season: Season


def size_heater(house: House, weather: Weather, *, margin: float = 0.20) -> HeaterSize:
    """Size a heater on its coldest night and show what other outputs would do.

    Parameters
    ----------
    house : House
        Its own heater outputs are set aside; their dates and the setpoints within them count.
    weather : Weather
    margin : float [1]
        Added to the load at the 99.6 % temperature.

    Returns
    -------
    HeaterSize

    Raises
    ------
    InputError
        For a house without a setpoint, or a margin below 0.

    Notes
    -----
    Steady load: rated W/K times the highest setpoint less the outdoor temperature; no sun, no stored heat, curtains
    open. Recommended is the larger of the load at the temperature exceeded in 99.6 % of the hours, times 1 + margin,
    and the load at the lowest temperature met once in 20 years, without margin. The curve caps one heater in the hourly
    balance of the given weather. Left out: recovery after a setback, what one heater of two gives when the other fails,
    altitude and ash. Output is heat delivered: a rating by input must be larger.

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
    loads, outdoor, origin = _loads(season, margin)
    sizes = [name for name in (_with_margin(margin), EXTREME) if name in loads.index]
    governs = max(sizes, key=lambda name: float(loads[name]))
    recommended = float(loads[governs])
    return HeaterSize(
        loads=loads,
        outdoor=outdoor,
        origin=origin,
        inside=_inside(season),
        margin=margin,
        recommended_w=recommended,
        governs=governs,
        fitted_w=_fitted(house),
        complete=EXTREME in loads.index,
        curve=_curve(season, _outputs(season.peak_w, recommended)),
        notes=tuple(_notes(house, EXTREME in loads.index)),
        season=season,
    )


def _unlimited(house: House) -> House:
    """The house with heaters that give whatever is needed."""
    return house.changed(heater=[{k: v for k, v in h.items() if k != "output"} for h in house.tree().get("heater", [])])


def _fitted(house: House) -> float | None:
    outputs = [h.output for h in house.heater]
    return sum(w for w in outputs if w is not None) if outputs and None not in outputs else None


def _with_margin(margin: float) -> str:
    return f"{NORMAL} x {1.0 + margin:.2f}"


def _loads(season: Season, margin: float) -> tuple[pd.Series[float], pd.Series[float], pd.Series[str]]:
    """Load, outdoor temperature and its origin, by method."""
    known = season.design_temperatures
    found: dict[str, tuple[float, float, str]] = {}
    for method, candidates in CANDIDATES.items():
        for name, words in candidates:
            if name in known:
                found[method] = steady_load(season, known[name]), known[name], words
                break
    normal, outdoor, words = found[NORMAL]
    rows = {NORMAL: found.pop(NORMAL), _with_margin(margin): (normal * (1.0 + margin), outdoor, words), **found}
    heat = season.hourly["heat"]
    rows[HIGHEST] = season.peak_w, float(season.hourly["outdoor"].iloc[int(heat.to_numpy().argmax())]), "this file"
    frame = pd.DataFrame(rows, index=["w", "outdoor", "origin"]).T
    return frame["w"].astype(float), frame["outdoor"].astype(float), frame["origin"]


def _inside(season: Season) -> float:
    assert season.assembly.targets is not None
    held = season.assembly.targets.heat[season.heating]
    return float(np.nanmax(held)) if len(held) else float("nan")


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
