"""`import heatloss` is light: nothing heavy is loaded before it is needed."""

from __future__ import annotations

import json
import subprocess
import sys

import heatloss

HEAVY = {"pandas", "pvlib", "matplotlib", "pydantic", "numba", "pint", "scipy", "typer", "rich", "jinja2"}


def modules_after(statement):
    """Top-level modules loaded in a fresh interpreter after one statement."""
    code = f"import json, sys; {statement}; print(json.dumps(sorted({{m.split('.')[0] for m in sys.modules}})))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_importing_loads_nothing_heavy():
    loaded = modules_after("import heatloss")
    assert "heatloss" in loaded
    assert not loaded & HEAVY, sorted(loaded & HEAVY)


def test_a_network_is_declared_without_frames_or_compiler():
    loaded = modules_after("import heatloss; net = heatloss.Network(); net.node('air')")
    assert not loaded & {"pvlib", "matplotlib", "pydantic", "pint", "numba"}


def test_every_public_name_is_there():
    for name in heatloss.__all__:
        assert getattr(heatloss, name) is not None, name
    assert set(heatloss.__all__) <= set(dir(heatloss))
