"""Sessions of the journal as legs: beside files, alone, without a duration, with hard minutes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from build import DAY0, NAN, day, going_on, habit, imported, journal, leg
from taperback.importer.model import Imported
from taperback.journal.model import SESSION_COLUMNS, Journal
from taperback.raceweek.race import Race, races_of
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.typed_legs import with_sessions


def row(days: int, sport: str = "running", hours: float = 1.0, **cells: Any) -> dict[str, Any]:
    """A row of `sessions.csv`, on a day counted from the race."""
    absent = {"sub_sport": "", "notes": "", "distance_km": NAN, "hard_min": NAN, "rpe": NAN}
    first = {"row": 60 + days, "date": day(days), "sport": sport, "duration_s": 3600 * hours}
    return absent | first | cells


def book(*rows: dict[str, Any], **athlete: Any) -> Journal:
    return replace(journal(**athlete), sessions=pd.DataFrame(rows, columns=list(SESSION_COLUMNS)))


def together(legs: list, *rows: dict[str, Any]) -> Imported:
    return with_sessions(imported(legs), book(*rows))


def one(legs: list, *rows: dict[str, Any]) -> Race:
    typed = book(*rows)
    return races_of(windows(with_sessions(imported(going_on(legs)), typed), typed))[0]


def value(legs: list, *rows: dict[str, Any], name: str) -> Any:
    typed = book(*rows)
    (week,) = race_weeks(with_sessions(imported(going_on(legs)), typed), typed)
    return week.measures[name]


def test_a_session_that_no_file_holds_is_a_leg_with_the_journal_as_its_file() -> None:
    (only,) = together([], row(-3, distance_km=10.0, rpe=6.0)).legs.to_dict("records")
    assert (only["leg_id"], only["file"]) == ("sessions.csv.57", "sessions.csv")
    assert (only["local_day"], only["sport"], only["moving_s"]) == (day(-3), "running", 3600.0)
    assert (only["distance_m"], only["session_rpe"]) == (10_000.0, 6.0)


def test_the_same_session_in_a_file_is_used_once_and_that_is_one_remark() -> None:
    legs = [leg(-4, hours=1.0), leg(-3, hours=1.0), leg(-2, hours=1.0)]
    got = together(legs, row(-4, hours=1.24), row(-3, hours=0.76, rpe=7.0), row(-2, hours=1.26))
    assert len(got.legs) == 4
    assert [str(notice) for notice in got.notices] == [
        "sessions.csv, row 56: this session and those of 1 more row are in files, too (same day "
        "and sport, about as long); the file is used"
    ]
    assert got.legs.set_index("local_day")["session_rpe"].loc[day(-3)] == 7.0


def test_a_single_row_that_a_file_holds_is_said_alone() -> None:
    got = together([leg(-3)], row(-3))
    assert [(notice.code, str(notice)) for notice in got.notices] == [
        (
            "session-in-file",
            "sessions.csv, row 57: its session is in a file, too (same day and sport, about as "
            "long); the file is used",
        )
    ]


def test_what_a_row_does_not_say_is_unknown_as_in_a_file_that_does_not() -> None:
    (typed,) = together([], row(-3, distance_km=10.0)).legs.to_dict("records")
    same = {"file": "sessions.csv", "file_format": "journal", "start_utc": typed["start_utc"]}
    plain = leg(-3, hard_min=None, distance_m=10_000.0, **same)
    (filed,) = imported([plain]).legs.to_dict("records")
    for name, value in filed.items():
        if name not in ("leg_id", "digest"):
            np.testing.assert_equal(typed[name], value, err_msg=name)
            assert type(typed[name]) is type(value), name


def test_two_sessions_of_a_day_are_each_found_once() -> None:
    legs = [leg(-3, hours=1.0, at=7), leg(-3, hours=1.1, at=17)]
    got = together(legs, row(-3, hours=1.1, row=2), row(-3, hours=1.0, row=3), row(-3, row=4))
    assert list(got.legs["leg_id"]).count("sessions.csv.4") == 1
    assert len(got.legs) == 3


def test_another_sport_or_day_is_another_session() -> None:
    got = together([leg(-3)], row(-3, "cycling"), row(-2))
    assert len(got.legs) == 3
    assert not got.notices


def test_typed_sessions_count_as_volume() -> None:
    legs = [*habit(), *(leg(k) for k in range(-7, 0) if k != -3)]
    assert value(legs, row(-3, hours=2.0), name="volume_h").value == 8.0
    assert value(legs, name="volume_h").value == 6.0


def test_a_session_without_a_duration_leaves_the_weeks_volume_unknown() -> None:
    legs = [*habit(), *(leg(k) for k in range(-7, 0) if k != -3)]
    for name in ("volume_h", "volume_cut", "hard_min"):
        measured = value(legs, row(-3, hours=NAN), name=name)
        assert not measured.known
        assert measured.reason == (
            f"how long the running of {day(-3)} took is not typed in sessions.csv"
        )


def test_the_sport_of_unknown_length_is_named_as_one_says_it() -> None:
    measured = value(habit(), row(-3, "cross_country_skiing", NAN), name="volume_h")
    assert measured.reason == (
        f"how long the cross country skiing of {day(-3)} took is not typed in sessions.csv"
    )


def test_a_usual_week_with_such_a_session_is_left_out_of_the_baseline() -> None:
    legs = [each for each in habit() if each.start_utc.date() != day(-30)]
    window = one(legs, row(-30, hours=NAN)).window
    assert [block.usable for block in window.blocks] == [True, True, True, False, True, True]
    assert "is not typed in sessions.csv" in window.blocks[3].reason


def test_what_does_not_count_may_have_no_duration() -> None:
    assert value(habit(), row(-3, "walking", NAN), name="volume_h").value == 0.0


def test_a_file_of_the_day_and_sport_is_the_session_whose_duration_is_not_typed() -> None:
    got = together([leg(-3)], row(-3, hours=NAN))
    assert len(got.legs) == 1


def test_typed_hard_minutes_are_a_known_intensity() -> None:
    legs = [*habit(), *(leg(k, hard_min=None) for k in range(-7, 0) if k != -3)]
    typed = [row(k, hours=1.0, hard_min=12.0) for k in range(-7, 0) if k != -3]
    measured = value(legs, *typed, name="hard_min")
    assert measured.value == pytest.approx(6 * 12.0)
    assert "hard minutes of 6 sessions as typed" in measured.basis


def test_a_files_own_signal_comes_before_typed_hard_minutes() -> None:
    legs = [*habit(), *(leg(k, hard_min=6.0) for k in range(-7, 0))]
    assert value(legs, row(-3, hard_min=30.0), name="hard_min").value == pytest.approx(42.0)


def test_hard_minutes_longer_than_the_session_are_the_session() -> None:
    race = one(habit(), row(-3, hours=0.5, hard_min=50.0))
    assert race.week.hard_min == pytest.approx(30.0)


def test_sessions_of_a_day_stand_apart_on_their_day() -> None:
    legs = together([], row(-3, hours=9.0, row=2), row(-3, hours=9.0, row=3)).legs
    assert list(legs["local_day"]) == [day(-3)] * 2
    gap = legs["start_utc"].diff().dt.total_seconds().iloc[1]
    assert gap == 10 * 3600


def test_a_row_without_a_sport_is_kept_and_does_not_count() -> None:
    race = one(habit(), row(-3, ""))
    assert race.window.legs.between(-3, -3)["counts"].tolist() == [False]
    assert np.isfinite(race.week_h.value)
    assert race.window.day0 == DAY0
