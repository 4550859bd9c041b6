"""Shapes of one floor: closed forms for hull and materials, the season for heat, sums for money."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from heatloss import House, InputError, UnknownNameError, compare_shapes, sample_house, simulate
from heatloss.decisions.shapes import (
    COLUMNS,
    FORMS,
    UnitPrices,
    build_cost,
    equal_bench,
    forms_of,
    read_prices,
    take_off,
    variant,
)
from heatloss.geometry import build

FT, FT2 = 0.3048, 0.3048**2


@pytest.mark.parametrize("kind", FORMS)
def test_every_form_has_the_same_floor(house: Any, kind: str) -> None:
    assert build(variant(house, kind)).floor_area == pytest.approx(450.0 * FT2, rel=1e-9)


def test_the_same_gable_comes_back(house: Any) -> None:
    same = build(variant(house, "gable"))
    assert same.volume == pytest.approx(build(house).volume, rel=1e-9)


def test_turned_and_steeper(house: Any) -> None:
    assert variant(house, "gable", bearing=0.0).shape.bearing == 0.0
    steep = variant(house, "gable", pitch=45.0).shape
    assert steep.ridge - steep.eave == pytest.approx(0.5 * steep.width)
    names = list(forms_of(house))
    assert names == ["as it is", *FORMS, "gable, turned", "gable, roof at 45 deg", "gable, roof at 20 deg"]


def test_take_off_of_a_box_by_hand() -> None:
    """10 x 4 m, 2 m high: sheets 68 m2 of walls and 40 of roof over 2.973 m2, a tenth more."""
    box = House(shape={"kind": "box", "length": "10 m", "width": "4 m", "eave": "2 m", "bearing": "90 deg"},
                cover={"glazing": "glass single 3 mm"}, air={"ach": 1.0})  # fmt: skip
    off = take_off(box)
    walls = off.drop(index="roof")
    assert off["area"].sum() == pytest.approx(2 * (10 + 4) * 2 + 40)
    assert off["sheets"].sum() == pytest.approx(1.10 * 96.0 / (32 * FT2))
    joints = 96.0 / (4 * FT) + 2 * 2 * (10 + 2) + 2 * 2 * (4 + 2) + 2 * (10 + 4)
    assert off["tape_m"].sum() == pytest.approx(joints)
    assert off["board_feet"].sum() == pytest.approx(joints / FT * 8.0 / 12.0)  # 2 x 4 in of a foot: 2/3 board foot
    assert walls["hubs"].sum() == 0.0


def test_take_off_of_a_dome_counts_every_edge_once() -> None:
    """A 2V dome, chords over 31.72 and 36 deg: 40 triangles; of its 65 edges the 10 at the foot count half."""
    dome = House(shape={"kind": "dome", "radius": "4 m", "frequency": 2}, cover={"glazing": "glass single 3 mm"},
                 air={"ach": 1.0})  # fmt: skip
    off = take_off(dome)
    a, b = (
        2 * 4 * math.sin(math.radians(31.7175 / 2)),
        2 * 4 * math.sin(math.radians(36.0 / 2)),
    )  # chords of the 2V sphere
    assert off["tape_m"].sum() == pytest.approx(30 * a + 35 * b - 10 * b / 2, rel=1e-4)
    assert off["hubs"].sum() == 26.0


def test_build_cost_is_the_sum_of_its_pieces(house: Any) -> None:
    off, geometry = take_off(house), build(house)
    ones = UnitPrices(sheet=1.0, tape=0.0, board_foot=0.0, foundation=0.0, opaque=0.0, hub=0.0)
    assert build_cost(house, ones) == math.ceil(off["sheets"].sum())
    ground = UnitPrices(sheet=0.0, tape=0.0, board_foot=0.0, foundation=2.0, opaque=10.0, hub=0.0)
    assert build_cost(house, ground) == pytest.approx(2.0 * geometry.perimeter + 10.0 * 21.0 * FT2)


def test_rows_are_seasons(house: Any, chicago: Any) -> None:
    houses = {"gable": variant(house, "gable"), "box": variant(house, "box")}
    found = compare_shapes(houses, chicago, steps_per_hour=1, winters=20)
    assert list(found.columns) == list(COLUMNS)
    for name, it in houses.items():
        season, row = simulate(it, chicago, steps_per_hour=1), found.loc[name]
        assert (row["heat_kwh"], row["fuel"]) == (season.heat_kwh, season.fuel.amount)
        assert row["ua"] == pytest.approx(season.conductances.sum())
        assert row[[c for c in COLUMNS if c.startswith("glazing_") and c != "glazing_area"]].sum() == pytest.approx(
            row["glazing_area"]
        )
        assert row["twenty_winters"] - row["build"] == pytest.approx(
            sum(row["cost"] * 1.03 ** (t - 1) / 1.05**t for t in range(1, 21)), rel=1e-9
        )
    assert found.loc["box", "glazing_flat"] == pytest.approx(450.0 * FT2)


def test_a_list_is_named_by_titles_and_faults_stay_in_their_row(house: Any, chicago: Any) -> None:
    bad = house.changed(title="bad", part=[{"name": "a", "on": "north wall", "area": "900 ft2", "u": "1 W/(m2 K)"}])
    found = compare_shapes([house.changed(title="good"), bad], chicago, steps_per_hour=1)
    assert found.loc["good", "error"] == ""
    assert "what is left of" in found.loc["bad", "error"]
    with pytest.raises(InputError, match=r"^title must be used once, got 'x' twice\."):
        compare_shapes([house.changed(title="x")] * 2, chicago)
    with pytest.raises(InputError, match=r"^houses must be at least one"):
        compare_shapes([], chicago)


def test_scaled_to_the_same_floor(house: Any) -> None:
    hoop = sample_house("hoop")
    assert build(equal_bench(house, hoop)).floor_area == pytest.approx(450.0 * FT2, rel=1e-9)


@pytest.mark.parametrize(
    ("words", "said"),
    [({"kind": "yurt"}, "kind must be one of gable"), ({"kind": "gable", "pitch": 90.0}, "pitch must be between")],
)
def test_variants_that_cannot_be(house: Any, words: Any, said: str) -> None:
    with pytest.raises(InputError, match=f"^{said}"):
        variant(house, **words)


def test_prices_of_ones_own(tmp_path: Path) -> None:
    file = tmp_path / "prices.toml"
    file.write_text('sheet = "52 usd"\ntape = "0.50 usd/ft"\nopaque = "3 usd/ft2"\n')
    found = read_prices(file)
    assert (found.sheet, found.hub) == (52.0, UnitPrices().hub)
    assert (found.tape, found.opaque) == pytest.approx((0.5 / FT, 3 / FT2))
    file.write_text('sheets = "52 usd"\n')
    with pytest.raises(UnknownNameError, match="sheet"):
        read_prices(file)
    file.write_text("sheet = 52\n")
    with pytest.raises(InputError, match=r"^sheet must be a sum of money with its unit"):
        read_prices(file)
    with pytest.raises(InputError, match=r"^hub must be 0 or more"):
        UnitPrices(hub=-1.0)
