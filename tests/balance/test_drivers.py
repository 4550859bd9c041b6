"""From a weather year to the site: wind, sky, pressure, and the sun on every surface."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from season_cases import box, framed, free, gable, surface, weather, with_hours

from heatloss.balance.drivers import prepare
from heatloss.geometry import build


def drivers(house=None, place: str = "chicago"):
    house = box() if house is None else house
    return prepare(house, build(house), weather(place))


def test_air_wind_and_pressure() -> None:
    got = drivers()
    hours = weather().hours
    assert (got.temp_air == hours["temp_air"].to_numpy()).all()
    assert got.pressure == pytest.approx(hours["pressure"].mean(), rel=1e-12)
    assert got.index.equals(hours.index)
    ratio = got.wind / np.where(hours["wind_speed"] > 0, hours["wind_speed"], 1.0)
    assert ratio[hours["wind_speed"] > 0].std() < 1e-12


def test_shelter_and_height_take_wind_away() -> None:
    wind = {s: drivers(box(place={"shelter": s})).wind.mean() for s in ("open", "partial", "sheltered")}
    assert wind["sheltered"] < wind["partial"] < wind["open"] < weather().hours["wind_speed"].mean()
    tall = drivers(box(shape={"eave": "5 m"})).wind.mean()
    assert tall / drivers(box(shape={"eave": "2.5 m"})).wind.mean() == pytest.approx(2.0**0.22, rel=1e-9)
    # nearer the ground than 2 m the power law is not used
    assert drivers(box(shape={"eave": "1.5 m"})).wind.mean() == drivers(box(shape={"eave": "1.9 m"})).wind.mean()
    # the magnitude check's house stands in 0.6 of the station's wind
    assert drivers(gable()).wind.mean() / weather().hours["wind_speed"].mean() == pytest.approx(0.6, abs=0.01)


@pytest.mark.parametrize(
    ("place", "form"),
    [
        ("chicago", "longwave"),
        ("northway", "longwave"),
        ("golden", "berdahl_martin"),
        ("nw_colorado", "fixed_11k"),
        ("italy_45n8e", "longwave"),
    ],
)
def test_sky_by_what_the_file_knows(place, form) -> None:
    got = drivers(place=place)
    assert got.sky_form == form
    below = got.temp_air - got.temp_sky
    assert 5.0 < below.mean() < 25.0
    if form == "longwave":
        known = weather(place).hours["longwave_down"].to_numpy()
        assert 5.670374419e-8 * (got.temp_sky + 273.15) ** 4 == pytest.approx(known, rel=1e-9)


def test_sky_word_outdoor_is_the_air() -> None:
    got = drivers(box(method={"sky": "outdoor"}))
    assert (got.temp_sky == got.temp_air).all()


def test_running_month_is_one_in_the_middle_of_january() -> None:
    month = drivers().month
    assert month[0] == pytest.approx(0.5 + 12.0 * 0.5 / 8760.0)
    assert month[-1] == pytest.approx(12.5 - 12.0 * 0.5 / 8760.0)
    assert np.diff(month) == pytest.approx(12.0 / 8760.0, rel=1e-9)
    middle = month[drivers().index == pd.Timestamp("2001-01-16 00:00", tz=drivers().index.tz)]
    assert middle == pytest.approx(1.0, abs=0.01)


def test_monthly_means() -> None:
    got = drivers()
    frame = pd.Series(got.temp_air, index=got.index)
    assert got.by_month(got.temp_air) == pytest.approx(frame.groupby(frame.index.month).mean().to_numpy(), rel=1e-12)


def test_sun_stands_at_the_stamp_plus_mid_offset() -> None:
    """What falls on a level roof is the file's own GHI, only if the sun is computed for the middle of the hour."""
    for place in ("chicago", "golden", "italy_45n8e"):
        got = drivers(place=place)
        roof = next(j for j, s in enumerate(build(box()).surfaces) if s.tilt == 0.0)
        level = got.beam[:, roof] + got.sky_diffuse[:, roof]
        hours = weather(place).hours
        high = got.zenith < 80.0
        beam = hours["dni"] * np.cos(np.radians(got.zenith))
        assert np.sqrt(np.mean((hours["ghi"] - hours["dhi"] - beam)[high] ** 2)) < 6.0, place
        assert level.sum() == pytest.approx(hours["ghi"].sum(), rel=0.01), place
        assert (got.daylight == (got.zenith < 90.0)).all()


def test_walls_see_the_sun_of_their_side() -> None:
    got = drivers()
    faces = {s.name: j for j, s in enumerate(build(box()).surfaces)}
    south, north = got.beam[:, faces["south wall"]].sum(), got.beam[:, faces["north wall"]].sum()
    assert north < 0.15 * south
    morning = got.azimuth < 180.0
    assert got.beam[morning][:, faces["east end"]].sum() > 0.99 * got.beam[:, faces["east end"]].sum()
    assert got.beam[~morning][:, faces["west end"]].sum() > 0.99 * got.beam[:, faces["west end"]].sum()


def test_ground_light_follows_albedo() -> None:
    wall = free([surface("w", 40.0, 90.0, 180.0), surface("e", 20.0, 90.0, 0.0), surface("r", 40.0, 20.0, 180.0)])
    ghi = weather("nw_colorado").hours["ghi"].to_numpy()
    file_albedo = weather("nw_colorado").hours["albedo"].to_numpy()
    got = prepare(wall, build(wall), weather("nw_colorado"))
    assert got.albedo_known
    assert got.ground_diffuse[:, 0] == pytest.approx(0.5 * file_albedo * ghi, rel=1e-9, abs=1e-9)
    bare = framed(weather().hours.drop(columns=["albedo", "temp_dew"], errors="ignore"))
    plain = prepare(wall, build(wall), bare)
    assert not plain.albedo_known
    level = weather().hours["ghi"].to_numpy()
    assert plain.ground_diffuse[:, 0] == pytest.approx(0.5 * 0.2 * level, rel=1e-9, abs=1e-9)


def test_place_overrules_the_file() -> None:
    polar = drivers(box(place={"latitude": 66.0}))
    assert polar.zenith.min() == pytest.approx(66.0 - 23.44, abs=0.2)
    east = drivers(box(place={"longitude": -75.0}))
    shift = drivers().zenith[8:60].argmin() - east.zenith[8:60].argmin()
    assert shift in (0, 1)
    assert drivers().zenith.min() == pytest.approx(weather().site.latitude - 23.44, abs=0.8)  # half an hour off noon


def test_no_sun_is_dark() -> None:
    got = drivers(box(method={"sun": "none"}))
    assert not got.beam.any()
    assert not got.sky_diffuse.any()
    assert not got.ground_diffuse.any()
    assert got.daylight.sum() > 4000  # day and night are still told apart


def test_thin_air_from_the_altitude_where_a_frame_has_no_pressure() -> None:
    hours = weather().hours.drop(columns=["pressure", "temp_dew"])
    high = framed(hours, altitude=2500.0)
    assert prepare(box(), build(box()), high).pressure == pytest.approx(74682.0, rel=1e-3)  # standard atmosphere


def test_hours_are_taken_as_they_stand() -> None:
    """Doubling the wind of the file doubles the wind at the house; the air is not touched."""
    twice = with_hours(weather(), wind_speed=2.0 * weather().hours["wind_speed"])
    got = prepare(box(), build(box()), twice)
    assert got.wind == pytest.approx(2.0 * drivers().wind, rel=1e-12)
    assert (got.temp_air == drivers().temp_air).all()


def test_first_hours_of_day_are_counted_from_sunrise() -> None:
    got = drivers()
    for first in (1, 4):
        early = got.hours_of_day(first)
        counted, since = [], 0
        for up in got.daylight:
            since = since + 1 if up else 0
            counted.append(0 < since <= first)
        assert early.tolist() == counted
    assert got.hours_of_day(4).sum() == 4 * 365


def test_obstacles_hide_the_low_sun_and_part_of_the_sky() -> None:
    wood = [{"bearing_from": "60 deg", "bearing_to": "150 deg", "height": "20 deg"}]
    clear, behind = drivers(), drivers(box(place={"obstacles": wood}))
    low = (clear.azimuth >= 60.0) & (clear.azimuth <= 150.0) & (clear.zenith > 70.0)
    assert not behind.beam[low].any()
    assert clear.beam[low].any()
    high = (clear.zenith < 60.0) & (clear.beam[:, 0] > 50.0)
    assert (behind.beam[high] == clear.beam[high]).all()
    hidden = 90.0 / 360.0 * np.sin(np.radians(20.0)) ** 2
    roof = next(j for j, s in enumerate(build(box()).surfaces) if s.tilt == 0.0)
    night = clear.zenith > 89.0
    cloudy = (weather().hours["dni"] == 0.0).to_numpy() & ~night & (clear.sky_diffuse[:, roof] > 20.0)
    share = behind.sky_diffuse[cloudy, roof] / clear.sky_diffuse[cloudy, roof]
    assert share == pytest.approx(1.0 - hidden, abs=5e-3)
    assert np.median(share) == pytest.approx(1.0 - hidden, rel=1e-9)
    # an edge over north: from 300 round to 30 deg
    north = drivers(box(place={"obstacles": [{"bearing_from": "300 deg", "bearing_to": "30 deg", "height": "60 deg"}]}))
    west = (clear.azimuth > 301.0) & (clear.zenith > 31.0)
    assert not north.beam[west].any()
    rest = (clear.azimuth > 31.0) & (clear.azimuth < 299.0) & (clear.zenith < 85.0)
    assert north.beam[rest] == pytest.approx(clear.beam[rest], rel=0.05, abs=5.0)
