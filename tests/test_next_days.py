"""The days of next time's week: scaled, off the travel days, the hard part on its day."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperback.common.limits import LIMITS
from taperback.raceweek.effort.repetitions import Repetitions
from taperback.raceweek.run_up import UsualRepetitions
from taperback.study.next_days import Pattern, off_travel, pattern_of, plan_sessions

KILOMETRES = UsualRepetitions(
    Repetitions("running", 5, "distance", 1000, "speed", 1000 / 225, 1125), 3.75, 6
)
RACE_DAY = date(2030, 3, 31)  # the day on which clocks in Europe change
Rows = dict[int, tuple[str, float, float]]


def pattern(rows: Rows, opener: int | None = None) -> Pattern:
    """Day -> (sport, hours, hard minutes)."""
    table = [(day, *cells) for day, cells in rows.items()]
    return Pattern(
        pd.DataFrame(table, columns=["days_to_race", "sport", "hours", "hard_min"]), opener
    )


WEEK: Rows = {
    -7: ("running", 1.0, 0.0),
    -5: ("running", 1.0, 20.0),
    -3: ("cycling", 2.0, 0.0),
    -1: ("running", 0.5, 3.0),
}


def rows_of(found: Pattern) -> Rows:
    return {
        row.days_to_race: (row.sport, row.hours, row.hard_min)
        for row in found.sessions.itertuples()
    }


def test_a_session_of_a_travel_day_goes_to_the_nearest_free_day_the_earlier_of_two() -> None:
    assert rows_of(off_travel(pattern(WEEK, -1), {-5})) == {
        -7: WEEK[-7],
        -6: WEEK[-5],
        -3: WEEK[-3],
        -1: WEEK[-1],
    }
    moved = off_travel(pattern(WEEK, -1), {-3, -2})
    assert rows_of(moved) == {-7: WEEK[-7], -5: WEEK[-5], -4: WEEK[-3], -1: WEEK[-1]}
    assert moved.opener == -1


def test_nothing_is_moved_to_the_day_before_the_race_while_there_is_another() -> None:
    week: Rows = {-7: ("running", 1.0, 0.0), -2: ("running", 0.5, 0.0)}
    assert sorted(rows_of(off_travel(pattern(week), {-2, -3}))) == [-7, -4]
    assert sorted(rows_of(off_travel(pattern(week), {-2, -3, -4, -5, -6}))) == [-7]
    assert sorted(rows_of(off_travel(pattern(week), {-7, -6, -5, -4, -3, -2}))) == [-1]


def test_where_no_day_is_free_the_hours_join_the_nearest_day() -> None:
    full: Rows = dict.fromkeys(range(-7, 0), ("running", 1.0, 0.0))
    moved = rows_of(off_travel(pattern(full), {-4}))
    assert moved[-5] == ("running", 2.0, 0.0)
    assert sum(hours for _, hours, _ in moved.values()) == 7.0


def test_a_week_of_travel_holds_nothing() -> None:
    assert rows_of(off_travel(pattern(WEEK), set(range(-7, 0)))) == {}


def test_an_opener_on_a_travel_day_is_none() -> None:
    assert off_travel(pattern(WEEK, -1), {-1}).opener is None


def test_each_day_has_its_date_and_the_hard_part_in_the_athletes_own_repetitions() -> None:
    # half of 23 hard minutes, rounded: 3 for the opener as it was, 9 on the hard day: at 3.75
    # minutes each two are 7.5 and three 11.25, and the former is nearer to 9
    plan = plan_sessions(pattern(WEEK, -1), 0.5, 11.5, [KILOMETRES], RACE_DAY)
    assert [(s.day, s.sport, s.minutes, s.hard_min, s.work, s.opener) for s in plan] == [
        (date(2030, 3, 24), "running", 30, 0, "", False),
        (date(2030, 3, 26), "running", 30, 9, "2 x 1 km at 3:45 /km", False),
        (date(2030, 3, 28), "cycling", 60, 0, "", False),
        (date(2030, 3, 30), "running", 15, 3, "", True),
    ]


def test_where_the_copied_week_had_no_hard_day_it_is_the_one_nearest_to_the_fourth_before() -> None:
    easy = {day: (sport, hours, 0.0) for day, (sport, hours, _) in WEEK.items()}
    plan = plan_sessions(pattern(easy), 1.0, 20.0, [KILOMETRES])
    # running has repetitions, so the day is -5 and not the ride of -3; the opener has its usual 2
    hard = {s.days_to_race: (s.hard_min, s.work, s.opener) for s in plan if s.hard_min}
    assert hard == {-5: (18, "5 x 1 km at 3:45 /km", False), -1: (2, "", True)}
    without = plan_sessions(pattern(easy), 1.0, 20.0)
    assert {s.days_to_race: s.hard_min for s in without if s.hard_min} == {-5: 18, -1: 2}


def test_hard_work_too_near_the_race_is_planned_earlier() -> None:
    late: Rows = {-6: ("running", 1.0, 0.0), -2: ("running", 1.0, 25.0)}
    plan = plan_sessions(pattern(late, opener=None), 1.0, 20.0)
    assert {s.days_to_race: (s.hard_min, s.opener) for s in plan} == {
        -6: (18, False),
        -2: (2, True),
    }


def test_without_known_intensity_no_session_says_how_hard() -> None:
    plan = plan_sessions(pattern(WEEK), 0.5, None, [KILOMETRES])
    assert {s.hard_min for s in plan} == {None}
    assert not any(s.work or s.opener for s in plan)


def test_a_hard_part_leaves_room_for_the_warm_up() -> None:
    short: Rows = {-5: ("running", 0.5, 40.0), -4: ("cycling", 1.5, 0.0)}
    plan = plan_sessions(pattern(short), 1.0, 40.0)
    assert {s.sport: s.hard_min for s in plan} == {"running": 15, "cycling": 25}


DAYS = st.integers(-7, -1)
SESSIONS = st.tuples(
    st.sampled_from(["running", "cycling"]),
    st.floats(0.1, 4.0).map(lambda h: round(h, 2)),
    st.floats(0.0, 60.0),
)


@given(
    rows=st.dictionaries(DAYS, SESSIONS, min_size=1),
    travel=st.sets(DAYS),
    opener=st.none() | DAYS,
    hard_min=st.floats(0.0, 200.0),
)
def test_no_minute_is_lost_or_made_up(rows, travel, opener, hard_min) -> None:
    week = off_travel(pattern(rows, opener), travel)
    assert not set(week.sessions["days_to_race"]) & travel
    open_days = len(travel) < 7
    whole = sum(hours for _, hours, _ in rows.values()) if open_days else 0.0
    assert week.sessions["hours"].sum() == pytest.approx(whole)
    plan = plan_sessions(week, 0.5, hard_min, [KILOMETRES])
    assert all(0 <= (s.hard_min or 0) <= s.minutes for s in plan)
    if plan and (hard := sum(s.hard_min or 0 for s in plan)) != round(hard_min):
        longest = max(plan, key=lambda s: s.minutes)
        assert hard < round(hard_min) and longest.hard_min == longest.minutes, "no more fits"
    assert sum(s.opener for s in plan) <= 1
    assert all(s.days_to_race >= LIMITS.opener.first_day for s in plan if s.opener and not opener)


def test_the_hard_minutes_of_a_day_are_those_of_the_sport_with_repetitions() -> None:
    first = date(2030, 3, 24)
    days = pd.DataFrame(
        {
            "day": [first + timedelta(k) for k in range(-1, 8)],
            "hours": [{"running": 9.0}, {}, {"cycling": 2.0, "running": 1.0}, *[{}] * 5, {}],
            "hard_min": [50.0, float("nan"), 20.0, *[0.0] * 6],
        }
    )
    assert rows_of(pattern_of(days, first)) == {-6: ("running", 1.0, 0.0)}, "the ride is before it"
    both = pattern_of(days, first, first + timedelta(1), ("running",)).sessions
    assert both.to_dict("list") == {
        "days_to_race": [-6, -6],
        "sport": ["cycling", "running"],
        "hours": [2.0, 1.0],
        "hard_min": [0.0, 20.0],
    }


def test_fewer_repetitions_and_what_is_too_little_for_one() -> None:
    words = [KILOMETRES.with_hard_min(minutes) for minutes in (18.75, 11, 7, 2, 30)]
    assert words == [
        "5 x 1 km at 3:45 /km",
        "3 x 1 km at 3:45 /km",
        "2 x 1 km at 3:45 /km",
        "at 3:45 /km",
        "5 x 1 km at 3:45 /km, and 11 min more",
    ]
