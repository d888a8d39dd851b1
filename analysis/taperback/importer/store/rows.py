"""Contents of files as plain rows, and back: numbers, text and bytes, no objects.

Rows are what the store keeps and what workers hand over. Every content goes through its row, read
now or years ago, so that a table cannot depend on which.
"""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from taperback.importer.file.one_file import Content, Job
from taperback.importer.model import LegSummary
from taperback.importer.recording import SleepRecord
from taperback.importer.store.columns import (
    LEG_CODECS,
    LEG_COLUMNS,
    finite_number,
    from_microseconds,
    from_offset,
    pack_remarks,
    to_microseconds,
    to_number,
    unpack_remarks,
)

_REMARKS = LEG_COLUMNS.index("remarks")
_ENCODE = tuple(LEG_CODECS[name].encode for name in LEG_COLUMNS)
_DECODE = tuple(LEG_CODECS[name].decode for name in LEG_COLUMNS)

NOT_OURS = (
    ValueError,
    TypeError,
    AttributeError,
    LookupError,
    ArithmeticError,
    RecursionError,
)
"""What rows raise that somebody changed."""

LegRow = tuple[Any, ...]
"""Values of `LEG_COLUMNS`, each an int, float, str, bytes or None."""


class ContentRow(NamedTuple):
    """A `Content` in plain values; sleeps and remarks as JSON."""

    digest: str
    file_format: str
    sleeps: str
    remarks: str
    legs: tuple[LegRow, ...]


class PieceRow(NamedTuple):
    """One activity file and where it was found, in plain values; remarks as JSON."""

    name: str
    digest: str
    remarks: str


class JobRow(NamedTuple):
    """What came of one job."""

    job: Job
    pieces: tuple[PieceRow, ...]


class Kept(NamedTuple):
    """What is known of a folder: contents by digest, and jobs by (name, first member)."""

    contents: dict[str, ContentRow]
    jobs: dict[tuple[str, int], JobRow]


def pack(content: Content) -> ContentRow:
    """The content in plain values."""
    return ContentRow(
        content.digest,
        content.file_format,
        json.dumps([_sleep_row(sleep) for sleep in content.sleeps]),
        pack_remarks(content.remarks),
        tuple(_leg_row(leg) for leg in content.legs),
    )


def unpack(row: ContentRow, file: str) -> Content:
    """The content again, told of that file name.

    Raises:
        NOT_OURS: the row was not made by `pack`.
    """
    return Content(
        row.digest,
        row.file_format,
        tuple(_leg(leg, file, row.digest) for leg in row.legs),
        tuple(_sleep(*sleep) for sleep in json.loads(row.sleeps)) if row.sleeps != "[]" else (),
        unpack_remarks(row.remarks, file),
    )


def _leg_row(leg: LegSummary) -> LegRow:
    return tuple(
        encode(getattr(leg, name)) for name, encode in zip(LEG_COLUMNS, _ENCODE, strict=True)
    )


def _leg(row: LegRow, file: str, digest: str) -> LegSummary:
    values = [decode(value) for decode, value in zip(_DECODE, row, strict=True)]
    values[_REMARKS] = unpack_remarks(row[_REMARKS], file)
    return LegSummary(file, digest, *values)


def _sleep_row(sleep: SleepRecord) -> tuple[int, int, float, float | None]:
    offset = to_number(sleep.utc_offset_s)
    return to_microseconds(sleep.start_utc), to_microseconds(sleep.end_utc), sleep.asleep_s, offset


def _sleep(start: int, end: int, asleep_s: float, offset: float | None) -> SleepRecord:
    return SleepRecord(
        from_microseconds(start),
        from_microseconds(end),
        finite_number(asleep_s),
        from_offset(offset),
    )
