"""A log by itself: its heating line, next winter, a saving, the rest of this winter, a night without heat.

The JSON document ``heatloss signature`` holds amounts in the log's own unit, temperatures in degC, full precision; null
stands where there is no number. ``weather``; ``log`` with ``name``, ``unit``, ``start``, ``end``, ``measured``;
``line``, one entry each for ``base_load`` (a day), ``slope`` (a day and K), ``balance_temperature`` (degC),
``sun_relief`` (K m2/W) with ``value``, ``low``, ``high`` (90 %); ``cv_rmse``, ``r_squared``, ``parameters``;
``conductance_w_per_k`` with its range where fuel and efficiency are known; ``forecast``; ``saving``; ``remaining``;
``intervals``; ``notes``; ``cautions``.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from heatloss.files import write_whole
from heatloss.report.cautions import CAUTIONS
from heatloss.report.document import cautioned, plain
from heatloss.report.log_words import COMES_ON_TOP, amount, day, ranged, saved_lines, spanned, units_many
from heatloss.report.measures import Units, entry, figure, heading, pair, table, temperature, wrapped

if TYPE_CHECKING:
    from heatloss.decisions.nights import CoolDown
    from heatloss.decisions.remaining import Remaining
    from heatloss.decisions.signature import Forecast, Saving, Signature

W_PER_K_US = 3.6e3 / 1055.05585262 / 1.8


@dataclass(frozen=True)
class Told:
    """What is told of a log: its line, and whatever else was asked for; ``conductance`` is value and range [W/K]."""

    signature: Signature
    forecast: Forecast
    conductance: tuple[float, float, float] | None = None
    saving: Saving | None = None
    remaining: Remaining | None = None


def signature_report(told: Told, *, units: Units = "us") -> str:
    """Write what a log tells by itself as text 80 columns wide.

    Parameters
    ----------
    told : Told
    units : str
        ``"us"`` or ``"si"``: the units that come first.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end.
    """
    found = told.signature
    lines = [*wrapped(f"What {found.log.name} tells by itself, on the weather of {found.weather}", indent=0)]
    lines += [*_line(told, units), *_forecast(told.forecast)]
    if told.saving is not None:
        lines += [*_saving(told.saving)]
    if told.remaining is not None:
        lines += [*_remaining(told.remaining)]
    lines += [*_intervals(found), *_notes(found), *cautioned()]
    return "\n".join(lines)


def signature_json(told: Told) -> str:
    """What a log tells by itself, as the JSON document that this module describes."""
    import heatloss

    found = told.signature
    log = found.log.intervals
    data: dict[str, Any] = {
        "format": "heatloss signature",
        "version": heatloss.__version__,
        "weather": found.weather,
        "log": {"name": found.log.name, "unit": found.log.unit, "start": f"{log['start'].min():%Y-%m-%d}",
                "end": f"{log['end'].max():%Y-%m-%d}", "measured": found.log.total},
        "line": found.frame.to_dict("index"),
        "cv_rmse": found.cv_rmse,
        "r_squared": found.r_squared,
        "parameters": found.parameters,
        "conductance_w_per_k": None if told.conductance is None else _named(told.conductance),
        "forecast": {"amount": told.forecast.amount, "low": told.forecast.low, "high": told.forecast.high,
                     "weather": told.forecast.weather},
        "saving": _saving_data(told.saving),
        "remaining": _remaining_data(told.remaining),
        "intervals": _texts(signature_frame(found)).to_dict("records"),
        "notes": list(found.notes),
        "cautions": list(CAUTIONS),
    }  # fmt: skip
    return json.dumps(plain(data), indent=2, ensure_ascii=False, allow_nan=False)


def signature_frame(found: Signature) -> pd.DataFrame:
    """Start, end, measured and modelled fuel, mean temperature outdoors [degC] and sun [W/m2] of each interval."""
    log = found.log.intervals
    return log[["start", "end"]].assign(
        measured=found.measured, modelled=found.modelled, outdoor=found.days.outdoors, sun=found.days.mean_sun
    )


def signature_csv(found: Signature, path: str | os.PathLike[str]) -> None:
    """Write the intervals as CSV: dates, fuel measured and modelled, outdoor temperature and sun."""
    unit = found.log.unit
    names = {"measured": f"measured [{unit}]", "modelled": f"modelled [{unit}]", "outdoor": "outdoor [degC]",
             "sun": "sun [W/m2]"}  # fmt: skip
    text = signature_frame(found).rename(columns=names).to_csv(index=False, float_format="%.6g", lineterminator="\n")
    write_whole(path, text)


def cooldown_report(found: CoolDown, *, units: Units = "us") -> str:
    """Write what a night without heat tells as text 80 columns wide."""
    first, last = float(found.inside[0]), float(found.inside[-1])
    lines = wrapped("What a night without heat tells", indent=0)
    lines += entry("from", f"{found.start:%Y-%m-%d %H:%M} to {found.end:%H:%M}, {len(found.hours)} readings")
    lines += entry("inside", f"{temperature(first, units)} to {temperature(last, units)}")
    lines += entry("outdoors", f"{temperature(float(found.outside.mean()), units)} on the mean")
    value, low, high = found.time_constant
    lines += entry("time constant", f"{figure(value)} h, 90 % range {figure(low)} to {figure(high)}")
    value, low, high = found.store
    lines += entry("C/UA", f"{figure(value)} h, 90 % range {figure(low)} to {figure(high)}, if the house stood in "
                           "balance before")  # fmt: skip
    if found.fit.quick is not None:
        lines += entry("the air alone", f"{figure(found.fit.quick)} h")
    lines += wrapped("Times the heat loss (W/K), C/UA is the heat that the house keeps for each kelvin (Wh/K).")
    return "\n".join([*lines, *cautioned()])


def cooldown_json(found: CoolDown) -> str:
    """A night without heat as JSON: ``time_constant_h`` and ``store_h`` (C/UA) with their ranges, ``quick_h``."""
    import heatloss

    data = {
        "format": "heatloss cooldown",
        "version": heatloss.__version__,
        "start": f"{found.start:%Y-%m-%dT%H:%M}",
        "end": f"{found.end:%Y-%m-%dT%H:%M}",
        "readings": len(found.hours),
        "time_constant_h": _named(found.time_constant),
        "store_h": _named(found.store),
        "quick_h": found.fit.quick,
        "cautions": list(CAUTIONS),
    }
    return json.dumps(plain(data), indent=2, ensure_ascii=False, allow_nan=False)


def _named(found: tuple[float, float, float]) -> dict[str, float]:
    return dict(zip(("value", "low", "high"), found, strict=True))


def _line(told: Told, units: Units) -> Iterator[str]:
    found = told.signature
    unit = units_many(found.log.unit)
    line: dict[Any, dict[Any, float]] = found.frame.to_dict("index")
    yield from heading("The heating line")
    balance, per = line["balance_temperature"], 1.0 if units == "si" else 1.8
    value, low, high = (temperature(balance[name], units) for name in ("value", "low", "high"))
    yield from entry("heat begins at", f"{value} outdoors on a dark day, {spanned(low, high)}")
    value, low, high = (figure(line["slope"][name] / per) for name in ("value", "low", "high"))
    degree = "K" if units == "si" else "°F"
    yield from entry("slope", f"{value} {unit} a day for each {degree} colder, {spanned(low, high)}")
    relief = 100.0 * line["sun_relief"]["value"]
    if relief > 0.0:
        worth = pair(f"{1.8 * relief:.1f} °F", f"{relief:.1f} K", units)
        yield from entry("sun", f"a day's mean of 100 W/m2 is worth {worth}")
    base = line["base_load"]
    if base["value"] > 0.0:
        low, high = figure(max(0.0, base["low"]), 2), figure(base["high"], 2)
        yield from entry("without need", f"{figure(base['value'], 2)} {unit} a day, {spanned(low, high)}")
    if told.conductance is not None:
        value, low, high = (
            pair(f"{figure(w * W_PER_K_US)} Btu/(h °F)", f"{figure(w)} W/K", units) for w in told.conductance
        )
        yield from entry("heat loss", f"{value}, {spanned(low, high)}")
    else:
        yield from entry("heat loss", "say --fuel and --efficiency to see it in W/K")
    fit = f"CV(RMSE) {100 * found.cv_rmse:.1f} % with p = {found.parameters}, R2 {found.r_squared:.3f}"
    yield from entry("fit", f"{fit}, {len(found.measured)} intervals")


def _forecast(found: Forecast) -> Iterator[str]:
    yield from heading("A winter by this line")
    yield from entry("fuel", f"{amount(found.amount, found.unit)}, {ranged(found)}")
    yield from wrapped(f"On the weather of {found.weather}. {COMES_ON_TOP}")  # fmt: skip


def _saving(found: Saving) -> Iterator[str]:
    unit = found.line.log.unit
    yield from heading("Since the measure")
    yield from entry(
        "expected", f"{amount(found.expected, unit)} in {found.after} intervals, by {found.before} before it"
    )
    yield from saved_lines(found, unit)
    if math.isfinite(found.guideline):
        yield from wrapped(
            f"The guideline's simplified form has it within {100 * found.guideline:.0f} % of the saving."
        )
    if found.aside:
        yield from wrapped(f"{found.aside} intervals after it were left aside: no such weather was met before.")
    for note in found.notes:
        yield from wrapped(note)


def _remaining(found: Remaining) -> Iterator[str]:
    unit = found.unit
    yield from heading("The rest of this winter")
    yield from entry("on hand", f"{amount(found.stock, unit)} on {day(found.start)}")
    yield from entry("needed", f"{amount(found.need, unit)} until {day(found.until)}, {ranged(found)}")
    yield from entry("runs out", f"in {100 * found.chance:.0f} of 100 winters")
    if found.likely is not None:
        yield from entry("likely date", f"{day(found.likely)}; one in twenty: {_day(found.early)} or earlier")
    elif found.early is not None:
        yield from entry("one in twenty", f"{day(found.early)} or earlier")
    if found.order > 0.0:
        order = f"{found.order:,.0f} {units_many(unit)} by {_day(found.order_by)}"
        yield from entry("order", f"{order}: enough in 95 winters of 100, {found.lead:.0f} days for delivery")
    else:
        yield from entry("order", "nothing: it is enough in 95 winters of 100")


def _day(stamp: pd.Timestamp | None) -> str:
    return "no date" if stamp is None else day(stamp)


def _intervals(found: Signature) -> Iterator[str]:
    yield from heading(f"Interval by interval ({units_many(found.log.unit)})")
    rows = [("until", "days", "burned", "by the line", "difference")]
    frame = signature_frame(found)
    for (_, row), days in zip(frame.iterrows(), found.log.days, strict=True):
        rows.append((f"{row['end']:%Y-%m-%d}", f"{days:.0f}", f"{row['measured']:.1f}", f"{row['modelled']:.1f}",
                     f"{row['measured'] - row['modelled']:+.1f}"))  # fmt: skip
    yield from table(rows, (13, 6, 10, 13, 12))


def _notes(found: Signature) -> Iterator[str]:
    if found.notes:
        yield from heading("Notes")
    for note in found.notes:
        yield from wrapped(note, bullet="- ")


def _texts(frame: pd.DataFrame) -> pd.DataFrame:
    return frame.assign(**{n: frame[n].dt.strftime("%Y-%m-%dT%H:%M") for n in ("start", "end")})


def _saving_data(found: Saving | None) -> dict[str, Any] | None:
    if found is None:
        return None
    names = ("expected", "measured", "saved", "low", "high", "share", "guideline", "before", "after", "aside", "proven")
    return {name: getattr(found, name) for name in names}


def _remaining_data(found: Remaining | None) -> dict[str, Any] | None:
    if found is None:
        return None
    numbers = ("stock", "need", "low", "high", "chance", "order", "lead")
    dates = ("start", "until", "likely", "early", "order_by")
    stamps = {name: getattr(found, name) for name in dates}
    return {name: getattr(found, name) for name in numbers} | {
        name: None if stamp is None else f"{stamp:%Y-%m-%d}" for name, stamp in stamps.items()
    }
