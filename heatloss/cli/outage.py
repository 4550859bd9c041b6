"""The command ``outage``."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import (
    Figure,
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
def outage(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    leave: Annotated[float, typer.Option(help="Hours an alarm shall leave you to get there.")] = 1.0,
    carry: Annotated[float, typer.Option(help="Hours a battery shall carry the pumps.")] = 24.0,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write causes, limits and hours there.")] = None,
    figure: Figure = None,
    json: Json = False,
) -> None:
    """How long fish, plants and water last when fire, fuel or power fails."""
    described, folder = house_of(house, sample, "outage")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.outage import study
    from heatloss.report.outage_text import outage_csv, outage_json, outage_report

    found = study(described, record, leave=leave, carry=carry)
    if csv is not None:
        outage_csv(found, csv)
    if figure is not None:
        from heatloss.report.heater_plots import outage_course
        from heatloss.report.picture_file import write_pictures

        write_pictures([partial(outage_course, found, units=units_of(us))], figure)
    typer.echo(outage_json(found, sample=sample) if json else outage_report(found, units=units_of(us), sample=sample))
