"""The command ``reconcile``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heatloss.cli.shared import Figure, Fill, Json, Sample, Us, WeatherFile, app, house_of, units_of, weather_of
from heatloss.errors import InputError

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.decisions.calibration import Calibration
    from heatloss.house import House
    from heatloss.weather import Weather

LogFile = Annotated[str, typer.Argument(metavar="LOG.csv", help="Dates and fuel burned.")]
Typical = Annotated[
    bool, typer.Option("--typical", help="Let a typical year stand for the weather of the log's dates.")
]
Sun = Annotated[
    str | None, typer.Option(metavar="FILE", help="A typical year that lends its sun to measured temperatures.")
]


@app.command()
def reconcile(
    house: Annotated[str, typer.Argument(metavar="HOUSE.toml", help="Your house file.")],
    log: LogFile,
    sample: Sample = False,
    weather: WeatherFile = None,
    typical: Typical = False,
    coming: Annotated[
        str | None, typer.Option("--next", metavar="FILE", help="Weather for next winter; the house file's without it.")
    ] = None,
    inputs: Annotated[
        list[str] | None,
        typer.Option(
            "--fit", help="An input to fit, up to four times: u, leakage, inside_film, latent, light, efficiency."
        ),
    ] = None,
    heater: Annotated[str | None, typer.Option(help="The heater that burned it; the first one without it.")] = None,
    measure_on: Annotated[
        str | None, typer.Option(metavar="DATE", help="A measure was done then: fit up to it, say what it saved since.")
    ] = None,
    sun: Sun = None,
    fill: Fill = None,
    write: Annotated[bool, typer.Option(help="Write the calibrated house file beside the old one.")] = True,
    us: Us = True,
    figure: Figure = None,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the intervals there.")] = None,
    json: Json = False,
) -> None:
    """After the winter: the estimate against the fuel burned, and what was probably wrong in the house file."""
    described, folder = house_of(house, sample, "reconcile")

    from heatloss.decisions.calibration import calibrate
    from heatloss.decisions.logs import read_log

    burned = read_log(log)
    record = _record(described, folder, weather, fill, sun)
    later = record if coming is None else weather_of(described, folder, coming)

    from heatloss.report.reconcile_text import reconcile_csv, reconcile_json, reconcile_report

    on = None if measure_on is None else date_of(measure_on, "measure_on")
    before = burned if on is None else burned.between(end=on)
    found = calibrate(described, record, before, inputs or None, heater=heater, typical=typical)
    saved = None if on is None else found.saving(burned.between(start=on), record, typical=typical)
    ahead = found.next_winter(later)
    written = _write(found, house) if write and not sample else ()
    if csv is not None:
        reconcile_csv(found, csv)
    if figure is not None:
        _draw(found, figure)
    if json:
        typer.echo(reconcile_json(found, ahead, saved, sample=sample, written=written))
    else:
        typer.echo(reconcile_report(found, ahead, saved, units=units_of(us), sample=sample, written=written))


def _record(house: House, folder: Path, typed: str | None, fill: str | None, sun: str | None) -> Weather:
    from heatloss.weather import read_weather

    if sun is None:
        return weather_of(house, folder, typed, fill=fill)
    if typed is None:
        raise InputError(f"weather must be given with sun, got only --sun {sun}. Type --weather FILE.")
    return read_weather(typed, fill=fill, sun=sun)


def date_of(text: str, name: str) -> pd.Timestamp:
    """A date typed on the command line."""
    from datetime import datetime

    import pandas as pd

    try:
        return pd.Timestamp(datetime.fromisoformat(text))
    except ValueError:
        raise InputError(f"{name} must be a date, got {text!r}. Write 2024-01-15, or 2024-01-15 22:00.") from None


def _write(found: Calibration, house: str) -> tuple[Path, ...]:
    from heatloss.decisions.calibrated import write_calibrated

    fitted = ", ".join(f"{name} {row['value']:.3g}" for name, row in found.inputs.iterrows())
    return write_calibrated(found.house, found.rows, house, f"Calibrated to {found.log.name}: {fitted}.")


def _draw(found: Calibration, path: Path) -> None:
    from heatloss.report.picture_file import write_pictures
    from heatloss.report.reconcile_plots import weeks

    write_pictures([lambda ax: weeks(found, ax)], path)
