"""What stands in the pictures of savings are the decision's own figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import pytest

from heatloss import read_weather, sample_house
from heatloss.decisions.payback import weigh
from heatloss.report.decision_plots import money_by_year, savings
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
