"""Tables as people keep them: rows with the line they stand on, whatever the spreadsheet wrote."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd

from taperback.errors import InputError
from taperback.journal.files import read_text, read_typed
from taperback.journal.workbook import sheet_rows
from taperback.notices import Level, Notice, fault


@dataclass(frozen=True)
class Column:
    """One column of a journal table.

    Attributes:
        read: what turns a typed cell into a value; raises `InputError` without a place.
        absent: the value of an empty or unreadable cell.
        required: whether a row without it cannot be used.
        choose: what picks the reader from all cells of the column, where one cell cannot tell.
    """

    read: Callable[[str], object]
    absent: object
    required: bool = False
    choose: Callable[[list[str]], Callable[[str], object]] | None = None


@dataclass(frozen=True)
class RawTable:
    """A table as typed: its header and its rows, each with its line in the file.

    `header_line` is the line of the header, `open_quote` that of a quote that is never closed, 0
    where there is none.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    header_line: int = 1
    open_quote: int = 0


def split_rows(text: str) -> RawTable:
    """Header and rows of a CSV text; comma, semicolon or tab is told from the header.

    Blank lines and lines that start with `#` are passed over; rows keep their line numbers.
    """
    lines = list(io.StringIO(text, newline=""))  # any line end, and nothing else, ends a line
    filled = (line for line in lines if line.strip(" ,;\t\r\n"))
    first = next((line for line in filled if not line.lstrip().startswith("#")), "")
    delimiter = max(",;\t", key=first.count)
    return _sifted(*_split(lines, delimiter))


def _sifted(split: Iterable[tuple[int, list[str]]], open_quote: int = 0) -> RawTable:
    """Header and rows, without blank rows and remarks."""
    header: tuple[str, ...] = ()
    header_line = 1
    rows = []
    for line, cells in split:
        if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
            continue
        if not header:
            header = tuple(cell.strip().lower().replace(" ", "_") for cell in cells)
            header_line = line
        else:
            rows.append((line, tuple(cells)))
    return RawTable(header, tuple(rows), header_line, open_quote)


_END = "\0end"


def _split(lines: list[str], delimiter: str) -> tuple[list[tuple[int, list[str]]], int]:
    """(line, cells) of every row, and the line of a quote that is never closed, else 0.

    Such a quote would swallow every row below it. From its line on, each line is a row.
    """
    reader = csv.reader([*lines, _END], delimiter=delimiter)
    rows: list[tuple[int, list[str]]] = []
    before = 0
    with suppress(csv.Error):  # a cell longer than anybody types
        for cells in reader:
            rows.append((before + 1, cells))
            before = reader.line_num
        before = rows.pop()[0] - 1
    if before == len(lines):
        return rows, 0
    for place, line in enumerate(lines[before:], before + 1):
        rows.append((place, line.rstrip("\r\n").split(delimiter)))
    return rows, before + 1


def read_table(
    path: Path, columns: Mapping[str, Column], *, extra: tuple[str, ...] = ()
) -> tuple[pd.DataFrame, list[Notice]]:
    """One journal table, with everything that is wrong in it.

    A cell that cannot be read is unknown and said; a row without a required cell is left out and
    said. Columns that are not known stay in the file and are said once.

    Args:
        path: a CSV or XLSX file; where it does not exist the table is empty.
        columns: name -> how it is read.
        extra: further columns that may stand there without a word.

    Returns:
        the table, columns `row` and then `columns`; and the notices in order of row.
    """
    names = ["row", *columns]
    try:
        table = _raw(path)
    except InputError as error:
        broken = fault(path.name, 0, "", "unreadable", error.found, error.remedy)
        return pd.DataFrame(columns=names, dtype=object), [broken]
    if _is_day(table.header[:1]):
        return pd.DataFrame(columns=names, dtype=object), [_no_header(path.name, table, columns)]
    notices = _header_notices(path.name, table, columns, extra)
    columns = {name: _chosen(name, column, table) for name, column in columns.items()}
    kept = []
    for line, cells in table.rows:
        values, complaints = _read_row(path.name, line, table.header, cells, columns)
        notices += complaints
        if values is not None:
            kept.append({"row": line} | values)
    return pd.DataFrame(kept, columns=names, dtype=object), notices


def _raw(path: Path) -> RawTable:
    """The table as typed, without rows where there is no such file."""
    if path.suffix == ".xlsx":
        return _sifted(sheet_rows(read_typed(path) or b"", path.stem))
    return split_rows(read_text(path) or "")


def _chosen(name: str, column: Column, table: RawTable) -> Column:
    """The column with the reader that its cells ask for."""
    if column.choose is None or name not in table.header:
        return column
    place = table.header.index(name)
    cells = [row[place] for _, row in table.rows if place < len(row)]
    return replace(column, read=column.choose(cells))


def _is_day(cells: tuple[str, ...]) -> bool:
    return any(re.fullmatch(r"\d{1,4}([./-])\d{1,2}\1\d{1,4}", cell) for cell in cells)


def _no_header(file: str, table: RawTable, columns: Mapping[str, Column]) -> Notice:
    named = ", ".join(list(columns)[:3])
    found = "a row stands where the names of the columns are expected"
    remedy = f"put a row of names above it, such as {named}"
    return fault(file, table.header_line, "", "no-header", found, remedy)


def _header_notices(
    file: str, table: RawTable, columns: Mapping[str, Column], extra: tuple[str, ...]
) -> list[Notice]:
    notices = []
    if table.open_quote:
        found, remedy = "a quote that opens here is never closed", "close it, or take it out"
        notices.append(fault(file, table.open_quote, "", "open-quote", found, remedy))
    line = table.header_line
    for place, name in enumerate(table.header):
        if name in table.header[:place] and name in columns:
            found, remedy = "the column is there twice", "take one out; the first is used"
            notices.append(fault(file, line, name, "twice", found, remedy))
        elif name and name not in columns and name not in extra:
            close = difflib.get_close_matches(name, columns, n=1)
            remedy = f"did you mean {close[0]}?" if close else "it is kept and not used"
            level = Level.FAULT if close else Level.NOTE
            notices.append(
                Notice(file, line, name, "unknown-column", "no such column is known", remedy, level)
            )
    for name, column in columns.items():
        if column.required and name not in table.header and table.rows:
            found = "the column is missing"
            remedy = f"add a column {name}; no row can be used without it"
            notices.append(fault(file, line, name, "no-column", found, remedy))
    return notices


def _read_row(
    file: str,
    line: int,
    header: tuple[str, ...],
    cells: tuple[str, ...],
    columns: Mapping[str, Column],
) -> tuple[dict[str, object] | None, list[Notice]]:
    typed = dict(reversed(list(zip(header, cells, strict=False))))  # of two alike, the first
    values: dict[str, object] = {}
    notices: list[Notice] = []
    usable = True
    if any(cell.strip() for cell in cells[len(header) :]):
        found = f"the row has {len(cells)} cells, the header {len(header)}"
        remedy = "put text that holds the separator in quotes"
        notices.append(fault(file, line, "", "too-many-cells", found, remedy))
    for name, column in columns.items():
        cell = typed.get(name, "")
        values[name] = column.absent
        if not cell.strip():
            if column.required and name in header:
                remedy = f"fill in the {name}, or take the row out"
                notices.append(fault(file, line, name, "empty", "it is empty", remedy))
            usable &= not column.required
            continue
        try:
            values[name] = column.read(cell)
        except InputError as error:
            usable &= not column.required
            notices.append(fault(file, line, name, "unreadable", error.found, error.remedy))
    return (values if usable else None), notices
