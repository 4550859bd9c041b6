"""Refusing weather that cannot be: values out of range, gaps in time, a sun that does not close."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from heatloss.errors import WeatherError
from heatloss.weather.record import Site

Floats = NDArray[np.float64]

RANGES: dict[str, tuple[float, float, str]] = {
    "temp_air": (-90.0, 60.0, "degC"),
    "temp_dew": (-110.0, 45.0, "degC"),
    "relative_humidity": (0.0, 110.0, "%"),
    "wind_speed": (0.0, 50.0, "m/s"),
    "pressure": (45e3, 110e3, "Pa"),
    "ghi": (0.0, 1500.0, "W/m2"),
    "dni": (0.0, 1500.0, "W/m2"),
    "dhi": (0.0, 1500.0, "W/m2"),
    "longwave_down": (30.0, 600.0, "W/m2"),
    "opaque_cloud": (0.0, 1.0, "1"),
    "albedo": (0.0, 1.0, "1"),
    "snow_depth": (0.0, 15.0, "m"),
    "precipitation": (0.0, 500.0, "mm"),
}
"""Column: least and greatest value, unit. Wide enough for the records of the earth; common practice, no source."""

_SITE_RANGES: dict[str, tuple[float, float, str]] = {
    "latitude": (-90.0, 90.0, "deg"),
    "longitude": (-180.0, 180.0, "deg"),
    "altitude": (-450.0, 6000.0, "m"),
    "utc_offset": (-12.0, 14.0, "h"),
}

_HINTS = {
    "pressure": "A file in mbar must be multiplied by 100.",
    "opaque_cloud": "Tenths must be divided by 10.",
    "ghi": "Night and faults of an instrument must be 0.",
    "dni": "Night and faults of an instrument must be 0.",
    "dhi": "Night and faults of an instrument must be 0.",
}

_CLOCK_HINTS = {
    "epw": "The rows of an EPW of PVGIS are in UTC whatever its head says: take the csv or json of PVGIS.",
    "frame": "Mend longitude, utc_offset or mid_offset.",
}

CLOSURE_LIMIT = 60.0
"""Root mean square of GHI - DHI - DNI cos z beyond which the sun of a file is refused [W/m2]; common practice."""


def check_site(site: Site) -> None:
    """Refuse a place that is not on the earth.

    Parameters
    ----------
    site : Site
        The place.

    Raises
    ------
    WeatherError
        For the first value out of range, or NaN.
    """
    for name, (low, high, unit) in _SITE_RANGES.items():
        value = getattr(site, name)
        if not low <= value <= high:
            raise WeatherError(
                f"{name} must be between {low:g} and {high:g} [{unit}], got {value:g} ({site.source}). "
                "Degrees are decimal, north and east positive."
            )


def check_values(frame: pd.DataFrame, source: str, dated: bool) -> None:
    """Refuse missing and impossible values.

    Parameters
    ----------
    frame : frame
        Columns among those of :data:`RANGES`; index: when.
    source : str
        Name of the file, for messages.
    dated : bool
        Whether the year of the index means something and is shown.

    Raises
    ------
    WeatherError
        For the first column with a value that is missing or out of range, with the first time of it.
    """
    for name in frame.columns:
        low, high, unit = RANGES[name]
        values = frame[name].to_numpy()
        bad = np.flatnonzero(~((values >= low) & (values <= high)))
        if bad.size == 0:
            continue
        value = values[bad[0]]
        got = "nothing" if np.isnan(value) else f"{value:g}"
        more = f" and {bad.size - 1} more" if bad.size > 1 else ""
        raise WeatherError(
            f"{name} must be between {low:g} and {high:g} [{unit}], got {got} "
            f"({source}, {shown(frame.index[bad[0]], dated)}{more}). "
            + _HINTS.get(name, "Mend or replace the value, or take another file.")
        )


STEPS: dict[str, tuple[float, float, str]] = {
    "temp_air": (15.0, 30.0, "K"),
    "temp_dew": (20.0, 60.0, "K"),
    "wind_speed": (20.0, 45.0, "m/s"),
    "pressure": (4e3, 30e3, "Pa"),
}
"""Column: change from one reading to the next within an hour that is said, and that is refused; common practice."""
STUCK = 48
"""Hours of one and the same temperature after which a stuck sensor is said [h]; common practice, no source."""


def check_steps(frame: pd.DataFrame, per_hour: int, source: str, dated: bool) -> tuple[str, ...]:
    """Refuse jumps that no weather makes; say those that are rare, and temperatures that stand still.

    Parameters
    ----------
    frame : frame
        Columns of a record, one row after the other.
    per_hour : int
        Rows in an hour.
    source : str
        Name of the file, for messages.
    dated : bool
        Whether the year of the index means something and is shown.

    Returns
    -------
    tuple of str
        A sentence for each column with rare jumps, and for a temperature that does not change for two days.

    Raises
    ------
    WeatherError
        For a jump beyond the second limit of :data:`STEPS`, with its time.
    """
    notes = []
    for name, (rare, impossible, unit) in STEPS.items():
        if name not in frame:
            continue
        jumps = np.nan_to_num(np.abs(np.diff(frame[name].to_numpy())))
        worst = int(jumps.argmax())
        when = shown(frame.index[worst + 1], dated)
        if jumps[worst] > impossible:
            raise WeatherError(
                f"{name} must change by at most {impossible:g} [{unit}] from a row to the next, got {jumps[worst]:g} "
                f"({source}, {when}). Mend the value, or take another file."
            )
        if jumps[worst] > rare:
            count = int((jumps > rare).sum())
            notes.append(
                f"{name} jumps by up to {jumps[worst]:.0f} {unit} from a row to the next ({when}; {count} such)."
            )
    moves = np.flatnonzero(np.diff(frame["temp_air"].to_numpy()) != 0.0)
    still = np.diff(np.concatenate([[-1], moves, [len(frame) - 1]]))
    if still.max() > STUCK * per_hour:
        first = int(np.concatenate([[0], moves + 1])[still.argmax()])
        notes.append(
            f"temp_air does not change for {still.max() / per_hour:.0f} h from {shown(frame.index[first], dated)}: "
            "a stuck sensor?"
        )
    return tuple(notes)


def shown(stamp: pd.Timestamp, dated: bool) -> str:
    """A time as it is shown in messages: with its year only where that means something."""
    return f"{stamp:%Y-%m-%d %H:%M}" if dated else f"{stamp:%d %b %H:%M}"


def sun_course(times: pd.DatetimeIndex, longitude: float) -> tuple[Floats, Floats]:
    """Hour angle and declination of the sun by Spencer's series.

    Parameters
    ----------
    times : DatetimeIndex
        Moments, with a time zone.
    longitude : float
        East positive [deg].

    Returns
    -------
    array, array
        Hour angle, 0 at noon, and declination [rad].

    Notes
    -----
    Good to 0.1 deg: enough to judge a clock or to lay out a synthetic day, not to compute the sun on a wall.

    References
    ----------
    .. [1] Spencer 1971 as in pvlib.
    """
    from pvlib.solarposition import declination_spencer71, equation_of_time_spencer71

    utc = times.tz_convert("UTC")
    minute = utc.hour.to_numpy() * 60.0 + utc.minute.to_numpy() + utc.second.to_numpy() / 60.0
    day = utc.day_of_year.to_numpy() + minute / 1440.0
    angle = np.radians((minute + equation_of_time_spencer71(day)) / 4.0 + longitude - 180.0)
    return (angle + np.pi) % (2.0 * np.pi) - np.pi, np.asarray(declination_spencer71(day))


def cos_zenith(times: pd.DatetimeIndex, site: Site) -> Floats:
    """Cosine of the sun's zenith angle, 0 below the horizon [1].

    Parameters
    ----------
    times : DatetimeIndex
        Moments, with a time zone.
    site : Site
        Place.

    Returns
    -------
    array
        sin(latitude) sin(declination) + cos(latitude) cos(declination) cos(hour angle), at least 0 [1].

    References
    ----------
    .. [1] Duffie and Beckman, Solar Engineering of Thermal Processes, 4th edition, equation 1.6.5, from memory.
    """
    hour_angle, declination = sun_course(times, site.longitude)
    latitude = np.radians(site.latitude)
    level = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    return np.asarray(np.maximum(level, 0.0))


def closure(frame: pd.DataFrame, site: Site, minutes: float) -> float:
    """How well the three suns of a record agree when the sun is placed ``minutes`` after each stamp.

    Parameters
    ----------
    frame : frame
        ``ghi``, ``dni``, ``dhi`` on an index with a time zone.
    site : Site
        Place.
    minutes : float
        From a stamp to the moment the sun is computed for [min].

    Returns
    -------
    float
        Root mean square over all rows of GHI - DHI - DNI cos z [W/m2].

    References
    ----------
    .. [1] Duffie and Beckman, Solar Engineering of Thermal Processes, 4th edition, global = diffuse + beam, from
       memory.
    """
    times = pd.DatetimeIndex(frame.index) + pd.Timedelta(minutes=minutes)
    beam = frame["dni"].to_numpy() * cos_zenith(times, site)
    residual = frame["ghi"].to_numpy() - frame["dhi"].to_numpy() - beam
    return float(np.sqrt(np.mean(residual**2)))


def best_minutes(frame: pd.DataFrame, site: Site, low: float, high: float, step: float) -> float:
    """The offset between ``low`` and ``high`` at which :func:`closure` is least [min]."""
    tries = np.arange(low, high + step / 2, step)
    return float(min(tries, key=lambda minutes: closure(frame, site, minutes)))


def check_sun(frame: pd.DataFrame, site: Site, mid_offset: float) -> tuple[str, ...]:
    """Refuse a record whose sun is missing, stands at the wrong hour, or contradicts itself.

    Parameters
    ----------
    frame : frame
        ``ghi``, ``dni``, ``dhi`` on an index with a time zone.
    site : Site
        Place.
    mid_offset : float
        Minutes from a stamp to the middle of its sun [min].

    Returns
    -------
    tuple of str
        A sentence when the sun closes far better some minutes off, but within half an hour; or when a frame, which may
        be made for a sum without sun, has none at all.

    Raises
    ------
    WeatherError
        When a file has no sun at all; when the sun closes three times better moved by more than 35 minutes; when it
        closes worse than :data:`CLOSURE_LIMIT`.
    """
    if site.kind == "frame" and not frame[["ghi", "dni", "dhi"]].to_numpy().any():
        return ("ghi, dni and dhi are zero in every hour: a year without sun.",)
    if not frame["ghi"].to_numpy().any():
        raise WeatherError(
            f"ghi must be above 0 in some hours [W/m2], got 0 in all ({site.source}). Take a file with sun in it."
        )
    rmse = closure(frame, site, mid_offset)
    if rmse <= CLOSURE_LIMIT / 3:
        return ()
    best = best_minutes(frame, site, mid_offset - 720.0, mid_offset + 720.0, 15.0)
    better, shift = closure(frame, site, best), best - mid_offset
    if abs(shift) > 35.0 and better < rmse / 3:
        way = "later" if shift > 0 else "earlier"
        raise WeatherError(
            f"sun must stand where place and time zone put it, got a sun {abs(shift):.0f} min {way} ({site.source}; "
            f"ghi - dhi - dni cos z is {rmse:.0f} W/m2, with the sun moved {better:.0f}). "
            + _CLOCK_HINTS.get(site.kind, "Mend longitude or time zone in its head, or take another file.")
        )
    if rmse > CLOSURE_LIMIT:
        raise WeatherError(
            f"ghi must be dhi + dni cos z within {CLOSURE_LIMIT:g} [W/m2], got {rmse:.0f} off ({site.source}). "
            "Its three suns contradict each other or its place is wrong: take another file."
        )
    if better < rmse / 2:
        return (
            f"ghi, dni and dhi agree within {rmse:.0f} W/m2; with the sun {shift:+.0f} min off within {better:.0f}.",
        )
    return (f"ghi, dni and dhi agree within {rmse:.0f} W/m2 only.",)


def gaps(keys: pd.DatetimeIndex, wanted: pd.DatetimeIndex, source: str, dated: bool) -> WeatherError:
    """The error that says which hours are missing, doubled or out of order.

    Parameters
    ----------
    keys : DatetimeIndex
        The times that came.
    wanted : DatetimeIndex
        The times that should have come.
    source : str
        Name of the file.
    dated : bool
        Whether the year of the times is shown.

    Returns
    -------
    WeatherError
        To be raised by the caller.
    """
    missing = wanted.difference(keys)
    doubled = keys[keys.duplicated()]
    lead = f"hours must follow one another without a gap, got {len(keys)} rows of {len(wanted)}"
    if len(missing) and len(keys) < len(wanted) and missing[0] > keys.max():
        return WeatherError(
            f"{lead}, the last {shown(keys.max(), dated)} ({source}). The file is cut short: download it again."
        )
    if len(missing):
        return WeatherError(
            f"{lead} ({source}; missing {_listed(missing, dated)}). "
            'Gaps of up to 6 h are filled with fill "short"; else take another file.'
        )
    if len(doubled):
        return WeatherError(f"{lead} ({source}; twice {_listed(doubled, dated)}). Delete the doubled rows.")
    return WeatherError(f"{lead} ({source}; the rows are out of order). Sort them by time.")


def _listed(times: pd.DatetimeIndex, dated: bool) -> str:
    """The first five times and how many more."""
    more = f" and {len(times) - 5} more" if len(times) > 5 else ""
    return ", ".join(shown(time, dated) for time in times[:5]) + more
