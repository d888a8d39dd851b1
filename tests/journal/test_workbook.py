"""A table kept as a workbook reads like the same table kept as CSV."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from openpyxl import Workbook

from journal.test_load import ATHLETE, folder
from taperback.common.errors import InputError
from taperback.journal.load import read_journal
from taperback.journal.model import Journal
from taperback.journal.workbook import sheet_rows

RACES = (
    ("date", "name", "sports", "finish_time", "expected_time", "place", "race_rpe", "leave_out"),
    (date(2030, 6, 2), "Cove", "triathlon", time(2, 10), time(2, 12, 30), 14, 8.5, None),
)


def workbook(
    rows: object, *, formats: dict[str, str] | None = None, title: str = "Sheet"
) -> Workbook:
    book = Workbook()
    book.active.title = title
    for row in rows:  # type: ignore[attr-defined]
        book.active.append(row)
    for cell, form in (formats or {}).items():
        book.active[cell].number_format = form
    return book


def journal(tmp_path: Path, book: Workbook, name: str = "races.xlsx") -> Journal:
    book.save(tmp_path / name)
    return read_journal(folder(tmp_path))


def told(found: Journal) -> list[str]:
    return [str(notice) for notice in found.notices]


def test_a_workbook_gives_what_the_same_csv_gives(tmp_path: Path) -> None:
    from_book = journal(tmp_path, workbook(RACES))
    (tmp_path / "races.xlsx").unlink()
    text = (
        "date,name,sports,finish_time,expected_time,place,race_rpe,leave_out\n"
        "2030-06-02,Cove,triathlon,2:10:00,2:12:30,14,8.5,\n"
    )
    from_text = read_journal(folder(tmp_path, races=text))
    assert from_book.races.to_dict("records") == from_text.races.to_dict("records") or (
        str(from_book.races.to_dict("records")) == str(from_text.races.to_dict("records"))
    )
    assert told(from_book) == []
    assert (from_book.files["races"], from_text.files["races"]) == ("races.xlsx", "races.csv")


@pytest.mark.parametrize(
    ("value", "form", "hours"),
    [
        (7.5, "General", 7.5),
        (7, "General", 7.0),
        ("7,5", "General", 7.5),
        ("7h30", "General", 7.5),
        (time(7, 30), "h:mm", 7.5),
        (time(7, 30), "h:mm:ss", 7.5),
        (timedelta(hours=7, minutes=30), "[h]:mm", 7.5),
        (time(7, 30, 36), "h:mm:ss", 7.51),
    ],
)
def test_hours_are_understood_as_numbers_times_and_text(
    tmp_path: Path, value: object, form: str, hours: float
) -> None:
    rows = (("Date", "Sleep h"), (date(2030, 6, 1), value))
    found = journal(tmp_path, workbook(rows, formats={"B2": form}), "nights.xlsx")
    assert found.nights["sleep_h"].tolist() == [hours]
    assert told(found) == []


@pytest.mark.parametrize(
    ("value", "form", "seconds"),
    [
        (time(2, 5, 30), "h:mm:ss", 7530.0),
        (time(0, 58, 20), "[mm]:ss", 3500.0),
        (timedelta(hours=30, minutes=1), "[h]:mm:ss", 108_060.0),
        (1 + 1 / 24, "h:mm:ss", 90_000.0),
        (time(20, 15), "h:mm", 1215.0),  # shown as 20:15, which is twenty minutes in a CSV, too
        ("2h05", "General", 7500.0),
    ],
)
def test_a_time_taken_is_what_the_cell_shows(
    tmp_path: Path, value: object, form: str, seconds: float
) -> None:
    rows = (("date", "finish_time"), (date(2030, 6, 2), value))
    found = journal(tmp_path, workbook(rows, formats={"B2": form}))
    assert found.races["finish_time_s"].tolist() == [seconds]
    assert told(found) == []


@pytest.mark.parametrize(
    "value",
    [datetime.fromisoformat("2030-06-01T09:00"), date(2030, 6, 1), "2030-06-01", "1.6.2030"],
)
def test_days_are_understood_as_dates_and_text(tmp_path: Path, value: object) -> None:
    found = journal(tmp_path, workbook((("date",), (value,))), "nights.xlsx")
    assert found.nights["date"].tolist() == [date(2030, 6, 1)]


def test_blank_rows_and_remarks_are_passed_over_and_rows_keep_their_numbers(tmp_path: Path) -> None:
    rows = (("# mine",), (), ("date", "name", "wetsuit"), (), (date(2030, 6, 2), 2030, "yes"))
    found = journal(tmp_path, workbook(rows))
    assert found.races[["row", "name"]].values.tolist() == [[5, "2030"]]
    assert told(found) == [
        "races.xlsx, row 3, wetsuit: no such column is known; it is kept and not used"
    ]


@pytest.mark.parametrize(
    ("cell", "line"),
    [
        (47_634, "'47634' is not a date; write it as 2030-05-31"),
        ("=1/0", "'formula never calculated' is not a date; write it as 2030-05-31"),
    ],
)
def test_a_cell_that_is_no_date_is_one_line(tmp_path: Path, cell: object, line: str) -> None:
    found = journal(tmp_path, workbook((("date", "name"), (cell, "Cove"))))
    assert told(found) == [f"races.xlsx, row 2, date: {line}"]


def test_a_formula_that_failed_is_one_line(tmp_path: Path) -> None:
    book = workbook((("date", "race_rpe"), (date(2030, 6, 2), "#DIV/0!")))
    book.active["B2"].data_type = "e"
    assert told(journal(tmp_path, book)) == [
        "races.xlsx, row 2, race_rpe: 'formula error #DIV/0!' is not a number; write a number from "
        "0 to 10"
    ]


def test_a_formula_that_no_program_calculated_is_one_line(tmp_path: Path) -> None:
    book = workbook((("date", "race_rpe"), (date(2030, 6, 2), "=4+4")))
    assert told(journal(tmp_path, book)) == [
        "races.xlsx, row 2, race_rpe: 'formula never calculated' is not a number; write a number "
        "from 0 to 10"
    ]


def test_a_formula_that_gave_an_empty_text_is_an_empty_cell(tmp_path: Path) -> None:
    """Spreadsheets keep the empty text of `=IF(A2="";"";8)` as a text cell without a value."""
    whole = io.BytesIO()
    workbook((("date", "race_rpe"), (date(2030, 6, 2), '=IF(A2="",8,"")'))).save(whole)
    with (
        zipfile.ZipFile(whole) as parts,
        zipfile.ZipFile(tmp_path / "races.xlsx", "w") as calculated,
    ):
        for name in parts.namelist():
            part = parts.read(name)
            calculated.writestr(name, part.replace(b'<c r="B2"><f>', b'<c r="B2" t="str"><f>'))
    found = read_journal(folder(tmp_path))
    assert (found.races["race_rpe"].isna().tolist(), told(found)) == ([True], [])


def test_the_sheet_named_like_the_table_is_read_else_the_first(tmp_path: Path) -> None:
    book = workbook([("other",)], title="Ideas")
    sheet = book.create_sheet("Races")
    sheet.append(("date", "name"))
    sheet.append((date(2030, 6, 2), "Cove"))
    assert journal(tmp_path, book).races["name"].tolist() == ["Cove"]


def test_a_race_that_is_not_left_out_stays(tmp_path: Path) -> None:
    rows = (("date", "leave_out"), (date(2030, 6, 2), False), (date(2030, 7, 2), "illness"))
    assert journal(tmp_path, workbook(rows)).races["leave_out"].tolist() == ["", "illness"]


def test_where_both_are_there_the_csv_wins_and_this_is_said(tmp_path: Path) -> None:
    folder(tmp_path, races="date,name\n2030-06-02,Reef\n")
    (tmp_path / "nights.ods").write_bytes(b"x")
    workbook(RACES).save(tmp_path / "races.xlsx")
    found = read_journal(tmp_path)
    assert found.races["name"].tolist() == ["Reef"]
    assert told(found) == [
        "nights.ods: it is not read; save it as nights.csv or nights.xlsx",
        "races.xlsx: it is not read, since races.csv is there; keep one of the two",
    ]


def wide() -> bytes:
    """A small file whose every row has a cell in the last column that there is."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("races")
    sheet.append(("date", "name"))
    whole, made = io.BytesIO(), io.BytesIO()
    book.save(whole)
    rows = b"".join(b'<row r="%d"><c r="XFD%d"><v>1</v></c></row>' % (n, n) for n in range(2, 2000))
    with zipfile.ZipFile(whole) as parts, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as to:
        for name in parts.namelist():
            part = parts.read(name)
            to.writestr(name, part.replace(b"</sheetData>", rows + b"</sheetData>"))
    return made.getvalue()


def test_a_small_workbook_takes_up_no_more_memory_than_a_journal_needs() -> None:
    tracemalloc.start()
    with pytest.raises(InputError, match="it unpacks to far more than a journal holds"):
        list(sheet_rows(wide(), "races"))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 50_000_000


def test_a_cell_far_to_the_right_costs_nothing(tmp_path: Path) -> None:
    book = workbook(RACES)
    book.active["XFD1"] = "mine"
    assert journal(tmp_path, book).races["name"].tolist() == ["Cove"]


def bomb() -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/workbook.xml", b" " * 200_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (
            b"\xd0\xcf\x11\xe0",
            "it cannot be opened as a workbook; save it again as XLSX",
        ),
        (b"PK\x03\x04", "it cannot be opened as a workbook; save it again as XLSX"),
        (bomb(), "it unpacks to far more than a journal holds; save the table as CSV"),
        (wide(), "it unpacks to far more than a journal holds; save the table as CSV"),
    ],
    ids=["password", "cut", "bomb", "wide"],
)
def test_a_broken_workbook_costs_its_table_and_no_other(
    tmp_path: Path, data: bytes, line: str
) -> None:
    (tmp_path / "races.xlsx").write_bytes(data)
    found = read_journal(folder(tmp_path, athlete=ATHLETE, nights="date,sleep_h\n2030-06-01,7\n"))
    assert told(found)[0].startswith(f"races.xlsx: {line}")
    assert found.has_faults
    assert found.races.empty
    assert found.nights["sleep_h"].tolist() == [7.0]
