"""Dew point and relative humidity as weather services count them: over liquid water at every temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_SLOPE, _SHIFT = 17.62, 243.12
_DRIEST = 0.1


def dew_over_water(temp: Floats, relative_humidity: Floats) -> Floats:
    """Dew point of air, over liquid water also below freezing.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    relative_humidity : numeric
        Relative humidity over liquid water; less than 0.1 % counts as 0.1 % [%].

    Returns
    -------
    numeric
        Dew point [degC].

    Notes
    -----
    g = ln(RH / 100) + 17.62 T / (243.12 + T); dew point = 243.12 g / (17.62 - g). Meant for -45 to 60 degC, within
    0.1 K of the full saturation curve down to -60 degC.

    References
    ----------
    .. [1] World Meteorological Organization, Guide to Meteorological Instruments and Methods of Observation, WMO-No. 8,
       annex 4.B (Sonntag 1990), from memory.

    Examples
    --------
    >>> round(float(dew_over_water(-12.2, 73.0)), 1)
    -16.1
    """
    g = np.log(np.maximum(relative_humidity, _DRIEST) / 100.0) + _SLOPE * np.asarray(temp) / (_SHIFT + np.asarray(temp))
    return np.asarray(_SHIFT * g / (_SLOPE - g))


def humidity_over_water(temp: Floats, temp_dew: Floats) -> Floats:
    """Relative humidity of air over liquid water, the inverse of :func:`dew_over_water`.

    Parameters
    ----------
    temp : numeric
        Air temperature [degC].
    temp_dew : numeric
        Dew point over liquid water [degC].

    Returns
    -------
    numeric
        Relative humidity; 100 where the dew point is above the air [%].

    Notes
    -----
    100 exp(17.62 Td / (243.12 + Td) - 17.62 T / (243.12 + T)).

    References
    ----------
    .. [1] As :func:`dew_over_water`.

    Examples
    --------
    >>> round(float(humidity_over_water(-12.2, -16.1)), 1)
    72.7
    """
    t, dew = np.asarray(temp), np.minimum(temp, temp_dew)
    return np.asarray(100.0 * np.exp(_SLOPE * dew / (_SHIFT + dew) - _SLOPE * t / (_SHIFT + t)))
