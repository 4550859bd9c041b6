"""A house without the grid: solar panels and a battery that carry heater, fans and pumps through the worst week."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from heatloss.balance.stores import hours_on, pipe_on
from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.season import Season

YIELD = 0.75
"""Current at the socket over that of the panels' rating in the same sun: heat, dirt, wires, battery and inverter;
common practice, no source."""
USABLE = 0.8
"""Share of a battery's content that may be used; common practice, no source."""
WEEK = 7


@dataclass(frozen=True)
class OffGrid:
    """Panels and battery.

    Attributes
    ----------
    tilt, azimuth : float [deg]
        Of the panels.
    week : str
        First day of the worst week, month first.
    load_wh : float [Wh]
        A day of that week.
    sun_wh : float [Wh/m2]
        On the panels, a day of that week.
    array_w : float [W]
        Rated power of panels that earn that week's load in that week.
    battery_wh : float [Wh]
        Content of a battery that carries the longest dark stretch of the year with those panels.
    """

    tilt: float
    azimuth: float
    week: str
    load_wh: float
    sun_wh: float
    array_w: float
    battery_wh: float


def electric_load(season: Season) -> np.ndarray:
    """Current drawn hour by hour [W]: heaters, lamps, fans, what [gains] says, air pumps that are typed."""
    house, drivers = season.house, season.drivers
    steady = house.gains.power + house.air.fan_power + sum(tank.aerator or 0.0 for tank in house.water)
    drawn: np.ndarray = np.full(season.run.steps, steady)
    for lamps in house.lamps:
        drawn = drawn + lamps.power * hours_on(lamps, drivers.index)
    for pipe in house.buried_pipe:
        drawn = drawn + pipe.fan * pipe_on(pipe, drivers)
    for fuel in season.fuels:
        wired = fuel.hourly["energy"].to_numpy() if fuel.unit == "kWh" else 0.0
        drawn = drawn + fuel.hourly["electric"].to_numpy() + wired
    return drawn


def off_grid(season: Season, *, tilt: float = 60.0, azimuth: float | None = None) -> OffGrid:
    """Size panels and a battery on the week in which sun is shortest for what is drawn.

    Parameters
    ----------
    season : Season
    tilt : float [deg]
        Of the panels; steep sheds snow and suits the winter.
    azimuth : float [deg], optional
        Where they face; towards the noon sun if left out.

    Returns
    -------
    OffGrid

    Raises
    ------
    InputError
        For an angle that cannot be, or a house that draws no current.

    Notes
    -----
    Sun on the panels by pvlib's isotropic sky at the record's own sun hours. The array earns the load of the week with
    the largest load over sun; the battery holds the largest sum of what is drawn and not earned. Snow on the panels,
    shade and a winter worse than the file's are left out.

    References
    ----------
    .. [1] pvlib, plane-of-array irradiance, isotropic sky (Liu and Jordan 1963, from memory).

    Examples
    --------
    >>> from heatloss import read_weather, sample_house, simulate
    >>> found = off_grid(simulate(sample_house(), read_weather("chicago")))
    >>> found.array_w > 1000.0 and found.battery_wh > found.load_wh
    True
    """
    if not 0.0 <= tilt <= 90.0:
        raise InputError(f"tilt must be from 0 to 90 [deg], got {tilt:g} (panels).")
    if azimuth is not None and not 0.0 <= azimuth <= 360.0:
        raise InputError(f"azimuth must be from 0 to 360 [deg], got {azimuth:g} (panels).")
    load = electric_load(season)
    if not load.any():
        raise InputError("something must draw current to size panels, got nothing. Type electric in [[heater]].")
    facing = azimuth if azimuth is not None else 180.0 if season.weather.site.latitude >= 0.0 else 0.0
    sun = _sun(season, tilt, facing)
    index = pd.DatetimeIndex(season.drivers.index)
    daily = pd.DataFrame({"load": load, "sun": sun}, index=index).groupby(index.normalize()).sum()
    weeks = daily.rolling(WEEK).sum().dropna()
    last = int((weeks["load"] / weeks["sun"].clip(lower=1e-9)).to_numpy().argmax())
    need, got = float(weeks["load"].iloc[last]), float(weeks["sun"].iloc[last])
    array = need / max(got, 1e-9) / YIELD * 1000.0
    return OffGrid(
        tilt=tilt,
        azimuth=facing,
        week=f"{weeks.index[last] - pd.Timedelta(days=WEEK - 1):%m-%d}",
        load_wh=need / WEEK,
        sun_wh=got / WEEK,
        array_w=array,
        battery_wh=_deepest(load - array / 1000.0 * YIELD * sun) / USABLE,
    )


def _sun(season: Season, tilt: float, azimuth: float) -> np.ndarray:
    """Sun on the panels, hour by hour [W/m2]."""
    from pvlib.irradiance import get_total_irradiance

    hours, drivers = season.weather.hours, season.drivers
    found = get_total_irradiance(
        tilt, azimuth, drivers.zenith, drivers.azimuth, hours["dni"].to_numpy(), hours["ghi"].to_numpy(),
        hours["dhi"].to_numpy(), model="isotropic",
    )  # fmt: skip
    sun: np.ndarray = np.nan_to_num(np.asarray(found["poa_global"], dtype=float))
    return sun


def _deepest(short: np.ndarray) -> float:
    """The largest sum drawn from a store that starts full and cannot overflow [Wh], two rounds of the year."""
    level, deepest = 0.0, 0.0
    for missing in np.concatenate([short, short]):
        level = max(0.0, level + float(missing))
        deepest = max(deepest, level)
    return deepest
