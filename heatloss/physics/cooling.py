"""How a house cools when nothing heats it: time constants from temperatures of one night."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics._numeric import positive

Floats = NDArray[np.float64]
FEWEST = 8
"""Readings that a night must have."""


@dataclass(frozen=True, eq=False)
class Cooling:
    """What a night without heat tells.

    Attributes
    ----------
    time_constant : float
        Of the slowest fall [h].
    spread : float
        Standard deviation of its logarithm [1].
    store : float
        C/UA: heat stored for each kelvin over heat lost for each kelvin, of a house that was in balance before [h].
    store_spread : float
        Standard deviation of its logarithm [1].
    quick : float or None
        Time constant of the quick fall before it, of the air alone [h]; None where the readings show none.
    freedom : int
        Readings that count, less fitted numbers.
    fitted : array
        The inside temperature as fitted [degC].
    """

    time_constant: float
    spread: float
    store: float
    store_spread: float
    quick: float | None
    freedom: int
    fitted: Floats


def followed(temp_out: Floats, hours: Floats, time_constant: float) -> Floats:
    """How one store follows the outdoor temperature from the same start.

    Parameters
    ----------
    temp_out : array
        Outdoors, straight between its readings [degC].
    hours : array
        Times of the readings [h].
    time_constant : float
        Of the store [h].

    Returns
    -------
    array
        Temperature of a store that begins at the first outdoor reading [degC].

    Raises
    ------
    InputError
        For a time constant that is not above 0.

    Notes
    -----
    x' = (T - x) / tau, exact for straight pieces: x1 = T1 - r tau + (x0 - T0 + r tau) exp(-dt / tau), r the slope.

    References
    ----------
    .. [1] Linear first-order response to a ramp, textbooks of control, from memory.

    Examples
    --------
    >>> followed(np.array([0.0, 0.0, 10.0]), np.array([0.0, 5.0, 6.0]), 2.0).round(4).tolist()
    [0.0, 0.0, 2.1306]
    """
    positive("time_constant", time_constant, "h")
    out = np.empty_like(temp_out)
    out[0] = temp_out[0]
    for i, dt in enumerate(np.diff(hours)):
        lag = (temp_out[i + 1] - temp_out[i]) / dt * time_constant
        out[i + 1] = temp_out[i + 1] - lag + (out[i] - temp_out[i] + lag) * math.exp(-dt / time_constant)
    return out


def cooling(hours: Floats, temp_in: Floats, temp_out: Floats) -> Cooling:
    """Fit the fall of the inside temperature of a house without heat and without sun.

    Parameters
    ----------
    hours : array
        Times of the readings from the moment the heat went off [h].
    temp_in, temp_out : array
        Inside and outdoors at these times [degC].

    Returns
    -------
    Cooling

    Raises
    ------
    InputError
        For fewer than eight readings, missing values, times that do not rise, an inside that is not warmer than
        outdoors, or one that does not fall.

    Notes
    -----
    T(t) = (1 - w) x1(t) + w x2(t) + A1 exp(-t / tau1) + A2 exp(-t / tau2), x following outdoors with each time
    constant: the exact form of an air node and one store behind it. The second one stays where it lowers the Bayesian
    information criterion. The amplitudes and w come from a linear solve, the time constants from least squares on their
    logarithms. C/UA is the area under T - T_out over its start, sum of A tau over sum of A: exact if the house stood in
    balance with a steady heater before. Variances are stretched by (1 + r) / (1 - r), r the correlation of neighbouring
    residuals. Heat from ground and tanks is left out: with it the fall looks slower than the cover alone makes it.

    References
    ----------
    .. [1] Two-node network, matrix exponential: of this module, calculated; Schwarz 1978 for the criterion, from
       memory.

    Examples
    --------
    >>> h = np.linspace(0.0, 10.0, 21)
    >>> round(cooling(h, -5.0 + 20.0 * np.exp(-h / 30.0), np.full(21, -5.0)).time_constant, 4)
    30.0
    """
    h, t_in, t_out = (np.asarray(v, dtype=float) for v in (hours, temp_in, temp_out))
    _check(h, t_in, t_out)
    one = _fit(h, t_in, t_out, (0.5 * (h[-1] - h[0]) + 1.0,))
    two = _fit(h, t_in, t_out, (0.1 * (h[-1] - h[0]), 3.0 * (h[-1] - h[0]))) if len(h) >= FEWEST + 4 else one
    return _cooling(min((one, two), key=lambda fit: fit.criterion), h)


@dataclass(frozen=True, eq=False)
class _Fit:
    constants: Floats
    amplitudes: Floats
    fitted: Floats
    residual: Floats
    jacobian: Floats
    """Readings x (logarithms of the time constants, amplitudes)."""

    @property
    def criterion(self) -> float:
        n, k = self.jacobian.shape
        return float(n * math.log(float(self.residual @ self.residual) / n + 1e-16) + k * math.log(n))


def _parts(h: Floats, t_out: Floats, constants: Floats) -> tuple[Floats, Floats]:
    """Response to outdoors by the slow constant alone; columns of the falls, and of what the quick one adds to it."""
    driven = followed(t_out, h, float(constants.max()))
    columns = [np.exp(-(h - h[0]) / constant) for constant in constants]
    if len(constants) > 1:
        columns.append(followed(t_out, h, float(constants.min())) - driven)
    return driven, np.column_stack(columns)


def _model(h: Floats, t_in: Floats, t_out: Floats, constants: Floats) -> tuple[Floats, Floats, Floats]:
    """The parts, and the amplitudes of least squares."""
    driven, columns = _parts(h, t_out, constants)
    amplitudes = np.asarray(np.linalg.lstsq(columns, t_in - driven, rcond=None)[0], dtype=float)
    return driven, columns, amplitudes


def _fit(h: Floats, t_in: Floats, t_out: Floats, start: tuple[float, ...]) -> _Fit:
    from scipy.optimize import least_squares

    def residual(logs: Floats) -> Floats:
        driven, columns, amplitudes = _model(h, t_in, t_out, np.exp(logs))
        return np.asarray(driven + columns @ amplitudes - t_in)

    span = h[-1] - h[0]
    found = least_squares(
        residual, np.log(start), bounds=(math.log(span * 1e-3), math.log(span * 1e3)),
        xtol=1e-12, ftol=1e-12, gtol=1e-12,
    )  # fmt: skip
    constants = np.sort(np.exp(found.x))
    driven, columns, amplitudes = _model(h, t_in, t_out, constants)
    steps = []
    for i in range(len(constants)):
        moved = constants.copy()
        moved[i] *= 1.0 + 1e-5
        by, column = _parts(h, t_out, moved)
        steps.append((by + column @ amplitudes - driven - columns @ amplitudes) / 1e-5)
    fitted = driven + columns @ amplitudes
    return _Fit(constants, amplitudes, fitted, fitted - t_in, np.column_stack([*steps, columns]))


def _cooling(fit: _Fit, h: Floats) -> Cooling:
    n, k = fit.jacobian.shape
    r = fit.residual
    beside = float(np.clip((r[1:] @ r[:-1]) / max(float(r @ r), 1e-30), 0.0, 0.9))
    stretch = (1.0 + beside) / (1.0 - beside)
    covariance = stretch * float(r @ r) / (n - k) * np.linalg.pinv(fit.jacobian.T @ fit.jacobian)
    tau = fit.constants
    amplitude = fit.amplitudes[: len(tau)]
    whole = float(amplitude.sum())
    store = float(amplitude @ tau) / whole
    by_log = amplitude * tau / (whole * store)
    by_amplitude = (tau - store) / (whole * store)
    gradient = np.concatenate([by_log, by_amplitude, np.zeros(k - 2 * len(tau))])
    return Cooling(
        time_constant=float(tau[-1]),
        spread=math.sqrt(max(float(covariance[len(tau) - 1, len(tau) - 1]), 0.0)),
        store=store,
        store_spread=math.sqrt(max(float(gradient @ covariance @ gradient), 0.0)),
        quick=float(tau[0]) if len(tau) > 1 else None,
        freedom=max(round((n - k) / stretch), 1),
        fitted=fit.fitted,
    )


def _check(h: Floats, t_in: Floats, t_out: Floats) -> None:
    if not (len(h) == len(t_in) == len(t_out) and len(h) >= FEWEST):
        raise InputError(f"hours must be {FEWEST} readings or more of each temperature, got {len(h)}.")
    if not (np.all(np.isfinite(h)) and np.all(np.isfinite(t_in)) and np.all(np.isfinite(t_out))):
        raise InputError("temp_in and temp_out must be known at every time, got nothing in some.")
    if not np.all(np.diff(h) > 0.0):
        raise InputError("hours must rise from reading to reading, got one that does not. Sort them by time.")
    if not np.all(t_in > t_out):
        raise InputError("temp_in must be above temp_out all the while [degC]. Take a colder night.")
    if not t_in[-1] < t_in[0] - 0.5:
        raise InputError(
            f"temp_in must fall by more than 0.5 [K], got {t_in[0]:.1f} to {t_in[-1]:.1f} degC. "
            "Take a night without heater, or a longer part of it."
        )
