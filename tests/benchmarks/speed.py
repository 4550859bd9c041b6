"""How fast a season runs, as ratios and times of one run: medians of repeats that take turns.

    python tests/benchmarks/speed.py             the table
    python tests/benchmarks/speed.py --quick     one repeat on small sizes, to see that it runs

Work inside this process is measured in its CPU time, commands in a new process by the clock. What the parts of the
table share is measured alternately, so that a busy machine lends its weight to both sides of a ratio.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from typing import NamedTuple
from unittest.mock import patch

import many
import numpy as np
from careful_numpy import CarefulNumpy

from heatloss import read_weather, sample_house, simulate
from heatloss.balance import Network
from heatloss.balance.assemble import Assembly, assemble
from heatloss.balance.drivers import Drivers, prepare
from heatloss.balance.lanes import Block, Lanes
from heatloss.balance.plan import compile_networks
from heatloss.geometry import build

SUBSTEPS, PASSES, LANES = 4, 2, 32
YEARS = 2.0 * (1.0 + 504.0 / 8760.0)  # that a call runs: warm-up and year, and again over ground that knows the inside
IMPORTS = "import numpy, pandas, pvlib, numba"


class Sizes(NamedTuple):
    """How much is measured."""

    repeats: int
    hours: int
    numpy_hours: int
    variants: int


class Row(NamedTuple):
    """One line of the table."""

    what: str
    value: str
    beside: str = ""


class Loop:
    """The march alone, everything it needs made before."""

    def __init__(self, network: Network, hours: int, lanes: int, substeps: int = SUBSTEPS) -> None:
        self.plan = compile_networks([network] * lanes, 8760, None)
        self.nodes, self.hours, self.lanes, self.substeps = self.plan.topology.nodes, hours, lanes, substeps
        self.block: Block | None = None

    def __call__(self) -> float:
        """March once; gives the CPU seconds of that alone."""
        batch = Lanes(self.plan, step=3600.0, substeps=self.substeps, iterations=PASSES)
        start = time.process_time()
        self.block = batch.advance(0, self.hours)
        return time.process_time() - start

    def declared(self) -> np.ndarray:
        """Temperatures of lane 0, nodes in the order declared."""
        assert self.block is not None
        return self.block.temperature[:, self.plan.place, 0]


def cpu(work: Callable[[], object]) -> float:
    """Seconds of this process."""
    start = time.process_time()
    work()
    return time.process_time() - start


def clock(*words: str) -> float:
    """Seconds by the clock of a command in a new process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    return time.perf_counter() - start


def within(statement: str) -> float:
    """Seconds by the clock of a statement in a new process, without the interpreter's own start."""
    code = f"import time; t = time.perf_counter(); {statement}; print(time.perf_counter() - t)"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    return float(done.stdout)


def medians(measures: dict[str, Callable[[], float]], repeats: int) -> dict[str, float]:
    """Median seconds of each measure; they take turns."""
    found: dict[str, list[float]] = {name: [] for name in measures}
    for _ in range(repeats):
        for name, measure in measures.items():
            found[name].append(measure())
    return {name: statistics.median(times) for name, times in found.items()}


def agreement(loop: Loop, reference: CarefulNumpy, hours: int) -> float:
    """Largest difference of any temperature between engine and careful numpy [K]."""
    loop()
    other = reference.march(hours, substeps=SUBSTEPS, iterations=PASSES)
    return float(np.abs(loop.declared()[: hours + 1] - other).max())


def rows(sizes: Sizes) -> list[Row]:
    """Measure everything."""
    house, weather = sample_house(), read_weather("chicago")
    geometry = build(house)
    drivers = prepare(house, geometry, weather)
    network = assemble(house, geometry, drivers).network
    dry = house.changed(method={"latent": "none"})  # careful numpy knows no vapor
    plain = assemble(dry, geometry, drivers).network
    one, coarse = Loop(network, sizes.hours, 1), Loop(network, sizes.hours, 1, substeps=1)
    batch, reference = Loop(network, sizes.hours, LANES), CarefulNumpy.of(plain, sizes.numpy_hours)
    bare = Loop(plain, sizes.hours, 1)
    difference = agreement(bare, reference, sizes.numpy_hours)

    def prepared() -> None:
        with patch("heatloss.season.prepare", lambda *_: drivers):
            simulate(dry, weather)

    def assembled() -> Assembly:
        return assemble(house, geometry, drivers)

    def site() -> Drivers:
        return prepare(house, geometry, weather)

    took = medians(
        {
            "loop": one,
            "dry": bare,
            "loop 1 h": coarse,
            "batch": batch,
            "numpy": lambda: cpu(lambda: reference.march(sizes.numpy_hours, substeps=SUBSTEPS, iterations=PASSES)),
            "simulate": lambda: cpu(prepared),
            "assemble": lambda: cpu(assembled),
            "prepare": lambda: cpu(site),
            "command": lambda: clock("-m", "heatloss", "season", "--sample"),
            "bare imports": lambda: clock("-c", IMPORTS),
            "import heatloss": lambda: within("import heatloss"),
            "import numpy": lambda: within("import numpy"),
        },
        sizes.repeats,
    )
    year = 8760 / sizes.hours
    steps = sizes.hours * SUBSTEPS * one.nodes
    lane = took["batch"] / LANES
    dense, season = took["numpy"] * 8760 / sizes.numpy_hours, took["simulate"]
    heat = {n: simulate(house, weather, steps_per_hour=n).heat_kwh for n in (1, SUBSTEPS, 16)}
    off = {n: f"{100 * (heat[n] / heat[16] - 1):+.2f} %" for n in (1, SUBSTEPS)}
    return [
        Row("one year's loop, 15 min", ms(took["loop"] * year), f"{one.nodes} nodes; at most 60 ms"),
        Row("  per node and sub-step", f"{1e9 * took['loop'] / steps:.1f} ns"),
        Row("  1 h steps", ms(took["loop 1 h"] * year), f"{ratio(took['loop'], took['loop 1 h'])} faster"),
        Row(f"  {LANES} side by side, per house", ms(lane * year), f"{ratio(took['loop'], lane)} faster"),
        Row("  per node and sub-step", f"{1e9 * lane / steps:.1f} ns"),
        Row("the loop without moisture", ms(took["dry"] * year)),
        Row("careful numpy, the same year", ms(dense), f"{ratio(dense, took['dry'] * year)} slower, without moisture"),
        Row("  largest difference", f"{difference:.1e} K", f"over {sizes.numpy_hours} hours"),
        Row("seasonal heat, 1 h steps", off[1], "against 16 sub-steps an hour"),
        Row("seasonal heat, 15 min steps", off[SUBSTEPS], "against 16 sub-steps an hour"),
        Row("simulate, site prepared, no moisture", ms(season), f"{ratio(season, took['dry'] * year)} the loop"),
        Row("careful numpy for the same work / simulate", ratio(dense * YEARS, season), "must 28, aim 55"),
        Row("assemble", ms(took["assemble"])),
        Row("prepare the site", ms(took["prepare"])),
        Row("heatloss season --sample", ms(took["command"]), "less than 3000 ms"),
        Row(f"  {IMPORTS}", ms(took["bare imports"]), f"command {ratio(took['command'], took['bare imports'])} this"),
        Row("import heatloss", ms(took["import heatloss"]),
            f"{took['import heatloss'] / took['import numpy']:.2f} of import numpy; at most 1.5"),
        Row("import numpy", ms(took["import numpy"])),
        *(Row(*row) for row in many.rows(sizes.variants, min(sizes.repeats, 3))),
    ]  # fmt: skip


def ms(seconds: float) -> str:
    """Milliseconds."""
    return f"{1e3 * seconds:.1f} ms" if seconds < 0.1 else f"{1e3 * seconds:.0f} ms"


def ratio(long: float, short: float) -> str:
    """How many times."""
    return f"{long / short:.1f} times"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How fast a season runs.")
    parser.add_argument("--quick", action="store_true", help="one repeat on small sizes")
    parser.add_argument("--repeats", type=int, default=9)
    parser.add_argument("--variants", type=int, default=1024, help="how many stand for many")
    asked = parser.parse_args()
    sizes = Sizes(1, 200, 10, 40) if asked.quick else Sizes(asked.repeats, 8760, 200, asked.variants)
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}; median of {sizes.repeats}")
    for row in rows(sizes):
        print(f"{row.what:<40}{row.value:>12}  {row.beside}".rstrip())


if __name__ == "__main__":
    main()
