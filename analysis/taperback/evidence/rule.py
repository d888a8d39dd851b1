"""What to do next time: ranges that are as good as the best, as far as can be told."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, Posterior, Prior, posterior
from taperback.evidence.model import Estimate, Rule, RulePart
from taperback.evidence.priors import NEUTRAL

_LEVEL, _CURVE = 0, slice(1, 1 + len(KNOTS))


def make_rule(
    after: Posterior,
    exposures: np.ndarray,
    strengths: Mapping[str, str],
    sensitivity: tuple[tuple[float, float, float, float], ...],
    factors: tuple[str, ...],
) -> Rule:
    """The rule that follows from the beliefs after the races.

    Args:
        after: the beliefs.
        exposures: what was tried; shape (n, m), NaN where missing.
        strengths: factor -> strength word.
        sensitivity: as in `Rule`.
        factors: names of the m factors, the one with the curve first.
    """
    share = PUBLISHED.noise.worthwhile_share
    worthwhile = share.value * after.noise_estimate().mean
    cut = _curve_part(after, exposures, worthwhile, strengths[factors[0]], factors[0])
    parts = [cut]
    for place, factor in enumerate(factors[1:], 1):
        parts.append(_straight_part(after, place, factor, worthwhile, strengths[factor]))
    return Rule(
        parts=tuple(parts),
        at_most_lost=_at_most_lost(after, parts),
        strength=cut.strength,
        worthwhile=worthwhile,
        worthwhile_source=f"{share.value:g} of the race-to-race variation: {share.source}",
        teaches_most=teaches_most(after),
        sensitivity=sensitivity,
    )


def allowed_cuts(exposures: np.ndarray) -> tuple[np.ndarray, float, float]:
    """(knots that a rule may name, their lowest, their highest): published or tried.

    More training than usual is never part of a rule, whatever was tried.
    """
    span = PUBLISHED.taper.published_range
    tried = exposures[np.isfinite(exposures[:, 0]), 0] if len(exposures) else np.empty(0)
    low = max(min([span.low, *tried]), 0.0)
    high = min(max([span.high, *tried]), 0.9)
    inside = KNOTS[(low - 1e-9 <= KNOTS) & (high + 1e-9 >= KNOTS)]
    return inside, float(inside[0]), float(inside[-1])


def best_range(
    after: Posterior, exposures: np.ndarray, worthwhile: float
) -> tuple[float, float, float]:
    """(low, high, best) of the first factor: the stretch around the best that is as good."""
    allowed, _, _ = allowed_cuts(exposures)
    places = np.searchsorted(KNOTS, allowed - 1e-9)
    curve = after.weight @ after.means[:, _CURVE]
    expected = curve[places]
    best = int(np.argmax(expected))
    good = expected >= expected[best] - worthwhile
    first = last = best
    while first > 0 and good[first - 1]:
        first -= 1
    while last < len(allowed) - 1 and good[last + 1]:
        last += 1
    return float(allowed[first]), float(allowed[last]), float(allowed[best])


def _curve_part(
    after: Posterior, exposures: np.ndarray, worthwhile: float, strength: str, factor: str
) -> RulePart:
    low, high, best = best_range(after, exposures, worthwhile)
    _, lowest, highest = allowed_cuts(exposures)
    span = PUBLISHED.taper.published_range
    at_low, at_high = low <= lowest, high >= highest
    tried = (at_low and lowest < span.low) or (at_high and highest > span.high)
    held_by = "tried" if tried else "published" if at_low or at_high else "model"
    (gain,) = after.estimates(_unit(after, 1 + int(np.argmin(np.abs(KNOTS - best))))[None, :])
    return RulePart(factor, low, high, best, gain, strength, held_by)


def _unit(after: Posterior, place: int) -> np.ndarray:
    row = np.zeros(after.means.shape[1])
    row[place] = 1.0
    return row


_COSTS_WHERE = {"intensity_kept": -1, "sleep_change_h": -1, "body_clock_lag_h": 1}
"""On which side of its neutral value a factor is known to cost: less of it, or more."""


def _straight_part(
    after: Posterior, place: int, factor: str, worthwhile: float, strength: str
) -> RulePart:
    """How far a factor may leave its neutral value before it costs something worthwhile.

    The far end is on the side that is known to cost, and never beyond what is published as
    harmless: having tried more is no leave to give it away, and races that make less of something
    look good are too few for a rule to ask for less.
    """
    neutral, side = float(NEUTRAL[place]), _COSTS_WHERE[factor]
    (effect,) = after.estimates(side * _unit(after, len(KNOTS) + place)[None, :])
    furthest = PUBLISHED.rule[factor].furthest
    leeway = worthwhile / -effect.mean if effect.mean < 0 else np.inf
    reach, held_by = (leeway, "model") if leeway < furthest else (furthest, "published")
    end = neutral + side * reach
    low, high = (end, np.inf) if side < 0 else (-np.inf, end)
    gain = Estimate(*(reach * value for value in (effect.mean, effect.low, effect.high)))
    return RulePart(factor, low, high, neutral, gain, strength, held_by)


def _at_most_lost(after: Posterior, parts: list[RulePart]) -> float:
    """What is expected to be lost with every part of the rule at its worse end at once."""
    cut, *straight = parts
    curve = after.weight @ after.means[:, _CURVE]
    ends = np.interp([cut.low, cut.high], KNOTS, curve)
    lost = float(np.interp(cut.best, KNOTS, curve) - ends.min())
    return lost + sum(max(-part.gain.mean, 0.0) for part in straight)


def teaches_most(after: Posterior) -> float:
    """The value of the first factor whose trial would tell most about where the best lies.

    Expected reduction of the variance of the curve relative to its own mean over the published
    range, after one more race with the noise now believed; only published values are proposed.
    """
    span = PUBLISHED.taper.published_range
    inside = (span.low - 1e-9 <= KNOTS) & (span.high + 1e-9 >= KNOTS)
    at = np.flatnonzero(inside)
    covariance = np.einsum("g,gpq->pq", after.weight, after.covariances)
    contrast = np.zeros((len(at), covariance.shape[0]))
    contrast[np.arange(len(at)), 1 + at] = 1.0
    contrast[:, 1 + at] -= 1.0 / len(at)
    trial = np.zeros_like(contrast)
    trial[:, _LEVEL] = 1.0
    trial[np.arange(len(at)), 1 + at] = 1.0
    shared = contrast @ covariance @ trial.T
    spread = np.einsum("tp,pq,tq->t", trial, covariance, trial) + after.noise_estimate().mean ** 2
    lowered = (shared**2 / spread).sum(axis=0)
    return float(KNOTS[at[int(np.argmax(lowered))]])


def sensitivity_of(
    priors: Mapping[float, Prior], exposures: np.ndarray, outcome: np.ndarray
) -> tuple[tuple[float, float, float, float], ...]:
    """(assumption, low, high, best) of the first factor under each prior."""
    share = PUBLISHED.noise.worthwhile_share.value
    rows = []
    for assumption, prior in priors.items():
        after = posterior(prior, exposures, outcome)
        worthwhile = share * after.noise_estimate().mean
        rows.append((assumption, *best_range(after, exposures, worthwhile)))
    return tuple(rows)
