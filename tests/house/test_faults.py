"""Every refusal of a house, word for word."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from heatloss.errors import InputError
from heatloss.house import House, Layer, Water

GABLE: dict[str, Any] = {
    "shape": {
        "kind": "gable", "length": "44 ft", "width": "20 ft", "eave": "6 ft", "ridge": "11 ft", "bearing": "90 deg",
    },
    "cover": {"glazing": "polycarbonate twin-wall 8 mm"},
    "air": {"ach": 0.8},
}  # fmt: skip
PELLETS = {"type": "pellet boiler"}
U_RANGE = "a U-value from 0.03 to 10 W/(m2 K) (0.005 to 1.76 Btu/(h ft2 degF))"
LENGTH = "a length above 0 and at most 2000 m (6562 ft)"


def faults(typed: dict[str, Any]) -> list[str]:
    with pytest.raises(InputError) as error:
        House(**typed)
    head, *lines = str(error.value).split("\n")
    assert head.startswith(f"the house has {len(lines)} fault")
    assert all(line.startswith("  ") for line in lines)
    return [line[2:] for line in lines]


def with_shape(**keys: Any) -> dict[str, Any]:
    typed = copy.deepcopy(GABLE)
    typed["shape"] = {k: v for k, v in {**typed["shape"], **keys}.items() if v is not None}
    return typed


SHAPES = [
    (
        {"ridge": "5 ft"},
        'shape.ridge must be higher than shape.eave "6 ft", got "5 ft". '
        "Measure both from the ground; the ridge is the highest line of the roof.",
    ),
    (
        {"ridge": [6, "ft"]},
        'shape.ridge must be higher than shape.eave "6 ft", got 6 ft. '
        "Measure both from the ground; the ridge is the highest line of the roof.",
    ),
    ({"length": "-44 ft"}, f'shape.length must be {LENGTH}, got "-44 ft".'),
    ({"length": "0 ft"}, f'shape.length must be {LENGTH}, got "0 ft".'),
    ({"length": "9 km"}, f'shape.length must be {LENGTH}, got "9 km".'),
    (
        {"length": 44},
        'shape.length must be a length with its unit [m], got 44. Type length = "44 ft" or length = "44 m".',
    ),
    ({"length": None}, 'shape.length must be given for a gable, got nothing. Type, for example, length = "44 ft".'),
    (
        {"radius": "15 ft"},
        'shape.radius must be left out for a gable, got "15 ft". A gable takes length, width, eave, ridge, bearing.',
    ),
    ({"lenght": "44 ft"}, 'shape.lenght must be a known key, got "lenght". The nearest: length, bearing.'),
    (
        {"kind": "barn"},
        'shape.kind must be "gable" or "box" or "hoop" or "gothic" or "lean-to" or "dome" or "free", got "barn".',
    ),
    (
        {"bearing": "400 deg"},
        "shape.bearing must be a compass bearing from 0 deg (north) over 90 deg (east) to 360 deg, "
        'got "400 deg".',
    ),
    (
        {"kind": "hoop", "eave": "2 ft", "ridge": "13 ft"},
        'shape.ridge must be at most half the width above the eave for a hoop, got "13 ft". '
        'A higher arch is kind = "gothic".',
    ),
    (
        {"kind": "hoop", "eave": None, "ridge": None, "radius": "10 ft"},
        'shape.radius must be left out where width is given, got "10 ft". Keep the one you measured.',
    ),
    ({"kind": "box", "eave": "0 ft", "ridge": None}, 'shape.eave must be above 0 for a box, got "0 ft". '
     "It is its height."),
    (
        {"kind": "lean-to", "shared_wall": "east wall"},
        'shape.shared_wall must be "north wall" or "south wall" with this bearing, got "east wall". '
        "The bearing is that of the ridge, which lies along the shared wall.",
    ),
    (
        {"kind": "lean-to"},
        'shape.shared_wall must be given for a lean-to, got nothing. '
        'Type, for example, shared_wall = "north wall".',
    ),
    ({"kind": "gothic", "strips": 5}, "shape.strips must be an even whole number from 2 to 200, got 5."),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "text"), SHAPES)
def test_shape(keys: dict[str, Any], text: str) -> None:
    assert faults(with_shape(**keys)) == [text]


TABLES = [
    (
        {"part": [{"on": "north wall", "u": "34 W/(m2 K)"}]},
        f'part[1].u must be {U_RANGE}, got "34 W/(m2 K)". '
        'An R-value goes into a layer: layers = [{ r = "R-34" }].',
    ),
    (
        {"part": [{"on": "north wall", "u": "-1 W/(m2 K)"}]},
        f'part[1].u must be {U_RANGE}, got "-1 W/(m2 K)". '
        'An R-value goes into a layer: layers = [{ r = "R-34" }].',
    ),
    (
        {"part": [{"on": "north wall", "layers": [{"r": "R-300"}]}]},
        'part[1].layers[1].r must be an R-value above 0 and at most R-170 (30 m2 K/W), got "R-300". '
        "It is the R of the whole layer: 2 in of foam board is about R-10.",
    ),
    (
        {"floor": {"insulation": "R-300"}},
        'floor.insulation must be an R-value from 0 to R-170 (30 m2 K/W), got "R-300". '
        "It is the R of the whole layer, not of an inch, and no U-value.",
    ),
    (
        {"part": [{"on": "north wal", "u": "1 W/(m2 K)"}]},
        'part[1].on must be a side of this gable, got "north wal". '
        "The nearest: north wall, south wall, north roof, walls.",
    ),
    (
        {"part": [{"on": "xyz", "u": "1 W/(m2 K)"}]},
        'part[1].on must be a side of this gable, got "xyz". Its sides: north wall, south wall, north roof, '
        "south roof, east end, west end, walls, ends, roof, all.",
    ),
    (
        {"part": [{"on": "north wall"}]},
        "part[1] must say what it is made of by glazing, layers, u or door, got none of them. "
        'Type, for example, glazing = "polycarbonate twin-wall 8 mm".',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "layers": [{"r": "R-3"}]}]},
        'part[1].u must be left out where layers is given, got "1 W/(m2 K)". Keep the one that is true.',
    ),
    (
        {"part": [{"on": "north wall", "layers": []}]},
        'part[1].layers must hold at least one layer, got []. Type layers = [{ r = "R-13" }].',
    ),
    (
        {"part": [{"on": "north wall", "layers": [{"material": "plywood"}]}]},
        'part[1].layers[1].thickness must be given for plywood, got nothing. Type, for example, thickness = "0.5 in".',
    ),
    (
        {"part": [{"on": "north wall", "layers": [{}]}]},
        'part[1].layers[1] must be a material with its thickness or an r, got neither. Type { r = "R-13" }.',
    ),
    (
        {"part": [{"on": "north wall", "layers": [{"r": "R-3", "material": "plywood"}]}]},
        'part[1].layers[1].material must be left out where r is given, got "plywood". Keep the one you know.',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "area": "3 ft2", "width": "1 ft"}]},
        'part[1].width must be left out where area is given, got "1 ft". Give the area, or width and height.',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "width": "1 ft"}]},
        'part[1].height must be given where width is given, got nothing. Type, for example, height = "7 ft".',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "area": "-3 ft2"}]},
        'part[1].area must be an area above 0 and at most 1000000 m2, got "-3 ft2".',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "emissivity": 1.4}]},
        'part[1].emissivity must be a share from 0 to 1, got 1.4. 60 % is typed 0.6 or "60 %".',
    ),
    (
        {"part": [{"on": "north wall", "u": "1 W/(m2 K)", "behind": "shed"}]},
        'part[1].behind must be "outdoors", "ground", "house" or a temperature such as "50 degF", got "shed". '
        "A [[space]] with this name would do too.",
    ),
    (
        {"part": [{"name": "a", "on": "ends", "u": "1 W/(m2 K)"}, {"name": "a", "on": "roof", "u": "1 W/(m2 K)"}]},
        'part[2].name must be used once, got "a" again. Rename one.',
    ),
    ({"part": {"on": "roof"}},
     "part must be a list of tables, got a table. Write [[part]] in double brackets above each."),
    ({"floor": [{}]},
     "floor must be a table of keys, got [{}]. Write [floor] in single brackets and its keys below it."),
    (
        {"floor": {"edge": "R-10"}},
        'floor.depth must be given where edge is given, got nothing. Type, for example, depth = "2 ft".',
    ),
    (
        {"floor": {"depth": "2 ft"}},
        'floor.depth must be left out where edge is not given, got "2 ft". Add edge = "R-10" for the foam.',
    ),
    (
        {"air": {}},
        "air must hold class, ach, n50 or leakage_area, got none of them. "
        'Type class = "structured sheet new".',
    ),
    ({"air": {"ach": 1, "n50": 10}},
     "air.n50 must be left out where ach is given, got 10. Keep the one you trust most."),
    ({"air": {"ach": -1}}, "air.ach must be air changes from 0 to 100 per hour, got -1."),
    ({"air": {"ach": float("nan")}}, "air.ach must be air changes from 0 to 100 per hour, got nan."),
    (
        {"place": {"obstacles": [{"bearing_from": "0 deg", "bearing_to": "9 deg", "height": "-5 deg"}]}},
        'place.obstacles[1].height must be a height above the horizon from 0 to 90 deg, got "-5 deg".',
    ),
    ({"place": {"shelter": "windy"}}, 'place.shelter must be "open" or "partial" or "sheltered", got "windy".'),
    ({"place": {"latitude": 95}}, "place.latitude must be a latitude from -90 to 90, got 95."),
    (
        {"water": [{"volume": "9 gal", "setpoint": "50 degF"}]},
        "water[1].heater must be given where setpoint is given, got nothing. "
        'Type, for example, heater = "name of a [[heater]]".',
    ),
    (
        {"water": [{"volume": "9 gal", "setpoint": "50 degF", "heater": "boiler"}]},
        'water[1].heater must be the name of a [[heater]], got "boiler". Add a [[heater]] with this name.',
    ),
    ({"water": [{"volume": "9 gal", "lid": "yes"}]}, 'water[1].lid must be true or false, without quotes, got "yes".'),
    (
        {"setpoint": [{"day": "55 degF", "vent": "50 degF"}]},
        'setpoint[1].vent must be warmer than day "55 degF", got "50 degF". '
        "Otherwise the heater works against the open vents.",
    ),
    (
        {"setpoint": [{"day": "45 degF", "night": "55 degF", "vent": "50 degF"}]},
        'setpoint[1].vent must be warmer than night "55 degF", got "50 degF". '
        "Otherwise the heater works against the open vents.",
    ),
    (
        {"setpoint": [{"day": "900 degF"}]},
        'setpoint[1].day must be a temperature from -90 to 60 degC (-130 to 140 degF), got "900 degF".',
    ),
    (
        {"setpoint": [{"day": "55 degF", "from": "10-01"}]},
        'setpoint[1].to must be given where from is given, got nothing. Type, for example, to = "04-30".',
    ),
    (
        {"setpoint": [{"day": "55 degF", "from": "30-01", "to": "04-30"}]},
        'setpoint[1].from must be a month and a day such as "10-01" (1 October), in quotes, got "30-01".',
    ),
    (
        {"setpoint": [{"day": "55 degF", "day_from": "7", "day_to": "19:00"}]},
        'setpoint[1].day_from must be a time of day such as "07:00", in quotes, got "7".',
    ),
    (
        {"setpoint": [{"day": "55 degF"}, {"day": "45 degF"}]},
        "setpoint[1].from must be given where there are several setpoints, got nothing. "
        'Type, for example, from = "10-01" and to = "04-30".',
    ),
    (
        {"setpoint": [{"day": "55 degF", "from": "10-01", "to": "05-01"}, {"day": "45 degF", "from": "05-01",
                                                                         "to": "09-30"}]},
        "setpoint[2].from must leave 05-01 to one setpoint, got it in setpoint[1] too. Both dates of a range "
        "belong to it.",
    ),
    (
        {"setpoint": [{"day": "55 degF", "from": "10-01", "to": "04-30"}]},
        "setpoint must cover every day of the year, got none from 05-01 to 09-30. "
        "A low setpoint serves where the house may go cold.",
    ),
    (
        {"setpoint": [{"day": "55 degF", "from": "02-01", "to": "11-30"}]},
        "setpoint must cover every day of the year, got none from 12-01 to 01-31. "
        "A low setpoint serves where the house may go cold.",
    ),
    (
        {"heater": [PELLETS]},
        'setpoint must be given where there is a heater, got nothing. Add [[setpoint]] with day = "55 degF".',
    ),
    (
        {"bed": [{"area": "3 ft2"}]},
        'bed[1].depth must be given, got nothing. Type, for example, depth = "12 in".',
    ),
    ({"surface": [{"area": "9 m2", "tilt": "0 deg", "u": "1 W/(m2 K)"}]},
     'surface must be left out for a gable, got 1. Only kind = "free" lists surfaces; elsewhere use [[part]].'),
    ({"method": {"ground": "both"}}, 'method.ground must be "iso_13370" or "f_factor" or "outdoor", got "both".'),
    ({"titel": "x"}, 'titel must be a known key, got "titel". The nearest: title, water.'),
    ({"a\nb": 3}, '"a\\nb" must be a known key, got "a\\nb". The keys here: title, catalogue, crop, place, '
     "shape, cover, floor, air, canopy, gains, method, part, surface, space, water, bed, curtain, setpoint, heater, "
     "lamps, people, buried_pipe, mass_stove, compost."),
    ({"title": 3}, "title must be one line of text in quotes, got 3."),
    ({"title": "a\nb"}, 'title must be one line of text in quotes, got "a\\nb".'),
]  # fmt: skip


@pytest.mark.parametrize(("tables", "text"), TABLES)
def test_tables(tables: dict[str, Any], text: str) -> None:
    assert faults({**copy.deepcopy(GABLE), **tables}) == [text]


HEATERS = [
    (
        {"fuel": "pellets"},
        [
            "heater[1].efficiency must be given where type is not, got nothing. "
            "Type, for example, efficiency = 0.8, or a type from the catalogue of heaters.",
            "heater[1].basis must be given where type is not, got nothing. "
            'Type, for example, basis = "hhv", or a type from the catalogue of heaters.',
        ],
    ),
    (
        {"fuel": "pellets", "efficiency": 1.05, "basis": "hhv"},
        ['heater[1].efficiency must be at most 1, got 1.05. A heat pump needs its curve: type = "heat pump".'],
    ),
    (
        {"fuel": "propane", "efficiency": 1.2, "basis": "lhv"},
        ['heater[1].efficiency must be at most 1.1 on lhv, got 1.2. A heat pump needs its curve: type = "heat pump".'],
    ),
    (
        {"fuel": "pellets", "efficiency": 80, "basis": "hhv"},
        ['heater[1].efficiency must be a share above 0 and at most 10, got 80. 80 % is typed 0.8 or "80 %".'],
    ),
    (
        {**PELLETS, "output": "-1 W"},
        ['heater[1].output must be a power above 0 and at most 100000000 W, got "-1 W".'],
    ),
    (
        {**PELLETS, "from": "09-15"},
        ['heater[1].to must be given where from is given, got nothing. Type, for example, to = "05-31".'],
    ),
    ({**PELLETS, "price": 280}, ['heater[1].price must be a price such as "280 usd/short_ton", in quotes, got 280.']),
    (
        {**PELLETS, "price": "280 usd/cord"},
        ['heater[1].price must be a price by the short_ton [usd/short_ton], got \'280 usd/cord\'. '
         'Type a price such as "$280/short_ton".'],
    ),
    (
        {"type": "propane unit heater", "price": "EUR 3/gallon"},
        ['heater[1].price must be a price with its unit [usd/gallon], got \'EUR 3/gallon\'. Type "$280/gallon".'],
    ),
    ({**PELLETS, "basis": "net"}, ['heater[1].basis must be "hhv" or "lhv", got "net".']),
]  # fmt: skip


@pytest.mark.parametrize(("heater", "texts"), HEATERS)
def test_heaters(heater: dict[str, Any], texts: list[str]) -> None:
    assert faults({**copy.deepcopy(GABLE), "setpoint": [{"day": "55 degF"}], "heater": [heater]}) == texts


def test_a_heat_pump_and_a_condensing_boiler_may_pass_one() -> None:
    for heater in (
        {"type": "heat pump", "efficiency": 2.5, "basis": "hhv"},
        {"fuel": "propane", "efficiency": 1.05, "basis": "lhv"},
    ):
        House(**{**copy.deepcopy(GABLE), "setpoint": [{"day": "55 degF"}], "heater": [heater]})


def test_catalogue_names_list_the_nearest_and_pick_none() -> None:
    (line,) = faults({**copy.deepcopy(GABLE), "cover": {"glazing": "polycarbonat twin-wall 8mm"}})
    assert line.startswith(
        'cover.glazing must be a name in the glazing catalogue, got "polycarbonat twin-wall 8mm". '
        "The nearest: polycarbonate twin-wall 8 mm, "
    )
    typed = {**copy.deepcopy(GABLE), "setpoint": [{"day": "55 degF"}], "heater": [{"type": "pellet boilr"}]}
    (line,) = faults(typed)
    assert line.startswith('heater[1].type must be a name in the heaters catalogue, got "pellet boilr". The nearest: ')
    assert "pellet boiler" in line


def test_missing_tables() -> None:
    assert faults({}) == [
        "shape must be given, got nothing. Start a table [shape].",
        "air must be given, got nothing. Start a table [air].",
    ]
    assert faults({k: v for k, v in copy.deepcopy(GABLE).items() if k != "cover"}) == [
        "cover.glazing must be given for a gable, got nothing. "
        'Type, for example, glazing = "polycarbonate twin-wall 8 mm".'
    ]


FREE = {"kind": "free", "floor_area": "40 m2", "perimeter": "26 m", "volume": "100 m3"}


def test_free_surfaces() -> None:
    typed = {"shape": FREE, "air": {"ach": 0.5}}
    assert faults(typed) == ["surface must be given for a free shape, got nothing. Write a [[surface]] for each."]
    steep = {"name": "slope", "area": "9 m2", "tilt": "30 deg", "u": "1 W/(m2 K)"}
    assert faults({**typed, "surface": [steep]}) == [
        "surface[1].azimuth must be given unless the surface lies flat, got nothing. "
        'Type, for example, azimuth = "180 deg".'
    ]
    flat = {**steep, "tilt": "0 deg"}
    house = House(**typed, surface=[flat], part=[{"on": "slope", "area": "1 m2", "u": "2 W/(m2 K)"}])
    assert house.surface[0].azimuth == 0.0
    assert faults({**typed, "surface": [flat], "part": [{"on": "roof", "u": "2 W/(m2 K)"}]}) == [
        'part[1].on must be a side of this free, got "roof". Its sides: slope, all.'
    ]


def test_all_faults_come_at_once() -> None:
    typed = with_shape(ridge="5 ft", lenght="3 ft")
    typed |= {
        "floor": {"kind": 3, "edge": "R-10"},
        "part": [{"on": "roof", "u": "34 W/(m2 K)"}, {"on": "attic", "u": "1 W/(m2 K)"}, {"name": 5}],
        "water": [{"volume": "9 gal", "name": "a"}, {"volume": "-9 gal"}, {"volume": "9 gal", "name": "a"}],
    }
    paths = [line.split(" must")[0] for line in faults(typed)]
    assert paths == [
        "shape.lenght", "shape.ridge", "floor.kind", "floor.depth", "part[1].u", "part[3].name", "part[3].on",
        "part[3]", "water[2].volume", "water[3].name",
    ]  # fmt: skip
    sound = {**typed, "shape": GABLE["shape"]}
    assert 'part[2].on must be a side of this gable, got "attic". Its sides: ' in "\n".join(faults(sound))


def test_lists_are_said_to_be_counted_from_one() -> None:
    with pytest.raises(InputError) as error:
        House(**copy.deepcopy(GABLE), part=[{"on": "roof", "u": "34 W/(m2 K)"}])
    assert str(error.value).split("\n")[0] == "the house has 1 fault (lists are counted from 1):"


def test_a_table_alone_is_refused_in_the_same_words() -> None:
    with pytest.raises(InputError) as error:
        Water(name="tank", volume=3)
    assert str(error.value) == (
        "[water] has 1 fault:\n"
        '  volume must be a volume with its unit [m3], got 3. Type volume = "3 gal" or volume = "3 m3".'
    )
    with pytest.raises(InputError, match=r"\[layer\] has 1 fault"):
        Layer()
