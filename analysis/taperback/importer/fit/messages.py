"""The messages of a FIT file that Taperback uses, however they had to be read."""

from __future__ import annotations

from dataclasses import dataclass, field

import fastcrc
import numpy as np

from taperback.common.errors import InputError
from taperback.common.notices import Notice, note
from taperback.importer.fit.decode import TOO_MUCH, USED_FIELDS, WANTED, decode
from taperback.importer.fit.excerpt import excerpt, mended
from taperback.importer.fit.heart_rate import hr_layouts, read_hr
from taperback.importer.fit.records import RECORD, RECORD_FIELDS, bulk_can_read, read_records
from taperback.importer.fit.stream import Part, index_parts


@dataclass
class Messages:
    """A FIT file's content, decoded but not yet understood.

    Attributes:
        by_name: message name -> field name -> value, in file order; absent values left out.
        records: columns as `read_records` gives them.
        hr_time, hr_bpm: FIT time [s] and heart rate [bpm] of `hr` messages, shape (n,) each.
        broken: whether the file breaks off.
        remarks: what is unusual about the file.
    """

    by_name: dict[str, list[dict[str, object]]] = field(default_factory=dict)
    records: dict[str, np.ndarray] = field(default_factory=dict)
    hr_time: np.ndarray = field(default_factory=lambda: np.empty(0))
    hr_bpm: np.ndarray = field(default_factory=lambda: np.empty(0))
    broken: bool = False
    remarks: list[Notice] = field(default_factory=list)

    def all(self, name: str) -> list[dict[str, object]]:
        """All messages of that name."""
        return self.by_name.get(name, [])


def number(message: dict[str, object], *names: str) -> float:
    """The number of the first of these names that the message has, NaN where it has none."""
    for name in names:
        value = message.get(name)
        if isinstance(value, (int, float)):
            return float(value)
    return float("nan")


def read_messages(data: bytes) -> Messages:
    """What a FIT file holds.

    Raises:
        InputError: the bytes are not a FIT file at all.
    """
    parts = index_parts(data)
    if not parts:
        raise InputError("it does not start with a FIT header", "export the activity again")
    broken = any(part.broken for part in parts)
    messages = Messages(remarks=_remarks(data, parts), broken=broken)
    layouts, too_much = hr_layouts(parts)
    messages.hr_time, messages.hr_bpm = read_hr(data, layouts)
    if too_much:
        found = "it holds more heart rate of a strap than any did; what comes first was used"
        messages.remarks.append(note("fit-much-hr", found))
    if not (bulk_can_read(data, parts) and _read_in_bulk(data, parts, messages)):
        _read_slowly(data, parts, messages)
    return messages


def _remarks(data: bytes, parts: tuple[Part, ...]) -> list[Notice]:
    remarks = []
    for part in parts:
        if part.broken:
            remarks.append(note("fit-broken", f"{part.broken}; what stands before was used"))
        elif not _checksums_hold(data, part):
            remarks.append(
                note("fit-checksum", "its checksum does not match; it was used all the same")
            )
    behind = len(data) - parts[-1].stated_stop - 2
    if behind > 0:
        found = f"{behind} bytes behind its end are no FIT file and were left out"
        remarks.append(note("fit-behind", found))
    activities = [p for p in parts if any(d.number == RECORD and d.used for d in p.definitions)]
    if len(activities) > 1:
        found = f"it holds {len(activities)} recordings in a row, read as one"
        remarks.append(note("fit-chained", found))
    return remarks


def _checksums_hold(data: bytes, part: Part) -> bool:
    """Whether the header's own checksum and the file's are right; a header may have none (0)."""
    if part.body - part.start >= 14:
        header = int.from_bytes(data[part.start + 12 : part.start + 14], "little")
        if header not in (0, fastcrc.crc16.arc(data[part.start : part.start + 12])):
            return False
    stated = int.from_bytes(data[part.stated_stop : part.stated_stop + 2], "little")
    return fastcrc.crc16.arc(data[part.start : part.stated_stop]) == stated


def _read_in_bulk(data: bytes, parts: tuple[Part, ...], messages: Messages) -> bool:
    """Fills `messages` the fast way; False where that did not work."""
    by_name: dict[str, list[dict[str, object]]] = {}
    stream = excerpt(data, parts, WANTED)
    error = decode(stream, lambda name, values: by_name.setdefault(name, []).append(values))
    if error == TOO_MUCH:
        messages.remarks.append(note("fit-too-much", f"{error}; what comes first was used"))
    elif error:
        return False
    messages.records = read_records(data, parts)
    messages.by_name = by_name
    return True


def _read_slowly(data: bytes, parts: tuple[Part, ...], messages: Messages) -> None:
    """Fills `messages` through fitdecode alone, keeping what it yields before an error."""
    rows: list[dict[str, object]] = []

    def keep(name: str, values: dict[str, object]) -> None:
        if name == "record":
            rows.append(values)
        elif name in USED_FIELDS:
            messages.by_name.setdefault(name, []).append(values)

    error = decode(mended(data, parts), keep)
    messages.records = {
        name: np.array([number(row, name) for row in rows], float) for name in RECORD_FIELDS
    }
    found = "it is laid out unusually and was read the slow way"
    # What a broken part ends in is reported already.
    if error and (error == TOO_MUCH or not any(part.broken for part in parts)):
        found += f", up to where that failed ({error})"
    messages.remarks.append(note("fit-slow", found))
