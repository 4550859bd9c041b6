"""Chances: house and changed house share each draw; sure things are sure, lost causes lost."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heatloss import InputError
from heatloss.decisions.chances import chances
from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.payback import weigh

TAPE = {"name": "tape", "cost": "0 usd", "life": 15, "scale": {"air": {"ach": 0.6}}}
GOLD = {"name": "gold", "cost": "90000 usd", "life": 15, "add": {"curtain": [{"material": "energy curtain"}]}}
NOTHING = {"name": "nothing", "cost": "80 usd", "life": 15, "set": {"crop": "lettuce"}}


@pytest.fixture(scope="module")
def weighed(house: Any, chicago: Any) -> Any:
    return weigh(house, chicago, [TAPE, GOLD, NOTHING])


@pytest.fixture(scope="module")
def found(weighed: Any) -> Any:
    return chances(weighed, n=16)


def test_free_savings_pay_always_and_gold_never(found: Any) -> None:
    assert list(found.index) == ["tape", "gold", "nothing", TOGETHER]
    assert found.loc["tape", ["chance", "saves", "payback_p90"]].tolist() == [1.0, 1.0, 0.0]
    assert found.loc["gold", "chance"] == 0.0
    assert found.loc["gold", "saving_p10"] > 0.0


def test_paired_draws_leave_nothing_of_what_is_common(found: Any) -> None:
    """Without pairing, two houses alike would differ by half their fuel from draw to draw."""
    assert found.loc["nothing", ["saving_p10", "saving_p50", "saving_p90"]].tolist() == [0.0, 0.0, 0.0]
    assert found.loc["nothing", ["chance", "saves", "payback_p10"]].tolist() == [0.0, 0.0, np.inf]


def test_the_middle_is_near_the_typical_year(found: Any, weighed: Any) -> None:
    row = found.loc["gold"]
    assert row["saving_p10"] < weighed.table.loc["gold", "saving"] < row["saving_p90"]


def test_a_measure_must_pay_before_it_wears_out(house: Any, chicago: Any) -> None:
    saving = weigh(house, chicago, [TAPE]).table.loc["tape", "saving"]
    lasting = {**TAPE, "cost": f"{4.0 * saving:.2f} usd", "life": 30}
    worn = {**lasting, "name": "worn", "life": 1}
    table = chances(weigh(house, chicago, [lasting, worn]), n=16, within=12)
    assert table.loc["tape", "chance"] > 0.8
    assert table.loc["worn", "chance"] == 0.0


def test_the_cost_is_drawn_from_its_range(house: Any, chicago: Any) -> None:
    wide = {**TAPE, "cost": {"fixed": "500 usd", "low": "100 usd", "high": "5000 usd"}}
    found = chances(weigh(house, chicago, [wide]), n=16).loc["tape"]
    tight = chances(weigh(house, chicago, [{**TAPE, "cost": "500 usd"}]), n=16).loc["tape"]
    assert found["payback_p90"] / found["payback_p10"] > 1.5 * tight["payback_p90"] / tight["payback_p10"]


def test_years_that_are_none(weighed: Any) -> None:
    with pytest.raises(InputError, match=r"^within must be a whole number >= 1 \[year\], got 0\.$"):
        chances(weighed, within=0)
