"""A year made of monthly normals: spread of days, autoregressive weather, clearness, the course of a day, cloud."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heatloss.errors import InputError
from heatloss.physics._numeric import Numeric, between, like, positive

Floats = NDArray[np.float64]

SAME_DAY = np.array([[1.0, 0.633, 0.186], [0.633, 1.0, -0.193], [0.186, -0.193, 1.0]])
"""Correlation of a day's highest and lowest temperature and sun with one another (Richardson 1981, from memory)."""
NEXT_DAY = np.array([[0.621, 0.445, 0.087], [0.563, 0.674, -0.100], [0.015, -0.091, 0.251]])
"""Correlation of the three (rows) with the same of the day before (columns) (Richardson 1981, from memory)."""
LEAST_CLEARNESS = 0.05
"""Clearness of the darkest day [1] (Bendt and others 1981, from memory)."""
DAYS_OF_MONTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def daily_spread(temp_mean: Numeric, *, yearly_spread: float) -> Numeric:
    """Standard deviation of daily mean temperatures about a monthly normal.

    Parameters
    ----------
    temp_mean : numeric
        Monthly normal [degC].
    yearly_spread : float
        Standard deviation of the twelve monthly normals [K].

    Returns
    -------
    numeric
        Standard deviation, at least 1 [K].

    Raises
    ------
    InputError
        For a normal outside -70 to 50 degC or a negative spread.

    Notes
    -----
    s = sqrt(30.4) (1.45 - 0.0290 T + 0.0664 s_year) pi / (sqrt(3) 2 1.698): the published deviation of monthly means
    and the logistic law of days that goes with it. Fitted to nine stations of the United States: at sea coasts days
    differ by half as much.

    References
    ----------
    .. [1] Erbs, Klein and Beckman, Estimation of degree-days and ambient temperature bin data from monthly-average
       temperatures, ASHRAE Journal 25(6), 1983, from memory.

    Examples
    --------
    >>> round(daily_spread(-4.6, yearly_spread=9.9), 2)
    6.6
    """
    between("temp_mean", temp_mean, -70.0, 50.0, "degC")
    positive("yearly_spread", yearly_spread, "K", zero=True)
    monthly = 1.45 - 0.0290 * np.asarray(temp_mean, dtype=float) + 0.0664 * yearly_spread
    return like(np.maximum(np.sqrt(30.4) * monthly * np.pi / (2.0 * np.sqrt(3.0) * 1.698), 1.0), temp_mean)


def daily_departures(count: int, *, seed: int) -> Floats:
    """Highest and lowest temperature and sun of days in a row, as departures in units of their standard deviation.

    Parameters
    ----------
    count : int
        How many days.
    seed : int
        Of the random numbers; the same seed gives the same days.

    Returns
    -------
    array
        ``count`` rows; columns highest, lowest, sun [1].

    Raises
    ------
    InputError
        For fewer than one day.

    Notes
    -----
    x(d) = A x(d-1) + B e, A = M1 M0^-1, B B' = M0 - M1 M0^-1 M1', e normal. M0 and M1 are the means of 31 stations of
    the United States over the year: warm days are sunny, warm nights are not, by the same numbers summer and winter.

    References
    ----------
    .. [1] Richardson, Stochastic simulation of daily precipitation, temperature, and solar radiation, Water Resources
       Research 17(1), 1981, equations 6 to 11 and table 4, from memory.

    Examples
    --------
    >>> days = daily_departures(20000, seed=1)
    >>> bool(abs(np.corrcoef(days[:, 1], days[:, 2])[0, 1] - (-0.193)) < 0.03)
    True
    """
    if not count >= 1:
        raise InputError(f"count must be at least 1 [d], got {count}.")
    follow = NEXT_DAY @ np.linalg.inv(SAME_DAY)
    noise = np.linalg.cholesky(SAME_DAY - follow @ NEXT_DAY.T)
    rng = np.random.default_rng(seed)
    kicks = rng.standard_normal((count, 3)) @ noise.T
    out = np.empty((count, 3))
    state = np.linalg.cholesky(SAME_DAY) @ rng.standard_normal(3)
    for day in range(count):
        state = follow @ state + kicks[day]
        out[day] = state
    return out


def clearest(clearness: Numeric) -> Numeric:
    """Clearness of the clearest day of a month.

    Parameters
    ----------
    clearness : numeric
        Mean clearness of the month: sun on the level by sun above the air [1].

    Returns
    -------
    numeric
        Clearness of its clearest day [1].

    Raises
    ------
    InputError
        For a mean outside 0.1 to 0.8.

    Notes
    -----
    0.6313 + 0.267 K - 11.9 (K - 0.75)^8, fitted for K from 0.3 to 0.75.

    References
    ----------
    .. [1] Hollands and Huget 1983 and Herzog, as in Duffie and Beckman, Solar Engineering of Thermal Processes, 4th
       edition, equation 2.9.6, from memory.

    Examples
    --------
    >>> round(clearest(0.5), 3)
    0.765
    """
    between("clearness", clearness, 0.1, 0.8, "1")
    k = np.asarray(clearness, dtype=float)
    return like(0.6313 + 0.267 * k - 11.9 * (k - 0.75) ** 8, clearness)


def daily_clearness(share: Numeric, *, clearness: float) -> Numeric:
    """Clearness of the day that so large a share of a month's days do not reach.

    Parameters
    ----------
    share : numeric
        Share of the days that are darker [1].
    clearness : float
        Mean clearness of the month [1].

    Returns
    -------
    numeric
        Clearness of the day [1].

    Raises
    ------
    InputError
        For a share outside 0 to 1 or a mean outside 0.1 to 0.8.

    Notes
    -----
    Solves share = (exp(g Kmin) - exp(g K)) / (exp(g Kmin) - exp(g Kmax)) for K, Kmin = 0.05, Kmax from
    :func:`clearest`; g = -1.498 + (1.184 x - 27.182 exp(-1.5 x)) / (Kmax - Kmin), x = (Kmax - Kmin) / (Kmax - mean).

    References
    ----------
    .. [1] Bendt, Collares-Pereira and Rabl, The frequency distribution of daily insolation values, Solar Energy 27,
       1981; Duffie and Beckman, 4th edition, equations 2.9.1 to 2.9.5, from memory.

    Examples
    --------
    >>> [round(daily_clearness(x, clearness=0.45), 2) for x in (0.0, 0.5, 1.0)]
    [0.05, 0.48, 0.75]
    """
    between("share", share, 0.0, 1.0, "1")
    low, high = LEAST_CLEARNESS, float(clearest(clearness))
    x = (high - low) / (high - clearness)
    g = -1.498 + (1.184 * x - 27.182 * np.exp(-1.5 * x)) / (high - low)
    at = np.asarray(share, dtype=float)
    if abs(g) < 1e-9:
        return like(low + at * (high - low), share)
    return like(np.log(np.exp(g * low) + at * (np.exp(g * high) - np.exp(g * low))) / g, share)


def sun_above_air(day_of_year: Numeric, *, latitude: float) -> Numeric:
    """Sun on a level plane above the air, the mean of a whole day and night.

    Parameters
    ----------
    day_of_year : numeric
        Day of the year, 1 on the first of January [1].
    latitude : float
        North positive [deg].

    Returns
    -------
    numeric
        Mean of 24 hours [W/m2].

    Raises
    ------
    InputError
        For a latitude outside -90 to 90.

    Notes
    -----
    Gn / pi (cos(lat) cos(d) sin(ws) + ws sin(lat) sin(d)), cos(ws) = -tan(lat) tan(d) held within -1 and 1;
    Gn = 1367 (1 + 0.033 cos(2 pi n / 365)) W/m2, d = 23.45 deg sin(2 pi (284 + n) / 365).

    References
    ----------
    .. [1] Duffie and Beckman, Solar Engineering of Thermal Processes, 4th edition, equations 1.4.1, 1.6.1 and 1.10.3,
       from memory.

    Examples
    --------
    >>> round(sun_above_air(105, latitude=43.0), 2)
    390.91
    """
    between("latitude", latitude, -90.0, 90.0, "deg")
    n = np.asarray(day_of_year, dtype=float)
    declination = np.radians(23.45) * np.sin(2.0 * np.pi * (284.0 + n) / 365.0)
    place = np.radians(np.clip(latitude, -89.999, 89.999))
    sunset = np.arccos(np.clip(-np.tan(place) * np.tan(declination), -1.0, 1.0))
    normal = 1367.0 * (1.0 + 0.033 * np.cos(2.0 * np.pi * n / 365.0))
    level = np.cos(place) * np.cos(declination) * np.sin(sunset) + sunset * np.sin(place) * np.sin(declination)
    return like(normal / np.pi * np.maximum(level, 0.0), day_of_year)


def hour_shape(hour_angle: Numeric, *, sunset: Numeric) -> Numeric:
    """Course of the sun on the level through a mean day, to a factor.

    Parameters
    ----------
    hour_angle : numeric
        Of the sun, 0 at noon [rad].
    sunset : numeric
        Hour angle of sunset [rad].

    Returns
    -------
    numeric
        Proportional to the irradiance; 0 by night [1].

    Raises
    ------
    InputError
        For a sunset outside 0 to pi.

    Notes
    -----
    (a + b cos(w)) (cos(w) - cos(ws)), a = 0.409 + 0.5016 sin(ws - 60 deg), b = 0.6609 - 0.4767 sin(ws - 60 deg): a
    morning's air dims the sun more than noon's. The factor that makes the day's sum is left to the caller.

    References
    ----------
    .. [1] Collares-Pereira and Rabl, The average distribution of solar radiation, Solar Energy 22, 1979; Duffie and
       Beckman, 4th edition, equation 2.13.2, from memory.

    Examples
    --------
    >>> round(hour_shape(0.0, sunset=np.pi / 2) / hour_shape(np.pi / 4, sunset=np.pi / 2), 2)
    1.6
    """
    between("sunset", sunset, 0.0, np.pi, "rad")
    ws = np.asarray(sunset, dtype=float)
    a = 0.409 + 0.5016 * np.sin(ws - np.pi / 3.0)
    b = 0.6609 - 0.4767 * np.sin(ws - np.pi / 3.0)
    cosine = np.cos(np.asarray(hour_angle, dtype=float))
    return like(np.maximum((a + b * cosine) * (cosine - np.cos(ws)), 0.0), hour_angle, sunset)


def day_course(hour: Numeric) -> Numeric:
    """Course of the air temperature through a mean day.

    Parameters
    ----------
    hour : numeric
        Clock hour, solar time [h].

    Returns
    -------
    numeric
        Departure from the day's mean, by the difference of its highest and lowest temperature [1].

    Raises
    ------
    InputError
        For an hour outside 0 to 24.

    Notes
    -----
    0.4632 cos(t - 3.805) + 0.0984 cos(2t - 0.360) + 0.0168 cos(3t - 0.822) + 0.0138 cos(4t - 3.513),
    t = 2 pi (hour - 1) / 24. Highest at about 15 h, lowest at about 6 h, in every month and place.

    References
    ----------
    .. [1] Erbs, Klein and Beckman 1983, as :func:`daily_spread`, from memory.

    Examples
    --------
    >>> round(day_course(15.0), 2), round(day_course(5.0), 2)
    (0.52, -0.45)
    """
    between("hour", hour, 0.0, 24.0, "h")
    t = 2.0 * np.pi * (np.asarray(hour, dtype=float) - 1.0) / 24.0
    terms = ((0.4632, 3.805), (0.0984, 0.360), (0.0168, 0.822), (0.0138, 3.513))
    return like(sum(size * np.cos(k * t - lag) for k, (size, lag) in enumerate(terms, start=1)), hour)


def range_of_clearness(clearness: Numeric) -> Numeric:
    """Mean difference of a day's highest and lowest temperature where only the clearness is known.

    Parameters
    ----------
    clearness : numeric
        Mean clearness of the month [1].

    Returns
    -------
    numeric
        Difference of highest and lowest [K].

    Raises
    ------
    InputError
        For a clearness outside 0.1 to 0.8.

    Notes
    -----
    25.8 K - 5.21, fitted to stations of the United States; at sea coasts the difference is half of it.

    References
    ----------
    .. [1] Erbs, Klein and Beckman 1983, as :func:`daily_spread`, from memory.

    Examples
    --------
    >>> round(range_of_clearness(0.5), 2)
    7.69
    """
    between("clearness", clearness, 0.1, 0.8, "1")
    return like(np.maximum(25.8 * np.asarray(clearness, dtype=float) - 5.21, 1.0), clearness)


def cloud_of_sun(share: Numeric) -> Numeric:
    """Cloud cover that leaves a share of the clear day's sun.

    Parameters
    ----------
    share : numeric
        Sun on the level by that of a clear day [1].

    Returns
    -------
    numeric
        Cover [1].

    Raises
    ------
    InputError
        For a negative share.

    Notes
    -----
    ((1 - share) / 0.75)^(1/3.4), held within 0 and 1. Thin cloud counts as cover here, more than opaque cover does.

    References
    ----------
    .. [1] Kasten and Czeplak, Solar and terrestrial radiation dependent on the amount and type of cloud, Solar Energy
       24, 1980, from memory.

    Examples
    --------
    >>> round(cloud_of_sun(0.5), 2), cloud_of_sun(1.1)
    (0.89, 0.0)
    """
    positive("share", share, "1", zero=True)
    lost = np.maximum(1.0 - np.asarray(share, dtype=float), 0.0) / 0.75
    return like(np.minimum(lost, 1.0) ** (1.0 / 3.4), share)


def smooth_days(months: Floats) -> Floats:
    """A smooth year of days whose monthly means are the twelve given.

    Parameters
    ----------
    months : array
        Twelve monthly means, January first [1].

    Returns
    -------
    array
        365 daily values, the year closing on itself [1].

    Raises
    ------
    InputError
        For other than twelve values.

    Notes
    -----
    The derivative of a periodic cubic spline through the sums to the end of each month, taken as differences from
    midnight to midnight, so that the means are kept exactly. Extremes may overshoot the monthly means.

    References
    ----------
    .. [1] Definition; the sums are those of the values given.

    Examples
    --------
    >>> days = smooth_days(np.array([-5.0, -3, 3, 10, 15, 21, 24, 22, 18, 11, 4, -3]))
    >>> round(float(days[:31].mean()), 9), len(days)
    (-5.0, 365)
    """
    from scipy.interpolate import CubicSpline

    values = np.asarray(months, dtype=float)
    if values.shape != (12,) or not np.isfinite(values).all():
        raise InputError(f"months must be twelve numbers [1], got {values.shape} with or without gaps.")
    ends = np.concatenate([[0], np.cumsum(DAYS_OF_MONTH)])
    mean = float(np.dot(values, DAYS_OF_MONTH)) / 365.0
    sums = np.concatenate([[0.0], np.cumsum((values - mean) * DAYS_OF_MONTH)])
    sums[-1] = 0.0
    return np.asarray(np.diff(CubicSpline(ends, sums, bc_type="periodic")(np.arange(366))) + mean)


def wind_course(count: int, *, seed: int) -> Floats:
    """Hours of wind in a row, by their mean.

    Parameters
    ----------
    count : int
        How many hours.
    seed : int
        Of the random numbers.

    Returns
    -------
    array
        Wind by its mean [1].

    Raises
    ------
    InputError
        For fewer than one hour.

    Notes
    -----
    A normal course z(h) = 0.95 z(h-1) + sqrt(1 - 0.95^2) e, mapped to the Rayleigh law (Weibull's with form 2):
    v = (2 / sqrt(pi)) sqrt(-ln(1 - P(z))). Nothing ties it to cold or sun.

    References
    ----------
    .. [1] Rayleigh law of wind: Justus and others 1978, from memory; the hour's 0.95: common practice, no source.

    Examples
    --------
    >>> round(float(wind_course(100000, seed=1).mean()), 1)
    1.0
    """
    from scipy.signal import lfilter
    from scipy.special import ndtr

    if not count >= 1:
        raise InputError(f"count must be at least 1 [h], got {count}.")
    kicks = np.sqrt(1.0 - 0.95**2) * np.random.default_rng(seed).standard_normal(count + 200)
    z = lfilter([1.0], [1.0, -0.95], kicks)[200:]
    return np.asarray(2.0 / np.sqrt(np.pi) * np.sqrt(-np.log(np.maximum(1.0 - ndtr(z), 1e-12))))
