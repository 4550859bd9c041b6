"""The command ``heater``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import HouseFile, Json, Sample, Us, WeatherFile, app, house_of, units_of, weather_of


@app.command()
def heater(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    margin: Annotated[float, typer.Option(help="Added to the 99.6 % load: 0.20 for 20 per cent.")] = 0.20,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the curve of outputs there.")] = None,
    json: Json = False,
) -> None:
    """How big a heater: loads side by side, and what other outputs would do."""
    described, folder = house_of(house, sample, "heater")
    record = weather_of(described, folder, weather)

    from heatloss.decisions.sizing import size_heater
    from heatloss.report.heater_text import heater_csv, heater_json, heater_report

    size = size_heater(described, record, margin=margin)
    if csv is not None:
        heater_csv(size, csv)
    typer.echo(heater_json(size, sample=sample) if json else heater_report(size, units=units_of(us), sample=sample))
