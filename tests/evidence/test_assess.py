"""The whole answer for one athlete: what it says, refuses and never claims."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from taperback.evidence.assess import assess
from taperback.evidence.model import Classical, Evidence, Ranked, Refusal, Rule, Slope
from taperback.evidence.priors import FACTORS

CUTS = [0.21, 0.45, 0.04, 0.52, 0.63]
RESULTS = [0.4, 2.1, -1.0, 0.5, 0.5]


def races(n: int = 5, **columns: list[float]) -> pd.DataFrame:
    """So many races with these cuts, everything else as usual."""
    values = {
        "volume_cut": CUTS[:n],
        "intensity_kept": [1.0] * n,
        "sleep_change_h": [0.0] * n,
        "body_clock_lag_h": [0.0] * n,
    } | columns
    return pd.DataFrame(
        values, index=[f"race {place}" for place in range(n)], columns=list(FACTORS)
    )


def result(x: pd.DataFrame, y: list[float]) -> Evidence:
    outcome = pd.Series(y, index=x.index, dtype=float)
    return assess(x, outcome, outcome_name="result_pct", more_is_good=True)


def rule(evidence: Evidence) -> Rule:
    assert evidence.rule is not None
    return evidence.rule


def test_with_no_races_the_answer_is_the_published_one() -> None:
    evidence = result(races(0), [])
    assert evidence.n == 0
    assert {factor.strength for factor in evidence.factors} == {"published only"}
    for factor in evidence.factors:
        assert factor.personal == factor.published
        assert factor.moved_bits == pytest.approx(0.0, abs=1e-9)
        assert isinstance(factor.ranked, Refusal)
    assert rule(evidence).parts[0].best == 0.5


def test_races_that_follow_the_curve_move_the_estimate_up() -> None:
    cut = result(races(), [0.2, 2.9, -1.6, 3.0, 1.0]).factors[0]
    assert cut.personal.mean > cut.published.mean
    assert cut.more_is_better > 0.9
    assert cut.moved_bits > 0


def test_a_better_optimum_elsewhere_moves_the_rule_there() -> None:
    x = races(8, volume_cut=[0.2, 0.25, 0.3, 0.35, 0.5, 0.55, 0.6, 0.65])
    x = x.assign(intensity_kept=1.0, sleep_change_h=0.0, body_clock_lag_h=0.0)
    y = [4.0, 4.5, 4.2, 3.0, -1.0, -1.5, -2.0, -2.0]
    assert rule(result(x, y)).parts[0].best <= 0.35


def test_rpe_gets_no_rule_and_is_centred_on_nothing() -> None:
    x = races()
    y = pd.Series([8.0, 7.5, 9.0, 8.5, 8.0], index=x.index)
    evidence = assess(x, y, outcome_name="race_rpe", more_is_good=False)
    assert evidence.rule is None
    assert [factor.published.mean for factor in evidence.factors] == pytest.approx([0.0] * 4)


def test_lower_rpe_counts_as_better() -> None:
    x = races()
    y = pd.Series([8.0, 6.0, 9.5, 6.0, 6.0], index=x.index)
    assert assess(x, y, outcome_name="race_rpe", more_is_good=False).factors[0].more_is_better > 0.5


def test_a_factor_that_never_changed_is_refused_and_stays_published() -> None:
    sleep = result(races(), RESULTS).factors[2]
    assert isinstance(sleep.slope, Refusal)
    assert np.isnan(sleep.p_holm)
    assert sleep.strength == "published only"


def test_a_missing_value_leaves_the_race_out_of_that_factor_and_says_so() -> None:
    x = races(sleep_change_h=[0.1, np.nan, -0.2, -1.3, -0.3])
    sleep = result(x, RESULTS).factors[2]
    assert sleep.labels == ("race 0", "race 2", "race 3", "race 4")
    assert sleep.missing == (("race 1", "it is not known for this race"),)


def test_a_missing_value_makes_the_race_count_less_and_never_more() -> None:
    full = result(races(), RESULTS).factors[0]
    missing = result(races(volume_cut=[0.21, np.nan, 0.04, 0.52, 0.63]), RESULTS).factors[0]
    assert missing.moved_bits < full.moved_bits


def test_four_races_get_ranks_but_no_line() -> None:
    cut = result(races(4), RESULTS[:4]).factors[0]
    assert isinstance(cut.ranked, Ranked)
    assert isinstance(cut.classical, Refusal)
    assert cut.classical.needed == "at least 5 races with a known value"
    assert cut.classical.had == "4 races"


def test_five_races_get_a_line_and_the_race_that_carries_it() -> None:
    cut = result(races(), RESULTS).factors[0]
    assert isinstance(cut.classical, Classical)
    assert cut.classical.carried_by in cut.labels
    assert cut.classical.low < cut.classical.estimate < cut.classical.high


def test_one_race_alone_never_sets_a_line() -> None:
    lag = result(races(body_clock_lag_h=[0, 0, 0, 0, 2.0]), RESULTS).factors[3]
    assert isinstance(lag.classical, Refusal)
    assert "one race alone would set the line" in lag.classical.had
    assert lag.carried_by == "race 4"


def test_without_a_line_the_race_that_moves_the_median_slope_most_carries_it() -> None:
    cut = result(races(4), [0.0, 0.1, 0.0, 5.0]).factors[0]
    assert isinstance(cut.classical, Refusal)
    assert isinstance(cut.slope, Slope)
    moves = {label: abs(slope - cut.slope.estimate) for label, slope in cut.slope.without}
    assert cut.carried_by == max(moves, key=moves.__getitem__)


def test_strength_needs_the_races_and_not_only_the_prior() -> None:
    """A prior that is nearly sure is not called supported when the races say nothing."""
    quiet = result(races(), [0.0, 0.01, 0.0, -0.01, 0.0])
    assert all(factor.strength in ("published only", "leaning") for factor in quiet.factors)


def test_a_large_effect_in_many_races_becomes_strong() -> None:
    cuts = np.linspace(0.0, 0.5, 12)
    x = races(12, volume_cut=list(cuts)).assign(
        intensity_kept=1.0, sleep_change_h=0.0, body_clock_lag_h=0.0
    )
    evidence = result(x, list(10 * cuts + 0.1 * np.cos(np.arange(12))))
    assert evidence.factors[0].strength == "strong"


def test_an_added_constant_changes_no_effect() -> None:
    plain, shifted = result(races(), RESULTS), result(races(), [value + 5 for value in RESULTS])
    for one, other in zip(plain.factors, shifted.factors, strict=True):
        assert other.personal.mean == pytest.approx(one.personal.mean, abs=0.02)
        assert other.p_holm == pytest.approx(one.p_holm, nan_ok=True)


def test_order_of_races_changes_nothing() -> None:
    x = races()
    y = pd.Series(RESULTS, index=x.index)
    place = [3, 1, 4, 0, 2]
    mixed = assess(x.iloc[place], y.iloc[place], outcome_name="result_pct", more_is_good=True)
    plain = result(x, RESULTS)
    mixed_part, plain_part = rule(mixed).parts[0], rule(plain).parts[0]
    assert (mixed_part.low, mixed_part.best) == (plain_part.low, plain_part.best)
    assert mixed.factors[0].personal.mean == pytest.approx(plain.factors[0].personal.mean)


def test_a_rule_stays_inside_what_was_published_or_tried() -> None:
    part = rule(result(races(), RESULTS)).parts[0]
    assert 0.04 <= part.low <= part.best <= part.high <= 0.70


def test_a_rule_never_asks_for_more_training_than_usual() -> None:
    x = races(volume_cut=[-0.3, -0.2, 0.1, 0.3, 0.5])
    assert rule(result(x, [5.0, 4.0, 1.0, -1.0, -3.0])).parts[0].low >= 0.0


def test_sensitivity_is_told_for_the_assumption_and_its_bounds() -> None:
    rows = rule(result(races(), RESULTS)).sensitivity
    assert [row[0] for row in rows] == [2.0, 2.5, 5.0]


def test_what_teaches_most_lies_in_the_published_range_and_was_not_just_done() -> None:
    taught = rule(result(races(), RESULTS)).teaches_most
    assert 0.20 <= taught <= 0.70
    x = races(8, volume_cut=[0.7] * 4 + [0.65] * 4).assign(
        intensity_kept=1.0, sleep_change_h=0.0, body_clock_lag_h=0.0
    )
    assert rule(result(x, [0.1, 0.2] * 4)).teaches_most < 0.6
