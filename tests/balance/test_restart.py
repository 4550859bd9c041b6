"""A network from many starts: the discrete law of cooling to its last digits, states handed over, inputs in a ring."""

from __future__ import annotations

import math

import numpy as np
import pytest

from heatloss import InputError, Network
from heatloss.balance.restart import courses, crossing

# Time to freeze of one lump of 600 W/K from 10 degC; capacities of air and light stuff, with 5 cm of soil, with 4 m3 of
# water [MJ/K]; hours of the exact form, calculated (8.9 is printed for 8.85): 16 min, 3.5 h, 8.9 h at -10 degC,
# 9 min, 2.0 h, 5.2 h at -20.
UA, WARM = 600.0, 10.0
LUMPS = [(-10.0, 0.826, 16 / 60, 0.5 / 60), (-10.0, 10.83, 3.5, 0.05), (-10.0, 27.57, 8.9, 0.06),
         (-20.0, 0.826, 9 / 60, 0.5 / 60), (-20.0, 10.83, 2.0, 0.05), (-20.0, 27.57, 5.2, 0.05)]  # fmt: skip


def lump(outdoor: float | np.ndarray, capacity: float = 0.826e6) -> Network:
    net = Network()
    net.node("air", capacity=capacity, start=WARM)
    net.boundary("outdoor", outdoor)
    net.link("air", "outdoor", UA)
    return net


def freezing(outdoor: float, capacity: float, step: float) -> float:
    """Hours to 0 degC on the bare network by steps of so many seconds."""
    steps = int(20.0 * 3600.0 / step)
    run = lump(outdoor, capacity).run(steps, step=step)
    return float(crossing(np.arange(steps + 1) * step / 3600.0, run.temperature["air"].to_numpy()[None], 0.0)[0])


def discrete(outdoor: float, capacity: float, step: float) -> float:
    """The same from n = ln((T0 - To) / (0 - To)) / ln(1 + dt / tau) steps, crossed on a straight line (calculated)."""
    ratio = 1.0 + step * UA / capacity
    n = math.floor(math.log((WARM - outdoor) / -outdoor) / math.log(ratio))
    before, after = (outdoor + (WARM - outdoor) / ratio**k for k in (n, n + 1))
    return (n + before / (before - after)) * step / 3600.0


@pytest.mark.parametrize(("outdoor", "mj", "printed", "half_digit"), LUMPS)
def test_time_to_freeze_of_a_bare_network(outdoor: float, mj: float, printed: float, half_digit: float) -> None:
    tau = mj * 1e6 / UA
    exact = tau * math.log((WARM - outdoor) / -outdoor) / 3600.0
    assert exact == pytest.approx(printed, abs=half_digit)
    errors = []
    for step in (60.0, 30.0):
        found = freezing(outdoor, mj * 1e6, step)
        assert found == pytest.approx(discrete(outdoor, mj * 1e6, step), rel=1e-6)
        errors.append(found / exact - 1.0)
    assert 0.0 < errors[0] < 0.025
    assert errors[1] == pytest.approx(errors[0] / 2.0, rel=0.15)  # the scheme is of first order


def test_courses_are_that_network() -> None:
    state = np.array([[WARM], [4.0]])
    found = courses(lump(-10.0), starts=[0, 0], temperature=state, humidity=np.zeros((2, 0)), hours=6)
    assert found.hours[:3] == pytest.approx([0.0, 1 / 60, 2 / 60])
    assert found.hours[-1] == 6.0
    first = crossing(found.hours, found.of("air"), 0.0)
    assert first[0] == pytest.approx(freezing(-10.0, 0.826e6, 60.0), rel=1e-12)
    assert first[1] < first[0]
    by_hand = lump(-10.0).started({"air": 4.0}).run(120, step=60.0).temperature["air"]
    assert found.of("air")[1, :121] == pytest.approx(by_hand.to_numpy(), rel=1e-12)


def test_each_start_meets_its_own_hours_and_the_year_is_a_ring() -> None:
    outdoor = np.array([-10.0, -20.0, -30.0])
    found = courses(lump(outdoor, 10.83e6), starts=[0, 2], temperature=np.full((2, 1), WARM),
                    humidity=np.zeros((2, 0)), hours=3)  # fmt: skip
    for start, course in zip((0, 2), found.of("air"), strict=True):
        held = np.repeat(np.roll(outdoor, -start), 60)
        minutes = lump(held, 10.83e6).run(180, step=60.0).temperature["air"].to_numpy()
        assert course[:121] == pytest.approx(minutes[:121], rel=1e-12)
        assert course[-1] == pytest.approx(minutes[-1], abs=0.2)  # quarters of an hour after the first two


def test_crossing() -> None:
    hours, fall = np.array([0.0, 1.0, 3.0]), np.array([[2.0, 1.0, -1.0], [0.0, -1.0, -2.0], [5.0, 4.0, 3.0]])
    assert crossing(hours, fall, 0.0).tolist() == [2.0, 0.0, np.inf]
    assert crossing(hours, fall, np.array([1.5, -1.5, 3.5])).tolist() == [0.5, 2.0, 2.0]


def test_too_short() -> None:
    with pytest.raises(InputError, match=r"^hours must be 2 or more \[h\], got 1"):
        courses(lump(-10.0), starts=[0], temperature=np.array([[1.0]]), humidity=np.zeros((1, 0)), hours=1)


def test_ice_of_one_start_does_not_chill_the_next() -> None:
    """A tank that freezes after the first start is warm water again at the second, as if that were run alone."""
    net = Network()
    net.node("tank", capacity=4.0e6, start=2.0)
    net.boundary("outdoor", np.full(60, -30.0))
    net.link("tank", "outdoor", 100.0)
    net.freezes("tank", 3.0e8)
    temperature, humidity = np.array([[0.5], [20.0]]), np.zeros((2, 0))
    both = courses(net, starts=[0, 1], temperature=temperature, humidity=humidity, hours=24)
    alone = courses(net, starts=[1], temperature=temperature[1:], humidity=humidity[1:], hours=24)
    assert both.temperature[1] == pytest.approx(alone.temperature[0], abs=1e-12)
    assert both.temperature[1].min() > -1e-9
