"""Statistics and heating lines against scipy, and against the definitions."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import linregress, t

from heatloss import InputError
from heatloss.physics.comparison import (
    change_point,
    cv_rmse,
    determination,
    heating_line,
    nmbe,
    saving_uncertainty,
)

# Check set: calculated, measured m and modelled s of twelve months.
M = np.array([520, 430, 310, 120, 30, 5, 0, 0, 25, 140, 300, 460.0])
S = np.array([500, 450, 290, 140, 20, 0, 0, 0, 40, 120, 320, 480.0])
# Check set: calculated, a three-parameter heating line.
T = np.array([-12.0, -9, -6, -3, 0, 2, 4, 6, 8, 10, 13, 16])


@pytest.mark.parametrize(("p", "bias", "spread"), [(0, -0.8547, 8.3086), (1, -0.9324, 8.6781)])
def test_the_check_set_to_its_printed_digits(p, bias, spread):
    assert 100 * nmbe(M, S, parameters=p) == pytest.approx(bias, abs=5e-5)
    assert 100 * cv_rmse(M, S, parameters=p) == pytest.approx(spread, abs=5e-5)
    assert determination(M, S) == pytest.approx(0.99271, abs=5e-6)


def test_the_change_point_comes_back_to_its_printed_digits():
    line = change_point(2.0 + 1.5 * np.maximum(9.0 - T, 0.0), T)
    assert line.base_load == pytest.approx(2.0, abs=1e-8)
    assert line.slope == pytest.approx(1.5, abs=1e-8)
    assert line.balance_temperature == pytest.approx(9.0, abs=1e-8)
    assert line.sun_relief == 0.0


def test_values_and_covariance_are_those_of_a_general_least_squares():
    rng = np.random.default_rng(4)
    temp, sun = rng.uniform(-15.0, 20.0, 60), rng.uniform(10.0, 250.0, 60)
    use = heating_line(np.array([0.4, 0.3, 11.0, 0.02]), temp, sun) + rng.normal(0.0, 0.3, 60)
    line = change_point(use, temp, sun=sun)

    def general(x, *numbers):
        return heating_line(np.array(numbers), x[0], x[1])

    numbers, covariance = curve_fit(general, np.array([temp, sun]), use, p0=[0.5, 0.3, 10.0, 0.01])
    assert line.numbers == pytest.approx(numbers, rel=1e-4)
    assert line.covariance == pytest.approx(covariance, rel=1e-3, abs=1e-9)
    assert line.freedom == 56


def test_where_all_days_are_cold_it_is_the_straight_line():
    rng = np.random.default_rng(5)
    temp = rng.uniform(-20.0, 0.0, 30)
    use = 0.2 * (8.0 - temp) + rng.normal(0.0, 0.1, 30)
    line, straight = change_point(use, temp, base_load=0.0), linregress(temp, use)
    assert line.slope == pytest.approx(-straight.slope, rel=1e-6)
    assert line.balance_temperature == pytest.approx(-straight.intercept / straight.slope, rel=1e-6)
    assert line.covariance[1, 1] == pytest.approx(straight.stderr**2, rel=1e-5)
    # HC3 of a straight line, written out for its slope: sum of (x e / (1 - h))^2 over the square of the sum of x^2
    x = temp - temp.mean()
    rest = (use - straight.intercept - straight.slope * temp) / (1.0 - 1.0 / 30.0 - x**2 / (x @ x))
    assert line.robust[1, 1] == pytest.approx(((x * rest) ** 2).sum() / (x @ x) ** 2, rel=1e-5)


def test_intervals_are_means_of_their_days():
    rng = np.random.default_rng(6)
    temp, sun = rng.uniform(-15.0, 25.0, 140), rng.uniform(0.0, 250.0, 140)
    shares = np.kron(np.eye(20), np.full((1, 7), 1.0 / 7.0))
    truth = np.array([0.3, 0.25, 12.0, 0.03])
    line = change_point(shares @ heating_line(truth, temp, sun), temp, sun=sun, shares=shares, lengths=np.full(20, 7.0))
    assert line.numbers == pytest.approx(truth, rel=1e-5)


def test_the_simplified_form_of_a_saving():
    # calculated by hand from the formula of the docstring
    expected = t.ppf(0.95, 23) * 1.26 * 0.1 / 0.2 * np.sqrt(28 / (26 * 12))
    assert saving_uncertainty(0.1, 0.2, before=26, after=12) == pytest.approx(expected, rel=1e-12)
    assert saving_uncertainty(0.1, -0.2, before=26, after=12) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: nmbe(M, S[:3]), "of one length"),
        (lambda: nmbe(np.zeros(3), np.zeros(3)), "mean of measured must be above 0"),
        (lambda: cv_rmse(M[:1], S[:1]), "more than 1 values"),
        (lambda: determination(np.ones(3), np.ones(3)), "spread of measured"),
        (lambda: change_point(T, T), "must rise as it gets colder"),
        (lambda: change_point(T[:3], T[:3]), "intervals must be at least"),
        (lambda: change_point(T, np.where(T > 15, np.nan, T)), "known everywhere"),
        (lambda: change_point(T, T[:5]), "one value for each"),
        (lambda: saving_uncertainty(0.1, 0.0, before=26, after=12), "other than 0"),
        (lambda: saving_uncertainty(0.1, 0.2, before=3, after=12), "more than 3"),
        (lambda: saving_uncertainty(0.1, 0.2, before=26, after=12, confidence=2.0), "confidence"),
    ],
)
def test_what_cannot_be_is_refused(call, said):
    with pytest.raises(InputError, match=said):
        call()
