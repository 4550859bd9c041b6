"""Measures change what they say, cost what the changed geometry says, and refuse in one sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from heatloss import InputError, sample_house, simulate, surfaces
from heatloss.decisions.changes import changed
from heatloss.decisions.measures import measures_of, read_measures, starter, starter_text
from heatloss.geometry import build

FT, FT2 = 0.3048, 0.3048**2


IT, FOAM = "(measure 'it')", "(measure 'foam')"
LACKS = "the measure must change something this house has, got"
SUM = "cost must be a sum of money with its unit [usd], got"
PART = {"name": "wall", "u": "1 W/(m2 K)"}
NAME = 'Type name = "night curtain".'


def one(cost: Any = "0 usd", **change: Any) -> Any:
    return measures_of([{"name": "it", "cost": cost, "life": 10, **change}])[0]


def test_set_merges_into_tables_and_lists(house: Any) -> None:
    new = one(set={"floor": {"edge": "R-10", "depth": "2 ft"}, "setpoint": {"vent": "30 degC"}}).changed(house)
    assert new.floor.depth == pytest.approx(2 * FT)
    assert [s.vent for s in new.setpoint] == [30.0, 30.0]
    assert new.cover == house.cover
    assert house.floor.edge is None


def test_set_by_name_and_what_excludes_each_other(house: Any) -> None:
    new = one(set={"part": {"name": "door", "u": "1 W/(m2 K)"}, "air": {"n50": 8}}).changed(house)
    assert (new.part[0].door, new.part[0].u) == (None, 1.0)
    assert (new.air.ach, new.air.n50) == (None, 8.0)


def test_scale_shift_and_swap(house: Any) -> None:
    new = one(
        scale={"air": {"ach": 0.7}},
        shift={"setpoint": {"night": "-5 delta_degF"}},
        swap={"cover": {"glazing": {"glass single 3 mm": "glass sealed double"}}},
    ).changed(house)
    assert new.air.ach == pytest.approx(0.7)
    assert [s.night for s in new.setpoint] == pytest.approx([10 - 25 / 9, 20 - 25 / 9])
    assert [s.day for s in new.setpoint] == [s.day for s in house.setpoint]
    assert new.cover.glazing == "glass sealed double"


def test_keys_the_house_lacks_are_passed_over_while_one_fits(house: Any) -> None:
    change = {"air": {"ach": 0.5, "n50": 0.5, "leakage_area": 0.5}}
    assert one(scale=change).changed(house).air.ach == pytest.approx(0.5)


def test_add_appends(house: Any) -> None:
    new = one(add={"water": [{"name": "barrels", "volume": "1 m3"}]}).changed(house)
    assert [w.volume for w in new.water] == [1.0]


def test_prices_are_taken_off_the_changed_house(house: Any) -> None:
    wall = {"part": [{"name": "foam wall", "on": "north wall", "layers": [{"r": "R-19"}]}]}
    area = {  # 30 x 15 ft, eave 6 ft, ridge 9 ft; the door takes 21 ft2 of the east end
        "floor": 450.0,
        "foam wall": 180.0,
        "walls": 180.0,  # the other one
        "door": 21.0,
        "cover": 2 * 30 * (7.5**2 + 3**2) ** 0.5 + 180.0 + 2 * 15 * 7.5 - 21.0,
    }
    for of, ft2 in area.items():
        measure = one(
            {"fixed": "$10", "each": "2 usd/ft2", "of": of, "low": "1 usd/ft2", "high": "4 usd/ft2"}, add=wall
        )
        price = measure.price(measure.changed(house))
        assert (price.value, price.low, price.high) == pytest.approx((10 + 2 * ft2, 10 + ft2, 10 + 4 * ft2))
    foam = one({"each": "6 usd/ft", "of": "perimeter"}, set={"floor": {"edge": "R-10", "depth": "2 ft"}})
    assert foam.price(house).value == pytest.approx(6 * 90)
    assert one("350 usd", set={"crop": "lettuce"}).price(house).value == 350.0


def test_a_price_counted_on_what_is_not_there(house: Any) -> None:
    measure = one({"each": "2 usd/ft2", "of": "north wal"}, set={"crop": "lettuce"})
    with pytest.raises(
        InputError, match=r"^cost\.of must be .* got 'north wal' \(measure 'it'\)\. The nearest: north w"
    ):
        measure.price(house)
    covered = one({"each": "2 usd/ft2", "of": "north wall"}, add={"part": [{**PART, "on": "north wall"}]})
    with pytest.raises(InputError, match=r"^cost\.of must have an area of its own, got 'north wall', all of it parts"):
        covered.price(covered.changed(house))


def test_measures_taken_together_in_any_order(house: Any) -> None:
    many = measures_of(
        [
            {
                "name": "a",
                "cost": "0 usd",
                "life": 1,
                "add": {"part": [{"name": "n", "on": "north wall", "u": "0.3 W/(m2 K)"}]},
            },
            {"name": "b", "cost": "0 usd", "life": 1, "set": {"part": {"emissivity": 0.5}}},
            {
                "name": "c",
                "cost": "0 usd",
                "life": 1,
                "add": {"curtain": [{"material": "energy curtain", "on": "roof"}]},
            },
        ]
    )
    one_way, other = changed(house, many), changed(house, many[::-1])
    assert one_way == other
    assert [p.emissivity for p in one_way.part] == [0.5, 0.9]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"set": {"part": {"name": "dor", "u": "1 W/(m2 K)"}}},
            "name must be a [[part]] of this house, got 'dor'. The nearest: door.",
        ),
        ({"set": {"water": {"lid": True}}}, f"{LACKS} no water in it."),
        ({"scale": {"air": {"n50": 0.5}}}, f"{LACKS} no air.n50."),
        (
            {"swap": {"cover": {"glazing": {"polyethylene single": "polyethylene double inflated"}}}},
            f"{LACKS} no change for cover.glazing 'glass single 3 mm'.",
        ),
        (
            {"shift": {"cover": {"glazing": "1 K"}}},
            f"shift must be for a quantity, got cover.glazing = 'glass single 3 mm' {IT}.",
        ),
        (
            {"scale": {"air": {"ach": "half"}}},
            "scale must be a factor of 0 or more [1], got 'half' (air.ach, measure 'it'). Type 0.8.",
        ),
    ],
)
def test_what_does_not_fit_a_house(house: Any, change: Any, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        one(**change).changed(house)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"set": {"flor": {"edge": "R-10"}}}, "flor must be a known key"),
        ({"set": {"floor": {"edge": 10}}}, "floor.edge must be"),
        ({"add": {"part": [{"name": "n", "on": "nort wall", "u": "1 W/(m2 K)"}]}}, "must be a side of this gable"),
        (
            {"add": {"part": [{"name": "n", "on": "north wall", "area": "900 ft2", "u": "1 W/(m2 K)"}]}},
            "what is left of",
        ),
        ({"shift": {"setpoint": {"night": "-5 degF"}}}, "shift of setpoint.night must be a temperature difference"),
        ({"shift": {"setpoint": {"night": "20 K"}}}, "must be warmer than"),
        ({"swap": {"cover": {"glazing": "glass sealed double"}}}, "swap must be a table"),
    ],
)
def test_the_house_says_what_is_wrong_in_one_line(house: Any, change: Any, words: str) -> None:
    with pytest.raises(InputError) as refused:
        one(**change).changed(house)
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


def test_two_curtains_under_one_roof(house: Any) -> None:
    twice = measures_of(
        [
            {"name": m, "cost": "0 usd", "life": 1, "add": {"curtain": [{"material": m, "on": on}]}}
            for m, on in (("energy curtain", "roof"), ("aluminized screen", "all"))
        ]
    )
    assert all(m.changed(house).curtain for m in twice)
    with pytest.raises(InputError, match=r"^curtain must cover each side once, got energy curtain and aluminized"):
        changed(house, twice)


GOOD: dict[str, Any] = {
    "name": "foam",
    "cost": "5 usd",
    "life": 10,
    "set": {"floor": {"edge": "R-10", "depth": "2 ft"}},
}


FAULTS: list[tuple[dict[str, Any], str]] = [
    ({"cost": 500}, f'{SUM} 500 {FOAM}. Type "500 usd".'),
    ({"cost": "-5 usd"}, f"{SUM} '-5 usd' {FOAM}. Type \"500 usd\"."),
    ({"cost": "500"}, f"{SUM} '500' {FOAM}. Type \"500 usd\"."),
    (
        {"cost": {"each": 2, "of": "cover"}},
        f'cost.each must be a price with its unit [usd/m2], got 2 {FOAM}. Type cost.each = "$2/m2".',
    ),
    (
        {"cost": {"each": "2 usd/ft2"}},
        f'cost must have each and of together, got one of them {FOAM}. Type each = "2 usd/ft2", of = "cover".',
    ),
    ({"cost": {"fixed": "2 usd", "low": "3 usd"}}, f"cost must lie between low and high, got 3, 2, 2 {FOAM}."),
    ({"life": 0}, f"life must be whole years from 1 to 200, got 0 {FOAM}. Type life = 10."),
    ({"life": 2.5}, f"life must be whole years from 1 to 200, got 2.5 {FOAM}. Type life = 10."),
    (
        {"upkeep": 20},
        f'upkeep must be a price with its unit [usd/year], got 20 {FOAM}. Type upkeep = "$20/year".',
    ),
    ({"name": ""}, f"name must be given to each measure, got '' (measures, number 1). {NAME}"),
    ({"name": "all together"}, f"name must be given to each measure, got 'all together' (measures, number 1). {NAME}"),
    ({"lif": 3}, f"measure must have known keys, got 'lif' {FOAM}. The nearest: life, shift."),
    ({"alone": 1}, f"alone must be true or false, got 1 {FOAM}. Leave it out for false."),
    (
        {"close": {"from": "12-15"}},
        f'close must have from and to, got one of them {FOAM}. Type from = "12-15", to = "02-01".',
    ),
    (
        {"swap": {"air": {"on": ["roof"], "class": {}}}},
        f"swap must have on with cover.glazing alone, got air {FOAM}. Leave on out.",
    ),
    (
        {"swap": {"cover": {"on": "roof", "glazing": {}}}},
        f"on must be a list of sides, got 'roof' {FOAM}. Type on = [\"north roof\"].",
    ),
    ({"set": "floor"}, f"set must be a table of the house file's tables, got 'floor' {FOAM}."),
    ({"add": {"water": {"volume": "1 m3"}}}, f"add must hold lists, got water {FOAM}. Write [[measure.add.water]]."),
]


@pytest.mark.parametrize(("bad", "sentence"), FAULTS)
def test_a_faulty_measure_is_refused_in_one_sentence(bad: Any, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        measures_of([{**GOOD, **bad}])
    assert str(refused.value) == sentence


@pytest.mark.parametrize("key", ["cost", "life", "set"])
def test_what_must_be_there(key: str) -> None:
    with pytest.raises(InputError, match=r"measure 'foam'"):
        measures_of([{k: v for k, v in GOOD.items() if k != key}])


def test_two_may_change_the_same_thing_and_none_share_a_name() -> None:
    deeper = {**GOOD, "name": "deeper", "set": {"floor": {"depth": "4 ft"}}}
    assert [m.name for m in measures_of([GOOD, deeper])] == ["foam", "deeper"]
    with pytest.raises(InputError, match=r"^name must be used once, got 'foam' twice \(measures\)\. Rename one\.$"):
        measures_of([GOOD, {**GOOD, "set": {"crop": "lettuce"}}])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[measure]\n", "must be TOML"),
        ("", "must hold a [[measure]]"),
        ("[floor]\n", "[[measure]] tables alone"),
        ("[measure]\nname = 'a'\n", "must hold a [[measure]]"),
        ("measure = [3]\n", "measure must be a table"),
    ],
)
def test_files_that_are_none(tmp_path: Path, text: str, words: str) -> None:
    file = tmp_path / "m.toml"
    file.write_text(text)
    with pytest.raises(InputError) as refused:
        read_measures(file)
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"^file of measures must be readable, .* heatloss payback --starter$"):
        read_measures(tmp_path / "no.toml")


def test_the_starter_file_reads_and_every_cost_has_a_source(tmp_path: Path) -> None:
    file = tmp_path / "m.toml"
    file.write_text(starter_text())
    assert read_measures(file) == starter()
    assert all(m.source and m.cost.low <= m.cost.high for m in starter())
    named = {"night curtain", "insulated north wall", "second film", "taped joints", "ten water barrels"}
    assert named < {m.name for m in starter()}
    assert sum(m.alone for m in starter()) == 5


RAISE = {"circulation fans", "heat pump", "propane in place", "warm floor, cooler air"}
"""Fans warm the air a little; two change what is burned; a floor that carries all heat loses more to the soil."""


def test_every_starter_measure_fits_a_plain_house_and_lowers_its_heat(house_maker: Any, chicago: Any) -> None:
    doors = {"count": 12, "seconds": 20, "area": "20 ft2"}
    plain = house_maker(air={"ach": 1.0, "doors": doors}, water=[{"name": "tank", "volume": "300 gal"}])
    base = simulate(plain, chicago).heat_kwh
    for measure in starter():
        new = measure.changed(plain)
        assert measure.price(new).value >= 0.0
        heat = simulate(new, chicago).heat_kwh
        if measure.name == "tanks wrapped R-10":  # an unheated tank in the sun keeps its heat from the night
            assert abs(heat / base - 1.0) < 0.02
        elif measure.name not in RAISE:
            assert heat < base, measure.name


def test_starter_covers_what_growers_ask_for() -> None:
    names = {m.name for m in starter()}
    assert names >= {
        "night curtain", "insulated north wall", "insulated north roof", "kneewall 2 ft", "second film",
        "bubble lining", "bubble lining, north half", "bubble lining, ends", "better glazing", "foundation foam 4 ft",
        "taped joints", "door vestibule", "ten water barrels", "lid on the tanks", "tanks wrapped R-10",
        "nights 5 degF cooler", "warm floor, cooler air", "half the house heated", "closed 15 Dec to 1 Feb",
        "circulation fans", "heat pump", "propane in place",
    }  # fmt: skip


def test_some_sides_alone_get_another_glazing(house: Any) -> None:
    lining = next(m for m in starter() if m.name == "bubble lining, north half")
    table = surfaces(lining.changed(house))
    lined = table[table["part"] == lining.name]
    assert sorted(lined["tilt"].round()) == [22.0, 90.0]
    assert lined["area"].sum() == pytest.approx((180 + 30 * (7.5**2 + 3**2) ** 0.5) * FT2)
    whole = next(m for m in starter() if m.name == "bubble lining")
    ends = next(m for m in starter() if m.name == "bubble lining, ends")
    assert "cover.glazing" in lining.overlap(whole)
    assert "cover.glazing" in whole.overlap(lining)
    assert lining.overlap(ends) == ""


def test_days_in_which_the_house_is_closed(house: Any) -> None:
    new = one(close={"from": "12-15", "to": "02-01", "keep": "2 degC"}).changed(house)
    held = {(s.from_, s.to): (s.day, s.night) for s in new.setpoint}
    assert held == {
        ("10-01", "12-14"): (12.0, 10.0), ("02-02", "05-15"): (12.0, 10.0), ("05-16", "09-30"): (20.0, 20.0),
        ("12-15", "02-01"): (2.0, 2.0),
    }  # fmt: skip
    with pytest.raises(InputError, match=r"got no setpoint in it"):
        one(close={"from": "12-15", "to": "02-01"}).changed(house.changed(setpoint=[], heater=[]))


def test_a_new_type_of_heater_clears_what_belonged_to_the_old(house: Any) -> None:
    new = one(set={"heater": {"price": "0.2 usd/kWh", "type": "heat pump"}}).changed(house)
    assert (new.heater[0].fuel, new.heater[0].efficiency, new.heater[0].from_) == (None, None, "10-01")
    assert new.heater[0].name == "stove"


def test_a_default_and_a_table_within_a_table_can_be_changed(house: Any, house_maker: Any) -> None:
    assert one(shift={"gains": {"power": "60 W"}}).changed(house).gains.power == 60.0
    kind = {"floor": {"kind": {"bare soil": "concrete slab"}}}
    assert one(swap=kind).changed(house).floor.kind == "concrete slab"
    doors = {"count": 9, "seconds": 20, "area": "20 ft2"}
    leaky = house_maker(air={"ach": 1.0, "doors": doors})
    assert one(scale={"air": {"doors": {"count": 0.5}}}).changed(leaky).air.doors.count == 4.5


def test_sides_that_a_house_lacks_are_passed_over(house: Any) -> None:
    part = {**PART, "height": "2 ft", "on": ["north wall", "east wall", "dome north", "east end"]}
    table = surfaces(one(add={"part": [part]}).changed(house))
    assert table[table["part"] == "wall"]["area"].sum() == pytest.approx((60 + 30) * FT2)
    with pytest.raises(InputError, match=r"on must be a side of this gable, got .dome north."):
        one(add={"part": [{**PART, "on": ["dome north"]}]}).changed(house)


def test_the_north_wall_of_the_starter_is_the_whole_wall(house: Any) -> None:
    wall = next(m for m in starter() if m.name == "insulated north wall").changed(house)
    row = surfaces(wall).loc["north wall insulation"]
    assert row["area"] == pytest.approx(180 * FT2)
    assert row["role"] == "opaque"


def test_a_dome_costs_by_its_own_sides() -> None:
    dome = sample_house("dome")
    whole = one({"each": "1 usd/m2", "of": "dome"}, set={"crop": "lettuce"}).price(dome).value
    panes = sum(s.area for s in build(dome).surfaces if s.part.startswith("dome "))
    assert whole == pytest.approx(panes)
