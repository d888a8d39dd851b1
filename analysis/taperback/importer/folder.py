"""Everything in an athlete's folder, each file read once in its life."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, nullcontext
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from taperback.errors import InputError
from taperback.importer.archives import count_members
from taperback.importer.found import Found, find_files
from taperback.importer.gather import gather, unpack_all
from taperback.importer.leg_columns import LEG_COLUMNS
from taperback.importer.model import Imported
from taperback.importer.reading import Content, Job
from taperback.importer.rows import ContentRow, JobRow, Kept
from taperback.importer.store import Store
from taperback.importer.worker import Answer
from taperback.importer.workers import Processes, Readers
from taperback.resources import shared_toml

_MOVING = LEG_COLUMNS.index("moving_s")


@dataclass(frozen=True)
class Progress:
    """How far an import has come.

    Attributes:
        files_done, files: activity files read in this run, and how many there are to read.
        training_h: hours of training in those read.
        seconds_left: what the rest will take if it goes on like this, NaN at the start.
    """

    files_done: int
    files: int
    training_h: float
    seconds_left: float = float("nan")


def read_folder(
    folder: Path,
    home_zone: str,
    *,
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> Imported:
    """All legs and nights of a folder, each activity once.

    What was read is kept in the folder's store as it comes, so that a run that is stopped goes on
    where it was, and the next one reads only what is new.

    Args:
        folder: one athlete's folder; activity files lie in it at any depth.
        home_zone: IANA zone used where neither file nor position tells the local clock.
        workers: processes to read with; by default one a core.
        readers: who reads instead of such processes, and stays open.
        progress: called after each file that had to be read.

    Raises:
        InputError: there is no such folder, or it goes away meanwhile.
    """
    found, notices = find_files(folder)
    store = Store(folder)
    try:
        with _collector_paused():
            kept = store.load()
        with nullcontext(readers) if readers else Processes(workers) as hands:
            now = _read_all(found, kept, store, hands, progress)
            try:
                files = _unpacked(now)
            except (ValueError, TypeError, LookupError):  # somebody changed the rows
                now = _read_all(found, store.start_anew(), store, hands, progress)
                files = _unpacked(now)
        if not folder.is_dir():
            reason = "the folder went away while it was read"
            raise InputError(reason, "bring it back and run again", str(folder))
        store.forget_all_but(now)
    finally:
        store.close()
    with _collector_paused():
        return gather(files, [*notices, *store.notices], home_zone)


def _unpacked(now: Kept) -> list[tuple[str, Content]]:
    with _collector_paused():
        return unpack_all(now)


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Python's collector at rest while a history's rows are made, none of which is garbage.

    It would walk all of them again and again: a quarter of a run that finds nothing new.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read_all(
    found: list[Found],
    kept: Kept,
    store: Store,
    readers: Readers,
    progress: Callable[[Progress], None] | None,
) -> Kept:
    """What the folder holds now: kept from before where unchanged, else read."""
    done, todo = _sort_out(found, kept)
    contents = dict(kept.contents)
    batch = _Batch(store)
    count = _Count(sum(job.last - job.first for job in todo), progress)
    try:
        with closing(readers.answers(todo, frozenset(contents))) as answers:
            for answer in answers:
                done[answer.row.job.name, answer.row.job.first] = answer.row
                contents.update((content.digest, content) for content in answer.contents)
                batch.add(answer)
                count.add(answer)
    finally:
        batch.write()  # also when a person stops the run
    wanted = {piece.digest for row in done.values() for piece in row.pieces}
    return Kept({d: contents[d] for d in contents if d in wanted}, done)


def _sort_out(found: list[Found], kept: Kept) -> tuple[dict[tuple[str, int], JobRow], list[Job]]:
    """(rows of what is unchanged by size and time, jobs for the rest)."""
    by_name: dict[str, list[JobRow]] = {}
    for row in kept.jobs.values():
        by_name.setdefault(row.job.name, []).append(row)
    done: dict[tuple[str, int], JobRow] = {}
    todo: list[Job] = []
    for item in found:
        same = [row for row in by_name.get(item.name, ()) if _is_same(row, item, kept)]
        done |= {(row.job.name, row.job.first): row for row in same}
        if not same or sum(row.job.last - row.job.first for row in same) < same[0].job.of:
            spans = {(row.job.first, row.job.last) for row in same}
            todo += _jobs(item, spans)
    return done, todo


def _is_same(row: JobRow, item: Found, kept: Kept) -> bool:
    unchanged = (row.job.size, row.job.mtime_ns) == (item.size, item.mtime_ns)
    return unchanged and all(p.digest in kept.contents for p in row.pieces if p.digest)


def _jobs(item: Found, spans: set[tuple[int, int]]) -> Iterator[Job]:
    """One job for a file, several for a large archive; without the spans that were done."""
    packed = item.name.lower().endswith(".zip")
    number = count_members(Path(item.path)) if packed else 1
    step = shared_toml("limits.toml")["reading"]["members_a_job"]
    done = {at for first, last in spans for at in range(first, last)}
    edges = sorted({*range(0, number, step), number} | {e for span in spans for e in span})
    for first, last in pairwise(edges):
        if first not in done:
            yield Job(item.path, item.name, item.size, item.mtime_ns, first, last, number)


class _Batch:
    """Answers on their way into the store, written a second's worth at a time."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._rows: list[JobRow] = []
        self._contents: list[ContentRow] = []
        self._since = time.monotonic()

    def add(self, answer: Answer) -> None:
        lost = not answer.contents and not any(piece.digest for piece in answer.row.pieces)
        if not lost:
            self._rows.append(answer.row)
        self._contents += answer.contents
        if time.monotonic() - self._since > shared_toml("limits.toml")["reading"]["write_every_s"]:
            self.write()

    def write(self) -> None:
        self._store.keep(self._rows, self._contents)
        self._rows, self._contents, self._since = [], [], time.monotonic()


class _Count:
    """How far the run has come, told to whoever asked."""

    def __init__(self, files: int, tell: Callable[[Progress], None] | None) -> None:
        self._files = files
        self._tell = tell
        self._done = 0
        self._training_s = 0.0
        self._start = time.monotonic()

    def add(self, answer: Answer) -> None:
        self._done += answer.row.job.last - answer.row.job.first
        self._training_s += _training_s(answer.contents)
        if self._tell is not None:
            spent = time.monotonic() - self._start
            left = spent / self._done * (self._files - self._done)
            self._tell(Progress(self._done, self._files, self._training_s / 3600, left))


def _training_s(contents: Iterable[ContentRow]) -> float:
    return sum(leg[_MOVING] or 0.0 for content in contents for leg in content.legs)
