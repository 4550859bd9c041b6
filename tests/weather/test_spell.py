"""The design spell: what it changes, what it leaves, what it refuses."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss.errors import InputError
from heatloss.weather.spell import design_spell, spell_start


def test_spell_is_cold_dark_clear_and_windy_and_the_rest_stays(sample) -> None:
    weather = sample("chicago")
    made, first = design_spell(weather, -29.5), spell_start(weather)
    rows = slice(first, first + 72)
    spell = made.hours.iloc[rows]
    assert spell.index[0].hour == 0
    by_day = spell["temp_air"].to_numpy().reshape(3, 24)
    assert by_day.min(axis=1) == pytest.approx(-29.5, abs=1e-12)
    assert by_day.max(axis=1) == pytest.approx(-21.5, abs=1e-12)
    assert by_day.mean(axis=1) == pytest.approx(-25.5, abs=1e-12)  # a cosine's mean lies halfway
    assert (spell["wind_speed"] == 6.7).all()
    assert not spell[["ghi", "dni", "dhi", "opaque_cloud"]].to_numpy().any()
    assert (spell["longwave_down"] < 250.0).all()
    assert spell["relative_humidity"].between(65.0, 85.0).all()
    rest = np.r_[0:first, first + 72 : 8760]
    assert made.hours.iloc[rest].equals(weather.hours.iloc[rest])
    assert made.design_temperatures().equals(weather.design_temperatures())
    assert made.notes[-1].startswith("Design spell of 3 days set in from ")


def test_spell_begins_at_the_midnight_before_the_coldest_days(sample) -> None:
    weather = sample("northway")
    start = weather.coldest(3.0)["start"].iloc[0]
    assert weather.hours.index[spell_start(weather)] == start.normalize()


def test_a_spell_at_the_end_of_the_record_fits_into_it(sample) -> None:
    weather = sample("chicago")
    assert spell_start(weather, days=360) <= 8760 - 360 * 24
    assert len(design_spell(weather, -20.0, days=360).hours) == 8760


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"minimum": float("nan")}, "minimum must be between -90 and 40"),
        ({"minimum": -20.0, "swing": -1.0}, "swing must be 0 or more"),
        ({"minimum": -20.0, "wind": float("nan")}, "wind must be between 0 and 50"),
        ({"minimum": -20.0, "days": 0}, "days must be a whole number from 1 to 364"),
        ({"minimum": -20.0, "days": 365}, "days must be a whole number from 1 to 364"),
    ],
)
def test_refusals(options, message: str, sample) -> None:
    with pytest.raises(InputError, match=f"^{message}"):
        design_spell(sample("chicago"), options.pop("minimum"), **options)
