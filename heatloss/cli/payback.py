"""The command ``payback``."""

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
def payback(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    measures: Annotated[Path | None, typer.Option(metavar="FILE", help="Your own measures and their costs.")] = None,
    starter: Annotated[bool, typer.Option("--starter", help="Print the starter measures, to edit.")] = False,
    years: Annotated[int, typer.Option(help="How long the money is looked at.")] = 15,
    discount: Annotated[float, typer.Option(help="Interest a year: 0.05 for 5 per cent.")] = 0.05,
    escalation: Annotated[float, typer.Option(help="Rise of the fuel's price a year.")] = 0.03,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the table there.")] = None,
    json: Json = False,
) -> None:
    """What measures save and cost: each alone, and all together."""
    if starter:
        from heatloss.decisions.measures import starter_text

        typer.echo(starter_text(), nl=False)
        return
    described, folder = house_of(house, sample, "payback")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.payback import weigh
    from heatloss.report.payback_text import payback_csv, payback_json, payback_report

    found = weigh(described, record, measures, years=years, discount=discount, escalation=escalation)
    if csv is not None:
        payback_csv(found, csv)
    typer.echo(payback_json(found, sample=sample) if json else payback_report(found, units=units_of(us), sample=sample))
