"""Snow that lies: on the ground, where it brightens the sun, and on a roof, where it darkens the house."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heatloss.physics._numeric import between, positive

FREEZES = 0.5
"""Air temperature under which rain in a record counts as snow, and surface temperature above which snow sheds [degC];
common practice, no source."""
STEEPEST = 45.0
"""Tilt at which snow no longer stays on a smooth cover [deg]; common practice, no source."""
LEAST = 0.1
"""Water in the snow that counts as a cover [mm]; common practice, no source."""


def lies(
    temp_air: ArrayLike,
    *,
    precipitation: ArrayLike,
    temp_surface: ArrayLike,
    hours_to_shed: int = 3,
) -> NDArray[np.bool_]:
    """Whether snow lies on a surface, hour by hour.

    Parameters
    ----------
    temp_air : hourly
        Outdoor air temperature [degC].
    precipitation : hourly
        Water of rain or snow in the hour [mm].
    temp_surface : hourly
        Temperature of the surface the snow lies on [degC].
    hours_to_shed : int
        Hours above 0.5 degC in a row after which it is bare [h].

    Returns
    -------
    array of bool
        Whether it lies [1]. The record is run through twice, so that it begins with what lay at its end.

    Raises
    ------
    InputError
        For negative precipitation or no hours to shed.

    Notes
    -----
    Precipitation of hours colder than 0.5 degC stays; after enough hours in a row above it, all is gone. Drifting,
    brushing and melting by part are left out.

    References
    ----------
    .. [1] Judgement of growers: snow slides off a heated cover within hours of thaw; common practice, no source.

    Examples
    --------
    >>> lies([-2, -2, 1, 1, 1, 1], precipitation=[1, 0, 0, 0, 0, 0], temp_surface=[-2, -2, 1, 1, 1, 1]).tolist()
    [True, True, True, True, False, False]
    """
    positive("precipitation", precipitation, "mm", zero=True)
    between("hours_to_shed", hours_to_shed, 1, 8760, "h")
    falls = np.where(np.asarray(temp_air, dtype=float) < FREEZES, np.asarray(precipitation, dtype=float), 0.0)
    warm = np.asarray(temp_surface, dtype=float) > FREEZES
    lying, depth, thaw = np.zeros(len(falls), dtype=bool), 0.0, 0
    for _ in range(2):
        for i in range(len(falls)):
            thaw = thaw + 1 if warm[i] else 0
            depth = 0.0 if thaw >= hours_to_shed else depth + falls[i]
            lying[i] = depth > LEAST
    return lying
