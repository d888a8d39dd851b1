"""How strongly a statement may be worded: a word that follows from numbers.

The word rests on the athlete's own races. A prior that is sure of itself does not make a factor
*supported*: the races alone must show it, by an exact test held over all factors, and point the
same way as the whole estimate. The limits were chosen for their measured error rates; see the table
of `tests/benchmarks/advice.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.evidence.model import STRENGTHS

PUBLISHED, LEANING, SUPPORTED, STRONG = STRENGTHS


@dataclass(frozen=True)
class Signs:
    """What a factor's strength is read from.

    Attributes:
        better: probability that more of the factor is better, after the races.
        moved_bits: how far the races moved the estimate.
        p_holm: exact two-sided p of the races' rank correlation, held over the factors.
        direction: sign of that correlation towards a better outcome.
    """

    better: float
    moved_bits: float
    p_holm: float
    direction: float


def strength(signs: Signs, limits: dict) -> str:
    """One of `STRENGTHS`.

    Args:
        signs: what the races and the estimate say.
        limits: `[strength]` of `limits.toml`.
    """
    sure = max(signs.better, 1 - signs.better)
    agree = np.isfinite(signs.direction) and (signs.better - 0.5) * signs.direction > 0
    if not agree or not np.isfinite(signs.p_holm):
        return PUBLISHED
    if signs.p_holm <= limits["strong_p"] and sure >= limits["strong_sure"]:
        return STRONG
    if signs.p_holm <= limits["supported_p"] and sure >= limits["supported_sure"]:
        return SUPPORTED
    if sure >= limits["leaning_sure"] and signs.moved_bits >= limits["leaning_bits"]:
        return LEANING
    return PUBLISHED
