"""The commands as a person meets them: words, lines, exit codes."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from cli.conftest import SAMPLE
from taperback import __version__
from taperback.cli.check import today_in
from taperback.journal.columns import TABLES


def test_version(taperback) -> None:
    ran = taperback("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"taperback {__version__}\n", "")


@pytest.mark.parametrize("command", ["review", "check", "explain", "draft", "squad"])
def test_help_of_every_command_has_an_example(taperback, command: str) -> None:
    ran = taperback(command, "--help")
    assert ran.code == 0
    assert f"Example: taperback {command}" in " ".join(ran.out.split())


def test_review_writes_the_report_and_says_the_rule_and_where(
    taperback, folder: Path, tmp_path: Path
) -> None:
    ran = taperback("review", folder, "--out", tmp_path / "r")
    assert ran.code == 0
    rule, where = ran.out.splitlines()
    assert where == f"report: {tmp_path / 'r' / 'report.html'}"
    page = (tmp_path / "r" / "report.html").read_text().replace("\xa0", " ")
    assert f'<p class="rule">{rule.removeprefix("rule: ")}</p>' in page
    assert ran.err.splitlines() == [
        "2024/2024-04-02-0000-running.fit: it is empty; export the activity again"
    ]
    assert sorted(path.name for path in (tmp_path / "r").iterdir()) == [
        "next_week.csv",
        "next_week.ics",
        "race_weeks.csv",
        "report.html",
        "study.json",
    ]
    again = taperback("review", folder, "--out", tmp_path / "r")
    assert again.code == 0, "an earlier report of ours is written over"


def test_review_never_writes_over_what_is_not_its_own(
    taperback, folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "report.html").write_text("mine")
    ran = taperback("review", folder, "--out", tmp_path)
    assert ran.code == 2
    assert "holds a report.html that Taperback did not write" in ran.err
    assert (tmp_path / "report.html").read_text() == "mine"


def test_ten_mistakes_are_ten_lines_and_the_report_still_comes(
    taperback, folder: Path, tmp_path: Path
) -> None:
    wrong = tmp_path / "wrong"
    shutil.copytree(folder, wrong)
    races = (wrong / "races.csv").read_text().splitlines()
    races += [
        "2026-13-01,A,triathlon,,,,,,,,,,,",
        "2025-10-05,B,triathlon,olympic,fast,later,soon,,0,many,99,11,won,",
    ]
    (wrong / "races.csv").write_text("\n".join(races) + "\n")
    with (wrong / "trips.csv").open("a") as trips:
        trips.write("2025-10-02,2025-10-03,Atlantis,Europe/Lisbon,,,\n")
    ran = taperback("review", wrong, "--out", tmp_path / "r")
    faults = [line for line in ran.err.splitlines() if line.startswith(("races", "trips"))]
    assert ran.code == 1
    assert len(faults) == 10
    assert (tmp_path / "r" / "report.html").exists()


def test_explain_goes_down_to_days_and_files(taperback, folder: Path) -> None:
    ran = taperback("explain", folder, "saltgrass", "volume_cut")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0] == "Saltgrass Triathlon, 2024-07-28"
    assert lines[1].startswith("volume cut: 45%")
    assert lines[-1] == "files: 50 legs, 71.33 h of moving time; --all lists them"
    every = taperback("explain", folder, "saltgrass", "volume_cut", "--all").out.splitlines()
    assert every[: len(lines) - 1] == lines[:-1]
    assert len(every) == len(lines) + 50
    assert every[-1].endswith("2024/2024-07-27-0830-cycling.fit")
    one = taperback("explain", folder, "saltgrass", "last_hard_d")
    assert "files: 1 leg, 1.68 h of moving time" in one.out.splitlines()


def test_explain_takes_a_measure_as_the_page_calls_it(taperback, folder: Path) -> None:
    by_column = taperback("explain", folder, "saltgrass", "intensity_kept")
    assert by_column.code == 0
    for typed in ("Intensity  kept", "sity kept", "INTENSITY_KEPT"):
        assert taperback("explain", folder, "saltgrass", typed) == by_column


@pytest.mark.parametrize(
    ("race", "measure", "line"),
    [
        ("nowhere", "volume_cut", "no race is called 'nowhere'; name one of: 2024-05-19 Heronmere"),
        ("triathlon", "volume_cut", "several races are called 'triathlon'; name one of:"),
        ("heronmere", "volume_cutt", "there is no measure 'volume_cutt'; did you mean volume_cut?"),
        (
            "heronmere",
            "sleep",
            "several measures are called 'sleep'; name one of: sleep change; sleep short; poor",
        ),
        ("heronmere", "  ", "there is no measure '  '; known are race-week volume; usual week; "),
    ],
)
def test_explain_helps_with_names(
    taperback, folder: Path, race: str, measure: str, line: str
) -> None:
    ran = taperback("explain", folder, race, measure)
    assert ran.code == 2
    assert ran.err.startswith(f"taperback: {line}")


@pytest.mark.parametrize(
    ("words", "code", "line"),
    [
        (("review", "no-such-folder", "--out", "x"), 1, "taperback: no-such-folder: there is no"),
        (("review",), 2, "Usage: taperback review"),
        (("nonsense",), 2, "Usage: taperback"),
    ],
)
def test_wrong_words_are_said_in_a_line(taperback, words: tuple, code: int, line: str) -> None:
    ran = taperback(*words)
    assert ran.code == code
    assert ran.err.startswith(line)


def test_an_empty_folder_is_one_line(taperback, tmp_path: Path) -> None:
    ran = taperback("review", tmp_path, "--out", tmp_path / "r")
    assert ran.code == 1
    assert ran.err.count("\n") == 1
    assert "it holds no activity that can be read; put FIT, TCX or GPX files in it" in ran.err


def test_a_bare_folder_gets_a_journal_and_a_second_draft_adds_nothing(taperback, bare) -> None:
    first = taperback("draft", bare)
    assert first.code == 0
    assert "races.csv: 5 rows added" in first.out
    assert "trips.csv: 1 row added" in first.out
    assert "finish_time and race_rpe" in first.out
    tables = {path.name: path.read_bytes() for path in bare.glob("*.csv")}
    assert sorted(tables) == sorted(table.file for table in TABLES.values())
    begun = "sessions.csv, days.csv and periods.csv: written with their columns only"
    assert begun in first.out
    assert tables["periods.csv"] == b"first,last,kind,notes\n"
    assert first.out.splitlines()[-1] == f"Then run: taperback check {bare}"
    second = taperback("draft", bare)
    assert "races.csv: 0 rows added" in second.out
    assert {path.name: path.read_bytes() for path in bare.glob("*.csv")} == tables


def test_a_drafted_journal_can_be_reviewed(taperback, bare, tmp_path) -> None:
    taperback("draft", bare)
    ran = taperback("review", bare, "--out", tmp_path / "report")
    assert ran.code == 0
    assert (tmp_path / "report" / "report.html").exists()


def test_show_writes_nothing(taperback, folder, bare) -> None:
    shown = taperback("draft", bare, "--show").out
    assert "athlete.toml would be:" in shown
    for told in ("races.csv: 5 rows", "nights.csv: 57 rows", "trips.csv: 1 row"):
        assert f"{told} proposed" in shown, "all that would be written is shown at once"
    assert not list(bare.glob("*.toml"))
    shutil.copy(SAMPLE / "athlete.toml", bare)
    assert "races.csv: 5 rows proposed" in taperback("draft", bare, "--show").out
    assert not list(bare.glob("*.csv"))


def test_a_typed_race_survives_a_draft_byte_for_byte(taperback, bare) -> None:
    typed = b"name;date;finish_time\r\nMine;2024-05-19;2:20:24\r\n"
    (bare / "races.csv").write_bytes(typed)
    ran = taperback("draft", bare)
    assert "races.csv: 4 rows added" in ran.out
    made = (bare / "races.csv").read_bytes()
    assert b"Mine;2024-05-19;2:20:24\r\n" in made
    assert (bare / ".taperback" / "before-draft" / "races.csv").read_bytes() == typed


def test_a_table_without_a_header_is_left_alone_and_the_others_are_drafted(
    taperback, bare: Path
) -> None:
    typed = b"2024-01-01,7.5\n2024-01-02,8\n"
    (bare / "nights.csv").write_bytes(typed)
    first = taperback("draft", bare)
    assert (first.code, first.err) == (
        1,
        "nights.csv, row 1: a row stands where the names of the columns are expected; put a row of "
        "names above it, such as date, sleep_h, quality\n",
    )
    assert "nights.csv: 0 rows added, since not all that is typed can be read" in first.out
    assert "races.csv: 5 rows added" in first.out
    races = (bare / "races.csv").read_bytes()
    assert taperback("draft", bare).code == 1
    assert (bare / "nights.csv").read_bytes() == typed
    assert (bare / "races.csv").read_bytes() == races


UNREAD = {
    "names of another language": b"Datum;Name;Zeit\n2024-05-19;Mine;2:20:24\n",
    "a title above the names": b"My races\ndate;name\n2024-05-19;Mine\n",
    "UTF-16 without a mark": "date;name\n2024-05-19;Mine\n".encode("utf-16-le"),
    "a day that can be none": b"date,name\n19 Mai 24,Mine\n2024-07-28,Other\n",
    "a quote never closed": b'date,name\n2024-05-19,"Mine\n',
}


@pytest.mark.parametrize("typed", UNREAD.values(), ids=UNREAD.keys())
def test_nothing_is_added_beside_what_cannot_be_read(taperback, bare: Path, typed: bytes) -> None:
    (bare / "races.csv").write_bytes(typed)
    ran = taperback("draft", bare)
    assert ran.code == 1
    assert ran.err.startswith("races.csv")
    assert "races.csv: 0 rows added, since not all that is typed can be read" in ran.out
    assert "Type into" not in ran.out
    assert (bare / "races.csv").read_bytes() == typed
    assert "nights.csv: 57 rows added" in ran.out
    assert "trips.csv: 1 row added" in ran.out


def test_races_that_cannot_be_read_are_not_told_as_none_typed(
    taperback, bare: Path, tmp_path: Path
) -> None:
    shutil.copy(SAMPLE / "athlete.toml", bare)
    (bare / "races.csv").write_bytes(UNREAD["UTF-16 without a mark"])
    line = "No race can be read: put right what is said of races.csv."
    assert taperback("check", bare).out.splitlines()[-1] == line
    assert taperback("review", bare, "--out", tmp_path / "r").err.splitlines()[-1] == line


def test_a_draft_says_that_races_may_be_missing(taperback, bare: Path) -> None:
    assert "If a race is missing, add a row with its date." in taperback("draft", bare).out


def test_a_workbook_is_never_written_to(taperback, bare) -> None:
    book = Workbook()
    for row in (("date", "name"), (date(2024, 5, 19), "Mine")):
        book.active.append(row)
    book.save(bare / "races.xlsx")
    before = (bare / "races.xlsx").read_bytes()
    ran = taperback("draft", bare)
    assert ran.code == 0
    assert "races.xlsx: a workbook is never written to; 4 rows to add by hand" in ran.out
    assert "  date 2024-07-28, sports triathlon, distance olympic, finish_time 2:17:" in ran.out
    assert "Type into races.xlsx what files cannot know" in ran.out
    assert (bare / "races.xlsx").read_bytes() == before
    assert not (bare / "races.csv").exists()
    assert (bare / "nights.csv").exists()
    assert "in row 2 of races.xlsx would make result known" in taperback("check", bare).out


def test_a_draft_without_any_position_guesses_home_and_says_so(taperback, tmp_path) -> None:
    shutil.copy(next((SAMPLE / "2024").glob("*-swimming.fit")), tmp_path)
    assert taperback("draft", tmp_path).code == 0
    assert "# A guess, since no file has a position" in (tmp_path / "athlete.toml").read_text()
    assert taperback("check", tmp_path).code == 0


def test_today_is_told_by_the_clock_where_the_athlete_lives() -> None:
    assert today_in("Pacific/Pago_Pago") < today_in("Pacific/Kiritimati"), "25 hours apart"


def test_check_says_what_is_wrong_what_is_missing_and_what_it_would_unlock(
    taperback, folder: Path, tmp_path: Path
) -> None:
    gappy = tmp_path / "gappy"
    shutil.copytree(folder, gappy)
    shutil.rmtree(gappy / "sleep")
    with (gappy / "races.csv").open("a", encoding="utf-8") as races:
        races.write("2025-13-01,Cove\n")
    ran = taperback("check", gappy)
    assert ran.code == 1
    lines = ran.out.splitlines()
    assert lines[:2] == [
        "To be put right:",
        "  races.csv, row 8, date: '2025-13-01' is not a date; write it as 2030-05-31",
    ]
    assert "2024-05-19 Heronmere Triathlon: everything that evidence rests on is known" in lines
    place = lines.index("2025-05-25 Gullcliff Triathlon: 1 measure is unknown")
    assert lines[place + 1].startswith("  sleep change is unknown: 0 of the 7 nights")
    assert "5 nights between 19 May 2025 and 25 May 2025" in lines[place + 2]
    assert lines[place + 2].endswith("would make sleep change known for Gullcliff Triathlon")


def test_check_of_a_sound_folder_ends_well(taperback, folder: Path) -> None:
    assert taperback("check", folder).code == 0


def test_a_finish_time_that_its_file_contradicts_is_said_by_check_and_review(
    taperback, folder: Path, tmp_path: Path
) -> None:
    wrong = tmp_path / "wrong"
    shutil.copytree(folder, wrong)
    races = (wrong / "races.csv").read_text()
    (wrong / "races.csv").write_text(races.replace("2:17:05", "1:17:05"))
    line = (
        "races.csv, row 3, finish_time: the race's file lasts 2:17:05, and 1:17:05 is typed; "
        "write the right one as h:mm:ss; until then the race has no result"
    )
    checked = taperback("check", wrong)
    assert (checked.code, checked.out.splitlines()[1].strip()) == (1, line)
    reviewed = taperback("review", wrong, "--out", tmp_path / "r")
    assert (reviewed.code, reviewed.err.splitlines()[0]) == (1, line)


def test_check_says_that_a_race_ahead_cannot_have_a_result(
    taperback, folder: Path, tmp_path: Path
) -> None:
    wrong = tmp_path / "wrong"
    shutil.copytree(folder, wrong)
    with (wrong / "races.csv").open("a") as races:
        races.write("2099-03-01,Far,triathlon,olympic,2:10:00,2:15:00,,,,,,,finished,\n")
    ran = taperback("check", wrong)
    assert ran.code == 1
    assert "races.csv, row 8, date: 2099-03-01 lies ahead of today, " in ran.out
    assert "2099-03-01 lies 26839 days" not in ran.out
