"""How sure the fuel is, in words and for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from heatloss.errors import InputError
from heatloss.fuel import trade_unit, typed_amount
from heatloss.report.measures import figure, heading, wrapped

if TYPE_CHECKING:
    from heatloss.decisions.spread import Spread
    from heatloss.fuel import Fuel, Purchase

NAMED = 4
"""So many of what moves the fuel most are named."""
FEELS = 0.1
"""Rank correlations under this are no driver worth a word: noise of a hundred draws; calculated, 1 / sqrt(n)."""

_NUMBER, _MAYBE = {"type": "number"}, {"type": ["number", "null"]}
_NUMBERS = {"type": "object", "additionalProperties": _NUMBER}
SPREAD_SCHEMA: dict[str, Any] = {
    "type": "object",
    "properties": {
        "draws": {"type": "integer"}, "failed": {"type": "integer"}, "unit": {"type": "string"},
        "quantiles": {"type": "object", "additionalProperties": _NUMBERS},
        "drivers": _NUMBERS, "sigma": _NUMBERS, "level": _NUMBER, "enough": _NUMBER,
        "enough_low": _NUMBER, "enough_high": _NUMBER,
        "have": _MAYBE, "chance_of_running_out": _MAYBE,
    },
    "required": [
        "draws", "failed", "unit", "quantiles", "drivers", "sigma", "level", "enough", "enough_low", "enough_high",
        "have", "chance_of_running_out",
    ],
    "additionalProperties": False,
}  # fmt: skip


@dataclass(frozen=True)
class Sureness:
    """A spread, and what a person asks of it.

    Attributes
    ----------
    spread : Spread
    level : float [1]
        Share of winters in which the purchase shall last.
    typed : str, optional
        What is in the shed, such as ``"6 short_ton"``.
    """

    spread: Spread
    level: float = 0.95
    typed: str | None = None

    @property
    def fuel(self) -> Fuel:
        """Of the first heater, on the file's own year."""
        return self.spread.season.fuel

    @property
    def likely(self) -> float:
        """The middle of the draws, in the unit of trade."""
        return float(self.spread.quantiles["fuel"].loc[0.50])

    @cached_property
    def purchase(self) -> Purchase:
        """What to buy."""
        return self.spread.purchase(self.level)

    @cached_property
    def have(self) -> float | None:
        """What is in the shed, in the unit of trade."""
        return None if self.typed is None else typed_amount(self.typed, self.fuel, name="what you have")

    @property
    def running_out(self) -> str:
        """What the shed is good for, in words."""
        assert self.have is not None
        chance = self.spread.chance_of_running_out(self.have)
        return f"{_trade(self.have, self.fuel.unit)}: runs out in {_in_hundred(chance, len(self.spread.draws))}"


def level_of(per_cent: float) -> float:
    """Share of winters from a number typed as 95 (in 100)."""
    if not 50.0 <= per_cent <= 99.0:
        raise InputError(f"lasts must be between 50 and 99 [winters in 100], got {per_cent:g}. 95 is common.")
    return per_cent / 100.0


def spread_section(sure: Sureness) -> Iterator[str]:
    """Where the range comes from, how much of it is weather, and what would narrow it."""
    found = sure.spread
    yield from heading("How sure that is")
    low, high = found.sampling_error(sure.level)
    parts = {str(name): 100.0 * float(sigma) for name, sigma in found.parts.items()}
    unit = sure.fuel.unit
    failed = f"; {found.failed} could not be run" if found.failed else ""
    yield from wrapped(
        f"{len(found.draws)} winters and houses were run, drawn within what is known{failed}. Standard deviation "
        f"{parts['all']:.0f} %: winters alone {parts['winter']:.0f} %, all else {parts['rest']:.0f} %."
    )
    yield from wrapped(
        f"By the number of draws, what lasts {100.0 * sure.level:.3g} in 100 is known to lie between "
        f"{_plain(low, unit)} and {_trade(high, unit)}."
    )
    strong = [(str(name), float(r)) for name, r in found.drivers.items() if abs(float(r)) >= FEELS][:NAMED]
    if strong:
        named = ", ".join(f"{_words(name)} ({r:+.2f})" for name, r in strong)
        yield from wrapped(f"What moves it most (rank correlation): {named}.")
    yield from wrapped("Left out: damage, a door left open, another crop, a climate unlike the file's years.")


def spread_data(sure: Sureness) -> dict[str, Any]:
    """The spread of the form of ``SPREAD_SCHEMA``; shares are of 1, amounts in ``unit``."""
    from heatloss.decisions.spread import QUANTILES

    found = sure.spread
    low, high = found.sampling_error(sure.level)
    return {
        "draws": len(found.draws),
        "failed": found.failed,
        "unit": found.unit,
        "quantiles": {
            f"p{100 * q:.0f}": {str(name): float(value) for name, value in row.items()}
            for q, row in zip(QUANTILES, found.quantiles.to_dict("records"), strict=True)
        },
        "drivers": {str(name): float(r) for name, r in found.drivers.items()},
        "sigma": {str(name): float(sigma) for name, sigma in found.parts.items()},
        "level": sure.level,
        "enough": found.enough(sure.level),
        "enough_low": low,
        "enough_high": high,
        "have": sure.have,
        "chance_of_running_out": None if sure.have is None else found.chance_of_running_out(sure.have),
    }


def _words(name: str) -> str:
    from heatloss.decisions.spread import WAYS

    return WAYS[name].words if name in WAYS else "which year it is"


def _in_hundred(chance: float, draws: int) -> str:
    """A chance in words, never surer than the number of draws allows."""
    least = 1.0 / draws
    if chance < least:
        return "fewer than 1 winter in 100" if draws >= 100 else f"none of {draws} winters drawn"
    return f"{100.0 * chance:.0f} winters in 100"


def _plain(amount: float, unit: str) -> str:
    return f"{amount:,.1f}" if trade_unit(unit).step < 1.0 else figure(amount)


def _trade(amount: float, unit: str) -> str:
    return f"{_plain(amount, unit)} {trade_unit(unit).name(amount)}"
