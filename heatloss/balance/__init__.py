"""The balance engine: a bare network of heat and its compiled stepping, and the house assembled into one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from heatloss.balance.network import Driven, Network, Run, run_lanes

if TYPE_CHECKING:
    from heatloss.balance.conductance import conductances

__all__ = ["Driven", "Network", "Run", "conductances", "run_lanes"]


def __getattr__(name: str) -> Any:
    if name == "conductances":  # the greenhouse side of the engine loads when asked for
        from heatloss.balance.conductance import conductances

        return conductances
    raise AttributeError(f"module 'heatloss.balance' has no attribute {name!r}")
