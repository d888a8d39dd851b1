"""Everything that can be said of one athlete's races and one outcome."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from taperback.evidence.additive import KNOTS, Posterior, Prior, bits_moved, posterior
from taperback.evidence.classical import line
from taperback.evidence.exact import holm, kendall, spearman, theil_sen
from taperback.evidence.model import (
    Classical,
    Curve,
    Evidence,
    FactorEvidence,
    Ranked,
    Refusal,
    Rule,
    Slope,
)
from taperback.evidence.priors import FACTORS, result_prior, rpe_prior
from taperback.evidence.published import published
from taperback.evidence.rule import make_rule, sensitivity_of
from taperback.evidence.strength import PUBLISHED, Signs, strength
from taperback.resources import shared_toml

EFFECT_UNITS = {
    "volume_cut": 0.1,
    "intensity_kept": 0.1,
    "sleep_change_h": 1.0,
    "body_clock_lag_h": 1.0,
}
"""What an effect is told per: ten points of volume or intensity, an hour."""

RISE = (0.10, 0.50)
"""The published rising part of the curve; its mean slope stands for the whole factor."""

_MISSING = "it is not known for this race"


@dataclass(frozen=True)
class _Beliefs:
    """Beliefs before and after the races, and which way is good: 1 or -1."""

    before: Posterior
    after: Posterior
    good: float


def assess(
    exposures: pd.DataFrame,
    outcome: pd.Series,
    *,
    outcome_name: str,
    more_is_good: bool,
    left_out: tuple[tuple[str, str], ...] = (),
) -> Evidence:
    """What these races say about each factor, and the rule that follows.

    Args:
        exposures: one row a race, indexed by label, with the columns of `FACTORS`; NaN is missing.
        outcome: the outcome of the same races.
        outcome_name: `result_pct`, for which published effects are known, or `race_rpe`.
        more_is_good: whether a larger outcome is better.
        left_out: (label, why) of races without an outcome.

    Returns:
        the evidence; the rule is None for an outcome with no published effects.
    """
    x = exposures[list(FACTORS)].to_numpy(float).reshape(-1, len(FACTORS))
    y = outcome.to_numpy(float)
    labels = tuple(str(label) for label in exposures.index)
    is_result = outcome_name == "result_pct"
    prior = result_prior() if is_result else rpe_prior()
    beliefs = _beliefs(prior, x, y, 1.0 if more_is_good else -1.0)
    ranked = _rank_tests(prior, x, y)
    p_holm = holm([p_value for _, p_value in ranked])
    factors = tuple(
        _factor(beliefs, place, x, y, labels, (ranked[place][0], float(p_holm[place])))
        for place in range(len(FACTORS))
    )
    return Evidence(
        outcome=outcome_name,
        more_is_good=more_is_good,
        n=len(y),
        left_out=left_out,
        noise_published=beliefs.before.noise_estimate(),
        noise_personal=beliefs.after.noise_estimate(),
        factors=factors,
        rule=_rule(beliefs, x, y, factors) if is_result else None,
    )


def _rule(
    beliefs: _Beliefs, x: np.ndarray, y: np.ndarray, factors: tuple[FactorEvidence, ...]
) -> Rule:
    assumed = published("taper.percent_per_standard_unit")
    values = sorted({assumed["low"], assumed["value"], assumed["high"]})
    sensitivity = sensitivity_of({value: result_prior(value) for value in values}, x, y)
    strengths = {factor.factor: factor.strength for factor in factors}
    return make_rule(beliefs.after, x, strengths, sensitivity, FACTORS)


def factor_strengths(prior: Prior, x: np.ndarray, y: np.ndarray, *, good: float) -> list[str]:
    """The strength word of each factor, without the rest of the answer.

    Args:
        prior: beliefs before the races.
        x, y: exposures, shape (n, m), and outcomes, shape (n,).
        good: 1 where a larger outcome is better, -1 where a smaller one is.
    """
    beliefs = _beliefs(prior, x, y, good)
    ranked = _rank_tests(prior, x, y)
    p_holm = holm([p_value for _, p_value in ranked])
    return [
        _word(beliefs, place, ranked[place][0], float(p_holm[place])).strength
        for place in range(len(FACTORS))
    ]


def _beliefs(prior: Prior, x: np.ndarray, y: np.ndarray, good: float) -> _Beliefs:
    return _Beliefs(posterior(prior, x[:0], y[:0]), posterior(prior, x, y), good)


@dataclass(frozen=True)
class _Word:
    """A factor's strength and the numbers that it follows from."""

    strength: str
    better: float
    moved_bits: float


def _word(beliefs: _Beliefs, place: int, direction: float, p_holm: float) -> _Word:
    of = effect_of(place)[None, :]
    before, after = (side.moments(of) for side in (beliefs.before, beliefs.after))
    moved = bits_moved((before[0][0], before[1][0]), (after[0][0], after[1][0]))
    up = float(beliefs.after.above_nought(of)[0])
    better = up if beliefs.good > 0 else 1 - up
    signs = Signs(better, moved, p_holm, direction * beliefs.good)
    return _Word(strength(signs, shared_toml("limits.toml")["strength"]), better, moved)


def _rank_tests(prior: Prior, x: np.ndarray, y: np.ndarray) -> list[tuple[float, float]]:
    """(sign of the rank correlation, its exact p) of each factor; NaN where there is none."""
    dose = _dose(prior, x)
    tests = []
    for column in dose.T:
        known = np.isfinite(column)
        ranked = spearman(column[known], y[known])
        if isinstance(ranked, Ranked):
            tests.append((float(np.sign(ranked.estimate)), ranked.p_value))
        else:
            tests.append((float("nan"), float("nan")))
    return tests


def _dose(prior: Prior, x: np.ndarray) -> np.ndarray:
    """The exposures as they should work: the cut through the published curve; shape (n, m).

    A curve that rises and falls again is no rank order of cuts, but it is one of its own height.
    Where nothing is published the cut itself is the dose.
    """
    dose = x.copy()
    if np.ptp(prior.curve_mean) > 0 and len(x):
        known = np.isfinite(x[:, 0])
        dose[known, 0] = np.interp(x[known, 0], KNOTS, prior.curve_mean)
    return dose


def effect_of(place: int) -> np.ndarray:
    """The linear combination of parameters that is a factor's effect per its unit; shape (p,)."""
    of = np.zeros(1 + len(KNOTS) + len(FACTORS) - 1)
    unit = EFFECT_UNITS[FACTORS[place]]
    if place:
        of[len(KNOTS) + place] = unit
        return of
    low, high = (1 + int(np.argmin(np.abs(KNOTS - at))) for at in RISE)
    of[high], of[low] = 1.0, -1.0
    return of * unit / (RISE[1] - RISE[0])


def _factor(
    beliefs: _Beliefs,
    place: int,
    x: np.ndarray,
    y: np.ndarray,
    labels: tuple[str, ...],
    test: tuple[float, float],
) -> FactorEvidence:
    """Everything about one factor; `test` is the sign of its correlation and its adjusted p."""
    word = _word(beliefs, place, *test)
    of = effect_of(place)[None, :]
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
        p_holm=test[1],
        effect_unit=EFFECT_UNITS[FACTORS[place]],
        published=beliefs.before.estimates(of)[0],
        personal=beliefs.after.estimates(of)[0],
        more_is_better=word.better,
        moved_bits=word.moved_bits,
        strength=word.strength,
        curve=_curve(beliefs) if place == 0 else None,
        against=_against(beliefs, place, x, y, labels) if word.strength != PUBLISHED else (),
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


def _curve(beliefs: _Beliefs) -> Curve:
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
    beliefs: _Beliefs, place: int, x: np.ndarray, y: np.ndarray, labels: tuple[str, ...]
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
    worthwhile = published("noise.worthwhile_share")["value"] * beliefs.after.noise_estimate().mean
    speaks_against = (off * came < 0) & (np.abs(came) > worthwhile) & (np.abs(off) > 0.05)
    names = np.array(labels)[known]
    return tuple(str(name) for name in names[speaks_against])
