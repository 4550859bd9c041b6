"""Commands about files: ``new``, ``schema``, ``catalogue``."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from heatloss.cli.shared import app
from heatloss.errors import InputError

LONGEST_NAME = 100


@app.command()
def new(name: Annotated[str, typer.Argument(help="Name of the house; NAME.toml is written.")]) -> None:
    """Write a commented house file to fill in."""
    from heatloss.files import write_whole
    from heatloss.house import template

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
