"""Estimate against log: for the terminal, for other programs, as CSV.

The JSON document ``heatloss reconcile`` holds SI where a unit is named, amounts in the log's own unit, full precision;
null stands where there is no number. ``title`` ``sample`` ``weather``; ``log`` with ``name``, ``unit``, ``start``,
``end``, ``measured``; ``estimate``, ``calibrated`` (fuel of the log's intervals); ``inputs``, one entry each with
``value``, ``low``, ``high`` (90 %), ``was``; ``correlation``; ``before``, ``after``, ``held_out`` with ``nmbe``,
``cv_rmse``, ``parameters``; ``noise``; ``carried``; ``saving`` with ``expected``, ``measured``, ``saved``, ``low``,
``high``; ``next_winter`` with ``amount``, ``low``, ``high`` (90 %); ``intervals``; ``notes``; ``written``;
``cautions``.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from heatloss.files import write_whole
from heatloss.fuel import trade_unit
from heatloss.fuel.amount import unit_energy
from heatloss.report.cautions import CAUTIONS
from heatloss.report.document import cautioned, document, framed, titled
from heatloss.report.log_words import COMES_ON_TOP, amount, day, percent, ranged, saved_lines, units_many
from heatloss.report.measures import Units, entry, figure, heading, table, wrapped

if TYPE_CHECKING:
    from heatloss.decisions.calibration import Calibration, HouseSaving, Match, NextWinter

FAIR = 0.05
"""Up to so much off the total the estimate is called right: the monthly limit of the guideline for NMBE."""
MONTHLY = "The guideline's limits for monthly figures are 5 % for NMBE and 15 % for CV(RMSE)."


def reconcile_report(
    found: Calibration,
    coming: NextWinter,
    saved: HouseSaving | None = None,
    *,
    units: Units = "us",
    sample: bool = False,
    written: Sequence[Path] = (),
) -> str:
    """Write an estimate against a log as text 80 columns wide.

    Parameters
    ----------
    found : Calibration
        What ``calibrate`` gave.
    coming : NextWinter
        The calibrated house in another year.
    saved : HouseSaving, optional
        Of a measure that was done when the log had been fitted.
    units : str
        ``"us"`` or ``"si"``: the units that come first.
    sample : bool
        Whether the house is a built-in one.
    written : sequence of Path
        Files of the calibrated house.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    lines = [*titled(found.season, f"The estimate against {found.log.name}"), *_verdict(found)]
    lines += [*_inputs(found), *_match(found), *_saving(saved), *_coming(found, coming, units)]
    lines += [*_intervals(found), *_notes(found, written), *cautioned()]
    return framed(lines, sample)


def reconcile_json(
    found: Calibration,
    coming: NextWinter,
    saved: HouseSaving | None = None,
    *,
    sample: bool = False,
    written: Sequence[Path] = (),
) -> str:
    """An estimate against a log, as the JSON document that this module describes."""
    frame = found.intervals
    rows = frame.assign(
        start=frame["start"].dt.strftime("%Y-%m-%dT%H:%M"), end=frame["end"].dt.strftime("%Y-%m-%dT%H:%M")
    )
    return document(
        found.season,
        "heatloss reconcile",
        sample,
        log={"name": found.log.name, "unit": found.log.unit, "start": f"{frame['start'].min():%Y-%m-%d}",
             "end": f"{frame['end'].max():%Y-%m-%d}", "measured": float(frame["measured"].sum())},
        estimate=float(frame["before"].sum()),
        calibrated=float(frame["after"].sum()),
        inputs=found.inputs.drop(columns="words").reset_index().to_dict("records"),
        correlation=found.correlation.to_dict(),
        before=_stated(found.before),
        after=_stated(found.after),
        held_out=None if found.held_out is None else _stated(found.held_out),
        noise=found.noise,
        carried=found.carried,
        saving=None if saved is None else {**vars(saved), "proven": saved.proven},
        next_winter={"amount": coming.amount, "low": coming.low, "high": coming.high, "unit": coming.unit,
                     "weather": coming.season.weather.site.name},
        intervals=rows.to_dict("records"),
        notes=list(found.notes),
        written=[path.name for path in written],
        cautions=list(CAUTIONS),
    )  # fmt: skip


def reconcile_csv(found: Calibration, path: str | os.PathLike[str]) -> None:
    """Write the intervals as CSV: dates, fuel measured, of the estimate and calibrated, residual, in the log's unit."""
    unit = found.log.unit
    named = found.intervals.rename(columns={n: f"{n} [{unit}]" for n in ("measured", "before", "after", "residual")})
    write_whole(path, named.to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def _stated(match: Match) -> dict[str, Any]:
    return {"nmbe": match.nmbe, "cv_rmse": match.cv_rmse, "parameters": match.parameters}


def _verdict(found: Calibration) -> Iterator[str]:
    frame, unit = found.intervals, found.log.unit
    burned, estimate = float(frame["measured"].sum()), float(frame["before"].sum())
    off = estimate / burned - 1.0
    yield from heading("Was the estimate right?")
    if abs(off) <= FAIR:
        yield from wrapped(f"Yes, within {100 * abs(off):.0f} %, on the weather of those weeks.")
    else:
        yield from wrapped(f"No: it was {100 * abs(off):.0f} % too {'high' if off > 0 else 'low'} for those weeks.")
    days = found.log.days.sum()
    yield from entry("burned", f"{amount(burned, unit)}, {day(frame['start'].min())} to {day(frame['end'].max())}, "
                               f"{len(frame)} intervals, {days:.0f} days")  # fmt: skip
    yield from entry("the house file", f"{amount(estimate, unit)} for the same days ({percent(off, 0)})")
    yield from entry("calibrated", amount(float(frame["after"].sum()), unit))


def _inputs(found: Calibration) -> Iterator[str]:
    yield from heading("What was probably wrong in the house file")
    rows = [("", "was", "fitted", "90 % range", "known before")]
    for name, row in found.inputs.iterrows():
        factor = name not in ("inside_film", "latent")
        sign = "x " if factor else ""
        rows.append(
            (
                str(row["words"]), f"{sign}{row['was']:.2f}", f"{sign}{row['value']:.2f}",
                f"{row['low']:.2f} to {row['high']:.2f}", f"{row['prior_low']:.2f} to {row['prior_high']:.2f}",
            )
        )  # fmt: skip
    yield from table(rows, (27, 8, 9, 16, 16))
    clear = [row for _, row in found.inputs.iterrows() if not row["low"] <= row["was"] <= row["high"]]
    if clear:
        words = ", ".join(str(row["words"]) for row in clear)
        yield from wrapped(f"Outside its range by the house file: {words}.")
    else:
        yield from wrapped("None of them is off for sure: each range holds the house file's own figure.")
    for a, b, r in found.alike:
        way = "too much of one looks like too little of the other" if r < 0 else "both up looks like neither"
        yield from wrapped(f"This log cannot tell {a} from {b} well (correlation {r:+.2f}): {way}.")


def _match(found: Calibration) -> Iterator[str]:
    yield from heading("How well it fits")
    rows = [("", "NMBE", "CV(RMSE)")]
    for words, match in (
        ("house file", found.before),
        ("calibrated", found.after),
        ("weeks it did not know", found.held_out),
    ):
        if match is not None:
            rows.append((words, percent(match.nmbe), f"{100 * match.cv_rmse:.1f} %"))
    yield from table(rows, (27, 12, 12))
    yield from wrapped(f"By interval, measured less modelled, p = {found.after.parameters}. {MONTHLY}")
    yield from wrapped(f"Unexplained in a usual interval: {100 * found.noise:.0f} % of its fuel.")
    if found.held_out is not None:
        yield from wrapped("Weeks it did not know: every fourth interval, judged by a fit to the others.")


def _saving(saved: HouseSaving | None) -> Iterator[str]:
    if saved is None:
        return
    yield from heading("Since the measure")
    yield from entry("expected", f"{amount(saved.expected, saved.unit)} in {saved.intervals} intervals, by the house "
                                 "calibrated to those before it")  # fmt: skip
    yield from saved_lines(saved, saved.unit)


def _coming(found: Calibration, coming: NextWinter, units: Units) -> Iterator[str]:
    fuel = coming.season.fuels[found.heater]
    yield from heading("Next winter, calibrated")
    yield from entry("fuel", f"{amount(coming.amount, coming.unit)}, {ranged(coming)}")
    by = found.unit_energy / unit_energy(fuel.row, fuel.basis)
    trade = trade_unit(fuel.unit)
    low, mid, high = (figure(v * by * (1.0 if units == "us" else trade.si_factor)) for v in
                      (coming.low, coming.amount, coming.high))  # fmt: skip
    name = trade.many if units == "us" else trade.si
    if units_many(coming.unit) != name:
        yield from entry("that is", f"{mid} {name}, {low} to {high}")
    yield from wrapped(f"On the weather of {coming.season.weather.site.name}. {COMES_ON_TOP}")


def _intervals(found: Calibration) -> Iterator[str]:
    yield from heading(f"Interval by interval ({units_many(found.log.unit)})")
    rows = [("until", "days", "burned", "house file", "calibrated", "burned less calibrated")]
    for (_, row), days in zip(found.intervals.iterrows(), found.log.days, strict=True):
        held = " *" if row["held_out"] and found.held_out is not None else "  "
        rows.append((f"{row['end']:%Y-%m-%d}{held}", f"{days:.0f}", f"{row['measured']:.1f}", f"{row['before']:.1f}",
                     f"{row['after']:.1f}", f"{row['residual']:+.1f}"))  # fmt: skip
    yield from table(rows, (13, 6, 9, 12, 12, 24))
    if found.held_out is not None:
        yield from wrapped("* left out of the fit that was judged by them.")


def _notes(found: Calibration, written: Sequence[Path]) -> Iterator[str]:
    if found.notes or written:
        yield from heading("Notes")
    for note in found.notes:
        yield from wrapped(note, bullet="- ")
    if written:
        yield from wrapped(f"The calibrated house: {' and '.join(str(p) for p in written)}.", bullet="- ")
