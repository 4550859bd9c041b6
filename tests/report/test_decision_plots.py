"""What stands in the pictures of savings are the decision's own figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import pytest

from heatloss import read_weather, sample_house
from heatloss.decisions.payback import weigh
from heatloss.decisions.sensitivity import LEVERS, map_of_two, one_at_a_time
from heatloss.decisions.studied import studied
from heatloss.report.decision_plots import fuel_by_package, fuel_map, money_by_year, savings, swings
from heatloss.report.plots import style

FOAM = {"name": "foam", "cost": "300 usd", "life": 6, "set": {"floor": {"depth": "4 ft"}}}
TAPE = {"name": "tape", "cost": "100 usd", "life": 4, "swap": {"air": {"class": {
        "structured sheet new": "structured sheet taped"}}}}  # fmt: skip


@pytest.fixture(scope="module")
def weighed() -> Any:
    return weigh(sample_house(), read_weather("chicago"), [FOAM, TAPE])


@pytest.fixture
def ax() -> Iterator[Any]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    with style():
        figure, axes = plt.subplots(layout="constrained")
        yield axes
        figure.canvas.draw()
    plt.close(figure)


def widths(ax: Any) -> list[float]:
    return [bar.get_width() for bars in ax.containers for bar in bars]


def test_savings_and_their_wrong_sum(weighed: Any, ax: Any) -> None:
    saving = weighed.table["saving"]
    assert savings(weighed, ax) is ax
    alone = saving[["foam", "tape"]].sort_values()
    assert widths(ax) == pytest.approx([saving["all together"], alone.sum(), *alone])


def test_money_ends_at_the_net_present_value(weighed: Any, ax: Any) -> None:
    lines = {line.get_label(): line for line in money_by_year(weighed, ax).get_lines()}
    for name, row in weighed.table.iterrows():
        assert lines[name].get_ydata()[-1] == pytest.approx(row["npv"])
        assert lines[name].get_ydata()[0] == pytest.approx(-row["price"])


def test_what_is_left_out_is_not_added_up(ax: Any) -> None:
    deeper = {**FOAM, "name": "deeper", "set": {"floor": {"depth": "5 ft"}}}
    weighed = weigh(sample_house(), read_weather("chicago"), [FOAM, TAPE, deeper])
    saving = weighed.table["saving"]
    savings(weighed, ax)
    assert widths(ax)[1] == pytest.approx(saving["foam"] + saving["tape"])
    assert len(widths(ax)) == 5


def test_fuel_of_packages(weighed: Any, ax: Any) -> None:
    found = studied(weighed, exhaustive=True)
    lines = {line.get_label(): line for line in fuel_by_package(found, ax).get_lines()}
    assert list(lines["a package"].get_ydata()) == found.packages["cost"].to_list()
    assert list(lines["one after another"].get_ydata())[1:] == found.order["cost"].to_list()


def test_swings_end_at_the_fuel_tried(ax: Any) -> None:
    levers = {name: LEVERS[name] for name in ("leakage", "edge")}
    found = one_at_a_time(sample_house(), read_weather("chicago"), levers)
    swings(found, ax)
    row = found.loc["leakage"]
    for end in ("low", "high"):
        assert any(w == pytest.approx(100 * (row[f"fuel_{end}"] / row["fuel"] - 1)) for w in widths(ax))


def test_a_map_names_its_axes(ax: Any) -> None:
    fuel_map(map_of_two(sample_house(), read_weather("chicago"), "curtain", [0.0, 0.1], "leakage", [0.5, 1.0, 1.5]), ax)
    assert ax.get_xlabel() == "air leaking in and out, times"
    assert ax.get_ylabel() == "night curtain, m2 K/W"
