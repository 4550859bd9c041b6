"""The command ``report``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import Fill, HouseFile, Kind, Sample, Us, WeatherFile, app, house_of, units_of, weather_of


@app.command()
def report(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="FILE", help="Where it shall stand.")] = Path(
        "report.html"
    ),
    measures: Annotated[Path | None, typer.Option(metavar="FILE", help="Your own measures and their costs.")] = None,
    us: Us = True,
) -> None:
    """One page to look at, print and keep: fuel, heater, what pays, with pictures."""
    described, folder = house_of(house, sample, "report")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.files import write_whole
    from heatloss.report.page import report_page

    write_whole(output, report_page(described, record, measures, units=units_of(us), sample=sample))
    typer.echo(f"Wrote {output}. Open it in a browser; it needs no network.")
