"""The commands ``weather ...``."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import Fill, Kind, Us, units_of, weather_app
from heatloss.errors import InputError

KEY, EMAIL = "HEATLOSS_NSRDB_KEY", "HEATLOSS_NSRDB_EMAIL"
"""Environment variables with what the NSRDB's maker knows a person by."""


@weather_app.command("show")
def weather_show(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A weather file or a sample's name.")],
    kind: Kind = None,
    fill: Fill = None,
    sun: Annotated[
        str | None, typer.Option(metavar="FILE", help="A typical year, for a station's file that has no sun.")
    ] = None,
    base: Annotated[
        list[str] | None, typer.Option(metavar="TEMPERATURE", help='Base of degree days, such as "50 degF".')
    ] = None,
    figure: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the year there: .png, .svg or .pdf.")
    ] = None,
    us: Us = True,
) -> None:
    """Site, degree days, months, cold spells and design temperatures of a weather file."""
    from functools import partial

    from heatloss.report.weather_text import weather_report
    from heatloss.units import parse
    from heatloss.weather import read_weather

    bases = [parse(text, "degC", name="base", where="--base") for text in base or []]
    found = read_weather(file, kind, fill=fill, sun=sun)
    if figure is not None:
        from heatloss.report.picture_file import write_pictures
        from heatloss.report.weather_plots import weather_year

        write_pictures([partial(weather_year, found, units=units_of(us))], figure)
    typer.echo(weather_report(found, units=units_of(us), bases=bases))


@weather_app.command("get")
def weather_get(
    lat: Annotated[float, typer.Option(help="Latitude in degrees, north positive.")],
    lon: Annotated[float, typer.Option(help="Longitude in degrees, east positive.")],
    nsrdb: Annotated[bool, typer.Option("--nsrdb", help=f"From the NSRDB, with your key in {KEY}, {EMAIL}.")] = False,
    save: Annotated[Path | None, typer.Option(metavar="FILE", help="Put a copy there.")] = None,
    again: Annotated[bool, typer.Option("--again", help="Fetch it again.")] = False,
) -> None:
    """Fetch the typical year of a point from PVGIS: the one command that goes to the network."""
    from heatloss.files import write_whole
    from heatloss.weather.download import download

    path = download(
        lat, lon, service="nsrdb" if nsrdb else "pvgis", key=os.environ.get(KEY), email=os.environ.get(EMAIL),
        refresh=again,
    )  # fmt: skip
    if save is not None:
        import gzip

        write_whole(save, gzip.decompress(path.read_bytes()).decode())
        path = save
    typer.echo(f"Weather file: {path}")
    typer.echo(f"Look at it:   heatloss weather show {path}")
    typer.echo(f'In a house:   weather = "{path}"   under [place]')


@weather_app.command("normals")
def weather_normals(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Writes NAME.toml.")],
    like: Annotated[
        str | None, typer.Option("--from", metavar="FILE", help="Take the normals of a weather file, to edit.")
    ] = None,
    latitude: Annotated[float | None, typer.Option(help="Degrees, north positive, where there is no file.")] = None,
    january: Annotated[str | None, typer.Option(help='Mean temperature, such as "22 degF".')] = None,
    july: Annotated[str | None, typer.Option(help="Mean temperature.")] = None,
    altitude: Annotated[str, typer.Option(help='Above the sea, such as "1200 ft".')] = "0 ft",
    us: Us = True,
) -> None:
    """Write monthly normals as a file that stands for weather where there is none."""
    from heatloss.files import write_whole
    from heatloss.units import parse
    from heatloss.weather import read_weather
    from heatloss.weather.normals import Normals, crude, normals_text

    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    if path.exists():
        raise InputError(f"NAME must be a file that does not exist yet, got {str(path)!r}. Give another name.")
    if like is not None:
        normals = Normals.of(read_weather(like))
    elif latitude is None or january is None or july is None:
        raise InputError(
            "latitude, january and july must be given, got not all of them (weather normals). "
            'Type: --latitude 44 --january "20 degF" --july "68 degF", or --from FILE'
        )
    else:
        cold, warm = (
            parse(text, "degC", name=key, where=f"--{key}") for key, text in (("january", january), ("july", july))
        )
        height = parse(altitude, "m", name="altitude", where="--altitude")
        normals = crude(latitude, january=cold, july=warm, altitude=height, name=path.stem)
    write_whole(path, normals_text(normals, us=us))
    typer.echo(f"Wrote {path}: edit it, then look at it: heatloss weather show {path}")
    for sentence in normals.assumed:
        typer.echo(f"- {sentence}")
