"""A journal table kept as a workbook: its cells as the text that a spreadsheet shows.

A cell means what it shows, so that a table gives the same whether it was saved as XLSX or CSV.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from itertools import islice
from typing import Any

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS

MOST_ROWS = 1_048_576
"""Rows that a sheet has room for."""

_LONGEST_AGO = 1905
"""A day before this year is a time of more than 24 hours: workbooks count from 1900 or 1904."""

_PARTS = {
    "xl/worksheets/": "sheet",
    "xl/sharedStrings.xml": "text",
    "xl/media/": "picture",
    "xl/pivotCache/": "picture",
}
"""How the names of a workbook's parts begin -> what they are to whoever reads its cells."""

_NO_VALUE = "formula never calculated"
"""What such a cell shows, so that it is reported and not taken for an empty one."""


def sheet_rows(data: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """(row, cells) of the sheet of that name, else of the first one.

    Raises:
        InputError: it cannot be opened as a workbook, or holds more than anyone types.
    """
    from openpyxl.utils.datetime import to_excel  # openpyxl takes a third of a second to import

    try:
        _refuse_bomb(data)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # parts of a workbook that hold no cells
            rows, epoch = _cells(data, name, values=True)
            typed, _ = _cells(data, name, values=False)
    except InputError:
        raise
    except Exception:  # openpyxl lets out whatever a broken part raises
        raise InputError(
            "it cannot be opened as a workbook",
            "save it again as XLSX without a password, or as CSV",
        ) from None

    def shown(cell: Any, source: Any) -> str:
        # a formula that no program gave a value; an empty text is a value
        if source.data_type == "f" and cell.value is None and cell.data_type == "n":
            return _NO_VALUE
        return _shown(cell, lambda day: to_excel(day, epoch))

    for number, (cells, sources) in enumerate(zip(rows, typed, strict=True), 1):
        yield number, [shown(*pair) for pair in zip(cells, sources, strict=True)]


def _cells(data: bytes, name: str, *, values: bool) -> tuple[list[tuple[Any, ...]], datetime]:
    """(rows, first day) of the sheet; `values`: what formulas gave, else the formulas."""
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(data), read_only=True, data_only=values, keep_links=False)
    named = [sheet for sheet in book.worksheets if sheet.title.lower() == name.lower()]
    sheet = (named or book.worksheets)[0]
    sheet.reset_dimensions()  # some programs write wrong ones
    rows, left = [], LIMITS.journal.most_cells
    for row in islice(sheet.iter_rows(), MOST_ROWS):
        left -= len(row)  # empty cells in between included
        if left < 0:
            raise _far_too_much()
        rows.append(row)
    return rows, book.epoch


def _far_too_much() -> InputError:
    return InputError("it unpacks to far more than a journal holds", "save the table as CSV")


def _refuse_bomb(data: bytes) -> None:
    """Nothing where what is read of the workbook unpacks to no more than a journal's."""
    limits = LIMITS.journal
    sizes: Counter[str] = Counter()
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        parts = book.infolist()
    for part in parts:
        named = (kind for start, kind in _PARTS.items() if part.filename.startswith(start))
        sizes[next(named, "other")] += part.file_size
    most = limits.most_part_bytes
    if len(parts) > limits.most_parts or any(sizes[kind] > most[kind] for kind in most):
        raise _far_too_much()


def _shown(cell: Any, serial: Callable[[datetime], float]) -> str:
    """What the cell shows; `serial` gives the days since the workbook's first."""
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "e":
        return f"formula error {value}"
    if isinstance(value, datetime) and value.year >= _LONGEST_AGO:
        return value.date().isoformat()
    if isinstance(value, datetime):
        return _clock(timedelta(days=serial(value)), cell.number_format)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        length = timedelta(hours=value.hour, minutes=value.minute, seconds=value.second)
        return _clock(length + timedelta(microseconds=value.microsecond), cell.number_format)
    if isinstance(value, timedelta):
        return _clock(value, cell.number_format)
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _clock(length: timedelta, number_format: str) -> str:
    """A time as it is shown: with seconds only where the cell's format has them."""
    minutes, seconds = divmod(round(length.total_seconds(), 1), 60)
    hours, minutes = divmod(int(minutes), 60)
    if "s" not in number_format.lower() and not seconds:
        return f"{hours}:{minutes:02d}"
    whole = seconds == int(seconds)
    return f"{hours}:{minutes:02d}:{f'{int(seconds):02d}' if whole else f'{seconds:04.1f}'}"
