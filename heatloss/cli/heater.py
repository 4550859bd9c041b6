"""The command ``heater``."""

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
def heater(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    margin: Annotated[float, typer.Option(help="Added to the 99.6 % load: 0.20 for 20 per cent.")] = 0.20,
    heaters: Heaters = None,
    hand: Annotated[bool, typer.Option("--hand", help="One page to check with a calculator.")] = False,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the curve of outputs there.")] = None,
    figure: Figure = None,
    json: Json = False,
) -> None:
    """How big a heater: loads side by side, and what other outputs would do."""
    described, folder = house_of(house, sample, "heater")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.candidates import read_heaters
    from heatloss.decisions.sizing import size_heater
    from heatloss.report.heater_text import hand_report, heater_csv, heater_json, heater_report

    mine = () if heaters is None else read_heaters(heaters)
    size = size_heater(described, record, margin=margin, candidates=mine)
    if csv is not None:
        heater_csv(size, csv)
    if figure is not None:
        from heatloss.report.heater_plots import hours_short, load_bars, lowest_inside
        from heatloss.report.picture_file import write_pictures

        draws = (load_bars, hours_short, lowest_inside)
        write_pictures([partial(draw, size, units=units_of(us)) for draw in draws], figure)
    report = hand_report if hand else heater_report
    typer.echo(heater_json(size, sample=sample) if json else report(size, units=units_of(us), sample=sample))
