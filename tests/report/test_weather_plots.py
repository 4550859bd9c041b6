"""What stands in the picture of a record are its own figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest

from heatloss.report.plots import style
from heatloss.report.weather_plots import weather_year
from heatloss.weather import read_weather


@pytest.fixture
def ax() -> Iterator[Any]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    with style():
        figure, axes = plt.subplots(layout="constrained")
        yield axes
        figure.canvas.draw()
    plt.close(figure)


@pytest.mark.parametrize(("name", "line"), [("chicago", -29.5), ("golden", -17.0)])
def test_months_sun_and_design_line(name: str, line: float, ax: Any) -> None:
    weather = read_weather(name)
    assert weather_year(weather, ax, units="si") is ax
    step, design = ax.lines
    monthly = weather.monthly()
    assert np.asarray(step.get_ydata())[:12] == pytest.approx(monthly["temp_air"].to_numpy())
    assert design.get_ydata()[0] == pytest.approx(line)
    sun = next(other for other in ax.figure.axes if other is not ax)
    assert [bar.get_height() for bar in sun.patches] == pytest.approx(monthly["ghi_kwh"].to_list())
    assert ax.get_ylabel() == "outdoors, °C"
    assert [text.get_text() for text in ax.get_xticklabels()][::11] == ["Jan", "Dec"]
