"""Each row is the balance of a changed house; the money follows closed forms; nothing is ever added up."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import numpy as np
import pandas as pd
import pytest

from heatloss import InputError, catalogue, payback, sample_house, simulate
from heatloss.decisions.changes import changed
from heatloss.decisions.measures import TOGETHER, measures_of
from heatloss.decisions.payback import COLUMNS, weigh

FOAM = {"name": "foam", "cost": "900 usd", "life": 15, "set": {"floor": {"edge": "R-10", "depth": "4 ft"}}}
TAPE = {"name": "tape", "cost": "100 usd", "life": 15, "scale": {"air": {"ach": 0.6}}}
GLASS = {"name": "pane", "cost": {"each": "5 usd/ft2", "of": "cover"}, "life": 15,
         "swap": {"cover": {"glazing": {"glass single 3 mm": "glass sealed double"}}}}  # fmt: skip
CURTAIN = {"name": "curtain", "cost": "50 usd", "life": 15, "add": {"curtain": [{"material": "energy curtain"}]}}
NOTHING = {"name": "nothing", "cost": "80 usd", "life": 15, "set": {"place": {"shelter": "partial"}}}
BERM = {"name": "berm", "cost": "1 usd", "life": 15, "set": {"part": {"name": "west berm", "behind": "ground"}}}


@pytest.fixture(scope="module")
def table(house: Any, chicago: Any) -> pd.DataFrame:
    return payback(house, chicago, [FOAM, TAPE, GLASS, CURTAIN, NOTHING, BERM])


def test_the_form_of_the_table(table: pd.DataFrame) -> None:
    assert list(table.index) == ["foam", "tape", "pane", "curtain", "nothing", "berm", TOGETHER]
    assert table.index.name == "measure"
    assert list(table.columns) == list(COLUMNS)


def test_a_row_is_the_season_of_the_changed_house(table: pd.DataFrame, house: Any, chicago: Any) -> None:
    base = simulate(house, chicago)
    for measure in measures_of([FOAM, GLASS, CURTAIN]):
        season, row = simulate(measure.changed(house), chicago), table.loc[measure.name]
        assert row["heat_kwh"] == season.heat_kwh
        assert row["peak_w"] == season.peak_w
        assert row["fuel"] == season.fuel.amount
        assert row["cost"] == season.fuel.cost
        assert row["saving"] == base.fuel.cost - season.fuel.cost > 0.0


def test_all_together_is_one_house_and_no_sum(table: pd.DataFrame, house: Any, chicago: Any) -> None:
    fitting = measures_of([FOAM, TAPE, GLASS, CURTAIN])
    season = simulate(changed(house, fitting), chicago)
    assert table.loc[TOGETHER, "heat_kwh"] == season.heat_kwh
    alone = table.loc[["foam", "tape", "pane", "curtain"], "saving"]
    assert alone.max() < table.loc[TOGETHER, "saving"] < 0.95 * alone.sum()
    assert table.loc[TOGETHER, "price"] == pytest.approx(table.loc[["foam", "tape", "pane", "curtain"], "price"].sum())


def test_zero_effect_saves_exactly_zero(table: pd.DataFrame) -> None:
    row = table.loc["nothing"]
    assert row["saving"] == 0.0
    assert row["light_lost"] == 0.0
    assert row["payback_years"] == np.inf
    assert row["npv"] == -80.0
    assert np.isnan(row["irr"])
    assert row["note"].startswith("changes nothing")


def test_what_does_not_fit_says_why_and_stops_nothing(table: pd.DataFrame) -> None:
    row = table.loc["berm"]
    assert row["note"] == "does not fit: name must be a [[part]] of this house, got 'west berm'. The nearest: door."
    assert np.isnan([row["saving"], row["npv"], row["fuel"], row["price"]]).all()
    assert (table.drop(index=["berm", "nothing"])["note"] == "").all()


def test_order_changes_nothing(table: pd.DataFrame, house: Any, chicago: Any) -> None:
    found = [payback(house, chicago, some) for some in list(permutations([FOAM, TAPE, GLASS]))[::2]]
    for again in found:
        for name in ("foam", "tape", "pane"):
            pd.testing.assert_series_equal(again.loc[name], table.loc[name])
        pd.testing.assert_series_equal(again.loc[TOGETHER], found[0].loc[TOGETHER])


def test_a_single_measure_is_its_own_package(house: Any, chicago: Any, table: pd.DataFrame) -> None:
    again = payback(house, chicago, [TAPE])
    pd.testing.assert_series_equal(again.loc["tape"], again.loc[TOGETHER], check_names=False)
    pd.testing.assert_series_equal(again.loc["tape"], table.loc["tape"])


def priced(saving: float, **other: Any) -> dict[str, Any]:
    """Foam at 1500/220 of its first year's saving, so that every figure of the published row scales."""
    return {**FOAM, "cost": f"{saving * 1500 / 220:.9f} usd", **other}


def test_money_by_the_closed_forms(house: Any, chicago: Any, table: pd.DataFrame) -> None:
    """1500 now, 220 in the first year, 3 % dearer a year, 5 % interest, 15 years (textbook forms, calculated)."""
    saving = table.loc["foam", "saving"]
    row = payback(house, chicago, [priced(saving)], years=15, discount=0.05, escalation=0.03).loc["foam"]
    assert row["payback_years"] == pytest.approx(6.818, abs=5e-4)
    assert row["npv"] == pytest.approx(1256.50 * saving / 220, rel=5e-6)
    assert row["npv"] == pytest.approx(saving * 12.529552 - row["price"], rel=1e-6)
    assert row["irr"] == pytest.approx(0.147747, abs=5e-7)


def test_rate_equal_to_escalation(house: Any, chicago: Any, table: pd.DataFrame) -> None:
    saving = table.loc["tape", "saving"]
    row = payback(house, chicago, [TAPE], years=12, discount=0.04, escalation=0.04).loc["tape"]
    assert row["npv"] == pytest.approx(12 * saving / 1.04 - 100.0, rel=1e-9)


def test_what_wears_out_is_bought_again_and_upkeep_is_paid(house: Any, chicago: Any, table: pd.DataFrame) -> None:
    saving = table.loc["foam", "saving"]
    worn = {**FOAM, "cost": "100 usd", "life": 5, "upkeep": "7 usd/year"}
    row = payback(house, chicago, [worn], years=15, discount=0.05, escalation=0.03).loc["foam"]
    annuity = (1 - 1.05**-15) / 0.05
    again = 100 * (1 + 1.05**-5 + 1.05**-10)  # not at the end of the fifteenth year
    assert row["npv"] == pytest.approx(saving * 12.529552 - 7 * annuity - again, abs=1e-3)
    assert row["payback_years"] == pytest.approx(100 / (saving - 7))
    assert row["saving"] == saving


def test_upkeep_above_the_saving_never_pays(house: Any, chicago: Any) -> None:
    row = payback(house, chicago, [{**FOAM, "upkeep": "900 usd/year"}]).loc["foam"]
    assert row["payback_years"] == np.inf
    assert row["npv"] < -900


def test_light_lost_and_cold_roofs(table: pd.DataFrame, house: Any, chicago: Any) -> None:
    assert table.loc["curtain", "light_lost"] == pytest.approx(0.04, abs=2e-3)  # its row lets 0.96 through when open
    assert table.loc["foam", "light_lost"] == 0.0
    before, after = (simulate(h, chicago) for h in (house, measures_of([GLASS])[0].changed(house)))
    winter = before.hourly.index.month.isin([11, 12, 1, 2, 3])
    seen = [s.assembly.sunlight.entered[before.heating].sum() for s in (before, after)]
    assert before.heating[winter].all()
    assert not before.heating.all()
    assert table.loc["pane", "light_lost"] == pytest.approx(1 - seen[1] / seen[0], rel=1e-9)
    assert table["cold_roof"].to_dict() == {
        "foam": False, "tape": False, "pane": True, "curtain": True, "nothing": False, "berm": False, TOGETHER: True,
    }  # fmt: skip
    hung = {"curtain": [{"material": "energy curtain", "on": "walls"}]}
    wall = {"name": "w", "cost": "0 usd", "life": 1, "add": hung}
    assert not payback(house, chicago, [wall]).loc["w", "cold_roof"]


def test_starter_measures_on_the_sample(chicago: Any) -> None:
    weighed = weigh(sample_house(), chicago)
    rows = weighed.table
    assert weighed.examples
    assert rows.loc["insulated north wall", "note"].startswith("does not fit: area must be free on north wall")
    assert rows.loc[TOGETHER, "saving"] < rows["saving"].drop(TOGETHER).sum()
    assert 0.10 < rows.loc["night curtain", "saving"] / weighed.base.fuel.cost < 0.36  # whole houses: 8 to 36 % saved


def test_of_two_that_change_the_same_thing_the_first_is_taken(house: Any, chicago: Any, table: pd.DataFrame) -> None:
    blanket = {**CURTAIN, "name": "blanket", "cost": "70 usd"}
    deeper = {**FOAM, "name": "deeper", "set": {"floor": {"edge": "R-10", "depth": "6 ft"}}}
    rows = payback(house, chicago, [FOAM, CURTAIN, blanket, deeper])
    assert rows.loc["blanket", "note"] == "left out of all together: curtain changes the same curtain"
    assert rows.loc["deeper", "note"] == "left out of all together: foam changes the same floor.depth"
    assert rows.loc["blanket", "saving"] == rows.loc["curtain", "saving"] == table.loc["curtain", "saving"]
    assert rows.loc["deeper", "saving"] > rows.loc["foam", "saving"]
    both = payback(house, chicago, [FOAM, CURTAIN])
    pd.testing.assert_series_equal(rows.loc[TOGETHER], both.loc[TOGETHER])
    wall = {"name": "n", "on": "north wall", "u": "1 W/(m2 K)"}
    walls = [{"name": m, "cost": "1 usd", "life": 9, "add": {"part": [{**wall, "name": m}]}} for m in ("a", "b")]
    note = payback(house, chicago, walls).loc["b", "note"]
    assert note.startswith("left out of all together: it does not fit beside a: ")


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        ({"years": 0}, r"^years must be a whole number from 1 to 100 \[year\], got 0\.$"),
        ({"discount": -1.0}, r"^rate must be above -1"),
        ({"escalation": float("nan")}, r"^escalation must be above -1"),
    ],
)
def test_terms_that_are_none(house: Any, chicago: Any, terms: Any, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        payback(house, chicago, [FOAM], **terms)


def test_no_heater_no_saving(house_maker: Any, chicago: Any) -> None:
    with pytest.raises(InputError, match=r"^heater must be given to know what fuel is saved, got none\."):
        payback(house_maker(heater=[]), chicago, [FOAM])


def test_nothing_fits(house: Any, chicago: Any) -> None:
    rows = payback(house, chicago, [BERM])
    assert rows.loc[TOGETHER, "saving"] == 0.0
    assert rows.loc[TOGETHER, "price"] == 0.0
    assert rows.loc[TOGETHER, "note"] == "nothing to take together: no measure fits this house and changes it"


def test_what_the_heat_does_not_see_saves_nothing(house: Any, chicago: Any) -> None:
    rows = payback(house, chicago, [{**FOAM, "set": {"crop": "lettuce"}}])
    assert rows.loc["foam", "note"].startswith("saves nothing: the heat is the same")
    assert rows.loc[TOGETHER, ["note", "saving", "price"]].to_list() == ["", 0.0, 900.0]


@pytest.mark.parametrize("fuel", ["cordwood red oak", "anthracite coal", "heating oil"])
def test_a_price_does_not_outlive_its_fuel(house: Any, chicago: Any, fuel: str) -> None:
    """Heating oil is sold by the gallon as propane is: the price would pass, and be wrong."""
    oil = {"name": "other fuel", "cost": "1 usd", "life": 9, "set": {"heater": {"fuel": fuel}}}
    row = catalogue.row("fuels", fuel)
    line = f"{row['price']:g} usd/{row.text('unit')}"
    note = payback(house, chicago, [oil]).loc["other fuel", "note"]
    assert note.startswith(f"does not fit: price must be that of {fuel}, got '3.0 usd/gallon' of propane. ")
    assert f'Give the new fuel\'s price with the measure, e.g. price = "{line}", or leave' in note
    typed = {**oil, "set": {"heater": {"fuel": fuel, "price": line}}}
    unpriced = house.changed(heater=[{k: v for k, v in house.tree()["heater"][0].items() if k != "price"}])
    costs = [payback(h, chicago, [m]).loc["other fuel", "cost"] for h, m in ((house, typed), (unpriced, oil))]
    assert costs[0] == costs[1] > 0.0
