"""The weather of one place over a year or more, as the balance takes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta, timezone
from numbers import Real
from typing import Any

import pandas as pd

from heatloss.errors import InputError, WeatherError
from heatloss.weather import statistics
from heatloss.weather.checks import check_site, check_values
from heatloss.weather.gaps import fill_word
from heatloss.weather.hours import ALWAYS, WHERE_KNOWN, whole_hours
from heatloss.weather.record import Record, Site, local

_READING_MINUTES = {"mean": 30.0, "start": 0.0, "end": 60.0}


@dataclass(frozen=True, eq=False)
class Weather:
    """Hourly weather, checked and without gaps.

    Parameters
    ----------
    hours : frame
        One row per hour, stamped with its start in local standard time; a typical year lies on 2001, real years keep
        their own. Always ``temp_air`` and ``temp_dew`` [degC], ``relative_humidity`` [%], ``wind_speed`` [m/s],
        ``pressure`` [Pa], ``ghi`` ``dni`` ``dhi`` [W/m2]; where known throughout ``longwave_down`` [W/m2],
        ``opaque_cloud`` [1], ``albedo`` [1], ``snow_depth`` [m], ``precipitation`` [mm].
    site : Site
        Name, latitude, longitude, altitude, UTC offset, source and kind of file.
    mid_offset : float
        From a stamp to the middle of its sun, where the sun's position belongs [min].
    readings : hourly
        The dry-bulb readings of the file at their own times, before any averaging [degC].
    reading_offset : float
        From the start of a row's hour to its reading [min].
    header : mapping
        Head of an EPW: ``heating_996``, ``heating_99``, ``extreme_mean``, ``extreme_sd``, ``minimum_5_year`` ... [degC]
        and ``ground_temperatures`` (depth [m] to twelve months [degC]).
    notes : tuple of str
        What the reader did to the file.
    typical : bool
        Whether the year is none that ever was: put together from months, or made of normals.
    hollow : float
        By how much still, clear nights have been made colder for a hollow already [K].

    Notes
    -----
    Dew point and relative humidity are those of the file, over liquid water at every temperature, and differ by up to
    4 points in cold hours since a file rounds each; the moisture to reckon with is ``temp_dew``.
    """

    hours: pd.DataFrame
    site: Site
    mid_offset: float
    readings: pd.Series[float]
    reading_offset: float
    header: Mapping[str, Any]
    notes: tuple[str, ...]
    typical: bool = False
    hollow: float = 0.0

    @classmethod
    def from_record(cls, record: Record, *, fill: str | None = None) -> Weather:
        """Weather of a file's rows, made into whole hours and checked; short gaps filled if ``fill`` is ``"short"``."""
        made = whole_hours(record, fill=fill)
        return cls(
            hours=made.frame,
            site=record.site,
            mid_offset=made.mid_offset,
            readings=made.readings,
            reading_offset=made.reading_offset,
            header=dict(record.header),
            notes=made.notes,
            typical=made.typical or record.site.kind == "normals",
        )

    @classmethod
    def from_frame(
        cls,
        frame: pd.DataFrame,
        *,
        latitude: float,
        longitude: float,
        altitude: float,
        utc_offset: float,
        mid_offset: float = 30.0,
        readings: str = "mean",
        name: str = "frame",
        fill: str | None = None,
    ) -> Weather:
        """Weather from a frame of hours.

        Parameters
        ----------
        frame : frame
            At least a year of rows without gaps, an hour apart (or a whole part of one), stamped with their start, with
            a time zone or in local standard time. Columns: ``temp_air`` [degC], ``ghi`` ``dni`` ``dhi`` [W/m2],
            ``wind_speed`` [m/s], ``relative_humidity`` [%] or ``temp_dew`` [degC]; ``pressure`` [Pa] (else the standard
            atmosphere's), ``longwave_down``, ``opaque_cloud``, ``albedo``, ``snow_depth`` if known. Others are left
            aside and named in the notes.
        latitude, longitude : float
            North and east positive [deg].
        altitude : float
            Height above the sea [m].
        utc_offset : float
            Local standard time less UTC [h].
        mid_offset : float
            From a row's stamp to the middle of its sun [min].
        readings : str
            What temperature, humidity, wind, pressure and cloud are: ``"mean"`` of the row's hour, or a reading at its
            ``"start"`` or ``"end"``.
        name : str
            Name of the place, for print.
        fill : str, optional
            ``"short"`` fills gaps of up to six hours and says which; without it any gap is refused.

        Returns
        -------
        Weather
            The same as from a file.

        Raises
        ------
        WeatherError
            For a missing column, NaN, a gap, an impossible value, a sun that does not close.
        """
        fill_word(fill)
        if readings not in _READING_MINUTES:
            raise InputError(f"readings must be mean, start or end, got {readings!r}. Say what the rows' readings are.")
        if not 0.0 <= mid_offset <= 60.0:
            raise InputError(
                f"mid_offset must be between 0 and 60 [min], got {mid_offset:g}. Count from a row's stamp."
            )
        if not isinstance(frame, pd.DataFrame) or not isinstance(frame.index, pd.DatetimeIndex):
            on = type(frame.index).__name__ if isinstance(frame, pd.DataFrame) else "no index"
            raise WeatherError(
                f"frame must be a DataFrame on a DatetimeIndex, got {type(frame).__name__} on {on}. "
                "Set the index to the times of the rows."
            )
        place = {"latitude": latitude, "longitude": longitude, "altitude": altitude, "utc_offset": utc_offset}
        for key, value in place.items():
            if not isinstance(value, Real):
                raise WeatherError(f"{key} must be a number, got {value!r} (frame). Type it without a unit.")
        site = Site(name, **{key: float(value) for key, value in place.items()}, source="frame", kind="frame")
        check_site(site)
        index = frame.index
        if index.hasnans:
            raise WeatherError(
                f"index must hold a time in every row, got none in row {int(index.isna().argmax())} (frame). "
                "Mend the index or drop those rows."
            )
        if index.tz is not None:
            index = index.tz_convert(timezone(timedelta(hours=site.utc_offset)))
        known = [column for column in (*ALWAYS, *WHERE_KNOWN) if column in frame.columns]
        rows = frame[known].apply(pd.to_numeric, errors="coerce").astype(float).set_axis(local(index))
        check_values(rows if fill is None else rows.dropna(), "frame", dated=True)
        aside = [str(column) for column in frame.columns if column not in known]
        notes = (f"Columns left aside: {', '.join(aside)}.",) if aside else ()
        record = Record(site, rows, _READING_MINUTES[readings], mid_offset, notes=notes)
        return cls.from_record(record, fill=fill)

    def __repr__(self) -> str:
        first, last = self.hours.index[0], self.hours.index[-1]
        return f"<Weather {self.site.name}: {len(self.hours)} hours, {first:%Y-%m-%d} to {last:%Y-%m-%d}>"

    @property
    def daily(self) -> pd.Series[float]:
        """Daily means of the readings [degC], on the days of the file's own clock."""
        return statistics.daily_means(self.readings, self.reading_offset)

    def design_temperatures(self) -> pd.Series[float]:
        """Candidates for the outdoor design temperature [degC]: :func:`.statistics.design_temperatures`."""
        return statistics.design_temperatures(self.readings, self.header)

    def degree_days(self, base: float) -> float:
        """Heating degree days of a year below ``base`` [degC], from daily means of the readings [K d]."""
        if not -90.0 <= base <= 60.0:
            raise InputError(f"base must be between -90 and 60 [degC], got {base:g}. 65 degF is 18.333 degC.")
        return statistics.degree_days(self.daily, base)

    def cooling_degree_days(self, base: float) -> float:
        """Cooling degree days of a year above ``base`` [degC], from daily means of the readings [K d]."""
        if not -90.0 <= base <= 60.0:
            raise InputError(f"base must be between -90 and 60 [degC], got {base:g}. 65 degF is 18.333 degC.")
        return statistics.cooling_degree_days(self.daily, base)

    def annual_minima(self) -> pd.Series[float]:
        """Yearly minima of the head, or fitted to ten winters or more: :func:`.statistics.annual_minima`."""
        return statistics.annual_minima(self.readings, self.header, north=self.site.latitude >= 0.0)

    def monthly(self) -> pd.DataFrame:
        """Means of the twelve months: :func:`.statistics.monthly`."""
        return statistics.monthly(self.hours, self.daily)

    def coldest(self, days: float, count: int = 1) -> pd.DataFrame:
        """The ``count`` coldest spells of ``days`` [d], coldest first: :func:`.statistics.coldest`."""
        if not 1.0 / 24.0 <= days <= 365.0:
            raise InputError(f"days must be between 1 hour and 365 [d], got {days:g}. A cold spell lasts 1 to 10 days.")
        return statistics.coldest(self.hours, days, count)

    def cold_wind(self, share: float = 0.01) -> float:
        """Mean wind of the coldest ``share`` [1] of the hours [m/s]."""
        return statistics.cold_wind(self.hours, share)
