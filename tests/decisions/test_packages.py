"""Packages: every row a simulated house; shares sum; the order found is the best of every step."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import numpy as np
import pytest

from heatloss import InputError, UnknownNameError, simulate
from heatloss.decisions.changes import changed
from heatloss.decisions.measures import measures_of
from heatloss.decisions.packages import AS_IT_IS, COLUMNS, Bench, best_next, fair_shares, interactions, packages

TAPE = {"name": "tape", "cost": "100 usd", "life": 15, "scale": {"air": {"ach": 0.6}}}
GLASS = {"name": "pane", "cost": {"each": "2 usd/ft2", "of": "cover"}, "life": 15,
         "swap": {"cover": {"glazing": {"glass single 3 mm": "glass sealed double"}}}}  # fmt: skip
CURTAIN = {"name": "curtain", "cost": "50 usd", "life": 15, "add": {"curtain": [{"material": "energy curtain"}]}}
BLANKET = {"name": "blanket", "cost": "60 usd", "life": 15, "add": {"curtain": [{"material": "insulated blanket"}]}}
NOTHING = {"name": "nothing", "cost": "80 usd", "life": 15, "set": {"crop": "lettuce"}}
WALL = {"name": "wall", "cost": "300 usd", "life": 15, "add": {"part": [
    {"name": "w", "on": "north wall", "layers": [{"r": "R-19"}]}]}}  # fmt: skip


@pytest.fixture(scope="module")
def bench(house: Any, chicago: Any) -> Bench:
    return Bench(house, chicago, measures_of([TAPE, GLASS, CURTAIN, WALL, NOTHING]))


@pytest.fixture(scope="module")
def table(bench: Bench) -> Any:
    return packages(bench)


def test_all_packages_each_its_own_house(bench: Bench, table: Any, house: Any, chicago: Any) -> None:
    assert len(table) == 2**5
    assert list(table.columns) == list(COLUMNS)
    for some in (["tape", "wall"], ["tape", "pane", "curtain", "wall"]):
        new = changed(house, [m for m in bench.measures if m.name in some])
        season, row = simulate(new, chicago, steps_per_hour=1, iterations=1), table.loc[" + ".join(some)]
        # the ground is told a guess of the inside within half a kelvin, and then not told again
        assert row["heat_kwh"] == pytest.approx(season.heat_kwh, rel=2e-3)
        assert row["price"] == pytest.approx(sum(m.price(new).value for m in bench.measures if m.name in some))
        assert row["light_darkest"] == pytest.approx(season.light.min())
    assert table.loc[AS_IT_IS, ["saving", "price", "npv", "light_lost"]].tolist() == [0.0] * 4
    assert table["npv"].is_monotonic_decreasing


def test_zero_effect_saves_zero_exactly_in_every_package(bench: Bench) -> None:
    shares = fair_shares(bench, [m.name for m in bench.measures])
    assert shares.loc["nothing"].tolist() == [0.0, 0.0, 0.0]
    assert interactions(bench, ["nothing", "tape"]).loc["nothing", "tape"] == 0.0


def test_fair_shares_are_the_mean_over_every_order_and_sum_to_the_saving(bench: Bench) -> None:
    names = ["tape", "pane", "curtain", "wall"]
    shares = fair_shares(bench, names)
    assert shares["share"].sum() == pytest.approx(bench.row(names)["saving"], rel=1e-9)
    adds = {name: [] for name in names}  # type: dict[str, list[float]]
    for order in permutations(names):
        for i, name in enumerate(order):
            adds[name].append(bench.row(order[: i + 1])["saving"] - bench.row(order[:i])["saving"])
    for name in names:
        assert shares.loc[name, "share"] == pytest.approx(np.mean(adds[name]), rel=1e-9)
        assert shares.loc[name, "alone"] == bench.row([name])["saving"]
    assert shares.loc["pane", "last"] == bench.row(names)["saving"] - bench.row(["tape", "curtain", "wall"])["saving"]


def test_interactions_carry_their_sign(bench: Bench) -> None:
    meetings = interactions(bench, ["tape", "pane", "curtain"])
    both = bench.row(["pane", "curtain"])["saving"]
    assert meetings.loc["pane", "curtain"] == meetings.loc["curtain", "pane"]
    assert meetings.loc["pane", "curtain"] == both - bench.row(["pane"])["saving"] - bench.row(["curtain"])["saving"]
    assert meetings.loc["pane", "curtain"] < 0.0  # both stand in the way of the same heat
    assert np.isnan(meetings.loc["tape", "tape"])


@pytest.mark.parametrize("rule", ["npv", "fuel_per_dollar"])
def test_each_step_takes_what_is_best_beside_those_taken(bench: Bench, rule: str) -> None:
    order = best_next(bench, rule=rule)
    assert sorted(order.index) == sorted(m.name for m in bench.measures)
    taken: list[str] = []
    for name, row in order.iterrows():
        before = bench.row(taken)
        gains = {}
        for m in bench.measures:
            if m.name not in taken:
                after = bench.row([*taken, m.name])
                saving, price = after["saving"] - before["saving"], after["price"] - before["price"]
                gains[m.name] = after["npv"] - before["npv"] if rule == "npv" else saving / price
        assert max(gains, key=gains.__getitem__) == name
        taken.append(str(name))
        assert row["npv_so_far"] == bench.row(taken)["npv"]
        assert row["pays"] == (row["npv"] > 0.0)
    assert order["npv"].sum() == pytest.approx(order["npv_so_far"].iloc[-1])


def test_up_to_a_size_and_a_budget(bench: Bench) -> None:
    assert set(packages(bench, size=1)["size"]) == {0, 1}
    cheap = packages(bench, budget=150.0)
    assert cheap["price"].max() <= 150.0
    assert "tape + curtain" in cheap.index


def test_what_does_not_fit_together_is_no_package(house: Any, chicago: Any) -> None:
    bench = Bench(house, chicago, measures_of([CURTAIN, BLANKET]))
    assert set(packages(bench).index) == {AS_IT_IS, "curtain", "blanket"}
    assert np.isnan(interactions(bench, ["curtain", "blanket"]).loc["curtain", "blanket"])
    assert list(best_next(bench).index) in (["curtain"], ["blanket"])
    with pytest.raises(InputError, match=r"^measures must fit together to be shared out, got curtain \+ blanket\."):
        fair_shares(bench, ["curtain", "blanket"])


def test_too_many_are_refused_before_any_is_run(house: Any, chicago: Any) -> None:
    many = measures_of([{**TAPE, "name": f"tape {i}"} for i in range(13)])
    bench = Bench(house, chicago, many)
    with pytest.raises(InputError, match=r"^packages must be at most 4,096, got 8,192 of 13 measures\."):
        packages(bench)
    with pytest.raises(InputError, match=r"^measures must be at most 12 to be shared out, got 13\."):
        fair_shares(bench, [m.name for m in many])
    assert bench._known == {}


@pytest.mark.parametrize(("terms", "said"), [({"size": 0}, "size must be"), ({"budget": -1.0}, "budget must be")])
def test_limits_that_are_none(bench: Bench, terms: Any, said: str) -> None:
    with pytest.raises(InputError, match=f"^{said}"):
        packages(bench, **terms)


def test_unknown_words(bench: Bench) -> None:
    with pytest.raises(UnknownNameError, match="tap"):
        bench.row(["tap"])
    with pytest.raises(UnknownNameError, match="rule"):
        best_next(bench, rule="cheapest")


def test_quarter_hours_move_the_saving_a_little(bench: Bench) -> None:
    assert abs(bench.coarseness(["tape", "curtain"])) < 0.02
