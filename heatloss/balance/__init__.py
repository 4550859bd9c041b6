"""The balance engine: a bare network of heat and its compiled stepping, and the house assembled into one."""

from heatloss.balance.network import Driven, Network, Run, run_lanes

__all__ = ["Driven", "Network", "Run", "run_lanes"]
