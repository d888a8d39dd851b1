"""Which races lie ahead: after the last recorded day, and nothing typed says how they went."""

from __future__ import annotations

import pytest

from build import day, imported, journal, leg, race
from taperback.raceweek.ahead import next_race, part_ahead
from taperback.raceweek.result.doubts import last_recorded_day

BEFORE, SAME, AFTER = -28, -1, 0


def ids_ahead(last: int | None, *rows: dict) -> list[str]:
    _, ahead = part_ahead(journal(*rows), None if last is None else day(last))
    return [one.race_id for one in ahead]


def test_a_race_after_the_last_recorded_day_is_ahead_and_one_on_it_is_not() -> None:
    assert ids_ahead(-1, race(0)) == [day(0).isoformat()]
    assert ids_ahead(0, race(0)) == []
    assert ids_ahead(3, race(0)) == []


def test_the_last_recorded_day_is_that_of_the_last_session() -> None:
    assert last_recorded_day(imported([leg(-9), leg(-4), leg(-20)])) == day(-4)


def test_without_any_session_no_race_is_ahead() -> None:
    assert last_recorded_day(imported([])) is None
    assert ids_ahead(None, race(0)) == []


@pytest.mark.parametrize(
    "cells", [{"finish_time_s": 8000.0}, {"place": 3.0}, {"race_rpe": 8.0}, {"status": "dnf"}]
)
def test_a_race_of_which_something_says_how_it_went_is_over(cells: dict) -> None:
    assert ids_ahead(-5, race(0, **cells)) == []


def test_what_was_expected_or_not_started_says_nothing_of_how_a_race_went() -> None:
    assert ids_ahead(-5, race(0, expected_time_s=8000.0, temp_c=20.0)) == [day(0).isoformat()]
    assert ids_ahead(-5, race(0, status="cancelled")) == [day(0).isoformat()]


def test_the_journal_keeps_the_races_to_look_back_on_and_their_rows() -> None:
    book = journal(race(-40, row=2), race(0, row=3), race(20, row=4))
    past, ahead = part_ahead(book, day(-3))
    assert past.races["row"].tolist() == [2]
    assert [(one.days_to_go, one.rows) for one in ahead] == [(3, (3,)), (23, (4,))]
    assert part_ahead(book, day(20))[0] is book


def test_an_event_is_ahead_as_a_whole() -> None:
    stages = [race(k, row=2 + k, event="Three Days", name=f"stage {k}") for k in range(3)]
    past, (event,) = part_ahead(journal(race(-40, row=9), *stages), day(-1))
    assert (event.name, event.day0, event.rows) == ("Three Days", day(0), (2, 3, 4))
    assert past.races["row"].tolist() == [9]
    assert ids_ahead(1, *stages) == [], "its first day is recorded"


def test_two_races_of_one_day_keep_the_ids_that_they_will_have() -> None:
    assert ids_ahead(-1, race(0, row=2), race(0, row=3)) == ["2030-06-30", "2030-06-30-2"]


def test_the_next_race_is_the_first_that_is_raced_for() -> None:
    rows = [
        race(0, row=2, aim="tune-up"),
        race(5, row=3, status="cancelled"),
        race(6, row=4, leave_out="with my daughter"),
        race(9, row=5, name="Goal"),
        race(30, row=6),
    ]
    _, ahead = part_ahead(journal(*rows), day(-3))
    chosen = next_race(ahead)
    assert chosen is not None
    assert (chosen.name, chosen.days_to_go) == ("Goal", 12)
    assert next_race(ahead[:3]) is None
