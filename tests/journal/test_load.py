"""A journal is read as far as it goes, and everything wrong in it is said in one go."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from taperback.errors import InputError
from taperback.journal.load import read_journal
from taperback.journal.model import NIGHT_COLUMNS, RACE_COLUMNS, TRIP_COLUMNS, Period, Threshold

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
    assert [str(notice) for notice in journal.notices] == [
        "races.csv, row 2: a quote that opens here is never closed; close it, or take it out"
    ]


@pytest.mark.parametrize(
    ("files", "line"),
    [
        (
            {"races": "date,name\nsoon,Cove\n"},
            "races.csv, row 2, date: 'soon' is not a date; write it as 2030-05-31",
        ),
        (
            {"races": "date,name\n31.2.2030,Cove\n"},
            "races.csv, row 2, date: '31.2.2030' is not a date; write it as 2030-05-31",
        ),
        (
            {"races": "date,name\n5/6/2030,Cove\n"},
            "races.csv, row 2, date: '5/6/2030' can be read as two days;"
            " write days as 2030-05-31 in this column",
        ),
        (
            {"races": "date,name\n,Cove\n"},
            "races.csv, row 2, date: it is empty; fill in the date, or take the row out",
        ),
        (
            {"races": "name\nCove\n"},
            "races.csv, row 1, date: the column is missing; add a column date;"
            " no row can be used without it",
        ),
        (
            {"races": "date,finish_time\n2030-06-02,fast\n"},
            "races.csv, row 2, finish_time: 'fast' is not a time taken; write it as h:mm:ss",
        ),
        (
            {"races": "date,finish_time\n2030-06-02,1:75:00\n"},
            "races.csv, row 2, finish_time: '1:75:00' has more than 59 minutes or seconds;"
            " write h:mm:ss",
        ),
        (
            {"races": "date,finish_time,expected_time\n2030-06-02,2:10:00,2:12\n"},
            "races.csv, row 2, expected_time: it is 0.0 times the finish time;"
            " write both as h:mm:ss",
        ),
        (
            {"races": "date,race_rpe\n2030-06-02,11\n"},
            "races.csv, row 2, race_rpe: 11 is out of range; write a number from 0 to 10 (CR-10)",
        ),
        (
            {"races": "date,status\n2030-06-02,won\n"},
            "races.csv, row 2, status: 'won' is not one of the words;"
            " write finished, dnf, dns or short_course",
        ),
        (
            {"races": "date,sports\n2030-06-02,chess\n"},
            "races.csv, row 2, sports: 'chess' is not a sport known here;"
            " write one of swimming, cycling, running, triathlon",
        ),
        (
            {"races": "date,place,field_size\n2030-06-02,30,20\n"},
            "races.csv, row 2, place: place 30 is larger than the field of 20; check both",
        ),
        (
            {"races": "date,name\n2030-06-02,Cove\n2030-06-02,Cove\n"},
            "races.csv, row 3, date: an earlier row has the same; take one of the two out",
        ),
        (
            {"races": "date,finish_tme\n2030-06-02,2:10:00\n"},
            "races.csv, row 1, finish_tme: no such column is known; did you mean finish_time?",
        ),
        (
            {"races": "date,notes\n2030-06-02,warm, windy\n"},
            "races.csv, row 2: the row has 3 cells, the header 2;"
            " put text that holds the separator in quotes",
        ),
        (
            {"nights": "date,sleep_h\n2030-06-02,25\n"},
            "nights.csv, row 2, sleep_h: 25 is out of range;"
            " write hours from 0 to 24, such as 7.5 or 7:30",
        ),
        (
            {"nights": "date,quality\n2030-06-02,6\n"},
            "nights.csv, row 2, quality: 6 is out of range; write a number from 1 to 5",
        ),
        (
            {"nights": "date,sleep_h\n2030-06-02,7\n2030-06-02,8\n"},
            "nights.csv, row 3, date: an earlier row has the same; the first is used",
        ),
        (
            {"trips": "arrive_date,to_zone\n2030-06-02,Atlantis\n"},
            "trips.csv, row 2, to_zone: 'Atlantis' is not a time zone;"
            " write one such as Europe/Lisbon",
        ),
        (
            {"trips": "depart_date,arrive_date\n2030-06-03,2030-06-02\n"},
            "trips.csv, row 2, depart_date: departure 2030-06-03 lies after arrival 2030-06-02;"
            " turn the two round, or check both",
        ),
        (
            {"athlete": ATHLETE + "sexe = 'female'\n"},
            "athlete.toml, sexe: no such setting is known; did you mean sex?",
        ),
        (
            {"athlete": ATHLETE + "[[thresholds]]\nsince = 2030-01-01\ncritical_power_w = 2510\n"},
            "athlete.toml, thresholds 1, critical_power_w: 2510 is out of range;"
            " write a number from 50 to 700",
        ),
        (
            {
                "athlete": ATHLETE
                + "[[periods]]\nfirst = 2030-02-06\nlast = 2030-02-01\nkind='gap'\n"
            },
            "athlete.toml, periods 1, last: 2030-02-01 lies before 2030-02-06; turn the two round",
        ),
        (
            {"athlete": ATHLETE + "[panic]\nlate_hard_min = 'ten'\n"},
            "athlete.toml, panic, late_hard_min: 'ten' is not a number; write a number",
        ),
        (
            {"athlete": ATHLETE + "[panic]\npercentile = 90\n"},
            "athlete.toml, panic, percentile: 90 makes no limit; write a number from 0.5 to 1",
        ),
    ],
)
def test_each_mistake_gets_one_clear_line(tmp_path: Path, files: dict[str, str], line: str) -> None:
    journal = read_journal(folder(tmp_path, **files))
    assert [str(notice) for notice in journal.notices] == [line]
    assert journal.has_faults


def test_a_bad_cell_leaves_the_row_used(tmp_path: Path) -> None:
    journal = read_journal(
        folder(tmp_path, races="date,finish_time,race_rpe\n2030-06-02,2:10:00,11\n")
    )
    race = journal.races.iloc[0]
    assert race["finish_time_s"] == 7800.0
    assert np.isnan(race["race_rpe"])


def test_extra_columns_are_noted_and_no_fault(tmp_path: Path) -> None:
    journal = read_journal(folder(tmp_path, races="date,wetsuit\n2030-06-02,yes\n"))
    assert not journal.has_faults
    assert str(journal.notices[0]) == (
        "races.csv, row 1, wetsuit: no such column is known; it is kept and not used"
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (None, "there is no athlete.toml in the folder; write one with two lines"),
        ("name = Ada\n", "athlete.toml: it is not TOML"),
        ('name = "Ada"\n', "athlete.toml: home_zone: '' is not a time zone; write one such as"),
    ],
)
def test_without_a_readable_athlete_nothing_can_be_placed(
    tmp_path: Path, text: str | None, message: str
) -> None:
    if text is not None:
        folder(tmp_path, athlete=text)
    with pytest.raises(InputError, match=message):
        read_journal(tmp_path)
