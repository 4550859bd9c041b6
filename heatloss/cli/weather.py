"""The commands ``weather ...``."""

from __future__ import annotations

from typing import Annotated

import typer

from heatloss.cli.shared import Us, units_of, weather_app


@weather_app.command("show")
def weather_show(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A weather file or a sample's name.")],
    kind: Annotated[str | None, typer.Option(metavar="FORMAT", help="Its format, if it is not recognised.")] = None,
    us: Us = True,
) -> None:
    """Site, degree days, months, cold spells and design temperatures of a weather file."""
    from heatloss.report.weather_text import weather_report
    from heatloss.weather import read_weather

    typer.echo(weather_report(read_weather(file, kind), units=units_of(us)))
