"""Whether a ledger closes: what its terms leave over, beside what they carry."""

from __future__ import annotations

import numpy as np

from heatloss.balance.values import Floats


def worst_residual(terms: Floats, last_bits: Floats) -> Floats:
    """Worst |residual| over the sum of all positive terms, of every step and the whole; 0 where nothing flows.

    Parameters
    ----------
    terms : (..., terms, steps) [W]
        Step means, gains positive.
    last_bits : (...) [W]
        What the arithmetic of one step cannot resolve: it is no residual and taken off.

    Returns
    -------
    (...) [1]
    """
    table = np.concatenate([terms, terms.sum(axis=-1, keepdims=True)], axis=-1)
    positive = np.where(table > 0.0, table, 0.0).sum(axis=-2)
    bits = np.repeat(np.asarray(last_bits)[..., None], positive.shape[-1], axis=-1)
    bits[..., -1] *= np.sqrt(terms.shape[-1])
    residual = np.maximum(np.abs(table.sum(axis=-2)) - bits, 0.0)
    worst: Floats = np.divide(residual, positive, out=np.zeros_like(residual), where=positive > 0.0).max(axis=-1)
    return worst


def last_bits(stiffness: Floats, hottest: Floats) -> Floats:
    """Last bits of each capacity's heat and of each boundary link's two temperatures [W].

    Parameters
    ----------
    stiffness : numeric [W/K]
        Capacities over the step and conductances to boundaries together, at most.
    hottest : numeric [K]
        Largest temperature, whatever its sign.
    """
    bits: Floats = 8 * np.finfo(float).eps * stiffness * hottest
    return bits
