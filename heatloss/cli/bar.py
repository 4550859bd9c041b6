"""A bar for what takes its time, on stderr and only where a person looks on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def bar() -> Iterator[Callable[[str, int, int], None] | None]:
    """A callable that is told what is being done, how much is done, and of how much; None where nobody looks on."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress, TaskID

    with Progress(console=Console(stderr=True), transient=True) as shown:
        tasks: dict[str, TaskID] = {}

        def say(what: str, done: int, whole: int) -> None:
            if what not in tasks:
                tasks[what] = shown.add_task(what, total=whole)
            shown.update(tasks[what], completed=done, total=whole)

        yield say
