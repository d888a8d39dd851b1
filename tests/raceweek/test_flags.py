"""Panic training: each rule, and what it leaves alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import day, habit, journal, leg, one_race, race
from raceweek.efforts import kilometres, last_race
from raceweek.quiet_taper import QUIET, USUAL
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal, Period
from taperback.raceweek.model import Flag


def flags(extra: list[LegSummary], book: Journal | None = None, **days: Any) -> tuple[Flag, ...]:
    """Flags of the quiet taper with these legs instead of, or beside, its own."""
    replaced = {one.start_utc for one in extra}
    legs = [one for one in USUAL + QUIET if one.start_utc not in replaced]
    return last_race(legs + extra, book).flags


def test_a_quiet_taper_with_an_opener_raises_no_flag() -> None:
    assert flags([]) == ()


def test_long_is_longer_than_nearly_all_sessions_of_the_sport() -> None:
    (flag,) = flags([leg(-6, hours=2.0)])
    assert (flag.rule, flag.day, flag.day_before) == ("long", day(-6), 6)
    assert (flag.figure, flag.unit, flag.session) == (120, "min", "120 min of running")
    assert flag.limit == pytest.approx(1.2 * 75)
    assert (flag.seen_before, flag.out_of) == (0, 42)
    assert len(flag.legs) == 1


def test_as_long_as_a_usual_long_session_or_hardly_longer_is_no_flag() -> None:
    assert flags([leg(-9, hours=1.25)]) == ()
    assert flags([leg(-9, hours=1.3)]) == ()


def test_hard_is_harder_than_nearly_all_hard_sessions() -> None:
    (flag,) = flags([leg(-6, hours=0.9, hard_min=35)])
    assert flag.rule == "hard"
    assert 1.2 * 19 <= flag.limit <= 1.2 * 20
    assert (flag.figure, flag.seen_before, flag.out_of) == (35, 0, 42)


def test_a_usual_hard_session_kept_is_no_panic() -> None:
    assert flags([leg(-6, hours=0.9, hard_min=17)]) == ()


def test_late_is_hard_work_in_the_last_three_days() -> None:
    (flag,) = flags([leg(-2, hours=0.8, hard_min=12)])
    assert (flag.rule, flag.figure, flag.limit, flag.day_before) == ("late", 12, 10, 2)
    assert (flag.day, flag.unit, flag.session) == (day(-2), "min", "48 min of running")
    # one day a week of the baseline's 42 holds 15 to 20 hard minutes
    assert (flag.seen_before, flag.out_of) == (6, 42)


def test_a_usual_day_with_just_as_much_as_passes_is_not_counted() -> None:
    usual = [leg(-40, hours=0.5, hard_min=10, at=17), leg(-41, hours=0.5, hard_min=11, at=17)]
    (before,) = flags([leg(-2, hours=0.8, hard_min=12)])
    (flag,) = flags([*usual, leg(-2, hours=0.8, hard_min=12)])
    assert flag.seen_before == before.seen_before + 1


def test_an_easy_session_of_the_same_day_is_no_part_of_the_flag() -> None:
    (flag,) = flags([leg(-2, hours=0.8, hard_min=12), leg(-2, hours=0.5, hard_min=0, at=17)])
    assert (len(flag.legs), flag.session) == (1, "48 min of running")


def test_late_adds_up_the_sessions_of_one_day() -> None:
    (flag,) = flags([leg(-2, hours=0.4, hard_min=6), leg(-2, hours=0.4, hard_min=6, at=17)])
    assert (flag.rule, flag.figure, len(flag.legs)) == ("late", 12, 2)
    assert flag.session == "24 min of running; 24 min of running"


def test_catching_up_is_a_full_week_after_a_thin_one() -> None:
    thin = [leg(k, hours=0.1) for k in range(-17, -10)]
    legs = [one for one in USUAL if one.start_utc.date() < day(-17)]
    full = [leg(k, hours=1.2) for k in range(-10, -3)]
    caught = last_race(legs + thin + full).flags
    (flag,) = [flag for flag in caught if flag.rule == "catching_up"]
    assert type(flag.figure) is float
    assert (flag.day_before, flag.unit, len(flag.legs)) == (4, "h", 7)
    assert flag.figure == pytest.approx(8.4)
    assert flag.session == "all 7 sessions of days \u221210 to \u22124"
    assert (flag.seen_before, flag.out_of) == (0, 5), "of the pairs of six weeks"
    # six weeks of 375 min, 1.1 of which is the limit
    assert flag.limit == pytest.approx(1.1 * 375 / 60)
    assert flag.day == day(-4)


def test_weeks_that_swing_anyway_are_no_catching_up() -> None:
    swings = [leg(k, hours=0.1 if (k // 7) % 2 else 1.2) for k in range(-56, -3)]
    assert [flag.rule for flag in last_race(swings).flags] == []


def test_weeks_exactly_at_the_limits_swing_neither_way() -> None:
    """Usual weeks of 8 h, limits of half and of one and a half: 4 h and 12 h are none yet."""
    own = journal(panic_limits={"catching_up_below": 0.5, "catching_up_above": 1.5})

    def caught(thin_h: float, full_h: float) -> bool:
        legs = [leg(k, hours=2.0) for k in range(-56, -17) if k % 7 < 4]
        legs += [leg(-12, hours=thin_h), *(leg(k, hours=full_h / 4) for k in (-10, -8, -6, -4))]
        return "catching_up" in {flag.rule for flag in last_race(legs, own).flags}

    assert caught(3.75, 12.25)
    assert not caught(4.0, 12.25)
    assert not caught(3.75, 12.0)


@pytest.mark.parametrize(("swings", "flagged"), [((-49,), True), ((-49, -35), False)])
def test_one_such_pair_of_weeks_in_five_is_no_habit_and_two_are(
    swings: tuple[int, ...], flagged: bool
) -> None:
    """At most a quarter of the pairs: `catching_up_habit` of limits.toml."""
    hours = dict.fromkeys(range(-56, -17, 7), 1.0)
    for first in swings:
        hours |= {first - 7: 0.5, first: 1.5}
    legs = [leg(first + k, hours=h) for first, h in hours.items() for k in range(7)]
    legs += [leg(k, hours=0.2) for k in range(-14, -7)]
    found = [*legs, *(leg(k, hours=1.5) for k in range(-7, 0))]
    caught = [flag for flag in last_race(found).flags if flag.rule == "catching_up"]
    assert [flag.seen_before for flag in caught] == ([len(swings)] if flagged else [])


def test_first_time_is_a_sport_the_baseline_has_not_seen() -> None:
    (flag,) = flags([leg(-8, "swimming", 0.9, at=17)])
    assert (flag.rule, flag.session) == ("first_time", "54 min of swimming")
    assert (flag.limit, flag.seen_before, flag.out_of) == (0, 0, 42)
    assert (flag.day, flag.day_before, flag.figure, flag.unit) == (day(-8), 8, 54, "min")


def test_a_short_walk_is_no_first_time() -> None:
    assert flags([leg(-2, "walking", 0.5, at=17)]) == ()


def test_first_hard_repetitions_of_a_sport_are_a_first_time() -> None:
    (flag,) = flags([kilometres(-6, 4, 225, hours=0.9)])
    assert (flag.rule, flag.session) == ("first_time", "54 min of running, 4 x 1 km at 3:45 /km")


def test_one_session_may_break_several_rules() -> None:
    assert [flag.rule for flag in flags([leg(-3, hours=2.0, hard_min=40)])] == [
        "long",
        "hard",
        "late",
    ]


def test_flags_come_in_order_of_day() -> None:
    found = flags([leg(-2, hours=0.8, hard_min=12), leg(-6, hours=2.0)])
    assert [flag.day for flag in found] == [day(-6), day(-2)]


def test_the_athletes_own_limits_come_first() -> None:
    book = journal(panic_limits={"late_hard_min": 15})
    assert flags([leg(-2, hours=0.8, hard_min=12)], book) == ()
    book = journal(panic_limits={"percentile": 0.5})
    assert [flag.rule for flag in flags([leg(-6, hours=1.1)], book)] == ["long"]


def test_a_race_on_the_way_is_no_panic_training() -> None:
    book = journal(race(-8, sports=("running",)), race(sports=("running",)))
    found = flags([leg(-8, hours=2.0, hard_min=90, at=9), leg(0, hours=2, hard_min=100)], book)
    assert [flag for flag in found if flag.rule != "catching_up"] == []


PLAN = [
    ("running", 1.0, 0),
    ("swimming", 1.0, 0),
    ("running", 1.1, 16),
    ("cycling", 1.5, 0),
    ("swimming", 1.0, 8),
    ("running", 1.6, 0),
    ("cycling", 3.0, 25),
]
"""An invented week: sport, hours, hard minutes."""


def wavering(seed: int) -> list[LegSummary]:
    """The plan for eight weeks, each session about 12% longer or shorter, with a usual taper."""
    rng = np.random.default_rng(seed)
    legs = []
    for k in range(-56, 0):
        sport, hours, hard = PLAN[k % 7]
        share = 1.0 if k < -14 else 0.8 if k < -7 else 0.5
        hours *= share * float(np.exp(0.12 * rng.standard_normal()))
        hard_min = share * hard * float(np.exp(0.12 * rng.standard_normal()))
        legs.append(leg(k, sport, hours, hard_min=min(hard_min, 8.0 if k >= -3 else 99.0)))
    return legs


@pytest.mark.parametrize("seed", range(8))
def test_an_ordinary_taper_of_a_wavering_habit_raises_no_flag(seed: int) -> None:
    assert last_race(wavering(seed)).flags == ()


def test_without_a_baseline_only_late_can_tell() -> None:
    legs = [leg(k, hours=2.0, hard_min=30) for k in range(-10, 0, 3)]
    assert {flag.rule for flag in last_race(legs).flags} == {"late"}


def test_few_sessions_of_a_sport_set_no_limit() -> None:
    few = [leg(-50 + k, "cycling", 1.0, at=17) for k in range(3)]
    assert flags([*few, leg(-6, "cycling", 3.0, at=17)]) == ()


def test_a_sport_without_a_habit_hides_no_other_sports_flag() -> None:
    few = [leg(-50 + k, "cycling", 1.0, at=17) for k in range(3)]
    hard = [leg(-6, "cycling", 1.0, hard_min=5, at=17), leg(-6, hours=0.9, hard_min=35)]
    assert [flag.rule for flag in flags([*few, *hard])] == ["hard"]


def test_unknown_intensity_raises_no_flag() -> None:
    assert flags([leg(-2, hours=0.8, hard_min=None)]) == ()


@settings(max_examples=10, deadline=None)
@given(st.randoms(use_true_random=False))
def test_order_of_files_changes_nothing(random: Any) -> None:
    legs = [*USUAL, *QUIET[:-1], leg(-1, hours=1.6, hard_min=20)]
    shuffled = list(legs)
    random.shuffle(shuffled)
    assert last_race(shuffled).flags == last_race(legs).flags


def test_longer_habits_move_the_limit_along() -> None:
    legs = [*habit(1.0), leg(-3, hours=1.5)]
    doubled = [*habit(2.0), leg(-3, hours=3.0)]
    (plain,), (double,) = (last_race(each).flags for each in (legs, doubled))
    assert (double.figure, double.limit) == (2 * plain.figure, 2 * plain.limit)


def test_a_week_with_an_unknown_day_is_no_catching_up() -> None:
    thin = [leg(k, hours=0.1) for k in range(-17, -10)]
    legs = [one for one in USUAL if one.start_utc.date() < day(-17)] + thin
    full = [leg(k, hours=1.3) for k in range(-10, -3) if k != -7]
    gap = journal(periods=(Period(day(-7), day(-7), "gap"),))
    rules = {flag.rule for flag in last_race(legs + full).flags}
    doubted = {flag.rule for flag in last_race(legs + full, gap).flags}
    assert "catching_up" in rules
    assert "catching_up" not in doubted


def test_one_or_two_weeks_of_baseline_do_not_make_a_sport_new() -> None:
    legs = [leg(k) for k in range(-28, -10)] + [leg(-8, "swimming", 0.9, at=17)]
    assert last_race(legs).flags == ()


def walks(last: dict[int, float], habit_h: float = 0.5) -> list[LegSummary]:
    """A walk every day of the habit, and those of the last days [h by days to the race]."""
    days = {**dict.fromkeys(range(-56, -7), habit_h), **last}
    return [leg(k, "walking", hours, hard_min=None, at=18) for k, hours in days.items()]


def on_feet(last: dict[int, float], habit_h: float = 0.5, **panic: float) -> list[Flag]:
    race = one_race([*habit(), *walks(last, habit_h)], journal(panic_limits=panic))
    return [flag for flag in race.flags if flag.rule == "on_feet"]


def test_a_day_on_the_feet_far_above_habit_is_flagged() -> None:
    (flag,) = on_feet({-2: 3.5, -3: 1.9, -5: 6.0})
    assert (flag.day, flag.day_before, flag.session) == (day(-2), 2, "210 min of walking")
    assert (flag.figure, flag.limit, flag.unit) == (210.0, 120.0, "min")
    assert (flag.seen_before, flag.out_of) == (0, 42)


def test_as_long_on_the_feet_as_the_limit_is_no_flag() -> None:
    assert not on_feet({-2: 2.0})
    assert on_feet({-2: 2.01})


def test_who_walks_that_much_anyway_is_in_no_panic() -> None:
    assert not on_feet({-2: 3.5}, habit_h=2.5)
    (flag,) = on_feet({-2: 4.0}, habit_h=2.5)
    assert flag.limit == pytest.approx(1.5 * 150)


def test_the_limits_on_feet_are_the_athletes_to_change() -> None:
    assert on_feet({-5: 6.0}, on_feet_first_day=-6.0)
    assert not on_feet({-2: 3.5}, on_feet_least_min=240.0)
