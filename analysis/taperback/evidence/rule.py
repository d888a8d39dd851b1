"""What to do next time: ranges that are as good as the best, as far as the numbers say.

Inside the range of cuts nothing is worthwhile to choose by, so the rule names the cut that studies
found best where it lies in there, and the one with the best expected outcome where it does not.
Without that, the noise of a few races would move it to and fro at a price: see the table of
`tests/benchmarks/advice.py`.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import CURVE, KNOTS, Posterior, Prior, extra_variance, posterior
from taperback.evidence.effects import curve_at, straight
from taperback.evidence.model import CutRange, Estimate, Rule, RulePart, WorthKnowing
from taperback.evidence.points import Points
from taperback.evidence.priors import NEUTRAL, published_best


def make_rule(
    after: Posterior,
    exposures: np.ndarray,
    strengths: Mapping[str, str],
    factors: tuple[str, ...],
    *,
    before: CutRange,
    missing: WorthKnowing | None = None,
    sensitivity: tuple[tuple[float, float, float, float], ...] = (),
) -> Rule:
    """The rule that follows from the beliefs after the races.

    Args:
        after: the beliefs.
        exposures: what was tried; shape (n, m), NaN where missing.
        strengths: factor -> strength word.
        factors: names of the m factors, the one with the curve first.
        before: the range of the first factor without the races.
        missing, sensitivity: `worth_knowing` and `sensitivity` of the `Rule`.
    """
    share = PUBLISHED.noise.worthwhile_share
    worthwhile = share.value * after.noise_estimate().mean
    cut = _curve_part(after, exposures, worthwhile, strengths[factors[0]], factors[0])
    parts = [cut]
    for place, factor in enumerate(factors[1:], 1):
        parts.append(_straight_part(after, place, factor, worthwhile, strengths[factor]))
    own_inside, lost = own_best(after, cut)
    expected = expected_at(after, KNOTS[(cut.low - 1e-9 < KNOTS) & (cut.high + 1e-9 > KNOTS)])
    return Rule(
        parts=tuple(parts),
        before=before,
        best_inside=own_inside,
        not_knowing=lost,
        passed_up=float(expected.max() - expected_at(after, np.array([cut.best]))[0]),
        at_most_lost=float(np.ptp(expected)) + sum(max(-p.gain.mean, 0.0) for p in parts[1:]),
        worthwhile=worthwhile,
        worthwhile_source=f"{share.value:g} of the race-to-race variation: {share.source}",
        worth_knowing=missing,
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
    """(low, high, best) of the first factor: the stretch around its highest that is as good.

    The best of it is the published one where that lies inside, else the highest.
    """
    allowed, _, _ = allowed_cuts(exposures)
    expected = expected_at(after, allowed)
    highest = int(np.argmax(expected))
    good = expected >= expected[highest] - worthwhile
    first = last = highest
    while first > 0 and good[first - 1]:
        first -= 1
    while last < len(allowed) - 1 and good[last + 1]:
        last += 1
    low, high, published = float(allowed[first]), float(allowed[last]), published_best()
    return low, high, published if low <= published <= high else float(allowed[highest])


def expected_at(after: Posterior, cuts: np.ndarray) -> np.ndarray:
    """Expected outcome of cuts relative to no change; shapes (k,)."""
    expected: np.ndarray = np.interp(cuts, KNOTS, after.weight @ after.means[:, CURVE])
    return expected


def _curve_part(
    after: Posterior, exposures: np.ndarray, worthwhile: float, strength: str, factor: str
) -> RulePart:
    low, high, best = best_range(after, exposures, worthwhile)
    _, lowest, highest = allowed_cuts(exposures)
    span = PUBLISHED.taper.published_range
    at_low, at_high = low <= lowest, high >= highest
    tried = (at_low and lowest < span.low) or (at_high and highest > span.high)
    held_by = "tried" if tried else "published" if at_low or at_high else "model"
    (gain,) = after.estimates(curve_at(np.array([best])))
    return RulePart(factor, low, high, best, gain, strength, held_by)


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
    (effect,) = after.estimates(side * straight(place)[None, :])
    furthest = PUBLISHED.rule[factor].furthest
    leeway = worthwhile / -effect.mean if effect.mean < 0 else np.inf
    reach, held_by = (leeway, "model") if leeway < furthest else (furthest, "published")
    end = neutral + side * reach
    low, high = (end, np.inf) if side < 0 else (-np.inf, end)
    gain = Estimate(*(reach * value for value in (effect.mean, effect.low, effect.high)))
    return RulePart(factor, low, high, neutral, gain, strength, held_by)


_DRAWS = 1_000
_SEED = 20_301_126


def own_best(after: Posterior, cut: CutRange | RulePart) -> tuple[float, float]:
    """(probability that the athlete's own best lies in the range, what not knowing it costs).

    The cost is the outcome at the athlete's own best less that at the best of the rule. Both are
    means over curves drawn from the beliefs, the same draws each time, over all cuts from none to
    nine tenths.
    """
    at = np.flatnonzero((KNOTS > -1e-9) & (KNOTS < 0.9 + 1e-9))
    half = np.random.default_rng(_SEED).standard_normal((_DRAWS // 2, len(at)))
    draws = np.vstack([half, -half])
    places = 1 + at
    variance, axes = np.linalg.eigh(after.covariances[:, places[:, None], places])
    roots = axes * np.sqrt(np.maximum(variance, 0.0))[:, None]
    curves = after.means[:, None, places] + draws @ roots.transpose(0, 2, 1)
    cuts = KNOTS[at]
    own = cuts[curves.argmax(axis=2)]
    inside = ((own >= cut.low - 1e-9) & (own <= cut.high + 1e-9)).mean(axis=1)
    lost = (curves.max(axis=2) - curves[..., int(np.argmin(np.abs(cuts - cut.best)))]).mean(axis=1)
    return float(after.weight @ inside), float(after.weight @ lost)


def worth_knowing(prior: Prior, exposures: np.ndarray) -> WorthKnowing | None:
    """The factor whose missing values make the races count least; None where none is missing."""
    alone = []
    for place, factor in enumerate(prior.factors):
        missing = ~np.isfinite(exposures[:, place])
        only = np.where(np.arange(len(prior.factors)) == place, exposures, prior.neutral)
        added = extra_variance(prior, only)
        if missing.any():
            alone.append((float(added.sum()), factor, int(missing.sum()), float(added.max())))
    if not alone:
        return None
    _, factor, points, variance = max(alone)
    return WorthKnowing(factor, points, len(exposures), float(np.sqrt(variance)))


def sensitivity_of(
    priors: Mapping[float, Prior], points: Points
) -> tuple[tuple[float, float, float, float], ...]:
    """(assumption, low, high, best) of the first factor under each prior."""
    rows = []
    for assumption, prior in priors.items():
        after = posterior(prior, points.exposures, points.values, points.order)
        found = cut_range(after, points.exposures)
        rows.append((assumption, found.low, found.high, found.best))
    return tuple(rows)


def cut_range(after: Posterior, exposures: np.ndarray) -> CutRange:
    """The range of the rule, held inside what is published or the athlete has tried."""
    worthwhile = PUBLISHED.noise.worthwhile_share.value * after.noise_estimate().mean
    return CutRange(*best_range(after, exposures, worthwhile))
