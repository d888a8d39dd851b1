"""A journal table as typed, CSV or XLSX: its header and its rows, each with its line."""

from __future__ import annotations

import csv
import io
import re
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.files.bounded import within_bounds
from taperback.common.limits import LIMITS
from taperback.journal.files import as_text, read_typed
from taperback.journal.workbook import sheet_rows

_END = "\0end"
# A comma within a number, as in 7,5, may have been taken for the separator.
_DAY = re.compile(
    r"(\d{1,4}([./-])\d{1,2}\2\d{1,4}|\d{8}|\d{1,2}[ _.-]+[a-z]{3,9}\.?[ _.-]+\d{2,4})([;\t].*)?",
    re.IGNORECASE,
)
# A letter or a digit would part words, so that no spreadsheet takes it for a separator.
_SEPARATOR = re.compile(r'"?sep=([^\w\s"]|\t)"?[,;\t]*[\r\n]*', re.IGNORECASE)

NO_HEADER = "a row stands where the names of the columns are expected"
"""What is said of a table that lacks its header."""


@dataclass(frozen=True)
class RawTable:
    """A table as typed.

    Attributes:
        header: names of the columns, in lower case, blanks as underscores.
        rows: (line in the file, cells) of every row that is neither blank nor a remark.
        header_line: line of the header.
        open_quote: line of a quote that is never closed, 0 where there is none.
        delimiter: what parts the cells.
        remarks: the first cell of every line that starts with `#`.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    header_line: int = 1
    open_quote: int = 0
    delimiter: str = ","
    remarks: tuple[str, ...] = ()

    @property
    def lacks_header(self) -> bool:
        """Whether a row stands where the header is expected: one of its cells is a day."""
        return any(_DAY.fullmatch(cell) for cell in self.header)

    def named_below(self, column: str) -> int:
        """The line below the header in which the column is named, 0 where there is none."""
        for line, cells in self.rows:
            # what stands above the names may have another separator than theirs
            if column in (_name(cell) for cell in re.split("[,;\t]", ";".join(cells))):
                return line
        return 0


def read_raw(path: Path) -> RawTable:
    """The table as typed, without rows where there is no such file.

    A workbook, and a text that is not small, is read in a process of its own within bounds.

    Raises:
        InputError: the file cannot be read; see `files.read_typed` and `workbook.sheet_rows`.
    """
    data = read_typed(path)
    if data is None:
        return split_rows("")
    limits = LIMITS.journal
    few = len(data) <= limits.most_bytes_here
    if few and path.suffix != ".xlsx":
        return _parsed(data, path.name)
    return within_bounds(
        _parsed,
        data,
        path.name,
        longest_s=limits.longest_s,
        most_memory_bytes=limits.most_memory_bytes,
    )


def _parsed(data: bytes, file: str) -> RawTable:
    """The table that these bytes of the file are, of no more columns and rows than a journal's."""
    name, _, suffix = file.rpartition(".")
    is_book = suffix == "xlsx"
    table = _sifted(sheet_rows(data, name)) if is_book else split_rows(as_text(data, file))
    limits = LIMITS.journal
    columns, most = sum(map(bool, table.header)), limits.most_columns
    if columns > most:
        found = f"it has {columns} columns, and a journal at most {most}"
        raise InputError(found, "take out what is not the journal's")
    most = limits.most_rows.get(name, limits.most_rows["other"])
    if len(table.rows) > most:
        found = f"it has {len(table.rows)} rows, and there is room for {most}"
        raise InputError(found, "split off the oldest")
    return table


def split_rows(text: str) -> RawTable:
    """Header and rows of a CSV text; comma, semicolon or tab is read off the header.

    A first line such as `sep=;` tells the separator, as it does to spreadsheets. Blank lines and
    lines that start with `#` are passed over; rows keep their line numbers.
    """
    lines = list(io.StringIO(text, newline=""))  # any line end, and nothing else, ends a line
    named = _SEPARATOR.fullmatch(lines[0]) if lines else None
    if named:
        return _sifted(*_split(["\n", *lines[1:]], named[1]), named[1])
    filled = (line for line in lines if line.strip(" ,;\t\r\n"))
    first = next((line for line in filled if not line.lstrip().startswith("#")), "")
    delimiter = max(",;\t", key=first.count)
    return _sifted(*_split(lines, delimiter), delimiter)


def _name(cell: str) -> str:
    """A column's name as it is known, however it is typed."""
    return cell.strip().lower().replace(" ", "_")


def _sifted(
    split: Iterable[tuple[int, list[str]]], open_quote: int = 0, delimiter: str = ","
) -> RawTable:
    """Header and rows, without blank rows and remarks."""
    header: tuple[str, ...] = ()
    header_line = 1
    rows = []
    remarks = []
    for line, cells in split:
        if not any(cell.strip(" ,;\t\r\n") for cell in cells):
            continue
        if cells[0].lstrip().startswith("#"):
            remarks.append(cells[0].strip())
        elif not header:
            header = tuple(map(_name, cells))
            header_line = line
        else:
            rows.append((line, tuple(cells)))
    return RawTable(header, tuple(rows), header_line, open_quote, delimiter, tuple(remarks))


def _split(lines: list[str], delimiter: str) -> tuple[list[tuple[int, list[str]]], int]:
    """(line, cells) of every row, and the line of the first quote that is never closed, else 0.

    Such a quote would swallow rows below it, up to the next quote or to the end. Its own line is
    taken as it stands, and so is all below it where no further quote closes it.
    """
    sizes = [  # how many cells a line has of which one is a day, else 0
        len(cells) if any(_DAY.fullmatch(cell.strip(' "\r\n')) for cell in cells) else 0
        for cells in (line.split(delimiter) for line in lines)
    ]
    rows: list[tuple[int, list[str]]] = []
    opened = start = 0
    while start < len(lines):
        whole, start, swallows = _whole_rows(lines, start, sizes, delimiter)
        rows += whole
        if start < len(lines):
            opened = opened or start + 1
            end = start + 1 if swallows else len(lines)
            for place in range(start, end):
                rows.append((place + 1, lines[place].rstrip("\r\n").split(delimiter)))
            start = end
    return rows, opened


def _whole_rows(
    lines: list[str], start: int, sizes: list[int], delimiter: str
) -> tuple[list[tuple[int, list[str]]], int, bool]:
    """(rows from `start` on, where the first begins that is not whole, whether it swallows one).

    A row goes on in the next line where a quote is open; a line that has a day and as many cells
    as the row's first is a row of its own.
    """
    rows: list[tuple[int, list[str]]] = []
    before, swallows = start, False

    def fed() -> Iterator[str]:
        nonlocal swallows
        for place in range(start, len(lines)):
            swallows = place > before and 0 < sizes[before] <= sizes[place]
            if swallows:
                return
            yield lines[place]
        yield _END

    reader = csv.reader(fed(), delimiter=delimiter)
    usual = csv.field_size_limit(sys.maxsize)  # a cell that is too long is said by its place
    try:
        for cells in reader:
            rows.append((before + 1, cells))
            before = start + reader.line_num
    finally:
        csv.field_size_limit(usual)
    return rows, rows.pop()[0] - 1, swallows


def name_columns(columns: Iterable[str]) -> str:
    """What to do about a table that lacks its header."""
    return f"put a row of names above it, such as {', '.join(islice(columns, 3))}"
