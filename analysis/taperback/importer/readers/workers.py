"""Files read by several processes at once, one of which may die without harm to the others."""

from __future__ import annotations

import os
import pickle
import queue
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Generator, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, Protocol, Self

from taperback.common.files.safe_path import safe_environment
from taperback.common.limits import LIMITS
from taperback.importer.file.archives import is_small
from taperback.importer.file.one_file import Job, refused
from taperback.importer.readers.worker import Answer, do_job
from taperback.importer.store.rows import JobRow, PieceRow

_RUN = "from taperback.importer.readers.worker import main; main()"
_LOOK_S = 0.5
_DIED = (EOFError, OSError, pickle.UnpicklingError)


class Readers(Protocol):
    """Whoever reads files: this process, several, or a cluster. The answers are the same."""

    def answers(self, jobs: Iterable[Job], known: frozenset[str]) -> Generator[Answer, None, None]:
        """Answers in the order they come; every job gets exactly one, or its members one each.

        Args:
            jobs: what to read.
            known: digests of contents that need not be read.
        """


class Processes:
    """Readers on this machine; usable for one folder after another, until it is closed.

    Small files are read right here, since a process takes longer to start, until enough of
    them have come together. Whatever may do its reader harm is read by a process, which is bounded
    in time and memory; it starts while the others are read.
    """

    def __init__(self, workers: int | None = None, *, at_once: bool = False) -> None:
        self._number = workers or cores()
        self._at_once = at_once
        self._crew: _Crew | None = None
        self._bytes = 0

    def answers(self, jobs: Iterable[Job], known: frozenset[str]) -> Generator[Answer, None, None]:
        """As `Readers` has it."""
        todo, limits = list(jobs), LIMITS.reading
        self._bytes += sum(job.size for job in todo)
        few = self._crew is None and self._bytes < limits.fewest_bytes_for_workers
        here: list[Job] = []
        there: list[Job] = []
        for job in todo:
            # One that is small and cost no reader so far can be done without bounds.
            small = few and not self._at_once and job.size <= limits.most_bytes_here
            harmless = small and not job.lost and is_small(Path(job.path), limits.most_bytes_here)
            (here if harmless else there).append(job)
        whole = not there
        try:
            if there:
                self._crew = self._crew or _Crew(self._number)
                self._crew.begin(there, known)
            yield from (do_job(job, known) for job in here)
            if there and self._crew is not None:
                yield from self._crew.answers()
            whole = True
        finally:
            if not whole:
                self.close()

    def close(self) -> None:
        """Ends the processes."""
        if self._crew is not None:
            self._crew.dismiss()
            self._crew = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()


def cores() -> int:
    """How many processes may run at once on this machine."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def longest_s(members: int) -> float:
    """How long reading so many files of one job may take before their reader is held up [s]."""
    limits = LIMITS.reading
    return limits.longest_s + (members - 1) * limits.longest_s_a_member


class _Crew:
    """Processes and the threads that talk to them, one each."""

    def __init__(self, number: int) -> None:
        self.known: frozenset[str] = frozenset()
        self._todo: deque[Job] = deque()
        self._open = 0
        self._done: queue.SimpleQueue[Answer | list[Job] | BaseException] = queue.SimpleQueue()
        self._lock = threading.Condition()
        self._dismissed = False
        self._number = number
        self._hands: list[_Hand] = []

    def begin(self, jobs: list[Job], known: frozenset[str]) -> None:
        """Starts on these jobs, with no more processes than there are any for; nobody may begin
        again before the last answer has come."""
        with self._lock:
            self.known = known
            self._open = len(jobs)
            self._todo.extend(sorted(jobs, key=lambda job: -job.size))
            self._lock.notify_all()
        for place in range(len(self._hands), min(self._number, len(jobs))):
            self._hands.append(_Hand(self, place))

    def answers(self) -> Iterator[Answer]:
        """The answer to each job."""
        while self._open:
            try:
                item = self._done.get(timeout=_LOOK_S)
            except queue.Empty:
                for hand in self._hands:
                    hand.stop_if_late()
                continue
            if isinstance(item, BaseException):
                raise item
            if isinstance(item, list):
                # The members of a job that killed its worker, to be tried one by one.
                with self._lock:
                    self._open += len(item) - 1
                    self._todo.extend(item)
                    self._lock.notify_all()
            else:
                self._open -= 1
                yield item

    def next_job(self) -> Job | None:
        """The next job, waiting until there is one; None once the crew is dismissed."""
        with self._lock:
            while not self._todo and not self._dismissed:
                self._lock.wait()
            return None if self._dismissed else self._todo.popleft()

    def dismiss(self) -> None:
        with self._lock:
            self._dismissed = True
            self._lock.notify_all()
        for hand in self._hands:
            hand.stop()

    def report(self, item: Answer | list[Job] | BaseException) -> None:
        self._done.put(item)


class _Hand:
    """One worker process, started anew whenever it dies, and the thread that feeds it."""

    def __init__(self, crew: _Crew, place: int) -> None:
        self._crew = crew
        self._process: _Process | None = None
        self._told: frozenset[str] | None = None
        self._clock = threading.Lock()
        self._due = float("inf")
        self._late = False
        self._thread = threading.Thread(target=self._work, name=f"reader-{place}", daemon=True)
        self._thread.start()

    def _work(self) -> None:
        try:
            while (job := self._crew.next_job()) is not None:
                self._crew.report(self._ask(job))
        except BaseException as error:
            self._crew.report(error)
        finally:
            self.stop()

    def _ask(self, job: Job) -> Answer | list[Job]:
        """What came of the job; its members one by one, where it killed the worker."""
        if self._process is None:
            self._process, self._told = _started(), None
        if self._process is None:  # no processes to be had
            return _lost(job, late=False) if job.lost else do_job(job, self._crew.known)
        self._set_clock(longest_s(job.members))
        try:
            if self._told is not self._crew.known:
                self._process.ask(self._crew.known)
                self._told = self._crew.known
            answer: Answer | None = self._process.ask(job)
        except _DIED:
            answer = None
        late = self._set_clock(float("inf"))
        if answer is None or late:
            self.stop()
        if answer is not None:
            return answer
        if job.members > 1:
            return job.split()
        return _lost(replace(job, lost=job.lost + 1), late=late)

    def _set_clock(self, seconds: float) -> bool:
        """Gives the next job so long [s]; whether the one before it was stopped for being late."""
        with self._clock:
            self._due = time.monotonic() + seconds
            late, self._late = self._late, False
        return late

    def stop_if_late(self) -> None:
        """Kills the process that is over its time; under one lock, so never at its next job."""
        with self._clock:
            process = self._process
            if process is not None and time.monotonic() > self._due:
                self._late = True
                process.kill()

    def stop(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.close()


def _lost(job: Job, *, late: bool) -> Answer:
    """The answer for a file that killed its reader."""
    found = "reading it took too long" if late else "reading it stopped the reader"
    piece = refused(job.name, found, "export it again, or leave it out")
    return Answer(JobRow(job, (PieceRow(piece.name, "", piece.remarks),)), ())


class _Process:
    """A worker and the two pipes to it. What comes back was pickled by our own code."""

    def __init__(self) -> None:
        self._popen = subprocess.Popen(  # noqa: S603
            [sys.executable, "-c", _RUN],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=safe_environment() | {"OMP_NUM_THREADS": "1"},
            start_new_session=True,  # Ctrl-C is for the parent, which then ends its workers
        )

    def ask(self, question: object) -> Any:
        if self._popen.stdin is None or self._popen.stdout is None:
            raise EOFError
        pickle.dump(question, self._popen.stdin, protocol=5)
        self._popen.stdin.flush()
        return pickle.load(self._popen.stdout)  # noqa: S301

    def kill(self) -> None:
        self._popen.kill()

    def close(self) -> None:
        self._popen.kill()
        self._popen.wait()
        for pipe in (self._popen.stdin, self._popen.stdout):
            with suppress(OSError):
                if pipe is not None:
                    pipe.close()


def _started() -> _Process | None:
    """A worker that has answered once, or None where this machine cannot start one."""
    try:
        process = _Process()
    except OSError:
        return None
    try:
        process.ask(frozenset())
    except _DIED:
        process.close()
        return None
    return process
