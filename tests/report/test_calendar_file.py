"""The calendar file, opened by a reader that is not ours: vobject, which knows RFC 5545 itself."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
import vobject

from report.ahead import study_ahead
from report.studies import study
from taperback.raceweek.travel.trips import Trip
from taperback.report.calendar_file import next_week_ics
from taperback.report.page import write_report
from taperback.report.words.plan import session_words
from taperback.study.review import Study

MADE = study_ahead()
WHO = "Wren Alder"


def entries(made: Study) -> list:
    """The entries that the reader finds in the file."""
    calendar = vobject.readOne(next_week_ics(made.next_week, WHO))
    assert (calendar.name, calendar.version.value) == ("VCALENDAR", "2.0")
    return calendar.vevent_list


def test_each_session_is_an_all_day_entry_in_the_words_of_the_page() -> None:
    found = entries(MADE)
    assert [(e.dtstart.value, e.summary.value) for e in found] == [
        (session.day, session_words(session)) for session in MADE.next_week.sessions
    ]
    assert found[0].summary.value == "run 45 min, 14 min hard: 4 x 1 km at 3:45 /km"
    for entry in found:
        assert entry.dtstart.params == {"VALUE": ["DATE"]}
        assert type(entry.dtstart.value) is date, "a day, and no time of it"
        assert entry.dtend.value - entry.dtstart.value == timedelta(days=1)


@pytest.mark.parametrize(
    ("race", "zone", "zones_h"),
    [
        (date(2031, 3, 30), "Europe/Vienna", 0.0),  # clocks go forward on race day
        (date(2030, 10, 27), "Europe/Vienna", 0.0),  # and back
        (date(2031, 4, 6), "Pacific/Auckland", 11.0),  # back, at the other end of the world
        (date(2031, 3, 30), "Pacific/Apia", 12.0),
        (date(2031, 3, 30), "Pacific/Honolulu", -11.0),
        (date(2032, 3, 2), "Europe/Vienna", 0.0),  # over a leap day
    ],
)
def test_the_dates_are_right_over_a_change_of_clocks_and_anywhere(race, zone, zones_h) -> None:
    trip = Trip(
        "journal", zones_h, "", race - timedelta(4), race - timedelta(3), None, ((zones_h, 3),)
    )
    made = study_ahead(race, trip)
    days = {entry.dtstart.value for entry in entries(made)}
    expected = {race + timedelta(days=s.days_to_race) for s in made.next_week.sessions}
    assert days == expected, zone
    assert not {race - timedelta(4), race - timedelta(3), race} & days


def test_an_id_stays_from_run_to_run_and_is_nobody_elses() -> None:
    ids = [entry.uid.value for entry in entries(MADE)]
    assert len(set(ids)) == len(ids)
    assert ids == [entry.uid.value for entry in entries(study_ahead())]
    renamed = study_ahead(name="Gull Point Sprint")
    assert ids == [entry.uid.value for entry in entries(renamed)], "a slip put right is no new race"
    for other in (
        next_week_ics(MADE.next_week, "Basil Fenn"),
        next_week_ics(study_ahead(date(2031, 4, 6)).next_week, WHO),
    ):
        assert not set(ids) & {entry.uid.value for entry in vobject.readOne(other).vevent_list}


def test_the_version_is_told_by_the_last_recorded_day_and_by_no_clock() -> None:
    stamps = {entry.dtstamp.value for entry in entries(MADE)}
    assert stamps == {datetime(2031, 3, 2, tzinfo=UTC)}
    assert next_week_ics(MADE.next_week, WHO) == next_week_ics(study_ahead().next_week, WHO)


def test_nobody_and_nowhere_is_named_and_no_time_is_called_busy() -> None:
    text = next_week_ics(MADE.next_week, WHO)
    assert not [word for word in (WHO, "Gull Point", "Weir Sprint", "Vienna") if word in text]
    allowed = {"summary", "dtstart", "dtend", "dtstamp", "uid", "class", "transp"}
    for entry in entries(MADE):
        assert set(entry.contents) == allowed
        assert (entry.transp.value, entry.contents["class"][0].value) == ("TRANSPARENT", "PRIVATE")


def test_lines_end_and_fold_as_the_standard_has_it() -> None:
    """RFC 5545, 3.1: lines end in CRLF and are no longer than 75 octets without it."""
    data = next_week_ics(MADE.next_week, WHO).encode()
    lines = data.split(b"\r\n")
    assert lines[-1] == b""
    assert max(map(len, lines)) <= 75
    assert b"\n" not in b"".join(lines)


def test_it_is_written_where_a_race_is_ahead_and_taken_away_where_none_is(tmp_path: Path) -> None:
    calendar = tmp_path / "next_week.ics"
    assert calendar in write_report(MADE, tmp_path)
    assert vobject.readOne(calendar.read_bytes().decode()).vevent_list
    assert calendar not in write_report(study(), tmp_path)
    assert not calendar.exists(), "its days are no advice when no race is ahead"
    assert next_week_ics(study().next_week, WHO) == ""
