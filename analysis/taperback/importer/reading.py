"""One file read, from its bytes to its summaries; nothing that goes wrong gets out as an error."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from taperback.errors import InputError
from taperback.importer.archives import Member, members
from taperback.importer.fit import read_fit
from taperback.importer.found import Found
from taperback.importer.gpx import read_gpx
from taperback.importer.model import LegSummary
from taperback.importer.recording import FileContent, Recording, SleepRecord
from taperback.importer.summary import summarise
from taperback.importer.tcx import read_tcx
from taperback.notices import Level, Notice

_LOOK = 4096


@dataclass(frozen=True)
class FileResult:
    """What came of one activity file.

    Attributes:
        file: path relative to the athlete's folder; `archive.zip!inner.fit` inside an archive.
        digest: SHA-256 of its bytes. file_format: `fit`, `tcx`, `gpx` or empty.
        legs, sleeps, remarks: what was read and noticed.
    """

    file: str
    digest: str
    file_format: str
    legs: tuple[LegSummary, ...] = ()
    sleeps: tuple[SleepRecord, ...] = ()
    remarks: tuple[Notice, ...] = ()


def read_one(found: Found) -> list[FileResult]:
    """What came of one file on disk: itself, or each activity in an archive."""
    try:
        data = found.path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "unknown error").lower()
        return [_unused(found.name, "", InputError(f"it cannot be opened ({reason})"))]
    return list(_read_members(found.name, data))


def _read_members(name: str, data: bytes) -> Iterator[FileResult]:
    for member in members(name, data):
        if isinstance(member, Member):
            yield read_bytes(member.name, member.data)
        else:
            yield FileResult(member.file, "", "", remarks=(member,))


def read_bytes(name: str, data: bytes) -> FileResult:
    """What came of one activity file's bytes."""
    digest = hashlib.sha256(data).hexdigest()
    try:
        file_format, reader = claim(data)
        content = reader(data)
    except InputError as error:
        return _unused(name, digest, error)
    legs: list[LegSummary] = []
    remarks = [replace(remark, file=name) for remark in content.remarks]
    for place, recording in enumerate(content.recordings):
        try:
            legs.append(_summary(name, digest, file_format, content, place, recording))
        except InputError as error:
            remarks.append(_notice(name, error))
    return FileResult(name, digest, file_format, tuple(legs), content.sleeps, tuple(remarks))


def _summary(
    name: str,
    digest: str,
    file_format: str,
    content: FileContent,
    place: int,
    recording: Recording,
) -> LegSummary:
    where = (place, len(content.recordings))
    return summarise(recording, file=name, digest=digest, place=where, file_format=file_format)


def claim(data: bytes) -> tuple[str, Callable[[bytes], FileContent]]:
    """The format that the first bytes announce, and its reader; names of files say nothing.

    Raises:
        InputError: no reader claims the bytes.
    """
    if not data:
        raise InputError("it is empty", "export the activity again")
    head = data[:_LOOK]
    if head[8:12] == b".FIT":
        return "fit", read_fit
    if b"<gpx" in head:
        return "gpx", read_gpx
    if b"<TrainingCenterDatabase" in head:
        return "tcx", read_tcx
    raise InputError("it is neither FIT, TCX nor GPX inside", "export the activity again")


def _unused(name: str, digest: str, error: InputError) -> FileResult:
    return FileResult(name, digest, "", remarks=(_notice(name, error),))


def _notice(name: str, error: InputError) -> Notice:
    return Notice(name, 0, "", "unreadable", error.found, error.remedy, Level.UNUSED)
