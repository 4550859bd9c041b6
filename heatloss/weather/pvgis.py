"""Typical years of PVGIS, the service of the European Commission, as csv and json."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from typing import Any

import pandas as pd

from heatloss.weather.checks import gaps
from heatloss.weather.record import Record, Site, columns, local, on_one_year, one_year

_NAMES = {
    "temp_air": "temp_air",
    "relative_humidity": "relative_humidity",
    "wind_speed": "wind_speed",
    "pressure": "pressure",
    "ghi": "ghi",
    "dni": "dni",
    "dhi": "dhi",
    "IR(h)": "longwave_down",
}

_STAMP = re.compile(r"^(\d{8}:\d{4}),", re.MULTILINE)


def read_csv(text: str, source: str) -> Record:
    """Read a PVGIS typical year in csv.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.

    Returns
    -------
    Record
        Rows stamped in UTC, with the hours to local standard time in ``roll``.

    Raises
    ------
    WeatherError
        When the rows are not 8760.

    Notes
    -----
    Rows are stamped in UTC on the full hour, where the readings belong; the sun is that of the satellite's pass, later
    by the file's irradiance time offset. Local standard time is UTC plus longitude / 15, rounded.

    References
    ----------
    .. [1] PVGIS user manual, European Commission Joint Research Centre, typical meteorological year, from memory; the
       offset proven by closing global = diffuse + beam on the sample file.
    """
    from pvlib.iotools import read_pvgis_tmy

    stamps = _STAMP.findall(text)
    if len(stamps) != 8760:
        times = pd.DatetimeIndex(pd.to_datetime(stamps, format="%Y%m%d:%H%M", errors="coerce")).dropna()
        raise gaps(on_one_year(times), one_year(1), source, dated=False)
    data, meta = read_pvgis_tmy(io.BytesIO(text.encode()), pvgis_format="csv")
    return _record(data, meta["inputs"], source, "pvgis_csv")


def read_json(text: str, source: str) -> Record:
    """Read a PVGIS typical year in json; all else as :func:`read_csv`.

    Parameters
    ----------
    text : str
        The file.
    source : str
        Its name, for messages.

    Returns
    -------
    Record
        Rows stamped in UTC, with the hours to local standard time in ``roll``.
    """
    from pvlib.iotools import read_pvgis_tmy

    data, meta = read_pvgis_tmy(io.StringIO(text), pvgis_format="json")
    return _record(data, meta["inputs"]["location"], source, "pvgis_json")


def _record(data: pd.DataFrame, place: Mapping[str, Any], source: str, kind: str) -> Record:
    data.index = local(data.index)
    frame = columns(data, _NAMES, factors={})
    offset = next((v for k, v in place.items() if k.replace("_", " ").startswith("irradiance time offset")), None)
    latitude, longitude = float(place["latitude"]), float(place["longitude"])
    zone = round(longitude / 15.0)
    site = Site(
        name=f"{abs(latitude):g}{'NS'[latitude < 0]} {abs(longitude):g}{'EW'[longitude < 0]}",
        latitude=latitude,
        longitude=longitude,
        altitude=float(place["elevation"]),
        utc_offset=float(zone),
        source=source,
        kind=kind,
    )
    minutes = None if offset is None else round(60.0 * float(offset), 3)
    return Record(site, frame, reading_minute=0.0, sun_minute=minutes, roll=zone)
