"""Everything that can be said of one athlete's races and one outcome."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from taperback.evidence.additive import KNOTS, Posterior, Prior, bits_moved, posterior
from taperback.evidence.classical import line
from taperback.evidence.exact import holm, kendall, spearman, theil_sen
from taperback.evidence.model import (
    Curve,
    Evidence,
    FactorEvidence,
    Ranked,
    Rule,
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
    """Beliefs before and after the races, and what they were about."""

    prior: Prior
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
    beliefs = _Beliefs(
        prior, posterior(prior, x[:0], y[:0]), posterior(prior, x, y), 1.0 if more_is_good else -1.0
    )
    p_holm = holm([_rank_p(_dose(prior, x)[:, place], y) for place in range(len(FACTORS))])
    factors = tuple(
        _factor(beliefs, place, x, y, labels, float(p_holm[place])) for place in range(len(FACTORS))
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


def _rank_p(x: np.ndarray, y: np.ndarray) -> float:
    known = np.isfinite(x)
    ranked = spearman(x[known], y[known])
    return ranked.p_value if isinstance(ranked, Ranked) else float("nan")


def _functional(prior: Prior, place: int) -> np.ndarray:
    """The linear combination that is a factor's effect per its unit; shape (p,)."""
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
    p_holm: float,
) -> FactorEvidence:
    name = FACTORS[place]
    of = _functional(beliefs.prior, place)[None, :]
    before, after = (side.moments(of) for side in (beliefs.before, beliefs.after))
    moved = bits_moved((before[0][0], before[1][0]), (after[0][0], after[1][0]))
    up = float(beliefs.after.above_nought(of)[0])
    better = up if beliefs.good > 0 else 1 - up
    known = np.isfinite(x[:, place])
    own_x, own_y = x[known, place], y[known]
    own = tuple(label for label, here in zip(labels, known, strict=True) if here)
    direction = _direction(_dose(beliefs.prior, x)[known, place], own_y) * beliefs.good
    signs = Signs(better, moved, p_holm, direction)
    word = strength(signs, shared_toml("limits.toml")["strength"])
    return FactorEvidence(
        factor=name,
        labels=own,
        exposure=own_x,
        outcome=own_y,
        missing=tuple(
            (label, _MISSING) for label, here in zip(labels, known, strict=True) if not here
        ),
        ranked=spearman(own_x, own_y),
        kendall=kendall(own_x, own_y),
        slope=theil_sen(own_x, own_y, own),
        classical=line(own_x, own_y, own),
        p_holm=p_holm,
        effect_unit=EFFECT_UNITS[name],
        published=beliefs.before.estimates(of)[0],
        personal=beliefs.after.estimates(of)[0],
        more_is_better=better,
        moved_bits=moved,
        strength=word,
        curve=_curve(beliefs) if place == 0 else None,
        against=_against(beliefs, place, x, y, labels) if word != PUBLISHED else (),
    )


def _direction(x: np.ndarray, y: np.ndarray) -> float:
    """Sign of the rank correlation of the races alone, NaN where there is none."""
    ranked = spearman(x, y)
    return float(np.sign(ranked.estimate)) if isinstance(ranked, Ranked) else float("nan")


def _curve(beliefs: _Beliefs) -> Curve:
    """The curve of the first factor over what can be drawn, before and after the races."""
    drawn = (KNOTS >= -0.2 - 1e-9) & (KNOTS <= 0.9 + 1e-9)
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
