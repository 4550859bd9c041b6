"""A season: the hourly balance of one house on one weather record, then its fuel."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.balance.assemble import AIR, COOLER, Assembly, assemble
from heatloss.balance.assumptions import assumptions, defaults_used
from heatloss.balance.conductance import rated
from heatloss.balance.drivers import Drivers, Site, at_place, prepare
from heatloss.balance.network import Network, Run
from heatloss.balance.schedule import in_use
from heatloss.balance.stores import firing, stores_said, stove_energy, stove_unit
from heatloss.errors import InputError
from heatloss.fuel import Burn, Fuel, burn, burned_fuel
from heatloss.geometry import Geometry, build
from heatloss.house.heating import appliance
from heatloss.physics.air_exchange import heat_per_ach
from heatloss.physics.heater import pressure_height
from heatloss.physics.moist_air import saturation_pressure, vapour_pressure
from heatloss.physics.steady import degree_hours
from heatloss.physics.sun import daily_light_integral

if TYPE_CHECKING:
    from heatloss.house import HeaterUse, House
    from heatloss.house.stores import MassStove
    from heatloss.weather import Weather

Floats = NDArray[np.float64]
WARM_UP_HOURS = 504
"""The last three weeks of the record, run once before its start."""
MOVED = 0.5
"""By how much the inside's monthly means may differ from the guess before the ground is worked out again [K]."""
CLOSES = 1e-9
"""The worst residual of the ledger with which a season is returned, relative to the sum of gains."""
LONGEST_HOURS = 8784
"""A leap year: longer records hold more than one winter."""
ROUNDING = 1e-9
"""Shortfalls under this are the last bits of a setpoint that is held [K]."""
COLD = 0.01
"""Hours count as unmet when the air ends them this far below the setpoint [K]."""


@dataclass(frozen=True, eq=False)
class Season:
    """What one house does in one weather year.

    Attributes
    ----------
    house : House
    weather : Weather
    geometry : Geometry
    assembly : Assembly
        The network with the meaning of its links and sources.
    run : Run
        The engine's own result.
    drivers : Drivers
    """

    house: House
    weather: Weather
    geometry: Geometry
    drivers: Drivers
    assembly: Assembly
    run: Run

    @property
    def network(self) -> Network:
        """The Network that was run; running it again gives the season to the last bit."""
        return self.run.network

    @property
    def closure(self) -> float:
        """Worst residual of the ledger over steps and year, relative to the sum of gains."""
        return self.run.closure

    @cached_property
    def paths(self) -> dict[str, Floats]:
        """Step-mean W by ledger path, gains positive; each is the sum of its own booked flows."""
        hours = self.run.steps
        found: dict[str, Floats] = {}
        for path, links in self.assembly.losses.items():
            found[path] = found.get(path, np.zeros(hours)) - self.run.lane_flow[:, links].sum(axis=1)
        for path, sources in self.assembly.gains.items():
            found[path] = sum((self.run.source_power(i) for i in sources), found.get(path, np.zeros(hours)))
        vents = np.array([name in (*self.assembly.vents, COOLER) for name in self.run.power.columns], dtype=bool)
        if vents.any():
            found["vent"] = self.run.lane_power[:, vents].sum(axis=1)
        found["heater"] = self.run.lane_power[:, ~vents].sum(axis=1)
        latent = self.run.lane_latent
        if latent.shape[1]:
            drawn = np.where(latent < 0.0, latent, 0.0).sum(axis=1)
            found["evaporation"] = found.get("evaporation", np.zeros(hours)) + drawn
            found["condensation"] = np.where(latent > 0.0, latent, 0.0).sum(axis=1)
        found["storage"] = self.run.storage
        order = ["cover", "bridging", "opaque", "infiltration", "ground", "evaporation", "vent", "drying"]
        order += ["make-up water", "lamps", "people", "fans", "compost", "mass stove"]
        order += ["sun", "gains", "condensation", "heater", "storage"]
        return {path: found[path] for path in order if path in found}

    @cached_property
    def hourly(self) -> pd.DataFrame:
        """Frame on the weather's hours.

        ``outdoor``, ``inside``, ``floor``, ``tank <name>`` [degC, at the hour's end but for outdoor], ``setpoint``
        [degC], where moisture is balanced ``humidity`` [1, relative, at the hour's end], ``heat`` and
        ``heater <name>`` [W], ``unmet`` [K] and one column per path [W, gains positive].
        """
        after = self.run.temperature.iloc[1:].to_numpy()
        place = {name: i for i, name in enumerate(self.run.temperature.columns)}
        assert self.assembly.targets is not None
        columns: dict[str, Any] = {
            "outdoor": self.drivers.temp_air,
            "inside": after[:, place[AIR]],
            "setpoint": self.assembly.targets.heat,
            "floor": after[:, place["floor"]],
            **{tank: after[:, place[tank]] for tank in self.assembly.tanks},
            **({"humidity": self.humidity} if self.run.lane_humidity.shape[1] else {}),
            "heat": self.paths["heater"],
            **{f"heater {name}": self._given_by(name) for name in self.assembly.heaters},
            "unmet": self._below,
            **self.paths,
        }
        return pd.DataFrame(columns, index=self.drivers.index)

    @cached_property
    def humidity(self) -> Floats:
        """Relative humidity of the house's air at the end of every hour [1]."""
        air = self.run.temperature[AIR].to_numpy()[1:]
        vapour = vapour_pressure(self.run.humidity[AIR].to_numpy()[1:], self.drivers.pressure)
        return np.asarray(vapour / saturation_pressure(air))

    @cached_property
    def water(self) -> pd.Series[float]:
        """kg of vapour by word, gains of the air positive: evaporation, condensation, sources, outdoor air, storage.

        Sums to zero; empty where moisture is not balanced.
        """
        if not self.run.lane_humidity.shape[1]:
            return pd.Series(dtype=float, name="kg")
        hour = self.run.step
        return pd.Series({word: float(rate.sum()) * hour for word, rate in self.run.water_terms.items()}, name="kg")

    @cached_property
    def monthly(self) -> pd.DataFrame:
        """Frame by month in heating order (July to June in the north).

        ``heat_kwh``, ``peak_w`` (largest hourly mean), ``outdoor`` and ``inside`` means [degC], ``unmet_hours``, one
        kWh column per path, ``light`` [mol/(m2 d)], and for the first heater ``fuel`` (its trade unit) and ``cost``.
        """
        hourly = self.hourly
        month_of = self.drivers.index.month
        frames = []
        for month in self.months:
            rows = hourly[month_of == month]
            frames.append(
                {
                    "heat_kwh": rows["heat"].sum() / 1000.0,
                    "peak_w": rows["heat"].max() if len(rows) else 0.0,
                    "outdoor": rows["outdoor"].mean(),
                    "inside": rows["inside"].mean(),
                    "unmet_hours": int((rows["unmet"] > COLD).sum()),
                    **{path: rows[path].sum() / 1000.0 for path in self.paths},
                }
            )
        frame = pd.DataFrame(frames, index=pd.Index(self.months, name="month"))
        frame["light"] = self.light
        if self.fuels:
            frame["fuel"] = self.fuels[0].monthly["amount"].reindex(self.months).to_numpy()
            frame["cost"] = self.fuels[0].monthly["cost"].reindex(self.months).to_numpy()
        return frame

    @cached_property
    def light(self) -> pd.Series[float]:
        """Daily light integral on floor and beds by month in heating order [mol/(m2 d)]; plants' own shade left out."""
        sunlight = self.assembly.sunlight
        assert sunlight is not None
        by_month = self.drivers.by_month(sunlight.on_floor)
        return pd.Series({m: float(daily_light_integral(by_month[m - 1])) for m in self.months}, name="mol_m2_day")

    @property
    def months(self) -> list[int]:
        """Calendar months in heating order."""
        return heating_order(self.weather)

    @property
    def heat_kwh(self) -> float:
        """Heat that all heaters gave [kWh]."""
        return float(self.paths["heater"].sum()) / 1000.0

    @property
    def peak_w(self) -> float:
        """The largest hourly mean of the heat [W]."""
        return float(self.paths["heater"].max())

    @cached_property
    def ledger(self) -> pd.Series[float]:
        """kWh by path, gains positive, losses negative, storage among them; sums to zero."""
        return pd.Series({path: float(power.sum()) / 1000.0 for path, power in self.paths.items()}, name="kwh")

    @cached_property
    def unmet(self) -> pd.Series[float]:
        """``hours`` and ``degree_hours`` [K h] below the setpoint while a heater is in use, and ``lowest`` [degC]."""
        below = self._below[self.heating]
        lowest = self.run.temperature[AIR].to_numpy()[1:].min()
        return pd.Series(
            {"hours": float((below > COLD).sum()), "degree_hours": float(below.sum()), "lowest": float(lowest)}
        )

    @cached_property
    def heating(self) -> NDArray[np.bool_]:
        """Hours in which some heater may run; all of them where the house has none."""
        return heated_hours(self.house, self.drivers.index)

    @cached_property
    def out_of_dates(self) -> pd.Series[float]:
        """What falls outside the heaters' dates: ``hours`` and ``degree_hours`` below the setpoint, ``lowest``."""
        rest = ~self.heating
        below, air = self._below[rest], self.run.temperature[AIR].to_numpy()[1:][rest]
        return pd.Series(
            {
                "hours": float((below > COLD).sum()),
                "degree_hours": float(below.sum()),
                "lowest": float(air.min()) if len(air) else float("nan"),
            }
        )

    @cached_property
    def fuels(self) -> tuple[Fuel, ...]:
        """Fuel of each heater in the order of the house, then of each mass stove."""
        heaters = tuple(self._fuel_of(heater) for heater in self.house.heater)
        return heaters + tuple(self._fuel_of_stove(stove) for stove in self.house.mass_stove)

    @property
    def fuel(self) -> Fuel:
        """Fuel of the first heater."""
        if not self.fuels:
            raise InputError("heater must be given to know its fuel, got none. Add a [[heater]] table to the house.")
        return self.fuels[0]

    @cached_property
    def conductances(self) -> pd.Series[float]:
        """Rated W/K by path."""
        return rated(self.house, self.geometry, self.drivers)["w_per_k"]

    @cached_property
    def hand_kwh(self) -> float:
        """Rated UA times degree-hours below the setpoint while a heater is in use; no sun, no mass [kWh]."""
        assert self.assembly.targets is not None
        held = self.assembly.targets.heat
        known = self.heating & ~np.isnan(held)
        hours = sum(
            degree_hours(self.drivers.temp_air[known & (held == base)], base=float(base))
            for base in np.unique(held[known])
        )
        return float(self.conductances.sum() * hours) / 1000.0

    @cached_property
    def design(self) -> pd.Series[float]:
        """Steady load [W] at each design temperature known, no sun and no stored heat.

        Index as ``Weather.design_temperatures()``, and ``place_design``, ``place_minimum_20_year`` where typed. The
        rated W/K times the highest setpoint held less the design temperature; the air exchange is at least the
        class's own design value.
        """
        loads = {name: steady_load(self, t) for name, t in self.design_temperatures.items()}
        return pd.Series(loads, name="w", dtype=float)

    @cached_property
    def design_temperatures(self) -> dict[str, float]:
        """Outdoor design temperatures [degC] by the names of ``design``, those typed in the house file first."""
        place = self.house.place
        typed = {"place_design": place.design_temperature, "place_minimum_20_year": place.minimum_20_year}
        found = {str(name): float(t) for name, t in self.weather.design_temperatures().items()}
        return {name: t for name, t in typed.items() if t is not None} | found

    @cached_property
    def assumptions(self) -> tuple[str, ...]:
        """What was assumed, sentence by sentence."""
        said = [*assumptions(self.house, self.geometry, self.drivers, self.assembly), *self.weather.notes]
        said += stores_said(self.house, float(self.design.max()) if len(self.design) else None)
        if self.run.steps > LONGEST_HOURS:
            said.append(f"The record holds {self.run.steps:,d} hours, more than a year: sums are over all of it.")
        return tuple(said)

    @cached_property
    def sources(self) -> pd.DataFrame:
        """Every catalogue row used: kind, name, field, value, unit, source, mark, low, high."""
        rows = dict(self.assembly.rows)
        own = self.house.own
        for name in defaults_used(self.house, self.drivers):
            rows["defaults", name] = catalogue.row("defaults", name, own)
        for part in (*self.house.part, *self.house.surface):
            if part.door is not None:
                rows["doors", part.door] = catalogue.row("doors", part.door, own)
        for use in self.house.heater:
            unit = appliance(use, self.house)
            rows |= {(r.kind, r.name): r for r in (unit.row, unit.fuel) if r is not None}
        found = [
            (kind, name, field, v.value, v.unit, v.source, v.mark, v.low, v.high)
            for (kind, name), row in rows.items()
            for field, v in row.fields.items()
        ]
        return pd.DataFrame(found, columns=["kind", "name", "field", "value", "unit", "source", "mark", "low", "high"])

    @property
    def _below(self) -> Floats:
        assert self.assembly.targets is not None
        held = np.nan_to_num(self.assembly.targets.heat, nan=-100.0)
        below: Floats = held - self.run.temperature[AIR].to_numpy()[1:]
        return np.where(below > ROUNDING, below, 0.0)

    def _given_by(self, heater: str) -> Floats:
        given: Floats = self.run.power[self.assembly.heaters[heater]].to_numpy().sum(axis=1)
        return given

    def _fuel_of(self, use: HeaterUse) -> Fuel:
        unit = appliance(use, self.house)
        burned = burn(
            unit,
            self._given_by(use.name),
            temp_air=self.drivers.temp_air,
            on=in_use(use, self.drivers.index),
            height=pressure_height(self.drivers.pressure),
        )
        return burned_fuel(unit, burned, self.drivers.index, price=use.price, months=self.months)

    def _fuel_of_stove(self, stove: MassStove) -> Fuel:
        unit = stove_unit(stove, self.house)
        energy = stove_energy(stove, self.house, self.drivers)
        heat, none = (unit.efficiency or 1.0) * energy, np.zeros_like(energy)
        fires = firing(stove, self.drivers)
        lit = np.minimum(fires * stove.burns, 1.0)
        burned = Burn(heat, energy, energy - heat, none, none, none, none, none, lit, fires, float(heat.max()))
        return burned_fuel(unit, burned, self.drivers.index, price=stove.price, months=self.months)


def inside_held(season: Season) -> float:
    """The highest setpoint held while a heater is in use [degC]; NaN without one."""
    assert season.assembly.targets is not None
    held = season.assembly.targets.heat[season.heating]
    return float(np.nanmax(held)) if len(held) and not np.isnan(held).all() else float("nan")


def steady_load(season: Season, outdoor: float) -> float:
    """Rated W/K of the season's house times the highest setpoint held less an outdoor temperature [W], at least 0.

    Parameters
    ----------
    season : Season
    outdoor : float [degC]

    Returns
    -------
    float [W]

    Notes
    -----
    The form of ANSI/ASAE EP406 (from memory): no sun, no stored heat. An infiltration class counts at least with its
    design air changes.
    """
    inside = inside_held(season)
    if np.isnan(inside):
        return 0.0
    total = season.conductances.sum()
    if season.house.air.class_ is not None:
        row = catalogue.row("infiltration", season.house.air.class_, season.house.own)
        design = row["ach"] * float(heat_per_ach(season.geometry.volume, season.drivers.pressure, inside))
        total += max(0.0, design - season.conductances["infiltration"])
    return max(0.0, float(total) * (inside - outdoor))


def heating_order(weather: Weather) -> list[int]:
    """Calendar months in heating order: July to June in the north."""
    return [*range(7, 13), *range(1, 7)] if weather.site.latitude >= 0.0 else list(range(1, 13))


def heated_hours(house: House, index: pd.DatetimeIndex) -> NDArray[np.bool_]:
    """Hours in which some heater may run; all of them where the house has none."""
    uses = [in_use(h, index) for h in house.heater]
    return np.logical_or.reduce(uses) if uses else np.ones(len(index), dtype=bool)


def simulate(house: House, weather: Weather | Site, *, steps_per_hour: int = 4, iterations: int = 2) -> Season:
    """Run the hourly balance of a house on a weather record.

    Parameters
    ----------
    house : House
        From ``read_house`` or ``House(**data)``.
    weather : Weather or Site
        From ``read_weather`` or ``Weather.from_frame``; a ``Site`` of it keeps sun and sky for the next house.
    steps_per_hour : int
        Implicit sub-steps of an hour; the heat of a season moves by about 0.1 % from 4 to many.
    iterations : int
        How often the films are evaluated in each sub-step.

    Returns
    -------
    Season

    Raises
    ------
    InputError
        For a house that cannot be built, or where the ledger does not close to 1e-9 of the gains.

    Notes
    -----
    The last three weeks of the record are run once before its start. Where the monthly means inside come out more than
    0.5 K from the guess that the ground was given, the year is run again with the simulated ones.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> season = simulate(sample_house(), read_weather("chicago"))
    >>> 2.0 < season.fuel.amount < 20.0
    True
    """
    record = weather.weather if isinstance(weather, Site) else weather
    if not hasattr(record, "hours"):
        raise InputError(f"weather must be a Weather, got {record!r}. Read it first: read_weather({record!r}).")
    if not (isinstance(steps_per_hour, int) and steps_per_hour > 0):
        raise InputError(f"steps_per_hour must be a whole number > 0, got {steps_per_hour!r}.")
    geometry = build(house)
    drivers = prepare(house, geometry, weather)
    made = assemble(house, geometry, drivers)
    run = _warm_run(made, len(drivers.index), steps_per_hour, iterations)
    if house.method.ground == "iso_13370" and _moved(run, drivers, made):
        means = drivers.by_month(run.temperature[AIR].to_numpy()[1:])
        made = assemble(house, geometry, drivers, inside_months=means)
        run = _warm_run(made, len(drivers.index), steps_per_hour, iterations)
    if not run.closure <= CLOSES:
        raise InputError(
            f"the ledger must close within {CLOSES:g} of the gains, got {run.closure:.2g}. Report this house."
        )
    return Season(house, at_place(record, house.place), geometry, drivers, made, run)


def _warm_run(made: Assembly, hours: int, substeps: int, iterations: int) -> Run:
    before = min(WARM_UP_HOURS, hours)
    warm = made.network.run(before, substeps=substeps, iterations=iterations, first=hours - before)
    ready = made.network.continued(warm)
    return ready.run(hours, substeps=substeps, iterations=iterations)


def _moved(run: Run, drivers: Drivers, made: Assembly) -> bool:
    """Whether the inside's monthly means left the guess of the ground by more than 0.5 K."""
    assert made.inside_months is not None
    means = drivers.by_month(run.temperature[AIR].to_numpy()[1:])
    return bool(np.abs(means - made.inside_months).max() > MOVED)
