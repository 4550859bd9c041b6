"""Whatever is typed: a house or an InputError, never anything else."""

from __future__ import annotations

import contextlib
import random
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.house import SAMPLES, House, read_house, sample_text, template

TABLES = House.json_schema()["properties"]
KEYS = sorted(TABLES)
NESTED = sorted({k for v in TABLES.values() for k in v.get("items", v).get("properties", {})})
LEAVES = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=12), st.dates(), st.times(),
    st.sampled_from(["8 ft", "R-13", "-3 m", "nan ft", "68 degF", "gable", "free", "dome", "hoop", "lean-to", "roof",
                     "10-01", "12-31", "1e400 m", "glass single 3 mm", "{key}", "all", "0.5"]),
    st.tuples(st.floats(), st.sampled_from(["ft", "m", "degC", "x"])),
)  # fmt: skip
NAMES = st.one_of(st.sampled_from(NESTED), st.text(max_size=8))
TREES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(NAMES, inner, max_size=6)),
    max_leaves=20,
)
HOUSES = st.dictionaries(st.one_of(st.sampled_from(KEYS), st.text(max_size=8)), TREES, max_size=8)


def reads(typed: dict[str, Any]) -> None:
    try:
        house = House(**typed)
    except InputError as error:
        text = str(error)
        assert "pydantic" not in text
        head, *lines = text.split("\n")
        assert head.startswith("the house has ")
        assert lines
        assert all(re.match(r"  \S.* (must (be|hold|say|leave|cover)|has) ", line) for line in lines), text
        assert text.replace("\n", "").isprintable()
    else:
        assert House(**tomllib.loads(house.to_toml())) == house


@settings(max_examples=300, deadline=5000, suppress_health_check=list(HealthCheck))
@given(HOUSES)
@example({"air": [False, "\x1f"]})
def test_any_tree(typed: dict[str, Any]) -> None:
    reads(typed)


@settings(max_examples=300, deadline=5000, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(SAMPLES), st.data())
def test_samples_with_one_thing_changed(name: str, data: st.DataObject) -> None:
    tree = tomllib.loads(sample_text(name))
    table: Any = tree[data.draw(st.sampled_from(sorted(tree)))]
    table = table[0] if isinstance(table, list) else table
    target = table if isinstance(table, dict) else tree
    target[data.draw(st.one_of(st.sampled_from(sorted(target)), NAMES))] = data.draw(TREES)
    reads(tree)


@pytest.mark.parametrize("start", range(4))
def test_mutated_files(tmp_path: Path, start: int) -> None:
    dice = random.Random(start)
    file = tmp_path / "house.toml"
    for turn in range(100):
        text = bytearray((template("x") if turn % 2 else sample_text(SAMPLES[start])).encode())
        for _ in range(dice.randint(1, 6)):
            at = dice.randrange(len(text))
            span = dice.randint(0, 20)
            new = bytes(dice.choices(b'[]{}="#\n\0 .-0123456789abcR\xff', k=dice.randint(0, 4)))
            text[at : at + span] = new
        file.write_bytes(bytes(text))
        with contextlib.suppress(InputError):
            read_house(file)
