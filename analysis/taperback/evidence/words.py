"""The word for each factor's strength, and the signs that it is read from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.evidence.additive import (
    KNOTS,
    Posterior,
    Prior,
    bits_moved,
    posterior,
)
from taperback.evidence.effects import curve_at, effect_of
from taperback.evidence.exact import SAME_DECIMALS, holm, spearman
from taperback.evidence.model import Ranked
from taperback.evidence.points import Points
from taperback.evidence.strength import Signs, points_against, strength


@dataclass(frozen=True)
class Beliefs:
    """Beliefs before and after the races, and which way is good: 1 or -1."""

    before: Posterior
    after: Posterior
    good: float


def beliefs_of(prior: Prior, points: Points, good: float) -> Beliefs:
    """Beliefs without and with these races; `good` is 1 where a larger outcome is better, or -1."""
    x, y = points.exposures, points.values
    return Beliefs(posterior(prior, x[:0], y[:0]), posterior(prior, x, y, points.order), good)


@dataclass(frozen=True)
class Word:
    """A factor's strength and what it follows from.

    Attributes:
        strength: one of `STRENGTHS`. signs: what that was read from.
        direction: sign of the rank correlation with a larger outcome, whichever way is good.
        points_against: whether the races lean the other way than the whole estimate.
    """

    strength: str
    signs: Signs
    direction: float
    points_against: bool


def words_of(prior: Prior, beliefs: Beliefs, points: Points) -> tuple[Word, ...]:
    """Every factor's word: rank tests of the doses, held over all, beside what is believed."""
    x, y = points.exposures, points.values
    dose = _dose(prior, x)
    tests = [_rank_test(column, y) for column in dose.T]
    p_holm = holm([p for _, p in tests])
    words = []
    for place, column in enumerate(dose.T):
        known = np.isfinite(column)
        when = np.where(known, points.order, np.nan)
        went = (_rank_test(when, values)[1] for values in (column, y))
        words.append(
            _word(
                beliefs,
                _contrast(place, x, dose),
                (tests[place][0], float(p_holm[place])),
                int(known.sum()),
                all(p <= LIMITS.strength.with_time_p for p in went),
            )
        )
    return tuple(words)


def _word(
    beliefs: Beliefs, of: np.ndarray, test: tuple[float, float], n: int, with_time: bool
) -> Word:
    """One factor's word.

    `of` is what is asked of the beliefs, `test` direction and adjusted p; `with_time`: factor and
    outcome both went one way from race to race, more than by chance.
    """
    direction, p_holm = test
    signs = Signs(
        better_before=better(beliefs.before, of, beliefs.good),
        better=better(beliefs.after, of, beliefs.good),
        moved_bits=moved(beliefs, of),
        p_holm=p_holm,
        direction=direction * beliefs.good,
        n=n,
        with_time=with_time,
    )
    limits = LIMITS.strength
    return Word(strength(signs, limits), signs, direction, points_against(signs, limits))


def better(side: Posterior, of: np.ndarray, good: float) -> float:
    """Probability that a linear combination of the parameters is on the good side of zero."""
    up = float(side.above_zero(of[None, :])[0])
    return up if good > 0 else 1 - up


def moved(beliefs: Beliefs, of: np.ndarray) -> float:
    """How far the races moved the belief in a linear combination of the parameters [bits]."""
    before, after = (side.moments(of[None, :]) for side in (beliefs.before, beliefs.after))
    return bits_moved((before[0][0], before[1][0]), (after[0][0], after[1][0]))


def moved_sd(beliefs: Beliefs, of: np.ndarray) -> float:
    """How far the races moved a linear combination of the parameters, in SDs of before."""
    (was, sd), (now, _) = (side.moments(of[None, :]) for side in (beliefs.before, beliefs.after))
    return float((now[0] - was[0]) / sd[0])


def _rank_test(dose: np.ndarray, y: np.ndarray) -> tuple[float, float]:
    """(sign of the rank correlation, its exact p); NaN where there is none."""
    known = np.isfinite(dose)
    ranked = spearman(dose[known], y[known])
    if isinstance(ranked, Ranked):
        return float(np.sign(ranked.estimate)), ranked.p_value
    return float("nan"), float("nan")


def _dose(prior: Prior, x: np.ndarray) -> np.ndarray:
    """The exposures as they should work: the cut through the published curve; shape (n, m).

    A curve that rises and falls again is no rank order of cuts, but it is one of its own height.
    Where nothing is published the cut itself is the dose.
    """
    dose = x.copy()
    if np.ptp(prior.curve_mean) > 0 and len(x):
        known = np.isfinite(x[:, 0])
        dose[known, 0] = np.interp(x[known, 0], KNOTS, prior.curve_mean)
    return dose.round(SAME_DECIMALS)


def _contrast(place: int, x: np.ndarray, dose: np.ndarray) -> np.ndarray:
    """What a factor's word is asked of: its effect, or the curve between what was tried; (p,).

    The rank test speaks of the cuts that were tried, so the curve is asked there and nowhere else.
    """
    known = np.isfinite(dose[:, place])
    if place or not known.any() or np.ptp(dose[known, place]) == 0:
        return effect_of(place)
    tried, height = x[known, place], dose[known, place]
    highest, lowest = curve_at(tried[[int(np.argmax(height)), int(np.argmin(height))]])
    apart: np.ndarray = highest - lowest
    return apart
