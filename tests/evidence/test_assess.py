"""The whole answer for one athlete: what it says, refuses and never claims."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import taperback.evidence.assess as assess_room
from evidence.beliefs import SIZE, certain, peak, place
from taperback.common.outcomes import RESULT, RPE
from taperback.evidence.additive import KNOTS, Posterior, posterior
from taperback.evidence.assess import assess
from taperback.evidence.effects import effect_of
from taperback.evidence.model import Classical, Evidence, Ranked, Refusal, Rule, Slope
from taperback.evidence.points import Points, points_of
from taperback.evidence.priors import FACTORS, dose_curve, result_prior
from taperback.evidence.words import Beliefs

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
    return assess(points_of(x, outcome), RESULT)


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
    evidence = assess(points_of(x, y), RPE)
    assert evidence.rule is None
    assert [factor.published.mean for factor in evidence.factors] == pytest.approx([0.0] * 4)


def test_lower_rpe_counts_as_better() -> None:
    x = races()
    y = pd.Series([8.0, 6.0, 9.5, 6.0, 6.0], index=x.index)
    assert assess(points_of(x, y), RPE).factors[0].more_is_better > 0.5


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
    # the median slope would move most without race 4
    assert cut.carried_by == cut.classical.carried_by == "race 2"
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


def test_five_races_in_perfect_order_are_never_strong_and_four_never_supported() -> None:
    """Also where three of the four factors could not be tested: they were asked about, too."""
    sleep = [0.0, -1.0, 1.0, -0.5, 0.5]
    x = races(5, sleep_change_h=sleep).assign(volume_cut=0.5, body_clock_lag_h=np.nan)
    y = [10 * hours for hours in sleep]
    assert result(x, y).factors[2].strength == "supported"
    assert result(x[:4], y[:4]).factors[2].strength not in ("supported", "strong")


def test_strength_needs_the_races_and_not_only_the_prior() -> None:
    """A prior that is nearly sure is not called supported when the races say nothing."""
    quiet = result(races(), [0.0, 0.01, 0.0, -0.01, 0.0])
    assert all(factor.strength in ("published only", "leaning") for factor in quiet.factors)


def test_a_large_effect_in_many_races_becomes_strong() -> None:
    cuts = np.random.default_rng(1).permutation(np.linspace(0.0, 0.5, 12))
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
    points = points_of(x.iloc[place], y.iloc[place])
    mixed = assess(replace(points, order=np.array(place)), RESULT)
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


def test_the_answer_says_what_it_is_about() -> None:
    x = races().set_axis([11, 12, 13, 14, 15])
    y = pd.Series(RESULTS, index=x.index)
    left_out = (("race 9", "the race was not finished"),)
    evidence = assess(points_of(x, y), RESULT, left_out=left_out)
    assert (evidence.outcome, evidence.n) == (RESULT, 5)
    assert evidence.left_out == left_out
    assert tuple(factor.factor for factor in evidence.factors) == FACTORS
    cut = evidence.factors[0]
    assert cut.labels == ("11", "12", "13", "14", "15")
    assert cut.exposure.tolist() == CUTS
    assert cut.outcome.tolist() == RESULTS
    assert [factor.effect_unit for factor in evidence.factors] == [0.1, 0.1, 1.0, 1.0]
    before, after = (posterior(result_prior(), x.to_numpy()[:n], RESULTS[:n]) for n in (0, 5))
    assert evidence.noise_published == before.noise_estimate()
    assert evidence.noise_personal == after.noise_estimate()


def test_each_classical_answer_is_of_the_races_whose_value_is_known() -> None:
    cut = result(races(volume_cut=[0.21, 0.45, np.nan, 0.52, 0.63]), RESULTS).factors[0]
    assert isinstance(cut.ranked, Ranked)
    assert isinstance(cut.slope, Slope)
    assert (cut.ranked.method, cut.ranked.n) == ("spearman", 4)
    assert [name for name, _ in cut.slope.without] == list(cut.labels)
    assert cut.outcome.tolist() == [0.4, 2.1, 0.5, 0.5]


def test_an_effect_is_per_its_unit_and_a_curves_is_its_mean_slope() -> None:
    cut = effect_of(0)
    # from 10% to 50% the curve rises over four tenths
    assert {int(k): cut[k] for k in np.flatnonzero(cut)} == {
        place(0.1): pytest.approx(-0.25),
        place(0.5): pytest.approx(0.25),
    }
    for factor, unit in ((1, 0.1), (2, 1.0), (3, 1.0)):
        told = np.zeros(SIZE)
        told[len(KNOTS) + factor] = unit  # after the level and the curve, before the trend
        assert effect_of(factor).tolist() == told.tolist()
    published = result(races(0), []).factors
    # published.toml: 2.5% a unit; the curve's height is tested beside it; 0.9% per 1.0 and per hour
    rise = dose_curve()[place(0.5) - 1] - dose_curve()[place(0.1) - 1]
    assert published[0].published.mean == pytest.approx(0.25 * 2.5 * rise)
    assert published[1].published.mean == pytest.approx(0.09)
    assert published[2].published.mean == pytest.approx(0.9)
    assert published[3].published.mean == pytest.approx(-0.2)


def test_the_curve_is_drawn_before_and_after_the_races() -> None:
    x, y = races().to_numpy(), np.array(RESULTS)
    curve = result(races(), RESULTS).factors[0].curve
    assert curve is not None
    assert (curve.at[0], curve.at[-1], len(curve.at)) == (-0.2, 0.9, 23)
    sides = (
        (posterior(result_prior(), x[:0], y[:0]), "published"),
        (posterior(result_prior(), x, y), "personal"),
    )
    for after, name in sides:
        for k in (0, 14, 22):  # at -20%, 50% and 90%
            row = np.zeros(SIZE)
            row[place(curve.at[k])] = 1.0
            (told,) = after.estimates(row[None])
            found = [getattr(curve, f"{name}{end}")[k] for end in ("", "_low", "_high")]
            assert found == pytest.approx([told.mean, told.low, told.high])
    assert all(factor.curve is None for factor in result(races(), RESULTS).factors[1:])


def test_a_strength_follows_from_its_signs_whichever_way_is_good() -> None:
    x = races(8, volume_cut=[0.5, 0.2, 0.6, 0.1, 0.3, 0.55, 0.4, 0.65])
    x = x.assign(intensity_kept=1.0, body_clock_lag_h=0.0)
    x["sleep_change_h"] = [0.0, -1.0, 1.1, -0.6, 0.8, -0.3, 0.5, 0.2]
    y = 8.0 - 3.0 * x["sleep_change_h"]
    for good in (True, False):
        evidence = assess(points_of(x, y), replace(RPE, more_is_good=good))
        sleep = evidence.factors[2]
        assert 0 <= sleep.more_is_better <= 1
        assert (sleep.more_is_better > 0.9) is not good
        assert sleep.p_holm == pytest.approx(4 * 2 / 40_320), "perfect order, of four factors"
        assert sleep.strength == "supported", "a trend may have a share in it"


def test_for_a_result_the_cut_is_ranked_by_the_height_of_the_published_curve() -> None:
    # 10%, 25%, 40% and 50% in rising height; 70% stands between 25% and 40%
    cuts = [0.1, 0.25, 0.7, 0.4, 0.5]
    y = [0.0, 1.0, 2.0, 3.0, 4.0]
    x = races(5, volume_cut=cuts)
    assert result(x, y).factors[0].p_holm == pytest.approx(4 * 2 / 120)
    rpe = assess(points_of(x, pd.Series(y, x.index)), replace(RPE, more_is_good=True)).factors[0]
    assert rpe.p_holm == pytest.approx(min(4 * rpe.ranked.p_value, 1))
    assert rpe.p_holm > 4 * 2 / 120


def beliefs(after: Posterior) -> Beliefs:
    return Beliefs(certain(), after, 1.0)


def four(x: np.ndarray, y: list[float]) -> Points:
    return Points(tuple((name,) for name in "abcd"), x, np.array(y), np.arange(4.0))


@pytest.mark.parametrize(
    ("sleep", "y", "told"),
    [
        # a night's hour is worth 2%: what came the other way by over 0.3 x 2.0% speaks against it
        ([-1.0, 1.0, 0.0, 0.0], [1.0, -1.0, 0.0, 0.0], ("a", "b")),
        ([-1.0, 1.0, 0.0, 0.0], [0.59, -0.61, 0.0, 0.02], ("b",)),
        ([-1.0, 1.0, 0.0, 0.0], [-1.0, 1.0, 0.0, 0.0], ()),
        ([-0.1, 0.1, 0.0, 0.0], [-0.7, 0.7, 0.0, 0.0], ()),
        ([-0.1, 0.1, 0.0, 0.0], [0.7, -0.7, 0.0, 0.0], ("a", "b")),
        ([-0.025, 0.025, 0.0, 0.0], [3.0, -3.0, 0.0, 0.0], ()),
        ([-1.0, np.nan, 1.0, 0.0], [1.0, 0.0, -1.0, 0.0], ("a", "c")),
        ([4.0, 6.0, 5.0, 5.0], [11.0, 9.0, 10.0, 10.0], ("a", "b")),
    ],
)
def test_races_that_came_out_the_other_way_speak_against_a_factor(
    sleep: list[float], y: list[float], told: tuple[str, ...]
) -> None:
    x = np.zeros((4, 4))
    x[:, 2] = sleep
    after = certain(effects=(0.0, 2.0, 0.0), noise=2.0)
    found = assess_room._against(beliefs(after), 2, four(x, y))
    assert found == told


def test_races_that_came_out_the_other_way_speak_against_the_curve() -> None:
    # best at 50%, a percent less at each knot: 30% should be 4 worse than 50%, and 40% 2 worse
    x = np.zeros((4, 4))
    x[:, 0] = [0.5, 0.3, 0.7, np.nan]
    after = certain(peak(0.5), noise=2.0)
    told = assess_room._against(beliefs(after), 0, four(x, [-2.0, 3.0, -1.0, 9.0]))
    assert told == ("a", "b")


def test_races_against_are_named_only_where_something_is_said() -> None:
    quiet = result(races(0), []).factors
    assert [factor.against for factor in quiet] == [()] * 4
    x = races(8, volume_cut=[0.5, 0.1, 0.45, 0.15, 0.25, 0.4, 0.2, 0.5])
    x = x.assign(intensity_kept=1.0, sleep_change_h=0.0, body_clock_lag_h=0.0)
    cut = result(x, [3.6, 0.0, 3.3, 0.1, 5.0, 3.0, 0.2, 3.7]).factors[0]
    assert cut.strength != "published only"
    assert cut.against == ("race 4",)


def test_too_few_races_carry_nothing() -> None:
    assert result(races(3), RESULTS[:3]).factors[0].carried_by == ""


def test_values_that_differ_by_the_rounding_of_floats_are_alike() -> None:
    """A usual night minus the same night is 8.9e-16 here and zero there."""
    x = races(sleep_change_h=[8.9e-16, 0.0, 8.9e-16, -0.5, 8.9e-16])
    exact = races(sleep_change_h=[0.0, 0.0, 0.0, -0.5, 0.0])
    sleep, same = (result(table, RESULTS).factors[2] for table in (x, exact))
    assert (sleep.ranked, sleep.slope) == (same.ranked, same.slope)
    assert isinstance(sleep.classical, Refusal)


def test_cuts_beyond_the_published_best_say_nothing_of_a_larger_cut() -> None:
    """Nearer to the published best was better; no race tells of 10 against 50%."""
    x = races(volume_cut=[0.70, 0.55, 0.90, 0.60, 0.80]).assign(
        intensity_kept=np.nan, sleep_change_h=np.nan
    )
    cut = result(x, [0.0, 5.0, -5.0, 2.0, -3.0]).factors[0]
    assert isinstance(cut.ranked, Ranked)
    assert (cut.strength, cut.direction, cut.ranked.estimate) == ("supported", 1.0, -1.0)


def test_races_that_contradict_the_studies_point_against_them_and_are_named() -> None:
    x = races(5, sleep_change_h=[0.0, -0.5, 0.5, -0.2, 0.3]).assign(volume_cut=0.5)
    found = result(x, [0.0, 0.9, -0.9, 0.4, -0.4]).factors[2]
    assert (found.strength, found.points_against) == ("published only", True)
    assert 0 < found.personal.mean < found.published.mean
    assert found.against == ("race 1", "race 2")


def test_a_trend_over_the_years_is_never_called_supported() -> None:
    """Every race fitter and every cut larger than the last: time does it as well as the cut."""
    cuts = list(np.linspace(0.1, 0.5, 8))
    x = races(8, volume_cut=cuts).assign(
        intensity_kept=1.0, sleep_change_h=0.0, body_clock_lag_h=0.0
    )
    y = [10 * cut for cut in cuts]
    cut = result(x, y).factors[0]
    assert (cut.strength, cut.with_time) == ("published only", True)
    mixed = [3, 0, 6, 1, 7, 4, 2, 5]
    other = result(x.iloc[mixed], [y[place] for place in mixed]).factors[0]
    assert (other.strength, other.with_time) == ("strong", False)


def test_without_a_fitted_line_the_race_that_moves_the_slope_most_carries_it() -> None:
    """From 2.0 to -1.0 is further than to 3.5."""
    refused = Refusal("a line", "3 races", "nothing", "too few", "more races")
    without = (("a", -1.0), ("b", 3.5), ("c", 1.9))
    slope = Slope(3, 2.0, 0.0, 1.0, "exact", 6, without, -1.0, 3.5)
    assert assess_room._carried_by(slope, refused, ("a", "b", "c")) == "a"
    assert assess_room._carried_by(slope, refused, ("a", "b", "c", "d")) == "d", (
        "the others are all alike"
    )
    assert assess_room._carried_by(refused, refused, ("a", "b", "c")) == ""
