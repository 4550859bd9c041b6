"""Every stream of the flow picture is as wide as its heat, and as much goes out as comes in."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from heatloss import read_weather, sample_house, simulate
from heatloss.report.flow_plot import TRUNK, heat_flow
from heatloss.report.flows import cold_months, flows

MILLION_BTU_PER_KWH = 3.6e6 / 1055.05585262 / 1e6


@pytest.fixture(scope="module")
def season() -> Any:
    return simulate(sample_house(), read_weather("chicago"), steps_per_hour=1)


def axes() -> Axes:
    return Figure(figsize=(7.5, 4.5)).add_subplot()


def widths(ax: Axes) -> dict[str, tuple[float, float]]:
    """Height of every stream at its outer end and at the trunk."""
    found = {}
    for patch in ax.patches:
        if str(patch.get_label()).endswith((", in", ", out")):
            x, y = np.array(patch.get_path().vertices)[:-1].T
            outer, near = (np.isclose(x, min(x)), np.isclose(x, max(x)))
            if str(patch.get_label()).endswith(", out"):
                outer, near = near, outer
            found[str(patch.get_label())] = float(np.ptp(y[outer])), float(np.ptp(y[near]))
    return found


@pytest.mark.parametrize(("units", "scale"), [("us", MILLION_BTU_PER_KWH), ("si", 1.0)])
def test_streams_are_as_wide_as_their_heat_at_both_ends(season: Any, units: Any, scale: float) -> None:
    drawn = widths(heat_flow(season, axes(), units=units))
    cold = flows(season)["cold"] * scale
    expected = {
        "heaters, in": cold["heater"],
        "sun that stays, in": cold["sun"],
        "glazing and frame, out": -cold["cover"] - cold["bridging"],
        "air leaks, out": -cold["infiltration"],
        "ground, out": -cold["ground"],
    }
    for name, heat in expected.items():
        assert drawn[name] == pytest.approx((heat, heat), rel=1e-9)


def test_as_much_goes_out_as_comes_in_and_the_trunk_is_all_of_it(season: Any) -> None:
    ax = heat_flow(season, axes(), units="si")
    drawn = widths(ax)
    in_, out = (sum(w for name, (w, _) in drawn.items() if name.endswith(side)) for side in (", in", ", out"))
    assert in_ == pytest.approx(out, rel=1e-9)
    (trunk,) = ax.containers[0]
    assert trunk.get_height() == pytest.approx(in_, rel=1e-9)
    assert (trunk.get_x(), trunk.get_x() + trunk.get_width()) == pytest.approx(TRUNK)


def test_cold_months_are_those_with_more_than_a_hundredth_of_the_heat() -> None:
    monthly = pd.DataFrame({"heat_kwh": [0.0, 0.9, 50.0, 49.1]}, index=[9, 10, 11, 12])
    assert cold_months(SimpleNamespace(monthly=monthly, heat_kwh=100.0)) == [11, 12]  # type: ignore[arg-type]


def test_a_house_that_is_never_heated_shows_its_year() -> None:
    monthly = pd.DataFrame({"heat_kwh": 0.0, "sun": [8.0, 9.0], "cover": [-8.0, -9.0]}, index=[7, 8])
    made: Any = SimpleNamespace(monthly=monthly, heat_kwh=0.0, ledger=monthly[["sun", "cover"]].sum())
    ax = heat_flow(made, axes(), units="si")
    assert widths(ax)["sun that stays, in"] == pytest.approx((17.0, 17.0))
    assert "July to August" in ax.get_title(loc="center")
