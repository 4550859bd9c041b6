"""The built-in houses and the text a new house starts from."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest

from heatloss.errors import UnknownNameError
from heatloss.house import SAMPLES, House, sample_house, sample_text, template


def test_there_is_one_of_each_kind() -> None:
    assert {sample_house(name).shape.kind for name in SAMPLES} == {"gable", "dome", "hoop", "lean-to"}
    assert {sample_house(name).place.weather for name in SAMPLES} == {"chicago", "golden", "sand_point", "northway"}


def test_larkfield_is_as_described() -> None:
    house = sample_house()
    assert house.shape.length == pytest.approx(44 * 0.3048)
    assert house.shape.width == pytest.approx(20 * 0.3048)
    assert house.cover.glazing == "polycarbonate twin-wall 8 mm"
    assert house.water[0].volume == pytest.approx(5.2996, abs=1e-4)
    assert house.floor.depth == pytest.approx(2 * 0.3048)
    assert house.part[0].on == ("north wall",)


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_say_that_they_are_invented(name: str) -> None:
    head = sample_text(name).split("\n")
    assert head[0] == "#:schema heatloss.schema.json"
    assert "An invented house" in head[1]


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_come_back_from_their_own_toml(name: str) -> None:
    house = sample_house(name)
    assert House(**tomllib.loads(house.to_toml())) == house


def test_unknown_sample() -> None:
    with pytest.raises(UnknownNameError) as error:
        sample_house("larkfeld")
    assert str(error.value).startswith("sample must be a known name, got 'larkfeld'. The nearest: larkfield")


def keys_of(schema: dict[str, Any]) -> set[str]:
    inside = schema.get("properties", {})
    found = set(inside)
    for value in [*inside.values(), schema.get("items", {})]:
        found |= keys_of(value) if value else set()
    return found


def test_template_explains_every_key() -> None:
    text = template("My house")
    assert text.startswith("#:schema heatloss.schema.json\n")
    for key in keys_of(House.json_schema()):
        assert re.search(rf"(?m)(^(# )?\[\[?{key}\]|\b{key} = )", text), key


def test_every_key_of_the_template_can_be_used() -> None:
    """Each commented key, uncommented, is a known one with a value that can be read."""
    known = keys_of(House.json_schema())
    for line in template("My house").split("\n"):
        if found := re.match(r"# ([a-z_0-9]+) = (.+?)( +#.*)?$", line):
            assert found[1] in known, line
            tomllib.loads(f"{found[1]} = {found[2]}")


def test_template_with_all_keys_of_a_gable() -> None:
    skip = ("radius", "riser", "frequency", "portion", "strips", "floor_area", "perimeter", "volume", "shared_wall",
            "catalogue", "ach", "n50", "leakage_area", "glazing", "input", "steady_efficiency", "moisture",
            "cut_off")  # fmt: skip
    lines = []
    free = space = False
    for line in template("My house").split("\n"):
        free = line.startswith("# [[surface]]") or (free and line.startswith("# "))
        space = line.startswith(("# [[space]]", "# [[compost]]")) or (space and line.startswith("# "))
        found = re.match(r"# (\[\[?[a-z_]+\]|([a-z_]+) = )", line)
        lines.append(line[2:] if found and not free and (space or found[2] not in skip) else line)
    house = House(**tomllib.loads("\n".join(lines)))
    assert house.curtain
    assert house.bed
    assert house.place.obstacles
    assert house.space
