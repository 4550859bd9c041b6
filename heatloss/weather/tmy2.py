"""TMY2, the fixed-width typical years that the US National Renewable Energy Laboratory published in 1995."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from heatloss.weather.record import Record, Site, columns, joined, without_filled_zeros

_FIELDS = {
    "ghi": (17, 21),
    "dni": (23, 27),
    "dhi": (29, 33),
    "opaque_cloud": (63, 65),
    "temp_air": (67, 71),
    "temp_dew": (73, 77),
    "relative_humidity": (79, 82),
    "pressure": (84, 88),
    "wind_speed": (95, 98),
    "snow_depth": (133, 136),
}
"""Column: its first and the sign after its last, from 0."""
_FACTORS = {"opaque_cloud": 0.1, "temp_air": 0.1, "temp_dew": 0.1, "pressure": 100.0, "wind_speed": 0.1,
            "snow_depth": 0.01}  # fmt: skip
_MISSING = {"ghi": 9999.0, "dni": 9999.0, "dhi": 9999.0, "opaque_cloud": 99.0, "temp_air": 9999.0, "temp_dew": 9999.0,
            "relative_humidity": 999.0, "pressure": 9999.0, "wind_speed": 999.0, "snow_depth": 999.0}  # fmt: skip


def is_head(text: str) -> bool:
    """Whether a file's first line is the place of TMY2 and its second has the width of the format's rows."""
    first, _, rest = text.partition("\n")
    head = re.match(r" ?\d{5} .{22} [A-Z]{2} +-?\d+ [NS] +\d+ +\d+ [EW] +\d+ +\d+ +-?\d+ *$", first)
    return head is not None and len(rest.partition("\n")[0].rstrip()) >= 136


def read(text: str, source: str) -> Record:
    """Read TMY2.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.

    Returns
    -------
    Record
        Rows stamped with the start of their hour, local standard time.

    Notes
    -----
    Hours are numbered 1 to 24 by their end. The sun is the hour's sum, so its middle lies 30 minutes after the start;
    the rest are readings at the end. Temperatures and wind are in tenths, pressure in mbar, cloud in tenths of the
    sky, snow in cm. Every column has its own code for missing.

    References
    ----------
    .. [1] Marion and Urban, User's Manual for TMY2s, NREL/SP-463-7668, 1995, tables 3-1 and 3-2, from memory; the
       widths as in pvlib.
    """
    head, *lines = text.rstrip("\n\x1a").split("\n")
    stamps = pd.to_datetime(
        {
            "year": [1900 + int(line[1:3]) for line in lines],
            "month": [int(line[3:5]) for line in lines],
            "day": [int(line[5:7]) for line in lines],
            "hour": [int(line[7:9]) - 1 for line in lines],
        }
    )
    raw = pd.DataFrame(
        {name: [line[first:end] for line in lines] for name, (first, end) in _FIELDS.items()},
        index=pd.DatetimeIndex(stamps),
    )
    frame = columns(raw, {name: name for name in _FIELDS}, factors=_FACTORS, missing=_MISSING)
    frame, filled = without_filled_zeros(frame)
    return Record(_site(head, source), frame, reading_minute=60.0, sun_minute=30.0, notes=filled)


def _site(head: str, source: str) -> Site:
    """Place in the first line: number, city, state, zone, latitude and longitude in degrees and minutes, height."""
    *_, zone, north, degrees, minutes, east, east_degrees, east_minutes, height = head.split()
    latitude = int(degrees) + int(minutes) / 60.0
    longitude = int(east_degrees) + int(east_minutes) / 60.0
    return Site(
        name=joined([head[7:29], head[30:32]]),
        latitude=float(np.copysign(latitude, 1 if north == "N" else -1)),
        longitude=float(np.copysign(longitude, 1 if east == "E" else -1)),
        altitude=float(height),
        utc_offset=float(zone),
        source=source,
        kind="tmy2",
    )
