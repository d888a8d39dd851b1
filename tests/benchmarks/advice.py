"""How good is the advice? Simulated athletes whose truth is known.

    python tests/benchmarks/advice.py [--studies 300] [--out reports/advice.csv]

For the populations of `athletes.py`, sizes of race-to-race noise and numbers of races it prints,
with the Monte Carlo error: coverage of the 50% and 90% intervals; how often the athlete's own best
lies in the range of the rule, and how often that is said; the regret (best achievable minus
achieved, in percent of race time) of our rule, what the rule says of it, and the regret of copying
the best race week, of the optimum of a fitted parabola, and of always cutting by half. Then the
share of studies that call any factor *leaning*, *supported* or *strong* although nothing has an
effect. What can be chosen was chosen on the first set of populations, not on the second.
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

from athletes import CHOSEN_ON, MIDPOINT, POPULATIONS, Drawn, draw, null_weeks
from many import best_cuts, posteriors, words_of

from taperback.evidence.additive import EFFECTS, KNOTS, hat_weights, posterior
from taperback.evidence.effects import SIZE, curve_at
from taperback.evidence.model import STRENGTHS
from taperback.evidence.priors import FACTORS, result_prior
from taperback.evidence.rule import cut_range, make_rule

SEED = 20_301_125
NOISES = (1.2, 1.8, 2.5, 4.0)
RACES = (3, 5, 8, 12, 20)
NULL_RACES = (4, 5, 6, 8, 12, 20, 30)
NULLS = {"nothing": True, "years": True, "habit": False, "drift": False}
"""What changes although nothing has an effect: whether the words were chosen on it."""
CHECKED_CUTS = np.array([0.3, 0.5, 0.7])
PRIOR = result_prior()
CALLED = STRENGTHS[1:]
"""The words that races must earn; each share is of studies with a factor called so, or stronger."""
_ASKED = np.vstack([curve_at(CHECKED_CUTS), np.eye(SIZE)[EFFECTS]])
_RULES = 40
"""Of so many studies a cell the whole rule is made, which takes longer."""


def study_cell(drawn: Drawn) -> pd.DataFrame:
    """One row a study: whether intervals held the truth, and what each way of choosing lost."""
    after = posteriors(PRIOR, drawn.x, drawn.y, _ASKED)
    truth = np.hstack([drawn.curves @ hat_weights(CHECKED_CUTS).T, drawn.effects])
    told = {}
    for share in (0.5, 0.9):
        low, high = (after.quantile(level) for level in ((1 - share) / 2, (1 + share) / 2))
        told[f"cover{100 * share:.0f}"] = ((low <= truth) & (truth <= high)).mean(axis=1)
    studies = np.arange(len(drawn.y))
    chosen = {
        "rule": best_cuts(after, drawn.x),
        "copy": drawn.x[studies, np.argmax(drawn.y, axis=1), 0],
        "parabola": np.array(
            [parabola_best(*one) for one in zip(drawn.x[..., 0], drawn.y, strict=True)]
        ),
        "half": np.full(len(studies), MIDPOINT),
    }
    reachable = drawn.curves[:, (KNOTS > -1e-9) & (KNOTS < 0.9 + 1e-9)].max(axis=1)
    for way, cut in chosen.items():
        told[f"regret_{way}"] = reachable - (hat_weights(cut) * drawn.curves).sum(axis=1)
    for way in ("copy", "half"):
        told[f"rule_less_{way}"] = told["regret_rule"] - told[f"regret_{way}"]
    return pd.DataFrame(told).join(said_of_the_best(drawn))


def said_of_the_best(drawn: Drawn) -> pd.DataFrame:
    """What the rule says of the athlete's own best, and whether it lies in the range."""
    rows = []
    words = dict.fromkeys(FACTORS, STRENGTHS[0])
    for curve, x, y in list(zip(drawn.curves, drawn.x, drawn.y, strict=True))[:_RULES]:
        after = posterior(PRIOR, x, y)
        rule = make_rule(after, x, words, FACTORS, before=cut_range(after, x))
        own = float(KNOTS[KNOTS > -1e-9][np.argmax(curve[KNOTS > -1e-9])])
        inside = rule.parts[0].low - 1e-9 <= own <= rule.parts[0].high + 1e-9
        rows.append((float(inside), rule.best_inside, rule.not_knowing))
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
        rng = np.random.default_rng([seed, list(POPULATIONS).index(population), int(10 * noise), n])
        effects = (PRIOR.effect_mean, PRIOR.effect_sd)
        drawn = draw(rng, POPULATIONS[population], effects, (studies, n), noise)
        table = study_cell(drawn)
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
    shown = [name for name in table if not name.endswith("_se")]
    print(f"seed {SEED}, {asked.studies} studies a cell")
    for (_, population), cells in table.groupby(["chosen_on", "population"], sort=False):
        print(f"\n{population}")
        means = cells.groupby("races")[shown[5:]].mean()
        print(means.round(3).to_string())
    print(null.groupby(["changes", "races"], sort=False)[list(CALLED)].mean().round(3).to_string())
    if asked.out:
        table.round(4).to_csv(asked.out, index=False, lineterminator="\n")
        null.round(4).to_csv(
            asked.out.with_name(asked.out.stem + "_no_effect.csv"), index=False, lineterminator="\n"
        )


if __name__ == "__main__":
    main()
