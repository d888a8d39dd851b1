"""What the rule allows, worked out from beliefs written down by hand."""

from __future__ import annotations

import numpy as np
import pytest

from evidence.beliefs import SIZE, certain, peak, place
from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, posterior
from taperback.evidence.model import CutRange, Rule, WorthKnowing
from taperback.evidence.points import Points
from taperback.evidence.priors import FACTORS, published_best, result_prior
from taperback.evidence.rule import (
    allowed_cuts,
    best_range,
    cut_range,
    make_rule,
    own_best,
    sensitivity_of,
    worth_knowing,
)

NAN = float("nan")
NOTHING = np.empty((0, 4))
BEFORE = CutRange(0.35, 0.65, 0.5)
WORDS = dict(zip(FACTORS, ("strong", "supported", "leaning", "published only"), strict=True))


def tried(*cuts: float, **others: float) -> np.ndarray:
    """One race week a cut, everything else as usual or as stated."""
    usual = {"intensity_kept": 1.0, "sleep_change_h": 0.0, "body_clock_lag_h": 0.0} | others
    return np.array([[cut, *usual.values()] for cut in cuts])


def rule(after: object, exposures: np.ndarray = NOTHING) -> Rule:
    return make_rule(after, exposures, WORDS, FACTORS, before=BEFORE)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cuts", "low", "high"),
    [
        ((), 0.20, 0.70),
        ((0.45,), 0.20, 0.70),
        ((0.05,), 0.05, 0.70),
        ((0.12, 0.8), 0.15, 0.80),
        ((-0.3, 0.99), 0.0, 0.90),
        ((NAN, 0.1), 0.10, 0.70),
    ],
)
def test_a_cut_may_be_named_where_it_was_published_or_tried(
    cuts: tuple[float, ...], low: float, high: float
) -> None:
    exposures = tried(*cuts) if cuts else NOTHING
    knots, lowest, highest = allowed_cuts(exposures)
    assert (lowest, highest) == (low, high)
    assert len(knots) == round((high - low) / 0.05) + 1
    assert (knots[0], knots[-1]) == (low, high)


def test_a_cut_was_tried_whatever_else_is_unknown_of_its_week() -> None:
    assert allowed_cuts(tried(0.05, intensity_kept=NAN))[1] == 0.05


def test_the_range_holds_what_is_as_good_as_the_best_and_nothing_beyond_a_worse_cut() -> None:
    after = certain(peak(0.35))
    assert best_range(after, NOTHING, 2.0) == (0.25, 0.45, 0.35)
    assert best_range(after, NOTHING, 1.9) == (0.30, 0.40, 0.35)
    two_hills = peak(0.35)
    two_hills[[place(0.2) - 1, place(0.5) - 1]] = -0.5
    assert best_range(certain(two_hills), NOTHING, 1.0) == (0.30, 0.40, 0.35)


def test_the_published_best_is_kept_until_another_cut_is_worthwhile_better() -> None:
    """With a worthwhile change of 0.6, 0.3 of a noise of 2.0, and half a percent lost a knot."""
    assert published_best() == 0.5
    kept = rule(certain(peak(0.45, 0.5), noise=2.0))
    assert (kept.parts[0].low, kept.parts[0].best, kept.parts[0].high) == (0.40, 0.50, 0.50)
    assert kept.passed_up == pytest.approx(0.5)
    left = rule(certain(peak(0.40, 0.5), noise=2.0))
    assert (left.parts[0].low, left.parts[0].best, left.parts[0].high) == (0.35, 0.40, 0.45)
    assert left.passed_up == 0.0


def test_the_range_stops_at_the_ends_of_what_may_be_named() -> None:
    flat = certain(np.zeros(len(KNOTS)))
    assert best_range(flat, NOTHING, 0.5) == (0.20, 0.70, 0.50)
    assert best_range(certain(peak(0.7)), NOTHING, 1.0) == (0.65, 0.70, 0.70)


def test_uncertain_noise_takes_part_with_its_weight() -> None:
    one, other = certain(peak(0.3, 4.0)), certain(peak(0.6, 1.0))
    means = np.vstack([one.means, other.means])
    both = type(one)(np.array([1.0, 2.0]), np.array([0.1, 0.9]), means, np.zeros((2, SIZE, SIZE)))
    assert best_range(both, NOTHING, 0.01)[2] == 0.6


@pytest.mark.parametrize(
    ("best", "cuts", "held_by"),
    [
        (0.45, (), "model"),
        (0.45, (0.05, 0.85), "model"),
        (0.20, (), "published"),
        (0.70, (), "published"),
        (0.20, (0.80,), "published"),
        (0.70, (0.05,), "published"),
        (0.15, (0.15,), "tried"),
        (0.80, (0.80,), "tried"),
    ],
)
def test_a_range_says_what_it_is_held_by(
    best: float, cuts: tuple[float, ...], held_by: str
) -> None:
    after = certain(peak(best), noise=2.0)
    cut = rule(after, tried(*cuts) if cuts else NOTHING).parts[0]
    assert (cut.low, cut.best, cut.high) == (best, best, best)
    assert cut.held_by == held_by


def test_the_rule_carries_its_words_and_its_smallest_worthwhile_change() -> None:
    missing = WorthKnowing("sleep_change_h", 2, 5, 0.4)
    answer = make_rule(
        certain(peak(0.5), noise=2.0),
        NOTHING,
        WORDS,
        FACTORS,
        before=BEFORE,
        missing=missing,
        sensitivity=((1, 2, 3, 4),),
    )
    assert tuple(part.factor for part in answer.parts) == FACTORS
    assert [part.strength for part in answer.parts] == list(WORDS.values())
    assert (answer.before, answer.worth_knowing) == (BEFORE, missing)
    # 0.3 of the race-to-race variation: Hopkins, common practice
    assert answer.worthwhile == pytest.approx(0.6)
    assert answer.worthwhile_source.startswith("0.3 of the race-to-race variation: ")
    assert answer.sensitivity == ((1, 2, 3, 4),)


def test_what_the_best_cut_is_worth_is_the_height_of_the_curve_there() -> None:
    covariance = np.zeros((SIZE, SIZE))
    covariance[place(0.5), place(0.5)] = 1.5**2
    curve = np.where(np.isclose(KNOTS, 0.5), 3.0, 0.0)
    gain = rule(certain(curve, covariance=covariance)).parts[0].gain
    assert gain.mean == pytest.approx(3.0)
    # 1.6449 is the normal distribution's 95th percentile
    assert (gain.low, gain.high) == pytest.approx((3 - 1.6449 * 1.5, 3 + 1.6449 * 1.5), abs=1e-3)


def test_a_straight_factor_may_be_left_until_it_costs_something_worthwhile() -> None:
    # worthwhile is 0.3 x 2.0 = 0.6: at 2.0 per 1.0 of intensity 0.3 may go, at 1.0 an hour 0.6 h
    after = certain(peak(0.5), effects=(2.0, 1.0, -0.5), noise=2.0)
    _, hard, sleep, clock = rule(after).parts
    assert (hard.low, hard.high, hard.best, hard.held_by) == (0.7, np.inf, 1.0, "model")
    assert (sleep.low, sleep.high, sleep.best, sleep.held_by) == (-0.6, np.inf, 0.0, "model")
    assert (clock.low, clock.high, clock.best, clock.held_by) == (-np.inf, 1.2, 0.0, "model")
    assert [part.gain.mean for part in (hard, sleep, clock)] == pytest.approx([-0.6] * 3)


@pytest.mark.parametrize("effects", [(0.001, 0.001, -0.001), (-2.0, -1.0, 0.5)])
@pytest.mark.parametrize(
    "week",
    [
        {},
        {"intensity_kept": 0.3, "sleep_change_h": -2.0, "body_clock_lag_h": 8.0},
        {"intensity_kept": 2.5, "sleep_change_h": 3.0, "body_clock_lag_h": NAN},
        {"intensity_kept": 40.0},
    ],
)
def test_no_rule_gives_away_more_than_is_published_as_harmless(
    effects: tuple[float, float, float], week: dict[str, float]
) -> None:
    """Neither where more or less was tried, nor where the races make giving it away look good."""
    # published.toml: half of the intensity, one hour of sleep, three of the body clock
    parts = rule(certain(peak(0.5), effects=effects), tried(0.5, **week)).parts[1:]
    assert [(part.low, part.high, part.held_by) for part in parts] == [
        (0.5, np.inf, "published"),
        (-1.0, np.inf, "published"),
        (-np.inf, 3.0, "published"),
    ]


def test_what_all_parts_may_cost_at_once_is_added_up() -> None:
    # worthwhile is 0.6: at a percent a knot the range is the best alone, and each part costs 0.6
    after = certain(peak(0.5), effects=(2.0, 1.0, -0.5), noise=2.0)
    assert rule(after).at_most_lost == pytest.approx(3 * 0.6)
    # half a percent a knot: the ends of the range cost 0.5; giving away what helps costs nothing
    gentle = certain(peak(0.5, 0.5), effects=(-2.0, 1.0, -0.5), noise=2.0)
    assert rule(gentle).at_most_lost == pytest.approx(0.5 + 2 * 0.6)


def test_no_effect_at_all_leaves_the_published_limit() -> None:
    parts = rule(certain(peak(0.5))).parts[1:]
    assert [part.held_by for part in parts] == ["published"] * 3
    assert (parts[1].low, parts[1].high) == (-1.0, np.inf)


def test_each_assumption_gets_its_own_range() -> None:
    x, y = tried(0.2, 0.4, 0.5, 0.6, 0.7), np.array([0.0, 1.0, 2.0, 1.5, 0.5])
    priors = {2.0: result_prior(2.0), 5.0: result_prior(5.0)}
    rows = sensitivity_of(priors, Points(tuple("abcde"), x, y, np.arange(5.0)))
    share = PUBLISHED.noise.worthwhile_share.value
    for (assumption, *told), prior in zip(rows, priors.values(), strict=True):
        after = posterior(prior, x, y)
        assert told == list(best_range(after, x, share * after.noise_estimate().mean))
        assert priors[assumption] is prior
    assert rows[1][2] - rows[1][1] < rows[0][2] - rows[0][1], "a steeper curve is a closer range"


def test_the_own_best_lies_in_the_range_as_often_as_the_beliefs_say() -> None:
    sure = rule(certain(peak(0.5), noise=2.0))
    assert (sure.best_inside, sure.not_knowing) == (1.0, 0.0)
    # two cuts of equal mean, each with SD 1 and independent: the better of them is either in half
    # of all cases, and the loss of taking one is E max(a, b) - a = 1 / sqrt(pi)
    covariance = np.zeros((SIZE, SIZE))
    for cut in (0.3, 0.6):
        covariance[place(cut), place(cut)] = 1.0
    curve = np.where(np.isclose(KNOTS, 0.3) | np.isclose(KNOTS, 0.6), 20.0, 0.0)
    curve[np.isclose(KNOTS, 0.6)] += 1e-6
    after = certain(curve, covariance=covariance, noise=2.0)
    cut = rule(after).parts[0]
    assert (cut.low, cut.best, cut.high) == (0.6, 0.6, 0.6)
    inside, lost = own_best(after, cut)
    assert inside == pytest.approx(0.5, abs=0.02)
    assert lost == pytest.approx(1 / np.sqrt(np.pi), abs=0.03)


@pytest.mark.parametrize("cut", [0.0, 0.9])
def test_the_own_best_may_lie_at_either_end_of_all_cuts(cut: float) -> None:
    after = certain(peak(cut), noise=2.0)
    assert own_best(after, CutRange(cut, cut, cut)) == (1.0, 0.0)
    # half a range away it costs ten knots of one percent each, and never lies inside
    assert own_best(after, CutRange(0.4, 0.5, 0.4 if cut == 0.9 else 0.5)) == (0.0, 10.0)


def test_no_own_best_lies_beyond_all_cuts_and_the_draws_are_the_same_each_time() -> None:
    """More training than usual, or next to none, is no cut to choose, however good it looks."""
    beyond = np.where((KNOTS < -1e-9) | (KNOTS > 0.9 + 1e-9), 50.0, peak(0.5))
    cut = CutRange(0.4, 0.6, 0.5)
    assert own_best(certain(beyond, noise=2.0), cut) == (1.0, 0.0)
    unsure = certain(peak(0.5), covariance=4.0 * np.eye(SIZE), noise=2.0)
    assert own_best(unsure, cut) == own_best(unsure, cut)


def test_what_is_not_known_most_is_worth_writing_down() -> None:
    prior = result_prior()
    known = tried(0.2, 0.4, 0.5, 0.6)
    assert worth_knowing(prior, known) is None
    assert worth_knowing(prior, NOTHING) is None
    known[:, 2] = [-1.0, 1.0, 0.0, 0.0]
    known[0, 2] = NAN
    one = worth_knowing(prior, known)
    # sleep: 0.9 and SD 0.9, so its square is 1.62 in the mean; the known nights spread by 0.47
    assert one is not None
    assert (one.factor, one.points, one.of) == ("sleep_change_h", 1, 4)
    assert one.noise == pytest.approx(np.sqrt(1.62) * np.std([1.0, 0.0, 0.0]))
    known[1, 0] = NAN
    both = worth_knowing(prior, known)
    assert both is not None
    assert both.factor == "volume_cut", "a missing cut costs more than a missing night"


def test_a_range_without_races_is_the_published_one() -> None:
    prior = result_prior()
    before = cut_range(posterior(prior, NOTHING, np.empty(0)), NOTHING)
    # Wang et al. 2023, Bosquet et al. 2007: 41 to 60% works
    assert before.low <= 0.41 < before.best < 0.60 <= before.high
