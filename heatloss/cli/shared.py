"""What all commands share: the command itself, its options, how a house and its weather are found."""

from __future__ import annotations

import shlex
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
Kind = Annotated[str | None, typer.Option(metavar="FORMAT", help="Format of the weather, if it is not recognised.")]
Fill = Annotated[str | None, typer.Option(metavar="short", help="Fill gaps in the weather of up to 6 hours.")]
Heaters = Annotated[Path | None, typer.Option(metavar="FILE", help="Your own list of [[heater]] tables.")]
Figure = Annotated[Path | None, typer.Option(metavar="FILE", help="Draw pictures there: .png, .svg or .pdf.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON in place of the report.")]
Us = Annotated[bool, typer.Option("--us/--si", help="Units that come first.")]
Sample = Annotated[bool, typer.Option("--sample", help=f"Use the built-in house {BUILT_IN}, or the one named.")]


def units_of(us: bool) -> Units:
    """The word for the units that come first."""
    return "us" if us else "si"


def house_of(name: str | None, sample: bool, command: str) -> tuple[House, Path]:
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


def weather_of(
    house: House, folder: Path, typed: str | None, kind: str | None = None, fill: str | None = None
) -> Weather:
    """Return the weather typed on the command line, else that of the house file."""
    from heatloss.weather import read_weather, samples

    if typed is not None:
        return read_weather(typed, kind, fill=fill)
    name = house.place.weather
    if name is None:
        raise InputError(
            "weather must be given, got none in the house file and no --weather. "
            f'Type weather = "file.epw" under [place], or a sample: {", ".join(samples())}.'
        )
    beside = folder / name
    return read_weather(name if name in samples() and not beside.is_file() else beside, kind, fill=fill)
