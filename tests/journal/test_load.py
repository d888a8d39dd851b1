"""A journal is read as far as it goes, and everything wrong in it is said in one go."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from taperback.journal.load import read_journal
from taperback.journal.model import (
    NIGHT_COLUMNS,
    RACE_COLUMNS,
    TRIP_COLUMNS,
    Athlete,
    Period,
    Threshold,
)

ATHLETE = 'name = "Ada"\nhome_zone = "Europe/Lisbon"\n'


def folder(tmp_path: Path, **files: str) -> Path:
    for name, text in ({"athlete": ATHLETE} | files).items():
        suffix = "toml" if name == "athlete" else "csv"
        (tmp_path / f"{name}.{suffix}").write_text(text, encoding="utf-8")
    return tmp_path


def test_an_athlete_file_alone_is_a_journal(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path))
    assert (journal.athlete.name, journal.athlete.home_zone) == ("Ada", "Europe/Lisbon")
    assert tuple(journal.races.columns) == RACE_COLUMNS
    assert tuple(journal.nights.columns) == NIGHT_COLUMNS
    assert tuple(journal.trips.columns) == TRIP_COLUMNS
    assert journal.notices == ()


def test_a_full_row_of_each_table(tmp_path: Path) -> None:
    journal = read_journal(
        folder(
            tmp_path,
            races="date,name,sports,finish_time,expected_time,place,field_size,race_rpe,status\n"
            "2030-06-02,Cove,triathlon,2:10:00,2:12:30,14,220,8.5,finished\n",
            nights="date,sleep_h,quality\n2030-06-01,7:30,4\n",
            trips="depart_date,arrive_date,from_zone,to_zone,travel_h\n"
            "2030-05-28,2030-05-29,Europe/Lisbon,Asia/Dubai,14.5\n",
        )
    )
    race = journal.races.iloc[0]
    assert (race["row"], race["date"], race["sports"]) == (
        2,
        date(2030, 6, 2),
        ("swimming", "cycling", "running"),
    )
    assert (race["finish_time_s"], race["expected_time_s"]) == (7800.0, 7950.0)
    assert np.isnan(race["reference_time_s"])
    assert journal.nights.iloc[0]["sleep_h"] == 7.5
    assert journal.trips.iloc[0]["to_zone"] == "Asia/Dubai"
    assert journal.notices == ()


def test_thresholds_periods_and_panic_limits(tmp_path: Path) -> None:
    text = ATHLETE + (
        'sports = ["swim", "bike", "run"]\nsex = "female"\n'
        "[[thresholds]]\nsince = 2030-01-01\nsport = 'cycling'\ncritical_power_w = 251\n"
        "[[periods]]\nfirst = 2030-02-01\nlast = 2030-02-06\nkind = 'illness'\n"
        "[panic]\nlate_hard_min = 12\n"
    )
    athlete = read_journal(folder(tmp_path, athlete=text)).athlete
    assert athlete.thresholds == (
        Threshold(date(2030, 1, 1), "cycling", "critical_power_w", 251.0),
    )
    assert athlete.periods == (Period(date(2030, 2, 1), date(2030, 2, 6), "illness"),)
    assert athlete.panic_limits == {"late_hard_min": 12.0}
    assert athlete.sports == ("swimming", "cycling", "running")


@pytest.mark.parametrize(
    "text",
    [
        "date;sleep_h\n2030-06-01;7,5\n",
        "date\tsleep_h\n2030-06-01\t7.5\n",
        "\ufeffdate,sleep_h\n\n# a remark\n2030-06-01,7h30\n",
        "Date , Sleep h\r\n2030-06-01,7:30\r\n",
        "date,sleep_h\r2030-06-01,7.5\r",
        "sep=;\r\ndate;sleep_h\r\n2030-06-01;7,5\r\n",
        '"sep=,"\ndate,sleep_h\n2030-06-01,7.5\n',
        "sep=|\ndate|sleep_h\n2030-06-01|7.5\n",
    ],
)
def test_spreadsheet_habits_are_borne(tmp_path: Path, text: str) -> None:
    journal = read_journal(folder(tmp_path, nights=text))
    assert journal.nights["sleep_h"].tolist() == [7.5]
    assert journal.notices == ()


def test_rows_keep_their_line_numbers(tmp_path: Path) -> None:
    journal = read_journal(
        folder(tmp_path, nights="date,sleep_h\n\n2030-06-02,7\n\n2030-06-01,8\n")
    )
    assert journal.nights[["row", "sleep_h"]].values.tolist() == [[5, 8.0], [3, 7.0]]


@pytest.mark.parametrize("swallowed", ["", "x" * 140_000])
def test_a_quote_that_is_never_closed_costs_its_own_row_and_no_other(
    tmp_path: Path, swallowed: str
) -> None:
    text = f'date,name,notes\n2030-06-01,"Cove\n2030-07-01,Reef,{swallowed}\n'
    journal = read_journal(folder(tmp_path, races=text))
    assert journal.races["name"].tolist() == ['"Cove', "Reef"]
    too_long = (
        "races.csv, row 3, notes: it has 140000 letters, and a cell at most 20000; shorten it"
    )
    assert [str(notice) for notice in journal.notices] == [
        "races.csv, row 2: a quote that opens here is never closed; close it, or take it out",
        *([too_long] if swallowed else []),
    ]


def test_a_quote_that_a_later_row_closes_swallows_no_row(tmp_path: Path) -> None:
    text = (
        'date,name,notes\n2030-06-01,"Cove,x\n2030-07-01,Reef,y\n2030-08-01,"Bay, east",z\n'
        '2030-09-01,Ness,"two\nlines, and 2030-09-02"\n'
    )
    journal = read_journal(folder(tmp_path, races=text))
    assert journal.races["name"].tolist() == ['"Cove', "Reef", "Bay, east", "Ness"]
    assert journal.races["row"].tolist() == [2, 3, 4, 5]
    assert journal.races["notes"].iloc[3] == "two\nlines, and 2030-09-02"
    assert [str(notice) for notice in journal.notices] == [
        "races.csv, row 2: a quote that opens here is never closed; close it, or take it out"
    ]


def test_many_open_quotes_are_read_in_one_go(tmp_path: Path) -> None:
    text = "date,name,notes\n" + '2030-06-01,a"b,"c\n' * 30_000
    journal = read_journal(folder(tmp_path, nights=text + '2030-06-02,a,"\n'))
    assert len(journal.nights) == 2


def test_a_bad_cell_leaves_the_row_used(tmp_path: Path) -> None:
    journal = read_journal(
        folder(tmp_path, races="date,finish_time,race_rpe\n2030-06-02,2:10:00,11\n")
    )
    race = journal.races.iloc[0]
    assert race["finish_time_s"] == 7800.0
    assert np.isnan(race["race_rpe"])


def test_a_line_that_tells_the_separator_is_a_line(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path, nights="sep=;\ndate;sleep_h\n2030-06-01;7,5\n"))
    assert journal.nights["row"].tolist() == [3]


LOST = {
    "name;time\nCove;2:10:00\n": "no-column",
    "My races\ndate;name\n2030-06-02;Cove\n": "no-header",
    "2030-06-02;Cove\n": "no-header",
    "date,name\n5/25/25/25,Cove\n2030-06-02,Reef\n": "unreadable",
    "date,name\n,Cove\n": "empty",
    'date,name\n2030-06-02,"Cove\n': "open-quote",
    "d\0a\0t\0e\0": "unreadable",
}


@pytest.mark.parametrize(("text", "code"), LOST.items(), ids=LOST.values())
def test_rows_that_were_typed_and_not_read_are_known(tmp_path: Path, text: str, code: str) -> None:
    nights = "date,sleep_h\n2030-06-02,7\n"
    journal = read_journal(folder(tmp_path, races=text, nights=nights))
    assert [notice.code for notice in journal.lost_rows("races")] == [code]
    assert journal.lost_rows("nights") == ()


def test_a_table_under_a_name_that_is_not_read_holds_rows_that_were_typed(tmp_path: Path) -> None:
    folder(tmp_path, nights="date\n")
    for name in ("Races.csv", "Nights.ods"):
        (tmp_path / name).write_text("date\n2030-06-02\n", encoding="utf-8")
    journal = read_journal(tmp_path)
    assert [notice.file for notice in journal.lost_rows("races")] == ["Races.csv"]
    assert journal.lost_rows("nights") == (), "one of the two is read"


def test_what_else_is_wrong_loses_no_row(tmp_path: Path) -> None:
    races = "date,name,race_rpe,naem\n2030-06-02,Cove,11,x\n2030-06-02,Cove,5,x,y\n"
    journal = read_journal(folder(tmp_path, races=races))
    assert len(journal.notices) == 4
    assert journal.lost_rows("races") == ()


def test_an_athlete_that_is_not_written_yet_is_taken_as_given(tmp_path: Path) -> None:
    ada = Athlete("Ada", "Europe/Lisbon", typed=False)
    assert read_journal(tmp_path, ada).athlete is ada


def test_extra_columns_are_noted_and_no_fault(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path, races="date,wetsuit\n2030-06-02,yes\n"))
    assert not journal.has_faults
    assert str(journal.notices[0]) == (
        "races.csv, row 1, wetsuit: no such column is known; it is kept and not used"
    )


def test_nights_in_parts_of_a_day_are_unknown_and_one_short_night_is_used(tmp_path: Path) -> None:
    told = read_journal(
        folder(
            tmp_path,
            nights="date,sleep_h\n2030-06-01,0.3\n2030-06-02,0.31\n2030-06-03,0.29\n2030-06-04,0\n",
        )
    )
    assert told.nights["sleep_h"].isna().tolist() == [True, True, True, False]
    few = read_journal(folder(tmp_path, nights="date,sleep_h\n2030-06-01,7\n2030-06-02,0.5\n"))
    assert few.nights["sleep_h"].tolist() == [7.0, 0.5]
    assert not few.has_faults
    assert [str(notice) for notice in few.notices] == [
        "nights.csv, row 3, sleep_h: 0.5 is a night of 30 minutes; it is used; a time that a "
        "spreadsheet keeps as a part of a day looks like it"
    ]


TRIPS = "depart_date,arrive_date,from_zone,to_zone,travel_h,mode\n"


def test_a_trip_told_twice_is_used_once(tmp_path: Path) -> None:
    row = "2030-06-01,2030-06-02,,Asia/Tokyo,17.5,\n"
    told = read_journal(folder(tmp_path, trips=TRIPS + row + row))
    assert told.trips["row"].tolist() == [2]
    late = row.replace("06-02", "06-03")
    assert read_journal(folder(tmp_path, trips=TRIPS + row + late)).trips["row"].tolist() == [2]
    unzoned = "2030-06-01,2030-06-02,,,4,car\n"
    told = read_journal(folder(tmp_path, trips=TRIPS + unzoned + unzoned))
    assert told.trips["row"].tolist() == [2]


@pytest.mark.parametrize(
    "rows",
    [
        "2030-06-01,2030-06-02,Europe/Lisbon,Asia/Dubai,8,\n"
        "2030-06-01,2030-06-02,Asia/Dubai,Asia/Tokyo,10,\n",
        "2030-06-01,2030-06-02,,Asia/Tokyo,8,\n2030-06-02,2030-06-03,,Asia/Tokyo,2,train\n",
        "2030-06-01,2030-06-01,,,2,car\n2030-06-01,2030-06-01,,,3,train\n",
        ",2030-06-02,,Asia/Tokyo,8,\n,2030-06-09,,Europe/Lisbon,8,\n",
    ],
)
def test_stages_of_one_journey_are_no_repetition(tmp_path: Path, rows: str) -> None:
    told = read_journal(folder(tmp_path, trips=TRIPS + rows))
    assert told.notices == ()
    assert len(told.trips) == 2


def test_one_column_is_meant_by_one_strange_name_only(tmp_path: Path) -> None:
    (tmp_path / "athlete.toml").write_text('name = "Ada"\nhome_zone = "Europe/Vienna"\n')
    (tmp_path / "sessions.csv").write_text("datum,sport,dauer\n2030-06-01,running,1:00:00\n")
    said = "\n".join(map(str, read_journal(tmp_path).notices))
    assert "datum: no such column is known; did you mean date?" in said
    assert "dauer: no such column is known; did you mean date?" not in said
