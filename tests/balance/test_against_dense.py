"""The compiled engine against an independent dense solution (`dense_oracle`) on random networks, to 1e-9."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from dense_oracle import Oracle

from heatloss.balance import Network, run_lanes

STEPS = 5


def varying(rng, low, high):
    """A constant or one value per step, by chance."""
    return rng.uniform(low, high, STEPS) if rng.random() < 0.5 else float(rng.uniform(low, high))


def link_options(rng):
    """Conductance and the laws beside it; always some plain conductance, so that no node hangs on still air alone."""
    options = {"conductance": varying(rng, 2.0, 400.0)}
    if rng.random() < 0.4:
        pair = (float(rng.uniform(5, 200)), float(rng.uniform(5, 200)))
        options["buoyant"] = pair if rng.random() < 0.5 else varying(rng, 5.0, 200.0)
        options["mix"] = str(rng.choice(["larger", "root_square"]))
    if rng.random() < 0.3:
        options["radiant"] = varying(rng, 1e-8, 5e-6)
    return options


def random_calls(seed):
    """A list of calls that builds one network: (method, arguments, keywords)."""
    rng = np.random.default_rng(seed)
    calls = []
    boundaries = [f"outside {i}" for i in range(rng.integers(1, 4))]
    for name in boundaries:
        calls.append(("boundary", (name, varying(rng, -25.0, 15.0)), {}))
    nodes = [f"node {i}" for i in range(rng.integers(1, 13))]
    for name in nodes:
        capacity = 0.0 if rng.random() < 0.3 else float(10 ** rng.uniform(4.0, 7.0))
        calls.append(("node", (name,), {"capacity": capacity, "start": float(rng.uniform(-5, 25))}))
    chained = rng.random() < 0.6
    for i, name in enumerate(nodes):
        known = [*boundaries, *nodes[:i]]
        other = nodes[i - 1] if chained and i and rng.random() < 0.7 else str(rng.choice(known))
        pair = (name, other) if rng.random() < 0.5 else (other, name)
        calls.append(("link", pair, link_options(rng)))
    for _ in range(rng.integers(0, len(nodes) + 2)):
        a, b = rng.choice([*nodes, boundaries[0]], 2, replace=False) if len(nodes) > 1 else (nodes[0], boundaries[0])
        calls.append(("link", (str(a), str(b)), link_options(rng)))
    for _ in range(rng.integers(0, 4)):
        calls.append(("source", (str(rng.choice(nodes)), varying(rng, -500.0, 3000.0)), {}))
    calls += random_controls(rng, nodes, boundaries)
    options = {
        "step": float(rng.choice([900.0, 3600.0])),
        "substeps": int(rng.integers(1, 4)),
        "iterations": int(rng.integers(1, 4)),
    }
    return calls, options


def random_controls(rng, nodes, boundaries):
    """Heaters and vents, each feeding the node it senses; at most four."""
    calls = []
    places = [str(n) for n in rng.permutation(nodes)[: rng.integers(0, 3)]]
    for i, node in enumerate(places):
        setpoint = varying(rng, 5.0, 20.0)
        kind = rng.random()
        if kind < 0.75:
            capacity = np.inf if rng.random() < 0.4 else varying(rng, 100.0, 20000.0)
            into = node
            if len(places) == 1 and len(nodes) > 1 and rng.random() < 0.5:
                other = str(rng.choice([n for n in nodes if n != node]))
                share = float(rng.uniform(0.55, 0.9))
                into = {node: share, other: 1 - share}
            calls.append(("heater", (f"heater {i}", into), {"setpoint": setpoint, "capacity": capacity}))
            if np.any(np.isfinite(capacity)) and rng.random() < 0.5:
                lower = setpoint if rng.random() < 0.5 else np.subtract(setpoint, 1.5)
                calls.append(("heater", (f"backup {i}", node), {"setpoint": lower, "capacity": 5000.0}))
        if kind > 0.4:
            limit = np.add(setpoint, rng.uniform(0.5, 6.0))
            options = {"limit": limit, "capacity": np.inf if rng.random() < 0.4 else varying(rng, 50.0, 5000.0)}
            if rng.random() < 0.4:
                options.update(to=str(rng.choice(boundaries)), capacity=varying(rng, 5.0, 500.0))
            calls.append(("vent", (f"vent {i}", node), options))
    return calls


def built(cls, calls):
    net = cls()
    for method, arguments, keywords in calls:
        getattr(net, method)(*arguments, **keywords)
    return net


def assert_same(calls, options, steps=STEPS):
    oracle_net = built(Oracle, calls)
    want = oracle_net.run(steps, **options)
    run = built(Network, calls).run(steps, **options)
    scale = max(1.0, np.abs(want.temperature).max())
    np.testing.assert_allclose(run.temperature[list(oracle_net.nodes)], want.temperature, rtol=0, atol=1e-9 * scale)
    names = [c[1] for c in oracle_net.controls]
    size = max(1.0, np.abs(want.power).max(initial=0.0), np.abs(want.flows).max(initial=0.0))
    np.testing.assert_allclose(run.power[names], want.power, rtol=0, atol=1e-9 * size)
    heaters = [c[1] for c in oracle_net.controls if c[0] == "heater"]
    np.testing.assert_allclose(run.unmet[heaters], want.unmet, rtol=0, atol=1e-9 * scale)
    assert_same_flows(run, want, oracle_net, 1e-9 * size)
    assert run.closure <= 1e-9
    seconds = steps * options.get("step", 3600.0)
    assert run.ledger["storage"] == pytest.approx(want.storage, rel=1e-9, abs=1e-9 * size * seconds)
    return run, want


def assert_same_flows(run, want, net, tolerance):
    """Parallel links are summed; the other direction is the negative."""
    sums = {}
    for k, (a, b, *_) in enumerate(net.links):
        for pair, sign in (((a, b), 1.0), ((b, a), -1.0)):
            sums[pair] = sums.get(pair, 0.0) + sign * want.flows[:, k]
    for (a, b), flow in sums.items():
        np.testing.assert_allclose(np.asarray(run.flow(a, b)), flow, rtol=0, atol=tolerance, err_msg=f"{a} to {b}")


@pytest.mark.parametrize("seed", range(200))
def test_random_networks(seed):
    calls, options = random_calls(seed)
    assert_same(calls, options)


def test_the_random_networks_reach_every_mode():
    """A comparison that never caps, vents or holds would prove little: count what the 200 networks do."""
    seen = {"hold": 0, "cap": 0, "vent": 0, "vent to": 0, "off": 0, "backup": 0, "unmet": 0}
    for seed in range(200):
        calls, options = random_calls(seed)
        net = built(Oracle, calls)
        run = net.run(STEPS, **options)
        for k, (kind, name, _, _, _, capacity, to) in enumerate(net.controls):
            power, cap = run.power[:, k], np.broadcast_to(capacity, STEPS)
            seen["off"] += int((power == 0).sum())
            if kind == "heater":
                seen["cap"] += int((power > cap * (1 - 1e-12)).sum())
                seen["hold"] += int(((power > 0) & (power < cap * (1 - 1e-9))).sum())
                seen["backup"] += int((power > 0).sum()) if name.startswith("backup") else 0
            else:
                seen["vent" if to is None else "vent to"] += int((power < 0).sum())
        seen["unmet"] += int((run.unmet > 1e-6).sum())
    assert min(seen.values()) >= 15, seen


def house_calls(rng, facets=6, soil=6):
    """A house-like network: air, star, tank, two-sheet facets, a layered wall, floor and soil, every link law used."""
    calls = [
        ("boundary", ("outdoor", rng.uniform(-20, 5, STEPS)), {}),
        ("boundary", ("sky", rng.uniform(-35, -5, STEPS)), {}),
        ("boundary", ("ground", 8.0), {}),
        ("node", ("air",), {"capacity": 6e5, "start": 10.0}),
        ("node", ("star",), {"start": 9.0}),
        ("node", ("tank",), {"capacity": 2e7, "start": 12.3}),
        ("link", ("air", "tank"), {"conductance": 40.0, "buoyant": 13.0}),
        ("link", ("star", "tank"), {"radiant": 3e-7}),
        ("link", ("air", "outdoor"), {"conductance": rng.uniform(50, 120, STEPS)}),
    ]
    for i in range(facets):
        inner, outer = f"inner {i}", f"outer {i}"
        wind = rng.uniform(80, 300, STEPS)
        calls += [
            ("node", (inner,), {"start": 3.0 + 0.1 * i}),
            ("node", (outer,), {"start": -5.0 + 0.1 * i, "capacity": 2e4 * (i % 2)}),
            ("link", ("air", inner), {"conductance": 80.0, "buoyant": (50.0 + i, 60.0 + i), "mix": "larger"}),
            ("link", ("star", inner), {"radiant": 1.1e-6}),
            ("link", (inner, outer), {"conductance": 100.0 + 5 * i}),
            ("link", (outer, "outdoor"), {"conductance": wind, "buoyant": 20.0, "mix": "root_square"}),
            ("link", (outer, "sky"), {"radiant": 6e-7}),
            ("source", (inner, rng.uniform(0, 300, STEPS)), {}),
        ]
    wall = ["wall 0", "wall 1", "wall 2", "wall 3"]
    calls += [("node", (name,), {"capacity": 3e5, "start": 6.0 - i}) for i, name in enumerate(wall)]
    calls += [("link", ("air", wall[0]), {"conductance": 30.0}), ("link", ("star", wall[0]), {"radiant": 5e-7})]
    calls += [("link", pair, {"conductance": 12.0}) for pair in pairwise(wall)]
    calls += [("link", (wall[-1], "outdoor"), {"conductance": 150.0})]
    ground = ["floor", *[f"soil {i}" for i in range(soil)]]
    calls += [("node", (n,), {"capacity": 3e6 * (i > 0), "start": 11.0 - 0.3 * i}) for i, n in enumerate(ground)]
    calls += [
        ("link", ("air", "floor"), {"buoyant": (110.0, 60.0)}),
        ("link", ("star", "floor"), {"radiant": 4e-6}),
        ("source", ("floor", rng.uniform(0, 9000, STEPS)), {}),
    ]
    calls += [("link", pair, {"conductance": 900.0}) for pair in pairwise(ground)]
    calls += [("link", (ground[-1], "ground"), {"conductance": 60.0})]
    return calls


HOUSE_CONTROLS = {
    "one heater": [("heater", ("stove", {"air": 0.7, "star": 0.3}), {"setpoint": 10.0})],
    "main and backup": [
        ("heater", ("stove", "air"), {"setpoint": 10.0, "capacity": 4000.0}),
        ("heater", ("gas", "air"), {"setpoint": 10.0, "capacity": 3000.0}),
        ("vent", ("fan", "air"), {"limit": 14.0, "to": "outdoor", "capacity": 300.0}),
    ],
    "air and tank": [
        ("heater", ("stove", "air"), {"setpoint": 10.0, "capacity": 9000.0}),
        ("heater", ("coil", "tank"), {"setpoint": 12.5, "capacity": 2500.0}),
        ("vent", ("fan", "air"), {"limit": 16.0}),
    ],
    "setpoints and limits apart": [
        ("heater", ("low", "air"), {"setpoint": 8.0, "capacity": 3000.0}),
        ("heater", ("high", "air"), {"setpoint": np.array([10.0, 7.0, 10.0, 7.0, 10.0]), "capacity": 3000.0}),
        ("vent", ("roof", "air"), {"limit": 13.0, "capacity": 700.0}),
        ("vent", ("fan", "air"), {"limit": 11.5, "to": "outdoor", "capacity": 40.0}),
    ],
    "sensed elsewhere": [("heater", ("pipe", "soil 0"), {"setpoint": 11.0, "sensor": "air", "capacity": 60000.0})],
}


@pytest.mark.parametrize("controls", HOUSE_CONTROLS)
@pytest.mark.parametrize("iterations", [1, 2, 4])
def test_house_like_network(controls, iterations):
    calls = house_calls(np.random.default_rng(11)) + HOUSE_CONTROLS[controls]
    assert_same(calls, {"step": 3600.0, "substeps": 4, "iterations": iterations})


def test_thirty_two_lanes_are_thirty_two_single_runs_to_the_last_bit():
    """One topology, every number its own: a batch is nothing but the single runs side by side."""
    networks = []
    for lane in range(32):
        rng = np.random.default_rng(lane)
        scale = rng.uniform(0.5, 2.0)
        net = Network()
        for method, arguments, keywords in house_calls(np.random.default_rng(5)) + HOUSE_CONTROLS["air and tank"]:
            if method == "link":
                keywords = {k: np.multiply(v, scale) if k == "conductance" else v for k, v in keywords.items()}
            if method == "node" and "capacity" in keywords:
                keywords = {**keywords, "capacity": keywords["capacity"] * scale, "start": rng.uniform(5, 15)}
            getattr(net, method)(*arguments, **keywords)
        networks.append(net)
    batch = run_lanes(networks, STEPS, substeps=4)
    for net, lane in zip(networks, batch, strict=True):
        alone = net.run(STEPS, substeps=4)
        assert (lane.temperature.to_numpy() == alone.temperature.to_numpy()).all()
        assert (lane.power.to_numpy() == alone.power.to_numpy()).all()
        assert (lane.ledger == alone.ledger).all()
        assert lane.closure == alone.closure <= 1e-9
    assert len({float(lane.temperature["soil 3"].iloc[-1]) for lane in batch}) == 32  # the lanes did differ


@pytest.mark.parametrize(
    "shape",
    ["ring", "star", "complete", "ladder", "two chains between two hubs", "comb"],
)
def test_odd_graphs_are_slower_never_wrong(shape):
    n = 12
    names = [f"n{i}" for i in range(n)]
    ring = [(names[i], names[(i + 1) % n]) for i in range(n)]
    pairs = {
        "ring": ring,
        "star": [(names[0], other) for other in names[1:]],
        "complete": [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]],
        "ladder": [*ring, *[(names[i], names[-i - 1]) for i in range(1, n // 2 - 1)]],
        "two chains between two hubs": [*ring, (names[0], names[6])],
        "comb": [*ring[: n // 2 - 1], *[(names[i], names[i + n // 2]) for i in range(n // 2)]],
    }[shape]
    rng = np.random.default_rng(len(shape))
    calls = [("node", (x,), {"capacity": 1e5 * (i % 3), "start": float(i)}) for i, x in enumerate(names)]
    calls += [("boundary", ("outdoor", rng.normal(0, 5, STEPS)), {})]
    calls += [("link", pair, link_options(rng)) for pair in pairs]
    calls += [("link", (names[3], "outdoor"), {"conductance": 50.0}), ("source", (names[1], 400.0), {})]
    calls += [("heater", ("stove", names[2]), {"setpoint": 12.0, "capacity": 900.0})]
    assert_same(calls, {"step": 1800.0, "substeps": 2, "iterations": 2})
