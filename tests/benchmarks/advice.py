"""How good is the advice? Simulated athletes whose truth is known.

    python tests/benchmarks/advice.py [--studies 300] [--out reports/advice.csv]

For the populations of `athletes.py`, sizes of race-to-race noise and numbers of races it prints,
with the Monte Carlo error: coverage of the 50% and 90% intervals; how often the athlete's own best
lies in the range of the rule, and how often that is said; the regret (best achievable minus
achieved, in percent of race time) of our rule, what the rule says of it, and the regret of copying
the best race week, of the optimum of a fitted parabola, of always cutting by half, and of the
informed reader, whom no rule beats. Then how far the rule fails its rivals in the worst population,
beside how far every rule does (`informed.py`), and the share of studies that call any factor
*leaning*, *supported* or *strong* although nothing has an effect. What can be chosen was chosen on
the first set of populations, not on the second.
"""

from __future__ import annotations

import argparse
import sys
from itertools import product
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "analysis"))
sys.path.insert(0, str(Path(__file__).resolve().parent))

from athletes import CHOSEN_ON, POPULATIONS, Drawn, Population, any_weeks, draw, null_weeks
from informed import informed_curves, informed_cuts, least_favourable
from many import best_cuts, posteriors, words_of
from scipy.special import logsumexp

from taperback.evidence.additive import EFFECTS, KNOTS, hat_weights, posterior
from taperback.evidence.effects import SIZE, curve_at
from taperback.evidence.model import STRENGTHS
from taperback.evidence.priors import result_prior
from taperback.evidence.rule import cut_range, own_best

SEED = 20_301_125
NOISES = (1.2, 1.8, 2.5, 4.0)
RACES = (3, 5, 8, 12, 20)
NULL_RACES = (4, 5, 6, 8, 12, 20, 30)
NULLS = {"nothing": True, "years": True, "habit": False, "drift": False}
"""What changes although nothing has an effect: whether the words were chosen on it."""
HALF = 0.5
PRICE = 0.1
"""What looking may cost where everyone's best is the published one [%]."""
CHECKED_CUTS = np.array([0.3, 0.5, 0.7])
PRIOR = result_prior()
EFFECTS_OF = (PRIOR.effect_mean, PRIOR.effect_sd)
CALLED = STRENGTHS[1:]
"""The words that races must earn; each share is of studies with a factor called so, or stronger."""
_ASKED = np.vstack([curve_at(CHECKED_CUTS), np.eye(SIZE)[EFFECTS]])
_RULES = 40
"""Of so many studies a cell it is asked what is said of the best, which takes longer."""


def study_cell(drawn: Drawn, population: Population) -> pd.DataFrame:
    """One row a study: whether intervals held the truth, and what each way of choosing lost."""
    after = posteriors(PRIOR, drawn.x, drawn.y, _ASKED)
    truth = np.hstack([drawn.curves @ hat_weights(CHECKED_CUTS).T, drawn.effects])
    figures = {}
    for share in (0.5, 0.9):
        low, high = (after.quantile(level) for level in ((1 - share) / 2, (1 + share) / 2))
        figures[f"cover{100 * share:.0f}"] = ((low <= truth) & (truth <= high)).mean(axis=1)
    studies = np.arange(len(drawn.y))
    chosen = {
        "rule": best_cuts(after, drawn.x),
        "copy": drawn.x[studies, np.argmax(drawn.y, axis=1), 0],
        "parabola": np.array(
            [parabola_best(*one) for one in zip(drawn.x[..., 0], drawn.y, strict=True)]
        ),
        "half": np.full(len(studies), HALF),
        "informed": informed_cuts(drawn, population, EFFECTS_OF),
    }
    for way, cut in chosen.items():
        figures[f"regret_{way}"] = regret(drawn.curves, cut)
    for way in ("copy", "half"):
        figures[f"rule_less_{way}"] = figures["regret_rule"] - figures[f"regret_{way}"]
    return pd.DataFrame(figures).join(said_of_the_best(drawn))


def regret(curves: np.ndarray, cut: np.ndarray) -> np.ndarray:
    """What each cut loses against the best of its curve; (s, 41) and (s,) to (s,)."""
    reachable = curves[:, (KNOTS > -1e-9) & (KNOTS < 0.9 + 1e-9)].max(axis=1)
    lost: np.ndarray = reachable - (hat_weights(cut) * curves).sum(axis=1)
    return lost


def said_of_the_best(drawn: Drawn) -> pd.DataFrame:
    """What the rule says of the athlete's own best, and whether it lies in the range."""
    rows = []
    for curve, x, y in list(zip(drawn.curves, drawn.x, drawn.y, strict=True))[:_RULES]:
        after = posterior(PRIOR, x, y)
        cut = cut_range(after, x)
        own = float(KNOTS[KNOTS > -1e-9][np.argmax(curve[KNOTS > -1e-9])])
        inside = cut.low - 1e-9 <= own <= cut.high + 1e-9
        rows.append((float(inside), *own_best(after, cut)))
    return pd.DataFrame(rows, columns=["inside", "inside_said", "not_knowing_said"])


def parabola_best(cut: np.ndarray, y: np.ndarray) -> float:
    """The best cut of a parabola fitted by least squares, within what was tried."""
    second, first, _ = np.polyfit(cut, y, 2)
    low, high = float(cut.min()), float(cut.max())
    if second < 0:
        return float(np.clip(-first / (2 * second), low, high))
    at_low, at_high = np.polyval([second, first, 0], [low, high])
    return high if at_high > at_low else low


def simulate(
    studies: int,
    *,
    populations: tuple[str, ...] = tuple(POPULATIONS),
    noises: tuple[float, ...] = NOISES,
    races: tuple[int, ...] = RACES,
    seed: int = SEED,
) -> pd.DataFrame:
    """One row a cell: population, noise, races, and each figure with its Monte Carlo error."""
    rows = []
    for population, noise, n in product(populations, noises, races):
        drawn = drawn_cell(population, noise, (studies, n), seed)
        table = study_cell(drawn, POPULATIONS[population])
        error = table.std() / np.sqrt(table.count())
        cell = {
            "chosen_on": population in CHOSEN_ON,
            "population": population,
            "noise_pct": noise,
            "races": n,
            "studies": studies,
        }
        rows.append(cell | table.mean().to_dict() | {f"{k}_se": v for k, v in error.items()})
    return pd.DataFrame(rows)


def drawn_cell(population: str, noise: float, size: tuple[int, int], seed: int = SEED) -> Drawn:
    """The studies of one cell, so many of so many races."""
    place = list(POPULATIONS).index(population)
    rng = np.random.default_rng([seed, place, int(10 * noise), size[1]])
    return draw(rng, POPULATIONS[population], EFFECTS_OF, size, noise)


def simulate_bound(studies: int, *, races: tuple[int, ...] = RACES[1:]) -> pd.DataFrame:
    """One row a number of races: how far every rule, and ours, fails its rivals somewhere.

    Rivals are copying the best race week and always cutting by half; where everyone's best is the
    published one, half may be missed by `PRICE`. As a rule must do for athletes of any level, the
    bound's reader does not know it. Populations with a trend, bad days or habits, and the one
    without any effect, are left out.
    """
    plain = {
        name: one
        for name, one in POPULATIONS.items()
        if one.weeks is any_weeks and one.starts == 1 and not one.trend_pct + one.bad_days
    }
    plain.pop("flat")
    rows = []
    for n in races:
        cells = list(product(plain, NOISES))
        drawn = [drawn_cell(name, noise, (studies, n)) for name, noise in cells]
        every = Drawn(*(np.concatenate(part) for part in zip(*map(vars_of, drawn), strict=True)))
        cell = np.repeat([list(plain).index(name) for name, _ in cells], studies)
        believed = [_believing(every, population) for population in plain.values()]
        copied = every.x[np.arange(len(cell)), np.argmax(every.y, axis=1), 0]
        half = regret(every.curves, np.full(len(cell), HALF))
        half += np.where([list(plain.values())[one].differ for one in cell], 0.0, PRICE)
        allowed = np.stack([regret(every.curves, copied), half], axis=1)
        bound, error = least_favourable(
            np.array([curves for curves, _ in believed]),
            np.stack([logs for _, logs in believed], axis=1),
            every.curves,
            allowed,
            cell,
        )
        after = posteriors(PRIOR, every.x, every.y, _ASKED)
        over = regret(every.curves, best_cuts(after, every.x))[:, None] - allowed
        worst = max(over[cell == one].mean(axis=0).max() for one in range(len(plain)))
        bounds = {"every_rule": bound, "every_rule_se": error, "our_rule": worst}
        rows.append({"races": n, "studies": studies} | bounds)
    return pd.DataFrame(rows)


def vars_of(drawn: Drawn) -> tuple[np.ndarray, ...]:
    """The arrays of drawn studies."""
    return tuple(vars(drawn).values())


def _believing(drawn: Drawn, population: Population) -> tuple[np.ndarray, np.ndarray]:
    """Expected curves and log likelihoods of a reader who knows the population and no more.

    Neither noise nor level is known, as no rule knows them.
    """
    level_sd = PRIOR.level_sd
    each = [
        informed_curves(
            drawn, population, EFFECTS_OF, drawn.y, np.full(drawn.y.shape, noise), level_sd
        )
        for noise in NOISES
    ]
    logs = np.stack([one for _, one in each], axis=1)
    share = np.exp(logs - logsumexp(logs, axis=1, keepdims=True))
    curves = np.einsum("sv,vsk->sk", share, np.array([one for one, _ in each]))
    return curves, logsumexp(logs, axis=1)


def simulate_null(
    studies: int,
    *,
    changes: tuple[str, ...] = tuple(NULLS),
    noises: tuple[float, ...] = NOISES,
    races: tuple[int, ...] = NULL_RACES,
    seed: int = SEED,
) -> pd.DataFrame:
    """One row a cell: shares of studies with any factor called something for nothing."""
    rows = []
    for change, noise, n in product(changes, noises, races):
        rng = np.random.default_rng([seed, list(NULLS).index(change), int(10 * noise), n])
        words = words_of(PRIOR, *null_weeks(rng, change, (studies, n), noise))
        strongest = np.array([max(map(STRENGTHS.index, study)) for study in words])
        share = {word: float(np.mean(strongest >= STRENGTHS.index(word))) for word in CALLED}
        error = {f"{name}_se": np.sqrt(p * (1 - p) / studies) for name, p in share.items()}
        cell = {"chosen_on": NULLS[change], "changes": change, "noise_pct": noise, "races": n}
        rows.append(cell | {"studies": studies} | share | error)
    return pd.DataFrame(rows)


def main() -> None:
    """Prints the tables and writes them."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--studies", type=int, default=300)
    words.add_argument("--out", type=Path, default=None)
    asked = words.parse_args()
    table, null = simulate(asked.studies), simulate_null(asked.studies)
    bound = simulate_bound(asked.studies)
    shown = [name for name in table if not name.endswith("_se")]
    print(f"seed {SEED}, {asked.studies} studies a cell")
    for (_, population), cells in table.groupby(["chosen_on", "population"], sort=False):
        print(f"\n{population}")
        means = cells.groupby("races")[shown[5:]].mean()
        print(means.round(3).to_string())
    print(
        f"\nbeyond the rivals in the worst population [%]\n{bound.round(3).to_string(index=False)}"
    )
    print(null.groupby(["changes", "races"], sort=False)[list(CALLED)].mean().round(3).to_string())
    if asked.out:
        table.round(4).to_csv(asked.out, index=False, lineterminator="\n")
        for name, one in (("no_effect", null), ("bound", bound)):
            place = asked.out.with_name(f"{asked.out.stem}_{name}.csv")
            one.round(4).to_csv(place, index=False, lineterminator="\n")


if __name__ == "__main__":
    main()
