"""Monthly normals of a place: where no weather file is at hand, the start of a synthetic year."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import InputError, UnknownNameError, WeatherError
from heatloss.physics.climate import DAYS_OF_MONTH, range_of_clearness, sun_above_air
from heatloss.units import convert, parse
from heatloss.weather.weather import Weather

Floats = NDArray[np.float64]

CLEARNESS = 0.45
"""Of every month where none is given [1]: cloudy inland winters of the shipped samples; common practice, no source."""
WIND = 3.5
"""Of every month where none is given [m/s]; common practice, no source."""

_MONTHS = {
    "mean": ("degC", -70.0, 45.0),
    "high": ("degC", -70.0, 55.0),
    "low": ("degC", -75.0, 45.0),
    "range": ("K", 1.0, 30.0),
    "sun": ("kWh/m2", 0.0, 13.0),
    "clearness": ("1", 0.1, 0.8),
    "humidity": ("%", 5.0, 100.0),
    "wind": ("m/s", 0.0, 25.0),
}
"""Key of twelve values: unit, least, greatest."""
_SINGLE = {
    "latitude": ("deg", -90.0, 90.0),
    "longitude": ("deg", -180.0, 180.0),
    "altitude": ("m", -450.0, 6000.0),
    "utc_offset": ("h", -12.0, 14.0),
    "january": ("degC", -70.0, 45.0),
    "july": ("degC", -70.0, 45.0),
    "seed": ("1", 0.0, 2.0**31),
}
_BARE = {"latitude", "longitude", "utc_offset", "seed"}
_TABLE = "normals"


@dataclass(frozen=True, eq=False)
class Normals:
    """Twelve means of each thing, January first.

    Parameters
    ----------
    latitude : float
        North positive [deg].
    mean : array
        Mean temperature [degC].
    span : array
        Mean difference of a day's highest and lowest temperature [K].
    sun : array
        Mean sun on the level, a day [kWh/m2].
    humidity : array or None
        Mean relative humidity; None: the dew point follows the night's lowest temperature [%].
    wind : array
        Mean wind [m/s].
    longitude : float
        East positive [deg].
    altitude : float
        Height above the sea [m].
    utc_offset : float
        Local standard time less UTC [h].
    name : str
        Of the place.
    seed : int
        Of the random numbers.
    assumed : tuple of str
        What was not given and is assumed, one sentence each.
    """

    latitude: float
    mean: Floats
    span: Floats
    sun: Floats
    humidity: Floats | None
    wind: Floats
    longitude: float
    altitude: float
    utc_offset: float
    name: str
    seed: int = 1
    assumed: tuple[str, ...] = ()

    @classmethod
    def of(cls, weather: Weather, *, seed: int = 1) -> Normals:
        """The normals that a record itself has."""
        readings, site = weather.readings, weather.site
        days = (pd.DatetimeIndex(readings.index) - pd.Timedelta(minutes=weather.reading_offset)).tz_localize(None)
        daily = readings.groupby(days.normalize()).agg(["max", "min"])
        span = (daily["max"] - daily["min"]).groupby(pd.DatetimeIndex(daily.index).month).mean()
        monthly = weather.monthly()
        return cls(
            latitude=site.latitude,
            mean=monthly["temp_air"].to_numpy(),
            span=span.to_numpy(),
            sun=monthly["ghi_kwh"].to_numpy(),
            humidity=monthly["relative_humidity"].to_numpy(),
            wind=monthly["wind_speed"].to_numpy(),
            longitude=site.longitude,
            altitude=site.altitude,
            utc_offset=site.utc_offset,
            name=site.name,
            seed=seed,
        )


def normals_of(text: str, source: str) -> Normals:
    """Read a normals file.

    Parameters
    ----------
    text : str
        TOML with one table ``[normals]``. Twelve values stand in one text with their unit at the end.
    source : str
        Name of the file, for messages.

    Returns
    -------
    Normals

    Raises
    ------
    WeatherError
        For a key that is missing, twice told, not twelve values or out of range.

    Examples
    --------
    >>> crude = normals_of('[normals]\\nlatitude = 44\\njanuary = "20 degF"\\njuly = "68 degF"', "valley.toml")
    >>> crude.mean.round(1).tolist()[::6], crude.assumed[0]
    ([-6.7, 20.0], 'Monthly means lie on a cosine from January to July.')
    """
    try:
        tree: Any = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WeatherError(f"normals file must be TOML, got {error} ({source}). See README.") from error
    table = tree.get(_TABLE)
    if not isinstance(table, Mapping) or len(tree) != 1:
        raise WeatherError(f"normals file must hold one table [normals], got {', '.join(tree)} ({source}).")
    known = {*_MONTHS, *_SINGLE, "name"}
    for key in table:
        if key not in known:
            raise UnknownNameError("key of [normals]", key, known, source)
    single = {key: _one(key, table[key], source) for key in _SINGLE if key in table}
    twelve = {key: _twelve(key, table[key], source) for key in _MONTHS if key in table}
    return _made(single, twelve, str(table.get("name", source)), source)


def _one(key: str, value: object, source: str) -> float:
    unit, low, high = _SINGLE[key]
    if key in _BARE:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise WeatherError(f"{key} must be a number without a unit [{unit}], got {value!r} ({source}).")
        number = float(value)
    else:
        number = parse(value, unit, name=key, where=source)
    return _within(key, number, unit, low, high, source)


def _twelve(key: str, value: object, source: str) -> Floats:
    unit, low, high = _MONTHS[key]
    words = value.split() if isinstance(value, str) else []
    numbers, rest = words[:12], " ".join(words[12:])
    shown = "a text without numbers" if not words else f"{len(words)} words"
    if len(numbers) < 12 or not all(_is_number(word) for word in numbers) or (rest and _is_number(rest.split()[0])):
        raise WeatherError(
            f"{key} must be twelve numbers and one unit in quotes [{unit}], got {shown} ({source}). "
            f"January first, such as: {_EXAMPLES[key]}"
        )
    if key == "humidity":  # percent as typed and as kept; parse knows shares
        return np.array([
            _within(key, 100.0 * parse(f"{n} {rest}", "1", name=key, where=source), unit, low, high, source)
            for n in numbers
        ])  # fmt: skip
    found = [parse(f"{n} {rest}".strip(), unit, name=key, where=source) for n in numbers]
    return np.array([_within(key, number, unit, low, high, source) for number in found])


def _within(key: str, number: float, unit: str, low: float, high: float, source: str) -> float:
    if not low <= number <= high:
        raise WeatherError(f"{key} must be between {low:g} and {high:g} [{unit}], got {number:g} ({source}).")
    return number


def _is_number(word: str) -> bool:
    try:
        return bool(np.isfinite(float(word)))
    except ValueError:
        return False


_EXAMPLES = {
    "mean": '"22 24 33 45 57 66 70 69 61 49 37 27 degF"',
    "high": '"31 34 43 56 69 78 82 80 72 59 45 35 degF"',
    "low": '"13 14 23 34 45 54 58 57 49 39 30 19 degF"',
    "range": '"18 20 20 22 24 24 24 23 23 20 15 16 delta_degF"',
    "sun": '"1.6 2.5 3.6 4.6 5.4 5.9 5.9 5.0 4.0 2.6 1.6 1.3 kWh/m2", a day on the level',
    "clearness": '"0.43 0.47 0.48 0.48 0.49 0.51 0.52 0.51 0.49 0.45 0.38 0.38"',
    "humidity": '"70 68 64 60 62 67 70 73 74 71 74 74 %"',
    "wind": '"9 9 9 9 8 7 7 6 7 8 9 9 mph"',
}


def _made(single: Mapping[str, float], twelve: Mapping[str, Floats], name: str, source: str) -> Normals:
    """Normals of what was given; each gap filled by a stated rule."""
    assumed: list[str] = []
    if "latitude" not in single:
        raise WeatherError(f"latitude must be given [deg], got none ({source}). Type it as a number, north positive.")
    latitude = single["latitude"]
    mean = _means(single, twelve, assumed, source)
    above = _above_air(latitude)
    if "sun" in twelve and "clearness" in twelve:
        raise WeatherError(f"sun or clearness must be given, got both ({source}). Leave one out.")
    if "sun" not in twelve and "clearness" not in twelve:
        assumed.append(f"No sun is given: every month lets {CLEARNESS:g} of the sun above the air through.")
    sun = twelve["sun"] if "sun" in twelve else above * twelve.get("clearness", np.full(12, CLEARNESS))
    if (sun > 0.85 * above + 0.05).any():
        month = int(np.argmax(sun - 0.85 * above))
        raise WeatherError(
            f"sun must be at most 0.85 of that above the air [kWh/m2], got {sun[month]:.2f} of {above[month]:.2f} in "
            f"month {month + 1} ({source}). Type the sun of one day on the level."
        )
    if "wind" not in twelve:
        assumed.append(f"No wind is given: {WIND:g} m/s in the mean.")
    if "humidity" not in twelve:
        assumed.append("No humidity is given: the dew point is the day's lowest temperature.")
    longitude, utc_offset = _clock(single, assumed)
    return Normals(
        latitude=latitude,
        mean=mean,
        span=_spans(twelve, sun, above, assumed, source),
        sun=sun,
        humidity=twelve.get("humidity"),
        wind=twelve.get("wind", np.full(12, WIND)),
        longitude=longitude,
        altitude=single.get("altitude", 0.0),
        utc_offset=utc_offset,
        name=name,
        seed=int(single.get("seed", 1)),
        assumed=tuple(assumed),
    )


def _means(single: Mapping[str, float], twelve: Mapping[str, Floats], assumed: list[str], source: str) -> Floats:
    if "mean" in twelve:
        return twelve["mean"]
    if "high" in twelve and "low" in twelve:
        return np.asarray((twelve["high"] + twelve["low"]) / 2.0)
    if "january" in single and "july" in single:
        assumed.append("Monthly means lie on a cosine from January to July.")
        middle, half = (single["january"] + single["july"]) / 2.0, (single["january"] - single["july"]) / 2.0
        return np.asarray(middle + half * np.cos(2.0 * np.pi * np.arange(12) / 12.0))
    raise WeatherError(
        f"mean, or high and low, or january and july must be given [degC], got none of them ({source}). "
        f"Such as: mean = {_EXAMPLES['mean']}"
    )


def _spans(twelve: Mapping[str, Floats], sun: Floats, above: Floats, assumed: list[str], source: str) -> Floats:
    if "high" in twelve and "low" in twelve:
        span = twelve["high"] - twelve["low"]
        if not (span > 0.0).all():
            raise WeatherError(f"high must be above low [degC], got {span.min():g} K apart ({source}).")
        return span
    if "range" in twelve:
        return twelve["range"]
    assumed.append("No daily range is given: it follows from the clearness (Erbs and others 1983).")
    clearness = np.divide(sun, above, out=np.full(12, CLEARNESS), where=above > 0.05)
    return np.asarray(range_of_clearness(np.clip(clearness, 0.1, 0.8)))


def _clock(single: Mapping[str, float], assumed: list[str]) -> tuple[float, float]:
    """Longitude and hours from UTC; what is not given follows from the other, else the clock shows solar time."""
    if "longitude" in single:
        return single["longitude"], single.get("utc_offset", float(round(single["longitude"] / 15.0)))
    if "utc_offset" not in single:
        assumed.append("No longitude is given: the clock shows mean solar time.")
    offset = single.get("utc_offset", 0.0)
    return max(-180.0, min(180.0, 15.0 * offset)), offset


def _above_air(latitude: float) -> Floats:
    """Mean of each month's days above the air [kWh/m2]."""
    days = 0.024 * np.asarray(sun_above_air(np.arange(1, 366), latitude=latitude))
    return np.array([part.mean() for part in np.split(days, np.cumsum(DAYS_OF_MONTH)[:-1])])


def normals_text(normals: Normals, *, us: bool = True) -> str:
    """A normals file that says what ``normals`` holds.

    Parameters
    ----------
    normals : Normals
        What to write.
    us : bool
        Whether temperatures, wind and height stand in US units.

    Returns
    -------
    str
        TOML that :func:`normals_of` reads back, to the digits printed.
    """
    degree, step, speed, height = ("degF", "delta_degF", "mph", "ft") if us else ("degC", "K", "m/s", "m")
    lines = [
        "# Monthly normals, January first: edit them, and name this file as the weather of a house.",
        "[normals]",
        f"name = {_quoted(normals.name)}",
        f"latitude = {normals.latitude:g}",
        f"longitude = {normals.longitude:g}",
        f'altitude = "{convert(normals.altitude, "m", height):.0f} {height}"',
        f"utc_offset = {normals.utc_offset:g}",
        f'mean = "{_row(convert(normals.mean, "degC", degree), 1)} {degree}"',
        f'range = "{_row(normals.span * (1.8 if us else 1.0), 1)} {step}"  # of a day, highest less lowest',
        f'sun = "{_row(normals.sun, 2)} kWh/m2"  # of a day, on the level',
    ]
    if normals.humidity is not None:
        lines.append(f'humidity = "{_row(normals.humidity, 0)} %"')
    lines += [f'wind = "{_row(convert(normals.wind, "m/s", speed), 1)} {speed}"', f"seed = {normals.seed}", ""]
    return "\n".join(lines)


def _quoted(name: str) -> str:
    import json

    return json.dumps(name, ensure_ascii=False)


def _row(values: Sequence[float] | Floats, places: int) -> str:
    return " ".join(f"{round(float(value), places) + 0.0:.{places}f}" for value in values)


def crude(
    latitude: float, *, january: float, july: float, altitude: float = 0.0, name: str = "crude start", seed: int = 1
) -> Normals:
    """Normals where nothing but latitude and the mean of January and July is known.

    Parameters
    ----------
    latitude : float
        North positive [deg].
    january, july : float
        Mean temperatures [degC].
    altitude : float
        Height above the sea [m].
    name : str
        Of the place.
    seed : int
        Of the random numbers.

    Returns
    -------
    Normals
        The rest by stated rules, listed in ``assumed``.

    Raises
    ------
    InputError
        For a value out of range.

    Examples
    --------
    >>> crude(62.96, january=-24.2, july=15.8).mean.round(1).tolist()[3:5]
    [-4.2, 5.8]
    """
    given = {"latitude": latitude, "january": january, "july": july, "altitude": altitude}
    for key, value in given.items():
        unit, low, high = _SINGLE[key]
        if not low <= value <= high:
            raise InputError(f"{key} must be between {low:g} and {high:g} [{unit}], got {value:g}.")
    return _made({**given, "seed": float(seed)}, {}, name, name)
