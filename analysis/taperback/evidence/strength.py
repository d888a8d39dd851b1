"""How strongly a statement may be worded: a word that follows from numbers.

The word rests on the athlete's own races. A prior that is sure of itself does not make a factor
*supported*: the races alone must show it, by an exact test held over all factors, and point the
same way as the whole estimate. The limits were chosen for their measured error rates; see the table
of `tests/benchmarks/advice.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.limits import Strength
from taperback.evidence.model import STRENGTHS

PUBLISHED_ONLY, LEANING, SUPPORTED, STRONG = STRENGTHS


@dataclass(frozen=True)
class Signs:
    """What a factor's strength is read from.

    Attributes:
        better_before, better: probability that more of the factor is better, before and after the
            races; for a curve, that its highest of the places tried is better than its lowest.
        moved_bits: how far the races moved the belief in that.
        p_holm: exact two-sided p of the races' rank correlation, held over the factors.
        direction: sign of that correlation towards a better outcome.
        n: races that they are read from.
        with_time: whether factor and outcome both went one way from race to race.
    """

    better_before: float
    better: float
    moved_bits: float
    p_holm: float
    direction: float
    n: int
    with_time: bool = False

    @property
    def agree(self) -> bool:
        """Whether the races point the way that the whole estimate does."""
        return bool((self.better - 0.5) * self.direction > 0)


def strength(signs: Signs, limits: Strength) -> str:
    """One of `STRENGTHS`.

    What went along with time earns no word: fitness, age or a new coach would look the same.

    Args:
        signs: what the races and the estimate say.
        limits: `[strength]` of `limits.toml`.
    """
    if not signs.agree or not np.isfinite(signs.p_holm) or signs.with_time:
        return PUBLISHED_ONLY
    sure = max(signs.better, 1 - signs.better)
    if signs.p_holm <= limits.strong_p and sure >= limits.strong_sure:
        return STRONG
    if signs.p_holm <= limits.supported_p and sure >= limits.supported_sure:
        return SUPPORTED
    surer = (signs.better - signs.better_before) * signs.direction > 0
    shown = signs.p_holm <= leaning_p(signs.n, limits)
    noticed = signs.moved_bits >= limits.leaning_bits
    leans = surer and shown and noticed and sure >= limits.leaning_sure
    return LEANING if leans else PUBLISHED_ONLY


def leaning_p(n: int, limits: Strength) -> float:
    """The largest p of so many races that is called leaning: chance does more with more races."""
    steps = zip(limits.leaning_from, limits.leaning_p, strict=True)
    return max((first, p) for first, p in steps if first <= max(n, limits.leaning_from[0]))[1]


def points_against(signs: Signs, limits: Strength) -> bool:
    """Whether the races lean the other way than the whole estimate, which others' races carry."""
    known = np.isfinite(signs.direction) and signs.direction != 0
    return bool(known and not signs.agree and signs.p_holm <= leaning_p(signs.n, limits))
