from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatloss.errors import InputError
from heatloss.physics import optics

# Transmittance of stacks, calculated from the formulas: index, KL, then single at 0 20 40 50 60 70 80 85 deg and
# hemispherical, double at 0 40 60 70 80 and hemispherical, triple at 0 and hemispherical.
TABLE = """
1.526 0      .9169 .9165 .9080 .8897 .8421 .7236 .4554 .2453 .8451  .8465 .8372 .7588 .6052 .3096 .7627  .7862 .7039
1.526 .0125  .9054 .9047 .8955 .8768 .8290 .7113 .4454 .2368 .8328  .8254 .8141 .7349 .5838 .2940 .7404  .7567 .6728
1.526 .037   .8835 .8822 .8715 .8520 .8041 .6879 .4269 .2217 .8094  .7856 .7706 .6903 .5445 .2667 .6989  .7021 .6163
1.586 0      .9023 .9019 .8935 .8755 .8289 .7131 .4497 .2425 .8318  .8220 .8142 .7444 .5981 .3069 .7441  .7548 .6825
1.586 .0125  .8910 .8904 .8812 .8629 .8162 .7012 .4401 .2342 .8199  .8014 .7918 .7211 .5773 .2917 .7225  .7263 .6523
"""
ANGLES = {1: (0, 20, 40, 50, 60, 70, 80, 85), 2: (0, 40, 60, 70, 80), 3: (0,)}


@pytest.mark.parametrize("line", TABLE.strip().splitlines())
def test_table_of_stacks(line: str) -> None:
    n, kl, *rest = map(float, line.split())
    for sheets, angles in ANGLES.items():
        values, rest = rest[: len(angles) + 1], rest[len(angles) + 1 :]
        got = optics.stack(np.cos(np.radians(angles)), n=n, kl=kl, sheets=sheets).transmittance
        assert got == pytest.approx(values[:-1], abs=5.1e-5)
        diffuse = optics.hemispherical(n=n, kl=kl, sheets=sheets).transmittance
        assert diffuse == pytest.approx(values[-1], abs=5.1e-5)


def test_sheet_of_a_textbook() -> None:
    """Glass of KL 32 /m x 2.3 mm at 60 deg: reflectance, transmittance, absorptance; means from memory of a solar
    textbook, the polarisations calculated."""
    perpendicular, parallel = optics.sheet(0.5, n=1.526, kl=0.0736)
    assert (perpendicular.reflectance, perpendicular.transmittance, perpendicular.absorptance) == pytest.approx(
        (0.29144, 0.62469, 0.08388), abs=5e-6
    )
    assert (parallel.reflectance, parallel.transmittance, parallel.absorptance) == pytest.approx(
        (0.00266, 0.91184, 0.08550), abs=5e-6
    )
    mean = optics.stack(0.5, n=1.526, kl=0.0736, sheets=1)
    assert (mean.reflectance, mean.transmittance, mean.absorptance) == pytest.approx((0.147, 0.768, 0.085), abs=5e-4)


def test_one_face() -> None:
    """A lossless sheet is (1 - r)/(1 + r): the face's r at 0 and at 60 deg, calculated."""
    normal = optics.sheet(1.0, n=1.526, kl=0.0)[0].transmittance
    assert (1 - normal) / (1 + normal) == pytest.approx(0.0433615, abs=5e-8)
    for one, r in zip(optics.sheet(0.5, n=1.526, kl=0.0), (0.1854775, 0.0014479), strict=True):
        assert (1 - one.transmittance) / (1 + one.transmittance) == pytest.approx(r, abs=5e-8)


@pytest.mark.parametrize(("sheets", "degrees"), [(1, 59.58), (2, 59.57)])
def test_equivalent_angle_of_an_even_sky(sheets: int, degrees: float) -> None:
    """The rule of 60 deg: the angle at which a lossless stack passes as much beam as diffuse light, calculated."""
    angles = np.linspace(55.0, 65.0, 2001)
    beam = optics.stack(np.cos(np.radians(angles)), n=1.526, kl=0.0, sheets=sheets).transmittance
    diffuse = optics.hemispherical(n=1.526, kl=0.0, sheets=sheets).transmittance
    assert np.interp(-diffuse, -beam, angles) == pytest.approx(degrees, abs=0.0051)


@given(st.floats(-0.5, 1.0), st.floats(1.05, 2.5), st.floats(0.0, 1.0), st.integers(1, 5))
def test_shares_sum_to_one_and_stay_in_bounds(c: float, n: float, kl: float, sheets: int) -> None:
    got = optics.stack(c, n=n, kl=kl, sheets=sheets)
    assert sum(got) == pytest.approx(1.0, abs=1e-12)
    assert all(-1e-12 <= share <= 1.0 + 1e-12 for share in got)
    if c <= 0.0:
        assert got.transmittance == 0.0


def test_lossless_stack_has_the_closed_form() -> None:
    """N lossless sheets per polarisation: (1 - r) / (1 + (2N - 1) r)."""
    r = ((1.586 - 1) / (1.586 + 1)) ** 2
    for sheets in range(1, 6):
        closed = (1 - r) / (1 + (2 * sheets - 1) * r)
        assert optics.stack(1.0, n=1.586, kl=0.0, sheets=sheets).transmittance == pytest.approx(closed, rel=1e-13)


@pytest.mark.parametrize(("sheets", "rating"), [(1, 0.88), (2, 0.80), (2, 0.60), (3, 0.73), (5, 0.50), (1, 0.95)])
def test_fit_returns_the_rating(sheets: int, rating: float) -> None:
    kl, scale = optics.fit_extinction(n=1.586, sheets=sheets, solar_normal=rating)
    assert scale * optics.stack(1.0, n=1.586, kl=kl, sheets=sheets).transmittance == pytest.approx(rating, rel=1e-12)
    assert (scale > 1.0) == (kl == 0.0) == (rating == 0.95)


def test_curve_follows_the_stack() -> None:
    cosine = np.random.default_rng(1).uniform(-1.0, 1.0, (100, 50))
    curve = optics.transmittance_curve(n=1.526, kl=0.0125, sheets=2, scale=0.97, cos_incidence=cosine)
    exact = 0.97 * optics.stack(cosine, n=1.526, kl=0.0125, sheets=2).transmittance
    assert np.abs(curve - exact).max() < 1e-6


def test_refusals() -> None:
    with pytest.raises(InputError, match="sheets must be a whole number from 1 to 5"):
        optics.stack(1.0, n=1.5, kl=0.0, sheets=6)
    with pytest.raises(InputError, match="n must be above 1"):
        optics.sheet(1.0, n=1.0, kl=0.0)
    with pytest.raises(InputError, match="kl must be at least 0"):
        optics.sheet(1.0, n=1.5, kl=float("nan"))
    with pytest.raises(InputError, match="solar_normal must be above 0"):
        optics.fit_extinction(n=1.5, sheets=1, solar_normal=0.0)


@pytest.mark.parametrize("sheets", [2, 3, 4, 5])
def test_each_sheet_warms_the_face_it_is_nearer_to(sheets: int) -> None:
    """Light between sheets followed to and fro until sheets or sides have taken it."""
    share = optics.inner_share(0.6, n=1.526, kl=0.1, sheets=sheets)
    inward = whole = 0.0
    for one in optics.sheet(0.6, n=1.526, kl=0.1):
        tau, rho, alpha = (float(x) for x in one)
        down, up = np.zeros(sheets + 1), np.zeros(sheets + 1)  # streams in the gaps, gap 0 outside
        down[0] = 1.0
        for _ in range(200):
            for k in range(1, sheets + 1):
                down[k] = tau * down[k - 1] + rho * up[k]
            for k in range(sheets - 1, -1, -1):
                up[k] = tau * up[k + 1] + rho * down[k]
        for k in range(1, sheets + 1):
            kept = alpha * (down[k - 1] + up[k])
            inward, whole = inward + kept * (k - 1) / (sheets - 1), whole + kept
    assert share == pytest.approx(inward / whole, rel=1e-9)
    assert 0.2 < share < 0.5


def test_a_single_sheet_warms_both_faces_alike() -> None:
    assert optics.inner_share(0.3, n=1.5, kl=0.05, sheets=1) == 0.5
