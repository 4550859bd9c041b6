from __future__ import annotations

import gzip
import io
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import sun

DENVER = Path(__file__).parents[2].parent / "shared" / "weather" / "725650TYA.CSV.gz"


@pytest.fixture(scope="module")
def year() -> dict[str, np.ndarray]:
    """A year of made-up light with a true sun, dark hours and hours without beam among it."""
    times = pd.date_range("2001-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+6")
    place = sun.sun_position(times, 42.0, -88.0, 200.0)
    rng = np.random.default_rng(7)
    up = place.zenith < 90.0
    dni = np.where(up, rng.uniform(0.0, 900.0, 8760) * rng.integers(0, 2, 8760), 0.0)
    dhi = np.where(up, rng.uniform(0.0, 350.0, 8760), 0.0)
    ghi = dni * np.maximum(np.cos(np.radians(place.zenith)), 0.0) + dhi
    return vars(place) | {"dni": dni, "dhi": dhi, "ghi": ghi}


def facets(count: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(count)
    return {"tilt": rng.uniform(0.0, 180.0, count), "surface_azimuth": rng.uniform(0.0, 360.0, count)}


@pytest.mark.parametrize("count", [1, 5, 105])
@pytest.mark.parametrize("model", sun.MODELS)
def test_equal_to_pvlib(year: dict[str, np.ndarray], count: int, model: str) -> None:
    """All three parts, within 1e-12 of the largest; pvlib's NaN of dark hours stands for zero."""
    face = facets(count)
    mine = sun.facet_irradiance(**year, **face, albedo=0.2, model=model)
    for i in range(count) if count < 10 else (0, 52, 104):
        theirs = pvlib.irradiance.get_total_irradiance(
            face["tilt"][i],
            face["surface_azimuth"][i],
            year["zenith"],
            year["azimuth"],
            year["dni"],
            year["ghi"],
            year["dhi"],
            dni_extra=year["dni_extra"],
            airmass=year["airmass"],
            albedo=0.2,
            model=model,
        )
        for name, ours in (
            ("poa_direct", mine.beam),
            ("poa_sky_diffuse", mine.sky_diffuse),
            ("poa_ground_diffuse", mine.ground_diffuse),
        ):
            reference = np.nan_to_num(np.asarray(theirs[name], dtype=float))
            assert np.abs(ours[:, i] - reference).max() <= 1e-12 * max(reference.max(), 1.0)


@pytest.mark.parametrize(
    ("model", "expected"),  # calculated with pvlib
    [
        ("isotropic", (450.0, 705.548, 701.218, 95.000, 99.330)),
        ("haydavies", (450.0, 745.500, 762.820, 70.000, 52.679)),
        ("perez", (450.0, 758.858, 788.665, 91.715, 61.909)),
    ],
)
def test_one_hour_on_five_slopes(model: str, expected: tuple[float, ...]) -> None:
    got = sun.facet_irradiance(
        [60.0],
        azimuth=[180.0],
        dni=[700.0],
        dhi=[100.0],
        ghi=[450.0],
        dni_extra=[1400.0],
        airmass=[2.0],
        tilt=[0.0, 30.0, 90.0, 90.0, 30.0],
        surface_azimuth=[180.0, 180.0, 180.0, 0.0, 0.0],
        albedo=0.2,
        model=model,
    )
    assert (got.beam + got.sky_diffuse + got.ground_diffuse)[0] == pytest.approx(expected, abs=5.1e-4)


def test_position_of_the_published_example() -> None:
    """Reda and Andreas 2004, worked example: zenith, azimuth, and incidence on a slope of 30 deg facing 170 deg."""
    at = pd.DatetimeIndex(["2003-10-17 12:30:30-07:00"])
    place = sun.sun_position(at, 39.742476, -105.1786, 1830.14, pressure=82000.0, temperature=11.0)
    assert place.zenith[0] == pytest.approx(50.11162, abs=5e-6)
    assert place.azimuth[0] == pytest.approx(194.34024, abs=5e-6)
    one = sun.facet_irradiance(
        place.zenith,
        azimuth=place.azimuth,
        dni=[1.0],
        dhi=[0.0],
        ghi=[1.0],
        dni_extra=place.dni_extra,
        airmass=place.airmass,
        tilt=[30.0],
        surface_azimuth=[170.0],
        albedo=0.0,
    )
    assert np.degrees(np.arccos(one.cos_incidence[0, 0])) == pytest.approx(25.18700, abs=5e-6)


def test_air_mass_ends_at_89_degrees(year: dict[str, np.ndarray]) -> None:
    at_89 = pvlib.atmosphere.get_relative_airmass(89.0)
    assert year["airmass"].max() == pytest.approx(at_89, rel=1e-12)
    assert np.all(year["airmass"][year["zenith"] > 89.0] == at_89)


def test_albedo_by_hour_is_that_hour_s(year: dict[str, np.ndarray]) -> None:
    hourly = np.linspace(0.2, 0.6, 8760)
    face = facets(3)
    some = sun.facet_irradiance(**year, **face, albedo=hourly)
    one = sun.facet_irradiance(**year, **face, albedo=1.0)
    assert some.ground_diffuse == pytest.approx(one.ground_diffuse * hourly[:, None], rel=1e-13)


@pytest.mark.parametrize(("zenith", "dni", "dhi"), [(20.0, 900.0, 60.0), (60.0, 0.0, 200.0), (89.5, 300.0, 60.0)])
def test_perez_factors_give_back_pvlib_on_any_slope(zenith: float, dni: float, dhi: float) -> None:
    light = {
        "dhi": np.array([dhi]),
        "dni": np.array([dni]),
        "dni_extra": np.array([1367.0]),
        "airmass": np.array([5.0]),
    }
    f1, f2 = sun.perez_factors(np.array([zenith]), **light)
    theirs = pvlib.irradiance.perez(90.0, 0.0, solar_zenith=np.array([zenith]), solar_azimuth=np.zeros(1), **light)
    front = np.cos(np.radians(90.0 - zenith)) / max(np.cos(np.radians(zenith)), np.cos(np.radians(85.0)))
    assert np.maximum(dhi * (0.5 * (1 - f1) + f1 * front + f2), 0.0) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.skipif(not DENVER.exists(), reason="TMY3 file of Denver Intl (USAF 725650), free from NREL's archive")
def test_incident_sun_of_the_standard_s_weather() -> None:
    """ANSI/ASHRAE Standard 140-2020, incident solar radiation of its Denver year, ranges read; the file's own
    horizontal sum, 1670.2, is itself 0.01 % above its range, so 0.2 % is allowed."""
    text = gzip.decompress(DENVER.read_bytes()).decode("latin-1").split("\n", 1)[1]
    columns = ["GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)"]
    ghi, dni, dhi = pd.read_csv(io.StringIO(text), usecols=columns)[columns].to_numpy(float).T
    times = pd.date_range("1999-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+7")
    place = sun.sun_position(times, 39.833, -104.65, 1650.0)
    got = sun.facet_irradiance(
        dni=dni,
        dhi=dhi,
        ghi=ghi,
        **vars(place),
        tilt=[0.0, 90.0, 90.0, 90.0, 90.0],
        surface_azimuth=[180.0, 0.0, 90.0, 180.0, 270.0],
        albedo=0.2,
    )
    sums = (got.beam + got.sky_diffuse + got.ground_diffuse).sum(axis=0) / 1000.0
    ranges = {"horizontal": (1663, 1670), "north": (399, 477), "east": (1017, 1068), "south": (1291, 1387)}
    ranges["west"] = (903, 997)
    for total, (low, high) in zip(sums, ranges.values(), strict=True):
        assert low * 0.998 <= total <= high * 1.002
    assert ghi.sum() / 1000.0 == pytest.approx(1670.2, abs=0.05)
    assert sums == pytest.approx([1671.6, 433, 1060, 1368, 968], abs=3.0)  # calculated apart; east and west differ


def test_bare_times_and_bad_light_are_refused(year: dict[str, np.ndarray]) -> None:
    with pytest.raises(InputError, match="times must be stamped"):
        sun.sun_position(pd.date_range("2001-01-01", periods=2, freq="h"), 40.0, -90.0, 0.0)
    with pytest.raises(InputError, match="latitude must be from -90 to 90"):
        sun.sun_position(pd.date_range("2001-01-01", periods=2, freq="h", tz="UTC"), 95.0, -90.0, 0.0)
    with pytest.raises(UnknownNameError, match="perez"):
        sun.facet_irradiance(**year, **facets(1), albedo=0.2, model="peres")
    with pytest.raises(InputError, match=r"dhi must be at least 0 \[W/m2\], got -1"):
        sun.facet_irradiance(**(year | {"dhi": year["dhi"] - 1.0}), **facets(1), albedo=0.2)


BOX = [12.0, 30.0, 15.0, 15.0, 20.0, 18.0]


def test_cavity_of_a_greenhouse() -> None:
    """Floor of absorptance 0.75 under a cover taken as one surface, calculated."""
    light = sun.cavity(
        [100.0, 209.4],
        absorptance=[0.75, 0.135],
        transmittance=[0.0, 0.624],
        planes=["floor", "cover"],
        first_hit=[1.0, 0.0],
    )
    assert light.absorbed == pytest.approx([0.798, 0.036], abs=5e-4)
    assert light.lost == pytest.approx([0.0, 0.166], abs=5e-4)


def test_cavity_keeps_all_light_and_sums_the_bounces() -> None:
    rng = np.random.default_rng(3)
    alpha = rng.uniform(0.1, 0.7, 6)
    tau = rng.uniform(0.0, 0.3, 6)
    first = rng.dirichlet(np.ones(6), size=4)
    planes = ["a", "b", "b", "c", "d", "e"]
    light = sun.cavity(BOX, absorptance=alpha, transmittance=tau, planes=planes, first_hit=first)
    assert (light.absorbed + light.lost).sum(axis=1) == pytest.approx(np.ones(4), abs=1e-12)
    met, wave = np.zeros_like(first), first
    for _ in range(200):  # the same light bounce by bounce
        met = met + wave
        out = wave * (1 - alpha - tau)
        wave = np.array(
            [
                [
                    sum(
                        row[i] * BOX[j] / sum(a for a, p in zip(BOX, planes, strict=True) if p != planes[i])
                        for i in range(6)
                        if planes[i] != planes[j]
                    )
                    for j in range(6)
                ]
                for row in out
            ]
        )
    assert light.absorbed == pytest.approx(met * alpha, abs=1e-12)


def test_cavity_does_not_see_a_plane_in_pieces() -> None:
    whole = sun.cavity(
        [40.0, 30.0, 30.0], absorptance=[0.7, 0.2, 0.3], transmittance=[0, 0.5, 0.4], planes="abc", first_hit=[1, 0, 0]
    )
    parts = sun.cavity(
        [15.0, 25.0, 30.0, 30.0],
        absorptance=[0.7, 0.7, 0.2, 0.3],
        transmittance=[0, 0, 0.5, 0.4],
        planes="aabc",
        first_hit=[15 / 40, 25 / 40, 0, 0],
    )
    assert parts.absorbed[:2].sum() == pytest.approx(whole.absorbed[0], abs=1e-12)
    assert parts.lost[2:] == pytest.approx(whole.lost[1:], abs=1e-12)


def test_cavity_refusals() -> None:
    with pytest.raises(InputError, match="nowhere to go"):
        sun.cavity([1.0, 1.0], absorptance=[0.5, 0.5], transmittance=[0, 0], planes="aa", first_hit=[1, 0])
    with pytest.raises(InputError, match="never end"):
        sun.cavity([1.0, 1.0], absorptance=[0, 0], transmittance=[0, 0], planes="ab", first_hit=[1, 0])
    with pytest.raises(InputError, match="their sum must be from 0 to 1"):
        sun.cavity([1.0, 1.0], absorptance=[0.6, 0.5], transmittance=[0.6, 0], planes="ab", first_hit=[1, 0])
