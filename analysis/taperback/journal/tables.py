"""A journal table read by its columns: values, and a remark for every cell that is none."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import pandas as pd

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.common.notices import Level, Notice, fault
from taperback.journal.columns import PROPOSED, Column, Read, Table
from taperback.journal.raw_table import NO_HEADER, RawTable, name_columns, read_raw

REMARK, WANTED = "remark", "wanted"
"""Codes of what is said of many cells in one line."""


class TableRead(NamedTuple):
    """What came of one journal table.

    Attributes:
        rows: its rows, columns `row` and then `table.stored`.
        notices: everything that is wrong in it, in order of row.
        says_none: whether it has its header and no row, and a person left it so. One as it was
            drafted says that nothing is known yet, until its remark is deleted.
    """

    rows: pd.DataFrame
    notices: list[Notice]
    says_none: bool = False


def read_table(path: Path, table: Table) -> TableRead:
    """One journal table, with everything that is wrong in it.

    A cell that cannot be read is unknown and said; a row without a required cell is left out and
    said. Columns that are not known stay in the file and are said once.

    Args:
        path: a CSV or XLSX file; where it does not exist the table is empty.
        table: which table it is.
    """
    try:
        typed = read_raw(path)
    except InputError as error:
        broken = fault(path.name, 0, "", "unreadable", error.found, error.remedy)
        return TableRead(_frame([], table), [broken])
    names = known_names(typed.header, table)
    units = {name: reader for name, reader in names if reader}
    typed = replace(typed, header=tuple(name for name, _ in names))
    missing = _missing_header(typed, table.columns)
    if missing:
        said = fault(path.name, typed.header_line, "", "no-header", *missing)
        return TableRead(_frame([], table), [said])
    notices = _header_notices(path.name, typed, table.columns)
    columns = {name: _chosen(name, column, typed, units) for name, column in table.columns.items()}
    kept = []
    for line, cells in typed.rows:
        values, complaints = _read_row(path.name, line, typed.header, cells, columns)
        notices += complaints
        if values is not None:
            kept.append([line, *values.values()])
    none = table.day in typed.header and not typed.rows and table.unsure not in typed.remarks
    return TableRead(_frame(kept, table), _each_once(notices), none)


def known_names(header: Iterable[str], table: Table) -> list[tuple[str, Read | None]]:
    """Each name of a header as it is known here, with the reader of a unit that it tells.

    Blanks, signs and what stands in brackets make no difference: `Race RPE (0-10)` is `race_rpe`.
    """
    also = {
        other: (name, reader)
        for name, column in table.columns.items()
        for other, reader in column.also.items()
    }
    found: list[tuple[str, Read | None]] = []
    for typed in header:
        plain = (typed, _plain(typed), _plain(re.sub(r"\(.*", "", typed)))
        known = (name for name in plain if name in table.columns or name in also)
        name = next(known, typed)
        found.append(also.get(name, (name, None)))
    return found


def _plain(name: str) -> str:
    return re.sub(r"\W+", "_", name).strip("_")


def _without(column: Column) -> str:
    return f"without it nobody knows {column.wanted}"


def _each_once(notices: list[Notice]) -> list[Notice]:
    """The notices; of those that many cells of a column give alike the first, with their number."""
    count = Counter((notice.column, notice.code, notice.found) for notice in notices)
    kept = []
    for notice in notices:
        more = count.pop((notice.column, notice.code, notice.found), 0) - 1
        if notice.code not in (REMARK, WANTED):
            kept.append(notice)
        elif more >= 0:
            rows = f" (and in {more} more row{'s' if more > 1 else ''})" if more else ""
            kept.append(replace(notice, found=notice.found + rows))
    return kept


def _frame(rows: list[list[object]], table: Table) -> pd.DataFrame:
    """The rows by the names that the journal has for the columns, numbers as float64."""
    frame = pd.DataFrame(rows, columns=["row", *table.stored], dtype=object)
    numbers = {name for name, column in table.stored.items() if isinstance(column.absent, float)}
    return frame.astype(dict.fromkeys(numbers, float) | {"row": int})


def _missing_header(table: RawTable, columns: Mapping[str, Column]) -> tuple[str, str] | None:
    """(finding, remedy) where something else stands where the names of columns are expected."""
    if table.lacks_header:
        return NO_HEADER, name_columns(columns)
    required = next(name for name, column in columns.items() if column.required)
    below = 0 if required in table.header else table.named_below(required)
    if not below:
        return None
    found = f"the names of the columns are expected here, and seem to stand in row {below}"
    return found, f"take out what stands above row {below}"


def _chosen(name: str, column: Column, table: RawTable, readers: Mapping[str, Read]) -> Column:
    """The column with the reader that its name or its cells ask for."""
    if name in readers:
        return replace(column, read=readers[name])
    if column.choose is None or name not in table.header:
        return column
    place = table.header.index(name)
    cells = [row[place] for _, row in table.rows if place < len(row)]
    return replace(column, read=column.choose(cells))


def _header_notices(file: str, table: RawTable, columns: Mapping[str, Column]) -> list[Notice]:
    notices = []
    if table.open_quote:
        found, remedy = "a quote that opens here is never closed", "close it, or take it out"
        notices.append(fault(file, table.open_quote, "", "open-quote", found, remedy))
    line = table.header_line
    seen, meant = set[str](), set[str]()
    for name in table.header:
        if name in seen and name in columns:
            found, remedy = "the column is there twice", "take one out; the first is used"
            notices.append(fault(file, line, name, "twice", found, remedy))
        elif name and name not in columns and name != PROPOSED:
            close = difflib.get_close_matches(
                name, [one for one in columns if one not in {*table.header, *meant}], n=1
            )
            meant.update(close)
            remedy = f"did you mean {close[0]}?" if close else "it is kept and not used"
            level = Level.FAULT if close else Level.NOTE
            notices.append(
                Notice(file, line, name, "unknown-column", "no such column is known", remedy, level)
            )
        seen.add(name)
    for name, column in columns.items():
        if name not in table.header and table.rows and (column.required or column.wanted):
            found = "the column is missing"
            without = "no row can be used without it" if column.required else _without(column)
            remedy = f"add a column {name}; {without}"
            notices.append(fault(file, line, name, "no-column", found, remedy))
    return notices


def _read_row(
    file: str,
    line: int,
    header: tuple[str, ...],
    cells: tuple[str, ...],
    columns: Mapping[str, Column],
) -> tuple[dict[str, object] | None, list[Notice]]:
    """(values by column, None where a required one is not known; what is wrong in the row)."""
    typed = dict(reversed(list(zip(header, cells, strict=False))))  # of two alike, the first
    values: dict[str, object] = {}
    notices: list[Notice] = []
    if any(cell.strip() for cell in cells[len(header) :]):
        found = f"the row has {len(cells)} cells, the header {len(header)}"
        remedy = "put text that holds the separator in quotes"
        notices.append(fault(file, line, "", "too-many-cells", found, remedy))
    for name, column in columns.items():
        cell = typed.get(name, "" if name in header else None)
        values[name], complaint = _read_cell(name, column, cell)
        if complaint:
            notices.append(fault(file, line, name, *complaint))
        elif column.remark and cell and (said := column.remark(cell)):
            notices.append(Notice(file, line, name, REMARK, *said))
    lacking = any(column.required and values[name] is None for name, column in columns.items())
    return (None if lacking else values), notices


def _read_cell(
    name: str, column: Column, cell: str | None
) -> tuple[object, tuple[str, str, str] | None]:
    """(the cell's value; code, finding and remedy where it should have one and has none).

    `cell` is None where the table has no such column, which is said of its header.
    """
    if cell is None or not cell.strip():
        if cell is None or not (column.required or column.wanted):
            return column.absent, None
        remedy = f"fill in the {name}, or take the row out"
        if column.wanted:
            return column.absent, (WANTED, "it is empty", f"{remedy}; {_without(column)}")
        return column.absent, ("empty", "it is empty", remedy)
    most = LIMITS.journal.most_cell_letters
    if len(cell) > most:
        found = f"it has {len(cell)} letters, and a cell at most {most}"
        return column.absent, ("unreadable", found, "shorten it")
    try:
        return column.read(cell), None
    except InputError as error:
        return column.absent, ("unreadable", error.found, error.remedy)
