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
        borrowed: share of the uncertainty (variance) that the squad took away; below nought where
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
        mixed: whether statsmodels' mixed models are fitted beside it.
    """
    prior = result_prior()
    shared, own = split(prior)
    parts = {name: _Part(prior, own, *races) for name, races in squad.items()}
    centre = _centre(prior, shared, parts)
    before = posterior(prior, np.empty((0, len(FACTORS))), np.empty(0))
    after = {name: _personal(part, centre, own) for name, part in parts.items()}
    left = {name: _left_to_squad(part, centre, own) for name, part in parts.items()}
    alone = {name: posterior(prior, *races) for name, races in squad.items()}
    factors = []
    for place, factor in enumerate(FACTORS):
        of = effect_of(place)[None, :]
        factors.append(
            SquadFactor(
                factor,
                before.estimates(of)[0],
                centre.estimates(of)[0],
                {name: _borrowed(alone[name], after[name], left[name], own, of) for name in squad},
            )
        )
    return SquadEvidence(
        len(squad),
        sum(len(y) for _, y in squad.values()),
        centre.noise_estimate(),
        {name: one.noise_estimate() for name, one in alone.items()},
        tuple(factors),
        {factor: mixed_model(squad, place) for place, factor in enumerate(FACTORS)}
        if mixed
        else {},
        cut_range(centre, np.empty((0, len(FACTORS)))),
        {name: cut_range(after[name], exposures) for name, (exposures, _) in squad.items()},
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
    """One athlete's races, ready for every size of noise."""

    def __init__(self, prior: Prior, own: np.ndarray, x: np.ndarray, y: np.ndarray) -> None:
        x = np.asarray(x, float).reshape(-1, len(FACTORS))
        self.rows = design_rows(prior, x)
        self.off = np.asarray(y, float) - self.rows @ prior.mean()
        self.extra = extra_variance(prior, x)
        self.spread = self.rows @ own @ self.rows.T

    def precision(self, noise: float) -> tuple[np.ndarray, float]:
        """(inverse, log determinant) of the covariance of the outcomes given the squad."""
        total = self.spread + np.diag(noise**2 + self.extra)
        return np.linalg.inv(total), float(np.linalg.slogdet(total)[1])


def _centre(prior: Prior, shared: np.ndarray, parts: Mapping[str, _Part]) -> Posterior:
    """Beliefs about the squad's parameters after all races."""
    size = len(shared)
    means, covariances, logs = [], [], []
    for noise in prior.noise:
        information, pull, log = np.zeros((size, size)), np.zeros(size), 0.0
        for part in parts.values():
            inverse, log_determinant = part.precision(noise)
            weighted = part.rows.T @ inverse
            information += weighted @ part.rows
            pull += weighted @ part.off
            log -= 0.5 * (part.off @ inverse @ part.off + log_determinant)
        inner = np.eye(size) + shared @ information
        covariance = np.linalg.solve(inner, shared)
        covariance = (covariance + covariance.T) / 2
        means.append(prior.mean() + covariance @ pull)
        covariances.append(covariance)
        logs.append(log + 0.5 * (pull @ covariance @ pull - np.linalg.slogdet(inner)[1]))
    logs_all = np.log(prior.noise_weight) + np.array(logs)
    weight = np.exp(logs_all - logsumexp(logs_all))
    return Posterior(prior.noise, weight, np.array(means), np.array(covariances))


def _personal(part: _Part, centre: Posterior, own: np.ndarray) -> Posterior:
    """Beliefs about one athlete's parameters, given the squad's."""
    prior_mean = result_prior().mean()
    means, covariances = [], []
    for noise, mean, covariance in zip(centre.noise, centre.means, centre.covariances, strict=True):
        inverse, _ = part.precision(noise)
        gain = own @ part.rows.T @ inverse
        keep = np.eye(len(own)) - gain @ part.rows
        left = part.off - part.rows @ (mean - prior_mean)
        means.append(mean + gain @ left)
        covariances.append(keep @ covariance @ keep.T + own - gain @ part.rows @ own)
    return Posterior(centre.noise, centre.weight, np.array(means), np.array(covariances))


def _left_to_squad(part: _Part, centre: Posterior, own: np.ndarray) -> np.ndarray:
    """What is unknown of an athlete's own part after the athlete's races; covariance, (p, p)."""
    left = np.zeros_like(own)
    for noise, weight in zip(centre.noise, centre.weight, strict=True):
        inverse, _ = part.precision(noise)
        left += weight * (own - own @ part.rows.T @ inverse @ part.rows @ own)
    return left


def _borrowed(
    alone: Posterior, together: Posterior, left: np.ndarray, own: np.ndarray, of: np.ndarray
) -> Borrowed:
    (_, sd_alone), (_, sd_together) = alone.moments(of), together.moments(of)
    taken = 1 - float(sd_together[0] ** 2 / sd_alone[0] ** 2)
    return Borrowed(
        alone.estimates(of)[0],
        together.estimates(of)[0],
        taken,
        min(float((of @ left @ of.T).item() / (of @ own @ of.T).item()), 1.0),
    )


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


def compare(evidence: SquadEvidence) -> dict[str, Compared]:
    """Factor -> how far the two models lie apart, where both could be fitted.

    The mixed model of the factor with the curve tells how many times the published curve; its
    effect is so many times the published one.
    """
    found = {}
    for place, factor in enumerate(evidence.factors):
        mixed = evidence.mixed.get(factor.factor)
        if isinstance(mixed, Mixed) and mixed.converged and mixed.slope_se > 0:
            unit = EFFECT_UNITS[factor.factor] if place else factor.published.mean
            slope, error = mixed.slope * unit, mixed.slope_se * abs(unit)
            apart = abs(factor.shared.mean - slope) / error
            found[factor.factor] = Compared(factor.shared.mean, slope, error, apart)
    return found
