"""A batch in pieces of time is the run in one, and its ledger is as good with sums only."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss import read_weather, sample_house
from heatloss.balance import Network, run_lanes
from heatloss.balance.assemble import assemble
from heatloss.balance.drivers import prepare
from heatloss.balance.lanes import Lanes
from heatloss.balance.plan import compile_networks
from heatloss.geometry import build

HOURS = 300


@pytest.fixture(scope="module")
def networks() -> list[Network]:
    """Three houses of one kind, leaky to tight."""
    found = []
    for ach in (0.3, 1.0, 3.0):
        house = sample_house().changed(air={"ach": ach})
        geometry = build(house)
        found.append(assemble(house, geometry, prepare(house, geometry, read_weather("chicago"))).network)
    return found


def lanes(networks: list[Network], *, whole: bool) -> Lanes:
    return Lanes(compile_networks(networks, 8760, None), step=3600.0, substeps=4, iterations=2, whole=whole)


def test_pieces_of_time_are_the_run_in_one(networks: list[Network]) -> None:
    batch = lanes(networks, whole=True)
    first, second = batch.advance(0, 100), batch.advance(100, HOURS - 100)
    runs = run_lanes(networks, HOURS, substeps=4, first=0)
    for lane, run in enumerate(runs):
        power = np.concatenate([first.power, second.power])[:, :, lane]
        assert power == pytest.approx(run.lane_power, rel=1e-12, abs=1e-9)
        assert second.temperature[-1, batch.plan.place, lane] == pytest.approx(run.lane_temperature[-1], abs=1e-9)


def test_the_ledger_of_a_batch_is_that_of_its_runs(networks: list[Network]) -> None:
    """Term by term, with every link booked and with sums to the boundaries only."""
    runs = run_lanes(networks, HOURS, substeps=4, first=0)
    for whole in (True, False):
        batch = lanes(networks, whole=whole)
        block = batch.advance(0, HOURS)
        terms = batch.terms(block, 0)
        for lane, run in enumerate(runs):
            assert terms[0, :, lane] == pytest.approx(run.terms["sources"], rel=1e-12, abs=1e-9)
            assert terms[-1, :, lane] == pytest.approx(run.terms["storage"], rel=1e-12, abs=1e-9)
            for i, name in enumerate(networks[0].boundaries):
                assert terms[4 + i, :, lane] == pytest.approx(run.terms[name], rel=1e-12, abs=1e-9)
        assert (batch.closure(block, 0) < 1e-12).all()
        assert block.flow.shape[1] == (len(networks[0]._links) if whole else len(networks[0].boundaries))


def test_a_flow_that_is_wrong_by_a_millionth_fails_the_closure(networks: list[Network]) -> None:
    batch = lanes(networks, whole=False)
    block = batch.advance(0, HOURS)
    block.flow[:, 0] *= 1.0 + 1e-6
    assert (batch.closure(block, 0) > 1e-9).all()
