"""Sessions that no watch recorded, the diary of race weeks, and periods, typed as tables."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from openpyxl import Workbook

from journal.test_load import ATHLETE, folder
from taperback.journal.load import read_journal
from taperback.journal.model import (
    DAY_COLUMNS,
    SESSION_COLUMNS,
    Athlete,
    Clock,
    Journal,
    Period,
)
from taperback.journal.sports import Sport


def told(journal: Journal) -> list[str]:
    return [str(notice) for notice in journal.notices]


def test_without_a_diary_its_tables_are_empty_and_have_their_columns(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path))
    assert tuple(journal.sessions.columns) == SESSION_COLUMNS
    assert tuple(journal.days.columns) == DAY_COLUMNS
    assert (journal.periods, journal.clocks) == ((), ())


def test_a_full_row_of_each_table(tmp_path: Path) -> None:
    journal = read_journal(
        folder(
            tmp_path,
            sessions="date,sport,duration,distance_km,hard_min,rpe,notes\n"
            "2030-06-01,trail run,1:30:00,15.5,12,6,muddy\n2030-06-01,yoga,0:45,,,,\n",
            days="date,fatigue,stress,soreness,poor_sleep,resting_hr_bpm,on_feet_h,massage,notes\n"
            "2030-06-01,2,3,1,4,48,2:30,y,fair\n2030-06-02,2,,1,4,,,n,\n2030-06-03,,,,,,,,rest\n",
            periods="first,last,kind,notes\n2030-02-01,2030-02-06,illness,flu\n"
            "2030-03-01,2030-03-09,No records,\n",
        )
    )
    assert told(journal) == []
    first, second = journal.sessions.to_dict("records")
    assert first == {
        "row": 2, "date": date(2030, 6, 1), "sport": "running", "sub_sport": "trail",
        "duration_s": 5400.0, "distance_km": 15.5, "hard_min": 12.0, "rpe": 6.0, "notes": "muddy",
    }  # fmt: skip
    assert (second["sport"], second["sub_sport"]) == ("training", "yoga")
    assert second["duration_s"] == 2700.0
    assert np.isnan([second["distance_km"], second["hard_min"], second["rpe"]]).all()
    assert journal.days["massage"].tolist() == [True, False, None]
    assert journal.days["on_feet_h"].tolist()[0] == 2.5
    # 2 + 3 + 1 + 4 (Hooper & Mackinnon 1995: the sum of the four ratings; from memory)
    assert journal.days["hooper_index"].tolist()[0] == 10.0
    assert journal.days["hooper_index"].isna().tolist() == [False, True, True]
    assert [period.kind for period in journal.periods] == ["illness", "gap"]
    assert [period.words for period in journal.periods] == ["illness", "no records"]
    assert journal.sessions["rpe"].dtype.kind == journal.days["hooper_index"].dtype.kind == "f"


def test_periods_of_both_places_are_one_list_and_stand_once(tmp_path: Path) -> None:
    text = (
        ATHLETE + "[[periods]]\nfirst = 2030-02-01\nlast = 2030-02-06\nkind = 'illness'\n"
        "[[periods]]\nfirst = 2030-01-01\nlast = 2030-01-02\nkind = 'no records'\n"
    )
    rows = (
        "2030-02-01,2030-02-06,illness\n2030-02-01,2030-02-06,Illness\n2029-12-01,2029-12-02,rest\n"
    )
    journal = read_journal(folder(tmp_path, athlete=text, periods="first,last,kind\n" + rows))
    assert journal.athlete.periods == journal.periods
    assert journal.periods == (
        Period(date(2029, 12, 1), date(2029, 12, 2), "rest"),
        Period(date(2030, 1, 1), date(2030, 1, 2), "gap"),
        Period(date(2030, 2, 1), date(2030, 2, 6), "illness"),
    )
    assert told(journal) == []


def test_a_session_whose_length_nobody_knows_stays_and_is_asked_about_in_one_line(
    tmp_path: Path,
) -> None:
    rows = "2030-06-01,run,\n2030-06-02,run,\n2030-06-03,,1:00:00\n"
    journal = read_journal(folder(tmp_path, sessions="date,sport,duration\n" + rows))
    assert journal.sessions["duration_s"].isna().tolist() == [True, True, False]
    assert journal.sessions["sport"].tolist() == ["running", "running", ""]
    assert told(journal) == [
        "sessions.csv, row 2, duration: it is empty (and in 1 more row); fill in the duration, or "
        "take the row out; without it nobody knows how long the athlete trained on that day",
        "sessions.csv, row 4, sport: it is empty; fill in the sport, or take the row out; without "
        "it nobody knows whether the session counts as training",
    ]
    assert journal.lost_rows("sessions") == (), "the day is known to be no day off"


UNITS = [
    ("Date,Sport,Duration (min),Miles\n2030-06-01,run,45,6.2\n", 2700.0, 9.978),
    ("date,activity,minutes,km\n2030-06-01,run,45,10\n", 2700.0, 10.0),
    ("date;sport;hours;distance_m\n2030-06-01;swim;0,75;2000\n", 2700.0, 2.0),
    ("date\tsport\tduration\tkm\n1.6.2030\trun\t45:00\t10,0\n", 2700.0, 10.0),
    ("sep=;\ndate;sport;duration;distance_km\n2030-06-01;run;0:45;10,0\n", 2700.0, 10.0),
]


@pytest.mark.parametrize(("text", "seconds", "km"), UNITS)
def test_a_diary_in_the_units_its_columns_name(
    tmp_path: Path, text: str, seconds: float, km: float
) -> None:
    journal = read_journal(folder(tmp_path, sessions=text))
    assert told(journal) == []
    assert journal.sessions["date"].tolist() == [date(2030, 6, 1)]
    assert journal.sessions["duration_s"].tolist() == [seconds]
    assert journal.sessions["distance_km"].tolist() == pytest.approx([km], abs=0.001)


def test_a_diary_kept_as_a_workbook(tmp_path: Path) -> None:
    book = Workbook()
    book.active.append(("Date", "Sport", "Duration", "RPE"))
    book.active.append((date(2030, 6, 1), "run", time(0, 45), 5))
    book.active.append((date(2030, 6, 2), "ride", timedelta(hours=3, minutes=30), 4))
    for cell, form in {"C2": "h:mm", "C3": "[h]:mm:ss"}.items():
        book.active[cell].number_format = form
    book.save(tmp_path / "sessions.xlsx")
    journal = read_journal(folder(tmp_path))
    assert told(journal) == []
    assert journal.sessions["duration_s"].tolist() == [2700.0, 12_600.0]
    assert journal.sessions["rpe"].tolist() == [5.0, 4.0]


def test_two_alike_on_one_day_are_two_sessions_and_one_line_says_so(tmp_path: Path) -> None:
    rows = "2030-06-01,bike commute,0:25\n" * 2 + "2030-06-02,bike commute,0:25\n" * 2
    journal = read_journal(folder(tmp_path, sessions="date,sport,duration\n" + rows))
    assert len(journal.sessions) == 4
    assert told(journal) == [
        "sessions.csv, row 3: it says the same as an earlier row (and 1 more row does); all are "
        "used as sessions of their own; delete what was typed twice"
    ]
    assert not journal.has_faults


@pytest.mark.parametrize(
    ("typed", "sports"),
    [
        ('["run", "mtb"]', (Sport("running"), Sport("cycling"))),
        ('["trail running", "treadmill"]', (Sport("running"),)),
        ('["strength"]', (Sport("training", "strength_training"),)),
        ('"cross-country skiing"', (Sport("cross_country_skiing"),)),
        ('["training"]', (Sport("training"),)),
        ("[]", ()),
    ],
)
def test_sports_of_the_athlete_are_those_that_count(
    tmp_path: Path, typed: str, sports: tuple[Sport, ...]
) -> None:
    journal = read_journal(folder(tmp_path, athlete=ATHLETE + f"sports = {typed}\n"))
    assert journal.athlete.counted == sports
    assert journal.athlete.sports == tuple(sport.sport for sport in sports)
    assert told(journal) == []


def test_a_word_that_no_sport_is_known_by_is_used_as_it_stands(tmp_path: Path) -> None:
    athlete = ATHLETE + 'sports = ["run", "floor ball"]\n'
    journal = read_journal(
        folder(
            tmp_path,
            athlete=athlete,
            sessions="date,sport,duration\n2030-06-01,Floor ball,1:00:00\n"
            "2030-06-02,runing,1:00:00\n2030-06-03,Floor ball,1:00:00\n",
        )
    )
    assert journal.athlete.counted == (Sport("running"), Sport("floor_ball"))
    assert journal.sessions["sport"].tolist() == ["floor_ball", "runing", "floor_ball"]
    assert not journal.has_faults
    runing = "sessions.csv, row 3, sport: 'runing' is not a sport known here; did you mean running?"
    assert told(journal) == [
        "athlete.toml, sports: 'floor ball' is not a sport known here; sessions that are typed "
        "with this word count as training",
        runing,
    ]
    (tmp_path / "athlete.toml").write_text(ATHLETE)
    assert told(read_journal(tmp_path)) == [
        "sessions.csv, row 2, sport: 'floor ball' is not a sport known here (and in 1 more row); "
        "it is kept as it is; add it to sports in athlete.toml if it counts as training",
        runing,
    ]


CLOCKS = """
[[clocks]]
files = "1989*.fit"
shift_h = 306_000

[[clocks]]
files = ["a.fit"]
right_start = 2030-05-31T07:30:00

[[clocks]]
files = "b.fit"
right_start = "2030-05-31 07:30+02:00"
"""


def test_clocks_that_were_wrong_are_put_right_by_start_or_by_shift(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path, athlete=ATHLETE + CLOCKS))
    assert told(journal) == []
    start = datetime(2030, 5, 31, 7, 30)  # noqa: DTZ001 - as the athlete's watch had it
    assert journal.clocks == (
        Clock(("1989*.fit",), None, 306_000.0),
        Clock(("a.fit",), start),
        Clock(("b.fit",), start.replace(tzinfo=timezone(timedelta(hours=2)))),
    )


def test_an_athlete_of_files_alone_keeps_the_periods_of_the_table(tmp_path: Path) -> None:
    (tmp_path / "periods.csv").write_text("first,last,kind\n2030-02-01,2030-02-06,rest\n")
    ada = Athlete("Ada", "Europe/Lisbon", typed=False)
    assert len(read_journal(tmp_path, ada).periods) == 1
