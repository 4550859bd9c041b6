"""Whether the fuel on hand lasts."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log, by_line

from heatloss import InputError
from heatloss.decisions.remaining import rest_of_winter
from heatloss.decisions.signature import signature

UNTIL = pd.Timestamp("2016-05-15")


@pytest.fixture(scope="module")
def line(chicago):
    return signature(by_line(bare_log(16), chicago, (0.0, 0.2, 12.0, 0.02), noise=0.05), chicago, typical=True)


def test_more_stock_runs_out_less_often_and_later(line, chicago):
    few, more, plenty = (rest_of_winter(line, chicago, stock, UNTIL) for stock in (60.0, 170.0, 2000.0))
    assert few.chance > more.chance > plenty.chance == 0.0
    assert few.likely is not None
    assert few.early <= few.likely
    assert plenty.likely is None
    assert plenty.early is None
    assert plenty.order == 0.0
    assert plenty.order_by is None


def test_the_order_makes_it_enough(line, chicago):
    found = rest_of_winter(line, chicago, 60.0, UNTIL)
    again = rest_of_winter(line, chicago, 60.0 + found.order, UNTIL)
    assert again.chance <= 0.05
    assert rest_of_winter(line, chicago, 60.0 + found.order - 2.0, UNTIL).chance > 0.05 - 1e-9
    assert found.order == np.ceil(found.high - 60.0)
    assert found.order_by == max(found.early - pd.Timedelta(days=7), found.start)
    assert rest_of_winter(line, chicago, 60.0, UNTIL, lead=0.0).order_by == found.early


def test_the_median_is_about_the_typical_year(line, chicago):
    found = rest_of_winter(line, chicago, 100.0, UNTIL)
    daily = line.forecast(chicago).daily
    days = daily[(daily.index >= "2001-01-24") & (daily.index < "2001-05-15")]
    assert found.start == pd.Timestamp("2016-01-24")
    assert found.need == pytest.approx(days.sum(), rel=0.08)
    assert found.low < found.need < found.high


def test_a_cold_forecast_brings_the_date_forward(line, chicago, tmp_path):
    path = tmp_path / "forecast.csv"
    rows = [f"2016-01-{day},{-25}" for day in range(24, 32)]
    path.write_text("\n".join(["date,outside [degC]", *rows]), encoding="utf-8")
    plain = rest_of_winter(line, chicago, 60.0, UNTIL)
    cold = rest_of_winter(line, chicago, 60.0, UNTIL, forecast=path)
    assert cold.likely < plain.likely
    path.write_text("date,inside [degC]\n2016-01-24,10\n", encoding="utf-8")
    with pytest.raises(InputError, match="forecast must have outside temperatures"):
        rest_of_winter(line, chicago, 60.0, UNTIL, forecast=path)


def test_the_same_seed_gives_the_same_answer(line, chicago):
    a, b, c = (rest_of_winter(line, chicago, 60.0, UNTIL, seed=seed) for seed in (1, 1, 2))
    assert (a.need, a.chance) == (b.need, b.chance)
    assert a.need != c.need


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"stock": -1.0}, "stock must be 0 or more"),
        ({"stock": float("nan")}, "stock must be 0 or more"),
        ({"lead": -1.0}, "lead must be from 0"),
        ({"until": pd.Timestamp("2015-12-01")}, "until must be after the log's last row"),
        ({"until": pd.Timestamp("2018-12-01")}, "until must be within a year"),
    ],
)
def test_what_cannot_be_is_refused(line, chicago, change, said):
    with pytest.raises(InputError, match=said):
        rest_of_winter(line, chicago, **{"stock": 60.0, "until": UNTIL, **change})
