"""What stands in the pictures of a heater's size are the decision's own figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest

from heatloss import read_weather, sample_house, size_heater
from heatloss.report.heater_plots import hours_short, load_bars, lowest_inside
from heatloss.report.plots import style


@pytest.fixture(scope="module")
def size() -> Any:
    return size_heater(sample_house(), read_weather("chicago"))


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


def test_bars_of_loads(size: Any, ax: Any) -> None:
    assert load_bars(size, ax, units="si") is ax
    assert widths(ax) == pytest.approx((size.loads / 1000.0).to_list()[::-1])
    assert ax.get_lines()[0].get_xdata()[0] == pytest.approx(size.recommended_w / 1000.0)
    assert sum("not a size" in t.get_text() for t in ax.get_yticklabels()) == 6


def test_hours_short(size: Any, ax: Any) -> None:
    line = hours_short(size, ax, units="si").get_lines()[0]
    assert np.asarray(line.get_ydata()) == pytest.approx(size.curve["unmet_hours"].to_numpy())
    assert np.asarray(line.get_xdata()) == pytest.approx(size.curve["output_w"].to_numpy() / 1000.0)


def test_lowest_inside_in_fahrenheit(size: Any, ax: Any) -> None:
    line = lowest_inside(size, ax).get_lines()[1]
    assert np.asarray(line.get_ydata()) == pytest.approx(1.8 * size.curve["lowest"].to_numpy() + 32.0)
