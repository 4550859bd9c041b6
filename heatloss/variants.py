"""One house many times over, with what is known only roughly a little different each time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heatloss import catalogue
from heatloss.balance.assemble import assemble
from heatloss.batch import LANES, Clock, Totals, ready_case, rows_of, totals_of
from heatloss.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    from heatloss.balance.drivers import Drivers
    from heatloss.balance.network import Network
    from heatloss.balance.response import Response
    from heatloss.batch import Case
    from heatloss.house import House
    from heatloss.season import Season

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Input:
    """One thing about a house that can be varied.

    Attributes
    ----------
    words : str
        For reports.
    unit : str
    neutral : float or str
        Where the house stands as it is, or the default of the catalogue that says so.
    least : float
        No value may be less.
    levels : int
        At how many values the network's answer is learned, besides the house's own.
    house : callable (House, value) -> House
    """

    words: str
    unit: str
    neutral: float | str
    least: float
    levels: int
    house: Callable[[House, float], House]


def _with_rows(house: House, kind: str, rows: Mapping[str, catalogue.Row]) -> House:
    """The house with catalogue rows of its own."""
    changed = house.model_copy()
    own = dict(house.own or {})
    own[kind] = {**own.get(kind, {}), **rows}
    changed._own = own
    return changed


def _scaled(row: catalogue.Row, names: tuple[str, ...], by: float) -> catalogue.Row:
    fields = {n: replace(v, value=v.value * by) if n in names else v for n, v in row.fields.items()}
    return replace(row, fields=fields)


def _u(house: House, by: float) -> House:
    names = {house.cover.glazing, *(p.glazing for p in house.part), *(s.glazing for s in house.surface)} - {None}
    rows = {n: _scaled(catalogue.row("glazing", n, house.own), ("u_value",), by) for n in names if n is not None}
    return _with_rows(house, "glazing", rows)


def _leakage(house: House, by: float) -> House:
    if house.air.class_ is not None:
        row = catalogue.row("infiltration", house.air.class_, house.own)
        fields = ("ach", "ach_base", "ach_wind", "ach_stack")
        return _with_rows(house, "infiltration", {row.name: _scaled(row, fields, by)})
    name = next(n for n in ("ach", "n50", "leakage_area") if getattr(house.air, n) is not None)
    return house.model_copy(update={"air": house.air.model_copy(update={name: getattr(house.air, name) * by})})


def _default(name: str) -> Callable[[House, float], House]:
    """Another value of a default of the catalogue."""

    def change(house: House, value: float) -> House:
        row = catalogue.row("defaults", name, house.own)
        fields = {"value": replace(row.fields["value"], value=value)}
        return _with_rows(house, "defaults", {name: replace(row, fields=fields)})

    return change


def _light(house: House, by: float) -> House:
    return house.model_copy(update={"cover": house.cover.model_copy(update={"soiling": house.cover.soiling * by})})


def _setpoint(house: House, more: float) -> House:
    def moved(setpoint: Any) -> Any:
        names = ("day", "night", "vent", "cool")
        known = {n: getattr(setpoint, n) for n in names}
        return setpoint.model_copy(update={n: None if v is None else v + more for n, v in known.items()})

    return house.model_copy(update={"setpoint": tuple(moved(s) for s in house.setpoint)})


def _same(house: House, _: float) -> House:
    return house


INPUTS: dict[str, Input] = {
    "u": Input("U-value of the glazing", "1", 1.0, 0.05, 8, _u),
    "leakage": Input("air leaking in and out", "1", 1.0, 0.0, 2, _leakage),
    "inside_film": Input("air moving along the inside", "W/(m2 K)", "inside_film_minimum", 0.0, 2,
                         _default("inside_film_minimum")),
    "latent": Input("sun that goes into vapor", "1", "latent_share", 0.0, 2, _default("latent_share")),
    "light": Input("light through the glazing", "1", 1.0, 0.0, 2, _light),
    "setpoint": Input("error of the thermostat", "K", 0.0, -30.0, 2, _setpoint),
    "outdoor": Input("a winter warmer or colder", "K", 0.0, -30.0, 4, _same),
}  # fmt: skip
"""What :func:`vary` can change: factors on ``u``, ``leakage`` and ``light`` (transmittance times dirt); the least
inside film ``inside_film`` and the vapour's share ``latent`` themselves; ``setpoint`` moves all limits of the
thermostat, ``outdoor`` air and sky."""


def vary(
    season: Season,
    inputs: Mapping[str, ArrayLike],
    *,
    steps_per_hour: int = 4,
    iterations: int = 2,
    threads: int = 2,
    daily: bool = False,
    progress: Callable[[int], object] | None = None,
) -> Totals:
    """Run many variants of one house on its weather record.

    Parameters
    ----------
    season : Season
        The house as it is.
    inputs : {word: numeric}
        Of :data:`INPUTS`: one value for all variants, or one for each; what is left out stays as it is.
    steps_per_hour, iterations, threads, daily, progress
        As for ``simulate_many``.

    Returns
    -------
    Totals
        One row per variant, numbered from 0.

    Raises
    ------
    InputError
        For arrays of unlike length, values that cannot be, or an input that changes the house's very parts.

    Notes
    -----
    The house is assembled a few times with each input changed, and the network of a variant is made from what these
    teach: exact for one input that multiplies or shifts numbers, or takes one of the values learned at; within
    0.4 % of the heat of assembling the changed house for values between and several at once (snow that sheds an hour
    sooner, doors that draw by the root of a difference). The ground is told the inside temperatures of the house as it
    is.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house, simulate
    >>> season = simulate(sample_house(), read_weather("chicago"))
    >>> heat = vary(season, {"leakage": [0.5, 1.0, 2.0]}).frame["heat_kwh"]
    >>> bool(heat[0] < heat[1] < heat[2]), round(float(heat[1] / season.heat_kwh), 6)
    (True, 1.0)
    """
    values = arrays(season.house, inputs)
    family = Family(season, {name: levels_of(season.house, name, x) for name, x in values.items()})
    return family.run(
        values, steps_per_hour=steps_per_hour, iterations=iterations, threads=threads, daily=daily, progress=progress
    )


class Family:
    """A house that has been assembled with its inputs at some levels, ready to be varied again and again.

    Parameters
    ----------
    season : Season
        The house as it is.
    levels : {word: values}
        Of each input that is going to be varied: where its effect is learned.
    """

    def __init__(self, season: Season, levels: Mapping[str, Sequence[float]]) -> None:
        self.season = season
        self.response = _learned(season, levels)
        self.case = ready_case(0, season.house, season.geometry, season.drivers, season.assembly)

    def run(
        self,
        inputs: Mapping[str, Floats],
        *,
        steps_per_hour: int = 4,
        iterations: int = 2,
        threads: int = 2,
        daily: bool = False,
        progress: Callable[[int], object] | None = None,
    ) -> Totals:
        """Run variants, as :func:`vary`; ``inputs`` are arrays of one length."""
        clock = Clock.of(self.season.weather, steps_per_hour, iterations, threads, daily)
        count = len(next(iter(inputs.values())))

        def group(first: int) -> dict[int, dict[str, Any]]:
            numbers = np.minimum(np.arange(first, first + LANES), count - 1)  # the last group is filled up
            try:
                return self._some(inputs, numbers, clock)
            except InputError:  # one of them is at fault, the others are not
                return {k: row for n in np.unique(numbers) for k, row in self._alone(inputs, n, clock).items()}

        rows: dict[int, dict[str, Any]] = {}
        with ThreadPoolExecutor(threads) as pool:
            for found in pool.map(group, range(0, count, LANES)):
                rows.update(found)
                if progress is not None:
                    progress(len(rows))
        return totals_of(rows, list(range(count)), clock)

    def _some(
        self, inputs: Mapping[str, Floats], numbers: NDArray[np.int64], clock: Clock
    ) -> dict[int, dict[str, Any]]:
        picked = {name: x[numbers] for name, x in inputs.items()}
        cases = [_variant(self.case, int(n), {name: float(x[n]) for name, x in inputs.items()}) for n in numbers]
        return rows_of(cases, self.response.lanes(picked), clock)

    def _alone(self, inputs: Mapping[str, Floats], n: int, clock: Clock) -> dict[int, dict[str, Any]]:
        try:
            return self._some(inputs, np.array([n]), clock)
        except InputError as problem:
            return {int(n): {"error": str(problem)}}


def neutral(house: House, name: str) -> float:
    """Where an input stands in the house as it is."""
    own = INPUTS[name].neutral
    return own if isinstance(own, float) else catalogue.default(own, house.own)


def changed(house: House, inputs: Mapping[str, float]) -> House:
    """The house with inputs changed; ``outdoor`` is the weather's and changes nothing here."""
    for name, value in inputs.items():
        house = INPUTS[name].house(house, value)
    return house


def warmer(drivers: Drivers, by: float) -> Drivers:
    """The site with air and sky warmer by so many kelvin."""
    return drivers if by == 0.0 else replace(
        drivers, temp_air=drivers.temp_air + by, temp_sky=drivers.temp_sky + by
    )  # fmt: skip


def arrays(house: House, inputs: Mapping[str, ArrayLike]) -> dict[str, Floats]:
    """Every input checked, as arrays of one length."""
    found: dict[str, Floats] = {}
    for name, given in inputs.items():
        if name not in INPUTS:
            raise UnknownNameError("input", name, INPUTS)
        try:
            found[name] = np.atleast_1d(np.asarray(given, dtype=float))
        except (TypeError, ValueError):
            raise InputError(f"{name} must be a number or one for each variant, got {given!r}.") from None
        least, unit = INPUTS[name].least, INPUTS[name].unit
        if found[name].ndim != 1 or not np.all(np.isfinite(found[name])) or not np.all(found[name] >= least):
            worst = found[name].ravel()[int(np.argmin(np.nan_to_num(found[name].ravel(), nan=-np.inf)))]
            raise InputError(f"{name} must be finite and >= {least:g} [{unit}], got {worst:g}.")
    lengths = sorted({len(x) for x in found.values()} - {1})
    if len(lengths) > 1:
        raise InputError(f"inputs must be of one length, got {', '.join(f'{n:d}' for n in lengths)}.")
    if not found:
        found["u"] = np.array([neutral(house, "u")])
    count = lengths[0] if lengths else 1
    return {name: np.broadcast_to(x, count).copy() for name, x in found.items()}


def levels_of(house: House, name: str, x: Floats) -> list[float]:
    """Values at which to learn an input: all that are asked for where they are few, else some over their range."""
    own, count = neutral(house, name), INPUTS[name].levels
    asked = np.unique(x[x != own])
    if len(asked) > count:
        asked = np.linspace(min(asked.min(), own), max(asked.max(), own), count + 1)
    return [float(level) for level in asked if level != own]


def _learned(season: Season, levels: Mapping[str, Sequence[float]]) -> Response:
    """How the house's network answers to the inputs."""
    from heatloss.balance.response import Response

    house, months = season.house, season.assembly.inside_months
    networks: dict[str, dict[float, Network]] = {}
    for name, values in levels.items():
        networks[name] = {}
        for level in values:
            more = level if name == "setpoint" else 0.0
            networks[name][level] = assemble(
                changed(house, {name: level}),
                season.geometry,
                warmer(season.drivers, level if name == "outdoor" else 0.0),
                None if months is None else months + more,
            ).network
    own = {name: neutral(house, name) for name in levels}
    return Response.learn(season.assembly.network, networks, own, len(season.drivers.index))


def _variant(case: Case, number: int, inputs: Mapping[str, float]) -> Case:
    """What the results of a variant are measured against."""
    light = inputs.get("light", 1.0)
    return replace(
        case,
        number=number,
        held=case.held + inputs.get("setpoint", 0.0),
        entered=case.entered * light,
        light=case.light * light,
        inside_months=None,
    )
