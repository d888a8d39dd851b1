"""What the evidence says, as values: no sport files, no dates, no page.

A *study* here is a table of exposures, one row a point and one column a factor, with an outcome per
point. A point is a race, or races that share their week; labels name the rows. Missing exposures
are NaN.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.outcomes import Outcome

INTERVAL = 0.90
"""Share of the probability that every interval holds."""

Races = tuple[np.ndarray, np.ndarray]
"""(exposures, shape (n, 4), NaN where missing; outcomes, shape (n,)) of one athlete's points."""


@dataclass(frozen=True)
class Refusal:
    """A method that was not applied, in the five parts that a reader needs.

    Attributes:
        needed: what the method needs.
        had: what there was.
        done: what was done instead.
        direction: which way the answer would have erred.
        remedy: what would make it possible.
    """

    needed: str
    had: str
    done: str
    direction: str
    remedy: str


@dataclass(frozen=True)
class Ranked:
    """A rank correlation with its exact or simulated permutation p-value.

    Attributes:
        method: `spearman`.
        n: races used.
        estimate: the coefficient, -1 to 1.
        p_value: two-sided.
        how: `enumeration` (all n! orders) or `monte carlo` (seeded).
        orders: how many orders were looked at.
    """

    method: str
    n: int
    estimate: float
    p_value: float
    how: str
    orders: int


@dataclass(frozen=True)
class Slope:
    """A Theil-Sen slope with its permutation p-value and how far single races move it.

    Attributes:
        n: races used.
        estimate, intercept: outcome units per exposure unit; outcome units.
        p_value, how, orders: as in `Ranked`.
        without: (label, slope without that race) for each race.
        low, high: smallest and largest of those slopes.
    """

    n: int
    estimate: float
    intercept: float
    p_value: float
    how: str
    orders: int
    without: tuple[tuple[str, float], ...]
    low: float
    high: float


@dataclass(frozen=True)
class Classical:
    """An ordinary least-squares line with HC3 standard errors.

    Attributes:
        n: races used.
        estimate, intercept: outcome units per exposure unit; outcome units.
        standard_error: HC3. low, high: 90% interval. p_value: two-sided.
        carried_by: label of the race with the largest influence on the slope.
    """

    n: int
    estimate: float
    intercept: float
    standard_error: float
    low: float
    high: float
    p_value: float
    carried_by: str


@dataclass(frozen=True)
class Estimate:
    """A number with its 90% interval."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Curve:
    """An expected outcome over one factor, relative to no change in that factor.

    All arrays have shape (k,): `at` in the factor's unit, the rest in outcome units; the `low` and
    `high` pairs bound 90% intervals.
    """

    at: np.ndarray
    published: np.ndarray
    published_low: np.ndarray
    published_high: np.ndarray
    personal: np.ndarray
    personal_low: np.ndarray
    personal_high: np.ndarray


STRENGTHS = ("published only", "leaning", "supported", "strong")
"""How much the athlete's own races support a statement, weakest first."""


@dataclass(frozen=True)
class FactorEvidence:
    """All that is said about one factor.

    Attributes:
        factor: the factor's name.
        labels: the points used, in order. exposure, outcome: their values, shape (n,).
        races: how many races they hold.
        missing: (label, why) for each point left out of this factor.
        ranked, slope, classical: the classical answers, or why they were refused.
        p_holm: exact p-value of the rank correlation, Holm-adjusted over the primary factors, NaN
            if refused; for the factor with a curve it is that of the published curve's height.
        effect_unit: what the effect below is per, such as 0.1 (ten points of volume cut).
        published, personal: effect per `effect_unit` of exposure, in outcome units, before and
            after the athlete's races; for a curve, its mean slope over the part that rises.
        more_is_better, published_better: probability that more of the factor is better, given both,
            and before the athlete's races.
        direction: sign of the races' rank correlation with a larger outcome, for a curve that of
            the published curve's height; NaN where there is none.
        points_against: whether the races lean the other way than the whole estimate.
        with_time: whether factor and outcome both went one way from race to race, so that anything
            else that changed with time would look the same.
        moved_sd: how far the races moved the published effect, in SDs of what was believed before;
            below zero is down.
        moved_bits: how much the races say about what the strength is read from (Kullback-Leibler)
            [bits].
        strength: one of `STRENGTHS`.
        curve: for the factor that is modelled as a curve, else None.
        against: labels of races that speak against the statement.
        carried_by: label of the race without which the relation would change most; empty where
            there are too few races to tell.
    """

    factor: str
    labels: tuple[str, ...]
    exposure: np.ndarray
    outcome: np.ndarray
    races: int
    missing: tuple[tuple[str, str], ...]
    ranked: Ranked | Refusal
    slope: Slope | Refusal
    classical: Classical | Refusal
    p_holm: float
    effect_unit: float
    published: Estimate
    personal: Estimate
    more_is_better: float
    published_better: float
    direction: float
    moved_sd: float
    moved_bits: float
    strength: str
    points_against: bool = False
    with_time: bool = False
    curve: Curve | None = None
    against: tuple[str, ...] = ()
    carried_by: str = ""


@dataclass(frozen=True)
class RulePart:
    """The range of one factor that is as good as the best, as far as the numbers say.

    Attributes:
        factor: the factor's name.
        low, high: the range, in the factor's unit; infinite where the rule is one-sided.
        best: the value to aim at: for a curve the published best where it lies in the range, else
            the one with the best expected outcome; for the others their neutral value.
        gain: expected outcome against no change, with its interval: for a curve at `best`, else at
            the far end of the range, so that it is below zero by what the range gives away.
        strength: one of `STRENGTHS`.
        held_by: why the range ends where it does: `model`, `published`, `tried`.
    """

    factor: str
    low: float
    high: float
    best: float
    gain: Estimate
    strength: str
    held_by: str


@dataclass(frozen=True)
class CutRange:
    """The volume cuts whose expected outcome is as good as the best, as far as the numbers say."""

    low: float
    high: float
    best: float


@dataclass(frozen=True)
class WorthKnowing:
    """The factor that is missing most: what not knowing it adds to the noise.

    Attributes:
        factor: its name.
        points, of: in how many points it is unknown, of how many.
        noise: what that adds to the race-to-race noise of each of them (SD), in outcome units.
    """

    factor: str
    points: int
    of: int
    noise: float


@dataclass(frozen=True)
class Rule:
    """What to do next time, as ranges.

    Attributes:
        parts: one per factor that a rule can be given for, volume cut first.
        before: the range of the first part without any race of the athlete's.
        best_inside: probability that the athlete's own best cut lies in that of the first part.
        not_knowing: expected loss at the first part's best for not knowing the athlete's own best,
            in outcome units.
        passed_up: what the highest cut of the range is expected to gain over the one named as its
            best, in outcome units; less than `worthwhile`.
        at_most_lost: expected loss with every part at its worse end at once, in outcome units; each
            part by itself gives away no more than `worthwhile`.
        worthwhile: smallest worthwhile change used, in outcome units, and where it is from.
        worth_knowing: what would be known best if it were written down; None where all is known.
        sensitivity: (assumed percent per standardised unit, low, high, best) of the first part.
    """

    parts: tuple[RulePart, ...]
    before: CutRange
    best_inside: float
    not_knowing: float
    passed_up: float
    at_most_lost: float
    worthwhile: float
    worthwhile_source: str
    worth_knowing: WorthKnowing | None
    sensitivity: tuple[tuple[float, float, float, float], ...]

    def part(self, factor: str) -> RulePart | None:
        """The range of one factor; None where none can be given for it."""
        return next((part for part in self.parts if part.factor == factor), None)


@dataclass(frozen=True)
class Evidence:
    """The whole answer for one athlete and one outcome.

    Attributes:
        outcome: what the factors were related to.
        n: points with an outcome; points: the races in each, by name, the first names the point.
        left_out: (label, why) for races without one.
        noise_published, noise_personal: race-to-race variation (SD), before and after the races,
            in outcome units.
        factors: the primary factors, in order.
        rule: what to do next time; None where the outcome is one that no rule is made from.
    """

    outcome: Outcome
    n: int
    points: tuple[tuple[str, ...], ...]
    left_out: tuple[tuple[str, str], ...]
    noise_published: Estimate
    noise_personal: Estimate
    factors: tuple[FactorEvidence, ...]
    rule: Rule | None
