"""The range of the fuel: zero widths give the single run, one straight input its own quantiles, seeds repeat."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from heatloss import InputError, Season, UnknownNameError, Weather, catalogue, read_weather, sample_house, simulate
from heatloss.decisions.spread import WAYS, Spread, spread

QUICK = {"steps_per_hour": 1, "iterations": 1}
NONE = dict.fromkeys(WAYS, 0.0)


@pytest.fixture(scope="module")
def weather() -> Weather:
    return read_weather("chicago")


@pytest.fixture(scope="module")
def season(weather: Weather) -> Season:
    return simulate(sample_house(), weather)


@pytest.fixture(scope="module")
def some(season: Season) -> Spread:
    return spread(season.house, season.weather, n=64, season=season, **QUICK)


def only(season: Season, name: str, width: float, **more) -> Spread:
    return spread(season.house, season.weather, season=season, widths={**NONE, name: width}, **{"n": 64, **more})


@pytest.mark.parametrize("steps", [{}, QUICK])
def test_zero_widths_are_the_single_run(season: Season, steps: dict) -> None:
    found = spread(season.house, season.weather, n=8, season=season, widths=NONE, **steps)
    for column, value in {
        "fuel": season.fuel.amount, "cost": sum(f.cost for f in season.fuels), "peak_w": season.peak_w,
    }.items():  # fmt: skip
        assert found.quantiles[column].to_numpy() == pytest.approx(value, rel=1e-12)
    assert (found.quantiles["unmet_hours"] == season.unmet["hours"]).all()
    assert (found.parts == 0.0).all()
    assert found.drivers.empty


def test_one_straight_input_has_the_quantiles_of_its_distribution(season: Season) -> None:
    """Price alone: cost is a straight line in a normal draw, its quantiles those of scipy's normal distribution."""
    found = only(season, "price", 0.15, n=1024, **QUICK)
    cost = sum(f.cost for f in season.fuels)
    expected = cost * (1.0 + 0.15 * norm.ppf(found.quantiles.index.to_numpy()))
    assert found.quantiles["cost"].to_numpy() == pytest.approx(expected, rel=2e-3)  # of 1024 even draws
    assert found.quantiles["fuel"].to_numpy() == pytest.approx(season.fuel.amount, rel=1e-12)


def test_efficiency_divides_the_fuel(season: Season) -> None:
    found = only(season, "efficiency", 0.05, n=16, **QUICK)
    own = season.fuel.efficiency
    expected = season.fuel.amount * own / (own + found.draws["efficiency"])
    assert found.draws["fuel"].to_numpy() == pytest.approx(expected.to_numpy(), rel=1e-12)


def test_wet_wood_burns_more(season: Season, weather: Weather) -> None:
    """A cord at 25 % holds the dry matter of one at 20 % and 0.0833 kg more water for each kg of it: at 19.9 MJ gross
    and 6 % hydrogen, net heat falls by 1.1 % (calculated)."""
    house = season.house.changed(heater=[{"name": "stove", "type": "wood stove", "fuel": "cordwood red oak"}])
    found = spread(house, weather, n=16, widths={**NONE, "moisture": 0.05}, **QUICK).draws
    wetter = found["moisture"] > 0.0
    assert (found["fuel"][wetter] > found["fuel"][~wetter].max()).all()
    wood = catalogue.row("fuels", "cordwood red oak")
    dry, more = wood["hhv"] / (1.0 - wood["moisture"]), found["moisture"].to_numpy()

    def net(moisture: np.ndarray | float) -> np.ndarray | float:
        return dry - 2.443e6 * (moisture / (1.0 - moisture) + 9.0 * 0.06)

    assert found["fuel"].to_numpy() == pytest.approx(
        simulate(house, weather).fuel.amount * net(wood["moisture"]) / net(wood["moisture"] + more), rel=1e-9
    )


def test_range_and_drivers_are_those_of_an_estimate_without_calibration(some: Spread) -> None:
    """Expected of uncalibrated estimates: a standard deviation of 20 to 25 % (from memory); a good part is weather."""
    assert 0.15 < some.parts["all"] < 0.30
    assert some.parts["winter"] ** 2 + some.parts["rest"] ** 2 == pytest.approx(some.parts["all"] ** 2, rel=1e-9)
    assert some.drivers.index[0] in ("outdoor", "u")
    assert some.drivers["outdoor"] < 0.0 < some.drivers["u"]
    assert list(some.drivers.abs()) == sorted(some.drivers.abs(), reverse=True)
    assert some.failed == 0
    assert (some.draws["error"] == "").all()


def test_coarser_steps_move_the_quantiles_little(season: Season, some: Spread) -> None:
    fine = spread(season.house, season.weather, n=64, season=season)
    assert some.quantiles["fuel"].to_numpy() == pytest.approx(fine.quantiles["fuel"].to_numpy(), rel=2e-3)
    assert some.quantiles["peak_w"].to_numpy() == pytest.approx(fine.quantiles["peak_w"].to_numpy(), rel=1e-2)


def test_enough_and_running_out_are_two_sides_of_one_draw(some: Spread) -> None:
    enough = some.enough(0.9)
    assert some.chance_of_running_out(enough) == pytest.approx(0.1, abs=1.0 / 64)
    assert some.chance_of_running_out(0.0) == 1.0
    low, high = some.sampling_error(0.9)
    assert low < enough < high
    bought = some.purchase(0.95)
    assert bought.amount >= some.enough(0.95)
    assert bought.amount - some.enough(0.95) < 0.021  # one bag of 40 lb is 0.02 short tons
    assert (bought.low, bought.high) == (some.quantiles["fuel"].loc[0.10], some.quantiles["fuel"].loc[0.90])


def test_the_sampling_error_is_the_binomial_interval(some: Spread) -> None:
    """Ranks 64 x 0.5 -+ 1.96 x 4 around the median: the 24th and the 40th of 64 (calculated)."""
    ordered = np.sort(some.draws["fuel"].to_numpy())
    assert some.sampling_error(0.5) == (ordered[24 - 1], ordered[40 - 1])


def test_a_seed_repeats_to_the_last_bit_however_it_is_run(season: Season) -> None:
    house, weather = season.house, season.weather
    runs = [spread(house, weather, n=80, seed=7, threads=n, season=season, **QUICK) for n in (1, 2)]
    with ThreadPoolExecutor(2) as pool:
        runs.append(spread(house, weather, n=80, seed=7, map=pool.map, season=season, **QUICK))
    for run in runs[1:]:
        pd.testing.assert_frame_equal(runs[0].draws, run.draws, check_exact=True)
    other = spread(house, weather, n=80, seed=8, season=season, **QUICK)
    assert not np.array_equal(other.draws["fuel"], runs[0].draws["fuel"])


def test_processes_give_the_same_bits(season: Season) -> None:
    here = spread(season.house, season.weather, n=72, season=season, **QUICK)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        there = spread(season.house, season.weather, n=72, season=season, map=pool.map, **QUICK)
    pd.testing.assert_frame_equal(here.draws, there.draws, check_exact=True)


def test_an_executor_that_dies_is_said(season: Season) -> None:
    def dead(*_: object) -> object:
        raise BrokenProcessPool("a process was ended")

    with pytest.raises(InputError, match="the executor must live until the last draw, got BrokenProcessPool"):
        spread(season.house, season.weather, n=16, season=season, map=dead, **QUICK)


def test_whole_years_take_the_place_of_the_shift(season: Season, weather: Weather) -> None:
    mild = read_weather("golden")
    found = spread(season.house, [weather, mild], n=32, season=season, **QUICK)
    assert (found.draws["outdoor"] == 0.0).all()
    assert found.draws["winter"].value_counts().to_dict() == {0: 16, 1: 16}
    assert found.parts["winter"] > 0.05
    assert "winter" in found.drivers
    other = simulate(season.house, mild)
    still = spread(season.house, [weather, mild], n=8, season=season, widths=NONE)
    assert sorted(set(still.draws["fuel"].round(9))) == pytest.approx(
        sorted({round(season.fuel.amount, 9), round(other.fuel.amount, 9)}), rel=1e-9
    )


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"n": 4}, "n must be a whole number >= 8, got 4"),
        ({"seed": -1}, "seed must be a whole number >= 0, got -1"),
        ({"widths": {"u": -0.1}}, "width of u must be a number >= 0, got -0.1"),
        ({"widths": {"u": (0.9, 1.1)}}, "width of u must be a number >= 0"),
        ({"widths": {"latent": 0.1}}, r"width of latent must be 0 or a pair \(low, high\)"),
        ({"widths": {"latent": (0.4, 0.1)}}, "0 <= low <= high"),
        ({"weather": []}, "weather must be a record or several, got none"),
    ],
)
def test_bad_input_is_said(season: Season, changes: dict, message: str) -> None:
    with pytest.raises(InputError, match=message):
        spread(season.house, **{"weather": season.weather, **changes})


def test_unknown_inputs_and_houses_without_heater(season: Season, some: Spread) -> None:
    with pytest.raises(UnknownNameError, match="leakage"):
        spread(season.house, season.weather, widths={"leekage": 0.1})
    with pytest.raises(InputError, match="heater must be given"):
        spread(season.house.changed(heater=[], water=[]), season.weather)
    with pytest.raises(InputError, match="level must be between 0 and 1"):
        some.enough(95)
    with pytest.raises(InputError, match="amount must be >= 0"):
        some.chance_of_running_out(-1.0)


@pytest.mark.parametrize("name", WAYS)
def test_every_width_is_a_row_with_a_source(name: str) -> None:
    value = catalogue.row("defaults", f"spread_{name}").fields["value"]
    assert value.low <= value.value <= value.high
    assert value.source
