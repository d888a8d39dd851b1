"""How well anyone could choose: two bounds for the benchmark of the advice.

The *informed* reader of a study knows what no rule can: the population that the athlete is of, the
size of the noise, the trend, which days were bad and what they cost. No rule does better on average
over that population.

The *least favourable* mixture of populations bounds what one rule can do in all of them at once. A
rule that knows the mixture's weights does better on its average than any other (a Bayes rule), so
that where even it loses to its rivals on that average, every rule loses in at least one population.

References:
    Wald 1950, Statistical Decision Functions (least favourable distributions).
    Freund and Schapire 1999, Games Econ Behav 29:79-103 (finding the weights by repeated play).
"""

from __future__ import annotations

import numpy as np
from athletes import LEVEL_SD, Drawn, Population
from scipy.special import logsumexp

from taperback.evidence.additive import KNOTS, hat_weights, pinned_kernel

CUTS = (KNOTS > -1e-9) & (KNOTS < 0.9 + 1e-9)
"""The knots that a cut may be chosen at."""
_TYPICAL = 800
"""So many typical curves stand for a population."""
_AT_ONCE = 600
"""Studies looked at in one go, which bounds the memory."""
_ROUNDS = 400
_STEP = 3.0


def informed_curves(
    drawn: Drawn,
    population: Population,
    effects: tuple[np.ndarray, np.ndarray],
    clear: np.ndarray,
    noise: np.ndarray,
    level_sd: float = LEVEL_SD,
) -> tuple[np.ndarray, np.ndarray]:
    """What a reader expects who takes the athletes to be of one population.

    Args:
        drawn: the studies, of which curves and effects are not looked at.
        population: the one the reader believes in.
        effects: mean and SD of the straight factors.
        clear, noise: the outcomes and the SD of each that the reader believes in; (s, n).
        level_sd: how far the reader believes athletes' levels to lie apart [%, SD].

    Returns:
        expected curves, (s, 41), and log likelihoods of that belief, (s,).
    """
    typical = population.typical(np.random.default_rng(0), _TYPICAL)
    if not np.ptp(typical, axis=0).any():
        typical = typical[:1]
    kernel = pinned_kernel(KNOTS, population.own_sd, 0.20)
    starts = range(_AT_ONCE, len(clear), _AT_ONCE)
    blocks = zip(*(np.split(one, starts) for one in (drawn.x, clear, noise)), strict=True)
    given = (_given(typical, kernel, effects, level_sd, *block) for block in blocks)
    curves, logs = zip(*given, strict=True)
    return np.concatenate(curves), np.concatenate(logs)


def _given(
    typical: np.ndarray,
    kernel: np.ndarray,
    effects: tuple[np.ndarray, np.ndarray],
    level_sd: float,
    x: np.ndarray,
    clear: np.ndarray,
    noise: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Expected curves and log likelihoods, of athletes so far from one of the typical curves."""
    studies, n = clear.shape
    at = hat_weights(x[..., 0].ravel()).reshape(studies, n, -1)
    others = x[..., 1:] - [1, 0, 0]
    spread = (others * effects[1] ** 2) @ others.transpose(0, 2, 1) + level_sd**2
    spread = spread + at @ kernel @ at.transpose(0, 2, 1)
    spread[:, np.arange(n), np.arange(n)] += noise**2
    inverse = np.linalg.inv(spread)
    off = (clear - others @ effects[0])[..., None] - at @ typical.T
    weighted = inverse @ off
    logs = -0.5 * ((off * weighted).sum(axis=1) + np.linalg.slogdet(spread)[1][:, None])
    weight = np.exp(logs - logsumexp(logs, axis=1, keepdims=True))
    pull = np.einsum("snk,sk->sn", weighted, weight)
    moved = np.einsum("sn,snk->sk", pull, at @ kernel)
    return weight @ typical + moved, logsumexp(logs, axis=1) - np.log(len(typical))


def informed_cuts(
    drawn: Drawn, population: Population, effects: tuple[np.ndarray, np.ndarray]
) -> np.ndarray:
    """The cut that the informed reader of each study chooses; shape (s,)."""
    curves, _ = informed_curves(drawn, population, effects, drawn.clear, drawn.noise)
    return highest(curves)


def highest(curves: np.ndarray) -> np.ndarray:
    """Where each curve is highest, of the cuts that may be chosen; (s, 41) to (s,)."""
    best: np.ndarray = KNOTS[np.argmax(np.where(CUTS, curves, -np.inf), axis=1)]
    return best


def least_favourable(
    expected: np.ndarray,
    likelihood: np.ndarray,
    true: np.ndarray,
    allowed: np.ndarray,
    cell: np.ndarray,
) -> tuple[float, float]:
    """What every rule loses beyond what it may, in at least one cell; a lower bound [%].

    The weights are found on every other study, the bound is what they give on the rest, with the
    Monte Carlo error of that.

    Args:
        expected: curves that readers expect who believe in each of q cells; shape (q, s, 41).
        likelihood: logarithms of how likely each belief makes each study; shape (s, q).
        true: the true curves; shape (s, 41).
        allowed: regret that each study may have; shape (s, r), for r rivals to be beaten.
        cell: the cell of each study; shape (s,).
    """
    cells, rivals = len(expected), allowed.shape[1]
    best = np.where(CUTS, true, -np.inf).max(axis=1)
    other = np.arange(len(true)) % 2 == 1
    halves = [[(cell == one) & half for one in range(cells)] for half in (~other, other)]
    weight = np.full((cells, rivals), 1 / (cells * rivals))
    found, bound, error = -np.inf, -np.inf, np.inf
    for turn in range(_ROUNDS):
        logs = np.log(weight.sum(axis=1)) + likelihood
        share = np.exp(logs - logsumexp(logs, axis=1, keepdims=True))
        chosen = highest(np.einsum("sq,qsk->sk", share, expected, optimize=True))
        over = best - (hat_weights(chosen) * true).sum(axis=1)
        over = over[:, None] - allowed
        learn, judge = (np.array([over[mine].mean(axis=0) for mine in half]) for half in halves)
        if (weight * learn).sum() > found:
            found, bound = float((weight * learn).sum()), float((weight * judge).sum())
            judged = zip(halves[1], weight, strict=True)
            error = np.sqrt(sum(np.var(over[mine] @ part) / mine.sum() for mine, part in judged))
        weight = weight * np.exp(_STEP / np.sqrt(turn + 1) * learn)
        weight = np.maximum(weight / weight.sum(), 1e-12)
    return bound, float(error)
