"""How the engine is compiled, and the types of its arrays."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Rows = NDArray[np.uint32]  # row numbers: unsigned, so that no index is tested for a negative sign
NONE = 0xFFFFFFFF
"""The row number that stands for no row."""
compiled = njit(cache=True, nogil=True, error_model="numpy")  # no test of each divisor, which would stop vectorising
inlined = njit(cache=True, nogil=True, error_model="numpy", inline="always")  # a call costs more than these passes do
