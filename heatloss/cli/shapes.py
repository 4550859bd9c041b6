"""The commands ``shapes`` and ``sensitivity``."""

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

CURTAINS = (0.0, 0.05, 0.1, 0.15, 0.2)
LEAKS = (0.5, 0.75, 1.0, 1.5, 2.0)


@app.command()
def shapes(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    prices: Annotated[Path | None, typer.Option(metavar="FILE", help="Your unit prices (TOML).")] = None,
    winters: Annotated[int, typer.Option(help="Winters of fuel to add to the build cost.")] = 20,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the table there.")] = None,
    json: Json = False,
) -> None:
    """The same floor in other shapes: sun, fuel, materials, money."""
    described, folder = house_of(house, sample, "shapes")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.shapes import compare_shapes, forms_of, read_prices
    from heatloss.report.shapes_text import shapes_csv, shapes_json, shapes_report

    paid = None if prices is None else read_prices(prices)
    found = compare_shapes(forms_of(described), record, prices=paid, winters=winters)
    if csv is not None:
        shapes_csv(found, csv)
    said = shapes_json if json else partial(shapes_report, units=units_of(us))
    typer.echo(said(found, described, record, sample=sample, prices=paid, winters=winters))


@app.command()
def sensitivity(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    kind: Kind = None,
    fill: Fill = None,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the table there.")] = None,
    figure: Figure = None,
) -> None:
    """What moves the fuel most, one thing at a time; curtain against leakage in the picture."""
    described, folder = house_of(house, sample, "sensitivity")
    record = weather_of(described, folder, weather, kind, fill)

    from heatloss.decisions.sensitivity import map_of_two, one_at_a_time
    from heatloss.report.shapes_text import sensitivity_report, table_csv

    found = one_at_a_time(described, record)
    if csv is not None:
        table_csv(found, csv)
    if figure is not None:
        from heatloss.report.decision_plots import fuel_map, swings
        from heatloss.report.picture_file import write_pictures

        both = map_of_two(described, record, "curtain", CURTAINS, "leakage", LEAKS)
        write_pictures([partial(swings, found), partial(fuel_map, both)], figure)
    typer.echo(sensitivity_report(found, described, record, sample=sample))
