"""How fast many houses run: rows of the table that ``speed.py`` prints, each a ratio or a time by the clock."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from itertools import pairwise

import in_c
import numpy as np

from heatloss import Season, read_weather, sample_house, simulate
from heatloss.balance import Network
from heatloss.balance.lanes import Lanes
from heatloss.balance.plan import compile_networks
from heatloss.decisions.spread import spread
from heatloss.report import season_report
from heatloss.report.spread_text import Sureness
from heatloss.variants import Family

SPREAD_MUST, MANY_MUST = 8.0, 75.0  # seconds
MEMORY = """
import resource
from heatloss import read_weather, sample_house, simulate
from heatloss.variants import vary
import numpy as np
season = simulate(sample_house(), read_weather("chicago"))
vary(season, {"leakage": np.linspace(0.5, 2.0, 32)}, steps_per_hour=1, iterations=1)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
inputs = {"leakage": np.linspace(0.5, 2.0, COUNT), "u": np.linspace(1.1, 0.9, COUNT)}
vary(season, inputs, steps_per_hour=1, iterations=1)
print(before / 1024, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def wall(work: Callable[[], object]) -> float:
    """Seconds by the clock."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def draws(season: Season, count: int) -> dict[str, np.ndarray]:
    """Variants of a house in five inputs."""
    rng = np.random.default_rng(1)
    return {
        "u": rng.normal(1.0, 0.08, count), "leakage": np.exp(rng.normal(0.0, 0.3, count)),
        "light": rng.normal(1.0, 0.05, count), "setpoint": rng.uniform(-1.0, 1.0, count),
        "outdoor": rng.normal(0.0, 1.0, count),
    }  # fmt: skip


def chain(nodes: int) -> Network:
    """Air, its radiant star, and walls of four cells between films, as many as make the number of nodes."""
    net = Network()
    hours = np.arange(200)
    net.node("air", capacity=5e5, start=10.0)
    net.node("star", start=10.0)
    net.boundary("outdoor", -5.0 + 8.0 * np.sin(hours / 24.0 * 2.0 * np.pi))
    for wall_number in range((nodes - 2) // 6):
        names = [f"wall {wall_number} {i}" for i in range(6)]
        for i, name in enumerate(names):
            net.node(name, capacity=0.0 if i in (0, 5) else 1e5, start=5.0)
        net.link("air", names[0], 40.0, buoyant=20.0)
        net.link("star", names[0], radiant=4e-7)
        for a, b in pairwise(names):
            net.link(a, b, 60.0)
        net.link(names[-1], "outdoor", 150.0, buoyant=10.0, mix="root_square", radiant=5e-7)
    net.link("air", "outdoor", 50.0)
    net.heater("stove", "air", setpoint=10.0)
    net.vent("vents", "air", limit=25.0, to="outdoor", capacity=1000.0)
    return net


def marched(network: Network, lanes: int) -> Callable[[], float]:
    """CPU seconds of 200 hours of a network in so many lanes."""
    plan = compile_networks([network] * lanes, 200, None)

    def once() -> float:
        batch = Lanes(plan, step=3600.0, substeps=4, iterations=2)
        start = time.process_time()
        batch.advance(0, 200)
        return time.process_time() - start

    once()
    return once


def against_c(network: Network, lanes: int, hours: int, repeats: int) -> float:
    """CPU time of a batch without controls over that of the same loops in C; nan without a C compiler."""
    if in_c.compiler() is None:
        return float("nan")
    plan = compile_networks([network.copy(_actuators=[])] * lanes, 8760, None)
    there = in_c.marcher(plan, hours, 4, 2)

    def cpu(work: Callable[[], object]) -> float:
        start = time.process_time()
        work()
        return time.process_time() - start

    def here() -> None:
        Lanes(plan, step=3600.0, substeps=4, iterations=2).advance(0, hours)

    here()
    return float(np.median([cpu(here) / cpu(there) for _ in range(3 * repeats)]))


def memory(count: int) -> tuple[float, float]:
    """Peak memory [MB] after imports and one group, and after so many variants, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", MEMORY.replace("COUNT", str(count))], check=True, capture_output=True, text=True
    )
    before, after = done.stdout.split()
    return float(before), float(after)


def rows(count: int, repeats: int) -> list[tuple[str, str, str]]:
    """What, value, remark; ``count`` variants stand for many."""
    weather = read_weather("chicago")
    season = simulate(sample_house(), weather)
    inputs = draws(season, count)
    levels = {name: [float(x.min()), float(x.max())] for name, x in inputs.items()}
    family = Family(season, levels)
    one = {name: x[:1] for name, x in inputs.items()}
    single, first, both = (
        float(np.median([wall(lambda n=n, x=x: family.run(x, threads=n)) for _ in range(repeats)]))
        for n, x in ((1, one), (1, inputs), (2, inputs))
    )
    small, large = (marched(chain(n), 1) for n in (20, 80))
    shape = float(np.median([large() / small() for _ in range(5 * repeats)]))

    def ranged() -> None:
        found = spread(season.house, weather, n=500 if count > 100 else 16, season=season)
        season_report(season, sure=Sureness(found))

    fine = simulate(sample_house(), weather, steps_per_hour=60)
    before, after = memory(10 * count)
    dry = simulate(sample_house().changed(method={"latent": "none"}), weather)
    in_c_too = against_c(dry.assembly.network, 32, min(20 * count, 4000), repeats)
    return [
        (f"variants: single / one of {count}, one thread", f"{single * count / first:.1f} times", "must 3, aim 5"),
        (f"variants: one thread / two, {count}", f"{first / both:.2f} times", "must 1.7, aim 1.9"),
        ("  per house, two threads", f"{1e3 * both / count:.1f} ms", "all sums, ledger and fuel counted"),
        ("  10,000 houses, from that", f"{10_000 * both / count:.0f} s", f"must {MANY_MUST:.0f}"),
        ("  peak memory above one group", f"{after - before:.0f} MB", f"of {10 * count} houses; imports and one group "
         f"{before:.0f} MB"),
        ("assembling the levels to vary from", f"{1e3 * wall(lambda: Family(season, levels)):.0f} ms", ""),
        ("spread of 500 with its report", f"{wall(ranged):.1f} s", f"must {SPREAD_MUST:.0f}"),
        ("batch of 32 / the same loops in C", f"{in_c_too:.2f} times", "must 2, aim 1.3; no controls, no vapor"),
        ("80 nodes / 20 nodes", f"{shape:.1f} times", "must 5, aim 4"),
        ("heat, 15 min against 1 min", f"{100 * (season.heat_kwh / fine.heat_kwh - 1):+.2f} %", "must 0.6, aim 0.2"),
        ("highest hour, 15 min against 1 min", f"{100 * (season.peak_w / fine.peak_w - 1):+.2f} %", "must 1, aim 0.5"),
    ]  # fmt: skip
