"""One content packed into bytes and back, as the types of `LegSummary` say.

Bytes are what the store keeps and what processes hand over. Every content goes through them, read
now or years ago, so that a table cannot depend on which. What comes back is checked: whole, of its
types, every number finite or unknown and within its bounds, every word a known one. The same check
is made when a content is packed, so that whatever was packed here can be unpacked.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, get_type_hints

import msgspec
import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.lines import printable
from taperback.common.notices import Notice, note, unused
from taperback.importer.file.one_file import Content
from taperback.importer.model import Counts, LegSummary
from taperback.importer.recording import SleepRecord
from taperback.importer.store.checks import (
    CHECKS,
    LONGEST_TEXT,
    check_remarks,
    check_sleeps,
    unknown_instead,
)
from taperback.importer.store.rows import ContentRow

LEG_FIELDS = tuple(CHECKS)
"""All fields of a summary but file and digest, which are known from elsewhere."""

_SUM_BYTES = 4
_REMARKS = LEG_FIELDS.index("remarks")
_HINTS = get_type_hints(LegSummary)
_StoredLeg: Any = msgspec.defstruct(
    "_StoredLeg", [(name, _HINTS[name]) for name in LEG_FIELDS], array_like=True, frozen=True
)
_Stored = tuple[str, tuple[_StoredLeg, ...], tuple[SleepRecord, ...], tuple[Notice, ...]]
_NOT_OURS = (msgspec.MsgspecError, ValueError, TypeError, OverflowError, RecursionError)


class NotOursError(Exception):
    """What is kept was not packed here, or somebody or something changed it since."""


def pack(content: Content) -> ContentRow:
    """The content in bytes; a number beyond all measure is unknown from here on, with a remark."""
    legs = []
    remarks = list(content.remarks)
    for leg in content.legs:
        try:
            legs.append(_row(leg))
        except ValueError as error:
            found = f"leg {leg.leg_index + 1} could not be understood ({error})"
            remarks.append(unused("", "unexpected", found, "export the activity again"))
    plain = [_plain(remark) for remark in remarks]
    packed = encode((content.file_format, legs, content.sleeps, plain))
    return ContentRow(content.digest, framed(packed))


def unpack(named: Iterable[tuple[str, ContentRow]]) -> list[Content]:
    """The contents again, each with the file name beside it.

    Raises:
        NotOursError: one was not made by `pack`, or not by this version.
    """
    pairs = list(named)
    stored = {row.digest: row for _, row in pairs}
    try:
        decoded = {digest: _DECODER.decode(unframed(row.packed)) for digest, row in stored.items()}
        legs = [leg for content in decoded.values() for leg in content[1]]
        columns = zip(*map(msgspec.structs.astuple, legs), strict=True)
        for name, column in zip(LEG_FIELDS, columns, strict=bool(legs)):
            CHECKS[name](column)
        for file_format, _, sleeps, remarks in decoded.values():
            CHECKS["file_format"]([file_format])
            check_sleeps(sleeps)
            check_remarks(remarks)
        for _, of_one_file, *_ in decoded.values():
            places = {leg.leg_index for leg in of_one_file if leg.leg_index < leg.legs_in_file}
            if len(places) < len(of_one_file):
                raise ValueError("legs that cannot lie in one file")
    except _NOT_OURS as error:
        raise NotOursError(str(error)) from error
    return [_content(row.digest, decoded[row.digest], name) for name, row in pairs]


def pack_rows(rows: Iterable[ContentRow]) -> bytes:
    """Several packed contents as one run of plain bytes, for another machine."""
    return framed(encode(tuple(rows)))


def unpack_rows(data: object) -> tuple[ContentRow, ...]:
    """The rows again; what is packed in each is for `unpack` to look at.

    Raises:
        NotOursError: these are no bytes of `pack_rows`.
    """
    if not isinstance(data, bytes):
        raise NotOursError("no bytes")
    if len(data) > LIMITS.store.most_bytes_a_row:
        raise NotOursError("far larger than any activity")
    try:
        return _ROWS.decode(unframed(data))
    except _NOT_OURS as error:
        raise NotOursError("damaged") from error


def encode(value: object) -> bytes:
    """A row of plain values and dataclasses in bytes."""
    return _ENCODER.encode(value)


def framed(packed: bytes) -> bytes:
    """The bytes behind their checksum, since a bit that flips on a disk may make another number."""
    return zlib.crc32(packed).to_bytes(_SUM_BYTES, "little") + packed


def unframed(data: bytes) -> memoryview:
    """The bytes again.

    Raises:
        ValueError: they are not as they were.
    """
    packed = memoryview(data)[_SUM_BYTES:]
    if zlib.crc32(packed).to_bytes(_SUM_BYTES, "little") != data[:_SUM_BYTES]:
        raise ValueError("damaged")
    return packed


def _content(digest: str, stored: Any, file: str) -> Content:
    file_format, stored_legs, sleeps, remarks = stored
    legs = []
    for leg in stored_legs:
        values = msgspec.structs.astuple(leg)
        if values[_REMARKS]:
            here = tuple(remark.at(file) for remark in values[_REMARKS])
            values = (*values[:_REMARKS], here, *values[_REMARKS + 1 :])
        legs.append(LegSummary(file, digest, *values))
    here = tuple(remark.at(file) for remark in remarks)
    return Content(digest, file_format, tuple(legs), sleeps, here)


def _row(leg: LegSummary) -> list[Any]:
    """The leg's values in the order of `LEG_FIELDS`, each within its bounds.

    Raises:
        ValueError: one that the leg cannot be without is not what it may be.
    """
    row = []
    remarks: list[Notice] = []
    for name, check in CHECKS.items():
        value = getattr(leg, name)
        try:
            check((value,))
        except ValueError:
            value = unknown_instead(name, value)
            called = name.rpartition("_")[0].replace("_", " ") or name
            found = f"{called}: a value in it is beyond all measure, and so unknown"
            remarks.append(note("beyond-measure", found))
        row.append(value + 0.0 if isinstance(value, float) else value)  # no negative zero
    row[_REMARKS] = [_plain(remark) for remark in (*leg.remarks, *remarks)]
    return row


def _plain(remark: Notice) -> Notice:
    """The remark without the name of the file, which may change, in text that can be kept."""
    found, remedy, column = (
        printable(text)[:LONGEST_TEXT] for text in (remark.found, remark.remedy, remark.column)
    )
    return replace(remark, file="", found=found, remedy=remedy, column=column)


def _to_plain(value: object) -> object:
    """Values of numpy, for the encoder."""
    if isinstance(value, np.ndarray):
        return value.astype("<i4" if value.dtype.kind in "iu" else "<f8").tobytes()
    if isinstance(value, np.generic):
        return value.item()
    raise NotImplementedError(type(value).__name__)


def _to_array(hint: Any, data: bytes) -> np.ndarray:
    """The array that `_to_plain` made bytes of; read-only."""
    return np.frombuffer(data, "<i4" if hint == Counts else "<f8")


_ENCODER = msgspec.msgpack.Encoder(enc_hook=_to_plain)
_DECODER = msgspec.msgpack.Decoder(_Stored, dec_hook=_to_array)
_ROWS = msgspec.msgpack.Decoder(tuple[ContentRow, ...])
