"""A weather file for the terminal: where it was taken, how cold it is, what to size a heater on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from heatloss.errors import WeatherError
from heatloss.report.measures import MONTHS, Units, fahrenheit, fixed, heading, pair, table, temperature, wrapped
from heatloss.weather.spell import SWING, WIND

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.weather import Weather

BTU_PER_FT2 = 3412.142 * 0.3048**2
MPH = 2.2369363
CHART = 30

BASES = (65.0, 50.0, 40.0)
"""Of the degree days shown when none is asked for [degF]."""
SIDE_BY_SIDE = {"99.6 %": ("file_996", "header_996"), "99 %": ("file_99", "header_99")}
RETURNS = (5, 10, 20, 50)


def weather_report(weather: Weather, *, units: Units = "us", bases: Sequence[float] = ()) -> str:
    """Write a weather record as text for a terminal 80 columns wide.

    Parameters
    ----------
    weather : Weather
        What ``read_weather`` gave.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    bases : sequence of float
        Bases of the degree days [degC]; none: 65, 50 and 40 degF.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines: list[str] = []
    lines.extend(_site(weather, units))
    lines.extend(_degree_days(weather, units, bases or [(us - 32.0) / 1.8 for us in BASES]))
    for part in (_candidates, _extremes, _months, _chart, _spells, _design_spell, _notes):
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


def _degree_days(weather: Weather, units: Units, bases: Sequence[float]) -> Iterator[str]:
    yield from heading("Degree days (from daily means)")
    yield f"  {'base':<18}{'heating':<30}cooling"
    for base in bases:
        both = (weather.degree_days(base), weather.cooling_degree_days(base))
        shown = [pair(f"{1.8 * days:,.0f} °F days", f"{days:,.0f} K days", units) for days in both]
        yield f"  {temperature(base, units):<18}{shown[0]:<30}{shown[1]}"


def _candidates(weather: Weather, units: Units) -> Iterator[str]:
    """The published value and the file's own quantile side by side, and by how much they differ."""
    yield from heading("Outdoor temperatures to size a heater on")
    found = weather.design_temperatures()
    yield f"  {'':<14}{'this file, by hours':<24}{'published, in its head':<26}difference"
    for share, (own, published) in SIDE_BY_SIDE.items():
        first = temperature(float(found[own]), units)
        if published not in found.index:
            yield f"  {share:<14}{first:<24}none"
            continue
        apart = float(found[own] - found[published])
        degrees = pair(f"{1.8 * apart:+.0f} °F", f"{apart:+.1f} K", units)
        yield f"  {share:<14}{first:<24}{temperature(float(found[published]), units):<26}{degrees}"
    yield f"  {'coldest':<14}{temperature(float(found['file_coldest']), units)}"
    yield from wrapped("Never size on the coldest hour of a typical year: it is chosen for its means.")


def _extremes(weather: Weather, units: Units) -> Iterator[str]:
    yield from heading("The coldest hour of a year")
    try:
        found = weather.annual_minima()
    except WeatherError:
        yield from wrapped(
            "This file says nothing of extremes: type minimum_20_year under [place] of the house file, from a "
            "climate table of your county or the nearest airport."
        )
        return
    how = "in the file's head" if found.name == "header" else "fitted to its winters (Gumbel)"
    sd = pair(f"{1.8 * found['sd']:.1f} °F", f"{found['sd']:.1f} K", units)
    yield from wrapped(f"Mean {temperature(float(found['mean']), units)}, standard deviation {sd}, {how}. Met once in:")
    for years in RETURNS:
        if (name := f"minimum_{years}_year") in found.index:
            yield f"  {f'{years} years':<14}{temperature(float(found[name]), units)}"


def _design_spell(weather: Weather, units: Units) -> Iterator[str]:
    """What sizing and outages are worked out on, and the wind that goes with cold here."""
    yield from heading("Design spell")
    found = weather.design_temperatures()
    lowest = next((name for name in ("minimum_20_year", "header_996", "file_996") if name in found.index), "file_996")
    words = {
        "minimum_20_year": "the 20-year minimum",
        "header_996": "the published 99.6 %",
        "file_996": "its own 99.6 %",
    }
    low = float(found[lowest])
    wind = pair(f"{WIND * MPH:.0f} mph", f"{WIND:g} m/s", units)
    yield from wrapped(
        f"Sizing uses three days that are built, not taken from the file: coldest hour {temperature(low, units)} "
        f"({words[lowest]}), mean {temperature(low + SWING / 2.0, units)}, no sun, clear sky, wind {wind}."
    )
    cold, mean = weather.cold_wind(), float(weather.hours["wind_speed"].mean())
    shown = [pair(f"{value * MPH:.1f} mph", f"{value:.1f} m/s", units) for value in (cold, mean)]
    yield from wrapped(f"Wind in the coldest hundredth of the hours: {shown[0]}; in all hours: {shown[1]}.")


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
