"""Simulated athletes whose truth is known: their curves, what they did, and how it came out.

Two sets of populations. What can be chosen in the model (the shape of the published curve, how far
the place of the best may lie, when the rule leaves the published best, the limits of the words) was
chosen on `CHOSEN_ON`; `REPORTED` was looked at once, when everything was chosen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from taperback.evidence.additive import KNOTS, hat_weights, pinned_kernel

MIDPOINT = 0.505
OWN_SD = 1.5
"""How far a simulated athlete's curve lies from the published one [%, SD]."""
BENT = 2.5 * np.interp(
    KNOTS, [0.0, 0.10, 0.305, 0.505, 0.70, 1.0], [0.0, -0.02, 0.27, 0.72, 0.27, 0.0]
)
"""The published bins joined by straight lines [%]: a truth with its best at a corner."""
_OWN = np.linalg.cholesky(pinned_kernel(KNOTS, 1.0, 0.20) + 1e-9 * np.eye(len(KNOTS)))

Draw = Callable[[np.random.Generator, int], np.ndarray]


def own_curves(rng: np.random.Generator, studies: int, sd: float) -> np.ndarray:
    """Smooth deviations of athletes' curves, zero at no cut; shape (s, 41)."""
    return sd * rng.standard_normal((studies, len(KNOTS))) @ _OWN.T


def bent(best: np.ndarray) -> np.ndarray:
    """The published bins stretched so that the best lies there; `best` is (s,), result (s, 41)."""
    at = np.clip(KNOTS * MIDPOINT / best[:, None], -1, 1)
    return np.interp(at, KNOTS, BENT)


def round_hill(best: np.ndarray, height: np.ndarray, width: np.ndarray) -> np.ndarray:
    """Bell-shaped curves, zero at no cut; arguments (s,), result (s, 41)."""
    bell = np.exp(-0.5 * ((KNOTS - best[:, None]) / width[:, None]) ** 2)
    at_none = np.exp(-0.5 * (best / width) ** 2)[:, None]
    return height[:, None] * (bell - at_none) / (1 - at_none)


def _bent(rng: np.random.Generator, s: int) -> np.ndarray:
    return np.tile(BENT, (s, 1))


def _twice(rng: np.random.Generator, s: int) -> np.ndarray:
    return 2 * _bent(rng, s)


def _elsewhere(rng: np.random.Generator, s: int) -> np.ndarray:
    return bent(MIDPOINT + rng.choice([-1, 1], s) * rng.uniform(0.1, 0.2, s))


def _far(rng: np.random.Generator, s: int) -> np.ndarray:
    return bent(rng.uniform(0.2, 0.3, s))


def _flat(rng: np.random.Generator, s: int) -> np.ndarray:
    return np.zeros((s, len(KNOTS)))


def _wide(rng: np.random.Generator, s: int) -> np.ndarray:
    """Half a cosine wave, as broad as the published bins allow; the best varies by 15 points."""
    best = np.clip(rng.normal(0.5, 0.15, s), 0.15, 0.85)[:, None]
    wave = np.cos(np.clip((KNOTS - best) / 0.45, -1, 1) * np.pi / 2)
    return 1.6 * (wave - wave[:, [20]])


def _varied(rng: np.random.Generator, s: int) -> np.ndarray:
    best = np.clip(rng.normal(0.48, 0.12, s), 0.15, 0.85)
    height = 1.8 * np.exp(0.5 * rng.standard_normal(s))
    return round_hill(best, height, rng.uniform(0.15, 0.30, s))


def _alike(rng: np.random.Generator, s: int) -> np.ndarray:
    same = np.ones(s)
    return round_hill(0.5 * same, 1.8 * same, 0.2 * same)


def _early(rng: np.random.Generator, s: int) -> np.ndarray:
    best = rng.uniform(0.15, 0.40, s)
    return round_hill(best, rng.uniform(1.0, 3.0, s), rng.uniform(0.12, 0.25, s))


def any_weeks(rng: np.random.Generator, s: int, n: int) -> np.ndarray:
    """What athletes did before n races: everything; shape (s, n, 4)."""
    away = rng.random((s, n)) < 0.2
    return np.stack(
        [
            rng.uniform(0.05, 0.75, (s, n)),
            rng.normal(1.0, 0.2, (s, n)),
            rng.normal(0.0, 0.6, (s, n)),
            np.where(away, rng.uniform(0.5, 5.0, (s, n)), 0.0),
        ],
        axis=2,
    )


def habit_weeks(rng: np.random.Generator, s: int, n: int) -> np.ndarray:
    """As above, of athletes who cut by habit: within 12 points of their own."""
    x = any_weeks(rng, s, n)
    habit = rng.uniform(0.10, 0.65, (s, 1))
    x[..., 0] = np.clip(habit + rng.uniform(-0.12, 0.12, (s, n)), 0.0, 0.9)
    return x


def growing_weeks(rng: np.random.Generator, s: int, n: int) -> np.ndarray:
    """As `any_weeks`, each cut about as large as the last or larger."""
    x = any_weeks(rng, s, n)
    x[..., 0] = np.sort(x[..., 0], axis=1)
    return x


@dataclass(frozen=True)
class Drawn:
    """Studies: what is true of each athlete, what was done, and what came of it.

    Attributes:
        curves: at `KNOTS`, shape (s, 41). effects: of the straight factors, (s, 3).
        x, y: race weeks, (s, n, 4), and outcomes, (s, n).
        clear: the outcomes without bad days and trend. noise: SD of each around it. Both (s, n);
            no rule sees either.
    """

    curves: np.ndarray
    effects: np.ndarray
    x: np.ndarray
    y: np.ndarray
    clear: np.ndarray
    noise: np.ndarray


@dataclass(frozen=True)
class Population:
    """Athletes of one kind.

    Attributes:
        typical: draws curves at `KNOTS`; own_sd: how far an athlete's lies from such a one [%, SD].
        weeks: draws what they did.
        differ: whether the athletes' bests differ.
        trend_pct: what each gains from one race to the next.
        bad_days: share of races that come out 4 to 9% worse.
        starts: most starts that share a week and are one point of that week's mean.
    """

    typical: Draw
    own_sd: float = 0.0
    weeks: Callable[[np.random.Generator, int, int], np.ndarray] = any_weeks
    differ: bool = True
    trend_pct: float = 0.0
    bad_days: float = 0.0
    starts: int = 1


CHOSEN_ON = {
    "published": Population(_bent, OWN_SD),
    "wide": Population(_wide, 0.4),
    "elsewhere": Population(_elsewhere, 0.5),
    "far": Population(_far, 0.5),
    "steep": Population(_twice, OWN_SD),
    "same": Population(_bent, differ=False),
    "flat": Population(_flat, differ=False),
    "outliers": Population(_bent, OWN_SD, bad_days=0.1),
    "trend": Population(_bent, OWN_SD, trend_pct=0.6),
}
REPORTED = {
    "varied": Population(_varied),
    "alike": Population(_alike, differ=False),
    "early": Population(_early),
    "habit": Population(_varied, weeks=habit_weeks),
    "habit, bent": Population(_bent, OWN_SD, habit_weeks),
    "growing": Population(_varied, weeks=growing_weeks, trend_pct=0.4),
    "growing, bent": Population(_bent, OWN_SD, growing_weeks, trend_pct=0.4),
    "shared weeks": Population(_varied, starts=3),
}
POPULATIONS = CHOSEN_ON | REPORTED
LEVEL_SD = 3.0
"""How far athletes' levels lie apart [%]."""


def draw(
    rng: np.random.Generator,
    population: Population,
    effects: tuple[np.ndarray, np.ndarray],
    size: tuple[int, int],
    noise: float,
) -> Drawn:
    """So many studies of so many race weeks; `effects` are mean and SD of the straight ones.

    Half the variance of starts that share a week is the week's own.
    """
    s, n = size
    curves = population.typical(rng, s) + own_curves(rng, s, population.own_sd)
    own = effects[0] + effects[1] * rng.standard_normal((s, 3))
    x = population.weeks(rng, s, n)
    height = (hat_weights(x[..., 0].ravel()).reshape(s, n, -1) @ curves[..., None])[..., 0]
    expected = height + ((x[..., 1:] - [1, 0, 0]) @ own[..., None])[..., 0]
    sd = noise * np.sqrt(0.5 + 0.5 / rng.integers(1, population.starts + 1, (s, n)))
    clear = expected + rng.normal(0, 1, (s, n)) * sd + rng.normal(0, LEVEL_SD, (s, 1))
    bad = np.where(rng.random((s, n)) < population.bad_days, rng.uniform(4, 9, (s, n)), 0.0)
    y = clear - bad + population.trend_pct * np.arange(n)
    return Drawn(curves, own, x, y, clear, sd)


def null_weeks(
    rng: np.random.Generator, kind: str, size: tuple[int, int], noise: float
) -> tuple[np.ndarray, np.ndarray]:
    """Studies in which nothing has an effect; shapes (s, n, 4) and (s, n).

    `years`: fitter by 4% in all, each cut larger than the last. `habit`: cuts by habit, with one
    bad day in ten. `drift`: fitter by 0.3% a race, cuts that mostly grow.
    """
    s, n = size
    x = habit_weeks(rng, s, n) if kind == "habit" else any_weeks(rng, s, n)
    y = rng.normal(0, noise, (s, n)) + rng.normal(0, LEVEL_SD, (s, 1))
    if kind == "years":
        x[..., 0] = np.sort(x[..., 0], axis=1)
        y += np.linspace(0, 4, n)
    if kind == "habit":
        y -= np.where(rng.random((s, n)) < 0.1, rng.uniform(4, 9, (s, n)), 0.0)
    if kind == "drift":
        ranks = np.argsort(np.argsort(np.arange(n) + n / 3 * rng.standard_normal((s, n))))
        x[..., 0] = np.take_along_axis(np.sort(x[..., 0], axis=1), ranks, axis=1)
        y += 0.3 * np.arange(n)
    return x, y
