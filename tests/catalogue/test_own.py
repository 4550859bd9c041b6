"""A person's own rows: what may be typed, and each refusal as one sentence."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from heatloss.catalogue import Own, names, read_own, row
from heatloss.errors import InputError
from heatloss.units import parse

GOOD = """
[glazing."my panel"]
source = "data sheet of the panel, ASTM C976"
like = "polycarbonate twin-wall 8 mm"
note = "from the barn"
thickness = "7 mm"
u_value = "0.55 Btu/(h ft^2 degF)"
solar_normal = "78 %"
solar_diffuse = { value = 0.66, low = 0.6, high = 0.7, source = "my light meter", mark = "calculated" }
capacity = { value = 1.6, unit = "kJ/(m2 K)" }

[materials."hemp lime"]
source = "maker's sheet"
conductivity = "0.07 W/(m K)"

[fuels."my corn"]
like = "shelled corn"
source = "elevator ticket"
price = "$4.20/bushel"

[fuels."my wood"]
like = "my corn"
unit = "cord"
source = "guess"
mass_per_unit = "3000 lb"
price = { value = 150, unit = "usd", low = 100, high = 200 }

[floors."my floor"]
source = "own"
absorptance = 0.7
emissivity = 0.9
layers = [["brick", "2.25 in"], ["my sand", "50 mm"]]

[heaters."my pump"]
source = "maker's table, field corrected"
fuel = "electricity"
basis = "hhv"
electric_power = "0 W"
radiant_share = 0.0
at = [
  { outdoor = "47 degF", cop = 3.3, capacity = 1.0 },
  { outdoor = "5 degF", cop = { value = 2.0, low = 1.8, high = 2.2 }, capacity = 0.7 },
]
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "rows.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def own(tmp_path: Path) -> Own:
    return read_own(written(tmp_path, GOOD))


def test_own_values(own: Own) -> None:
    panel = row("glazing", "my panel", own)
    assert panel["u_value"] == parse("0.55 Btu/(h ft2 degF)", "W/(m2 K)")
    assert panel["solar_normal"] == 0.78
    assert panel["capacity"] == 1600.0
    u = panel.fields["u_value"]
    assert (u.source, u.mark, u.low, u.high) == ("data sheet of the panel, ASTM C976", "read", u.value, u.value)
    light = panel.fields["solar_diffuse"]
    assert (light.source, light.mark, light.low, light.high) == ("my light meter", "calculated", 0.6, 0.7)
    assert panel.note == "from the barn"
    assert panel.text("thickness") == "7 mm"
    assert "my panel" in names("glazing", own)


def test_like_takes_the_rest_with_its_sources(own: Own) -> None:
    panel, base = row("glazing", "my panel", own), row("glazing", "polycarbonate twin-wall 8 mm")
    assert panel.fields["emissivity_in"] == base.fields["emissivity_in"]
    wood = row("fuels", "my wood", own)
    assert wood["price"] == 150
    assert wood.text("unit") == "cord"
    assert wood["hhv"] == row("fuels", "shelled corn")["hhv"]
    assert row("fuels", "my corn", own)["price"] == 4.2


def test_layers_and_tables(own: Own) -> None:
    assert row("floors", "my floor", own).layers == (("brick", pytest.approx(0.05715)), ("my sand", 0.05))
    pump = row("heaters", "my pump", own)
    assert pump.table == ((pytest.approx(-15.0), 2.0, 0.7), (pytest.approx(25 / 3), 3.3, 1.0))
    assert pump.fields["cop at -15 degC"].high == 2.2


def test_a_row_may_mend_one_that_comes_along(tmp_path: Path) -> None:
    text = '[fuels.pellets]\nlike = "pellets"\nsource = "my dealer"\nprice = "$310/short_ton"\n'
    own = read_own(written(tmp_path, text))
    assert row("fuels", "pellets", own)["price"] == 310
    assert row("fuels", "pellets")["price"] == 280


DOOR = '[doors.d]\nsource = "x"\n'
GLASS = '[glazing.g]\nlike = "glass single 3 mm"\nsource = "x"\n'
REFUSED = [
    (
        '[glasing.g]\nu_value = "1 W/(m2 K)"',
        "kind of catalogue row must be a known name, got 'glasing' (rows.toml). The nearest: glazing, curtains.",
    ),
    ("glazing = 3", 'glazing must be tables of rows, got 3 (rows.toml). Write [glazing."my name"].'),
    ("[doors]\nd = 3", 'd must be a table, got 3 (rows.toml, doors.d). Write [doors."d"].'),
    (
        DOOR + 'u_valu = "3 W/(m2 K)"',
        "field of doors must be a known name, got 'u_valu' (rows.toml, doors.d). The nearest: u_value.",
    ),
    (
        DOOR,
        "d must have u_value [W/(m2 K)], got none (rows.toml, doors.d). "
        'Add it, or add like = "a catalogue name" to take the rest from that row.',
    ),
    (
        DOOR + "u_value = 3",
        "u_value must be a U-value with its unit [W/(m2 K)], got 3 (rows.toml, doors.d.u_value). "
        'Type u_value = "3 Btu/(h ft^2 degF)" or u_value = "3 W/(m2 K)".',
    ),
    (
        DOOR + 'u_value = "34 W/(m2 K)"',
        "u_value must be between 0.2 and 10 [W/(m2 K)], got 34 (rows.toml, doors.d.u_value). Check its unit.",
    ),
    (
        DOOR + 'u_value = "3 W/(m K)"',
        "u_value must be a U-value [W/(m2 K)], got '3 W/(m K)' (rows.toml, doors.d.u_value). "
        'Type a value such as "8 Btu/(h ft^2 degF)" or "8 W/(m2 K)".',
    ),
    (
        DOOR + 'u_value = { value = 3, unit = "W/(m2 K)", low = 4 }',
        "u_value must lie between its low and high [W/(m2 K)], got 3 (rows.toml, doors.d.u_value).",
    ),
    (
        DOOR + 'u_value = { value = 3, unit = "W/(m2 K)", high = 40 }',
        "u_value must be between 0.2 and 10 [W/(m2 K)], got 40 (rows.toml, doors.d.u_value). Check its unit.",
    ),
    (
        DOOR + 'u_value = { unit = "W/(m2 K)" }',
        "u_value must have a value, got {'unit': 'W/(m2 K)'} (rows.toml, doors.d.u_value).",
    ),
    (
        DOOR + 'u_value = { value = 3, units = "W/(m2 K)" }',
        "key of a value must be a known name, got 'units' (rows.toml, doors.d.u_value). The nearest: unit.",
    ),
    (
        DOOR + 'u_value = { value = "3", unit = "W/(m2 K)" }',
        "u_value must be a number beside its unit [W/(m2 K)], got '3' (rows.toml, doors.d.u_value).",
    ),
    (
        '[doors.d]\nu_value = "3 W/(m2 K)"',
        'u_value must have a source, got none (rows.toml, doors.d.u_value). Add source = "where the figure is from".',
    ),
    (
        DOOR + 'mark = "sure"\nu_value = "3 W/(m2 K)"',
        "mark must be one of read, read-2, from memory, calculated, common practice, got 'sure' "
        "(rows.toml, doors.d.u_value).",
    ),
    (
        GLASS + "solar_normal = 1.4",
        "solar_normal must be between 0 and 1 [1], got 1.4 (rows.toml, glazing.g.solar_normal). Check its unit.",
    ),
    (
        GLASS + "emissivity_in = nan",
        "emissivity_in must be a plain number or a percentage [1], got nan (rows.toml, glazing.g.emissivity_in). "
        'Type a value such as "0.8" or "80 %".',
    ),
    (
        GLASS + "solar_normal = 0.5",
        "g must let through no more diffuse than normal sun, got solar_diffuse above solar_normal "
        "(rows.toml, glazing.g).",
    ),
    (
        GLASS + "longwave = 0.5",
        "g must let through and radiate no more than 1 of the long wave together, "
        "got longwave + emissivity above 1 (rows.toml, glazing.g).",
    ),
    (GLASS + "sheets = 1.5", "g must have a whole number of sheets, got a fraction (rows.toml, glazing.g)."),
    (
        GLASS + "walls = 2",
        "walls must be text, got 2 (rows.toml, glazing.g). Put it in quotation marks.",
    ),
    (
        '[glazing.g]\nlike = "glas single 3 mm"',
        "glazing must be a known name, got 'glas single 3 mm' (rows.toml, glazing.g.like). The nearest: "
        "glass single 3 mm, glass single 4 mm, acrylic single 3 mm, polycarbonate single 3 mm.",
    ),
    (
        '[doors.a]\nlike = "a"',
        "like must lead to a row that stands by itself, got a circle (rows.toml, doors.a).",
    ),
    ("[doors.a]\nlike = 3", "like must be the name of a row, got 3 (rows.toml, doors.a)."),
    (
        '[materials.m]\nsource = "x"\ndensity = "900 kg/m3"',
        "m must have conductivity [W/(m K)] or resistance [m2 K/W], got neither (rows.toml, materials.m).",
    ),
    (
        '[materials.m]\nlike = "plywood"\nsource = "x"\nresistance = "R-1"',
        "m must have conductivity or resistance, got both (rows.toml, materials.m).",
    ),
    (
        '[materials.m]\nsource = "x"\nresistance = "R-300"',
        "resistance must be between 0 and 20 [m2 K/W], got 52.8331 (rows.toml, materials.m.resistance). "
        "Check its unit.",
    ),
    (
        '[fuels.f]\nlike = "pellets"\nsource = "x"\nunit = "ton"',
        "unit must be one of short_ton, cord, gallon, therm, kWh, bushel, got 'ton' (rows.toml, fuels.f).",
    ),
    (
        '[fuels.f]\nlike = "pellets"\nsource = "x"\nprice = 280',
        "price must be a price with its unit [usd/short_ton], got 280 (rows.toml, fuels.f.price). "
        'Type price = "$280/short_ton".',
    ),
    (
        '[fuels.f]\nlike = "pellets"\nsource = "x"\nlhv = "9000 Btu/lb"',
        "f must have lhv of at most hhv, got lhv above hhv (rows.toml, fuels.f).",
    ),
    (
        '[heaters.h]\nsource = "x"\nfuel = "pellets"\nbasis = "net"',
        "basis must be one of hhv, lhv, got 'net' (rows.toml, heaters.h).",
    ),
    (
        '[heaters.h]\nsource = "x"\nfuel = "pellets"\nelectric_power = "0 W"\nradiant_share = 0\nefficiency = 0.8',
        'h must have basis, got none (rows.toml, heaters.h). Add it, or add like = "a catalogue name" to take the '
        "rest from that row.",
    ),
    (
        '[heaters.h]\nsource="x"\nfuel="electricity"\nbasis="hhv"\nelectric_power="0 W"\nradiant_share=0',
        "h must have efficiency [1] or a table at outdoor temperatures, got neither (rows.toml, heaters.h).",
    ),
    (
        '[heaters.h]\nsource="x"\nfuel="propane"\nbasis="hhv"\nelectric_power="0 W"\nradiant_share=0\nefficiency=1.05',
        "h must have an efficiency of at most 1 on the hhv, got more; only on the lhv it may come to 1.1 (rows.toml, "
        "heaters.h).",
    ),
    (
        '[heaters.h]\nlike = "heat pump"\nsource = "x"\nat = [{ outdoor = "-30 degC", cop = 5.9, capacity = 1 }, '
        '{ outdoor = "8 degC", cop = 6, capacity = 1 }]',
        "h must have a cop below Carnot's, 293 K over the difference to 20 degC inside, got one above it (rows.toml, "
        "heaters.h).",
    ),
    (
        '[heaters.h]\nlike = "heat pump"\nsource = "x"\nat = [{ outdoor = "5 degF", cop = 2 }]',
        "at must have capacity every time, got none at -15 degC (rows.toml, heaters.h).",
    ),
    (
        '[floors.f]\nlike = "gravel"\nlayers = ["gravel"]',
        "layers must be pairs of material and thickness, got 'gravel' (rows.toml, floors.f). "
        'Write layers = [["concrete", "4 in"]].',
    ),
    (
        '[floors.f]\nlike = "gravel"\nlayers = [["gravel", "40 ft"]]',
        "thickness must be between 0 and 3 [m], got '40 ft' (rows.toml, floors.f.layers).",
    ),
    (
        '[crops.c]\nlike = "kale"\nsource = "x"\nkill = "15 degC"',
        "c must be held above what kills it, got kill above night (rows.toml, crops.c).",
    ),
]


@pytest.mark.parametrize(("text", "message"), REFUSED, ids=lambda v: v[-40:].replace("\n", " "))
def test_refusals_word_for_word(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        read_own(written(tmp_path, text))
    assert str(refusal.value) == message


def test_every_fault_of_a_file_in_one_message(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refusal:
        read_own(written(tmp_path, '[dors.x]\n[doors.a]\nu = 1\n[doors.b]\n[soils.c]\nlike = "sandy"\n'))
    lines = str(refusal.value).splitlines()
    assert len(lines) == 4
    assert [next(w for w in ("'dors'", "'u'", "u_value", "'sandy'") if w in line) for line in lines]


def test_a_circle_and_a_faulty_base_are_told_once_each(tmp_path: Path) -> None:
    circle = '[doors.a]\nlike = "b"\n[doors.b]\nlike = "a"\n'
    base = '[soils.a]\nlike = "b"\n[soils.b]\nlike = "clay"\nfoo = 1\n[soils.c]\nlike = "b"\n'
    with pytest.raises(InputError) as refusal:
        read_own(written(tmp_path, circle + base))
    assert [line.split("(")[1][:18] for line in str(refusal.value).splitlines()] == [
        "rows.toml, doors.a", "rows.toml, doors.b", "rows.toml, soils.b",
    ]  # fmt: skip


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"rows must be a file that can be read, got '.*none.toml' \(No such file"):
        read_own(tmp_path / "none.toml")
    with pytest.raises(InputError, match="rows must be a file that can be read"):
        read_own(tmp_path)
    with pytest.raises(InputError, match=r"rows must be a TOML file, got rows.toml \(Expected"):
        read_own(written(tmp_path, "[doors"))
    with pytest.raises(InputError, match="rows must be a TOML file of at most 1 MB"):
        read_own(written(tmp_path, "#" * 1_000_001))
    with pytest.raises(InputError, match="rows must be a TOML file"):
        read_own(written(tmp_path, "a = " + "[" * 100_000))
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match=r"rows must be a TOML file, got bytes\.toml"):
        read_own(tmp_path / "bytes.toml")


def test_an_empty_file_has_no_rows(tmp_path: Path) -> None:
    assert read_own(written(tmp_path, "")) == {}


def test_mutations_are_refused_or_finite(tmp_path: Path) -> None:
    """Damage the good file in small ways: the answer is sound rows or one InputError, never anything else."""
    chance = random.Random(5)
    pieces = ['"', "=", "[", "]", "{", "}", "-", "nan", "inf", "1e400", "0", "true", "[]", "''", "x", "\n", "%", "like"]
    for _ in range(600):
        text = GOOD
        for _ in range(chance.randint(1, 3)):
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(pieces) + text[at + chance.randint(0, 12) :]
        try:
            own = read_own(written(tmp_path, text))
        except InputError:
            continue
        for rows in own.values():
            for found in rows.values():
                assert all(math.isfinite(value.value) for value in found.fields.values())
