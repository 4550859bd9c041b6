"""EPW, the weather format of hourly building simulation, with the design temperatures of its head."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from heatloss.weather.record import Record, Site, columns, joined, local, without_filled_zeros

_NAMES = {
    "temp_air": "temp_air",
    "temp_dew": "temp_dew",
    "relative_humidity": "relative_humidity",
    "wind_speed": "wind_speed",
    "atmospheric_pressure": "pressure",
    "opaque_sky_cover": "opaque_cloud",
    "ghi": "ghi",
    "dni": "dni",
    "dhi": "dhi",
    "ghi_infrared": "longwave_down",
    "albedo": "albedo",
    "snow_depth": "snow_depth",
    "liquid_precipitation_depth": "precipitation",
}

_MISSING = {
    "temp_air": 99.9,
    "temp_dew": 99.9,
    "relative_humidity": 999.0,
    "wind_speed": 999.0,
    "pressure": 999999.0,
    "opaque_cloud": 99.0,
    "ghi": 9999.0,
    "dni": 9999.0,
    "dhi": 9999.0,
    "longwave_down": 9999.0,
    "albedo": 999.0,
    "snow_depth": 999.0,
    "precipitation": 999.0,
}

_RETURN_YEARS = (5, 10, 20, 50)


def read(text: str, source: str) -> Record:
    """Read EPW.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.

    Returns
    -------
    Record
        Rows stamped with the start of their hour, local standard time.

    Notes
    -----
    Hour 1 is the hour from midnight to 1:00. The sun is the hour's sum, so its middle lies 30 minutes after the start;
    temperature, humidity, wind, pressure and cloud are readings at the end. Pressure is in Pa, cloud in tenths, snow in
    cm; long wave is the hour's mean. The codes for missing are those of the format (99.9, 999, 9999 ...).

    References
    ----------
    .. [1] US Department of Energy, weather file (EPW) data dictionary, from memory.
    """
    from pvlib.iotools import read_epw

    data, meta = read_epw(io.StringIO(text))
    data.index = local(data.index)
    frame = columns(data, _NAMES, factors={"opaque_cloud": 0.1, "snow_depth": 0.01}, missing=_MISSING)
    frame, filled = without_filled_zeros(frame)
    site = Site(
        name=joined([meta["city"], meta["state-prov"], meta["country"]]),
        latitude=meta["latitude"],
        longitude=meta["longitude"],
        altitude=meta["altitude"],
        utc_offset=meta["TZ"],
        source=source,
        kind="epw",
    )
    header, notes = head(text)
    return Record(site, frame, reading_minute=60.0, sun_minute=30.0, header=header, notes=(*notes, *filled))


def head(text: str) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Design temperatures and ground temperatures from the eight lines at the head of an EPW file.

    Parameters
    ----------
    text : str
        The file, or its head.

    Returns
    -------
    dict, tuple of str
        ``heating_996`` and ``heating_99``: dry bulb below which 0.4 % and 1 % of the hours lie [degC];
        ``extreme_mean`` and ``extreme_sd`` of the yearly minima [degC, K]; ``minimum_5_year`` to ``minimum_50_year``
        [degC]; ``ground_temperatures``: depth [m] to twelve monthly values [degC]. What is absent or does not make
        sense is left out; the sentences say so.

    Examples
    --------
    >>> line = "DESIGN CONDITIONS,1,2021,,Heating,1,-18.7,-16.0,Cooling,7,Extremes,10.9,9.3,8.4,-22.3,35.2,3.8,2.0,"
    >>> head(line + "-25.1,36.7,-27.3,37.9,-29.5,39.0,-32.3,40.5")[0]["minimum_20_year"]
    -29.5
    """
    out: dict[str, Any] = {}
    notes = []
    for line in text.splitlines()[:8]:
        fields = [field.strip() for field in line.split(",")]
        if fields[0] == "DESIGN CONDITIONS":
            out |= _heating(fields) | _extremes(fields)
            if "heating_996" not in out:
                notes.append("The head of the file gives no heating design temperature.")
            if "minimum_20_year" not in out:
                notes.append("The head of the file gives no 5 to 50-year minima.")
        elif fields[0] == "GROUND TEMPERATURES":
            ground = _ground(fields)
            if ground:
                out["ground_temperatures"] = ground
    return out, tuple(notes)


def _numbers(fields: Sequence[str]) -> list[float]:
    """The run of numbers at the start of ``fields``."""
    out = []
    for item in fields:
        try:
            out.append(float(item))
        except ValueError:
            break
    return out


def _heating(fields: Sequence[str]) -> dict[str, float]:
    """After the word Heating: coldest month, then the 99.6 % and the 99 % dry bulb."""
    if "Heating" not in fields:
        return {}
    values = _numbers(fields[fields.index("Heating") + 1 :])
    if len(values) < 3 or not -90.0 <= values[1] <= values[2] <= 60.0:
        return {}
    return {"heating_996": values[1], "heating_99": values[2]}


def _extremes(fields: Sequence[str]) -> dict[str, float]:
    """After the word Extremes: three wind speeds (older editions: and a wet bulb), then twelve dry bulbs.

    The twelve are mean and deviation of the yearly minima and maxima, then minimum and maximum of each return period.
    """
    if "Extremes" not in fields:
        return {}
    values = _numbers(fields[fields.index("Extremes") + 1 :])
    if len(values) not in {15, 16}:
        return {}
    mean_low, _, deviation, _, *pairs = values[-12:]
    lows = pairs[::2]
    if not -90.0 <= lows[-1] <= lows[2] <= lows[1] <= lows[0] <= mean_low <= 60.0:
        return {}
    years = {f"minimum_{years}_year": low for years, low in zip(_RETURN_YEARS, lows, strict=True)}
    return {"extreme_mean": mean_low, "extreme_sd": deviation, **years}


def _ground(fields: Sequence[str]) -> dict[float, tuple[float, ...]]:
    """Depth, three soil properties that are mostly blank, twelve months; again for each depth."""
    out = {}
    for start in range(2, len(fields) - 15, 16):
        depth, months = _numbers(fields[start : start + 1]), _numbers(fields[start + 4 : start + 16])
        if depth and len(months) == 12:
            out[depth[0]] = tuple(months)
    return out
