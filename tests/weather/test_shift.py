"""A record moved from the station to the house."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.house import House, sample_house
from heatloss.house.files import sample_text
from heatloss.season import simulate
from heatloss.weather.shift import LAPSE, shifted


def test_height(sample) -> None:
    chicago = sample("chicago")
    made = shifted(chicago, altitude=701.0)
    # ISO 2533: 6.5 K a kilometre, so 3.25 K for 500 m. Definition.
    assert (chicago.hours["temp_air"] - made.hours["temp_air"]).to_numpy() == pytest.approx(3.25, abs=1e-9)
    assert (chicago.readings - made.readings).to_numpy() == pytest.approx(3.25, abs=1e-9)
    assert made.header["minimum_20_year"] == pytest.approx(-29.5 - 3.25)
    assert made.header["extreme_sd"] == chicago.header["extreme_sd"]
    assert made.header["ground_temperatures"] == chicago.header["ground_temperatures"]
    ratio = made.hours["pressure"].mean() / chicago.hours["pressure"].mean()
    assert ratio == pytest.approx(93200.0 / 98930.0, rel=0.003)  # standard atmosphere at 701 and 201 m, calculated
    assert (made.hours["longwave_down"] < chicago.hours["longwave_down"]).all()
    assert made.notes[-1] == "Moved from 201 to 701 m above the sea: -3.2 K in every hour."
    assert shifted(made, altitude=701.0) is made


def test_hollow_is_cold_in_still_clear_nights_only(sample) -> None:
    northway = sample("northway")
    made = shifted(northway, frost_hollow=3.0)
    colder = (northway.hours["temp_air"] - made.hours["temp_air"]).to_numpy()
    hours = northway.hours
    assert colder.max() == pytest.approx(3.0)
    assert (colder >= -1e-9).all()
    assert (colder[(hours["ghi"] > 0.0) | (hours["wind_speed"] >= 4.0) | (hours["opaque_cloud"] >= 1.0)] < 1e-9).all()
    assert made.header["heating_996"] == pytest.approx(-48.0)
    assert made.readings.min() <= northway.readings.min()
    assert shifted(made, frost_hollow=3.0) is made
    assert shifted(northway) is northway


def test_height_and_hollow_of_a_house_reach_its_season_and_its_design(sample) -> None:
    chicago = sample("chicago")
    plain = sample_house()
    data = tomllib.loads(sample_text())

    def heat(**place: object) -> object:
        tree = dict(data)
        tree["place"] = {**data["place"], **place}
        return simulate(House(**tree), chicago)

    base = simulate(plain, chicago)
    only_height = heat(altitude="701 m")
    higher = heat(altitude="701 m", lapse="standard")
    hollow = heat(frost_hollow="3 K")
    assert only_height.weather is chicago  # a height alone moves no temperature
    assert higher.heat_kwh > 1.15 * base.heat_kwh
    assert base.heat_kwh < hollow.heat_kwh < 1.2 * base.heat_kwh
    assert higher.design_temperatures["minimum_20_year"] == pytest.approx(-29.5 - 500.0 * LAPSE)
    assert any(note.startswith("Moved from 201 to 701 m") for note in higher.assumptions)
    assert any(note.startswith("A frost hollow: up to 3 K colder") for note in hollow.assumptions)


@pytest.mark.parametrize(
    ("options", "word"),
    [({"altitude": float("nan")}, "altitude"), ({"lapse": 6.5}, "lapse"), ({"frost_hollow": -1.0}, "frost_hollow")],
)
def test_refusals(options, word: str, sample) -> None:
    with pytest.raises(InputError, match=f"^{word} must be between"):
        shifted(sample("chicago"), **options)
    assert np.isfinite(sample("chicago").hours.to_numpy()).all()
