"""The JSON schema of the house file says the same as the reader."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from heatloss.house import SAMPLES, House, sample_text, template

SCHEMA = House.json_schema()


def test_it_is_a_schema_and_plain_json() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA, allow_nan=False)) == SCHEMA
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["required"] == ["shape", "air"]


def described(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for name, value in schema.get("properties", {}).items():
        yield name, value
        yield from described(value)
        yield from described(value.get("items", {}))


def test_every_key_is_described() -> None:
    found = list(described(SCHEMA))
    assert len(found) > 100
    for name, value in found:
        assert value["description"].endswith("."), name


@pytest.mark.parametrize("text", [template("x"), *map(sample_text, SAMPLES)])
def test_files_that_read_are_valid(text: str) -> None:
    jsonschema.validate(tomllib.loads(text), SCHEMA)


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [("shape", "lenght", "8 ft"), ("shape", "kind", "barn"), ("shape", "eave", 8), ("air", "ach", True), ("", "x", 1)],
)
def test_what_is_refused_is_invalid(table: str, key: str, value: Any) -> None:
    tree = tomllib.loads(sample_text())
    (tree[table] if table else tree)[key] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(tree, SCHEMA)
