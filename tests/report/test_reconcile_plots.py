"""What stands in the pictures of a log are its own figures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import matplotlib as mpl
import numpy as np
import pandas as pd
import pytest
from log_cases import bare_log, by_line

from heatloss import read_weather
from heatloss.decisions.nights import cool_down
from heatloss.decisions.remaining import rest_of_winter
from heatloss.decisions.signature import Signature, signature
from heatloss.report.plots import style
from heatloss.report.reconcile_plots import fuel_left, heating_line_plot, night, weeks


@pytest.fixture(scope="module")
def line() -> Signature:
    chicago = read_weather("chicago")
    return signature(by_line(bare_log(24), chicago, (0.3, 0.25, 12.0, 0.02)), chicago, sun=True, typical=True)


@pytest.fixture
def ax() -> Iterator[Any]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    with style():
        figure, axes = plt.subplots(layout="constrained")
        yield axes
        figure.canvas.draw()
    plt.close(figure)


def lines(ax: Any) -> dict[str, Any]:
    return {found.get_label(): found for found in ax.get_lines()}


def test_weeks_are_fuel_a_day_and_held_out_ones_are_hatched(ax: Any) -> None:
    log = bare_log(6)
    frame = log.intervals[["start", "end"]].assign(
        measured=np.arange(6) * 7.0, before=7.0, after=np.arange(6) * 6.0, held_out=np.arange(6) == 2
    )
    frame.loc[3:, ["start", "end"]] += pd.Timedelta(days=7)  # a gap
    found = SimpleNamespace(intervals=frame, log=log, held_out=object())
    assert weeks(found, ax) is ax
    bars = ax.containers[0]
    assert [bar.get_height() for bar in bars] == pytest.approx(np.arange(6.0))
    assert [bar.get_hatch() for bar in bars] == [None, None, "////", None, None, None]
    after = lines(ax)["calibrated"].get_ydata()
    assert np.isnan(after).sum() >= 1, "the line is broken at the gap"
    assert after[::3] == pytest.approx(np.arange(6) * 6.0 / 7.0)
    assert ax.get_ylabel() == "gal a day"


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_line_goes_through_the_darkest_and_brightest(line: Signature, ax: Any, units: str) -> None:
    heating_line_plot(line, ax, units=units)
    found = lines(ax)
    dark, bright = found["darkest interval"].get_ydata(), found["brightest"].get_ydata()
    assert np.all(dark >= bright)
    assert dark.min() == pytest.approx(line.line.base_load, abs=1e-6)
    dots = np.asarray(ax.collections[0].get_offsets())
    celsius = (dots[:, 0] - 32.0) / 1.8 if units == "us" else dots[:, 0]
    assert celsius == pytest.approx(line.days.outdoors)
    assert ("°F" in ax.get_xlabel()) == (units == "us")


def test_fuel_on_hand_falls_to_nothing(line: Signature, ax: Any) -> None:
    found = rest_of_winter(line, read_weather("chicago"), 40.0, pd.Timestamp("2016-05-15"))
    fuel_left(found, ax)
    left = lines(ax)["half of the winters"].get_ydata()
    assert left == pytest.approx(np.maximum(40.0 - found.used["median"].to_numpy(), 0.0))
    assert "order by" in lines(ax)


def test_a_night_shows_what_was_read_and_fitted(ax: Any) -> None:
    index = pd.date_range("2016-01-10 20:00", periods=20, freq="30min")
    inside = -5.0 + 17.0 * np.exp(-np.arange(20) * 0.5 / 40.0)
    log = replace(bare_log(1), temperatures=pd.DataFrame({"inside": inside, "outside": -5.0}, index=index))
    night(cool_down(log), ax, units="si")
    found = lines(ax)
    assert found["inside"].get_ydata() == pytest.approx(inside)
    assert found["fitted"].get_ydata() == pytest.approx(inside, abs=1e-6)
