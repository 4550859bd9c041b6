"""What the ledger of a batch holds beside the flows that the march books: sources, and what the capacities give up."""

from __future__ import annotations

from heatloss.balance.compiling import Floats, Ints, compiled


@compiled
def given_and_stored(
    first: int, last: int, offset: Floats, factor: Floats, column: Ints, table: Floats, capacity: Floats,
    temperature: Floats, step: float, given: Floats, stored: Floats,
) -> None:  # fmt: skip
    """Sums over sources (parameters first <= p < last) and over capacities, step by step and lane by lane [W].

    ``given`` and ``stored`` (steps, lanes) are added to; ``temperature`` is that of a block.
    """
    steps, lanes = given.shape
    for t in range(steps):
        for p in range(first, last):
            for lane in range(lanes):
                given[t, lane] += offset[p, lane] + factor[p, lane] * table[t, column[p, lane]]
        for node in range(len(capacity)):
            for lane in range(lanes):
                change = temperature[t + 1, node, lane] - temperature[t, node, lane]
                stored[t, lane] -= capacity[node, lane] * change / step
