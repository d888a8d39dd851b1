"""A typed result that files contradict is told, and not believed where other times say so too."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from build import DAY0, habit, imported, journal, leg, multisport, race
from taperback.common.notices import Level
from taperback.journal.expected import with_estimates
from taperback.raceweek.result.doubts import last_recorded_day, seen_today
from taperback.raceweek.table import race_weeks, with_files_word

OLYMPIC = multisport(
    0, ("swimming", 0.5), ("transition", 0.05), ("cycling", 1.05), ("running", 0.7)
)
SPORTS = ("swimming", "cycling", "running")
FILE_S = 2.3 * 3600.0
EXPECTED = {"expected_time_s": 8400.0}


def week(legs=OLYMPIC, days=0, **cells):
    (one,) = race_weeks(
        imported([*habit(), *legs]), journal(race(days, sports=SPORTS, **cells), trips=[])
    )
    return one


def lines(one):
    return [(notice.level, str(notice)) for notice in one.notices]


def test_a_finish_time_an_hour_off_its_file_is_a_fault_and_gives_no_result():
    one = week(finish_time_s=FILE_S - 3600, race_rpe=8.0, **EXPECTED)
    assert lines(one) == [
        (
            Level.FAULT,
            "races.csv, row 2, finish_time: the race's file lasts 2:18:00, and 1:18:00 is typed; "
            "write the right one as h:mm:ss; until then the race has no result",
        )
    ]
    result = one.measures["result_pct"]
    assert (result.value, result.reason) == (
        None,
        "the race's file lasts 2:18:00, and 1:18:00 is typed",
    )
    assert one.measures["race_rpe"].value == 8.0
    longer = week(finish_time_s=FILE_S + 3600, **EXPECTED)
    assert not longer.measures["result_pct"].known


def test_hours_and_minutes_read_as_minutes_and_seconds_are_told_as_such():
    one = week(finish_time_s=138.0, expected_time_s=140.0)
    assert lines(one) == [
        (
            Level.FAULT,
            "races.csv, row 2, finish_time: the race's file lasts 2:18:00, and 0:02:18 is typed; "
            "hours and minutes were read as minutes and seconds; write 2:18:00",
        )
    ]
    assert not one.measures["result_pct"].known


@pytest.mark.parametrize(
    "cells",
    [
        {"finish_time_s": 4500.0, "expected_time_s": 4400.0},
        {"finish_time_s": 4500.0, "reference_time_s": 4000.0},
        {"finish_time_s": 4500.0},
        {"finish_time_s": FILE_S * 1.1} | EXPECTED,
    ],
)
def test_a_file_of_more_or_less_than_the_race_is_a_remark(cells):
    """A warm-up in the same file, or half the race in it, says nothing against a typed time."""
    one = week(**cells)
    ((level, line),) = lines(one)
    assert level is Level.NOTE
    assert line.endswith("is typed; check which is right; the typed one is used")
    if "expected_time_s" in cells:
        assert one.measures["result_pct"].known


def test_both_times_have_to_side_with_the_file():
    both = {"expected_time_s": 8400.0, "reference_time_s": 4600.0}
    ((level, _),) = lines(week(finish_time_s=4500.0, **both))
    assert level is Level.NOTE


def test_a_watch_that_ran_on_at_rest_contradicts_no_time_between():
    run = [leg(0, hours=2.0, moving_s=2400.0)]
    one = week(run, finish_time_s=2500.0, expected_time_s=6000.0)
    assert [level for level, _ in lines(one)] == [Level.NOTE]
    assert one.measures["result_pct"].known


def test_a_finish_time_that_fits_or_does_not_count_is_passed_over():
    assert lines(week(finish_time_s=FILE_S, **EXPECTED)) == []
    assert lines(week(**EXPECTED)) == []
    assert lines(week([], finish_time_s=60.0, **EXPECTED)) == []
    assert lines(week(finish_time_s=60.0, status="dnf", **EXPECTED)) == []
    assert lines(week(finish_time_s=60.0, leave_out="lost the way", **EXPECTED)) == []


def test_a_doubted_time_moves_no_other_race():
    rows = [race(-k, row=2 + k, finish_time_s=8280.0, reference_time_s=8000.0) for k in (1, 2)]
    wrong = race(sports=SPORTS, finish_time_s=4000.0, reference_time_s=8000.0)
    found = race_weeks(imported([*habit(), *OLYMPIC]), journal(*rows, wrong))
    assert [one.number("result_pct") for one in found] == [0.0, 0.0, None]
    assert "median of 2 races" in found[0].measures["result_pct"].basis


def estimated(first_s):
    """Three races over one distance with estimates for expected times; the first has a file."""
    rows = [
        race(k, row=2 + k, distance=name, sports=SPORTS, finish_time_s=seconds)
        for k, (seconds, name) in enumerate(
            [(first_s, "olympic"), (8300.0, "Olympic"), (8200.0, "olympic")]
        )
    ]
    book = journal(*rows)
    races, _ = with_estimates(book.races.drop(columns="expected_source"))
    return race_weeks(imported([*habit(), *OLYMPIC]), replace(book, races=races))


def test_without_a_typed_time_the_usual_one_over_the_distance_decides():
    first, second, third = estimated(FILE_S - 3600)
    assert lines(first)[0][0] is Level.FAULT
    assert lines(second) == [
        (
            Level.UNUSED,
            "races.csv, row 3, expected_time: it is an estimate from earlier results, and that of "
            "row 2 is in doubt; put row 2 right, or type the expected_time",
        )
    ]
    assert third.measures["result_pct"].reason == (
        "its expected time is an estimate from earlier results, and that of row 2 is in doubt"
    )


def test_estimates_from_results_that_fit_their_files_count():
    first, *later = estimated(FILE_S)
    assert lines(first) == []
    assert [lines(one) for one in later] == [[], []]
    assert all(one.measures["result_pct"].known for one in later)


def test_a_result_long_after_the_last_file_is_left_out():
    days = 29
    one = week(days=days, finish_time_s=FILE_S, race_rpe=8.0, **EXPECTED)
    found = f"{DAY0 + timedelta(days)} lies 29 days after the last file, of {DAY0}, and a "
    found += "finish_time is typed"
    assert lines(one) == [
        (
            Level.UNUSED,
            f"races.csv, row 2, date: {found}; put the date right, or add the files of the weeks "
            "before it",
        )
    ]
    for name in ("result_pct", "race_rpe"):
        assert one.measures[name].reason == found
    assert week(days=28, finish_time_s=FILE_S, **EXPECTED).measures["result_pct"].known
    assert lines(week(days=days, **EXPECTED)) == [], "a race that is planned"
    assert "a race_rpe is typed" in lines(week(days=days, race_rpe=8.0))[0][1]


def test_without_any_file_no_day_is_too_late():
    nothing = imported([])
    assert last_recorded_day(nothing) is None
    (one,) = race_weeks(nothing, journal(race(finish_time_s=FILE_S, **EXPECTED)))
    assert one.measures["result_pct"].known


def test_a_result_of_a_race_ahead_of_today_is_a_fault():
    weeks = (week(days=3, race_rpe=8.0),)
    yesterday = DAY0 + timedelta(2)
    assert seen_today(weeks, yesterday, "races.csv") == weeks, "it may be tomorrow there"
    (one,) = seen_today(weeks, DAY0 + timedelta(1), "races.csv")
    assert lines(one) == [
        (
            Level.FAULT,
            "races.csv, row 2, date: 2030-07-03 lies ahead of today, 2030-07-01, and yet a "
            "race_rpe is typed; put the date right, or leave the race_rpe empty until then",
        )
    ]
    planned = (week(days=3),)
    assert seen_today(planned, DAY0, "races.csv") == planned


def test_what_files_say_joins_the_journal_and_its_faults():
    one = week(finish_time_s=60.0, **EXPECTED)
    book = with_files_word(journal(), [one])
    assert book.notices == one.notices
    assert book.has_faults


@pytest.mark.parametrize(
    ("expected_s", "told"), [(4800.0, True), (14_000.0, True), (7000.0, False)]
)
def test_a_finish_time_far_from_the_expected_one_is_remarked_upon_and_used(expected_s, told):
    one = week(finish_time_s=FILE_S, expected_time_s=expected_s)
    assert one.measures["result_pct"].known
    found = [str(notice) for notice in one.notices]
    if not told:
        assert found == []
        return
    assert [notice.level for notice in one.notices] == [Level.NOTE]
    assert found[0].startswith("races.csv, row 2, expected_time: 2:18:00 is far from the expected ")


def test_each_remark_has_a_code_that_stays():
    def codes(one):
        return [(notice.code, notice.column) for notice in one.notices]

    assert codes(week(finish_time_s=FILE_S - 3600, **EXPECTED)) == [("against-file", "finish_time")]
    assert codes(week(finish_time_s=4500.0)) == [("against-file", "finish_time")]
    minutes = week(finish_time_s=138.0, expected_time_s=140.0)
    assert codes(minutes) == [("read-as-minutes", "finish_time")]
    assert codes(week(days=29, finish_time_s=FILE_S)) == [("beyond-files", "date")]
    far = week(finish_time_s=FILE_S, expected_time_s=4800.0)
    assert codes(far) == [("far-apart", "expected_time")]
    (ahead,) = seen_today((week(days=3, race_rpe=8.0),), DAY0, "races.csv")
    assert codes(ahead) == [("ahead", "date")]
    assert ahead.doubted_column == "date"
    _, second, _ = estimated(FILE_S - 3600)
    assert codes(second) == [("doubted", "expected_time")]


def test_the_remark_on_an_expected_time_says_what_to_do():
    (notice,) = week(finish_time_s=FILE_S, expected_time_s=4800.0).notices
    assert str(notice) == (
        "races.csv, row 2, expected_time: 2:18:00 is far from the expected 1:20:00; check both; "
        "they are used, and outweigh every other race if one is a slip"
    )


def test_the_usual_time_over_a_distance_is_of_races_that_count():
    """Ten stopped or left out after 70 minutes say nothing of how long the race takes."""
    left = ({"status": "dnf"}, {"leave_out": "lost the way"})
    rows = [
        race(-k, row=2 + k, sports=SPORTS, distance="olympic", finish_time_s=4200.0, **left[k % 2])
        for k in range(1, 11)
    ]
    rows.append(race(-20, row=30, sports=SPORTS, distance="olympic", finish_time_s=8200.0))
    rows.append(race(-21, row=31, sports=SPORTS, distance="olympic"))
    rows.append(race(0, row=32, sports=SPORTS, distance="olympic", finish_time_s=4680.0))
    last = race_weeks(imported([*habit(), *OLYMPIC]), journal(*rows))[-1]
    assert [level for level, _ in lines(last)] == [Level.FAULT]


def test_the_scale_of_all_races_is_chosen_without_the_doubted_ones():
    """One doubted time beside one place: the place is all that there is."""
    rows = [
        race(-100, row=2, place=20.0, field_size=100.0),
        race(0, row=3, sports=SPORTS, finish_time_s=FILE_S - 3600, **EXPECTED),
    ]
    weeks = race_weeks(imported([*habit(), *OLYMPIC]), journal(*rows))
    assert {one.scale for one in weeks} == {"place"}
    trusted = [rows[0], rows[1] | {"finish_time_s": FILE_S}]
    weeks = race_weeks(imported([*habit(), *OLYMPIC]), journal(*trusted))
    assert {one.scale for one in weeks} == {"expected_time"}
    (bare,) = race_weeks(imported(habit()), journal(race()))
    assert bare.scale == ""


def test_an_estimate_far_from_the_finish_time_is_nobodys_slip():
    one = week(finish_time_s=FILE_S, expected_time_s=4800.0, expected_source="row 3")
    assert one.notices == ()
