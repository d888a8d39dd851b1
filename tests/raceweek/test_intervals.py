"""Repetitions kept, the last hard session, the opener."""

from __future__ import annotations

import pytest

from build import day, habit, journal, leg
from raceweek.efforts import NAN, kilometres, measured_by
from taperback.common.quantities import QUANTITIES
from taperback.importer.model import Bout, LegSummary
from taperback.journal.model import Journal, Period
from taperback.raceweek.factors.intervals import intervals
from taperback.raceweek.model import Measured

USUAL = [*habit(0.75, hard_min=0), *[kilometres(k, 5, 225, at=17) for k in range(-55, -14, 7)]]


def measured(legs: list[LegSummary], book: Journal | None = None) -> dict[str, Measured]:
    return measured_by(intervals, legs, book)


def test_five_repetitions_cut_to_three_at_the_same_pace() -> None:
    got = measured([*USUAL, kilometres(-5, 3, 224)])
    assert got["repetitions"].value == "3 x 1 km at 3:44 /km"
    assert got["usual_repetitions"].value == "5 x 1 km at 3:45 /km"
    assert got["repetitions_kept"].value == pytest.approx(0.6)
    assert got["repetition_level_kept"].value == pytest.approx(225 / 224)


def test_a_slower_pace_is_a_level_below_one() -> None:
    level = measured([*USUAL, kilometres(-5, 5, 250)])["repetition_level_kept"]
    assert level.value == pytest.approx(0.9)
    assert QUANTITIES[level.name].show(0.9) == "90.0%"


def test_a_week_without_repetitions_kept_none_and_is_known() -> None:
    got = measured([*USUAL, leg(-5)])
    assert got["repetitions"].value == "none"
    kept, level = got["repetitions_kept"], got["repetition_level_kept"]
    assert (kept.value, kept.basis) == (0, "race week holds no session of repetitions")
    assert len(kept.legs) == 6 and len(kept.days) == 42 + 7
    assert (level.reason, level.days) == (kept.basis, kept.days)
    assert got["repetitions"].basis == "no session of race week was recognised as repetitions"
    assert got["repetitions"].days == kept.days
    assert got["usual_repetitions"].basis == (
        "6 sessions of repetitions in the baseline, the hardest of them"
    )


def test_a_week_of_rest_days_kept_none_and_one_of_unknown_days_is_unknown() -> None:
    rest = journal(periods=(Period(day(-7), day(-1), "rest"),))
    assert measured(USUAL, rest)["repetitions_kept"].value == 0
    gap = journal(periods=(Period(day(-7), day(-1), "gap"),))
    assert "7 of 7 days are not known" in measured(USUAL, gap)["repetitions_kept"].reason


def test_a_baseline_without_repetitions_says_so() -> None:
    got = measured([*habit(), kilometres(-5, 3, 224)])
    assert got["repetitions"].value == "3 x 1 km at 3:44 /km"
    assert "no session of the baseline" in got["repetitions_kept"].reason
    none = measured([*habit(hard_min=0), leg(-5)])["repetitions"]
    assert (none.value, len(none.days)) == ("none", 42 + 7)


def test_another_kind_of_repetitions_is_not_compared() -> None:
    short = tuple(Bout(900 + 60 * k, 40, 200, 5.0, NAN, 170) for k in range(10))
    got = measured([*USUAL, leg(-5, bouts=short, hard_min=5)])
    for name in ("repetitions_kept", "repetition_level_kept"):
        assert len(got[name].days) == 42 + 7
    assert got["repetitions"].days == (day(-5),)
    assert got["usual_repetitions"].value == "5 x 1 km at 3:45 /km"
    assert got["repetition_level_kept"].reason == (
        "race week held 10 x 200 m at 3:20 /km, the baseline nothing like it but "
        "5 x 1 km at 3:45 /km"
    )


def test_the_hardest_session_that_is_a_habit_is_compared() -> None:
    once = [kilometres(-33, 4, 300, hard_min=0), kilometres(-6, 8, 300, hard_min=1)]
    got = measured([*USUAL, *once, kilometres(-5, 3, 224)])
    assert got["repetitions"].value == "3 x 1 km at 3:44 /km"


def test_a_session_of_unknown_hardness_is_none_harder_than_a_known_one() -> None:
    dumb = kilometres(-6, 6, 240, hard_min=None)
    runs = [*habit(0.75, hard_min=0), *[kilometres(k, 5, 225, at=17) for k in range(-55, -14, 7)]]
    for first, second in ((-6, -5), (-5, -6)):
        week = [kilometres(first, 6, 240, hard_min=None), kilometres(second, 3, 224)]
        assert measured([*runs, *week])["repetitions"].value == "3 x 1 km at 3:44 /km"
    two = [dumb, kilometres(-4, 4, 240, hard_min=None)]
    assert measured([*runs, *two])["repetitions"].value == "6 x 1 km at 4:00 /km"


def test_easy_bouts_are_no_hard_repetitions() -> None:
    easy = tuple(Bout(900.0 + 400 * k, 300, 900, 3.0, NAN, 140) for k in range(6))
    got = measured([*USUAL, leg(-5, bouts=easy)])
    assert got["repetitions"].value == "none"


def test_bouts_of_a_sport_without_a_threshold_are_taken_as_they_stand() -> None:
    book = journal(thresholds=())
    runs = [kilometres(k, 5, 225, hard_min=None) for k in range(-55, -8, 2)]
    got = measured([*runs, kilometres(-5, 3, 224, hard_min=None)], book)
    assert got["repetitions_kept"].value == pytest.approx(0.6)


def test_too_short_a_baseline_is_unknown() -> None:
    got = measured([leg(k) for k in range(-20, -7)] + [kilometres(-5, 3, 224)])
    assert "baseline weeks can be used" in got["repetitions"].reason


def test_inputs_are_named() -> None:
    kept = measured([*USUAL, kilometres(-5, 3, 224)])["repetitions_kept"]
    assert len(kept.legs) == 6 + 1
    assert kept.days[-1] == day(-1)
    assert kept.basis == (
        "3 x 1 km at 3:44 /km on day \u22125, against 5 x 1 km at 3:45 /km in the baseline "
        "(median of 6 sessions)"
    )


def test_the_last_hard_session_is_told_in_days_before_the_race() -> None:
    last = measured([*USUAL, leg(-7), kilometres(-5, 3, 224), leg(-2, hard_min=9)])["last_hard_d"]
    assert last.value == 5
    assert last.days == (day(-5),)
    assert last.basis == "the last session with at least 10 hard minutes: 11 of running"


def test_the_last_hard_session_may_lie_before_race_week() -> None:
    assert measured([*USUAL, leg(-5), leg(-3)])["last_hard_d"].value == 20


def test_a_hard_session_cannot_be_told_over_unknown_intensity() -> None:
    dumb = [leg(k, hard_min=None) for k in (-7, -6, -5, -4)]
    assert "only 0% of the training time" in measured([*USUAL, *dumb])["last_hard_d"].reason


def test_no_hard_session_at_all_is_told() -> None:
    got = measured([*habit(hard_min=0), leg(-3)])
    assert "no session of the eight weeks" in got["last_hard_d"].reason


def test_an_opener_is_short_with_brief_hard_work() -> None:
    got = measured([*USUAL, leg(-1, "cycling", 35 / 60, hard_min=2)])
    assert got["opener"].value == "day \u22121: 35 min of cycling with 2 min hard"
    assert got["opener"].days == (day(-1),)


def test_strides_that_the_heart_does_not_show_make_an_opener_too() -> None:
    strides = tuple(Bout(600 + 90 * k, 20, 110, 5.5, NAN, 150) for k in range(4))
    got = measured([*USUAL, leg(-1, hours=20 / 60, hard_min=0, bouts=strides)])
    assert got["opener"].value == "day \u22121: 20 min of running with 1 min hard"


@pytest.mark.parametrize(
    "last",
    [
        leg(-1, hours=0.5, hard_min=0),
        leg(-1, hours=1.5, hard_min=2),
        leg(-1, hours=0.5, hard_min=20),
        leg(-3, hours=0.5, hard_min=2),
    ],
    ids=["easy", "long", "hard", "early"],
)
def test_what_is_no_opener(last: LegSummary) -> None:
    assert measured([*USUAL, last])["opener"].value == "none"


def test_an_opener_of_unknown_intensity_is_unknown() -> None:
    got = measured([*USUAL, leg(-1, hours=0.5, hard_min=None)])
    assert got["opener"].reason == "the intensity of the last two days is not known"


def test_order_of_files_changes_nothing() -> None:
    legs = [*USUAL, kilometres(-5, 3, 224), leg(-1, hours=0.5, hard_min=2)]
    assert measured(legs) == measured(legs[::-1])


def test_of_more_or_fewer_repetitions_the_lower_median_is_usual() -> None:
    runs = [
        kilometres(k, n, 225, at=17)
        for k, n in zip(range(-55, -14, 7), (3, 4, 5, 6, 7, 8), strict=True)
    ]
    got = measured([*habit(0.75, hard_min=0), *runs, kilometres(-5, 5, 225)])
    assert got["usual_repetitions"].value == "5 x 1 km at 3:45 /km"
    assert got["repetitions_kept"].value == 1.0
    assert got["usual_repetitions"].days == (day(-41),), "the session with as many"


def test_the_level_is_the_median_of_the_like_sessions() -> None:
    paces = (220, 230, 230, 230, 230, 240)
    runs = [
        kilometres(k, 5, pace, at=17) for k, pace in zip(range(-55, -14, 7), paces, strict=True)
    ]
    got = measured([*habit(0.75, hard_min=0), *runs, kilometres(-5, 5, 225)])
    assert got["repetition_level_kept"].value == pytest.approx(230 / 225)
    assert got["repetition_level_kept"].basis == (
        "5 x 1 km at 3:45 /km on day \u22125, against 5 x 1 km at 3:50 /km in the baseline "
        "(median of 6 sessions)"
    )


def test_openers_of_both_days_are_told_and_the_limits_count() -> None:
    legs = [
        leg(-2, hours=1.0, hard_min=10.0),
        leg(-1, "cycling", 0.5, hard_min=0.5),
    ]
    got = measured([*USUAL, *legs])["opener"]
    assert got.value == (
        "day \u22122: 60 min of running with 10 min hard; day \u22121: 30 min of cycling with "
        "under 1 min hard"
    )
    assert got.basis == (
        "at most 60 min with 0.5 to 10 hard minutes, or as much time in repetitions"
    )
    assert (got.days, len(got.legs)) == ((day(-2), day(-1)), 2)
    none = measured([*USUAL, leg(-2), leg(-1)])["opener"]
    assert none.basis == "no short session with brief hard work on days \u22122 to \u22121"
    assert none.days == (day(-2), day(-1))


def test_no_training_on_the_last_two_days_is_no_opener() -> None:
    rest = journal(periods=(Period(day(-7), day(-1), "rest"),))
    assert measured(USUAL, rest)["opener"].value == "none"
