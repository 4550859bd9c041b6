"""Many cases through any executor: the same rows, and nothing done is lost."""

from __future__ import annotations

import os
import signal
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context

import pandas as pd
import pytest

from heatloss import House, InputError, read_weather, sample_house, simulate
from heatloss.batch import COLUMNS
from heatloss.decisions.sweep import STOPPED, sweep

QUICK = {"steps_per_hour": 1, "iterations": 1}


def leaky(ach: float) -> House:
    return sample_house().changed(air={"ach": ach})


@pytest.fixture(scope="module")
def cases() -> dict:
    chicago = read_weather("chicago")
    bad = sample_house().changed(bed=[{"name": "b", "area": "500 m2", "depth": "0.3 m", "soil": "clay"}])
    many = {f"ach {0.2 + 0.1 * i:.1f}": (leaky(0.2 + 0.1 * i), chicago) for i in range(4)}
    return {
        **many, "golden": (leaky(0.4), "golden"), "broken": (bad, chicago), "nowhere": (leaky(0.4), "nowhere.epw"),
        "bare": (sample_house().changed(floor={"kind": "bare soil", "soil": "clay"}), chicago),
    }  # fmt: skip


@pytest.fixture(scope="module")
def frame(cases: dict) -> pd.DataFrame:
    return sweep(cases, **QUICK)


def test_every_case_is_its_own_season(cases: dict, frame: pd.DataFrame) -> None:
    assert list(frame.index) == list(cases)
    assert tuple(frame.columns) == COLUMNS
    for name in ("ach 0.3", "golden", "bare"):
        house, weather = cases[name]
        record = read_weather(weather) if isinstance(weather, str) else weather
        season = simulate(house, record, **QUICK)
        assert frame.loc[name, "heat_kwh"] == pytest.approx(season.heat_kwh, rel=1e-9)
        assert frame.loc[name, "fuel"] == pytest.approx(season.fuel.amount, rel=1e-9)
        assert frame.loc[name, "error"] == ""


def test_a_case_that_cannot_be_run_is_a_row_with_its_error(frame: pd.DataFrame) -> None:
    assert "bed areas must sum" in frame.loc["broken", "error"]
    assert "weather must be a file" in frame.loc["nowhere", "error"]
    assert frame.loc[["broken", "nowhere"], "heat_kwh"].isna().all()
    assert (frame["error"] == "").sum() == len(frame) - 2


def test_pieces_threads_and_processes_change_no_bit(cases: dict, frame: pd.DataFrame) -> None:
    listed = [(name, *case) for name, case in cases.items()]
    pd.testing.assert_frame_equal(frame, sweep(iter(listed), piece=3, **QUICK), check_exact=True)
    with ThreadPoolExecutor(2) as pool:
        pd.testing.assert_frame_equal(frame, sweep(cases, map=pool.map, piece=2, **QUICK), check_exact=True)
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        pd.testing.assert_frame_equal(frame, sweep(cases, map=pool.map, piece=4, **QUICK), check_exact=True)


def test_progress_and_what_is_done_when_stopped(cases: dict, frame: pd.DataFrame) -> None:
    said: list[tuple[int, int]] = []

    def stop(done: int, of: int) -> None:
        said.append((done, of))
        if done == 4:
            raise KeyboardInterrupt

    some = sweep(cases, piece=2, progress=stop, **QUICK)
    assert said == [(2, 8), (4, 8)]
    pd.testing.assert_frame_equal(some.iloc[:4], frame.iloc[:4], check_exact=True)
    assert (some["error"].iloc[4:] == STOPPED).all()
    assert list(some.index) == list(frame.index)


def test_a_piece_that_the_executor_loses_leaves_the_others(cases: dict, frame: pd.DataFrame) -> None:
    calls = 0

    def flaky(work, pieces):
        nonlocal calls
        for part in pieces:
            calls += 1
            if calls == 2:
                raise BrokenProcessPool("a process was ended")
            yield work(part)

    some = sweep(cases, map=flaky, piece=2, **QUICK)
    assert some["error"].iloc[2].startswith("the executor must live until the case is done, got BrokenProcessPool")
    done = [0, 1, 4, 5, 6, 7]
    pd.testing.assert_frame_equal(some.iloc[done], frame.iloc[done], check_exact=True)


def end_oneself(work, part):
    """Stands for a case that takes its process with it."""
    if any(name == "ach 0.4" for name, *_ in part):
        os.kill(os.getpid(), signal.SIGKILL)
    return work(part)


def test_a_pool_whose_process_dies_keeps_what_is_done(cases: dict, frame: pd.DataFrame) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        deadly = sweep(
            cases, map=lambda work, pieces: pool.map(end_oneself, [work] * len(pieces), pieces), piece=2, **QUICK
        )
    pd.testing.assert_frame_equal(deadly.iloc[:2], frame.iloc[:2], check_exact=True)
    assert deadly["error"].iloc[2:].str.contains("BrokenProcessPool").all()


@pytest.mark.filterwarnings("default")  # of dask's own making, when a worker is ended under it
def test_a_dask_cluster_of_two_processes_one_of_them_ended_midway(cases: dict) -> None:
    distributed = pytest.importorskip("distributed")
    many = {f"{name} {i}": case for i in range(3) for name, case in cases.items()}
    alone = sweep(many, piece=2, **QUICK)
    said: list[int] = []
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        workers = client.run(os.getpid)
        assert len(workers) == 2

        def end_one(done: int, of: int) -> None:
            if not said:
                os.kill(next(iter(workers.values())), signal.SIGKILL)
            said.append(done)

        spread_out = sweep(many, map=client.get_executor().map, piece=2, progress=end_one, **QUICK)
        assert client.run(os.getpid) != workers, "the ended process was started anew by its nanny"
    assert said[-1] == len(many)
    pd.testing.assert_frame_equal(alone, spread_out, check_exact=True)


def test_no_case_no_row() -> None:
    assert sweep([]).empty


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ([("a", leaky(0.3))], "cases must be"),
        ([("a", "house", "chicago")], "cases must be"),
        ([("a", leaky(0.3), 7)], r"weather must be a record or a name, got 7 \(case 'a'\)"),
        ([("a", leaky(0.3), "chicago"), ("a", leaky(0.4), "chicago")], "names must be used once, got 'a' again"),
    ],
)
def test_bad_cases_are_said(given: list, message: str) -> None:
    with pytest.raises(InputError, match=message):
        sweep(given)


def test_a_piece_is_a_whole_number() -> None:
    with pytest.raises(InputError, match="piece must be a whole number > 0, got 0"):
        sweep([], piece=0)
