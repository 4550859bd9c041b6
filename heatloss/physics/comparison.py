"""Measured against modelled: statistics of the error, the heating line with its change point, what a saving is worth.

The statistics take totals of intervals; the heating line takes daily weather and means of intervals of any length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics._numeric import between, positive

Floats = NDArray[np.float64]
CLOSEST = 1e-10
"""To what the search for the change point settles [degC]."""


def nmbe(measured: Floats, modelled: Floats, *, parameters: int = 1) -> float:
    """Normalised mean bias error, measured less modelled: above 0 where the model asks for too little.

    Parameters
    ----------
    measured, modelled : array
        Totals of the same intervals, any one unit [1].
    parameters : int
        The p of the formula: 1 by the guideline for calibrated models; other texts take 0.

    Returns
    -------
    float
        Share of the mean [1].

    Raises
    ------
    InputError
        For arrays of unlike length, too few values, or a mean that is not above 0.

    Notes
    -----
    Sum of (m - s) over (n - p) times the mean of m.

    References
    ----------
    .. [1] ASHRAE Guideline 14-2014, measurement of energy, demand and water savings, from memory.

    Examples
    --------
    >>> round(nmbe(np.array([10.0, 12.0, 14.0]), np.array([10.0, 11.0, 12.0]), parameters=0), 6)
    0.083333
    """
    m, s, n = _pairs(measured, modelled, parameters)
    return float((m - s).sum() / (n * m.mean()))


def cv_rmse(measured: Floats, modelled: Floats, *, parameters: int = 1) -> float:
    """Coefficient of variation of the root mean square error.

    Parameters
    ----------
    measured, modelled : array
        Totals of the same intervals, any one unit [1].
    parameters : int
        The p of the formula: 1 by the guideline for calibrated models; other texts take 0.

    Returns
    -------
    float
        Share of the mean [1].

    Raises
    ------
    InputError
        As :func:`nmbe`.

    Notes
    -----
    Root of the sum of (m - s)^2 over (n - p), over the mean of m.

    References
    ----------
    .. [1] ASHRAE Guideline 14-2014, measurement of energy, demand and water savings, from memory.

    Examples
    --------
    >>> round(cv_rmse(np.array([10.0, 12.0, 14.0]), np.array([10.0, 11.0, 12.0]), parameters=0), 6)
    0.107583
    """
    m, s, n = _pairs(measured, modelled, parameters)
    return float(math.sqrt(((m - s) ** 2).sum() / n) / m.mean())


def determination(measured: Floats, modelled: Floats) -> float:
    """Share of the spread of the measured that the modelled explains, R squared.

    Parameters
    ----------
    measured, modelled : array
        Totals of the same intervals, any one unit [1].

    Returns
    -------
    float
        1 for a perfect model, below 0 for one that is worse than the mean [1].

    Raises
    ------
    InputError
        As :func:`nmbe`, or where all that was measured is alike.

    Notes
    -----
    1 less the sum of (m - s)^2 over that of (m - mean of m)^2.

    References
    ----------
    .. [1] Textbooks of statistics, definition.

    Examples
    --------
    >>> determination(np.array([10.0, 12.0, 14.0]), np.array([10.0, 12.0, 13.0]))
    0.875
    """
    m, s, _ = _pairs(measured, modelled, 0)
    spread = float(((m - m.mean()) ** 2).sum())
    positive("the spread of measured", spread, "1")
    return 1.0 - float(((m - s) ** 2).sum()) / spread


def saving_uncertainty(
    cv: float, saving: float, *, before: int, after: int, parameters: int = 3, confidence: float = 0.9
) -> float:
    """Uncertainty of a saving as a share of it, by the simplified form for intervals that do not depend on each other.

    Parameters
    ----------
    cv : float
        CV(RMSE) of the line fitted before the change [1].
    saving : float
        Saving over what would have been burned without the change [1].
    before, after : int
        Intervals before and after it.
    parameters : int
        Numbers fitted to those before.
    confidence : float
        How likely the saving lies within [1].

    Returns
    -------
    float
        Half the range over the saving [1].

    Raises
    ------
    InputError
        For counts too small, a saving of 0, or a confidence that is not between 0 and 1.

    Notes
    -----
    t 1.26 cv / saving sqrt((n + 2) / (n m)), with Student's t of n - p degrees of freedom. A half of the saving and
    more means that nothing is proven.

    References
    ----------
    .. [1] ASHRAE Guideline 14-2014, simplified fractional savings uncertainty, from memory.

    Examples
    --------
    >>> round(saving_uncertainty(0.10, 0.20, before=26, after=12, confidence=0.68), 3)
    0.192
    """
    from scipy.stats import t

    between("confidence", confidence, 0.5, 0.9999, "1")
    positive("cv", cv, "1", zero=True)
    if saving == 0.0 or not math.isfinite(saving):
        raise InputError(f"saving must be a number other than 0 [1], got {saving:g}.")
    if not (before > parameters and after >= 1):
        raise InputError(
            f"before must be more than {parameters} and after at least 1 intervals, got {before} and {after}."
        )
    quantile = float(t.ppf(0.5 + confidence / 2.0, before - parameters))
    return quantile * 1.26 * cv / abs(saving) * math.sqrt((before + 2.0) / (before * after))


@dataclass(frozen=True, eq=False)
class ChangePoint:
    """A heating line: what is used a day against daily outdoor temperature and sun.

    Attributes
    ----------
    base_load : float
        Used a day when no heat is needed, any unit [1].
    slope : float
        More of it a day for each kelvin below the balance temperature [1].
    balance_temperature : float
        Outdoor temperature of a dark day below which heat is needed [degC].
    sun_relief : float
        By how much a mean sun of 1 W/m2 on the level, over the whole day, lowers that temperature [m2 K/W]; 0 where no
        sun was given.
    covariance : array
        Of base load, slope, balance temperature and sun relief, in that order; 0 for those that were held [1].
    robust : array
        The same where single intervals scatter unlike one another, as those of a cold week do [1].
    deviation : float
        Standard deviation of the daily rate in an interval of one day where lengths were given, else of an interval
        [1].
    freedom : int
        Intervals less fitted numbers.
    fitted : array
        The line's own daily rate of each interval [1].
    """

    base_load: float
    slope: float
    balance_temperature: float
    sun_relief: float
    covariance: Floats
    robust: Floats
    deviation: float
    freedom: int
    fitted: Floats

    @property
    def numbers(self) -> Floats:
        """The four numbers in the order of the covariance."""
        return np.array([self.base_load, self.slope, self.balance_temperature, self.sun_relief])


def heating_line(values: Floats, temp_air: Floats, sun: Floats) -> Floats:
    """What a heating line asks for on each day.

    Parameters
    ----------
    values : array
        Base load, slope, balance temperature [degC] and sun relief [m2 K/W], along the last axis [1].
    temp_air : array
        Daily means outdoors [degC].
    sun : array
        Daily means of the sun on the level [W/m2].

    Returns
    -------
    array
        Daily rates; where ``values`` has more axes, they come first [1].

    Notes
    -----
    a + b max(0, Tc - T - g I). With s = b g this is a + b max(0, Tc - T) - s I on days that need heat, and never below
    the base load on others.

    References
    ----------
    .. [1] Kissock, Haberl and Claridge 2003, inverse modeling toolkit, three-parameter heating form, from memory; the
       sun's term as a shift of temperature: of this module.

    Examples
    --------
    >>> heating_line(np.array([2.0, 1.5, 9.0, 0.02]), np.array([-1.0, 12.0]), np.array([100.0, 0.0])).tolist()
    [14.0, 2.0]
    """
    a, b, base, relief = (np.asarray(values)[..., i, None] for i in range(4))
    return np.asarray(a + b * np.maximum(base - temp_air - relief * sun, 0.0))


def change_point(
    use: Floats,
    temp_air: Floats,
    *,
    sun: Floats | None = None,
    shares: Floats | None = None,
    lengths: Floats | None = None,
    base_load: float | None = None,
) -> ChangePoint:
    """Fit a heating line with its change point.

    Parameters
    ----------
    use : array
        Used a day, mean of each interval, any unit [1].
    temp_air : array
        Daily means outdoors [degC].
    sun : array, optional
        Daily means of the sun on the level [W/m2]; without it the line has no sun.
    shares : array, optional
        Intervals x days: what share of each interval lies on each day [1]; without it each interval is one day.
    lengths : array, optional
        Lengths of the intervals, by which they are weighed [d].
    base_load : float, optional
        Held where given and not fitted [1].

    Returns
    -------
    ChangePoint

    Raises
    ------
    InputError
        For fewer intervals than the fitted numbers and two, missing values, or a use that does not rise with cold.

    Notes
    -----
    Least squares of a + b max(0, Tc - T - g I), the maximum taken day by day and then averaged: a and b by a linear
    solve, Tc and g by a grid and then a simplex. Covariance s^2 (J' W J)^-1 at the solution; the robust one is the HC3
    form of it.

    References
    ----------
    .. [1] Kissock, Haberl and Claridge 2003, inverse modeling toolkit, three-parameter heating form, from memory.
       MacKinnon and White 1985 for HC3, from memory.

    Examples
    --------
    >>> t = np.array([-12.0, -9, -6, -3, 0, 2, 4, 6, 8, 10, 13, 16])
    >>> line = change_point(2.0 + 1.5 * np.maximum(9.0 - t, 0.0), t)
    >>> [round(float(v), 6) for v in (line.base_load, line.slope, line.balance_temperature)]
    [2.0, 1.5, 9.0]
    """
    search = _Search(use, temp_air, sun, shares, lengths, base_load)
    base, relief = search.best()
    return search.line(base, relief)


class _Search:
    """The data of a change point and the sum of squares at a balance temperature and a relief."""

    def __init__(
        self,
        use: Floats,
        temp_air: Floats,
        sun: Floats | None,
        shares: Floats | None,
        lengths: Floats | None,
        base_load: float | None,
    ) -> None:
        self.use = np.asarray(use, dtype=float)
        self.temp = np.asarray(temp_air, dtype=float)
        self.sunny = sun is not None
        self.sun = np.zeros_like(self.temp) if sun is None else np.asarray(sun, dtype=float)
        self.shares = np.eye(len(self.temp)) if shares is None else np.asarray(shares, dtype=float)
        self.weight = np.ones_like(self.use) if lengths is None else np.asarray(lengths, dtype=float)
        self.held = base_load
        self.fitted = 2 + (base_load is None) + self.sunny
        if not (self.shares.shape == (len(self.use), len(self.temp)) and len(self.sun) == len(self.temp)):
            raise InputError("use must hold one value for each interval and the weather one for each day.")
        for name, values in (("use", self.use), ("temp_air", self.temp), ("sun", self.sun), ("lengths", self.weight)):
            if not np.all(np.isfinite(values)):
                raise InputError(f"{name} must be known everywhere, got nothing in some places.")
        if not len(self.use) >= self.fitted + 2:
            raise InputError(
                f"intervals must be at least {self.fitted + 2} to fit {self.fitted} numbers, got {len(self.use)}."
            )

    def cold(self, base: float, relief: float) -> Floats:
        """Mean kelvins below the balance temperature in each interval."""
        return np.asarray(self.shares @ np.maximum(base - self.temp - relief * self.sun, 0.0))

    def straight(self, base: float, relief: float) -> tuple[float, float, float]:
        """Base load, slope and weighted sum of squares."""
        cold = self.cold(base, relief)
        root = np.sqrt(self.weight)
        columns = cold[:, None] if self.held is not None else np.column_stack([np.ones_like(cold), cold])
        rest = self.use - (self.held or 0.0)
        found = np.linalg.lstsq(columns * root[:, None], rest * root, rcond=None)[0]
        a, b = (self.held, found[0]) if self.held is not None else found
        return float(a), float(b), float((self.weight * (self.use - a - b * cold) ** 2).sum())

    def best(self) -> tuple[float, float]:
        """The balance temperature and relief of the least sum of squares."""
        from scipy.optimize import minimize

        means = self.shares @ self.temp
        grid = np.arange(means.min() + 0.5, max(self.temp.max(), means.max()) + 25.0 * self.sunny + 0.5, 0.5)
        reliefs = np.linspace(0.0, 0.15, 16) if self.sunny else np.zeros(1)
        start = min(((b, g) for b in grid for g in reliefs), key=lambda at: self.straight(*at)[2])
        size = 2 if self.sunny else 1
        simplex = np.vstack(
            [start[:size], *(np.array(start[:size]) + step for step in np.diag([0.4, 0.01])[:size, :size])]
        )
        found = minimize(
            lambda at: self.straight(at[0], at[1] if self.sunny else 0.0)[2],
            start[:size],
            method="Nelder-Mead",
            options={"initial_simplex": simplex, "xatol": CLOSEST, "fatol": 0.0, "maxiter": 1000, "maxfev": 2000},
        )
        return float(found.x[0]), float(found.x[1]) if self.sunny else 0.0

    def line(self, base: float, relief: float) -> ChangePoint:
        """The line at the solution, with its covariance."""
        a, b, squares = self.straight(base, relief)
        if not b > 0.0:
            raise InputError(f"use must rise as it gets colder, got a slope of {b:.3g} a kelvin. Check the dates.")
        needs = (base - self.temp - relief * self.sun > 0.0).astype(float)
        jacobian = np.column_stack(
            [np.ones_like(self.use), self.cold(base, relief), b * (self.shares @ needs),
             -b * (self.shares @ (needs * self.sun))]
        )  # fmt: skip
        free = np.array([self.held is None, True, True, self.sunny])
        freedom = len(self.use) - self.fitted
        variance = squares / freedom
        picked = jacobian[:, free]
        inverse = np.linalg.pinv(picked.T @ (self.weight[:, None] * picked))
        residual = self.use - a - b * self.cold(base, relief)
        leverage = self.weight * np.einsum("ij,jk,ik->i", picked, inverse, picked)
        pull = (self.weight * residual / np.maximum(1.0 - leverage, 1e-6))[:, None] * picked
        covariance, robust = np.zeros((4, 4)), np.zeros((4, 4))
        covariance[np.ix_(free, free)] = variance * inverse
        robust[np.ix_(free, free)] = inverse @ (pull.T @ pull) @ inverse
        return ChangePoint(
            base_load=a,
            slope=b,
            balance_temperature=base,
            sun_relief=relief,
            covariance=covariance,
            robust=robust,
            deviation=math.sqrt(variance),
            freedom=freedom,
            fitted=a + b * self.cold(base, relief),
        )


def _pairs(measured: Floats, modelled: Floats, parameters: int) -> tuple[Floats, Floats, int]:
    m, s = np.asarray(measured, dtype=float), np.asarray(modelled, dtype=float)
    if m.shape != s.shape or m.ndim != 1:
        raise InputError(f"measured and modelled must be of one length, got {m.size} and {s.size}.")
    if not len(m) > parameters:
        raise InputError(f"measured must hold more than {parameters} values, got {len(m)}.")
    positive("the mean of measured", m.mean(), "1")
    return m, s, len(m) - parameters
