"""CSV of the US National Solar Radiation Database (PSM, versions 3 and 4), one or several rows an hour."""

from __future__ import annotations

import io

import pandas as pd

from heatloss.weather.record import Record, Site, columns, joined, local

_NAMES = {
    name: name
    for name in ("temp_air", "temp_dew", "relative_humidity", "wind_speed", "pressure", "ghi", "dni", "dhi", "albedo")
}


def read(text: str, source: str) -> Record:
    """Read NSRDB CSV.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.

    Returns
    -------
    Record
        Rows stamped with their own minute, in the time zone of the file.

    Notes
    -----
    A row holds for its own minute, sun and readings alike; of hourly rows at minute 30 both lie in the middle
    of the hour. Pressure is in mbar. A file downloaded in UTC is moved to
    the local standard time that its head names. Spectral columns and clear-sky columns are left aside.

    References
    ----------
    .. [1] Sengupta et al., The National Solar Radiation Data Base, 2018, from memory; the minute of the sun proven by
       closing global = diffuse + beam on the sample file.
    """
    from pvlib.iotools import read_nsrdb_psm4

    data, meta = read_nsrdb_psm4(io.StringIO(text))
    stamps = local(data.index)
    minute = float(stamps[0].minute) if (stamps.minute == stamps[0].minute).all() else 0.0
    data.index = stamps - pd.Timedelta(minutes=minute)
    frame = columns(data, _NAMES, factors={"pressure": 100.0}, missing=-9000.0)
    stamped, home = meta["Time Zone"], meta["Local Time Zone"]
    name = joined([meta.get("City", "-"), meta.get("State", "-")]) or f"{meta['Source']} {meta['Location ID']}"
    site = Site(name, meta["latitude"], meta["longitude"], float(meta["altitude"]), float(home), source, "nsrdb")
    return Record(site, frame, reading_minute=minute, sun_minute=minute, roll=home - stamped)
