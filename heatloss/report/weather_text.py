"""A weather file for the terminal: where it was taken, how cold it is, what to size a heater on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from heatloss.report.measures import MONTHS, Units, fahrenheit, fixed, heading, pair, table, temperature, wrapped

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.weather import Weather

BTU_PER_FT2 = 3412.142 * 0.3048**2
MPH = 2.2369363
CHART = 30

CANDIDATES = {
    "header_996": "99.6 %, from the file's header",
    "file_996": "this file's own 0.4 % quantile",
    "header_99": "99 %, from the file's header",
    "file_99": "this file's own 1 % quantile",
    "file_coldest": "coldest reading of this file",
    "minimum_5_year": "minimum met once in 5 years, header",
    "minimum_10_year": "minimum met once in 10 years, header",
    "minimum_20_year": "minimum met once in 20 years, header",
    "minimum_50_year": "minimum met once in 50 years, header",
}


def weather_report(weather: Weather, *, units: Units = "us") -> str:
    """Write a weather record as text for a terminal 80 columns wide.

    Parameters
    ----------
    weather : Weather
        What ``read_weather`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines: list[str] = []
    for part in (_site, _degree_days, _candidates, _months, _chart, _spells, _notes):
        lines.extend(part(weather, units))
    return "\n".join(lines)


def _site(weather: Weather, units: Units) -> Iterator[str]:
    site, first, last = weather.site, weather.hours.index[0], weather.hours.index[-1]
    yield from wrapped(site.name, indent=0)
    north, east = "N" if site.latitude >= 0 else "S", "E" if site.longitude >= 0 else "W"
    altitude = pair(f"{site.altitude / 0.3048:,.0f} ft", f"{site.altitude:,.0f} m", units)
    zone = f"UTC{site.utc_offset:+g} h"
    place = f"{abs(site.latitude):.3f} {north} {abs(site.longitude):.3f} {east}, {altitude}, standard time {zone}"
    yield from wrapped(place, indent=0)
    span = f"{len(weather.hours):,} hours, {first:%Y-%m-%d} to {last:%Y-%m-%d}"
    yield from wrapped(f"{site.kind} file {site.source}: {span}", indent=0)


def _degree_days(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("Heating degree days (from daily means)")
    for us in (65.0, 50.0, 40.0):
        base = (us - 32.0) / 1.8
        days = weather.degree_days(base)
        yield f"  base {temperature(base, units):<18}{pair(f'{1.8 * days:,.0f} °F days', f'{days:,.0f} K days', units)}"


def _candidates(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("Outdoor temperatures to size a heater on")
    found = weather.design_temperatures()
    for name, words in CANDIDATES.items():
        if name in found.index:
            yield f"  {words:<42}{temperature(float(found[name]), units)}"
    if "minimum_20_year" not in found.index:
        yield from wrapped(
            "This file says nothing of extremes: type minimum_20_year under [place] of the house file, from a "
            "climate table of your county or the nearest airport."
        )


def _months(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("Month by month")
    us = units == "us"
    degree, wind, sun = ("°F", "mph", "Btu/ft2 day") if us else ("°C", "m/s", "kWh/m2 day")
    widths = (12, 10, 10, 12, 10, 14)
    rows = [_month_row(month, row, us) for month, (_, row) in enumerate(weather.monthly().iterrows(), start=1)]
    head = [("", "mean", "lowest", "humidity", "wind", "sun, level"), ("", degree, degree, "%", wind, sun)]
    yield from table([*head, *rows], widths)


def _month_row(month: int, row: pd.Series, us: bool) -> tuple[str, ...]:
    mean, low = (_degrees(float(row[c]), us) for c in ("temp_air", "temp_low"))
    sun = fixed(row["ghi_kwh"] * BTU_PER_FT2, 0) if us else fixed(row["ghi_kwh"], 2)
    wind = fixed(row["wind_speed"] * (MPH if us else 1.0), 1)
    return MONTHS[month - 1], mean, low, fixed(row["relative_humidity"], 0), wind, sun


def _degrees(celsius: float, us: bool) -> str:
    return fixed(fahrenheit(celsius), 0) if us else fixed(celsius, 1)


def _chart(weather: Weather, units: Units) -> Iterator[str]:
    """Bars of the monthly mean temperature below 65 degF, and of the sun: cold and light beside one another."""
    monthly = weather.monthly()
    cold = (65.0 - 32.0) / 1.8 - monthly["temp_air"]
    sun = monthly["ghi_kwh"]
    base = "65 °F" if units == "us" else "18.3 °C"
    yield from ("", f"COLD BELOW {base} (#) AND SUN (o)")
    for month in monthly.index:
        cold_bar = _bar(float(cold[month]), float(cold.max()), "#")
        sun_bar = _bar(float(sun[month]), float(sun.max()), "o")
        yield f"  {MONTHS[month - 1][:3]}  {cold_bar:<{CHART}}  {sun_bar}".rstrip()


def _bar(value: float, largest: float, mark: str) -> str:
    return mark * max(0, round(CHART * value / largest)) if largest > 0.0 else ""


def _spells(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("Coldest spells")
    us = units == "us"
    widths = (12, 16, 10, 10, 10, 14)
    degree, wind, sun = ("°F", "mph", "Btu/ft2 day") if us else ("°C", "m/s", "kWh/m2 day")
    rows = [("", "begins", "mean", "lowest", "wind", "sun, level"), ("", "", degree, degree, wind, sun)]
    for days, words in ((1, "1 day"), (3, "3 days"), (7, "7 days")):
        spell = weather.coldest(days).iloc[0]
        start = spell["start"]
        level = fixed(spell["ghi_kwh"] * BTU_PER_FT2, 0) if us else fixed(spell["ghi_kwh"], 2)
        rows.append((
            words, f"{start.day} {MONTHS[start.month - 1][:3]} {start:%H:%M}", _degrees(spell["temp_air"], us),
            _degrees(spell["temp_low"], us), fixed(spell["wind_speed"] * (MPH if us else 1.0), 1), level,
        ))  # fmt: skip
    yield from table(rows, widths)


def _notes(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("What the reader did")
    for note in weather.notes:
        yield from wrapped(note, bullet="- ")
    if not weather.notes:
        yield "  Nothing: the file is used as it stands."
