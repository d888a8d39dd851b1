"""Rows are added to a table that a person keeps, and nothing that stood there changes."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperback.common.errors import InputError
from taperback.journal.columns import TABLES, Table
from taperback.journal.draft import BACKUPS, with_rows, write_whole
from taperback.journal.load import read_journal
from taperback.journal.raw_table import split_rows
from taperback.journal.tables import read_table

ROW = {"date": "2030-05-01", "distance": "10 km", "proposed": "10 km in 0:41:00, in a.fit"}
RACES = TABLES["races"]


def test_a_table_is_written_anew_where_there_is_none():
    made = with_rows(b"", [ROW], RACES).decode()
    header, row, _ = made.split("\n")
    assert header == ",".join(RACES.header)
    assert row.startswith("2030-05-01,,,10 km,") and row.endswith('"10 km in 0:41:00, in a.fit"')


def test_no_rows_leave_every_byte():
    assert with_rows(b"da\xffte;x", [], RACES) == b"da\xffte;x"


@pytest.mark.parametrize("table", TABLES.values(), ids=TABLES)
def test_a_table_without_rows_has_its_header_and_is_read_back_as_typed(
    tmp_path: Path, table: Table
) -> None:
    begun = with_rows(b"", (), table)
    assert begun.decode().splitlines()[0] == ",".join(table.header)
    assert with_rows(begun, (), table) == begun, "a second draft writes nothing"
    (tmp_path / table.file).write_bytes(begun)
    (tmp_path / "athlete.toml").write_text('home_zone = "Europe/Lisbon"\n')
    journal = read_journal(tmp_path)
    assert (journal.notices, journal.no_trips) == ((), False)
    typed = b"# mine\r\n;;\r\n"
    assert with_rows(typed, (), table).startswith(typed), "what stood there stays"


def test_a_row_goes_into_the_column_that_people_call_by_another_name() -> None:
    typed = b"date,Sleep (h),notes\n2030-01-01,7,\n"
    made = with_rows(typed, [{"date": "2030-05-01", "sleep_h": "7.50"}], TABLES["nights"])
    assert made == typed + b"2030-05-01,7.50,\n"


def test_columns_keep_their_order_and_missing_ones_come_last():
    typed = b"name,date\nMine,2030-01-01\n"
    made = with_rows(typed, [ROW], RACES)
    assert made == (
        b"name,date,distance,proposed\nMine,2030-01-01\n"
        b',2030-05-01,10 km,"10 km in 0:41:00, in a.fit"\n'
    )


def test_comments_blank_lines_and_a_missing_last_line_end_are_kept():
    typed = b"# my races\n\ndate,distance,proposed\n\n# hard year\n2030-01-01,x,"
    made = with_rows(typed, [ROW], RACES)
    assert made.startswith(typed + b"\n2030-05-01,10 km,")


@pytest.mark.parametrize(
    ("mark", "encoding"),
    [
        (b"", "utf-8"),
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
    ],
)
def test_spreadsheets_of_all_kinds_are_read_back(tmp_path: Path, mark: bytes, encoding: str):
    typed = mark + "date;name\r\n2030-01-01;Übersee\r\n".encode(encoding)
    made = with_rows(typed, [ROW], RACES)
    assert (
        made[len(mark) :]
        .decode(encoding)
        .endswith("2030-05-01;;10 km;10 km in 0:41:00, in a.fit\r\n")
    )
    (tmp_path / "races.csv").write_bytes(made)
    table, notices, _ = read_table(tmp_path / "races.csv", RACES)
    assert table["name"].tolist() == ["Übersee", ""]
    assert table["distance"].tolist() == ["", "10 km"]
    assert notices == []


@pytest.mark.parametrize("mark", [b"\xff\xfe", b"\xfe\xff"])
def test_a_table_broken_as_text_is_not_added_to(mark: bytes):
    with pytest.raises(InputError, match=r"it is broken as UTF-16-[BL]E, so no row can be added"):
        with_rows(mark + b"d\0a\0t\0e", [{"date": "2030-05-01"}], RACES)


@pytest.mark.parametrize("blank", [b"", b";", b" \t\n,,\n", b"# a remark\n;;\n"])
def test_a_table_of_nothing_but_separators_gets_a_header(blank: bytes):
    made = with_rows(blank, [{"date": "2030-05-01"}], RACES)
    assert made.startswith(blank)
    assert split_rows(made.decode()).header == RACES.header


@pytest.mark.parametrize(
    "typed",
    [
        b"2024-01-01,7.5\n2024-01-02,8\n",
        b"# my nights\n\n1.1.2024;7,5\n",
        b"20240101,7.5\n",
        b"Cove,2024-01-01\n",
    ],
)
def test_a_table_without_a_header_is_not_added_to(typed: bytes):
    with pytest.raises(InputError, match=r"a row stands where the names .* so no row can be added"):
        with_rows(typed, [{"date": "2030-05-01", "sleep_h": "7.50"}], TABLES["nights"])


def test_a_separator_that_is_told_is_kept():
    typed = b"sep=|\r\ndate|name\r\n2030-01-01|Mine; yours\r\n"
    made = with_rows(typed, [ROW], RACES).decode()
    assert made.startswith("sep=|\r\ndate|name|distance|proposed\r\n2030-01-01|Mine; yours\r\n")
    assert split_rows(made).rows[1] == (4, ("2030-05-01", "", "10 km", ROW["proposed"]))
    alone = with_rows(b"sep=;\n", [ROW], RACES).decode()
    assert split_rows(alone).header == RACES.header


def test_a_header_over_several_lines_is_not_added_to():
    with pytest.raises(InputError, match="its header goes over several lines"):
        with_rows(b'date,"my\nname"\n2030-01-01,Cove\n', [{"notes": "x"}], RACES)


def test_bytes_of_no_encoding_come_back_as_they_were():
    typed = b"date,name\n2030-01-01,K\xf6ln\n"
    assert with_rows(typed, [{"date": "2030-05-01"}], RACES) == typed + b"2030-05-01,\n"


cells = st.text(st.characters(exclude_characters="\r\n\0", exclude_categories=["Cs"]), max_size=12)


@given(
    rows=st.lists(st.lists(cells, min_size=2, max_size=2), max_size=5),
    delimiter=st.sampled_from(",;\t"),
    ending=st.sampled_from(["\n", "\r\n"]),
)
def test_typed_rows_survive_byte_for_byte(rows, delimiter, ending):
    quoted = ['"' + cell.replace('"', '""') + '"' for row in rows for cell in row]
    lines = [delimiter.join(quoted[k : k + 2]) for k in range(0, len(quoted), 2)]
    body = "".join(line + ending for line in lines)
    typed = f"date{delimiter}name{ending}{body}".encode()
    made = with_rows(typed, [ROW], RACES).decode()
    assert body in made
    before, after = split_rows(typed.decode()), split_rows(made)
    assert after.rows[: len(before.rows)] == before.rows
    assert len(after.rows) == len(before.rows) + 1


def test_a_remark_above_the_header_does_not_tell_the_separator():
    table = split_rows("# a; b; c; d\ndate,name\n2030-01-01,Mine\n")
    assert table.header == ("date", "name")


def test_the_first_version_is_kept_aside_and_not_the_second(tmp_path: Path):
    (tmp_path / "races.csv").write_bytes(b"first")
    write_whole(tmp_path, "races.csv", b"second")
    write_whole(tmp_path, "races.csv", b"third")
    assert (tmp_path / "races.csv").read_bytes() == b"third"
    assert (tmp_path / BACKUPS / "races.csv").read_bytes() == b"first"


def test_stopped_while_writing_the_old_table_is_there_whole(tmp_path: Path, monkeypatch):
    (tmp_path / "races.csv").write_bytes(b"old")

    def stop(descriptor: int) -> None:
        raise KeyboardInterrupt

    (tmp_path / BACKUPS).mkdir(parents=True)
    (tmp_path / BACKUPS / "races.csv").write_bytes(b"older")
    monkeypatch.setattr("taperback.common.files.whole_files.os.fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path, "races.csv", b"new")
    assert (tmp_path / "races.csv").read_bytes() == b"old"
    assert sorted(path.name for path in tmp_path.iterdir()) == [".taperback", "races.csv"]
