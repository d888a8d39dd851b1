"""The messages of a FIT file that Taperback uses, however they had to be read."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, field

import fastcrc
import fitdecode
import numpy as np
from fitdecode.profile import MESSAGE_TYPES

from taperback.errors import InputError
from taperback.importer.fit_excerpt import Wanted, excerpt, mended
from taperback.importer.fit_hr import read_hr
from taperback.importer.fit_records import RECORD, RECORD_FIELDS, bulk_can_read, read_records
from taperback.importer.fit_stream import Part, index_parts
from taperback.notices import Notice, note
from taperback.resources import shared_toml

USED_FIELDS = {
    "file_id": ("type", "time_created"),
    "user_profile": ("resting_heart_rate", "default_max_heart_rate"),
    "zones_target": (
        "functional_threshold_power",
        "threshold_heart_rate",
        "max_heart_rate",
    ),
    "sport": ("sport", "sub_sport"),
    "session": (
        "timestamp",
        "start_time",
        "sport",
        "sub_sport",
        "total_elapsed_time",
        "total_timer_time",
        "total_distance",
        "total_ascent",
        "pool_length",
        "workout_rpe",
        "workout_feel",
        "threshold_power",
    ),
    "lap": (
        "timestamp",
        "start_time",
        "sport",
        "sub_sport",
        "total_elapsed_time",
        "total_timer_time",
        "total_distance",
    ),
    "event": ("timestamp", "event", "event_type"),
    "activity": ("timestamp", "local_timestamp"),
    "length": ("start_time", "total_elapsed_time", "total_timer_time", "length_type"),
    "monitoring_info": ("timestamp", "local_timestamp"),
    "timestamp_correlation": ("timestamp", "system_timestamp"),
    "sleep_level": ("timestamp", "sleep_level"),
}
"""Messages and fields that fitdecode decodes. Records and `hr` messages are read in bulk."""

_TIMER = 0
_EVENT = "event"


def _wanted() -> dict[int, Wanted]:
    wanted = {}
    for number, message in MESSAGE_TYPES.items():
        if message.name in USED_FIELDS:
            names = USED_FIELDS[message.name]
            numbers = {n: f.name for n, f in message.fields.items() if f.name in names}
            # Some devices write thousands of events; only the timer's are used.
            only = (0, _TIMER) if message.name == _EVENT else None
            wanted[number] = Wanted(frozenset(numbers), only)
    return wanted


_WANTED = _wanted()
_TOO_MUCH = "too much of it needs to be read the slow way"


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
    stream = excerpt(data, parts, _WANTED)
    error = _decode(stream, lambda name, values: by_name.setdefault(name, []).append(values))
    if error == _TOO_MUCH:
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

    error = _decode(mended(data, parts), keep)
    messages.records = {
        name: np.array([_number(row.get(name)) for row in rows], float) for name in RECORD_FIELDS
    }
    found = "it is laid out unusually and was read the slow way"
    if error and not messages.remarks:
        found += f", up to where that failed ({error})"
    messages.remarks.append(note("fit-slow", found))


def _decode(stream: bytes, keep: Callable[[str, dict[str, object]], None]) -> str:
    """Hands every data message to `keep`; returns what stopped it, empty where nothing did."""
    budget = shared_toml("limits.toml")["fit"]["most_fields_decoded"]
    reader = fitdecode.FitReader(
        stream,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            for frame in reader:
                if isinstance(frame, fitdecode.FitDataMessage):
                    keep(frame.name, _values(frame))
                    budget -= len(frame.fields) + 1
                elif isinstance(frame, fitdecode.FitDefinitionMessage):
                    budget -= len(frame.field_defs) + 1
                if budget < 0:
                    return _TOO_MUCH
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
