"""What must hold for any network: scale, order, resistance, and no heat out of nothing."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatloss.balance import Network

STEPS = 24
CASES = settings(max_examples=40)


def between(low, high):
    return st.floats(low, high, allow_subnormal=False)


@st.composite
def houses(draw, *, films=True, coldest=-30.0, warmest=8.0, sun=True):
    """A description: air, a star, facets of two sheets, a column of soil, a tank; the numbers are drawn."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    facets = draw(st.integers(1, 4))
    cells = draw(st.integers(1, 5))
    film = draw(st.booleans()) and films
    return {
        "outdoor": rng.uniform(coldest, warmest, STEPS),
        "ground": draw(between(max(coldest, -5.0), warmest)),
        "setpoint": draw(between(9.0, 22.0)),
        "capacity": draw(st.one_of(st.just(np.inf), between(500.0, 20000.0))),
        "air": draw(st.one_of(st.just(0.0), between(1e4, 1e6))),
        "facets": [
            {
                "inside": draw(between(20.0, 300.0)),
                "sheet": draw(between(20.0, 300.0)),
                "outside": draw(between(50.0, 900.0)),
                "buoyant": draw(between(1.0, 60.0)) if film else 0.0,
                "radiant": draw(between(1e-8, 1e-6)) if film else 0.0,
                "mass": draw(st.one_of(st.just(0.0), between(1e3, 1e5))),
                "sun": rng.uniform(0, 400, STEPS) if sun else np.zeros(STEPS),
            }
            for _ in range(facets)
        ],
        "soil": [draw(between(100.0, 900.0)) for _ in range(cells)],
        "soil mass": draw(between(1e5, 3e6)),
        "floor sun": rng.uniform(0, 4000, STEPS) if sun else np.zeros(STEPS),
        "tank": draw(between(1e5, 2e7)),
        "iterations": draw(st.integers(1, 3)),
        "substeps": draw(st.integers(1, 3)),
    }


def calls(house, scale=1.0):
    """The network of a house as calls, every extensive number times `scale`."""
    start = 10.0
    out = [
        ("boundary", ("outdoor", house["outdoor"]), {}),
        ("boundary", ("ground", house["ground"]), {}),
        ("node", ("air",), {"capacity": scale * house["air"], "start": start}),
        ("node", ("star",), {"start": start}),
        ("node", ("tank",), {"capacity": scale * house["tank"], "start": start}),
        ("link", ("air", "tank"), {"conductance": scale * 30.0}),
        ("link", ("star", "tank"), {"conductance": scale * 25.0}),
        ("link", ("air", "outdoor"), {"conductance": scale * 60.0}),
    ]
    for i, f in enumerate(house["facets"]):
        inner, outer = f"inner {i}", f"outer {i}"
        out += [
            ("node", (inner,), {"start": start}),
            ("node", (outer,), {"capacity": scale * f["mass"], "start": start}),
            ("link", ("air", inner), {"conductance": scale * f["inside"], "buoyant": scale * f["buoyant"]}),
            ("link", ("star", inner), {"conductance": scale * f["inside"], "radiant": scale * f["radiant"]}),
            ("link", (inner, outer), {"conductance": scale * f["sheet"]}),
            ("link", (outer, "outdoor"), {"conductance": scale * f["outside"], "radiant": scale * f["radiant"]}),
            ("source", (inner, scale * f["sun"]), {}),
        ]
    soil = ["floor", *[f"soil {i}" for i in range(len(house["soil"]))]]
    out += [("node", (n,), {"capacity": scale * house["soil mass"] * (n != "floor"), "start": start}) for n in soil]
    pairs = zip(itertools.pairwise(soil), house["soil"], strict=True)
    out += [("link", pair, {"conductance": scale * g}) for pair, g in pairs]
    out += [
        ("link", ("air", "floor"), {"conductance": scale * 200.0}),
        ("link", ("star", "floor"), {"conductance": scale * 300.0}),
        ("link", (soil[-1], "ground"), {"conductance": scale * 40.0}),
        ("source", ("floor", scale * house["floor sun"]), {}),
        ("heater", ("stove", "air"), {"setpoint": house["setpoint"], "capacity": scale * house["capacity"]}),
        ("vent", ("fan", "air"), {"limit": house["setpoint"] + 6.0}),
    ]
    return out


def run_of(parts, house):
    net = Network()
    for method, arguments, keywords in parts:
        getattr(net, method)(*arguments, **keywords)
    return net.run(STEPS, substeps=house["substeps"], iterations=house["iterations"])


@CASES
@given(houses(), between(0.01, 200.0))
def test_every_extensive_number_times_k_gives_k_times_the_heat(house, k):
    one, many = run_of(calls(house), house), run_of(calls(house, k), house)
    np.testing.assert_allclose(many.temperature, one.temperature, atol=1e-9)
    size = max(1.0, np.abs(one.power.to_numpy()).max())
    np.testing.assert_allclose(many.power.to_numpy() / k, one.power.to_numpy(), atol=1e-9 * size)


@CASES
@given(houses())
def test_doubling_everything_doubles_heat(house):
    """By two the numbers keep their bits, so the heat is twice the same to rounding of nothing."""
    one, two = run_of(calls(house), house), run_of(calls(house, 2.0), house)
    np.testing.assert_allclose(two.power, 2 * one.power.to_numpy(), rtol=1e-12, atol=1e-9)


@CASES
@given(houses(), st.randoms(use_true_random=False))
def test_the_order_of_nodes_and_links_changes_nothing(house, random):
    parts = calls(house)
    names = [p for p in parts if p[0] in ("node", "boundary")]
    rest = [p for p in parts if p[0] not in ("node", "boundary")]
    random.shuffle(names)
    random.shuffle(rest)
    turned = [(m, a[::-1], k) if m == "link" and random.random() < 0.5 else (m, a, k) for m, a, k in rest]
    a, b = run_of(parts, house), run_of([*names, *turned], house)
    np.testing.assert_allclose(b.temperature[a.temperature.columns], a.temperature, atol=1e-9)
    size = max(1.0, np.abs(a.power.to_numpy()).max())
    np.testing.assert_allclose(b.power[a.power.columns], a.power, atol=1e-9 * size)
    assert b.ledger[a.ledger.index].to_numpy() == pytest.approx(a.ledger.to_numpy(), rel=1e-9, abs=1e-9 * size * 86400)


@CASES
@given(houses(films=False, sun=False), between(0.01, 0.99), st.data())
def test_more_resistance_never_raises_heat(house, share, data):
    """Linear, no sun, boundaries below the setpoint, massless facets: less conductance to the cold, no more heat.

    Held from the first step at the setpoint with enough heat, and started there, so that nothing is owed by storage.
    """
    house = {**house, "capacity": np.inf, "setpoint": 10.0}
    house["facets"] = [{**f, "mass": 0.0} for f in house["facets"]]
    i = data.draw(st.integers(0, len(house["facets"]) - 1))
    which = data.draw(st.sampled_from(["inside", "sheet", "outside"]))
    facets = [dict(f) for f in house["facets"]]
    facets[i][which] *= share
    before, after = run_of(calls(house), house), run_of(calls({**house, "facets": facets}), house)
    assert after.power["stove"].sum() <= before.power["stove"].sum() * (1 + 1e-9) + 1e-6


@CASES
@given(houses(coldest=2.0, warmest=8.0, sun=False), between(-20.0, 1.9))
def test_a_setpoint_below_every_boundary_takes_no_heat(house, setpoint):
    house = {**house, "setpoint": setpoint}
    run = run_of([p for p in calls(house) if p[0] != "vent"], house)
    assert (run.power["stove"] == 0.0).all()
    assert (run.unmet["stove"] == 0.0).all()
    assert run.temperature.to_numpy().min() >= 2.0 - 1e-9  # and nothing falls below the coldest it can see


@CASES
@given(houses())
def test_the_ledger_closes(house):
    run = run_of(calls(house), house)
    assert run.closure <= 1e-9
    assert abs(run.ledger.sum()) <= 1e-9 * run.ledger[run.ledger > 0].sum()
    held = run.unmet["stove"].to_numpy() == 0
    air = run.temperature["air"].to_numpy()[1:]
    assert (air[held] >= house["setpoint"] - 1e-9).all()
    assert (air <= house["setpoint"] + 6.0 + 1e-9).all()
    assert np.isfinite(run.temperature.to_numpy()).all()


@CASES
@given(houses(), between(0.1, 0.9))
def test_splitting_a_facet_changes_nothing(house, share):
    first = house["facets"][0]
    extensive = ("inside", "sheet", "outside", "buoyant", "radiant", "mass", "sun")
    halves = [{**first, **{k: s * first[k] for k in extensive}} for s in (share, 1 - share)]
    a = run_of(calls(house), house)
    b = run_of(calls({**house, "facets": [*halves, *house["facets"][1:]]}), house)
    size = max(1.0, np.abs(a.power.to_numpy()).max())
    np.testing.assert_allclose(b.power, a.power, atol=1e-9 * size)
