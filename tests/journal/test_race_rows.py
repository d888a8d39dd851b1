"""Rows of races as people type them: aims, events, hundredths, and one race typed twice."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import numpy as np
import pytest

from journal.test_load import folder
from taperback.journal.load import read_journal
from taperback.journal.model import Journal


def journal(tmp_path: Path, races: str) -> Journal:
    return read_journal(folder(tmp_path, races=races))


def told(found: Journal) -> list[str]:
    return [str(notice) for notice in found.notices]


def test_the_columns_of_a_season_of_real_races(tmp_path: Path) -> None:
    found = journal(
        tmp_path,
        "date,name,sports,status,aim,event,start_time,breakfast_h\n"
        "2030-06-01,Stage 1,trail running,,Tune up,Three  Valleys,7:30,2:30\n"
        "2030-06-02,Stage 2,gravel,Cancelled,main,three valleys,,\n"
        "2030-07-01,Cove,,,,,9.05 am,\n",
    )
    assert told(found) == []
    races = found.races
    assert races["aim"].tolist() == ["tune-up", "main", "main"]
    assert races["event"].tolist() == ["Three  Valleys", "Three  Valleys", ""]
    assert races["start_time"].tolist() == [time(7, 30), None, time(9, 5)]
    assert races["breakfast_h"].iloc[0] == 2.5
    assert races["sports"].tolist() == [("running",), ("cycling",), ()]
    assert races["status"].tolist() == ["finished", "cancelled", "finished"]


@pytest.mark.parametrize("header", ["race_rpe", "RPE", "Race RPE", "race-rpe", "RPE (0-10)", "rpe"])
def test_the_rating_of_a_race_under_every_common_name(tmp_path: Path, header: str) -> None:
    found = journal(tmp_path, f"date,{header}\n2030-06-01,8\n")
    assert found.races["race_rpe"].tolist() == [8.0]
    assert told(found) == []


def test_a_swimmers_three_starts_of_a_day_are_three_races(tmp_path: Path) -> None:
    found = journal(
        tmp_path,
        "date,name,sports,distance,event,finish_time\n"
        "2030-06-01,Spring Meet,swim,100 m,,59.87\n"
        "2030-06-01,Spring Meet,swim,200 m,,2:09.31\n"
        "2030-06-01,Spring Meet,swim,50 m,50 free,27.10\n"
        "2030-06-01,Spring Meet,swim,50 m,50 free,26.85\n",
    )
    assert not found.has_faults
    assert found.races["finish_time_s"].tolist() == [59.87, 129.31, 27.10, 26.85]


def test_of_a_race_typed_twice_the_first_valid_row_is_used(tmp_path: Path) -> None:
    found = journal(
        tmp_path,
        "date,name,finish_time\n2030-06-01,Cove,fast\n2030-06-01,cove,40:00\n"
        "2030-06-01,Cove,39:00\n",
    )
    assert found.races[["row", "finish_time_s"]].values.tolist() == [[3, 2400.0]]
    assert told(found) == [
        "races.csv, row 2, finish_time: 'fast' is not a time; write it as h:mm:ss",
        "races.csv, row 3, date: row 2 has the same date and name; delete one; the first valid one "
        "is used (row 3)",
        "races.csv, row 4, date: row 2 has the same date and name; delete one; the first valid one "
        "is used (row 3)",
    ]


def test_of_two_rows_for_one_night_the_first_valid_one_is_used(tmp_path: Path) -> None:
    nights = "date,sleep_h\n2030-06-01,\n2030-06-01,7.5\n2030-06-02,77\n2030-06-02,8\n"
    found = read_journal(folder(tmp_path, nights=nights))
    assert found.nights["sleep_h"].tolist() == [7.5, 8.0]
    assert [notice.code for notice in found.notices] == ["repeated", "unreadable", "repeated"]


SHORT = [
    (
        "10 km",
        "run",
        "42.30",
        None,
        "42.30 is read as seconds, too short for this race; write 42",
    ),
    ("", "triathlon", "58.20", None, "58.20 is read as seconds, too short for this race; write 58"),
    ("", "run", "59.87", 59.87, "59.87 is read as seconds; write h:mm:ss for minutes"),
    ("400 m", "run", "59.87", 59.87, ""),
]


@pytest.mark.parametrize(("distance", "sports", "typed", "seconds", "line"), SHORT)
def test_a_time_under_a_minute_must_fit_its_race(
    tmp_path: Path, distance: str, sports: str, typed: str, seconds: float | None, line: str
) -> None:
    head = "date,sports,distance,finish_time\n"
    found = journal(tmp_path, head + f"2030-06-01,{sports},{distance},{typed}\n")
    got = found.races["finish_time_s"].iloc[0]
    assert np.isnan(got) if seconds is None else got == seconds
    assert found.has_faults == (seconds is None)
    assert len(found.notices) == bool(line)
    assert line in "".join(told(found))


@pytest.mark.parametrize(
    ("word", "line"),
    [
        ("chess", "'chess' is not a sport known here; the race's longest session is taken for it"),
        ("Runing", "'runing' is not a sport known here; did you mean running?"),
        ("jet ski", "'jet ski' is read as cross country skiing"),
    ],
)
def test_a_strange_sport_is_a_remark_and_no_fault(tmp_path: Path, word: str, line: str) -> None:
    found = journal(tmp_path, f"date,sports\n2030-06-02,{word}\n")
    assert told(found) == [f"races.csv, row 2, sports: {line}"]
    assert not found.has_faults


def test_an_event_spelt_almost_like_another_is_remarked_upon(tmp_path: Path) -> None:
    rows = "2030-06-01,Tour 2030\n2030-06-02,tour 2030\n2030-06-03,Tuor 2030\n2030-08-01,Other\n"
    found = journal(tmp_path, "date,event\n" + rows)
    assert told(found) == [
        "races.csv, row 4, event: 'Tuor 2030' stands in no other row; did you mean 'Tour 2030'?"
    ]


TRIPS = "depart_date,arrive_date,from_zone,to_zone\n"


@pytest.mark.parametrize(
    ("zones", "right"),
    [
        ("Asia/Tokyo,America/Los_Angeles", True),
        ("Pacific/Auckland,Pacific/Honolulu", True),
        ("Europe/Lisbon,America/Los_Angeles", False),
        ("Pacific/Honolulu,Pacific/Auckland", False),
        ("Asia/Tokyo,", False),
    ],
)
def test_who_flies_east_over_the_date_line_may_arrive_the_day_before(
    tmp_path: Path, zones: str, right: bool
) -> None:
    found = read_journal(folder(tmp_path, trips=f"{TRIPS}2030-06-02,2030-06-01,{zones}\n"))
    assert found.has_faults != right
    assert found.trips["arrive_date"].tolist() == [date(2030, 6, 1)]
    two = read_journal(folder(tmp_path, trips=f"{TRIPS}2030-06-03,2030-06-01,{zones}\n"))
    assert two.has_faults, "two days before are too many"


@pytest.mark.parametrize(
    ("text", "none"),
    [
        ("arrive_date,to_zone\n", True),
        ("# my trips\nArrive date;proposed\n\n", True),
        ("arrive_date\n# no trip is known: delete this line if there was none\n", False),
        ("arrive_date\n2030-06-01\n", False),
        ("arrive_date\nsoon\n", False),
        ("name\n", False),
        ("", False),
    ],
)
def test_a_table_of_trips_without_any_says_that_there_were_none(
    tmp_path: Path, text: str, none: bool
) -> None:
    assert read_journal(folder(tmp_path, trips=text)).no_trips is none


def test_without_a_table_of_trips_nothing_is_said_about_them(tmp_path: Path) -> None:
    assert not read_journal(folder(tmp_path)).no_trips
