"""What is known before a race ahead: the usual weeks, their repetitions and nights, the trip."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from build import day, imported, journal, leg, race, trip
from raceweek.efforts import kilometres
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal
from taperback.raceweek.ahead import part_ahead
from taperback.raceweek.result.doubts import last_recorded_day
from taperback.raceweek.run_up import RunUp, run_up
from taperback.study.next_week import plan_next_week
from test_next_week import rule


def training(last: int, first: int = -200) -> list[LegSummary]:
    """Every week Monday's hour, Wednesday's kilometres, and a ride of two hours, up to a day."""
    legs = []
    for k in range(first, last + 1):
        weekday = day(k).isoweekday()
        if weekday == 1:
            legs.append(leg(k, "running", 1.0, hard_min=0))
        elif weekday == 3:
            legs.append(kilometres(k, 5 if k % 2 else 4, 240))
        elif weekday == 6:
            legs.append(leg(k, "cycling", 2.0, hard_min=0))
    return legs


def before(legs: list[LegSummary], book: Journal, place: int = 0) -> RunUp:
    files = imported(legs)
    _, ahead = part_ahead(book, last_recorded_day(files))
    return run_up(files, book, ahead, ahead[place])


def test_the_usual_week_is_that_of_the_latest_usable_weeks() -> None:
    found = before(training(-22), journal())
    # four hours a week: 1 + 1 + 2; of the six weeks from -56 on, the last is not over yet
    assert found.weekly.value == pytest.approx(4.0)
    assert (found.weekly.days[0], found.weekly.days[-1]) == (day(-56), day(-22))
    assert found.weekly.caveat == ""
    # its Wednesdays are 53, 46, 39, 32 and 25 days before: 20, 16, 20, 16 and 20 hard minutes
    assert found.hard.value == pytest.approx(20.0)


def test_of_a_race_far_ahead_the_latest_weeks_are_older_ones() -> None:
    found = before(training(-70), journal())
    assert found.weekly.value == pytest.approx(4.0)
    assert found.weekly.days[-1] == day(-71), "whole weeks, counted back from the race"
    assert len(found.weekly.days) == 21
    assert found.weekly.caveat == "older weeks"
    assert plan_next_week((), rule(), found).older


def test_a_race_too_far_ahead_has_no_usual_week_and_says_why() -> None:
    found = before(training(-170), journal())
    assert not found.weekly.known
    assert "baseline weeks can be used" in found.weekly.reason
    plan = plan_next_week((), rule(), found)
    assert (plan.race, plan.reason) == (found.race, "no usual week is known for any race")
    assert plan.why_no_baseline == found.weekly.reason


def test_the_usual_repetitions_are_the_median_of_those_alike() -> None:
    (usual,) = before(training(-15), journal()).repetitions
    assert str(usual.what) == "4 x 1 km at 4:00 /km"
    assert (usual.hard_min_each, usual.sessions) == (pytest.approx(4.0), 6)


@pytest.mark.parametrize(
    ("hard_min", "words"),
    [
        (1.0, "at 4:00 /km"),
        (4.0, "1 x 1 km at 4:00 /km"),
        (6.0, "1 x 1 km at 4:00 /km, and 2 min more"),
        (12.0, "3 x 1 km at 4:00 /km"),
        (16.0, "4 x 1 km at 4:00 /km"),
        (40.0, "4 x 1 km at 4:00 /km, and 24 min more"),
    ],
)
def test_hard_minutes_are_told_as_repetitions_of_four_minutes(hard_min: float, words: str) -> None:
    (usual,) = before(training(-15), journal()).repetitions
    assert usual.with_hard_min(hard_min) == words


def test_another_race_ahead_plays_no_part() -> None:
    tune_up = race(-14, row=3, aim="tune-up")
    alone = before(training(-22), journal(race(0, row=2)))
    both = before(training(-22), journal(race(0, row=2), tune_up), place=1)
    assert (both.weekly, both.hard, both.repetitions) == (
        alone.weekly,
        alone.hard,
        alone.repetitions,
    )


def test_the_night_is_the_median_of_the_usual_ones() -> None:
    files = imported(training(-22), nights={k: 7.0 + (k % 3) / 2 for k in range(-50, -22)})
    book = journal()
    _, ahead = part_ahead(book, last_recorded_day(files))
    assert run_up(files, book, ahead, ahead[0]).night.value == 7.5


def test_the_plan_goes_round_the_travel_days_and_says_how_early_to_arrive() -> None:
    book = journal(trips=[trip(-3, -2, "Asia/Tokyo", travel_h=14.0)])
    plan = plan_next_week((), rule(), before(training(-15), book))
    assert plan.race is not None
    assert plan.arrival is not None
    # eight hours east of Lisbon's summer time; no part of this rule speaks of the body clock
    assert (plan.arrival.zones_h, plan.arrival.days_there) == (8.0, 2)
    assert plan.arrival.left_h == pytest.approx(8 - 2 * 57 / 60)
    assert (plan.arrival.most_left_h, plan.arrival.days_needed) == (None, None)
    assert not {day(-3), day(-2)} & {session.day for session in plan.sessions}
    assert sum(s.minutes for s in plan.sessions) == pytest.approx(60 * (plan.target_h or 0), abs=8)
    assert sum(s.hard_min or 0 for s in plan.sessions) == round(plan.hard_min or 0)


def test_without_a_race_week_to_copy_the_days_are_those_of_a_usual_week() -> None:
    plan = plan_next_week((), rule(), before(training(-15), journal()))
    # the race is on a Sunday: Monday is six days before it, Wednesday four, Saturday one
    assert day(0).isoweekday() == 7
    assert [(s.day, s.sport, s.minutes) for s in plan.sessions] == [
        (date(2030, 6, 24), "running", 30),
        (date(2030, 6, 26), "running", 30),
        (date(2030, 6, 29), "cycling", 60),
    ]
    assert plan.pattern_race == ""
    assert plan.pattern_day is not None
    assert plan.pattern_day in {day(k) for k in range(-56, -15, 7)}
    assert (plan.baseline_race, plan.baseline_weeks) == ("", 6)
    # hard minutes: half of the usual week's at three quarters of the share
    usual = plan.usual_hard_min or 0
    assert plan.hard_min == pytest.approx(usual * 0.5 * 0.75)
    work = [s.work for s in plan.sessions if s.work]
    assert work == ["1 x 1 km at 4:00 /km"]


@pytest.mark.parametrize(
    ("zone", "arrive", "depart"),
    [
        ("Pacific/Auckland", -1, -3),
        ("Pacific/Apia", -2, -4),
        ("Pacific/Honolulu", -4, -4),
        ("Pacific/Honolulu", -5, -4),  # over the date line, a day before it left
    ],
)
def test_every_travel_day_is_free_wherever_the_race_is(zone, arrive, depart) -> None:
    book = journal(trips=[trip(depart, arrive, zone)])
    plan = plan_next_week((), rule(), before(training(-15), book))
    assert plan.sessions
    first, last = sorted((depart, arrive))
    travel = {day(k) for k in range(first, last + 1)}
    assert not travel & {session.day for session in plan.sessions}
    assert {s.day - day(0) for s in plan.sessions if s.day} <= {
        timedelta(days=k) for k in range(-7, 0)
    }


def test_what_is_recorded_of_the_week_already_is_counted() -> None:
    plan = plan_next_week((), rule(), before(training(-4), journal()))
    # seven to four days before: Monday's hour and Wednesday's
    assert (plan.recorded_days, plan.recorded_h) == (4, pytest.approx(2.0))
    early = plan_next_week((), rule(), before(training(-8), journal()))
    assert (early.recorded_days, early.recorded_h) == (0, 0.0)
