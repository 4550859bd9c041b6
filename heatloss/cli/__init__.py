"""The heatloss command: reads, calls, prints; every figure comes from the library. One file a command."""

from __future__ import annotations

import sys
from io import TextIOWrapper

# isort: off - the order of the help
from heatloss.cli import (  # noqa: F401  # noqa: F401
    files,
    fuels,
    heater,
    outage,
    payback,
    reconcile,
    report,
    season,
    shapes,
    signature,
    weather,
    winters,
)

# isort: on
from heatloss.cli.shared import app

__all__ = ["app", "main"]


def main() -> None:
    """Run the command line; a terminal that lacks a sign, such as a degree sign, gets a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    app(prog_name="heatloss")
