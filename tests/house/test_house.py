"""A house as typed becomes one frozen description in SI units."""

from __future__ import annotations

import copy
import pickle
from pathlib import Path
from typing import Any

import pytest

from heatloss.errors import InputError
from heatloss.house import House, day_of_year, days, read_house

GABLE: dict[str, Any] = {
    "shape": {
        "kind": "gable", "length": "44 ft", "width": "20 ft", "eave": "6 ft", "ridge": "11 ft", "bearing": "90 deg",
    },
    "cover": {"glazing": "polycarbonate twin-wall 8 mm"},
    "air": {"ach": 0.8},
}  # fmt: skip


def gable(**tables: Any) -> House:
    return House(**{**copy.deepcopy(GABLE), **tables})


def test_quantities_are_si() -> None:
    house = gable(
        setpoint=[{"day": "68 degF"}],
        heater=[{"type": "pellet boiler", "output": "100000 Btu/h", "price": "$280/short_ton"}],
        water=[{"volume": "1400 gal"}],
        part=[{"on": "north wall", "u": "0.1 Btu/(h ft^2 degF)"}],
    )
    assert house.shape.length == pytest.approx(44 * 0.3048, rel=1e-12)
    assert house.setpoint[0].day == pytest.approx(20.0, abs=1e-12)
    assert house.heater[0].output == pytest.approx(100000 * 1055.05585262 / 3600, rel=1e-9)
    assert house.heater[0].price == 280.0
    assert house.water[0].volume == pytest.approx(1400 * 231 * 0.0254**3, rel=1e-12)
    assert house.part[0].u == pytest.approx(0.5678263, rel=1e-6)


def test_pairs_and_strings_are_the_same() -> None:
    typed = copy.deepcopy(GABLE)
    typed["shape"]["eave"] = (6, "ft")
    typed["shape"]["ridge"] = [11.0, "ft"]
    assert House(**typed) == gable()


def test_night_is_day_unless_typed() -> None:
    assert gable(setpoint=[{"day": "10 degC"}]).setpoint[0].night == 10.0
    assert gable(setpoint=[{"day": "10 degC", "night": "12 degC"}]).setpoint[0].night == 12.0


def test_latitude_may_be_a_plain_number() -> None:
    place = gable(place={"latitude": 41.98, "longitude": "-87.9 deg", "utc_offset": -6}).place
    assert (place.latitude, place.longitude, place.utc_offset) == (41.98, -87.9, -6.0)


def test_names_come_from_the_place_in_the_list() -> None:
    house = gable(water=[{"volume": "10 gal"}, {"volume": "20 gal"}])
    assert [tank.name for tank in house.water] == ["water 1", "water 2"]


def test_defaults_follow_the_catalogue() -> None:
    from heatloss import catalogue

    house = gable()
    assert house.cover.bridging == catalogue.default("bridging")
    assert house.cover.frame == catalogue.default("frame")
    assert house.cover.soiling == catalogue.default("soiling")
    heated = gable(setpoint=[{"day": "10 degC"}], heater=[{"type": "wood stove"}])
    assert heated.heater[0].radiant_share == catalogue.row("heaters", "wood stove")["radiant_share"]


def test_a_door_takes_its_u_value_from_the_catalogue_and_keeps_its_name() -> None:
    from heatloss import catalogue

    house = gable(part=[{"on": "east end", "area": "20 ft2", "door": "wood door"}])
    assert house.part[0].u == catalogue.row("doors", "wood door")["u_value"]
    assert house.tree()["part"][0] == {"name": "part 1", "on": "east end", "area": f"{house.part[0].area!r} m2",
                                       "door": "wood door"}  # fmt: skip


def test_a_half_round_hoop_by_width_or_radius() -> None:
    shape = {"kind": "hoop", "length": "20 m", "bearing": "0 deg"}
    by_width = gable(shape={**shape, "width": "8 m"}).shape
    by_radius = gable(shape={**shape, "radius": "4 m"}).shape
    assert by_width == by_radius
    assert (by_width.eave, by_width.ridge, by_width.strips) == (0.0, 4.0, 12)


def test_a_dome_by_radius_or_width() -> None:
    by_radius = gable(shape={"kind": "dome", "radius": "5 m"}).shape
    assert gable(shape={"kind": "dome", "width": "10 m"}).shape == by_radius
    assert (by_radius.riser, by_radius.frequency, by_radius.portion, by_radius.bearing) == (0.0, 3, "1/2", 0.0)


def test_frozen() -> None:
    house = gable()
    with pytest.raises(ValueError, match="frozen"):
        house.title = "x"  # type: ignore[misc]
    with pytest.raises(ValueError, match="frozen"):
        house.shape.length = 3.0  # type: ignore[misc]


def test_copies_and_processes_keep_everything() -> None:
    house = gable(title="A")
    assert pickle.loads(pickle.dumps(house)) == house
    assert copy.deepcopy(house) == house


def test_changed_replaces_tables_and_checks_them() -> None:
    house = gable(setpoint=[{"day": "10 degC", "night": "5 degC"}])
    warmer = house.changed(setpoint=[{"day": "12 degC"}])
    assert warmer.setpoint[0].day == 12.0
    assert warmer.changed(setpoint=house.setpoint) == house
    with pytest.raises(InputError, match="glazing must be a name in the glazing catalogue"):
        house.changed(cover={"glazing": "glass"})


OWN_ROWS = """
[glazing."my panel"]
like = "polycarbonate twin-wall 8 mm"
source = "my data sheet"
u_value = "3.0 W/(m2 K)"
"""


def test_own_rows_lie_beside_the_house_file(tmp_path: Path) -> None:
    (tmp_path / "rows.toml").write_text(OWN_ROWS, encoding="utf-8")
    typed = gable().tree() | {"cover": {"glazing": "my panel"}, "catalogue": "rows.toml"}
    file = tmp_path / "house.toml"
    from heatloss.house.toml import toml_text

    file.write_text(toml_text(typed), encoding="utf-8")
    house = read_house(file)
    assert house.own is not None
    assert house.own["glazing"]["my panel"]["u_value"] == 3.0
    assert house.changed(title="B").cover.glazing == "my panel"
    assert house.changed(title="B").own == house.own
    (tmp_path / "again.toml").write_text(house.to_toml(), encoding="utf-8")
    assert read_house(tmp_path / "again.toml") == house
    with pytest.raises(InputError, match=r'cover\.glazing must be a name in the glazing catalogue, got "my panel"'):
        gable(cover={"glazing": "my panel"})


def test_missing_own_rows_name_the_key(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text('catalogue = "rows.toml"\n' + gable().to_toml(), encoding="utf-8")
    with pytest.raises(InputError, match=r"^house.toml has 1 fault:\n  catalogue: rows must be a file"):
        read_house(file)


def test_days_of_the_year() -> None:
    assert day_of_year("01-01") == 0
    assert day_of_year("12-31") == 364
    assert [day_of_year(d) for d in ("00-10", "13-01", "04-31", "1-1", "01-01 ", "٠1-01")] == [None] * 6
    assert list(days("02-27", "03-01")) == [57, 58, 59]
    assert len(days("01-01", "12-31")) == 365
    assert len(days("10-01", "09-30")) == 365
