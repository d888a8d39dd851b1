"""Everything that can be said of one athlete's races and one outcome."""

from __future__ import annotations

import numpy as np
import pandas as pd

from taperback.common.outcomes import Outcome
from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS
from taperback.evidence.classical import line
from taperback.evidence.effects import EFFECT_UNITS, effect_of
from taperback.evidence.exact import SAME_DECIMALS, kendall, spearman, theil_sen
from taperback.evidence.model import (
    Classical,
    Curve,
    Evidence,
    FactorEvidence,
    Refusal,
    Rule,
    Slope,
)
from taperback.evidence.priors import FACTORS, result_prior, rpe_prior
from taperback.evidence.rule import make_rule, sensitivity_of
from taperback.evidence.strength import PUBLISHED_ONLY
from taperback.evidence.words import Beliefs, Word, beliefs_of, better, moved, words_of

_MISSING = "it is not known for this race"


def assess(
    exposures: pd.DataFrame,
    values: pd.Series,
    outcome: Outcome,
    *,
    left_out: tuple[tuple[str, str], ...] = (),
) -> Evidence:
    """What these races say about each factor, and the rule that follows.

    Args:
        exposures: one row a race in the order of time, indexed by label, with the columns of
            `FACTORS`; NaN is missing.
        values: the outcome of the same races.
        outcome: what they are values of.
        left_out: (label, why) of races without an outcome.

    Returns:
        the evidence; the rule is None for an outcome with no published effects.
    """
    x = exposures[list(FACTORS)].to_numpy(float).reshape(-1, len(FACTORS)).round(SAME_DECIMALS)
    y = values.to_numpy(float).round(SAME_DECIMALS)
    labels = tuple(str(label) for label in exposures.index)
    prior = result_prior() if outcome.published else rpe_prior()
    beliefs = beliefs_of(prior, x, y, 1.0 if outcome.more_is_good else -1.0)
    words = words_of(prior, beliefs, x, y)
    factors = tuple(
        _factor(beliefs, place, x, y, labels, words[place]) for place in range(len(FACTORS))
    )
    return Evidence(
        outcome=outcome,
        n=len(y),
        left_out=left_out,
        noise_published=beliefs.before.noise_estimate(),
        noise_personal=beliefs.after.noise_estimate(),
        factors=factors,
        rule=_rule(beliefs, x, y, factors) if outcome.published else None,
    )


def _rule(
    beliefs: Beliefs, x: np.ndarray, y: np.ndarray, factors: tuple[FactorEvidence, ...]
) -> Rule:
    assumed = PUBLISHED.taper.percent_per_standard_unit
    values = sorted({assumed.low, assumed.value, assumed.high})
    sensitivity = sensitivity_of({value: result_prior(value) for value in values}, x, y)
    strengths = {factor.factor: factor.strength for factor in factors}
    return make_rule(beliefs.after, x, strengths, sensitivity, FACTORS)


def _factor(
    beliefs: Beliefs,
    place: int,
    x: np.ndarray,
    y: np.ndarray,
    labels: tuple[str, ...],
    word: Word,
) -> FactorEvidence:
    """Everything about one factor, of which `word` says how strongly."""
    of = effect_of(place)
    known = np.isfinite(x[:, place])
    own = tuple(label for label, here in zip(labels, known, strict=True) if here)
    missing = tuple(label for label, here in zip(labels, known, strict=True) if not here)
    races = x[known, place], y[known]
    slope, classical = theil_sen(*races, own), line(*races, own)
    return FactorEvidence(
        factor=FACTORS[place],
        labels=own,
        exposure=races[0],
        outcome=races[1],
        missing=tuple((label, _MISSING) for label in missing),
        ranked=spearman(*races),
        kendall=kendall(*races),
        slope=slope,
        classical=classical,
        p_holm=word.signs.p_holm,
        effect_unit=EFFECT_UNITS[FACTORS[place]],
        published=beliefs.before.estimates(of[None, :])[0],
        personal=beliefs.after.estimates(of[None, :])[0],
        more_is_better=better(beliefs.after, of, beliefs.good),
        direction=word.direction,
        moved_bits=moved(beliefs, of),
        strength=word.strength,
        points_against=word.points_against,
        with_time=word.signs.with_time,
        curve=_curve(beliefs) if place == 0 else None,
        against=_against(beliefs, place, x, y, labels) if _says(word) else (),
        carried_by=_carried_by(slope, classical, own),
    )


def _says(word: Word) -> bool:
    """Whether the page says anything of the athlete's own races, for or against."""
    return word.strength != PUBLISHED_ONLY or word.points_against


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
    drawn = (KNOTS >= -0.2) & (KNOTS <= 0.9)
    of = np.zeros((len(KNOTS), 1 + len(KNOTS) + len(FACTORS) - 1))
    of[np.arange(len(KNOTS)), 1 + np.arange(len(KNOTS))] = 1.0
    of = of[drawn]
    columns = []
    for side in (beliefs.before, beliefs.after):
        columns += [side.moments(of)[0], *side.intervals(of)]
    return Curve(KNOTS[drawn], *columns)


def _against(
    beliefs: Beliefs, place: int, x: np.ndarray, y: np.ndarray, labels: tuple[str, ...]
) -> tuple[str, ...]:
    """Races that came out better where the factor says worse, or worse where it says better."""
    known = np.isfinite(x[:, place])
    if place == 0:
        curve = beliefs.after.weight @ beliefs.after.means[:, 1 : 1 + len(KNOTS)]
        expected = np.interp(x[known, 0], KNOTS, curve)
    else:
        effect = float(beliefs.after.weight @ beliefs.after.means[:, len(KNOTS) + place])
        expected = effect * x[known, place]
    off, came = expected - expected.mean(), y[known] - y[known].mean()
    worthwhile = PUBLISHED.noise.worthwhile_share.value * beliefs.after.noise_estimate().mean
    speaks_against = (off * came < 0) & (np.abs(came) > worthwhile) & (np.abs(off) > 0.05)
    names = np.array(labels)[known]
    return tuple(str(name) for name in names[speaks_against])
