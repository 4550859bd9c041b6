from __future__ import annotations

import gzip
import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import films, sky

DENVER = Path(__file__).parents[2].parent / "shared" / "weather" / "725650TYA.CSV.gz"


def test_auto_takes_the_best_that_is_known() -> None:
    assert sky.chosen_form("temp_dew", "opaque_cloud", "longwave_down") == "longwave"
    assert sky.chosen_form("temp_dew", "opaque_cloud") == "berdahl_martin"
    assert sky.chosen_form("opaque_cloud") == sky.chosen_form() == "fixed_11k"
    air = np.array([0.0, -10.0])
    known = {"temp_dew": air - 5, "opaque_cloud": np.array([0.0, 0.5])}
    assert sky.sky_temperature(air, **known).tolist() == sky.berdahl_martin(air, **known).tolist()
    assert sky.sky_temperature(air).tolist() == [-11.0, -21.0]
    longwave = films.STEFAN_BOLTZMANN * (films.KELVIN - 20.0) ** 4
    assert sky.sky_temperature(0.0, longwave_down=longwave) == pytest.approx(-20.0, abs=1e-9)


@pytest.mark.parametrize("form", sky.FORMS)
def test_every_form_is_below_or_at_the_air(form: str) -> None:
    got = sky.sky_temperature(5.0, temp_dew=0.0, opaque_cloud=0.3, longwave_down=260.0, form=form)
    assert isinstance(got, float)
    assert -40.0 < got <= 5.0
    assert (form == "outdoor") == (got == 5.0)


def test_cloud_fills_the_missing_emissivity() -> None:
    clear = sky.berdahl_martin_emissivity(-5.0)
    half = sky.berdahl_martin_emissivity(-5.0, opaque_cloud=0.5)
    assert (half - clear) / (1 - clear) == pytest.approx(0.84 * 0.5, rel=1e-12)


def test_small_terms_of_hour_and_pressure() -> None:
    base = sky.berdahl_martin_emissivity(5.0)
    assert sky.berdahl_martin_emissivity(5.0, hour=0.0) - base == pytest.approx(0.013, abs=1e-12)
    assert sky.berdahl_martin_emissivity(5.0, pressure=90000.0) - base == pytest.approx(-0.012, abs=1e-12)


def test_refusals() -> None:
    with pytest.raises(InputError, match="opaque_cloud must be known"):
        sky.sky_temperature(0.0, temp_dew=-3.0, form="berdahl_martin")
    with pytest.raises(InputError, match="opaque_cloud must be from 0 to 1"):
        sky.berdahl_martin(0.0, temp_dew=-3.0, opaque_cloud=7.0)
    with pytest.raises(UnknownNameError, match="swinbank"):
        sky.sky_temperature(0.0, form="swinbnk")
    with pytest.raises(InputError, match="longwave_down must be above 0"):
        sky.from_longwave(np.array([250.0, 0.0]))


@pytest.mark.skipif(not DENVER.exists(), reason="TMY3 file of Denver Intl (USAF 725650), free from NREL's archive")
def test_sky_over_a_denver_year() -> None:
    """ANSI/ASHRAE Standard 140-2020, sky temperature of its Denver year: mean -5.9 to -2.0, lowest -46.9 to -38.0,
    highest 24.6 to 30.1 degC, read; this form gives -4.8, -46.9 and 27.9, calculated apart."""
    text = gzip.decompress(DENVER.read_bytes()).decode("latin-1").split("\n", 1)[1]
    columns = ["Dry-bulb (C)", "Dew-point (C)", "OpqCld (tenths)", "Pressure (mbar)"]
    air, dew, cloud, pressure = pd.read_csv(io.StringIO(text), usecols=columns)[columns].to_numpy(float).T
    known = {"temp_dew": dew, "opaque_cloud": cloud / 10.0, "pressure": 100.0 * pressure}
    got = sky.sky_temperature(air, **known, hour=np.arange(8760) % 24 + 1)
    assert (got.mean(), got.min(), got.max()) == pytest.approx((-4.8, -46.9, 27.9), abs=0.07)
    assert -5.9 <= got.mean() <= -2.0
