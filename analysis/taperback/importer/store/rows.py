"""What is kept of a folder, and what processes hand each other: names, numbers and packed bytes."""

from __future__ import annotations

from typing import NamedTuple

from taperback.common.notices import Notice
from taperback.importer.file.one_file import Job


class ContentRow(NamedTuple):
    """A `Content` packed by `codec.pack`; `digest` is that of the activity file's bytes."""

    digest: str
    packed: bytes


class PieceRow(NamedTuple):
    """One activity file and where it was found; digest empty where it was refused."""

    name: str
    digest: str
    remarks: tuple[Notice, ...]


class JobRow(NamedTuple):
    """What came of one job."""

    job: Job
    pieces: tuple[PieceRow, ...]


class Kept(NamedTuple):
    """What is known of a folder: contents by digest, and jobs by (name, first member)."""

    contents: dict[str, ContentRow]
    jobs: dict[tuple[str, int], JobRow]
