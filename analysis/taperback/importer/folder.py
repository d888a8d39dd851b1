"""Everything in an athlete's folder, each file read once in its life."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, nullcontext
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.changed import sort_out
from taperback.importer.clocks import RightClock
from taperback.importer.file.one_file import Content
from taperback.importer.find import Found, find_files
from taperback.importer.history import FolderContents, unpack_all
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Count, Progress
from taperback.importer.readers.worker import Answer
from taperback.importer.readers.workers import Processes, Readers
from taperback.importer.store.codec import NotOursError
from taperback.importer.store.rows import ContentRow, JobRow, Kept
from taperback.importer.store.store import Store


def read_folder(
    folder: Path,
    home_zone: str,
    *,
    clocks: Iterable[RightClock] = (),
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> Imported:
    """All legs and nights of a folder, each activity once, as `read_files` finds them.

    Args:
        folder, workers, readers, progress: as `read_files` has them.
        home_zone: IANA zone used where neither file nor position tells the local clock.
        clocks: what puts files right that a wrong clock dated.

    Raises:
        InputError: there is no such folder, or it goes away meanwhile.
    """
    contents = read_files(folder, workers=workers, readers=readers, progress=progress)
    with _collector_paused():
        return contents.on_calendar(home_zone, clocks)


def read_files(
    folder: Path,
    *,
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> FolderContents:
    """What every file of a folder holds, before any of it has a local day.

    What was read is kept in the user's cache folder as it comes, so that a run that is stopped goes
    on where it was, and the next one reads only what is new. Nothing is written into the folder.

    Args:
        folder: one athlete's folder; activity files lie in it at any depth.
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
            now, settled = _read_all(found, kept, store, hands, progress)
            try:
                files = _unpacked(now)
            except NotOursError:  # somebody changed the rows
                now, _ = _read_all(found, store.start_anew(), store, hands, progress)
                files = _unpacked(now)
        if not folder.is_dir():
            reason = "the folder went away while it was read"
            raise InputError(reason, "bring it back and run again", str(folder))
        store.forget_all_but(now)
    finally:
        store.close()
    return FolderContents(files, [*notices, *store.notices], settled and not store.troubled)


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
) -> tuple[Kept, bool]:
    """(what the folder holds now, whether all of that was kept from before): the rest is read."""
    done, todo = sort_out(found, kept)
    contents = dict(kept.contents)
    batch = _Batch(store)
    count = Count(sum(job.members for job in todo), progress)
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
    return Kept({d: contents[d] for d in contents if d in wanted}, done), not todo


class _Batch:
    """Answers on their way into the store, written a second's worth at a time."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._rows: list[JobRow] = []
        self._contents: list[ContentRow] = []
        self._since = time.monotonic()

    def add(self, answer: Answer) -> None:
        # What could not be opened, say for want of a right, is tried again by every run.
        held = answer.contents or any(piece.digest for piece in answer.row.pieces)
        if held or answer.row.job.lost:
            self._rows.append(answer.row)
        self._contents += answer.contents
        if time.monotonic() - self._since > LIMITS.reading.write_every_s:
            self.write()

    def write(self) -> None:
        self._store.keep(self._rows, self._contents)
        self._rows, self._contents, self._since = [], [], time.monotonic()
