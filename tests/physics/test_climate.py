"""The laws of a synthetic year against their sources and against themselves."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.physics import climate


def test_daily_sun_above_air_of_the_textbook() -> None:
    # Duffie and Beckman, 4th edition, example 1.10.1: latitude 43, 15 April, 33.8 MJ/m2, from memory.
    assert climate.sun_above_air(105, latitude=43.0) * 0.0864 == pytest.approx(33.8, abs=0.05)
    assert climate.sun_above_air(355, latitude=80.0) == 0.0
    assert climate.sun_above_air(172, latitude=90.0) > 460.0


@pytest.mark.parametrize("mean", [0.3, 0.45, 0.6, 0.7])
def test_clearness_of_days_has_the_mean_of_the_month(mean: float) -> None:
    # The law's own parameter is a fit; its mean comes back within half a hundredth. Calculated.
    days = climate.daily_clearness((np.arange(10_000) + 0.5) / 10_000, clearness=mean)
    assert days.mean() == pytest.approx(mean, abs=0.005)
    assert days.min() >= climate.LEAST_CLEARNESS - 1e-9
    assert days.max() <= climate.clearest(mean) + 1e-9


def test_matrices_of_the_generator_are_the_published_ones() -> None:
    # Richardson and Wright, WGEN, USDA ARS-8, 1984: A and B as printed, from memory.
    follow = climate.NEXT_DAY @ np.linalg.inv(climate.SAME_DAY)
    noise = np.linalg.cholesky(climate.SAME_DAY - follow @ climate.NEXT_DAY.T)
    printed_a = [[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]]
    printed_b = [[0.781, 0.0, 0.0], [0.328, 0.637, 0.0], [0.238, -0.341, 0.873]]
    assert follow == pytest.approx(np.array(printed_a), abs=0.0025)
    assert noise == pytest.approx(np.array(printed_b), abs=0.0015)


def test_departures_correlate_as_asked_and_repeat_with_the_seed() -> None:
    days = climate.daily_departures(60_000, seed=3)
    assert np.corrcoef(days.T) == pytest.approx(climate.SAME_DAY, abs=0.02)
    lagged = np.corrcoef(days[1:].T, days[:-1].T)[:3, 3:]
    assert lagged == pytest.approx(climate.NEXT_DAY, abs=0.02)
    assert np.array_equal(climate.daily_departures(50, seed=3), climate.daily_departures(50, seed=3))


def test_smooth_days_keep_every_month() -> None:
    months = np.array([-24.2, -19.8, -11.3, -5.7, 8.3, 12.7, 15.8, 11.4, 2.8, -3.0, -19.4, -22.7])
    days = climate.smooth_days(months)
    parts = np.split(days, np.cumsum(climate.DAYS_OF_MONTH)[:-1])
    assert [part.mean() for part in parts] == pytest.approx(months, abs=1e-9)
    assert np.abs(np.diff(days)).max() < 1.5
    assert climate.smooth_days(np.full(12, 3.0)) == pytest.approx(np.full(365, 3.0), abs=1e-12)


def test_course_of_a_day_has_no_mean_and_a_range_of_one() -> None:
    hours = climate.day_course(np.arange(0.0, 24.0, 0.1))
    assert hours.mean() == pytest.approx(0.0, abs=1e-12)
    assert np.ptp(hours) == pytest.approx(1.0, abs=0.04)  # printed coefficients round it
    assert 4.0 <= 0.1 * int(np.argmin(hours)) <= 7.0
    assert 14.0 <= 0.1 * int(np.argmax(hours)) <= 17.0


def test_cloud_takes_the_share_that_it_was_fitted_to() -> None:
    # Kasten and Czeplak 1980: an overcast sky leaves a quarter of the clear day's sun, from memory.
    assert climate.cloud_of_sun(0.25) == pytest.approx(1.0)
    assert climate.cloud_of_sun(1.0) == 0.0
    assert 1.0 - 0.75 * climate.cloud_of_sun(0.6) ** 3.4 == pytest.approx(0.6)


def test_wind_has_its_law() -> None:
    wind = climate.wind_course(400_000, seed=2)
    assert wind.mean() == pytest.approx(1.0, abs=0.03)
    # Rayleigh: standard deviation by mean sqrt(4 / pi - 1) = 0.523. Definition.
    assert wind.std() / wind.mean() == pytest.approx(0.523, abs=0.015)


@pytest.mark.parametrize(
    "call",
    [
        lambda: climate.daily_spread(float("nan"), yearly_spread=5.0),
        lambda: climate.daily_departures(0, seed=1),
        lambda: climate.clearest(0.9),
        lambda: climate.daily_clearness(1.2, clearness=0.5),
        lambda: climate.sun_above_air(10, latitude=91.0),
        lambda: climate.hour_shape(0.0, sunset=4.0),
        lambda: climate.day_course(25.0),
        lambda: climate.range_of_clearness(0.0),
        lambda: climate.cloud_of_sun(-0.1),
        lambda: climate.smooth_days(np.zeros(11)),
        lambda: climate.wind_course(0, seed=1),
    ],
)
def test_refusals(call) -> None:
    with pytest.raises(InputError, match="must be"):
        call()
