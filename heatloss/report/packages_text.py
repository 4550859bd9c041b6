"""Measures in order, in packages, with their chances and in an outage: for the terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from heatloss.decisions.measures import TOGETHER
from heatloss.report.measures import MONTHS, Units, count, fixed, heading, money, power, table, wrapped

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.decisions.payback import Weighed
    from heatloss.decisions.studied import Studied

NAME_WIDTH = 28
SHOWN = 8
"""Packages that are printed; all of them are in the JSON."""
RULE_WORDS = {"npv": "worth most now", "fuel_per_dollar": "saving most for each dollar"}


def studied_sections(found: Studied) -> Iterator[str]:
    """Everything that was asked for, section by section."""
    yield from _in_order(found)
    yield from _packages(found)
    yield from _shares(found)
    yield from _chances(found)
    yield from _outages(found)


def besides(weighed: Weighed, units: Units) -> Iterator[str]:
    """Heater size and light, as it is and with all together."""
    base = weighed.base
    if TOGETHER not in weighed.seasons or weighed.seasons[TOGETHER] is base:
        return
    whole = weighed.table.loc[[TOGETHER]].iloc[0]
    before, after = _size(weighed), float(whole["design_w"])
    yield from heading("Heater size and light with all together")
    yield from wrapped(
        f"Steady load on the design night, without margin: {power(before, units)} as it is, "
        f"{power(after, units)} with all together: {power(before - after, units)} less to fit."
    )
    yield from wrapped("Light on floor and beds, mol a square metre and day, month by month:")
    light = weighed.light[["as it is", TOGETHER]]
    yield from table(
        [
            ("", *(MONTHS[m - 1][:3] for m in light.index)),
            *((name, *(f"{x:.0f}" for x in light[name])) for name in light.columns),
        ],
        (NAME_WIDTH - 14, *([5] * len(light))),
    )
    yield from wrapped(
        f"Darkest month: {base.light.min():.1f} as it is, {whole['light_darkest']:.1f} with all together. Coldest air "
        f"of the file, which a leaf follows: {_degrees(base.unmet['lowest'], units)} as it is, "
        f"{_degrees(float(whole['lowest']), units)} then."
    )


def _size(weighed: Weighed) -> float:
    from heatloss.decisions.design import governing
    from heatloss.season import steady_load

    return steady_load(weighed.base, governing(weighed.base).temperature)


def _degrees(celsius: float, units: Units) -> str:
    return f"{fixed(celsius * 1.8 + 32.0, 0)} °F" if units == "us" else f"{fixed(celsius, 1)} °C"


def _in_order(found: Studied) -> Iterator[str]:
    if len(found.order) < 2:
        return
    yield from heading(f"One after another, each time the one {RULE_WORDS[found.rule]}")
    widths = (NAME_WIDTH, 11, 9, 12, 14)
    yield from table(
        [("", "saves", "costs", "worth now", "together"), ("", "$ a year", "$", "adds $", "$ now")], widths
    )
    for name, row in found.order.iterrows():
        cells = f"{row['saving'] + 0.0:,.0f}", f"{row['price']:,.0f}", f"{row['npv']:,.0f}", f"{row['npv_so_far']:,.0f}"
        yield from _named(str(name), cells, widths)
    pays = [str(name) for name in found.order.index[found.order["pays"]]]
    stop = found.order["npv_so_far"].idxmax() if pays else None
    yield from wrapped(
        f"Stop after {stop}: what follows costs more than it brings." if stop is not None
        else "None of them brings back what it costs in these years."
    )  # fmt: skip


def _named(name: str, cells: tuple[str, ...], widths: tuple[int, ...]) -> Iterator[str]:
    long = len(name) > widths[0]
    yield from wrapped(name) if long else ()
    yield from table([("" if long else name, *cells)], widths)


def _packages(found: Studied) -> Iterator[str]:
    if found.packages is None:
        return
    within = "" if found.budget is None else f" for at most {money(found.budget)}"
    yield from heading(f"The best of {len(found.packages):,d} packages{within}")
    for name, row in found.packages.head(SHOWN).iterrows():
        yield from wrapped(
            f"{money(row['npv'])} now: saves {money(row['saving'])} a year, costs {money(row['price'])}: {name}",
            bullet="- ",
        )
    yield from wrapped(
        f"Packages are run in hourly steps; in quarter hours the saving of all together moves by "
        f"{100.0 * found.coarseness:+.1f} %. All packages: --json."
    )


def _shares(found: Studied) -> Iterator[str]:
    if found.shares is None or found.meetings is None or len(found.shares) < 2:
        return
    yield from heading("Who saves what, whatever the order")
    widths = (NAME_WIDTH, 12, 12, 12)
    yield from table([("", "alone", "fair share", "as the last"), ("", "$ a year", "$ a year", "$ a year")], widths)
    for name, row in found.shares.iterrows():
        yield from _named(str(name), tuple(f"{row[key] + 0.0:,.0f}" for key in ("alone", "share", "last")), widths)
    yield from wrapped(
        f"Fair shares add up to what all together save, {money(float(found.shares['share'].sum()))} a year: what each "
        "adds, on average over every order in which they could be built."
    )
    helps = [
        f"{a} and {b}" for i, a in enumerate(found.meetings.index) for b in found.meetings.columns[i + 1 :]
        if found.meetings.loc[a, b] >= 1.0
    ]  # fmt: skip
    yield from wrapped(
        f"These save more together than one by one: {'; '.join(helps)}." if helps
        else "No two of them save more together than one by one."
    )  # fmt: skip


def _chances(found: Studied) -> Iterator[str]:
    if found.chances is None:
        return
    yield from heading(f"How sure: does it pay within {count(found.within, 'year', 'years')}")
    for name, row in found.chances.iterrows():
        yield from wrapped(sentence(str(name), row, found.within), bullet="- ")
    yield from wrapped(
        "Drawn: winter, leaks, glazing, films, thermostat, light, fuel price, efficiency, and the cost between its low "
        "and its high; the house and the changed house share each draw. A measure must pay before it wears out."
    )


def sentence(name: str, row: pd.Series[float], within: int) -> str:
    """One measure's chance to pay, in words.

    Examples
    --------
    >>> import pandas as pd
    >>> keys = ["saving_p10", "saving_p90", "payback_p10", "payback_p90", "chance", "saves"]
    >>> sentence("tape", pd.Series([60.0, 170.0, 2.4, 9.7, 0.62, 1.0], index=keys), 15)
    'tape: pays in 62 of 100 cases; saves $60 to $170 a year, back in 2.4 to 9.7 years.'
    """
    chance = round(100.0 * row["chance"])
    sure = {0: "pays in no case", 100: "pays in all cases"}.get(chance, f"pays in {chance} of 100 cases")
    low, high = row["payback_p10"], row["payback_p90"]
    back = f"back in {low:.1f} to {high:.1f} years"
    if high == 0.0:
        back = "and costs nothing"
    elif math.isinf(low):
        back = "the money never comes back"
    elif math.isinf(high):
        back = f"back in {low:.1f} years at the best, at the worst never"
    return f"{name}: {sure}; saves {money(row['saving_p10'])} to {money(row['saving_p90'])} a year, {back}."


def _outages(found: Studied) -> Iterator[str]:
    if found.outages is None:
        return
    base = float(found.outages.iloc[0])
    yield from heading("The fire goes out in the worst hour: until the air freezes")
    yield from wrapped(f"As it is {60.0 * base:.0f} minutes.")
    for name, hours in found.outages.iloc[1:].items():
        gained = 60.0 * (float(hours) - base)
        yield from wrapped(f"{name}: {60.0 * float(hours):.0f} minutes ({gained:+.0f})", bullet="- ")
