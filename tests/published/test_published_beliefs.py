"""What is believed before any race is seen, beside the studies that it was taken from."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from published.ledger import library
from taperback.common.outcomes import RESULT
from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, hat_weights, noise_grid, posterior
from taperback.evidence.assess import assess
from taperback.evidence.exact import spearman
from taperback.evidence.model import Evidence, Ranked, Rule
from taperback.evidence.points import points_of
from taperback.evidence.priors import FACTORS, result_prior

AREA = "statistics"
BOSQUET = "Bosquet et al. 2007, Med Sci Sports Exerc 39:1358-1365"
PER_UNIT = 2.5
"""Percent of time that one standardised unit is taken for; stated in `published.toml`."""


@pytest.fixture(scope="module")
def nothing_seen() -> Evidence:
    """The whole answer for an athlete without races."""
    none = pd.DataFrame(columns=list(FACTORS), dtype=float)
    return assess(points_of(none, pd.Series([], dtype=float)), RESULT)


def rule_of(evidence: Evidence) -> Rule:
    assert evidence.rule is not None
    return evidence.rule


def gain_over(low: float, high: float) -> float:
    """Expected gain of the cuts of a bin, in the mean, before any race is seen [%]."""
    curve = posterior(result_prior(), np.empty((0, 4)), np.empty(0))
    means = curve.weight @ curve.means[:, 1 : 1 + len(KNOTS)]
    return float((hat_weights(np.linspace(low, high, 101)) @ means).mean())


@pytest.mark.parametrize(
    ("bin_name", "ends", "effect", "half_width", "status"),
    [
        ("up to 20%", (0.0, 0.20), -0.02, 0.30, "from memory"),
        ("21-40%", (0.20, 0.40), 0.27, 0.23, "from memory"),
        ("41-60%", (0.40, 0.60), 0.72, 0.36, "published"),
        ("over 60%", (0.60, 0.90), 0.27, 0.30, "from memory"),
    ],
)
def test_the_curve_lies_within_the_published_intervals(
    outside, bin_name, ends, effect, half_width, status
) -> None:
    # a smooth curve cannot touch every mean; a third of the way to the interval's end is near
    measure = f"gain of volume cuts of {bin_name}, in the mean, before any race is seen"
    source = f"{BOSQUET}: {effect} +/- {half_width} standardised, times {PER_UNIT:g}% a unit"
    near = half_width * PER_UNIT / 3
    outside(measure, effect * PER_UNIT, gain_over(*ends), near, source, status, "%")


def test_the_best_cut_and_its_gain_lie_where_studies_found_them(outside, nothing_seen) -> None:
    cut = rule_of(nothing_seen).parts[0]
    source = "Wang et al. 2023, PLoS ONE 18:e0282838: works with a cut of 41-60%"
    outside("best volume cut without races", 0.505, cut.best, 0.095, source, "published")
    source = "Mujika and Padilla 2003, Med Sci Sports Exerc 35:1182-1187: gains of 0.5-6.0%"
    outside(
        "expected gain of the best volume cut without races",
        3.25,
        cut.gain.mean,
        2.75,
        source,
        "published",
        "%",
    )


def test_the_effects_of_intensity_and_sleep_are_the_published_ones(outside) -> None:
    prior = result_prior()
    effects = dict(zip(FACTORS[1:], prior.effect_mean.tolist(), strict=True))
    kept, lowered = 0.33, -0.02
    measure = "intensity kept against lowered, per whole of it"
    source = f"{BOSQUET}: {kept} kept, {lowered} lowered (the latter from memory)"
    ours = effects["intensity_kept"]
    outside(measure, (kept - lowered) * PER_UNIT, ours, 0.05, source, "from memory", "%")
    longer = (58.7 - 56.8) / 58.7 * 100 / 1.4
    shorter = (60.4 - 58.8) / 58.8 * 100 / 2.0
    measure = "an hour of sleep more, half of the laboratory's effect"
    source = "Roberts et al. 2019, Med Sci Sports Exerc 51:2516-2523: +1.4 h and about -2 h"
    ours = effects["sleep_change_h"]
    outside(measure, (longer + shorter) / 4, ours, 0.05, source, "published", "% an hour")


def test_the_noise_lies_between_elite_and_slower_runners(outside, nothing_seen) -> None:
    source = (
        "Paton and Hopkins 2005, Sportscience 9:1-5: 1.8% in elite triathlon; Hopkins and Hewson "
        "2001, Med Sci Sports Exerc: up to 4.2% in the fastest quartile of runners"
    )
    noise = nothing_seen.noise_published.mean
    outside("race-to-race noise without races", 3.0, noise, 1.2, source, "published", "%")
    share = rule_of(nothing_seen).worthwhile / noise
    source = "Hopkins and Hewson 2001, Med Sci Sports Exerc: 0.3 of race-to-race variation"
    measure = "smallest worthwhile change over race-to-race noise"
    outside(measure, 0.3, share, 1e-6, source, "published")


def test_the_prior_of_the_noise_holds_nine_tenths_between_its_ends(outside) -> None:
    noise, weight = noise_grid(2.6, 1.2, 5.6)
    scale = np.log(5.6 / 1.2) / (2 * stats.norm.ppf(0.95))
    exact = stats.lognorm(s=scale, scale=2.6)
    mean = float(weight @ noise)
    source = library("scipy", "stats.lognorm with 90% between the same ends")
    measure = "mean of the noise's grid of 28"
    outside(measure, float(exact.mean()), mean, 0.05, source, "reference library", "%")


def test_one_standard_unit_of_an_elite_field(outside) -> None:
    spread = PUBLISHED.outcome.field_spread_pct.value
    source = "Paton and Hopkins 2005, Sportscience 9:1-5: 2.9 of 115 min among elite triathletes"
    measure = "spread of a field that places are turned into time with"
    outside(measure, 290 / 115, spread, 0.03, source, "published", "%")


@pytest.mark.parametrize(("races", "found"), [(8, 0.15), (12, 0.31)])
def test_power_to_expect(outside, races: int, found: float) -> None:
    # A true effect of 1% per SD of exposure against 1.8% of noise, tested at 5%.
    rng = np.random.default_rng(races)
    hits, studies = 0, 500
    for _ in range(studies):
        x = rng.normal(size=races)
        result = spearman(x, x + 1.8 * rng.normal(size=races))
        assert isinstance(result, Ranked)
        hits += result.p_value <= 0.05
    measure = f"share of studies of {races} races that find a true effect of 1% per SD"
    source = "another simulation with 1.8% of noise (Paton and Hopkins 2005)"
    outside(measure, found, hits / studies, 0.05, source, "recomputed")
