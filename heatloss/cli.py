"""The heatloss command: reads, calls, prints; every figure comes from the library."""

from __future__ import annotations

import shlex
import sys
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperGroup

from heatloss.errors import InputError

if TYPE_CHECKING:
    from heatloss.house import House
    from heatloss.report.measures import Units
    from heatloss.weather import Weather

BUILT_IN = "larkfield"
LONGEST_NAME = 100
START = "Start with: heatloss new my_house, or look at: heatloss season --sample"


class Plain(TyperGroup):
    """Commands whose errors are plain sentences."""

    def invoke(self, ctx: Any) -> Any:
        """Run a command; what a person can mend is said on stderr, without a traceback, with exit code 2."""
        try:
            return super().invoke(ctx)
        except InputError as problem:
            typer.echo(f"heatloss: {problem}", err=True)
            raise typer.Exit(2) from None
        except KeyboardInterrupt:
            raise typer.Exit(130) from None


app = typer.Typer(
    cls=Plain, add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None,
    help="How much heat a cold-climate greenhouse loses, and what fuel its winter takes.",
)  # fmt: skip
weather_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Look at weather files.")
app.add_typer(weather_app, name="weather")

HouseFile = Annotated[str | None, typer.Argument(metavar="HOUSE.toml", help="Your house file.")]
WeatherFile = Annotated[str | None, typer.Option(metavar="FILE", help="A weather file or a sample's name.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON in place of the report.")]
Us = Annotated[bool, typer.Option("--us/--si", help="Units that come first.")]
Sample = Annotated[bool, typer.Option("--sample", help=f"Use the built-in house {BUILT_IN}, or the one named.")]


@app.command()
def season(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the hours there.")] = None,
    json: Json = False,
) -> None:
    """Heat and fuel of one winter, hour by hour."""
    described, folder = _house(house, sample, "season")
    record = _weather(described, folder, weather)

    from heatloss.report import season_csv, season_json, season_report
    from heatloss.season import simulate

    result = simulate(described, record)
    if csv is not None:
        season_csv(result, csv)
    typer.echo(season_json(result, sample=sample) if json else season_report(result, units=_units(us), sample=sample))


@app.command()
def heater(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
    margin: Annotated[float, typer.Option(help="Added to the 99.6 % load: 0.20 for 20 per cent.")] = 0.20,
    us: Us = True,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the curve of outputs there.")] = None,
    json: Json = False,
) -> None:
    """How big a heater: loads side by side, and what other outputs would do."""
    described, folder = _house(house, sample, "heater")
    record = _weather(described, folder, weather)

    from heatloss.decisions.sizing import size_heater
    from heatloss.report.decisions_text import heater_csv, heater_json, heater_report

    size = size_heater(described, record, margin=margin)
    if csv is not None:
        heater_csv(size, csv)
    typer.echo(heater_json(size, sample=sample) if json else heater_report(size, units=_units(us), sample=sample))


@app.command()
def payback(
    house: HouseFile = None,
    sample: Sample = False,
    weather: WeatherFile = None,
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
    described, folder = _house(house, sample, "payback")
    record = _weather(described, folder, weather)

    from heatloss.decisions.payback import weigh
    from heatloss.report.decisions_text import payback_csv, payback_json, payback_report

    found = weigh(described, record, measures, years=years, discount=discount, escalation=escalation)
    if csv is not None:
        payback_csv(found, csv)
    typer.echo(payback_json(found, sample=sample) if json else payback_report(found, units=_units(us), sample=sample))


@app.command()
def new(name: Annotated[str, typer.Argument(help="Name of the house; NAME.toml is written.")]) -> None:
    """Write a commented house file to fill in."""
    from heatloss.house import template
    from heatloss.report.export import write_whole

    if not 0 < len(name) <= LONGEST_NAME:
        raise InputError(f"NAME must have 1 to {LONGEST_NAME} letters, got {len(name)}. Type: heatloss new my_house")
    target = Path(name if name.endswith(".toml") else f"{name}.toml")
    if target.exists():
        raise InputError(f"NAME must be new, got {str(target)!r} (it exists). Choose another name or move that file.")
    write_whole(target, template(target.stem))
    typer.echo(f"{target} is written. Fill it in, then: heatloss season {shlex.quote(str(target))}")


@app.command()
def schema() -> None:
    """Print the JSON schema of the house file, for editors that complete what you type."""
    from json import dumps

    from heatloss.house import House

    typer.echo(dumps(House.json_schema(), indent=2, ensure_ascii=False))


@app.command()
def catalogue(
    kind: Annotated[str | None, typer.Argument(metavar="[KIND]", help="Such as glazing or fuels.")] = None,
    name: Annotated[str | None, typer.Argument(metavar="[NAME]", help="One row of it.")] = None,
    rows: Annotated[Path | None, typer.Option(metavar="FILE", help="Your own rows too.")] = None,
) -> None:
    """Show kinds, names or one row of the catalogue, with its sources."""
    from heatloss.catalogue import read_own
    from heatloss.report.catalogue_text import catalogue_report

    typer.echo(catalogue_report(kind, name, None if rows is None else read_own(rows)))


@weather_app.command("show")
def weather_show(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A weather file or a sample's name.")],
    kind: Annotated[str | None, typer.Option(metavar="FORMAT", help="Its format, if it is not recognised.")] = None,
    us: Us = True,
) -> None:
    """Site, degree days, months, cold spells and design temperatures of a weather file."""
    from heatloss.report.weather_text import weather_report
    from heatloss.weather import read_weather

    typer.echo(weather_report(read_weather(file, kind), units=_units(us)))


def _units(us: bool) -> Units:
    return "us" if us else "si"


def _house(name: str | None, sample: bool, command: str) -> tuple[House, Path]:
    """Return the house and the folder its weather file is looked up in."""
    from heatloss.house import SAMPLES, read_house, sample_house

    if sample:
        return sample_house(name or BUILT_IN), Path()
    if name is None:
        raise InputError(f"HOUSE.toml must be given, got nothing ({command}). {START}")
    if not Path(name).exists():
        shown = f"HOUSE.toml must be a file that exists, got {name!r}"
        if Path(f"{name}.toml").is_file():
            raise InputError(f"{shown}. Type: heatloss {command} {shlex.quote(f'{name}.toml')}")
        if name in SAMPLES:
            raise InputError(f"{shown} (a sample's name). Type: heatloss {command} {name} --sample")
    return read_house(name), Path(name).parent


def _weather(house: House, folder: Path, typed: str | None) -> Weather:
    """Return the weather typed on the command line, else that of the house file."""
    from heatloss.weather import read_weather, samples

    if typed is not None:
        return read_weather(typed)
    name = house.place.weather
    if name is None:
        raise InputError(
            "weather must be given, got none in the house file and no --weather. "
            f'Type weather = "file.epw" under [place], or a sample: {", ".join(samples())}.'
        )
    beside = folder / name
    return read_weather(name if name in samples() and not beside.is_file() else beside)


def main() -> None:
    """Run the command line; a terminal that lacks a sign, such as a degree sign, gets a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    app(prog_name="heatloss")
