"""Synthetic years beside the real files whose normals they were made of.

What comes back: monthly temperature and sun by construction; degree days and the heat of a house as far as the laws of
days and hours are like the place's own. Limits: 0.1 K, 1 %, 6 % and 12 %.
"""

from __future__ import annotations

import functools

import numpy as np
import pytest

from heatloss.house import sample_house
from heatloss.season import simulate
from heatloss.weather import Weather
from heatloss.weather.checks import closure
from heatloss.weather.normals import Normals, crude
from heatloss.weather.synthetic import synthetic_year

PLACES = ("chicago", "golden", "sand_point", "northway", "nw_colorado", "italy_45n8e")
TYPICAL = PLACES[:4]


@pytest.fixture(scope="module")
def made(sample):
    return functools.cache(lambda name: synthetic_year(Normals.of(sample(name))))


@pytest.mark.parametrize("name", PLACES)
def test_months_come_back(name: str, made, sample) -> None:
    got, real = made(name).monthly(), sample(name).monthly()
    assert got["temp_air"].to_numpy() == pytest.approx(real["temp_air"].to_numpy(), abs=0.1)
    assert got["ghi_kwh"].to_numpy() == pytest.approx(real["ghi_kwh"].to_numpy(), rel=0.01)
    assert got["relative_humidity"].to_numpy() == pytest.approx(real["relative_humidity"].to_numpy(), abs=1.0)
    assert got["wind_speed"].to_numpy() == pytest.approx(real["wind_speed"].to_numpy(), rel=0.01)


@pytest.mark.parametrize("name", PLACES)
def test_degree_days_of_the_real_file(name: str, made, sample) -> None:
    assert made(name).degree_days(18.0) == pytest.approx(sample(name).degree_days(18.0), rel=0.06)


@pytest.mark.parametrize("name", TYPICAL)
def test_heat_of_the_built_in_house(name: str, made, sample) -> None:
    house = sample_house()
    assert simulate(house, made(name)).heat_kwh == pytest.approx(simulate(house, sample(name)).heat_kwh, rel=0.12)


@pytest.mark.parametrize("name", TYPICAL)
def test_days_spread_like_real_ones(name: str, made, sample) -> None:
    # Within the months of winter; sea coasts spread half as much as the law says (Sand Point).
    def spread(weather: Weather) -> float:
        daily = weather.daily
        month = daily.index.month
        winter = daily[np.isin(month, (12, 1, 2))]
        return float(winter.groupby(winter.index.month).std().mean())

    ratio = spread(made(name)) / spread(sample(name))
    assert 0.65 < ratio < (1.8 if name == "sand_point" else 1.3)


def test_the_sun_closes_and_stays_below_its_limits(made, sample) -> None:
    for name in PLACES:
        weather = made(name)
        assert closure(weather.hours, weather.site, 30.0) < 1.0
        assert weather.hours["dni"].max() <= 1050.0
        beam = weather.hours["dni"].sum() / sample(name).hours["dni"].sum()
        assert 0.6 < beam < 1.1  # hours have no cloud of their own, so less of the sun is direct


def test_same_seed_same_year(sample) -> None:
    normals = Normals.of(sample("chicago"))
    assert synthetic_year(normals).hours.equals(synthetic_year(normals).hours)
    other = Normals.of(sample("chicago"), seed=2)
    assert not synthetic_year(other).hours.equals(synthetic_year(normals).hours)


def test_without_humidity_the_night_is_near_saturation() -> None:
    hours = synthetic_year(crude(44.0, january=-7.0, july=20.0)).hours
    assert (hours["temp_dew"] <= hours["temp_air"] + 1e-9).all()
    assert 60.0 < hours["relative_humidity"].mean() < 90.0


@pytest.mark.parametrize("latitude", [-44.0, 0.0, 69.0, 89.0])
def test_any_place(latitude: float) -> None:
    january, july = (15.0, 5.0) if latitude < 0 else (-10.0, 15.0)
    weather = synthetic_year(crude(latitude, january=january, july=july))
    assert np.isfinite(weather.hours.to_numpy()).all()
    assert len(weather.hours) == 8760


def test_notes_say_what_it_is() -> None:
    notes = synthetic_year(crude(44.0, january=-7.0, july=20.0)).notes
    assert notes[0].startswith("A synthetic year, seed 1: ")
    assert "Monthly means lie on a cosine from January to July." in notes
