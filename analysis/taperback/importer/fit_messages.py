"""The messages of a FIT file that Taperback uses, however they had to be read."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, field

import fastcrc
import fitdecode
import numpy as np

from taperback.errors import InputError
from taperback.importer.fit_hr import read_hr
from taperback.importer.fit_records import (
    RECORD_FIELDS,
    bulk_can_read,
    read_records,
    small_stream,
)
from taperback.importer.fit_stream import Part, index_parts
from taperback.notices import Notice, note

WANTED = {
    0: "file_id",
    3: "user_profile",
    7: "zones_target",
    12: "sport",
    18: "session",
    19: "lap",
    21: "event",
    34: "activity",
    101: "length",
    206: "field_description",
    207: "developer_data_id",
    275: "sleep_level",
}
"""Messages that fitdecode decodes: number -> name. Records and heart rate are read in bulk."""


@dataclass
class Messages:
    """A FIT file's content, decoded but not yet understood.

    Attributes:
        by_name: message name -> field name -> value, in file order; absent values left out.
        records: columns as `read_records` gives them.
        hr_time, hr_bpm: heart rate that stands apart from the records.
        remarks: what is unusual about the file.
    """

    by_name: dict[str, list[dict[str, object]]] = field(default_factory=dict)
    records: dict[str, np.ndarray] = field(default_factory=dict)
    hr_time: np.ndarray = field(default_factory=lambda: np.empty(0))
    hr_bpm: np.ndarray = field(default_factory=lambda: np.empty(0))
    remarks: list[Notice] = field(default_factory=list)

    def all(self, name: str) -> list[dict[str, object]]:
        """All messages of that name."""
        return self.by_name.get(name, [])


def read_messages(data: bytes) -> Messages:
    """What a FIT file holds.

    Raises:
        InputError: the bytes are not a FIT file at all.
    """
    parts = index_parts(data)
    if not parts:
        raise InputError("it does not start with a FIT header", "export the activity again")
    messages = Messages(remarks=_remarks(data, parts))
    messages.hr_time, messages.hr_bpm = read_hr(data, parts)
    if not (bulk_can_read(parts) and _read_in_bulk(data, parts, messages)):
        _read_slowly(data, messages)
    return messages


def _remarks(data: bytes, parts: tuple[Part, ...]) -> list[Notice]:
    remarks = []
    for part in parts:
        if part.broken:
            remarks.append(note("fit-broken", f"{part.broken}; what stands before was used"))
        elif not _checksum_holds(data, part):
            remarks.append(
                note("fit-checksum", "its checksum does not match; it was used all the same")
            )
    if len(parts) > 1:
        remarks.append(
            note("fit-chained", f"it holds {len(parts)} FIT files in a row, read as one")
        )
    return remarks


def _checksum_holds(data: bytes, part: Part) -> bool:
    stated = int.from_bytes(data[part.stated_stop : part.stated_stop + 2], "little")
    return fastcrc.crc16.arc(data[part.start : part.stated_stop]) == stated


def _read_in_bulk(data: bytes, parts: tuple[Part, ...], messages: Messages) -> bool:
    """Fills `messages` the fast way; False where that did not work."""
    by_name: dict[str, list[dict[str, object]]] = {}
    stream = small_stream(data, parts, frozenset(WANTED))
    if _decode(stream, lambda name, values: by_name.setdefault(name, []).append(values)):
        return False
    messages.records = read_records(data, parts)
    messages.by_name = by_name
    return True


def _read_slowly(data: bytes, messages: Messages) -> None:
    """Fills `messages` through fitdecode alone, keeping what it yields before an error."""
    rows: list[dict[str, object]] = []
    names = set(WANTED.values())

    def keep(name: str, values: dict[str, object]) -> None:
        if name == "record":
            rows.append(values)
        elif name in names:
            messages.by_name.setdefault(name, []).append(values)

    error = _decode(data, keep)
    messages.records = {
        name: np.array([_number(row.get(name)) for row in rows], float) for name in RECORD_FIELDS
    }
    found = "it is laid out unusually and was read the slow way"
    if error and not messages.remarks:
        found += f"; reading stopped early ({error})"
    messages.remarks.append(note("fit-slow", found))


def _decode(data: bytes, keep: Callable[[str, dict[str, object]], None]) -> str:
    """Hands every data message to `keep`; returns what stopped it, empty where nothing did."""
    reader = fitdecode.FitReader(
        data,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA:
                    keep(frame.name, _values(frame))
        except Exception as error:
            return type(error).__name__
    return ""


def _values(frame: fitdecode.FitDataMessage) -> dict[str, object]:
    """Field name -> value; the first of a name wins, a developer's field never does."""
    values: dict[str, object] = {}
    for item in frame.fields:
        if item.value is not None and not (item.field_def and item.field_def.is_dev):
            values.setdefault(item.name, item.value)
    return values


def _number(value: object) -> float:
    return float(value) if isinstance(value, (int, float)) else float("nan")
