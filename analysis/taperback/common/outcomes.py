"""What race weeks are related to: how the race went, or how hard it felt."""

from __future__ import annotations

from dataclasses import dataclass, replace

from taperback.common.quantities import QUANTITIES
from taperback.common.quantity import Quantity


@dataclass(frozen=True)
class Outcome:
    """One outcome of a race, as evidence and sentences need it.

    Attributes:
        asked: what a person asks for, a key of `OUTCOMES`.
        name: the measure that answers, a key of `QUANTITIES`.
        more_is_good: whether a larger value is better.
        published: whether published studies say what to expect, so that a rule can be made.
        ends: what the best and the worst race are called.
        more: what races with more of it are called.
    """

    asked: str
    name: str
    more_is_good: bool
    published: bool
    ends: tuple[str, str]
    more: str

    @property
    def quantity(self) -> Quantity:
        """How a value of it is printed."""
        return QUANTITIES[self.name]

    @property
    def difference(self) -> Quantity:
        """How a difference in it is printed: as a value, always with a sign."""
        return replace(self.quantity, signed=True)


RESULT = Outcome(
    asked="result",
    name="result_pct",
    more_is_good=True,
    published=True,
    ends=("best", "worst"),
    more="better results",
)
RPE = Outcome(
    asked="rpe",
    name="race_rpe",
    more_is_good=False,
    published=False,
    ends=("easiest", "hardest"),
    more="races that felt harder",
)
OUTCOMES = {outcome.asked: outcome for outcome in (RESULT, RPE)}
"""The outcomes by what a person asks for."""
