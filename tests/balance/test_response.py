"""What a network's numbers do when an input moves is learned from a few networks."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss import InputError
from heatloss.balance import Network
from heatloss.balance.lanes import Lanes
from heatloss.balance.response import Response

HOURS = 48
OUTDOOR = -5.0 + 6.0 * np.sin(np.arange(HOURS) / 24.0 * 2.0 * np.pi)
SUN = np.maximum(np.sin(np.arange(HOURS) / 24.0 * 2.0 * np.pi), 0.0)


def house(conductance: float = 1.0, outdoor: float = 0.0, lamp: float = 0.0) -> Network:
    """Air in a box: a factor on its losses, a shift of the outdoors, a lamp at night beside the sun."""
    net = Network()
    net.node("air", capacity=2e5, start=10.0 + outdoor)
    net.node("wall", capacity=3e5 * conductance, start=5.0)
    net.boundary("outdoor", OUTDOOR + outdoor)
    net.link("air", "wall", 80.0)
    net.link("wall", "outdoor", 100.0 * conductance / (1.0 + 0.3 * conductance), radiant=2e-7)
    net.source("air", 900.0 * SUN + lamp * (1.0 - SUN) ** 2)
    net.heater("stove", "air", setpoint=12.0)
    return net


LEVELS = {
    "conductance": {x: house(conductance=x) for x in (0.5, 0.75, 1.25, 1.5)},
    "outdoor": {x: house(outdoor=x) for x in (-3.0, 3.0)},
    "lamp": {x: house(lamp=x) for x in (100.0, 400.0)},
}
NEUTRAL = {"conductance": 1.0, "outdoor": 0.0, "lamp": 0.0}


def heat(response: Response, **inputs: list[float]) -> np.ndarray:
    plan = response.lanes({name: np.array(x) for name, x in inputs.items()})
    block = Lanes(plan, step=3600.0, substeps=2, iterations=2).advance(0, HOURS)
    return block.power[:, 0].sum(axis=0)


def direct(**inputs: float) -> float:
    return float(house(**inputs).run(HOURS, substeps=2).power["stove"].sum())


@pytest.fixture(scope="module")
def response() -> Response:
    return Response.learn(house(), LEVELS, NEUTRAL, HOURS)


def test_factor_shift_and_course_are_exact_at_what_was_learned_and_where_they_are_straight(response: Response) -> None:
    found = heat(response, conductance=[1.0, 0.5, 1.0, 1.0, 1.0], outdoor=[0.0, 0.0, 2.0, 0.0, -3.0],
                 lamp=[0.0, 0.0, 0.0, 250.0, 400.0])  # fmt: skip
    expected = [direct(), direct(conductance=0.5), direct(outdoor=2.0), direct(lamp=250.0),
                direct(outdoor=-3.0, lamp=400.0)]  # fmt: skip
    assert found == pytest.approx(expected, rel=1e-12)
    assert max(response.error.values()) < 1e-12


def test_a_curve_lies_near(response: Response) -> None:
    """The smooth curve through five levels is within 1e-3 of conductance / (1 + 0.3 conductance)."""
    assert heat(response, conductance=[0.9, 1.37]) == pytest.approx(
        [direct(conductance=0.9), direct(conductance=1.37)], rel=1e-3
    )


def test_a_changed_tie_is_refused() -> None:
    other = house()
    other.node("more")
    other.link("more", "air", 1.0)
    with pytest.raises(InputError, match="equal topology"):
        Response.learn(house(), {"lamp": {1.0: other}}, {"lamp": 0.0}, HOURS)
