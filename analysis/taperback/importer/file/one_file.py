"""One file read, from its bytes to its summaries; nothing that goes wrong gets out as an error."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Container
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TypeVar

from taperback.common.errors import InputError, OtherKindError, why_refused
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, unused
from taperback.importer.file.archives import members_of
from taperback.importer.formats.formats import OTHER_KIND, claim
from taperback.importer.model import LegSummary
from taperback.importer.recording import SleepRecord
from taperback.importer.summary.summary import summarise

T = TypeVar("T")


@dataclass(frozen=True)
class Job:
    """One file on disk, or some members of an archive, to be read in one go.

    Attributes:
        path: where it lies. name: as messages give it.
        size, mtime_ns: as the file was found.
        first, last, of: members from `first` up to but not `last`, of so many; 0, 1 and 1 for a
            file that is no archive.
        lost: how many readers it has cost in earlier runs.
    """

    path: str
    name: str
    size: int
    mtime_ns: int
    first: int = 0
    last: int = 1
    of: int = 1
    lost: int = 0

    @property
    def members(self) -> int:
        """How many files it is about."""
        return self.last - self.first

    def split(self) -> list[Job]:
        """The same job in smaller ones, in the end one for each member."""
        few = LIMITS.reading.members_a_job
        step = few if self.members > few else 1
        return [
            replace(self, first=at, last=min(at + step, self.last))
            for at in range(self.first, self.last, step)
        ]


@dataclass(frozen=True)
class Content:
    """What came of one activity file's bytes, whatever its name.

    Attributes:
        digest: SHA-256 of the bytes. file_format: a name of `FORMATS`, `OTHER_KIND` where it
            holds no session and no night, empty where no format claims it.
        legs, sleeps, remarks: what was read and noticed; remarks still without a file name.
    """

    digest: str
    file_format: str
    legs: tuple[LegSummary, ...] = ()
    sleeps: tuple[SleepRecord, ...] = ()
    remarks: tuple[Notice, ...] = ()


@dataclass(frozen=True)
class Piece:
    """One activity file and where it was found.

    Attributes:
        name: path relative to the athlete's folder; `archive.zip!inner.fit` inside an archive.
        digest: SHA-256 of its bytes, empty where it was refused before they were known.
        remarks: about the wrapping; content: None where it was refused or is known already.
    """

    name: str
    digest: str
    remarks: tuple[Notice, ...] = ()
    content: Content | None = None


def read_job(job: Job, known: Container[str] = ()) -> list[Piece]:
    """What came of one job; contents whose digest is known are not read again."""
    pieces = []
    try:
        for member in members_of(Path(job.path), job.name, job.first, job.last):
            if isinstance(member, Notice):
                pieces.append(Piece(member.file, "", (member,)))
                continue
            digest = hashlib.sha256(member.data).hexdigest()
            content = None if digest in known else read_bytes(member.data, digest)
            pieces.append(Piece(member.name, digest, member.remarks, content))
    except OSError as error:
        found = f"it cannot be opened ({why_refused(error)})"
        return [refused(job.name, found, "copy it here again")]
    return pieces


def refused(name: str, found: str, remedy: str) -> Piece:
    """A file that nothing came of, with the reason."""
    return Piece(name, "", (unused(name, "unreadable", found, remedy),))


def read_bytes(data: bytes, digest: str) -> Content:
    """What came of one activity file's bytes."""
    try:
        claimed = claim(data)
    except InputError as error:
        return Content(digest, "", remarks=(_notice(error),))
    try:
        content = _guarded(partial(claimed.read, data))
    except OtherKindError as error:
        return Content(digest, OTHER_KIND, remarks=(_notice(error),))
    if isinstance(content, Notice):
        return Content(digest, claimed.name, remarks=(content,))
    legs: list[LegSummary] = []
    remarks = list(content.remarks)
    for place, recording in enumerate(content.recordings):
        where = (place, len(content.recordings))
        summary = partial(
            summarise, recording, file="", digest=digest, place=where, file_format=claimed.name
        )
        leg = _guarded(summary)
        if isinstance(leg, Notice):
            remarks.append(leg)
        else:
            legs.append(leg)
    return Content(digest, claimed.name, tuple(legs), content.sleeps, tuple(remarks))


def _guarded(read: Callable[[], T]) -> T | Notice:
    """What `read` returns, or why it did not.

    Files are broken in more ways than anyone foresees. Whatever a reader trips over costs that
    file and no other, and is reported as such.

    Raises:
        OtherKindError: nothing is wrong with it.
    """
    try:
        return read()
    except OtherKindError:
        raise
    except InputError as error:
        return _notice(error)
    except MemoryError:
        return _notice(InputError("it needs far more memory than an activity", "leave it out"))
    except Exception as error:
        found = f"it could not be understood ({type(error).__name__})"
        return replace(_notice(InputError(found, "export the activity again")), code="unexpected")


def _notice(error: InputError) -> Notice:
    return unused("", "unreadable", error.found, error.remedy)
