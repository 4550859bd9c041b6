"""Greenhouses that were measured, run at the boundaries their sources give, with the library's own defaults.

What a source does not give is assumed and said. A band is the reading with its own width, not a tuning target: where
the balance misses one, the test says by how much and why.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from heatloss import House, Season, Weather, read_weather, simulate
from heatloss.physics.films import STEFAN_BOLTZMANN
from heatloss.physics.water import tank_areas

DARK = {"sun": "none"}


def still_night(*, temp_air: float, wind: float, net_sky: float) -> Weather:
    """A year of one night hour: the sky's long wave less that of the air [W/m2] is ``net_sky``.

    A record without sun is refused, so there is some at noon; the houses leave it out by their method.
    """
    index = pd.date_range("2001-01-01", periods=8760, freq="h")
    noon = np.where((index.hour >= 10) & (index.hour < 14), 50.0, 0.0)
    sky = STEFAN_BOLTZMANN * (temp_air + 273.15) ** 4 + net_sky
    hours = {"temp_air": temp_air, "relative_humidity": 85.0, "wind_speed": wind, "pressure": 101325.0,
             "ghi": noon, "dni": 0.0, "dhi": noon, "longwave_down": sky}  # fmt: skip
    frame = pd.DataFrame(hours, index=index)
    return Weather.from_frame(frame, latitude=52.0, longitude=4.5, altitude=0.0, utc_offset=1.0)


def settled(season: Season) -> pd.Series[float]:
    """The last hour of a steady year."""
    return season.hourly.iloc[-1]


# Compartments of 96 m2 at Bleiswijk, autumn 2018, no screens: 88 hours without sun and lamps, vents shut. Open data of
# the first autonomous greenhouse challenge (Hemming et al. 2019, Sensors 19(8):1807), read. Partitions adiabatic, roof
# of 22 deg, mean height 5 m: assumed.
HEATED_BY = 7.4
NIGHT = {"temp_air": 10.0, "wind": 2.0, "net_sky": -46.0}


def compartment(inside: float) -> House:
    slope = {"area": (0.54 * 96.0, "m2"), "tilt": "22 deg", "glazing": "glass single 4 mm"}
    partition = {"area": "48 m2", "tilt": "90 deg", "layers": [{"r": (30.0, "m2 K/W")}]}
    return House(
        place={"shelter": "open"},
        shape={"kind": "free", "floor_area": "96 m2", "perimeter": "1 m", "volume": "480 m3"},
        surface=[
            *({"name": f"slope {a}", "azimuth": f"{a} deg", **slope} for a in (90, 270)),
            *({"name": f"partition {a}", "azimuth": f"{a} deg", **partition} for a in (90, 180, 270, 360)),
        ],
        air={"class": "modern glass with screens"},
        setpoint=[{"day": (inside, "degC")}],
        method=DARK,
    )


def u_of_floor(**changes: float) -> float:
    """Heat by floor area and by the difference of the air temperatures [W/(m2 K)]."""
    night = NIGHT | changes
    now = settled(simulate(compartment(night["temp_air"] + HEATED_BY), still_night(**night)))
    return float(now["heat"] / 96.0 / (now["inside"] - now["outdoor"]))


def test_bare_glass_on_still_nights() -> None:
    """Median 7.4, 6.7 to 8.1 for 95 per cent of the hours; band 6.0 to 8.8."""
    assert 6.0 < u_of_floor() < 8.8


# The same compartments with their screens closed (20 and 61 hours): medians 4.0 and 3.5; the energy screen lets 75 per
# cent of the light through, the black-out screen 2. The catalogue's own cloths and gaps stand for theirs.
SCREENS: dict[str, tuple[list[str], float, dict[str, float]]] = {
    "energy": (["energy curtain"], 8.8, {"temp_air": 10.0, "wind": 1.7, "net_sky": -37.0}),
    "energy and black-out": (
        ["energy curtain", "blackout curtain"], 10.9, {"temp_air": 10.0, "wind": 1.4, "net_sky": -52.0}
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("screens", "u", "ratio"),
    [("energy", (3.2, 5.0), (0.45, 0.65)), ("energy and black-out", (2.8, 4.2), (0.40, 0.56))],
)
def test_glass_with_closed_screens(screens: str, u: tuple[float, float], ratio: tuple[float, float]) -> None:
    """4.7 W/(m2 K), 0.59 of bare glass with one; 3.4 and 0.43 with two."""
    cloths, above, night = SCREENS[screens]
    house = compartment(night["temp_air"] + above).changed(curtain=[{"material": m} for m in cloths])
    now = settled(simulate(house, still_night(**night)))
    found = float(now["heat"] / 96.0 / (now["inside"] - now["outdoor"]))
    assert u[0] < found < u[1]
    assert ratio[0] < found / u_of_floor() < ratio[1]


def test_bare_glass_in_wind_and_under_a_clear_sky() -> None:
    """0.1 to 0.5 for each m/s; rising as the sky clears (0.15 per unit of -net sky / dT was read, we have 0.27)."""
    assert 0.1 < (u_of_floor(wind=4.0) - u_of_floor(wind=1.0)) / 3.0 < 0.5
    clear, dull = u_of_floor(net_sky=-80.0), u_of_floor(net_sky=-10.0)
    assert 0.05 < (clear - dull) / (70.0 / HEATED_BY) < 0.35


# A single polyethylene tunnel, clear winter night, 140 W/m2 by fan coils held about 11 K: Silva and Rosa 1989, Acta
# Horticulturae 245:232, abstract read. 8 x 30 x 3.2 m, 0.75 air changes, wet film, 5 degC, 1.5 m/s, net sky -70 W/m2:
# assumed.
TUNNEL: dict[str, Any] = {
    "shape": {"kind": "hoop", "length": "30 m", "width": "8 m", "ridge": "3.2 m", "bearing": "0 deg"},
    "cover": {"glazing": "polyethylene single"},
}


def held_above_outdoors(**changes: Any) -> float:
    house = House(
        **TUNNEL,
        place={"shelter": "open"},
        air={"ach": 0.75},
        setpoint=[{"day": "50 degC"}],
        heater=[{"name": "fan coils", "type": "electric heater", "output": (140.0 * 240.0, "W")}],
        method=DARK,
        **changes,
    )
    now = settled(simulate(house, still_night(temp_air=5.0, wind=1.5, net_sky=-70.0)))
    return float(now["inside"] - now["outdoor"])


@pytest.mark.xfail(
    reason="15.5 K: the half planted house of the defaults gives off little vapour by night, and its film stays dry"
)
def test_tunnel_heated_by_fan_coils() -> None:
    assert 8.5 < held_above_outdoors() < 14.5


def test_tunnel_with_a_full_crop_heated_by_fan_coils() -> None:
    """The source tells of no crop; with a grown one the vapour that condenses on the film brings it to 12.5 K."""
    assert 8.5 < held_above_outdoors(canopy={"share": 0.9, "leaf_area": 2.5}) < 14.5


def test_the_more_grows_in_the_tunnel_the_more_heat_it_takes() -> None:
    held = [held_above_outdoors(canopy={"share": share, "leaf_area": 2.5}) for share in (0.0, 0.5, 0.9)]
    assert held == sorted(held, reverse=True)


# Double plastic with an indoor thermal curtain, Korea, winter: 3.85 and 2.76 W/(m2 K) of cover, Kim et al. 2018,
# Energies 11(3):578, abstract read. A tunnel of 8 x 30 x 3.5 m, two films with air between, 15 degC inside over -5,
# 2 m/s, clear (net sky -60 W/m2), no leaks, no bars: assumed.
def u_of_double_film(curtain: list[dict[str, Any]]) -> float:
    """Heat through the cover by its area and by the difference of the air temperatures [W/(m2 K)]."""
    house = House(
        shape={"kind": "hoop", "length": "30 m", "width": "8 m", "ridge": "3.5 m", "bearing": "0 deg"},
        cover={"glazing": "polyethylene double inflated", "bridging": 1.0},
        place={"shelter": "open"},
        air={"ach": 0.0001},
        setpoint=[{"day": "15 degC"}],
        method=DARK,
        curtain=curtain,
    )
    season = simulate(house, still_night(temp_air=-5.0, wind=2.0, net_sky=-60.0))
    area = sum(s.area for s in season.geometry.surfaces)
    now = settled(season)
    return float(-season.paths["cover"][-1] / area / (now["inside"] - now["outdoor"]))


def test_double_film_with_and_without_a_curtain() -> None:
    """3.3 and 2.3 W/(m2 K), a saving of 31 per cent."""
    bare, hung = u_of_double_film([]), u_of_double_film([{"material": "energy curtain"}])
    assert 3.1 < bare < 4.6
    assert 2.1 < hung < 3.4
    assert 0.20 < 1.0 - hung / bare < 0.36


# A water sleeve or drum in still air 5 to 10 K from it: convection and radiation 6 to 8 W/(m2 K), Verlodt and Mougou
# 1990, Acta Horticulturae 263:13, abstract read. In the dark, under a lid so that nothing evaporates, in a house as
# warm as the outdoors: assumed.
def test_drum_in_still_air() -> None:
    house = House(
        shape={"kind": "box", "length": "8 m", "width": "5 m", "eave": "2.5 m", "bearing": "0 deg"},
        cover={"glazing": "glass sealed double"},
        air={"ach": 0.3},
        water=[{"name": "drum", "volume": "200 L", "lid": True, "setpoint": "18 degC", "heater": "coil"}],
        setpoint=[{"day": "10 degC"}],
        heater=[{"name": "stove", "type": "electric heater"}, {"name": "coil", "type": "electric heater"}],
        method={**DARK, "films": "natural"},
    )
    run = simulate(house, still_night(temp_air=10.0, wind=2.0, net_sky=0.0)).run
    lost = run.flow("tank drum", "air")[-1] + run.flow("tank drum", "radiant star")[-1]
    after = run.temperature.iloc[-1]
    assert after["radiant star"] == pytest.approx(after["air"], abs=0.5)
    assert 5.5 < lost / sum(tank_areas(0.2)) / (after["tank drum"] - after["air"]) < 8.5


# Unheated tunnels: 574 winter nights of one logger, minima -0.2 K, colder inside on 72 per cent, maxima +3.9 K (data
# read); Savage 1980, Agrochemophysica 12:5, minima +1.3 K, maxima +4.2 K (abstract read). 1 to 2 air changes: assumed.
# Bare soil under a dry clear film is the method without vapour.
def unheated(site: str, ach: float, latent: str) -> tuple[float, float, float]:
    """Mean excess of the daily minima [K], share of nights colder inside [1], mean excess of the maxima [K]."""
    house = House(**TUNNEL, air={"ach": ach}, method={"latent": latent})
    hourly = simulate(house, read_weather(site)).hourly
    winter = hourly[hourly.index.month.isin([11, 12, 1, 2, 3])]
    days = winter.groupby(winter.index.date)[["inside", "outdoor"]].agg(["min", "max"])
    lowest = days["inside", "min"] - days["outdoor", "min"]
    highest = days["inside", "max"] - days["outdoor", "max"]
    return float(lowest.mean()), float((lowest < 0.0).mean()), float(highest.mean())


@pytest.mark.parametrize("ach", [1.0, 2.0])
def test_unheated_tunnel_in_a_mild_winter(ach: float) -> None:
    minima, colder, maxima = unheated("italy_45n8e", ach, "none")
    assert -1.0 < minima < 1.5
    assert colder > 0.15
    assert 2.0 < maxima < 7.0


@pytest.mark.parametrize("ach", [1.0, 2.0])
def test_unheated_tunnel_on_a_windy_coast(ach: float) -> None:
    """Sand Point, Alaska: the nights come out; the days, with 0.5 to 1.9 kWh/m2 of sun in 5.6 m/s, gain 0.8 K."""
    minima, colder, maxima = unheated("sand_point", ach, "none")
    assert -1.0 < minima < 1.5
    assert colder > 0.15
    assert 0.5 < maxima < 2.0


def test_unheated_tunnel_as_it_comes_on_a_windy_coast() -> None:
    """With the default planted floor and wet film at one air change the days come out too: 2.2 K."""
    minima, colder, maxima = unheated("sand_point", 1.0, "leaves")
    assert -1.0 < minima < 1.5
    assert colder > 0.15
    assert 2.0 < maxima < 7.0


def test_wet_film_keeps_the_tunnel_warmer() -> None:
    """A wet film holds the heat rays back: +0.5 to +4 K."""
    wet, dry = unheated("italy_45n8e", 1.0, "leaves")[0], unheated("italy_45n8e", 1.0, "none")[0]
    assert dry < wet
    assert 0.5 < wet < 4.0
