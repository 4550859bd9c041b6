"""Check values of the physics, one row each: physics.csv beside this file gives source, mark and tolerance."""

from __future__ import annotations

import csv
import importlib
import json
from pathlib import Path

import pytest

ROWS = list(csv.DictReader((Path(__file__).parent / "physics.csv").read_text(encoding="utf-8").splitlines()))


def value(function: str, inputs: dict[str, object]) -> float:
    """Result of ``module.name``, or of ``module.name:part`` for one part of it."""
    path, _, part = function.partition(":")
    module, name = path.split(".")
    result = getattr(importlib.import_module(f"heatloss.physics.{module}"), name)(**inputs)
    if not part:
        return result
    return result[int(part)] if part.isdigit() else getattr(result, part)


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_value(row: dict[str, str]) -> None:
    got = value(row["function"], json.loads(row["inputs"]))
    assert isinstance(got, float)
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)


def test_rows_say_where_they_come_from() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    assert all(row["source"] and row["unit"] for row in ROWS)
    assert {row["mark"] for row in ROWS} <= {"read", "from memory", "calculated"}
