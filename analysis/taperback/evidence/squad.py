"""What a squad's races say together, and how much each athlete borrows from it.

Every athlete's parameters are the squad's plus a part of the athlete's own. Both parts are
Gaussian, so that the answer is arithmetic, and its cost grows with the number of athletes.

References:
    Lindley and Smith 1972, J R Stat Soc B 34:1-41 (the two-stage linear model).
    Laird and Ware 1982, Biometrics 38:963-974, doi 10.2307/2529876 (the mixed model beside it).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import logsumexp

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import (
    LEVEL,
    TREND,
    Posterior,
    Prior,
    design_rows,
    extra_variance,
    posterior,
)
from taperback.evidence.effects import EFFECT_UNITS, effect_of
from taperback.evidence.mixed import Mixed, mixed_model
from taperback.evidence.model import CutRange, Estimate, Races, Refusal
from taperback.evidence.priors import FACTORS, result_prior
from taperback.evidence.rule import cut_range


@dataclass(frozen=True)
class Borrowed:
    """One factor's effect for one athlete, without and with the squad.

    Attributes:
        alone: from published values and the athlete's own races.
        together: with the squad's races as well.
        borrowed: share of the uncertainty (variance) that the squad took away; below zero where
            the squad's races, which scatter more, made the athlete less sure.
        pulled: how far the athlete's own difference from the squad is drawn back towards it: 1
            without any race, 0 where the own races decide alone.
    """

    alone: Estimate
    together: Estimate
    borrowed: float
    pulled: float


@dataclass(frozen=True)
class SquadFactor:
    """One factor over a squad, per its effect unit, in outcome units.

    `athletes` has one entry an athlete, in the order given.
    """

    factor: str
    published: Estimate
    shared: Estimate
    athletes: Mapping[str, Borrowed]


@dataclass(frozen=True)
class SquadEvidence:
    """The whole answer for a squad.

    Attributes:
        athletes, races: how many athletes there are, and races with an outcome.
        noise: race-to-race noise, shared by all; own_noise: athlete -> from the own races alone.
        factors: the four factors. mixed: factor -> the mixed model, or why there is none.
        cut: the range for an athlete of whom nothing but the squad is known.
        cuts: athlete -> the range that the squad and the athlete's own races give together.
    """

    athletes: int
    races: int
    noise: Estimate
    own_noise: Mapping[str, Estimate]
    factors: tuple[SquadFactor, ...]
    mixed: Mapping[str, Mixed | Refusal]
    cut: CutRange
    cuts: Mapping[str, CutRange]


def assess_squad(squad: Mapping[str, Races], *, mixed: bool = True) -> SquadEvidence:
    """What the races of several athletes say about a result in percent, larger is better.

    Args:
        squad: athlete -> races; an athlete without any race still gets the squad's estimate.
        mixed: whether mixed models are fitted beside it.
    """
    prior = result_prior()
    shared, own = split(prior)
    parts = {name: _Part(prior, own, *races) for name, races in squad.items()}
    centre = _centre(prior, shared, parts)
    before = posterior(prior, np.empty((0, len(FACTORS))), np.empty(0))
    of = np.array([effect_of(place) for place in range(len(FACTORS))])
    athletes = {
        name: _athlete(prior, centre, own, part, races, of)
        for (name, part), races in zip(parts.items(), squad.values(), strict=True)
    }
    believed = zip(FACTORS, before.estimates(of), centre.estimates(of), strict=True)
    factors = (
        SquadFactor(*each, {name: one.borrowed[place] for name, one in athletes.items()})
        for place, each in enumerate(believed)
    )
    return SquadEvidence(
        len(squad),
        sum(len(y) for _, y in squad.values()),
        centre.noise_estimate(),
        {name: one.noise for name, one in athletes.items()},
        tuple(factors),
        {factor: mixed_model(squad, place) for place, factor in enumerate(FACTORS)}
        if mixed
        else {},
        cut_range(centre, np.empty((0, len(FACTORS)))),
        {name: one.cut for name, one in athletes.items()},
    )


def split(prior: Prior) -> tuple[np.ndarray, np.ndarray]:
    """(covariance of the squad's part, of an athlete's own part); each (p, p).

    Level and trend are the athlete's own; of the rest a stated share is common to the squad.
    """
    share = PUBLISHED.squad.shared_share.value
    whole = prior.covariance()
    shared = share * whole
    shared[LEVEL, LEVEL] = shared[TREND, TREND] = 0.0
    own = whole - shared
    return shared, own


class _Part:
    """One athlete's races, ready for every size of noise.

    Attributes:
        rows: what turns parameters into expected outcomes, (n, p); off: the outcomes less what was
            expected before any race; extra: variance that missing values add; each (n,).
        inverses, log_determinants: of the covariance of the outcomes given the squad, for each size
            of noise, (g, n, n) and (g,).
    """

    def __init__(self, prior: Prior, own: np.ndarray, x: np.ndarray, y: np.ndarray) -> None:
        x = np.asarray(x, float).reshape(-1, len(FACTORS))
        self.rows = design_rows(prior, x)
        self.off = np.asarray(y, float) - self.rows @ prior.mean()
        self.extra = extra_variance(prior, x)
        spread = self.rows @ own @ self.rows.T + np.diag(self.extra)
        total = spread + prior.noise[:, None, None] ** 2 * np.eye(len(x))
        self.inverses = np.linalg.inv(total)
        self.log_determinants = np.linalg.slogdet(total)[1]


def _centre(prior: Prior, shared: np.ndarray, parts: Mapping[str, _Part]) -> Posterior:
    """Beliefs about the squad's parameters after all races."""
    size = len(shared)
    information = np.zeros((len(prior.noise), size, size))
    pull, logs = np.zeros((len(prior.noise), size)), np.zeros(len(prior.noise))
    for part in parts.values():
        weighted = part.rows.T @ part.inverses
        information += weighted @ part.rows
        pull += weighted @ part.off
        logs -= 0.5 * (part.inverses @ part.off @ part.off + part.log_determinants)
    inner = np.eye(size) + shared @ information
    covariances = np.linalg.solve(inner, np.broadcast_to(shared, inner.shape))
    covariances = (covariances + covariances.transpose(0, 2, 1)) / 2
    moved = (covariances @ pull[..., None])[..., 0]
    logs += 0.5 * ((pull * moved).sum(axis=1) - np.linalg.slogdet(inner)[1])
    logs += np.log(prior.noise_weight)
    weight = np.exp(logs - logsumexp(logs))
    return Posterior(prior.noise, weight, prior.mean() + moved, covariances)


def _personal(part: _Part, centre: Posterior, own: np.ndarray) -> Posterior:
    """Beliefs about one athlete's parameters, given the squad's."""
    gain = own @ part.rows.T @ part.inverses
    keep = np.eye(len(own)) - gain @ part.rows
    left = part.off - (centre.means - result_prior().mean()) @ part.rows.T
    means = centre.means + (gain @ left[..., None])[..., 0]
    covariances = keep @ centre.covariances @ keep.transpose(0, 2, 1)
    return Posterior(centre.noise, centre.weight, means, covariances + keep @ own)


def _borrowed(
    alone: Posterior, together: Posterior, left: np.ndarray, own: np.ndarray, of: np.ndarray
) -> list[Borrowed]:
    """What is known of each combination of one athlete's parameters; `of` is (f, p)."""
    (_, sd_alone), (_, sd_together) = alone.moments(of), together.moments(of)
    pulled = ((of @ left) * of).sum(axis=1) / ((of @ own) * of).sum(axis=1)
    parts = zip(alone.estimates(of), together.estimates(of), strict=True)
    taken = 1 - sd_together**2 / sd_alone**2
    return [
        Borrowed(*estimates, float(share), min(float(back), 1.0))
        for estimates, share, back in zip(parts, taken, pulled, strict=True)
    ]


class _Athlete(NamedTuple):
    """What is left of one athlete's beliefs, which themselves take half a megabyte: the four
    factors, the noise of the own races alone, and the range with the squad."""

    borrowed: list[Borrowed]
    noise: Estimate
    cut: CutRange


def _athlete(
    prior: Prior, centre: Posterior, own: np.ndarray, part: _Part, races: Races, of: np.ndarray
) -> _Athlete:
    alone, together = posterior(prior, *races), _personal(part, centre, own)
    # what is unknown of the athlete's own part after the athlete's races; covariance, (p, p)
    inverse = np.tensordot(centre.weight, part.inverses, 1)
    left = own - own @ part.rows.T @ inverse @ part.rows @ own
    borrowed = _borrowed(alone, together, left, own, of)
    return _Athlete(borrowed, alone.noise_estimate(), cut_range(together, races[0]))


@dataclass(frozen=True)
class Compared:
    """The squad's estimate beside the mixed model's, both per the factor's effect unit.

    `apart_se` is their distance in standard errors of the mixed model.
    """

    ours: float
    mixed: float
    mixed_se: float
    apart_se: float


def scattered(evidence: SquadEvidence) -> tuple[str, ...]:
    """Athletes whose races alone scatter far beyond what is usual in the squad, in order.

    The noise is one for all, so that such an athlete makes everybody's races count for less.
    """
    usual = float(np.median([noise.mean for noise in evidence.own_noise.values()]))
    return tuple(key for key, noise in evidence.own_noise.items() if noise.low > usual)


def surest(evidence: SquadEvidence) -> SquadFactor | None:
    """The factor whose shared effect lies furthest from none, for its interval; None if all hold 0.

    It rests on published studies and the squad's races together.
    """
    clear = [f for f in evidence.factors if f.shared.low > 0 or f.shared.high < 0]
    return max(
        clear,
        key=lambda factor: abs(factor.shared.mean) / (factor.shared.high - factor.shared.low),
        default=None,
    )


def borrows(evidence: SquadEvidence, athlete: str) -> bool:
    """Whether the squad's races make the athlete's cut surer, so that its range is the one to use.

    They do not where they scatter far more than the athlete's own.
    """
    return evidence.factors[0].athletes[athlete].borrowed > 0


def compare(evidence: SquadEvidence) -> dict[str, Compared]:
    """Factor -> how far the two models lie apart, where both could be fitted.

    The mixed model of the factor with the curve tells how many times the published curve; its
    effect is so many times the published one.
    """
    compared = {}
    for place, factor in enumerate(evidence.factors):
        mixed = evidence.mixed.get(factor.factor)
        if isinstance(mixed, Mixed) and mixed.converged and mixed.slope_se > 0:
            unit = EFFECT_UNITS[factor.factor] if place else factor.published.mean
            slope, error = mixed.slope * unit, mixed.slope_se * abs(unit)
            apart = abs(factor.shared.mean - slope) / error
            compared[factor.factor] = Compared(factor.shared.mean, slope, error, apart)
    return compared
