"""Hour conventions, proven by the sun; readings at the ends of the hour; the traps of each format."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from pvlib.iotools import read_epw, read_tmy3
from pvlib.solarposition import get_solarposition

from heatloss.weather import Weather, samples
from heatloss.weather.checks import closure
from heatloss.weather.hours import ALWAYS, WHERE_KNOWN

# name: minutes from stamp to the middle of the sun, the optional columns the file knows
KNOWN = {
    "chicago": (30.0, {"longwave_down", "opaque_cloud", "precipitation"}),
    "northway": (30.0, {"longwave_down", "opaque_cloud", "albedo", "precipitation"}),
    "golden": (30.0, {"opaque_cloud", "albedo"}),
    "sand_point": (30.0, {"opaque_cloud", "albedo"}),
    "nw_colorado": (15.0, {"albedo"}),
    "italy_45n8e": (10.566, {"longwave_down"}),
}


def misfit(weather: Weather, minutes: float) -> float:
    """Root mean square of GHI - DHI - DNI cos z with pvlib's full solar position [W/m2]."""
    hours = weather.hours
    times = hours.index + pd.Timedelta(minutes=minutes)
    zenith = get_solarposition(times, weather.site.latitude, weather.site.longitude, weather.site.altitude)["zenith"]
    beam = hours["dni"].to_numpy() * np.maximum(np.cos(np.radians(zenith.to_numpy())), 0.0)
    return float(np.sqrt(np.mean((hours["ghi"].to_numpy() - hours["dhi"].to_numpy() - beam) ** 2)))


@pytest.mark.parametrize("name", KNOWN)
def test_sun_closes_at_the_middle_of_its_interval_and_nowhere_else(name: str, sample) -> None:
    weather = sample(name)
    at_middle = misfit(weather, weather.mid_offset)
    assert at_middle < 6.0
    assert misfit(weather, weather.mid_offset - 30.0) > 3.0 * at_middle
    assert misfit(weather, weather.mid_offset + 30.0) > 3.0 * at_middle
    assert closure(weather.hours, weather.site, weather.mid_offset) == pytest.approx(at_middle, abs=0.5)


@pytest.mark.parametrize("name", KNOWN)
def test_sun_at_the_stamp_misplaces_east_and_west(name: str, sample) -> None:
    # Forgetting the offset moves the beam on vertical walls: east and west go opposite ways.
    weather = sample(name)

    def beam(azimuth: float, minutes: float) -> float:
        times = weather.hours.index + pd.Timedelta(minutes=minutes)
        sun = get_solarposition(times, weather.site.latitude, weather.site.longitude, weather.site.altitude)
        zenith = np.radians(sun["zenith"].to_numpy())
        cos = np.sin(zenith) * np.cos(np.radians(sun["azimuth"].to_numpy() - azimuth))
        return float((weather.hours["dni"].to_numpy() * np.where(zenith < np.pi / 2, np.maximum(cos, 0.0), 0.0)).sum())

    east = beam(90.0, 0.0) / beam(90.0, weather.mid_offset)
    west = beam(270.0, 0.0) / beam(270.0, weather.mid_offset)
    share = 0.003 * weather.mid_offset  # 9 % for half an hour, 3 % for ten minutes
    assert east > 1.0 + share / 2
    assert west < 1.0 - share / 2


@pytest.mark.parametrize("name", KNOWN)
def test_shape_of_the_hours(name: str, sample) -> None:
    weather = sample(name)
    hours = weather.hours
    year = 2023 if name == "nw_colorado" else 2001
    offset, optional = KNOWN[name]
    assert weather.mid_offset == pytest.approx(offset, abs=1e-9)
    assert set(hours.columns) == set(ALWAYS) | optional
    assert optional <= set(WHERE_KNOWN)
    assert len(hours) == 8760
    assert hours.index[0] == pd.Timestamp(year, 1, 1, tz=hours.index.tz)
    assert (hours.index[1:] - hours.index[:-1] == pd.Timedelta(hours=1)).all()
    assert hours.index.tz.utcoffset(None) == pd.Timedelta(hours=weather.site.utc_offset)
    assert np.isfinite(hours.to_numpy()).all()
    assert all(kind.kind == "f" for kind in hours.dtypes)
    # the sun is highest near noon of local standard time, within the half-zone and the equation of time
    assert 11 <= hours["ghi"].groupby(hours.index.hour).mean().idxmax() <= 14


def test_all_samples_are_tested() -> None:
    assert set(KNOWN) == set(samples())


@pytest.mark.parametrize(
    ("name", "column"), [("chicago", "temp_air"), ("golden", "wind_speed"), ("chicago", "temp_dew")]
)
def test_hour_is_the_mean_of_the_readings_at_its_ends(name: str, column: str, sample, text) -> None:
    import io

    reader = read_epw if name == "chicago" else read_tmy3
    raw = reader(io.StringIO(text(name)))[0][column].to_numpy(dtype=float)
    hourly = sample(name).hours[column].to_numpy()
    assert hourly[1:] == pytest.approx((raw[:-1] + raw[1:]) / 2)
    assert hourly[0] == pytest.approx((raw[-1] + raw[0]) / 2)  # a typical year closes on itself


def test_sun_stays_in_its_hour(sample, text) -> None:
    import io

    raw = read_tmy3(io.StringIO(text("golden")))[0]
    for column in ("ghi", "dni", "dhi", "albedo"):
        assert sample("golden").hours[column].to_numpy() == pytest.approx(raw[column].to_numpy(dtype=float))


def test_half_hours_are_averaged_in_pairs(sample, text) -> None:
    lines = text("nw_colorado").splitlines()
    names = lines[2].split(",")
    raw = pd.DataFrame([line.split(",") for line in lines[3:]], columns=names).astype(float)
    hours = sample("nw_colorado").hours
    ghi = raw["GHI"].to_numpy()
    assert hours["ghi"].to_numpy() == pytest.approx((ghi[::2] + ghi[1::2]) / 2)
    temp = raw["Temperature"].to_numpy()
    assert hours["temp_air"].to_numpy()[:-1] == pytest.approx((temp[:-2:2] + temp[2::2]) / 2)
    assert hours["temp_air"].iloc[-1] == pytest.approx((temp[-2] + temp[-1]) / 2)  # real years end open
    assert hours["pressure"].iloc[0] == pytest.approx(100.0 * raw["Pressure"].iloc[[0, 2]].mean())


def test_utc_rows_are_rolled_to_local_standard_time(sample, text) -> None:
    lines = text("italy_45n8e").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("time(UTC)")) + 1
    raw = np.array([line.split(",")[1:] for line in lines[start : start + 8760]], dtype=float)
    hours = sample("italy_45n8e").hours
    assert hours["ghi"].to_numpy() == pytest.approx(np.roll(raw[:, 2], 1))
    temp = (raw[:, 0] + np.roll(raw[:, 0], -1)) / 2
    assert hours["temp_air"].to_numpy() == pytest.approx(np.roll(temp, 1))
    assert hours["longwave_down"].to_numpy() == pytest.approx(np.roll(raw[:, 5], 1))
    assert hours["pressure"].to_numpy() == pytest.approx(np.roll((raw[:, 8] + np.roll(raw[:, 8], -1)) / 2, 1))


@pytest.mark.parametrize("name", KNOWN)
def test_pressure_fits_the_altitude_in_pascal(name: str, sample) -> None:
    from heatloss.physics.moist_air import standard_pressure

    weather = sample(name)
    assert weather.hours["pressure"].mean() == pytest.approx(standard_pressure(weather.site.altitude), rel=0.02)


def test_filled_pressure_is_kept_and_noted(sample) -> None:
    weather = sample("sand_point")
    assert (weather.hours["pressure"] == 101200.0).all()
    assert any(
        note == "Pressure is 101200 Pa in every hour, filled in and not measured; the standard at 7 m is 101241 Pa."
        for note in weather.notes
    )
    assert not any("filled in" in note for note in sample("golden").notes)


@pytest.mark.parametrize(("name", "absent"), [("chicago", {"albedo", "snow_depth"}), ("northway", {"snow_depth"})])
def test_zero_throughout_means_unknown(name: str, absent: set[str], sample) -> None:
    weather = sample(name)
    assert not absent & set(weather.hours.columns)
    for column in absent:
        assert f"{column} is zero in every hour, which means unknown here, and is left out." in weather.notes


def test_cloud_is_a_share(sample) -> None:
    for name in ("chicago", "northway", "golden", "sand_point"):
        cloud = sample(name).hours["opaque_cloud"]
        assert cloud.min() == 0.0
        assert cloud.max() == pytest.approx(1.0)


@pytest.mark.parametrize("name", KNOWN)
def test_dew_point_and_humidity_agree_over_water(name: str, sample) -> None:
    # Dew points are printed to 0.1 K and whole percents, some of the older readings to 1 K: a few points at most.
    from heatloss.weather.humidity import humidity_over_water

    hours = sample(name).hours
    implied = humidity_over_water(hours["temp_air"].to_numpy(), hours["temp_dew"].to_numpy())
    assert np.abs(np.mean(implied - hours["relative_humidity"].to_numpy())) < 2.0
    assert (hours["temp_dew"] <= hours["temp_air"] + 2.0).all()


def test_sites(sample) -> None:
    site = sample("sand_point").site
    assert (site.name, site.latitude, site.longitude, site.altitude) == ("SAND POINT, AK", 55.317, -160.517, 7.0)
    assert (site.utc_offset, site.source, site.kind) == (-9.0, "sand_point", "tmy3")
    site = sample("italy_45n8e").site
    assert (site.name, site.utc_offset, site.altitude, site.kind) == ("45N 8E", 1.0, 250.0, "pvgis_csv")
    assert sample("nw_colorado").site.name == "NSRDB 401182"
    assert sample("chicago").site.name == "Chicago OHare Intl AP, IL, USA"


@pytest.mark.parametrize("name", ["golden", "sand_point", "chicago", "northway", "italy_45n8e"])
def test_typical_years_have_no_366th_day_and_one_year(name: str, sample) -> None:
    # Months of many years on one that is not leap; the end of the last hour falls into no other year.
    hours = sample(name).hours
    assert len(hours) == 8760
    assert set(hours.index.year) == {2001}
    assert (hours.index[0].month, hours.index[-1].month, hours.index[-1].day, hours.index[-1].hour) == (1, 12, 31, 23)
    assert sample(name).typical
    assert any(note.startswith("A typical year, months from") for note in sample(name).notes)
