"""The four sample houses, each on its own weather: what their seasons came out to when last looked at.

Rows stand in samples.csv beside this file; each says why it last changed. After a change that is meant, write them
anew:

    python tests/regression/test_samples.py "why the seasons changed"

Only rows that moved get the new reason.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import pytest

from heatloss import read_weather, sample_house, simulate

FILE = Path(__file__).parent / "samples.csv"
FIELDS = ("house", "weather", "heat_kwh", "peak_w", "fuel", "unit", "closure", "why_it_last_changed")
ROWS = list(csv.DictReader(FILE.read_text(encoding="utf-8").splitlines())) if FILE.exists() else []
SAME = 1e-6
"""How far a season may lie off its row: compilers and libraries differ in the last bits only."""


def measured(house: str) -> dict[str, float | str]:
    description = sample_house(house)
    place = str(description.place.weather)
    season = simulate(description, read_weather(place))
    return {
        "house": house,
        "weather": place,
        "heat_kwh": season.heat_kwh,
        "peak_w": season.peak_w,
        "fuel": season.fuel.amount,
        "unit": season.fuel.unit,
        "closure": season.closure,
    }


@pytest.mark.parametrize("row", ROWS, ids=[row["house"] for row in ROWS])
def test_season_is_the_one_of_its_row(row: dict[str, str]) -> None:
    got = measured(row["house"])
    assert got["weather"] == row["weather"]
    assert got["unit"] == row["unit"]
    for name in ("heat_kwh", "peak_w", "fuel"):
        assert got[name] == pytest.approx(float(row[name]), rel=SAME), f"{name}: see the head of this file"
    assert got["closure"] <= float(row["closure"])


def test_rows_are_whole() -> None:
    assert [row["house"] for row in ROWS] == ["larkfield", "dome", "hoop", "lean_to"]
    for row in ROWS:
        assert tuple(row) == FIELDS
        assert len(row["why_it_last_changed"]) > 10
        assert float(row["closure"]) == 1e-9


def write(why: str) -> None:
    """Write the rows anew; one that has not moved keeps its figures and its reason."""
    old = {row["house"]: row for row in ROWS}
    with FILE.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, FIELDS, lineterminator="\n")
        out.writeheader()
        for house in ("larkfield", "dome", "hoop", "lean_to"):
            got = measured(house)
            row = {name: f"{value:.9g}" if isinstance(value, float) else value for name, value in got.items()}
            row |= {"closure": "1e-9", "why_it_last_changed": why}
            before = old.get(house)
            if before and all(
                abs(float(before[name]) - float(got[name])) <= SAME * abs(float(before[name]))
                for name in ("heat_kwh", "peak_w", "fuel")
            ):
                row = before
            out.writerow(row)


if __name__ == "__main__":
    if len(sys.argv) != 2 or len(sys.argv[1]) <= 10:
        sys.exit("Say in quotes why the seasons changed.")
    write(sys.argv[1])
