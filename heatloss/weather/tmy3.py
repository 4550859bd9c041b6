"""TMY3 in its CSV form, as the US National Solar Radiation Data Base published it in 2008."""

from __future__ import annotations

import io

import pandas as pd

from heatloss.weather.record import Record, Site, columns, joined, local

_NAMES = {
    "temp_air": "temp_air",
    "temp_dew": "temp_dew",
    "relative_humidity": "relative_humidity",
    "wind_speed": "wind_speed",
    "pressure": "pressure",
    "OpqCld (tenths)": "opaque_cloud",
    "ghi": "ghi",
    "dni": "dni",
    "dhi": "dhi",
    "albedo": "albedo",
}


def read(text: str, source: str) -> Record:
    """Read TMY3 CSV.

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
    The file labels a row with the end of its hour. The sun is the hour's sum, so its middle lies 30 minutes after the
    start; temperature, humidity, wind, pressure and cloud are readings at the end. Pressure is in mbar, cloud in
    tenths, -9900 is missing.

    References
    ----------
    .. [1] Wilcox and Marion, Users Manual for TMY3 Data Sets, NREL/TP-581-43156, 2008, section 2 and table 1-1, from
       memory.
    """
    from pvlib.iotools import read_tmy3

    data, meta = read_tmy3(io.StringIO(text))
    data.index = local(data.index) - pd.Timedelta(hours=1)
    frame = columns(data, _NAMES, factors={"pressure": 100.0, "opaque_cloud": 0.1}, missing=-9900.0)
    site = Site(
        name=joined([meta["Name"], meta["State"]]),
        latitude=meta["latitude"],
        longitude=meta["longitude"],
        altitude=meta["altitude"],
        utc_offset=meta["TZ"],
        source=source,
        kind="tmy3",
    )
    return Record(site, frame, reading_minute=60.0, sun_minute=30.0)
