"""The commands ``signature`` and ``cooldown``: what a log tells with no house file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heatloss.cli.reconcile import LogFile, Sun, Typical, date_of
from heatloss.cli.shared import Figure, Fill, Json, Us, app, units_of
from heatloss.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.axes import Axes

    from heatloss.decisions.remaining import Remaining
    from heatloss.decisions.signature import Signature
    from heatloss.report.signature_text import Told
    from heatloss.weather import Weather


@app.command()
def signature(
    log: LogFile,
    weather: Annotated[str, typer.Argument(metavar="WEATHER", help="Of the log's dates: a file, or a sample's name.")],
    typical: Typical = False,
    coming: Annotated[
        str | None, typer.Option("--next", metavar="FILE", help="Weather of the winter to come; WEATHER without it.")
    ] = None,
    fuel: Annotated[str | None, typer.Option(help="Its name in the fuel catalogue, to see the heat loss.")] = None,
    efficiency: Annotated[float, typer.Option(help="Heat over the fuel's higher heating value: 0.75.")] = 0.0,
    measure_on: Annotated[
        str | None, typer.Option(metavar="DATE", help="A measure was done then: what it saved.")
    ] = None,
    stock: Annotated[float | None, typer.Option(help="On hand at the log's end, in its unit: does it last?")] = None,
    until: Annotated[str, typer.Option(metavar="DATE", help="When heating ends: 2016-05-15, or 05-15.")] = "05-15",
    lead: Annotated[float, typer.Option(help="Days from order to delivery.")] = 7.0,
    forecast: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Outside temperatures to come: a CSV of date,outside [degF].")
    ] = None,
    sun: Sun = None,
    fill: Fill = None,
    us: Us = True,
    figure: Figure = None,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the intervals there.")] = None,
    json: Json = False,
) -> None:
    """What a log tells with no house file: fuel against cold and sun, next winter, a saving, whether the fuel lasts."""
    from heatloss.decisions.logs import read_log
    from heatloss.decisions.signature import saving
    from heatloss.decisions.signature import signature as fitted
    from heatloss.report.signature_text import Told, signature_csv, signature_json, signature_report
    from heatloss.weather import read_weather

    burned, record = read_log(log), read_weather(weather, fill=fill, sun=sun)
    later = record if coming is None else read_weather(coming)
    found = fitted(burned, record, typical=typical)
    told = Told(
        found,
        found.forecast(later),
        _conductance(found, fuel, efficiency),
        None if measure_on is None else saving(burned, record, date_of(measure_on, "measure_on"), typical=typical),
        None if stock is None else _remaining(found, later, stock, until, lead, forecast),
    )
    if csv is not None:
        signature_csv(found, csv)
    if figure is not None:
        _draw(told, figure, us)
    typer.echo(signature_json(told) if json else signature_report(told, units=units_of(us)))


@app.command()
def cooldown(
    log: LogFile,
    start: Annotated[str | None, typer.Option("--from", metavar="TIME", help='Heat off: "2024-01-15 22:00".')] = None,
    end: Annotated[str | None, typer.Option("--to", metavar="TIME", help="Heat, or the sun, back.")] = None,
    us: Us = True,
    figure: Figure = None,
    json: Json = False,
) -> None:
    """Time constant of a house from a logger's temperatures of one night without heat."""
    from heatloss.decisions.logs import read_log
    from heatloss.decisions.nights import cool_down
    from heatloss.report.picture_file import write_pictures
    from heatloss.report.reconcile_plots import night
    from heatloss.report.signature_text import cooldown_json, cooldown_report

    first, last = (None if t is None else date_of(t, name) for t, name in ((start, "from"), (end, "to")))
    found = cool_down(read_log(log), first, last)
    if figure is not None:
        write_pictures([lambda ax: night(found, ax, units=units_of(us))], figure)
    typer.echo(cooldown_json(found) if json else cooldown_report(found, units=units_of(us)))


def _conductance(found: Signature, fuel: str | None, efficiency: float) -> tuple[float, float, float] | None:
    if fuel is None:
        return None
    from heatloss.catalogue import row

    if not efficiency > 0.0:
        raise InputError(f"efficiency must be above 0 [1] with fuel, got {efficiency:g}. Type --efficiency 0.75.")
    return found.conductance(found.log.unit_energy(row("fuels", fuel), "hhv"), efficiency)


def _remaining(
    found: Signature, weather: Weather, stock: float, until: str, lead: float, forecast: Path | None
) -> Remaining:
    from heatloss.decisions.remaining import rest_of_winter

    last = found.log.intervals["end"].max()
    if len(until) == len("05-15"):
        end = date_of(f"{last.year}-{until}", "until")
        end = end if end > last else date_of(f"{last.year + 1}-{until}", "until")
    else:
        end = date_of(until, "until")
    return rest_of_winter(found, weather, stock, end, lead=lead, forecast=forecast)


def _draw(told: Told, path: Path, us: bool) -> None:
    from heatloss.report.picture_file import write_pictures
    from heatloss.report.reconcile_plots import fuel_left, heating_line_plot

    left = told.remaining
    draws: list[Callable[[Axes], object]] = [lambda ax: heating_line_plot(told.signature, ax, units=units_of(us))]
    if left is not None:
        draws.append(lambda ax: fuel_left(left, ax))
    write_pictures(draws, path)
