"""The command ``payback``."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.bar import bar
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
from heatloss.errors import InputError

DRAWS = 64


@app.command()
def payback(
    house: HouseFile = None,
    own: Annotated[Path | None, typer.Argument(metavar="[MEASURES.toml]", help="Your own measures.")] = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    measures: Annotated[Path | None, typer.Option(metavar="FILE", help="Your own measures, another way.")] = None,
    starter: Annotated[bool, typer.Option("--starter", help="Print the starter measures, to edit.")] = False,
    years: Annotated[int, typer.Option(help="How long the money is looked at.")] = 15,
    discount: Annotated[float, typer.Option(help="Interest a year: 0.05 for 5 per cent.")] = 0.05,
    escalation: Annotated[float, typer.Option(help="Rise of the fuel's price a year.")] = 0.03,
    rule: Annotated[str, typer.Option(metavar="WORD", help="Best next by npv or fuel_per_dollar.")] = "npv",
    packages: Annotated[bool, typer.Option("--packages", help="Run every package of the measures.")] = False,
    size: Annotated[int | None, typer.Option(help="Packages of at most so many measures.")] = None,
    budget: Annotated[float | None, typer.Option(metavar="USD", help="Packages of at most so much money.")] = None,
    sure: Annotated[bool, typer.Option("--sure", help="How sure it is that each measure pays.")] = False,
    within: Annotated[int | None, typer.Option(help="Years in which the money shall be back.")] = None,
    outage: Annotated[bool, typer.Option("--outage", help="Minutes gained when the fire goes out.")] = False,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the table there.")] = None,
    figure: Figure = None,
    json: Json = False,
) -> None:
    """What measures save and cost: each alone, one after another, and together."""
    if starter:
        from heatloss.decisions.measures import starter_text

        typer.echo(starter_text(), nl=False)
        return
    if own is not None and measures is not None:
        raise InputError(f"measures must be given once, got {str(own)!r} and {str(measures)!r}. Leave --measures out.")
    described, folder = house_of(house, sample, "payback")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.payback import weigh
    from heatloss.decisions.studied import studied
    from heatloss.report.payback_text import payback_csv, payback_json, payback_report

    weighed = weigh(described, record, own or measures, years=years, discount=discount, escalation=escalation)
    with bar() as progress:
        found = studied(
            weighed, rule=rule, exhaustive=packages, size=size, budget=budget, within=within,
            draws=DRAWS if sure or within is not None else 0, outages=outage, progress=progress,
        )  # fmt: skip
    if csv is not None:
        payback_csv(weighed, csv)
    if figure is not None:
        from heatloss.report.decision_plots import fuel_by_package, money_by_year, savings
        from heatloss.report.picture_file import write_pictures

        draws = [partial(savings, weighed), partial(money_by_year, weighed), partial(fuel_by_package, found)]
        write_pictures(draws, figure)
    typer.echo(
        payback_json(weighed, sample=sample, found=found) if json
        else payback_report(weighed, units=units_of(us), sample=sample, found=found)
    )  # fmt: skip
