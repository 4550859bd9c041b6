"""The command ``season``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import HouseFile, Json, Sample, Us, WeatherFile, app, house_of, units_of, weather_of


@app.command()
def season(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the hours there.")] = None,
    json: Json = False,
) -> None:
    """Heat and fuel of one winter, hour by hour."""
    described, folder = house_of(house, sample, "season")
    record = weather_of(described, folder, weather)

    from heatloss.report import season_csv, season_json, season_report
    from heatloss.season import simulate

    result = simulate(described, record)
    if csv is not None:
        season_csv(result, csv)
    typer.echo(season_json(result, sample=sample) if json else season_report(result, units=units_of(us), sample=sample))
