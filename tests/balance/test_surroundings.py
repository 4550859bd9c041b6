"""What stands around and on a house: obstacles, snow, drops, unheated spaces, earth; and the light that is left."""

import numpy as np
import pandas as pd
import pytest

from heatloss import House, Weather, conductances, read_weather, sample_house, simulate, surfaces
from heatloss.balance.drivers import prepare
from heatloss.balance.floor import yearly_wave
from heatloss.errors import InputError
from heatloss.geometry import build
from heatloss.physics.sun import daily_light_integral


@pytest.fixture(scope="module")
def chicago():
    return read_weather("chicago")


def box(**more):
    return House(
        **{
            "shape": {"kind": "box", "length": "10 m", "width": "6 m", "eave": "3 m", "bearing": "90 deg"},
            "cover": {"glazing": "polycarbonate twin-wall 8 mm", "bridging": 1.0},
            "air": {"ach": 1.0},
            "setpoint": [{"day": "10 degC", "vent": "27 degC"}],
            **more,
        }
    )


def south_beam(house, weather):
    drivers = prepare(house, build(house), weather)
    j = next(i for i, s in enumerate(build(house).surfaces) if s.part == "south wall")
    return drivers, drivers.beam[:, j]


def test_a_wall_of_trees_to_the_south_takes_the_low_sun_only(chicago):
    trees = {"bearing_from": "90 deg", "bearing_to": "270 deg", "height": "30 deg"}
    bare, sun = south_beam(box(), chicago)
    _, shaded = south_beam(box(place={"obstacles": [trees]}), chicago)
    high = bare.zenith < 59.9
    assert np.allclose(shaded[high], sun[high])
    low = (bare.zenith > 60.1) & (bare.azimuth > 91.0) & (bare.azimuth < 269.0)
    assert sun[low].max() > 300.0
    assert shaded[low].max() == 0.0


def test_an_obstacle_may_reach_over_north(chicago):
    hill = {"bearing_from": "350 deg", "bearing_to": "10 deg", "height": "80 deg"}
    _, sun = south_beam(box(), chicago)
    _, shaded = south_beam(box(place={"obstacles": [hill]}), chicago)
    assert np.array_equal(sun, shaded)  # the sun of Chicago never stands in the north above the horizon


def test_obstacles_take_their_share_of_the_sky(chicago):
    ring = {"bearing_from": "0 deg", "bearing_to": "360 deg", "height": "30 deg"}
    even = {"sun": "isotropic"}
    open_sky = prepare(box(method=even), build(box()), chicago)
    walled = box(place={"obstacles": [ring]}, method=even)
    closed = prepare(walled, build(walled), chicago)
    roof = next(i for i, s in enumerate(build(walled).surfaces) if s.part == "roof")
    lit = open_sky.sky_diffuse[:, roof] > 5.0
    ratio = closed.sky_diffuse[lit, roof] / open_sky.sky_diffuse[lit, roof]
    assert np.allclose(ratio, 1.0 - np.sin(np.radians(30.0)) ** 2)


def snowy(depth: float) -> Weather:
    """A grey year of 5 degrees of frost, and snow that falls on the first day of February."""
    index = pd.date_range("2001-01-01", periods=8760, freq="h")
    hour = index.hour.to_numpy()
    ghi = np.where((hour >= 9) & (hour < 15), 120.0, 0.0)
    sun = {"ghi": ghi, "dni": 0.0, "dhi": ghi}
    frame = pd.DataFrame({"temp_air": -5.0, "relative_humidity": 80.0, "wind_speed": 2.0, **sun}, index=index)
    frame["snow_depth"] = np.where(index >= "2001-02-01", depth, 0.0)
    return Weather.from_frame(frame, latitude=45.0, longitude=-90.0, altitude=200.0, utc_offset=-6.0)


def test_snow_on_a_flat_roof_darkens_the_house_until_it_sheds():
    cold = box(setpoint=[{"day": "0 degC"}], method={"latent": "none"})
    with_snow = simulate(cold, snowy(0.2))
    without = simulate(cold.changed(method={"latent": "none", "snow": "none"}), snowy(0.2))
    february = without.drivers.index.month == 3
    entered, bare = (s.assembly.sunlight.entered[february].sum() for s in (with_snow, without))
    assert 0.2 < entered / bare < 0.9  # the walls still let light in, and white ground sends more to them
    assert with_snow.assembly.sunlight.entered[:700].sum() == pytest.approx(
        without.assembly.sunlight.entered[:700].sum(), rel=0.3
    )
    assert any("Snow lies" in sentence for sentence in with_snow.assumptions)


def test_a_warm_house_under_thin_frost_sheds_its_snow():
    warm = box(setpoint=[{"day": "30 degC"}], cover={"glazing": "glass single 3 mm"}, method={"latent": "none"})
    season = simulate(warm, snowy(0.2))
    plain = simulate(warm.changed(method={"latent": "none", "snow": "none"}), snowy(0.2))
    ratio = season.assembly.sunlight.entered.sum() / plain.assembly.sunlight.entered.sum()
    assert ratio > 0.99  # only the white ground around it is left


def test_no_snow_known_is_said(chicago):
    assert any("the weather file tells none" in s for s in simulate(box(), chicago).assumptions)


def test_drops_dim_the_mornings_of_a_wet_house_only(chicago):
    wet, dry = simulate(box(), chicago), simulate(box(method={"latent": "none"}), chicago)
    ratio = wet.assembly.sunlight.entered / np.maximum(dry.assembly.sunlight.entered, 1e-9)
    lit = dry.assembly.sunlight.entered > 1.0
    assert set(np.round(ratio[lit], 9)) == {0.95, 1.0}


def test_light_by_month_is_what_meets_the_floor(chicago):
    season = simulate(box(), chicago)
    assert list(season.light.index) == season.months
    outdoor = chicago.hours["ghi"].groupby(chicago.hours.index.month).mean()
    share = season.light / daily_light_integral(outdoor.loc[season.months].to_numpy())
    assert share.between(0.35, 1.0).all()  # one twin wall, bars and dirt; walls add light to the floor's own sky
    assert season.monthly["light"].equals(season.light.rename("light"))


def shed(**more):
    return {"name": "shed", "volume": "40 m3", "area": "60 m2", "u": "0.5 W/(m2 K)", "ach": 0.5, **more}


def wall(behind):
    return [{"on": "north wall", "u": "1 W/(m2 K)", "behind": behind}]


def test_a_space_shelters_the_wall_by_its_share(chicago):
    still = {"films": "fixed", "sun": "none", "sky": "outdoor", "latent": "none", "air_exchange": "fixed_density"}
    out = box(part=wall("outdoors"), method=still)
    sheltered = box(part=wall("shed"), space=[shed()], method=still)
    inner = float(surfaces(sheltered).query("role == 'opaque'").eval("area * u_value").sum())
    outer = 60.0 * 0.5 + 0.5 * 40.0 * 0.34
    loss = float(conductances(sheltered, chicago)["w_per_k"]["opaque"])
    assert loss == pytest.approx(inner * outer / (inner + outer), rel=0.02)
    assert simulate(sheltered, chicago).heat_kwh < simulate(out, chicago).heat_kwh


def test_a_leaky_space_is_nearly_the_outdoors(chicago):
    method = {"sun": "none", "sky": "outdoor"}
    out = simulate(box(part=wall("outdoors"), method=method), chicago).heat_kwh
    open_shed = simulate(box(part=wall("shed"), space=[shed(ach=90.0)], method=method), chicago).heat_kwh
    assert open_shed == pytest.approx(out, rel=0.02)


def test_spaces_close_the_ledger(chicago):
    season = simulate(box(part=wall("shed"), space=[shed()]), chicago)
    assert season.closure <= 1e-9
    assert "space shed" in season.network.run(1, first=0).temperature.columns


def test_a_part_behind_an_unknown_space():
    with pytest.raises(InputError, match=r"part\[1\]\.behind must be .* got \"barn\"\. A \[\[space\]\] with this name"):
        box(part=wall("barn"))


def test_earth_behind_a_wall_follows_the_year_later_and_less(chicago):
    season = simulate(box(part=wall("ground")), chicago)
    earth = season.network.run(8760, substeps=1)  # the network alone carries the boundary
    assert earth.closure <= 1e-9
    soil = season.network.temperature_of("earth")
    air = season.drivers.by_month(season.drivers.temp_air)
    mean, amplitude, coldest = yearly_wave(air)
    soil_mean, soil_amplitude, soil_coldest = yearly_wave(season.drivers.by_month(soil))
    assert soil_mean == pytest.approx(mean, abs=0.1)
    assert 0.5 * amplitude < soil_amplitude < 0.8 * amplitude
    assert 0.3 < soil_coldest - coldest < 1.5


def test_studs_lower_a_wall_by_the_combined_method():
    def u(**studs):
        layer = {"material": "fiberglass batt", "thickness": "5.5 in", **studs}
        part = [{"on": "north wall", "layers": [{"r": "R-0.5"}, layer, {"r": "R-0.5"}]}]
        return float(surfaces(box(part=part)).query("role == 'opaque'")["u_value"].iloc[0])

    clear, studded = u(), u(stud="softwood", stud_share=0.15)
    assert 1.1 < studded / clear < 1.5
    assert u(stud="softwood", stud_share=0.0) == pytest.approx(clear, rel=1e-12)


def test_the_first_harmonic_comes_back():
    months = np.arange(1, 13)
    wave = 9.0 - 13.0 * np.cos(2.0 * np.pi * (months - 1.2) / 12.0)
    assert yearly_wave(wave) == pytest.approx((9.0, 13.0, 1.2))


def test_ground_worked_out_again_is_said(chicago):
    said = "the ground was worked out again"
    season = simulate(sample_house(), chicago)
    assert season.assembly.ground_again == any(said in s for s in season.assumptions)


def test_place_overrules_the_record(chicago):
    own, base = box(place={"utc_offset": -5, "altitude": "1700 m"}), box()
    moved, drivers = (prepare(h, build(h), chicago) for h in (own, base))
    noon = slice(172 * 24, 173 * 24)
    assert np.argmin(moved.zenith[noon]) == np.argmin(drivers.zenith[noon]) + 1  # this clock runs an hour ahead
    assert moved.pressure / drivers.pressure == pytest.approx(82527.0 / 98935.0, rel=2e-3)  # standard atmosphere
    thin, thick = (conductances(h, chicago)["w_per_k"]["infiltration"] for h in (own, base))
    assert thin < 0.9 * thick


def test_rated_leaks_are_those_of_open_curtains(chicago):
    curtained = box(curtain=[{"material": "energy curtain"}])
    assert conductances(curtained, chicago).equals(conductances(box(), chicago))
    assert simulate(curtained, chicago).ledger["infiltration"] > simulate(box(), chicago).ledger["infiltration"]


def test_a_tank_heater_keeps_to_its_output(chicago):
    house = box(
        heater=[{"name": "small", "fuel": "pellets", "efficiency": 0.8, "basis": "hhv", "output": "2 kW"}],
        water=[{"name": "tank", "volume": "4 m3", "setpoint": "25 degC", "heater": "small"}],
    )
    power = simulate(house, chicago).run.power
    assert power["small in tank"].max() == pytest.approx(2000.0)


def test_names_of_the_balance_are_reserved():
    with pytest.raises(InputError, match=r"heater\[1\]\.name must be another word than vents and cooler"):
        box(heater=[{"name": "cooler", "type": "pellet stove"}])


def test_simulate_says_what_it_wants(chicago):
    with pytest.raises(InputError, match=r"weather must be a Weather, got 'chicago'\. Read it first: read_weather"):
        simulate(box(), "chicago")
    with pytest.raises(InputError, match="steps_per_hour must be a whole number > 0, got 0"):
        simulate(box(), chicago, steps_per_hour=0)


def test_defaults_and_doors_stand_among_the_sources(chicago):
    names = set(simulate(sample_house(), chicago).sources["name"])
    assert {"bridging", "frame", "soiling", "wind_exponent", "albedo", "wood door", "crossing_light"} <= names


def test_more_than_a_year_is_said():
    index = pd.date_range("2001-01-01", periods=2 * 8760, freq="h")
    frame = pd.DataFrame({"temp_air": 0.0, "relative_humidity": 80.0, "wind_speed": 2.0, "ghi": 0.0}, index=index)
    frame[["dni", "dhi"]] = 0.0
    long = Weather.from_frame(frame, latitude=45.0, longitude=-90.0, altitude=200.0, utc_offset=-6.0)
    assert any("17,520 hours, more than a year" in sentence for sentence in simulate(box(), long).assumptions)
