"""The command ``season``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.report.spread_text import Sureness
    from heatloss.season import Season


@app.command()
def season(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the hours there.")] = None,
    json: Json = False,
    lasts: Annotated[float, typer.Option(metavar="95", help="Buy what lasts in so many winters of 100.")] = 95.0,
    have: Annotated[
        str | None, typer.Option(metavar='"6 short_ton"', help="What is in the shed: will it run out?")
    ] = None,
    draws: Annotated[int, typer.Option(metavar="128", help="Winters and houses drawn for the range.")] = 128,
    draws_csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the draws there.")] = None,
    quick: Annotated[bool, typer.Option("--quick", help="No range of its own; a stated judgement instead.")] = False,
) -> None:
    """Heat and fuel of one winter, hour by hour, and how sure that is."""
    if quick and (have is not None or draws_csv is not None):
        raise InputError("--quick draws no winters: leave it out where --have or --draws-csv is given.")
    described, folder = house_of(house, sample, "season")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.report import season_csv, season_json, season_report
    from heatloss.season import simulate

    result = simulate(described, record)
    if csv is not None:
        season_csv(result, csv)
    sure = None if quick or not result.fuels else _sure(result, draws, lasts, have, draws_csv)
    text = season_json(result, sample=sample, sure=sure) if json else None
    typer.echo(text or season_report(result, units=units_of(us), sample=sample, sure=sure))


def _sure(result: Season, draws: int, lasts: float, have: str | None, path: Path | None) -> Sureness:
    """The range by draws at one-hour steps, corrected to the season's own steps."""
    from heatloss.decisions.spread import spread
    from heatloss.files import write_whole
    from heatloss.report.spread_text import Sureness, level_of

    level = level_of(lasts)
    found = spread(result.house, result.weather, n=draws, season=result, steps_per_hour=1, iterations=1)
    if path is not None:
        write_whole(path, found.draws.to_csv(index_label="draw", float_format="%.6g", lineterminator="\n"))
    sure = Sureness(found, level, have)
    _ = sure.have  # an amount that cannot be is refused before anything is printed
    return sure
