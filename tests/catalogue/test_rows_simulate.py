"""Every row that comes along runs through a season and does there what its numbers say."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
import pytest
from season_cases import PLAIN, TWIN, box, free, quick, surface, weather

from heatloss import catalogue
from heatloss.catalogue import names, row
from heatloss.season import Season


@functools.cache
def base() -> Season:
    return quick(box(), iterations=1)


def sound(done: Season, *, heat: bool = True) -> Season:
    """Closed, finite, and of a sensible size beside the plain box."""
    assert done.closure <= 1e-9
    assert np.isfinite(done.hourly.to_numpy()).all()
    assert 0.05 * base().heat_kwh < done.heat_kwh < 4.0 * base().heat_kwh if heat else True
    return done


def used(done: Season) -> set[tuple[str, str]]:
    return set(done.sources[["kind", "name"]].itertuples(index=False, name=None))


@pytest.mark.parametrize("name", names("glazing"))
def test_glazing(name: str) -> None:
    done = sound(quick(box(cover={"glazing": name}), iterations=1))
    assert ("glazing", name) in used(done)
    light = done.assembly.sunlight
    through = light.entered.sum()
    # what enters is at most what the rating lets in at normal incidence, and near what it lets in from all around
    falls = sum(
        s.area * (done.drivers.beam[:, j] + done.drivers.sky_diffuse[:, j] + done.drivers.ground_diffuse[:, j]).sum()
        for j, s in enumerate(done.geometry.surfaces)
    )
    glass = row("glazing", name)
    share = through / falls / (0.90 * 0.95)
    assert 0.85 * glass["solar_diffuse"] < share < glass["solar_normal"] + 1e-9
    rated = done.conductances
    assert rated["cover"] + rated["bridging"] == pytest.approx(
        sum(s.area for s in done.geometry.surfaces) * glass["u_value"], rel=0.05
    )


def test_a_better_glazing_takes_less_heat() -> None:
    """Order of the heat follows the order of U where the light is about the same."""
    heats = [
        quick(box(cover={"glazing": name}), iterations=1).heat_kwh
        for name in ("glass single 3 mm", TWIN, "polycarbonate triple-wall 16 mm", "polycarbonate five-wall 25 mm")
    ]
    assert heats == sorted(heats, reverse=True)
    assert heats[0] > 1.5 * heats[2]


def test_every_glazing_door_and_material_conducts_as_rated() -> None:
    """One plain house, with a piece of each: fixed films, no sun; the year's flow is U A times its degree-hours."""
    thick = {
        name: {"material": name}
        | ({} if row("materials", name).get("resistance") is not None else {"thickness": "5 cm"})
        for name in names("materials")
    }
    pieces: dict[str, dict[str, Any]] = {
        **{f"glazing {name}": {"glazing": name} for name in names("glazing")},
        **{f"door {name}": {"door": name} for name in names("doors")},
        **{f"material {name}": {"layers": [layer, {"r": "RSI-0.3"}]} for name, layer in thick.items()},
    }
    faces = [
        surface(name, 1.0 + 0.01 * i, 90.0, float(90 * (i % 4)), **given)
        for i, (name, given) in enumerate(pieces.items())
    ]
    done = quick(free(faces, bed=[], method=PLAIN, cover={"bridging": 1.0}), iterations=1)
    assert done.closure <= 1e-9
    inside, outdoor = done.hourly["inside"], done.hourly["outdoor"]
    difference = (inside - outdoor).sum()
    for s in done.geometry.surfaces:
        kind, _, name = s.name.partition(" ")
        if kind == "glazing":
            expected = row("glazing", name)["u_value"]
        elif kind == "door":
            expected = row("doors", name)["u_value"]
        else:
            found = row("materials", name)
            given = found.get("resistance")
            expected = 1.0 / (0.17 + 0.3 + (given if given is not None else 0.05 / found["conductivity"]))
        flow = done.run.flow("air", f"{s.name} inside").sum()
        assert flow / s.area / difference == pytest.approx(expected, rel=5e-3), s.name
    kinds = {"glazing": names("glazing"), "materials": names("materials")}
    assert {(kind, name) for kind, all_names in kinds.items() for name in all_names} <= used(done)


def test_a_wall_of_siding_alone_is_a_bare_sheet() -> None:
    bare = [{"name": "n", "on": "north wall", "layers": [{"material": "metal siding"}]}]
    done = sound(quick(box(part=bare), iterations=1))
    assert done.conductances["opaque"] == pytest.approx(20.0 / 0.17, rel=1e-9)


@pytest.mark.parametrize("name", names("curtains"))
def test_curtain(name: str) -> None:
    done = sound(quick(box(curtain=[{"material": name, "form": "panel"}]), iterations=1))
    assert ("curtains", name) in used(done)
    assert 0.3 * base().heat_kwh < done.heat_kwh < 0.95 * base().heat_kwh
    levels = sound(quick(box(curtain=[{"material": name}]), iterations=1))
    assert 0.3 * base().heat_kwh < levels.heat_kwh < 0.95 * base().heat_kwh
    entered = done.assembly.sunlight.entered.sum() / base().assembly.sunlight.entered.sum()
    assert entered == pytest.approx(row("curtains", name)["light_open"], rel=2e-3)  # closed, it dims the twilight
    day, night = done.drivers.daylight, ~done.drivers.daylight
    leak = -done.paths["infiltration"] / (done.hourly["inside"] - done.hourly["outdoor"])
    factor = leak[night].median() / leak[day].median()
    assert factor == pytest.approx(row("curtains", name)["infiltration_factor"], rel=1e-9)


@pytest.mark.parametrize("name", names("infiltration"))
def test_infiltration(name: str) -> None:
    house = box().changed(air={"class": name}, method={"air_exchange": "constant"})
    done = sound(quick(house, iterations=1))
    assert ("infiltration", name) in used(done)
    ach = row("infiltration", name)["ach"]
    leak = (done.paths["infiltration"] / (done.hourly["outdoor"] - done.hourly["inside"])).median()
    density = done.drivers.pressure / (287.05 * 283.15)
    assert leak == pytest.approx(ach * 1006.0 * density * 100.0 / 3600.0, rel=1e-3)
    moving = sound(quick(house.changed(method={}), iterations=1))
    assert moving.ledger["infiltration"] == pytest.approx(done.ledger["infiltration"], rel=0.35)


@pytest.mark.parametrize("name", names("soils"))
def test_soil(name: str) -> None:
    done = sound(quick(box(floor={"soil": name}, bed=[{"name": "b", "area": "9 m2", "depth": "30 cm", "soil": name}])))
    assert ("soils", name) in used(done)
    found = row("soils", name)
    capacity = done.network._nodes["floor cell 1"][0]
    assert capacity == pytest.approx(found["volumetric_heat"] * 0.02 * 31.0, rel=1e-9)
    assert done.ledger["ground"] < 0.0


def test_soils_that_conduct_more_lose_more() -> None:
    lost = {name: -quick(box(floor={"soil": name}, method={"sun": "none"})).ledger["ground"] for name in names("soils")}
    assert sorted(lost, key=lambda n: lost[n]) == sorted(names("soils"), key=lambda n: row("soils", n)["conductivity"])


@pytest.mark.parametrize("name", names("floors"))
def test_floor(name: str) -> None:
    done = sound(quick(box(floor={"kind": name}), iterations=1))
    assert ("floors", name) in used(done)
    found = row("floors", name)
    assert {("materials", layer) for layer, _ in found.layers} <= used(done)
    darker = done.assembly.sunlight.within["floor"].sum() / base().assembly.sunlight.within["floor"].sum()
    # absorptance against bare soil's, more than in proportion turned less by what comes back from the cover
    ratio = found["absorptance"] / row("floors", "bare soil")["absorptance"]
    assert min(ratio, 1.0) - 1e-9 <= darker <= max(ratio, 1.0) + 1e-9


@pytest.mark.parametrize("name", names("heaters"))
def test_heater(name: str) -> None:
    found = row("heaters", name)
    backup = {"name": "backup", "type": "electric heater"}  # a heat pump rests below its table
    done = sound(quick(box(heater=[{"name": "main", "type": name}, backup]), iterations=1))
    fuel = done.fuel
    assert {("heaters", name), ("fuels", found.text("fuel"))} <= used(done)
    assert fuel.name == found.text("fuel")
    assert fuel.basis == found.text("basis")
    assert fuel.heat_kwh > 0.5 * done.heat_kwh
    assert done.unmet["hours"] == 0
    if found.table:
        cops = [cop for _, cop, _ in found.table]
        assert min(cops) < fuel.efficiency < max(cops)
        assert done.fuels[1].heat_kwh == pytest.approx(
            done.hourly["heat"][done.hourly["outdoor"] < found.table[0][0]].sum() / 1000.0, rel=1e-9
        )
    else:
        assert fuel.efficiency <= found["efficiency"] * (1.0 + 1e-9)
        if found.get("start") is None:  # a season's efficiency, with starts and idling in it
            assert fuel.efficiency == pytest.approx(found["efficiency"], rel=1e-9)
        assert done.fuels[1].heat_kwh == pytest.approx(0.0, abs=1e-6)


def test_every_fuel() -> None:
    """One heater for each, small enough that all of them burn on cold nights."""
    heaters = [
        {"name": name, "fuel": name, "efficiency": 0.8, "basis": "hhv", "output": "300 W"} for name in names("fuels")
    ]
    done = sound(quick(box(heater=heaters), iterations=1))
    assert [fuel.name for fuel in done.fuels] == list(names("fuels"))
    for fuel in done.fuels:
        found = row("fuels", fuel.name)
        assert fuel.heat_kwh > 0.0
        assert fuel.unit == found.text("unit")
        assert fuel.amount * found["mass_per_unit"] * found["hhv"] == pytest.approx(
            fuel.heat_kwh * 3.6e6 / 0.8, rel=1e-9
        )
        assert fuel.cost == pytest.approx(fuel.amount * found["price"], rel=1e-9)
        assert fuel.price_is_example
        assert fuel.co2_fossil_kg == pytest.approx(fuel.amount * found["co2_fossil"], rel=1e-9)
    first = [fuel.heat_kwh for fuel in done.fuels]
    assert first == sorted(first, reverse=True)  # the next gives what the ones before it cannot


@pytest.mark.parametrize("name", names("doors"))
def test_door(name: str) -> None:
    done = sound(quick(box(part=[{"name": "door", "on": "east end", "area": "4 m2", "door": name}]), iterations=1))
    assert done.conductances["opaque"] == pytest.approx(4.0 * row("doors", name)["u_value"], rel=1e-9)
    assert done.ledger["opaque"] < 0.0


@pytest.mark.parametrize("name", names("crops"))
def test_crop_at_its_own_temperatures(name: str) -> None:
    found = row("crops", name)
    setpoint = {"day": (found["day"], "degC"), "night": (found["night"], "degC"), "vent": "32 degC"}
    done = sound(quick(box(crop=name, setpoint=[setpoint]), iterations=1))
    assert done.hourly["inside"].min() == pytest.approx(found["night"], abs=1e-6)
    assert done.hourly["inside"].min() > found["kill"]


@pytest.mark.parametrize("name", names("fish"))
def test_fish_in_water_it_prefers(name: str) -> None:
    found = row("fish", name)
    tank = {"name": "tank", "volume": "2 m3", "species": name, "heater": "rods", "stocking": "20 kg/m3"}
    tank["setpoint"] = (found["prefer_low"], "degC")
    heaters = [{"name": "stove", "type": "pellet stove"}, {"name": "rods", "type": "electric heater"}]
    done = sound(quick(box(water=[tank], heater=heaters), iterations=1))
    water = done.hourly["tank tank"]
    assert found["prefer_low"] - 1e-6 < water.min() < found["prefer_low"] + 0.1
    assert found["kill_low"] < water.min()


DEFAULTS = {
    "inside_film_minimum": {},
    "latent_share": {"method": {"latent": "share"}},
    "bridging": {},
    "frame": {},
    "soiling": {},
    "wind_shelter_partial": {},
    "absorptance_canopy": {"bed": [{"name": "b", "area": "10 m2", "depth": "20 cm"}]},
    "absorptance_water": {"water": [{"name": "t", "volume": "2 m3"}]},
    "absorptance_barrel": {"water": [{"name": "t", "volume": "2 m3", "lid": True}]},
    "absorptance_opaque": {"part": [{"name": "p", "on": "north wall", "u": "0.5 W/(m2 K)"}]},
    "emissivity_opaque": {"part": [{"name": "p", "on": "north wall", "u": "0.5 W/(m2 K)"}]},
    "light_capacity": {},
    "albedo": {},
    "foundation_wall": {},
    "curtain_edge_leak": {"curtain": [{"material": "energy curtain", "form": "panel"}]},
    "curtain_gap": {"curtain": [{"material": "energy curtain"}]},
    "curtain_gap_exchange": {"curtain": [{"material": "energy curtain"}]},
    "planted_share": {},
    "leaf_area": {},
    "drying_air_changes": {"setpoint": [{"day": "10 degC", "vent": "27 degC", "humidity": 0.6}]},
    "gains_radiant_share": {"gains": {"power": "800 W"}},
    "vent_air_changes": {"setpoint": [{"day": "10 degC", "vent": "20 degC"}]},
    "house_temperature": {"part": [{"name": "p", "on": "north wall", "u": "2 W/(m2 K)", "behind": "house"}]},
}


@pytest.mark.parametrize("name", DEFAULTS)
def test_a_default_replaced_by_a_persons_own_changes_the_season(name: str, tmp_path) -> None:
    found = row("defaults", name).fields["value"]
    other = found.low if found.low != found.value else found.high
    path = tmp_path / "rows.toml"
    unit = f', unit = "{found.unit}"' if found.unit != "1" else ""
    path.write_text(f'[defaults.{name}]\nvalue = {{ value = {other!r}{unit}, source = "own", mark = "read" }}\n')
    given = DEFAULTS[name]
    usual = quick(box(**given), iterations=1)
    own = sound(quick(box(**given, catalogue=str(path)), iterations=1))
    assert own.heat_kwh != pytest.approx(usual.heat_kwh, rel=1e-7)
    assert own.heat_kwh == pytest.approx(usual.heat_kwh, rel=0.4)


def test_every_kind_is_covered_here() -> None:
    assert set(catalogue.KINDS) == {
        "glazing",
        "materials",
        "curtains",
        "doors",
        "infiltration",
        "soils",
        "floors",
        "fuels",
        "heaters",
        "crops",
        "fish",
        "defaults",
    }
    assert set(DEFAULTS) <= set(names("defaults"))
    assert weather().site.name
