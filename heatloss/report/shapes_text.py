"""Shapes side by side, and what moves the fuel most: for the terminal, for other programs, as CSV.

The JSON document ``heatloss shapes`` holds ``title`` ``sample`` ``weather``, ``prices`` (unit prices in usd by piece,
metre or square metre) with ``example_prices``, ``winters`` and ``shapes``, one entry per row of
``heatloss.compare_shapes``.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

from heatloss.decisions.shapes import UnitPrices
from heatloss.files import write_whole
from heatloss.fuel import trade_unit
from heatloss.report.document import cautioned, framed, plain
from heatloss.report.measures import BTU_PER_KWH, FT2_PER_M2, Units, fixed, heading, money, table, wrapped

if TYPE_CHECKING:
    import pandas as pd

    from heatloss.house import House
    from heatloss.weather import Weather

NAME_WIDTH = 22
FT = 0.3048


def shapes_report(
    found: pd.DataFrame,
    house: House,
    weather: Weather,
    *,
    units: Units = "us",
    sample: bool = False,
    prices: UnitPrices | None = None,
    winters: int = 20,
) -> str:
    """Write shapes side by side as text 80 columns wide.

    Parameters
    ----------
    found : frame
        As ``compare_shapes`` gives it.
    house : House
        The house that the others are made from.
    weather : Weather
    units : str
        ``"us"`` or ``"si"``.
    sample : bool
        Whether the house is a built-in one.
    prices : UnitPrices, optional
        The person's own; without them the examples were used.
    winters : int [year]

    Returns
    -------
    str
    """
    lines = _title(house, "The same floor in other shapes", weather)
    good = found[found["error"] == ""]
    lines += [*_heat(good, units), *_materials(good, units), *_money(good, prices, winters), *_answer(good, winters)]
    lines += [
        line for name, row in found[found["error"] != ""].iterrows() for line in wrapped(f"{name}: {row['error']}")
    ]
    return framed([*lines, *_notes(), *cautioned()], sample)


def shapes_json(
    found: pd.DataFrame,
    house: House,
    weather: Weather,
    *,
    sample: bool = False,
    prices: UnitPrices | None = None,
    winters: int = 20,
) -> str:
    """Shapes side by side as the JSON document that this module describes."""
    import heatloss

    whole = {
        "format": "heatloss shapes", "version": heatloss.__version__, "title": house.title, "sample": sample,
        "weather": weather.site.name, "prices": asdict(prices or UnitPrices()), "example_prices": prices is None,
        "winters": winters, "shapes": found.reset_index().to_dict("records"),
    }  # fmt: skip
    return json.dumps(plain(whole), indent=2, ensure_ascii=False, allow_nan=False)


def shapes_csv(found: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write the table of shapes as CSV, SI and usd."""
    table_csv(found, path)


def table_csv(found: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write a table as CSV."""
    write_whole(path, found.to_csv(float_format="%.6g", lineterminator="\n"))


def _title(house: House, question: str, weather: Weather) -> list[str]:
    title = wrapped(house.title or "A house without a title", indent=0)
    return [*title, *wrapped(f"{question}, on the weather of {weather.site.name}", indent=0)]


def _heat(found: pd.DataFrame, units: Units) -> Iterator[str]:
    us = units == "us"
    area, ua = (FT2_PER_M2, BTU_PER_KWH / 1000.0 / 1.8) if us else (1.0, 1.0)
    unit = found["unit"].iloc[0] if len(found) else ""
    trade = trade_unit(unit) if unit else None
    bought = "" if trade is None else trade.many.removesuffix(" (US)") if us else trade.si
    factor = 1.0 if us or trade is None else trade.si_factor
    yield from heading("Hull, sun and fuel")
    head = ("", "hull", "glazing", "loses", "winter sun", "darkest", "fuel")
    second = ("", *((("ft2",) * 2, "Btu/h °F") if us else (("m2",) * 2, "W/K"))[0], "Btu/h °F" if us else "W/K",
              "kWh", "mol/m2 d", bought)  # fmt: skip
    rows = [
        (
            str(name), fixed(r["hull_area"] * area, 0), fixed(r["glazing_area"] * area, 0), fixed(r["ua"] * ua, 0),
            fixed(r["winter_sun_kwh"], 0), fixed(r["light_darkest"], 1), fixed(r["fuel"] * factor, 2 if us else 0),
        )
        for name, r in found.iterrows()
    ]  # fmt: skip
    yield from table([head, second, *rows], (NAME_WIDTH, 6, 8, 10, 11, 10, 11))
    yield ""
    yield from wrapped(f"Glazing by the way it faces, {'ft2' if us else 'm2'}:")
    ways = ("north", "east", "south", "west", "flat")
    yield from table(
        [("", *ways), *((str(n), *(fixed(r[f"glazing_{w}"] * area, 0) for w in ways)) for n, r in found.iterrows())],
        (NAME_WIDTH, 8, 8, 8, 8, 8),
    )


def _materials(found: pd.DataFrame, units: Units) -> Iterator[str]:
    long = 1.0 / FT if units == "us" else 1.0
    yield from heading("Materials of the shell")
    word = "ft" if units == "us" else "m"
    yield from table(
        [
            ("", "sheets", f"tape, {word}", "board feet", f"footing, {word}"),
            *(
                (str(n), fixed(r["sheets"], 0), fixed(r["tape_m"] * long, 0), fixed(r["board_feet"], 0),
                 fixed(r["foundation_m"] * long, 0))
                for n, r in found.iterrows()
            ),
        ],
        (NAME_WIDTH, 10, 11, 13, 14),
    )  # fmt: skip


def _money(found: pd.DataFrame, prices: UnitPrices | None, winters: int) -> Iterator[str]:
    example = " (EXAMPLE unit prices, put in your own)" if prices is None else ""
    yield from heading(f"Money{example}")
    yield from table(
        [
            ("", "shell", "fuel a year", f"with {winters} winters"),
            *(
                (str(n), money(r["build"]), money(r["cost"]), money(r["twenty_winters"]))
                for n, r in found.sort_values("twenty_winters").iterrows()
            ),
        ],
        (NAME_WIDTH, 12, 14, 18),
    )
    if prices is None:
        paid = UnitPrices()
        yield from wrapped(
            f"Invented: {money(paid.sheet)} a sheet of 4 by 8 ft, {money(paid.tape * FT)} a foot of tape, "
            f"{money(paid.board_foot)} a board foot, {money(paid.foundation * FT)} a foot of footing, "
            f"{money(paid.opaque / FT2_PER_M2)} a square foot of wall, {money(paid.hub)} a dome hub."
        )


def _answer(found: pd.DataFrame, winters: int) -> Iterator[str]:
    if not {"gable", "dome"} <= set(found.index):
        return
    gable, dome = found.loc["gable"], found.loc["dome"]
    yield ""
    for what, key in (("to build", "build"), (f"with {winters} winters of fuel", "twenty_winters")):
        less = dome[key] - gable[key]
        word = "cheaper" if less > 0.0 else "dearer"
        yield from wrapped(f"A plain rectangle would be {money(abs(less))} {word} than a dome {what}.")


def _notes() -> Iterator[str]:
    yield from heading("How it is reckoned")
    yield from wrapped(
        "Loses: rated, floor and air among it. Darkest: light on floor and beds in the darkest month. All "
        "shapes but the house as it is have the glazing all around, no insulated wall and no curtain, so "
        "compare them with one another. Air leaks are taken by volume and class alike. Sheets: area over 32 "
        "ft2, a tenth more for offcuts, a third more for a dome's triangles. Tape: every joint and outline. "
        "Board feet: a two-by-four along each of them; a hoop's bows count as wood of the same length."
    )


def sensitivity_report(found: pd.DataFrame, house: House, weather: Weather, *, sample: bool = False) -> str:
    """Write what moves the fuel most as text 80 columns wide.

    Parameters
    ----------
    found : frame
        As ``one_at_a_time`` gives it.
    house : House
    weather : Weather
    sample : bool
        Whether the house is a built-in one.

    Returns
    -------
    str
    """
    lines = _title(house, "What moves the fuel most, one thing at a time", weather)
    lines += heading("Fuel as a share of the house as it is")
    widths = (30, 9, 9, 10, 9, 9)
    rows = [
        (r["words"], f"{r['low']:g}", f"{r['high']:g}", r["unit"], f"{100 * (r['fuel_low'] / r['fuel'] - 1):+.0f} %",
         f"{100 * (r['fuel_high'] / r['fuel'] - 1):+.0f} %")
        for _, r in found.iterrows()
    ]  # fmt: skip
    lines += table([("", "from", "to", "", "fuel at", "fuel at"), ("", "", "", "", "from", "to"), *rows], widths)
    lines += ["", *wrapped("Why these ranges; they are not all equally likely:")]
    lines += [line for _, r in found.iterrows() for line in wrapped(f"{r['words']}: {r['why']}", bullet="- ")]
    return framed([*lines, *cautioned()], sample)
