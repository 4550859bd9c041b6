"""The words for sides."""

from __future__ import annotations

from typing import Any

import pytest

from heatloss.house import Shape, side_words, sides
from heatloss.house.sides import means

LONG = {"length": "20 m", "width": "8 m"}
EAST_WEST = ("north wall", "south wall", "north roof", "south roof", "east end", "west end")
NORTH_SOUTH = ("east wall", "west wall", "east roof", "west roof", "north end", "south end")


@pytest.mark.parametrize(("bearing", "words"), [(45, EAST_WEST), (90, EAST_WEST), (135, EAST_WEST), (270, EAST_WEST),
                                                (0, NORTH_SOUTH), (44.9, NORTH_SOUTH), (180, NORTH_SOUTH),
                                                (360, NORTH_SOUTH)])  # fmt: skip
def test_gable(bearing: float, words: tuple[str, ...]) -> None:
    shape = Shape(kind="gable", **LONG, eave="2 m", ridge="3 m", bearing=f"{bearing} deg")
    assert sides(shape) == words


OTHERS: list[tuple[dict[str, Any], tuple[str, ...]]] = [
    ({"kind": "box", **LONG, "eave": "3 m"}, ("north wall", "south wall", "roof", "east end", "west end")),
    ({"kind": "hoop", **LONG}, ("north roof", "south roof", "east end", "west end")),
    ({"kind": "hoop", **LONG, "eave": "1 m", "ridge": "4 m"}, EAST_WEST),
    (
        {"kind": "lean-to", **LONG, "eave": "2 m", "ridge": "3 m", "shared_wall": "north wall"},
        ("north wall", "south wall", "south roof", "east end", "west end"),
    ),
    (
        {"kind": "lean-to", **LONG, "eave": "2 m", "ridge": "3 m", "shared_wall": "south wall"},
        ("north wall", "south wall", "north roof", "east end", "west end"),
    ),
    ({"kind": "dome", "radius": "5 m"}, ("dome north", "dome east", "dome south", "dome west")),
    (
        {"kind": "dome", "radius": "5 m", "riser": "1 m"},
        ("dome north", "dome east", "dome south", "dome west", "riser"),
    ),
]


@pytest.mark.parametrize(("typed", "words"), OTHERS)
def test_other_shapes(typed: dict[str, Any], words: tuple[str, ...]) -> None:
    assert sides(Shape(**typed, bearing="90 deg")) == words


def test_words_for_several() -> None:
    hoop = Shape(kind="hoop", **LONG, bearing="90 deg")
    assert side_words(hoop) == (*sides(hoop), "ends", "roof", "all")
    dome = Shape(kind="dome", radius="5 m", riser="1 m")
    assert side_words(dome) == (*sides(dome), "dome", "all")
    free = Shape(kind="free", floor_area="40 m2", perimeter="26 m", volume="100 m3")
    assert sides(free) == ()
    assert side_words(free, ["front wall", ""]) == ("front wall", "", "walls", "all")


@pytest.mark.parametrize(("typed", "words"), OTHERS)
def test_geometry_uses_the_same_words(typed: dict[str, Any], words: tuple[str, ...]) -> None:
    from heatloss.geometry import build
    from heatloss.house import House

    shared = typed.get("shared_wall")
    part = [{"on": shared, "u": "0.3 W/(m2 K)", "behind": "house"}] if shared else []
    house = House(
        shape={**typed, "bearing": "90 deg"}, cover={"glazing": "glass single 3 mm"}, air={"ach": 1}, part=part
    )
    found = {"part 1" if shared == word else word for word in words}
    assert {surface.part for surface in build(house).surfaces} == found


def test_what_words_mean() -> None:
    shape = Shape(kind="gable", **LONG, eave="2 m", ridge="3 m", bearing="90 deg")
    assert means(["walls"], shape, part="north wall")
    assert means(["north wall"], shape, part="north wall")
    assert not means(["walls"], shape, part="north roof")
    assert not means(["walls"], shape, part="glazed wall panel")  # a part is no side, whatever it is called
    assert means(["walls"], shape, part="window", side="south wall")  # but it stands in one
    assert not means(["roof"], shape, part="roof window", side="south wall")
    assert means(["all"], shape, part="glazed wall panel")
    dome = Shape(kind="dome", radius="5 m", frequency=3, portion="1/2")
    assert means(["dome"], dome, part="dome north")
    assert means(["facet 7"], dome, part="dome north", name="facet 7")
