"""The command ``winters``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import (
    Fill,
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
def winters(
    house: HouseFile = None,
    sample: Sample = False,
    years: Annotated[
        str | None, typer.Option(metavar="FOLDER", help="Folder of years of one place, or one long file.")
    ] = None,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the winters as CSV.")] = None,
    json: Json = False,
) -> None:
    """The house through every winter of many years, and where the typical year stands among them."""
    from heatloss.errors import InputError
    from heatloss.files import write_whole

    if years is None:
        raise InputError("years must be given, got nothing (winters). Type: --years FOLDER")
    described, folder = house_of(house, sample, "winters")
    typical = weather_of(described, folder, weather)

    from heatloss.decisions.winters import winters as run
    from heatloss.report.winters_text import winters_csv, winters_json, winters_report
    from heatloss.weather.years import read_years

    found = run(described, read_years(years, kind, fill=fill, sun=typical), typical=typical)
    if csv is not None:
        write_whole(csv, winters_csv(found))
    typer.echo(winters_json(found, sample=sample) if json else winters_report(found, units=units_of(us), sample=sample))
