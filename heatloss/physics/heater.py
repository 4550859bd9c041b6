"""Heaters: fuel at part load, starts, minimum fire, batches, altitude, and heat pumps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive
from heatloss.physics.films import KELVIN

MODULATING = (0.0080472574, 0.87564457, 0.29249943, -0.17624156)
"""Part-load cubic of the furnace in the equipment cases of ANSI/ASHRAE Standard 140, from memory. It gains efficiency
at low fire, as a stove does not: a test input, never a default."""


BTU_PER_HOUR = 1055.05585262 / 3600.0
"""One Btu of the International Table an hour [W], definition."""


def modulating_input(heat: Numeric, *, output: float, efficiency: float) -> Numeric:
    """Fuel power of the furnace in the standard's equipment cases; for those cases only.

    Parameters
    ----------
    heat : numeric
        Heat delivered [W].
    output : float
        Rated output [W].
    efficiency : float
        Efficiency at full load [1].

    Returns
    -------
    numeric
        Fuel power, zero where no heat is asked for [W].

    Raises
    ------
    InputError
        For heat above the output or below zero, or an efficiency that is not above 0 and at most 1.

    Notes
    -----
    (output / efficiency)(0.0080472574 + 0.87564457 x + 0.29249943 x^2 - 0.17624156 x^3), x the part load.

    References
    ----------
    .. [1] ANSI/ASHRAE Standard 140-2020, space-heating equipment cases, from memory.

    Examples
    --------
    >>> round(modulating_input(4000.0, output=10000.0, efficiency=0.8) * 90 * 86400 / 1e9, 2)
    38.28
    """
    x = _part_load(heat, output)
    _check_efficiency(efficiency)
    share = sum(c * x**i for i, c in enumerate(MODULATING))
    return like(np.where(x > 0.0, output / efficiency * share, 0.0), heat)


def furnace_with_fans(
    load: Numeric,
    *,
    output: float,
    efficiency: float,
    circulating: float = 0.0,
    draft: float = 0.0,
    cycling: bool = True,
) -> tuple[Numeric, Numeric]:
    """Fuel and fan power of the furnace in the standard's equipment cases, its fans counted.

    Parameters
    ----------
    load : numeric
        Heat that the room asks for [W].
    output : float
        Rated output of the burner [W].
    efficiency : float
        Efficiency at full load [1].
    circulating : float
        Power of the fan in the room's air, all of it heat for the room [W].
    draft : float
        Power of the fan in the flue, none of it heat for the room [W].
    cycling : bool
        Whether the circulating fan runs with the burner alone, or all the time.

    Returns
    -------
    tuple
        Fuel power and fan power [W].

    Raises
    ------
    InputError
        As :func:`modulating_input`, and for a fan below zero.

    Notes
    -----
    With x the part load, output x + circulating x = load where the fan cycles, output x + circulating = load where it
    does not; the draft fan runs with the burner. Fuel by :func:`modulating_input` of output x.

    References
    ----------
    .. [1] ANSI/ASHRAE Standard 140-2020, space-heating equipment cases with fans, from memory.

    Examples
    --------
    >>> fuel, fans = furnace_with_fans(4000.0, output=10000.0, efficiency=0.8, circulating=200.0)
    >>> round(float(fans), 1), fuel < modulating_input(4000.0, output=10000.0, efficiency=0.8)
    (78.4, True)
    """
    positive("circulating", circulating, "W", zero=True)
    positive("draft", draft, "W", zero=True)
    asked = np.asarray(load, dtype=float)
    x = asked / (output + circulating) if cycling else np.maximum(asked - circulating, 0.0) / output
    fuel = modulating_input(np.minimum(x, 1.0) * output, output=output, efficiency=efficiency)
    fans = (circulating * x if cycling else circulating) + draft * x
    return like(fuel, load), like(fans, load)


def on_off_input(
    heat: Numeric,
    *,
    output: float,
    efficiency: float,
    standby_power: float = 0.0,
    start_energy: float = 0.0,
    most_starts: float = 4.0,
) -> Numeric:
    """Fuel power of a heater that switches on and off.

    Parameters
    ----------
    heat : numeric
        Heat delivered, hourly means [W].
    output : float
        Output while on [W].
    efficiency : float
        Steady efficiency [1].
    standby_power : float
        Fuel power while off [W].
    start_energy : float
        Fuel spent by each start [J].
    most_starts : float
        Starts an hour at half load, where there are most [1/h].

    Returns
    -------
    numeric
        Mean fuel power [W].

    Raises
    ------
    InputError
        For heat above the output or below zero, an efficiency that is not above 0 and at most 1, or a loss below zero.

    Notes
    -----
    heat / efficiency + standby (1 - x) + start_energy n / 3600, x the part load and n from :func:`starts_per_hour`.
    Pellet boilers that cycle spend 0.3 to 1 kWh a start.

    References
    ----------
    .. [1] Common form of cycling losses, from memory.

    Examples
    --------
    >>> round(on_off_input(5000.0, output=10000.0, efficiency=0.8, standby_power=100.0, start_energy=3.6e5))
    6700
    """
    x = _part_load(heat, output)
    _check_efficiency(efficiency)
    positive("standby_power", standby_power, "W", zero=True)
    positive("start_energy", start_energy, "J", zero=True)
    starts = np.asarray(starts_per_hour(x, most=most_starts))
    burned = np.asarray(heat, dtype=float) / efficiency
    return like(burned + standby_power * (1.0 - x) + start_energy * starts / 3600.0, heat)


def starts_per_hour(part_load: Numeric, *, most: float = 4.0) -> Numeric:
    """Starts of a thermostat that switches a heater on and off.

    Parameters
    ----------
    part_load : numeric
        Heat over output, 0 to 1 [1].
    most : float
        Starts an hour at half load, 3 to 6 [1/h].

    Returns
    -------
    numeric
        Starts [1/h].

    Raises
    ------
    InputError
        For a part load outside 0 to 1.

    Notes
    -----
    4 most x (1 - x).

    References
    ----------
    .. [1] Parabola of thermostat cycling, handbooks of controls, from memory.

    Examples
    --------
    >>> starts_per_hour(0.25, most=4.0)
    3.0
    """
    between("part_load", part_load, 0.0, 1.0, "1")
    positive("most", most, "1/h", zero=True)
    x = np.asarray(part_load, dtype=float)
    return like(4.0 * most * x * (1.0 - x), part_load)


def cycling_efficiency(part_load: Numeric, *, efficiency: float, loss: float) -> Numeric:
    """Mean efficiency of a heater that cycles.

    Parameters
    ----------
    part_load : numeric
        Heat over output, 0 to 1 [1].
    efficiency : float
        Steady efficiency [1].
    loss : float
        Share lost to cycling: 0.02 to 0.08 for fan-assisted gas, 0.10 to 0.15 for pellet boilers [1].

    Returns
    -------
    numeric
        Efficiency [1].

    Raises
    ------
    InputError
        For a value outside its range.

    Notes
    -----
    efficiency x / (x + loss (1 - x)).

    References
    ----------
    .. [1] Common form of part-load curves, from memory.

    Examples
    --------
    >>> round(cycling_efficiency(0.5, efficiency=0.8, loss=0.1), 4)
    0.7273
    """
    between("part_load", part_load, 0.0, 1.0, "1")
    between("loss", loss, 0.0, 1.0, "1")
    _check_efficiency(efficiency)
    x = np.asarray(part_load, dtype=float)
    run = x + loss * (1.0 - x)
    return like(np.where(run > 0.0, efficiency * (x / np.where(run > 0.0, run, 1.0)), efficiency), part_load)


def burning_share(heat: Numeric, *, minimum_output: float) -> Numeric:
    """Share of the time that a heater with a minimum fire is lit.

    Parameters
    ----------
    heat : numeric
        Heat asked for, hourly means [W].
    minimum_output : float
        Output at the smallest fire it can hold [W].

    Returns
    -------
    numeric
        Share of the hour [1]: 1 from the minimum fire up, less below, where it goes out and starts again.

    Raises
    ------
    InputError
        For negative heat or a minimum that is not above zero.

    Notes
    -----
    min(1, heat / minimum).

    References
    ----------
    .. [1] Arithmetic; the number below calculated from it.

    Examples
    --------
    >>> burning_share(1500.0, minimum_output=3000.0)
    0.5
    """
    positive("heat", heat, "W", zero=True)
    positive("minimum_output", minimum_output, "W")
    return like(np.minimum(np.asarray(heat, dtype=float) / minimum_output, 1.0), heat)


def hours_per_load(mass: float, *, heating_value: float, efficiency: float, heat: Numeric) -> Numeric:
    """Time that one load of fuel lasts in a batch-fired heater.

    Parameters
    ----------
    mass : float
        Fuel in one load [kg].
    heating_value : float
        Heating value on the basis of the efficiency [J/kg].
    efficiency : float
        Delivered heat over energy in the fuel [1].
    heat : numeric
        Heat asked for [W].

    Returns
    -------
    numeric
        Time [h]; infinite where no heat is asked for.

    Raises
    ------
    InputError
        For a mass or heating value that is not above zero, or negative heat.

    Notes
    -----
    mass heating_value efficiency / heat, as if the fire followed the demand or a mass evened it out.

    References
    ----------
    .. [1] Arithmetic; the number below calculated from it.

    Examples
    --------
    >>> round(hours_per_load(20.0, heating_value=15e6, efficiency=0.7, heat=10000.0), 2)
    5.83
    """
    positive("mass", mass, "kg")
    positive("heating_value", heating_value, "J/kg")
    positive("heat", heat, "W", zero=True)
    with np.errstate(divide="ignore"):
        seconds = np.divide(mass * heating_value * efficiency, np.asarray(heat, dtype=float))
    return like(seconds / 3600.0, heat)


def altitude_derate(altitude: float, *, share_per_300_m: float = 0.04, free_to: float = 600.0) -> float:
    """Output of a gas burner at altitude over its rating.

    Parameters
    ----------
    altitude : float
        Height above the sea [m].
    share_per_300_m : float
        Loss for each 300 m [1].
    free_to : float
        Height up to which nothing is lost [m].

    Returns
    -------
    float
        Share of the rated output, at least 0 [1].

    Raises
    ------
    InputError
        For a height outside -500 to 9000 m.

    Notes
    -----
    1 - 0.04 (z - 600) / 300 above 600 m.

    References
    ----------
    .. [1] Practice of gas codes, 4 per cent by 1000 ft, from memory.

    Examples
    --------
    >>> round(altitude_derate(1650.0), 2)
    0.86
    """
    between("altitude", altitude, -500.0, 9000.0, "m")
    return max(0.0, 1.0 - share_per_300_m * max(0.0, altitude - free_to) / 300.0)


def room_for_air(fuel_power: float) -> float:
    """Room that a fire which draws its air from indoors is said to want, as a prompt to ask.

    Parameters
    ----------
    fuel_power : float
        Fuel burned at full fire [W].

    Returns
    -------
    float
        Volume [m3]; a smaller space counts as confined.

    Raises
    ------
    InputError
        For a negative power.

    Notes
    -----
    50 ft3 for each 1,000 Btu/h. Written for dwellings; a tight greenhouse may want air from outdoors all the same. No
    ruling: the local code, the maker's manual and the installer decide.

    References
    ----------
    .. [1] NFPA 54, the rule of 50 ft3 per 1,000 Btu/h, read in a heater's manual.

    Examples
    --------
    >>> round(room_for_air(72000 * 0.29307107) / 0.3048**3)
    3600
    """
    positive("fuel_power", fuel_power, "W", zero=True)
    return float(fuel_power / BTU_PER_HOUR / 1000.0 * 50.0 * 0.3048**3)


def pressure_height(pressure: float) -> float:
    """Height above the sea at which the standard atmosphere has a pressure.

    Parameters
    ----------
    pressure : float
        Air pressure [Pa].

    Returns
    -------
    float
        Height [m].

    Raises
    ------
    InputError
        For a pressure that is not above zero.

    Notes
    -----
    (1 - (p / 101325)^(1 / 5.2559)) / 2.25577e-5, the inverse of the standard atmosphere.

    References
    ----------
    .. [1] ASHRAE Handbook of Fundamentals, standard atmosphere, from memory.

    Examples
    --------
    >>> round(pressure_height(83011.0))
    1650
    """
    positive("pressure", pressure, "Pa")
    return float((1.0 - (pressure / 101325.0) ** (1.0 / 5.2559)) / 2.25577e-5)


def carnot_cop(temp_out: Numeric, *, temp_supply: float, share: float = 1.0) -> Numeric:
    """Heat of a heat pump over its electricity, as a share of what nature allows.

    Parameters
    ----------
    temp_out : numeric
        Outdoor temperature, below the supply [degC].
    temp_supply : float
        Temperature at which the heat is given off [degC].
    share : float
        Share of the Carnot figure reached, 0.38 to 0.45 for good machines without defrost [1].

    Returns
    -------
    numeric
        Coefficient of performance [1].

    Raises
    ------
    InputError
        For a supply that is not above outdoors, or a share outside 0 to 1.

    Notes
    -----
    share T_s / (T_s - T_o), T_s in K. With share 1 it is the bound no machine passes.

    References
    ----------
    .. [1] Carnot's law; the number below calculated from it.

    Examples
    --------
    >>> round(carnot_cop(-10.0, temp_supply=40.0, share=0.42), 2)
    2.63
    """
    between("share", share, 0.0, 1.0, "1")
    lift = temp_supply - np.asarray(temp_out, dtype=float)
    if not np.all(lift > 0.0):
        raise InputError(f"temp_supply must be above temp_out [degC], got {temp_supply:g}.")
    return like(share * (temp_supply + KELVIN) / lift, temp_out)


def from_table(temp_out: Numeric, *, temperatures: Sequence[float], values: Sequence[float]) -> Numeric:
    """Performance or capacity of a heat pump read from its table.

    Parameters
    ----------
    temp_out : numeric
        Outdoor temperature [degC].
    temperatures : sequence
        Outdoor temperatures of the table, rising [degC].
    values : sequence
        Coefficient of performance or capacity share at each [1].

    Returns
    -------
    numeric
        Value, straight lines between the points and level beyond the ends [1].

    Raises
    ------
    InputError
        For lists of unlike length, fewer than two points, or temperatures that do not rise.

    Notes
    -----
    Below the coldest point a machine may switch off; that is for the caller.

    References
    ----------
    .. [1] Linear interpolation; the number below calculated from it.

    Examples
    --------
    >>> from_table(-14.0, temperatures=[-20.0, -8.0, 8.0], values=[1.5, 2.5, 3.5])
    2.0
    """
    at, value = np.asarray(temperatures, dtype=float), np.asarray(values, dtype=float)
    if at.shape != value.shape or at.size < 2:
        raise InputError(f"values must be as many as temperatures, two at least [1], got {value.size} and {at.size}.")
    if not np.all(np.diff(at) > 0.0):
        raise InputError("temperatures must rise from row to row [degC], got rows out of order. Sort the table.")
    return like(np.interp(np.asarray(temp_out, dtype=float), at, value), temp_out)


def _part_load(heat: Numeric, output: float) -> Numeric:
    positive("output", output, "W")
    between("heat", heat, 0.0, output * (1.0 + 1e-12), "W")
    return np.minimum(np.asarray(heat, dtype=float) / output, 1.0)


def _check_efficiency(efficiency: float) -> None:
    if not 0.0 < efficiency <= 1.0:
        raise InputError(f"efficiency must be above 0 and at most 1 [1], got {efficiency:g}.")
