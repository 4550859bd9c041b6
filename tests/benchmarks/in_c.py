"""The march of a plan by ``march.c``: built with the system's C compiler where there is one, called through ctypes."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

from heatloss.balance.plan import Plan

SOURCE = Path(__file__).with_name("march.c")
FLAGS = ["-O3", "-march=native", "-ffp-contract=off", "-shared", "-fPIC"]  # contraction would round other than Python's
_WHOLE = ("n", "boundaries", "lanes", "links", "linear", "fixed", "fixed_entries", "entries", "sources", "varying",
          "p_boundary", "p_source", "columns", "groups", "steps", "substeps", "passes")  # fmt: skip
_ARRAYS = ("link_a", "link_b", "link_entry", "link_group", "near_node", "near_entry", "pair_entry", "source_node",
           "vary", "link_shape", "near_start", "pair_start", "column", "link_sign", "offset", "factor", "capacity",
           "table", "temperature", "flow")  # fmt: skip


class _Plan(ctypes.Structure):
    _fields_ = [(n, ctypes.c_int64) for n in _WHOLE] + [(n, ctypes.c_void_p) for n in _ARRAYS]


def compiler() -> str | None:
    """The C compiler, if any."""
    return shutil.which("cc") or shutil.which("gcc") or shutil.which("clang")


def built() -> ctypes.CDLL:
    """The compiled march."""
    cc = compiler()
    assert cc is not None
    library = Path(tempfile.mkdtemp()) / "march.so"
    subprocess.run([cc, *FLAGS, str(SOURCE), "-o", str(library), "-lm"], check=True, capture_output=True)
    return ctypes.CDLL(str(library))


def marcher(plan: Plan, steps: int, substeps: int, passes: int) -> Callable[[], np.ndarray]:
    """A call that marches a plan without controls and vapor, and gives (steps + 1, nodes, lanes) temperatures."""
    top, values = plan.topology, plan.values
    assert len(top.actuator_kind) == 0
    lanes, library = plan.start.shape[1], built()
    table = plan.table(0, steps)
    temperature = np.empty((steps + 1, top.nodes, lanes))
    flow = np.zeros((steps, plan.groups, lanes))
    arrays = {
        **{n: getattr(top, n) for n in ("link_a", "link_b", "link_entry", "link_group", "near_node", "near_entry",
                                        "pair_entry", "source_node", "link_shape", "near_start", "pair_start",
                                        "link_sign")},
        "vary": top.varying, "column": values.column, "offset": values.offset, "factor": values.factor,
        "capacity": values.capacity, "table": table, "temperature": temperature, "flow": flow,
    }  # fmt: skip
    whole = {
        "n": top.nodes, "boundaries": top.boundaries, "lanes": lanes, "links": len(top.link_a), "linear": top.linear,
        "fixed": top.fixed, "fixed_entries": top.fixed_entries, "entries": top.entries,
        "sources": len(top.source_node), "varying": len(top.varying), "p_boundary": top.p_boundary,
        "p_source": top.p_source, "columns": table.shape[1], "groups": plan.groups, "steps": steps,
        "substeps": substeps, "passes": passes,
    }  # fmt: skip
    arrays = {n: np.ascontiguousarray(a) for n, a in arrays.items()}
    record = _Plan(**whole, **{n: a.ctypes.data for n, a in arrays.items()})

    def march() -> np.ndarray:
        arrays["temperature"][0] = plan.start
        arrays["flow"][:] = 0.0
        library.march(ctypes.byref(record), ctypes.c_double(3600.0))
        return arrays["temperature"]

    return march
