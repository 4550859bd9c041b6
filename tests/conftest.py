"""Settings shared by the whole suite."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

# The suite is imported by path (importmode=importlib), so helpers that several folders share are put on the path here.
sys.path.insert(0, str(Path(__file__).parent / "balance"))

# The first call of a compiled function takes seconds, later ones microseconds: a deadline would judge the compiler.
settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", parent=settings.get_profile("default"), derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")
