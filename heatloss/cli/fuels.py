"""The command ``fuels``."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import (
    Figure,
    Fill,
    Heaters,
    HouseFile,
    Json,
    Kind,
    Sample,
    Us,
    WeatherFile,
    app,
    house_of,
    units_of,
    weather_of,
)


@app.command()
def fuels(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    heaters: Heaters = None,
    off_grid: Annotated[bool, typer.Option("--off-grid", help="Panels and battery for the worst week.")] = False,
    tilt: Annotated[float, typer.Option(help="Of the panels, in degrees.")] = 60.0,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the comparison there.")] = None,
    figure: Figure = None,
    json: Json = False,
) -> None:
    """What your heaters burn hour by hour, and the same house on other fuels."""
    described, folder = house_of(house, sample, "fuels")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.candidates import read_heaters
    from heatloss.decisions.off_grid import off_grid as panels_of
    from heatloss.decisions.sources import compare_sources
    from heatloss.report.fuels_text import fuels_csv, fuels_json, fuels_report
    from heatloss.season import simulate

    season = simulate(described, record)
    found = compare_sources(described, record, () if heaters is None else read_heaters(heaters), base=season)
    panels = panels_of(season, tilt=tilt) if off_grid else None
    if csv is not None:
        fuels_csv(found, csv)
    if figure is not None:
        from heatloss.report.heater_plots import cost_of_sources, where_fuel_goes
        from heatloss.report.picture_file import write_pictures

        own = [partial(where_fuel_goes, season)] if season.fuels else []
        write_pictures([*own, partial(cost_of_sources, found)], figure)
    if json:
        typer.echo(fuels_json(season, found, panels, sample=sample))
    else:
        typer.echo(fuels_report(season, found, panels, units=units_of(us), sample=sample))
