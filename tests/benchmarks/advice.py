"""How good is the advice? Simulated athletes whose truth is known.

    python tests/benchmarks/advice.py [--studies 300] [--out reports/advice.csv]

For populations of athletes, sizes of race-to-race noise and numbers of races it prints, with the
Monte Carlo error: coverage of the 50% and 90% intervals; the share of studies that call any factor
*leaning*, *supported* or *strong* although nothing has an effect, also where the athlete gets
fitter over the years and cuts more each time; and the regret (best achievable minus
achieved, in percent of race time) of our rule, of copying the best race week, of the optimum of a
fitted parabola, and of the middle of the published range.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from itertools import product
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "analysis"))

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, hat_weights, pinned_kernel, posterior
from taperback.evidence.model import STRENGTHS
from taperback.evidence.priors import result_prior
from taperback.evidence.rule import best_range
from taperback.evidence.words import factor_strengths

SEED = 20_301_125
NOISES = (1.2, 1.8, 2.5, 4.0)
RACES = (3, 5, 8, 12)
MIDPOINT = 0.505
OWN_SD = 1.5
"""How far a simulated athlete's curve lies from the published one [%, SD]."""
CHECKED_CUTS = np.array([0.3, 0.5, 0.7])
PRIOR = result_prior()
WORTHWHILE = PUBLISHED.noise.worthwhile_share.value

_OWN = np.linalg.cholesky(pinned_kernel(KNOTS, 1.0, PRIOR.length_scale) + 1e-9 * np.eye(len(KNOTS)))


def own_curve(rng: np.random.Generator, sd: float) -> np.ndarray:
    """A smooth deviation of one athlete's curve, nought at no cut; shape (41,)."""
    return sd * (_OWN @ rng.standard_normal(len(KNOTS)))


def elsewhere(rng: np.random.Generator) -> np.ndarray:
    """The published curve for an athlete whose best cut lies 10 to 20 points to either side."""
    best = MIDPOINT + rng.choice([-1, 1]) * rng.uniform(0.1, 0.2)
    stretched = np.interp(np.clip(KNOTS * MIDPOINT / best, -1, 1), KNOTS, PRIOR.curve_mean)
    return stretched + own_curve(rng, 0.5)


def far(rng: np.random.Generator) -> np.ndarray:
    """The published curve drawn together so far that the published best is a loss."""
    best = rng.uniform(0.2, 0.3)
    stretched = np.interp(np.clip(KNOTS * MIDPOINT / best, -1, 1), KNOTS, PRIOR.curve_mean)
    return stretched + own_curve(rng, 0.5)


CURVES: dict[str, Callable[[np.random.Generator], np.ndarray]] = {
    "published": lambda rng: PRIOR.curve_mean + own_curve(rng, OWN_SD),
    "elsewhere": elsewhere,
    "far": far,
    "flat": lambda rng: np.zeros(len(KNOTS)),
    "steep": lambda rng: 2 * PRIOR.curve_mean + own_curve(rng, OWN_SD),
    "outliers": lambda rng: PRIOR.curve_mean + own_curve(rng, OWN_SD),
    "trend": lambda rng: PRIOR.curve_mean + own_curve(rng, OWN_SD),
}
"""Populations of athletes: name -> the curve of one of them at `KNOTS`."""

CALLED = STRENGTHS[1:]
"""The words that races must earn; each share is of studies with a factor called so, or stronger."""

AS_MODELLED = ("published",)
"""Populations in which every assumption of the model holds. `far` breaks them on purpose: athletes
whose best cut is half the published one, to show what the advice costs those."""


def race_weeks(rng: np.random.Generator, n: int) -> np.ndarray:
    """What an athlete did before n races; shape (n, 4)."""
    away = rng.random(n) < 0.2
    return np.column_stack(
        [
            rng.uniform(0.05, 0.75, n),
            rng.normal(1.0, 0.2, n),
            rng.normal(0.0, 0.6, n),
            np.where(away, rng.uniform(0.5, 5.0, n), 0.0),
        ]
    )


def outcomes(
    rng: np.random.Generator,
    population: str,
    x: np.ndarray,
    curve: np.ndarray,
    effects: np.ndarray,
    noise: float,
) -> np.ndarray:
    """How the races came out [%]; shape (n,)."""
    n = len(x)
    y = hat_weights(x[:, 0]) @ curve + (x[:, 1:] - [1, 0, 0]) @ effects
    y += rng.normal(0, noise, n) + rng.normal(0, 3)
    if population == "outliers":
        y -= np.where(rng.random(n) < 0.1, rng.uniform(4, 9, n), 0.0)
    if population == "trend":
        y += 0.6 * np.arange(n)
    return y


def one_study(rng: np.random.Generator, population: str, n: int, noise: float) -> dict[str, float]:
    """One athlete: whether intervals held the truth, and what each way of choosing lost."""
    curve = CURVES[population](rng)
    effects = PRIOR.effect_mean + PRIOR.effect_sd * rng.standard_normal(3)
    x = race_weeks(rng, n)
    y = outcomes(rng, population, x, curve, effects, noise)
    after = posterior(PRIOR, x, y)
    of = np.zeros((len(CHECKED_CUTS) + 3, 1 + len(KNOTS) + 3))
    of[: len(CHECKED_CUTS), 1 : 1 + len(KNOTS)] = hat_weights(CHECKED_CUTS)
    of[len(CHECKED_CUTS) :, 1 + len(KNOTS) :] = np.eye(3)
    truth = np.concatenate([hat_weights(CHECKED_CUTS) @ curve, effects])
    told = {}
    for share in (0.5, 0.9):
        low, high = after.intervals(of, share)
        told[f"cover{100 * share:.0f}"] = float(np.mean((low <= truth) & (truth <= high)))
    _, _, best = best_range(after, x, WORTHWHILE * after.noise_estimate().mean)
    reachable = curve[(KNOTS >= 0) & (KNOTS <= 0.9)].max()
    chosen = {
        "rule": best,
        "copy": x[np.argmax(y), 0],
        "parabola": parabola_best(x[:, 0], y),
        "midpoint": MIDPOINT,
    }
    for way, cut in chosen.items():
        told[f"regret_{way}"] = float(reachable - np.interp(cut, KNOTS, curve))
    return told


def parabola_best(cut: np.ndarray, y: np.ndarray) -> float:
    """The best cut of a parabola fitted by least squares, within what was tried."""
    second, first, _ = np.polyfit(cut, y, 2)
    low, high = float(cut.min()), float(cut.max())
    if second < 0:
        return float(np.clip(-first / (2 * second), low, high))
    return (
        high if np.polyval([second, first, 0], high) > np.polyval([second, first, 0], low) else low
    )


def null_study(rng: np.random.Generator, n: int, noise: float, years: bool) -> list[bool]:
    """Whether any factor is called each of `CALLED` where nothing has an effect.

    With `years` the athlete gets fitter by 4% in all and cuts more from race to race.
    """
    x = race_weeks(rng, n)
    y = rng.normal(0, noise, n) + rng.normal(0, 3)
    if years:
        x[:, 0] = np.sort(x[:, 0])
        y += np.linspace(0, 4, n)
    words = factor_strengths(PRIOR, x, y, good=1.0)
    return [any(word in STRENGTHS[STRENGTHS.index(least) :] for word in words) for least in CALLED]


def simulate(
    studies: int,
    *,
    populations: tuple[str, ...] = tuple(CURVES),
    noises: tuple[float, ...] = NOISES,
    races: tuple[int, ...] = RACES,
    seed: int = SEED,
) -> pd.DataFrame:
    """One row a cell: population, noise, races, and each figure with its Monte Carlo error."""
    rows = []
    for population in populations:
        for noise in noises:
            for n in races:
                key = [seed, sorted(CURVES).index(population), int(10 * noise), n]
                rng = np.random.default_rng(key)
                table = pd.DataFrame([one_study(rng, population, n, noise) for _ in range(studies)])
                error = table.std() / np.sqrt(studies)
                rows.append(
                    {"population": population, "noise_pct": noise, "races": n, "studies": studies}
                    | table.mean().to_dict()
                    | {f"{name}_se": value for name, value in error.items()}
                )
    return pd.DataFrame(rows)


def simulate_null(
    studies: int,
    *,
    noises: tuple[float, ...] = NOISES,
    races: tuple[int, ...] = (5, 8, 12),
    seed: int = SEED,
) -> pd.DataFrame:
    """One row a cell: shares of studies with any factor called something for nothing."""
    rows = []
    for changes, noise, n in product(("nothing", "years"), noises, races):
        rng = np.random.default_rng([seed, 99, int(10 * noise), n])
        called = [null_study(rng, n, noise, changes == "years") for _ in range(studies)]
        share = dict(zip(CALLED, np.mean(called, axis=0), strict=True))
        error = {f"{name}_se": np.sqrt(p * (1 - p) / studies) for name, p in share.items()}
        cell = {"changes": changes, "noise_pct": noise, "races": n, "studies": studies}
        rows.append(cell | share | error)
    return pd.DataFrame(rows)


def main() -> None:
    """Prints the tables and writes them."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--studies", type=int, default=300)
    words.add_argument("--out", type=Path, default=None)
    asked = words.parse_args()
    table, null = simulate(asked.studies), simulate_null(asked.studies)
    shown = [name for name in table if not name.endswith("_se")]
    print(f"seed {SEED}, {asked.studies} studies a cell")
    print(table[shown].round(3).to_string(index=False))
    print(null.round(3).to_string(index=False))
    regrets = table[table["races"] == 5].groupby("population").mean(numeric_only=True)
    print(regrets[[name for name in regrets if name.startswith("regret") and "_se" not in name]])
    if asked.out:
        table.round(4).to_csv(asked.out, index=False, lineterminator="\n")
        null.round(4).to_csv(
            asked.out.with_name(asked.out.stem + "_no_effect.csv"), index=False, lineterminator="\n"
        )


if __name__ == "__main__":
    main()
