"""A study holds what was asked for, and says how far it is."""

from __future__ import annotations

from typing import Any

import pytest

from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.outage import FIRE, outage
from heatloss.decisions.payback import weigh
from heatloss.decisions.studied import AIR_LIMIT, studied

TAPE = {"name": "tape", "cost": "100 usd", "life": 15, "scale": {"air": {"ach": 0.6}}}
CURTAIN = {"name": "curtain", "cost": "50 usd", "life": 15, "add": {"curtain": [{"material": "energy curtain"}]}}
HALF = {"name": "half", "cost": "0 usd", "life": 9, "alone": True, "scale": {"shape": {"length": 0.5}}}


@pytest.fixture(scope="module")
def weighed(house: Any, chicago: Any) -> Any:
    return weigh(house, chicago, [TAPE, CURTAIN, HALF])


def test_only_the_order_unless_asked(weighed: Any) -> None:
    found = studied(weighed)
    assert set(found.order.index) == {"tape", "curtain"}
    assert (found.packages, found.shares, found.meetings, found.chances, found.outages) == (None,) * 5


def test_everything(weighed: Any) -> None:
    said: list[tuple[str, int, int]] = []
    found = studied(weighed, exhaustive=True, draws=16, within=5, outages=True,
                    progress=lambda *words: said.append(words))  # fmt: skip
    assert found.packages is not None
    assert len(found.packages) == 4
    assert found.shares is not None
    assert found.chances is not None
    assert set(found.chances.index) == {"tape", "curtain", "half", TOGETHER}
    assert found.within == 5
    assert {what for what, _, _ in said} >= {"packages", "draws", "outages"}
    assert all(done <= whole for what, done, whole in said if what == "packages")
    table = outage(weighed.base.house, weighed.base.weather)
    base = table[(table["cause"] == FIRE) & (table["limit"] == AIR_LIMIT)]["hours"].min()
    assert found.outages is not None
    assert found.outages["as it is"] == base
    assert list(found.outages.index) == ["as it is", "tape", "curtain", TOGETHER]


def test_a_measure_weighed_by_itself_is_not_taken(weighed: Any) -> None:
    assert [m.name for m in weighed.taken] == ["tape", "curtain"]
    assert weighed.table.loc["half", "note"] == "left out of all together: it is weighed by itself"
    assert list(weighed.light.columns) == ["as it is", "tape", "curtain", "half", TOGETHER]
    assert weighed.table.loc["tape", "light_darkest"] == weighed.base.light.min()
    assert weighed.table.loc["curtain", "design_w"] > 0.0
