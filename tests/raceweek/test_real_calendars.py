"""Races close to each other: tune-ups, older weeks, stages and heats, usual weeks in doubt."""

from __future__ import annotations

import pytest

from build import NAN, day, habit, imported, journal, leg, race
from taperback.journal.model import Period
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.events import stages_of, with_events

RUN = {"sports": ("running",)}


def daily(first: int, last: int, hours: float = 1.0, **changes):
    return [leg(k, hours=hours, **changes) for k in range(first, last + 1)]


def fortnightly(*aims: str):
    """A ride to race every second Sunday for half a year, trained 1 h a day in between."""
    days = range(-14 * (len(aims) - 1), 1, 14)
    legs = [
        leg(k, "cycling", 3.0 if k in days else 1.0, hard_min=90 if k in days else 0)
        for k in range(days[0] - 60, 8)
    ]
    rows = [
        race(k, row=2 + n, name=f"R{n}", sports=("cycling",), aim=aim)
        for n, (k, aim) in enumerate(zip(days, aims, strict=True))
    ]
    return race_weeks(imported(legs), journal(*rows))


def test_who_races_every_second_week_has_a_usual_week_where_tune_ups_are_typed():
    main = fortnightly(*["main"] * 15)
    assert sum(week.measures["baseline_weekly_h"].known for week in main) < 15
    tuned = fortnightly(*["tune-up"] * 14, "main")
    assert all(week.measures["baseline_weekly_h"].known for week in tuned)
    # six days of 1 h, a race of 3 h every second week: 7 h and 9 h in turn, a median of 8 h
    assert tuned[-1].measures["baseline_weekly_h"].value == pytest.approx(8.0)
    assert tuned[-1].measures["volume_cut"].value == pytest.approx(1 - 7 / 8)


def test_nothing_before_a_tune_up_is_a_panic_and_it_says_so():
    hard = [*habit(), leg(-2, hours=2.5, hard_min=60), *daily(1, 7)]
    (main,) = race_weeks(imported(hard), journal(race(**RUN)))
    (tune_up,) = race_weeks(imported(hard), journal(race(aim="tune-up", **RUN)))
    assert main.flags and main.measures["panic_sessions"].value == 1
    assert tune_up.flags == ()
    assert tune_up.measures["panic_sessions"].reason.startswith("a tune-up is trained through")


def test_a_tune_up_in_race_week_is_training_and_no_panic_session():
    legs = [*habit(), leg(-3, hours=1.5, hard_min=80, file="tune.fit"), leg(0, hours=3.0)]
    book = journal(
        race(-3, row=2, name="Tune", aim="tune-up", **RUN), race(row=3, name="Main", **RUN)
    )
    main = race_weeks(imported([*legs, *daily(1, 7)]), book)[-1]
    assert main.measures["volume_cut"].value == pytest.approx(1 - 1.5 / 7)
    assert main.flags == ()


def many_races_before():
    """Main races 20, 34 and 48 days before, and a quiet season before those."""
    return [race(k, row=-k, name=f"Race {k}", **RUN) for k in (-48, -34, -20)]


def test_older_weeks_are_taken_where_the_six_do_not_suffice_and_that_is_said():
    book = journal(*many_races_before(), race(row=2, name="Goal", **RUN))
    legs = [*daily(-182, -57, 2.0), *daily(-56, -8), *daily(-7, 7, 0.5)]
    goal = race_weeks(imported(legs), book)[-1]
    usual = goal.measures["baseline_weekly_h"]
    # nothing of the six can be used but their first week (7 h); two older ones (14 h) are taken
    assert usual.value == pytest.approx(14.0)
    assert "older weeks among them, since newer ones cannot be used" in usual.basis
    assert usual.caveat == "older weeks"
    assert goal.measures["volume_cut"].caveat == "older weeks"
    assert goal.measures["volume_h"].caveat == ""
    assert goal.days["days_to_race"].iloc[0] < -56


def test_weeks_older_than_half_a_year_do_not_help():
    book = journal(*many_races_before(), race(row=2, name="Goal", **RUN))
    legs = [*daily(-300, -183), *daily(-62, -8), *daily(1, 7)]
    assert not race_weeks(imported(legs), book)[-1].measures["baseline_weekly_h"].known


def test_enough_newer_weeks_leave_older_ones_alone():
    legs = [*daily(-182, -57, 2.0), *habit(), *daily(1, 7)]
    (window,) = windows(imported(legs), journal(race(**RUN)))
    assert (window.first_day, window.older_weeks) == (-56, 0)


def test_a_usual_week_that_rests_on_empty_weeks_is_in_doubt():
    injured = Period(day(-49), day(-22), "rest")
    legs = [*daily(-56, -50), *daily(-21, -8), *daily(1, 7)]
    book = journal(race(**RUN), periods=(injured,))
    (week,) = race_weeks(imported(legs), book)
    usual = week.measures["baseline_weekly_h"]
    assert "in doubt, since 4 weeks had no training" in usual.basis
    assert usual.caveat == "usual week in doubt"


def staged():
    """Three stages of 4, 3 and 5 h after a quiet week; 2 h a day before it."""
    legs = [*daily(-56, -8, 2.0), *daily(-7, -1, 0.5), *daily(9, 16)]
    stages = [leg(k, hours=h, file=f"stage{k}.fit") for k, h in ((0, 4.0), (1, 3.0), (2, 5.0))]
    times = {0: 4.0, 1: 3.0, 2: 5.0}
    rows = [
        race(
            k,
            row=2 + k,
            name=f"Stage {k + 1}",
            event="Ridge Days",
            finish_time_s=3600 * h,
            expected_time_s=3960 * h,
            race_rpe=6.0 + k,
            **RUN,
        )
        for k, h in times.items()
    ]
    return [*legs, *stages], rows


def test_the_stages_of_an_event_are_one_race_before_its_first_day():
    legs, rows = staged()
    (week,) = race_weeks(imported(legs), journal(*rows))
    assert (week.race_id, week.name, week.day0) == (day(0).isoformat(), "Ridge Days", day(0))
    assert len(week.race_legs) == 3
    assert week.measures["volume_cut"].value == pytest.approx(1 - 3.5 / 14)
    assert week.measures["result_pct"].value == pytest.approx(100 * (1 - 1 / 1.1))
    assert week.measures["race_rpe"].value == 7.0
    assert week.flags == ()
    assert not any("file lasts" in fact for fact in week.facts), "its files say the same"


def test_without_the_word_each_stage_spoils_the_next_ones_week():
    legs, rows = staged()
    weeks = race_weeks(imported(legs), journal(*(row | {"event": ""} for row in rows)))
    assert len(weeks) == 3
    assert weeks[-1].measures["volume_cut"].value == pytest.approx(1 - (2.5 + 4 + 3) / 14)


def test_a_stage_without_its_time_leaves_the_event_without_one():
    legs, rows = staged()
    rows[1] |= {"finish_time_s": NAN}
    (week,) = race_weeks(imported(legs), journal(*rows))
    assert not week.measures["result_pct"].known


def test_the_same_word_a_year_later_is_another_event():
    rows = [
        race(k, row=n, event=word, **RUN)
        for n, (k, word) in enumerate(
            ((-360, "Nationals"), (-359, "nationals"), (0, "Nationals"), (1, "Nationals"), (1, ""))
        )
    ]
    races = journal(*rows).races
    assert stages_of(races) == [[0, 1], [2, 3], [4]]
    assert with_events(races)["name"].to_list() == ["Nationals", "Nationals", ""]


def test_a_cancelled_stage_is_left_out_and_an_unfinished_one_counts_for_all():
    legs, rows = staged()
    rows[2] |= {"status": "cancelled", "finish_time_s": NAN}
    (week,) = race_weeks(imported(legs), journal(*rows))
    assert week.measures["result_pct"].known
    rows[1] |= {"status": "dnf"}
    (week,) = race_weeks(imported(legs), journal(*rows))
    assert week.measures["result_pct"].reason == "the race was not finished"


def test_races_after_an_event_recover_from_its_last_day():
    legs, rows = staged()
    book = journal(*rows, race(44, row=9, name="Later", **RUN))
    later = windows(imported([*legs, *daily(17, 60)]), book)[-1]
    recovering = [block.first for block in later.blocks if block.kind == "recovery"]
    assert recovering == [-49, -42, -35], "its stages end on day -42, its recovery on day -35"
