"""Many different houses on many weather records, here or wherever an executor runs them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from heatloss.batch import COLUMNS, LANES, simulate_many
from heatloss.errors import InputError
from heatloss.weather import Weather, read_weather

if TYPE_CHECKING:
    from heatloss.house import House

Case = tuple[Any, "House", "Weather | str"]
PIECE = 2 * LANES
"""Cases an executor gets at a time: two full groups of lanes, a second or two of work."""
STOPPED = "stopped before it was run. Run it again."


def sweep(
    cases: Mapping[Any, tuple[House, Weather | str]] | Iterable[Case],
    *,
    map: Callable[..., Iterable[Any]] | None = None,
    piece: int = PIECE,
    steps_per_hour: int = 4,
    iterations: int = 2,
    threads: int = 2,
    progress: Callable[[int, int], object] | None = None,
) -> pd.DataFrame:
    """Run many cases and set their seasons side by side.

    Parameters
    ----------
    cases : mapping or iterable
        ``{name: (house, weather)}``, or ``(name, house, weather)`` one after the other. A weather is a record, or what
        ``read_weather`` takes: a name or a path travels lighter. Cases of one weather run best in a row.
    map : callable, optional
        ``map`` of an executor of threads or processes, or of ``dask.distributed``'s ``client.get_executor()``. Without
        it threads of this process run.
    piece : int
        Cases handed over at a time.
    steps_per_hour, iterations : int
        As for ``simulate``.
    threads : int
        Without ``map``; a worker of an executor uses one.
    progress : callable, optional
        Called with the cases done and the cases in all, after each piece.

    Returns
    -------
    frame
        One row per case in their order, index ``case``, columns as ``Totals.frame``: ``heat_kwh``, ``peak_w``,
        ``fuel``, ``unit``, ``cost`` and so on. ``error`` says why a case has no figures, else it is empty.

    Raises
    ------
    InputError
        For cases that are no such thing, names that come twice, or a piece that is no whole number.

    Notes
    -----
    Nothing that is done is lost: a case that cannot be run, a piece whose worker died for good, and everything not yet
    run when Ctrl-C is pressed are rows with an error. ``frame[frame.error != ""].index`` is what to run again. A dask
    cluster runs the pieces of a dead worker again by itself.

    Examples
    --------
    >>> from heatloss import sample_house
    >>> house = sample_house()
    >>> frame = sweep({name: (house, name) for name in ("chicago", "northway")}, steps_per_hour=1, iterations=1)
    >>> bool(frame.loc["northway", "heat_kwh"] > frame.loc["chicago", "heat_kwh"])
    True
    """
    if isinstance(piece, bool) or not isinstance(piece, int) or piece < 1:
        raise InputError(f"piece must be a whole number > 0, got {piece!r}.")
    listed = _listed(cases)
    pieces = [listed[first : first + piece] for first in range(0, len(listed), piece)]
    work = partial(_run, steps_per_hour, iterations, threads if map is None else 1)
    frames: list[pd.DataFrame] = []
    try:
        for frame in _results(map, work, pieces):
            frames.append(frame)
            if progress is not None:
                progress(sum(len(f) for f in frames), len(listed))
    except KeyboardInterrupt:
        pass
    frames += [_failed(part, STOPPED) for part in pieces[len(frames) :]]
    if not frames:
        return pd.DataFrame(columns=list(COLUMNS), index=pd.Index([], name="case"))
    every: pd.DataFrame = pd.concat(frames)
    return every


def _listed(cases: Mapping[Any, tuple[House, Weather | str]] | Iterable[Case]) -> list[Case]:
    """The cases as (name, house, weather), checked."""
    given = [(k, *v) for k, v in cases.items()] if isinstance(cases, Mapping) else [tuple(case) for case in cases]
    for case in given:
        if len(case) != 3 or not hasattr(case[1], "shape"):
            raise InputError(f"cases must be (name, house, weather), got {len(case)} things beginning {case[0]!r}.")
        if not isinstance(case[2], (Weather, str)):
            raise InputError(f"weather must be a record or a name, got {case[2]!r} (case {case[0]!r}).")
    names = pd.Index([case[0] for case in given])
    if not names.is_unique:
        raise InputError(f"names must be used once, got {names[names.duplicated()][0]!r} again (cases).")
    return given


def _results(
    map: Callable[..., Iterable[Any]] | None, work: Callable[[list[Case]], pd.DataFrame], pieces: list[list[Case]]
) -> Iterator[pd.DataFrame]:
    """A frame for each piece in turn; one that an executor loses is passed over, and the rest handed over again."""
    done = 0
    while done < len(pieces):
        try:
            for frame in (_here if map is None else map)(work, pieces[done:]):
                done += 1
                yield frame
        except Exception as fault:  # what a dead worker looks like is each executor's own affair
            why = f"{type(fault).__name__}: {fault}".rstrip(": ")
            done += 1
            yield _failed(pieces[done - 1], f"the executor must live until the case is done, got {why}. Run it again.")


def _here(work: Callable[[list[Case]], pd.DataFrame], pieces: list[list[Case]]) -> Iterator[pd.DataFrame]:
    return (work(part) for part in pieces)


def _run(steps_per_hour: int, iterations: int, threads: int, cases: list[Case]) -> pd.DataFrame:
    """Run a piece in a worker."""
    frames = []
    for weather in dict.fromkeys(_key(case) for case in cases):
        mine = [case for case in cases if _key(case) == weather]
        given = mine[0][2]
        try:
            record = _record(given) if isinstance(given, str) else given
        except InputError as problem:
            frames.append(_failed(mine, str(problem)))
            continue
        houses = pd.Series([house for _, house, _ in mine], index=pd.Index([name for name, _, _ in mine]), dtype=object)
        totals = simulate_many(houses, record, steps_per_hour=steps_per_hour, iterations=iterations, threads=threads)
        frames.append(totals.frame)
    frame: pd.DataFrame = pd.concat(frames).loc[[name for name, _, _ in cases]].rename_axis("case")
    return frame


def _key(case: Case) -> Any:
    return case[2] if isinstance(case[2], str) else id(case[2])


@lru_cache(maxsize=8)
def _record(name: str) -> Weather:
    return read_weather(name)


def _failed(cases: list[Case], why: str) -> pd.DataFrame:
    index = pd.Index([name for name, _, _ in cases], name="case")
    blank = dict.fromkeys(COLUMNS, np.nan) | {"unit": "", "error": why}
    return pd.DataFrame([blank] * len(cases), columns=list(COLUMNS), index=index)
