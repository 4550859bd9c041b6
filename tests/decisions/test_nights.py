"""What nights tell of a house of which everything is known."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log

from heatloss import InputError
from heatloss.decisions.matching import weather_for
from heatloss.decisions.nights import cool_down, night_fit

INDEX = pd.date_range("2016-01-10 18:00", periods=57, freq="15min")


def one_night():
    """A single store of 40 h, read to a tenth."""
    hours = np.arange(57) * 0.25
    inside = np.round(-5.0 + 17.0 * np.exp(-hours / 40.0), 1)
    return replace(bare_log(2), temperatures=pd.DataFrame({"inside": inside, "outside": -5.0}, index=INDEX))


def test_the_time_constant_lies_in_its_range():
    found = cool_down(one_night())
    value, low, high = found.time_constant
    assert low < 40.0 < high
    assert value == pytest.approx(40.0, rel=0.05)
    assert found.capacity(500.0)[0] == pytest.approx(found.store[0] * 500.0 * 3600.0)


def test_only_the_hours_asked_for_count():
    found = cool_down(one_night(), INDEX[8], INDEX[40])
    assert found.start == INDEX[8]
    assert len(found.hours) == 33
    with pytest.raises(InputError, match="must hold inside and outside temperatures"):
        cool_down(one_night(), pd.Timestamp("2017-01-01"))
    with pytest.raises(InputError, match="ua must be above 0"):
        found.capacity(0.0)


def dusk_to_dawn(chicago):
    """Fuel of nights and days of a house of 0.8 units a day and kelvin that saves 1.5 by day."""
    ends = pd.date_range("2016-01-03 18:00", periods=33, freq="12h")
    frame = pd.DataFrame({"start": ends[:-1], "end": ends[1:], "amount": 0.0, "line": range(2, 34)})
    log = replace(bare_log(2), intervals=frame)
    record, _ = weather_for(log, chicago, typical=True)
    hours = record.hours.tz_localize(None)
    for i, (a, b) in enumerate(pairwise(ends)):
        outdoors = hours.loc[a : b - pd.Timedelta(hours=1), "temp_air"].mean()
        frame.loc[i, "amount"] = (0.8 * (12.0 - outdoors) - 2.0 - (9.0 if a.hour == 6 else 0.0)) / 2.0
    index = pd.date_range(ends[0], ends[-1], freq="h")
    return replace(log, temperatures=pd.DataFrame({"inside": 12.0, "outside": np.nan}, index=index)), record


def test_nights_give_the_heat_loss_without_the_sun(chicago):
    log, record = dusk_to_dawn(chicago)
    found = night_fit(log, record)
    assert len(found.frame) == 16
    assert found.slope == pytest.approx(0.8, rel=1e-9)
    assert found.base == pytest.approx(-2.0, abs=1e-9)
    assert found.conductance(24.0, 0.5)[0] == pytest.approx(0.8 * 1000.0 * 0.5)


def test_weeks_are_no_nights(chicago):
    log = bare_log(20)
    with pytest.raises(InputError, match="at least 5 intervals between dusk and dawn"):
        night_fit(log, weather_for(log, chicago, typical=True)[0])
