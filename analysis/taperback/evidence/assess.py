"""Everything that can be said of one athlete's races and one outcome."""

from __future__ import annotations

import numpy as np

from taperback.common.outcomes import Outcome
from taperback.common.published import PUBLISHED
from taperback.evidence.additive import CURVE, KNOTS, Prior
from taperback.evidence.classical import line
from taperback.evidence.effects import EFFECT_UNITS, curve_at, effect_of, straight
from taperback.evidence.exact import spearman, theil_sen
from taperback.evidence.model import (
    Classical,
    Curve,
    Evidence,
    FactorEvidence,
    Refusal,
    Rule,
    Slope,
)
from taperback.evidence.points import Points
from taperback.evidence.priors import FACTORS, result_prior, rpe_prior
from taperback.evidence.rule import cut_range, make_rule, sensitivity_of, worth_knowing
from taperback.evidence.strength import PUBLISHED_ONLY
from taperback.evidence.words import (
    Beliefs,
    Word,
    beliefs_of,
    better,
    moved,
    moved_sd,
    words_of,
)

_MISSING = "it is not known for this race"


def assess(
    points: Points, outcome: Outcome, *, left_out: tuple[tuple[str, str], ...] = ()
) -> Evidence:
    """What these race weeks say about each factor, and the rule that follows.

    Args:
        points: what was done before each race week, and how it came out.
        outcome: what the values are of.
        left_out: (name, why) of races without an outcome.

    Returns:
        the evidence; the rule is None for an outcome with no published effects.
    """
    prior = result_prior() if outcome.published else rpe_prior()
    beliefs = beliefs_of(prior, points, 1.0 if outcome.more_is_good else -1.0)
    words = words_of(prior, beliefs, points)
    factors = tuple(_factor(beliefs, place, points, word) for place, word in enumerate(words))
    return Evidence(
        outcome=outcome,
        n=len(points.values),
        points=points.races,
        left_out=left_out,
        noise_published=beliefs.before.noise_estimate(),
        noise_personal=beliefs.after.noise_estimate(),
        factors=factors,
        rule=_rule(prior, beliefs, points, factors) if outcome.published else None,
    )


def _rule(
    prior: Prior, beliefs: Beliefs, points: Points, factors: tuple[FactorEvidence, ...]
) -> Rule:
    assumed = PUBLISHED.taper.percent_per_standard_unit
    values = sorted({assumed.low, assumed.value, assumed.high})
    return make_rule(
        beliefs.after,
        points.exposures,
        {factor.factor: factor.strength for factor in factors},
        FACTORS,
        before=cut_range(beliefs.before, points.exposures[:0]),
        missing=worth_knowing(prior, points.exposures),
        sensitivity=sensitivity_of({value: result_prior(value) for value in values}, points),
    )


def _factor(beliefs: Beliefs, place: int, points: Points, word: Word) -> FactorEvidence:
    """Everything about one factor, of which `word` says how strongly."""
    of, x = effect_of(place), points.exposures[:, place]
    known = np.isfinite(x)
    own = tuple(label for label, here in zip(points.labels, known, strict=True) if here)
    missing = tuple(label for label, here in zip(points.labels, known, strict=True) if not here)
    races = x[known], points.values[known]
    slope, classical = theil_sen(*races, own), line(*races, own)
    # whether the page says anything of the athlete's own races, for or against
    says = word.strength != PUBLISHED_ONLY or word.points_against
    return FactorEvidence(
        factor=FACTORS[place],
        labels=own,
        exposure=races[0],
        outcome=races[1],
        races=sum(len(races) for races in points.races if races[0] in own),
        missing=tuple((label, _MISSING) for label in missing),
        ranked=spearman(*races),
        slope=slope,
        classical=classical,
        p_holm=word.signs.p_holm,
        effect_unit=EFFECT_UNITS[FACTORS[place]],
        published=beliefs.before.estimates(of[None, :])[0],
        personal=beliefs.after.estimates(of[None, :])[0],
        more_is_better=better(beliefs.after, of, beliefs.good),
        published_better=better(beliefs.before, of, beliefs.good),
        direction=word.direction,
        moved_sd=moved_sd(beliefs, of),
        moved_bits=moved(beliefs, of),
        strength=word.strength,
        points_against=word.points_against,
        with_time=word.signs.with_time,
        curve=_curve(beliefs) if place == 0 else None,
        against=_against(beliefs, place, points) if says else (),
        carried_by=_carried_by(slope, classical, own),
    )


def _carried_by(
    slope: Slope | Refusal, classical: Classical | Refusal, labels: tuple[str, ...]
) -> str:
    """The race that the relation hangs on most.

    A race without which the others are all alike carries all of it; else the one with the
    largest influence on the fitted line, or on the median slope where no line was fitted.
    """
    if isinstance(slope, Refusal):
        return ""
    left = {label for label, _ in slope.without}
    alone = [label for label in labels if label not in left]
    if alone:
        return alone[0]
    if isinstance(classical, Classical):
        return classical.carried_by
    return max(slope.without, key=lambda pair: abs(pair[1] - slope.estimate))[0]


def _curve(beliefs: Beliefs) -> Curve:
    """The curve of the first factor over what can be drawn, before and after the races."""
    drawn = KNOTS[(KNOTS >= -0.2) & (KNOTS <= 0.9)]
    of = curve_at(drawn)
    columns = []
    for side in (beliefs.before, beliefs.after):
        columns += [side.moments(of)[0], *side.intervals(of)]
    return Curve(drawn, *columns)


def _against(beliefs: Beliefs, place: int, points: Points) -> tuple[str, ...]:
    """Races that came out better where the factor says worse, or worse where it says better."""
    x = points.exposures[:, place]
    known = np.isfinite(x)
    if place == 0:
        curve = beliefs.after.weight @ beliefs.after.means[:, CURVE]
        expected = np.interp(x[known], KNOTS, curve)
    else:
        expected = float(beliefs.after.weight @ beliefs.after.means @ straight(place)) * x[known]
    off, came = expected - expected.mean(), points.values[known] - points.values[known].mean()
    worthwhile = PUBLISHED.noise.worthwhile_share.value * beliefs.after.noise_estimate().mean
    speaks_against = (off * came < 0) & (np.abs(came) > worthwhile) & (np.abs(off) > 0.05)
    return tuple(np.array(points.labels)[known][speaks_against].tolist())
