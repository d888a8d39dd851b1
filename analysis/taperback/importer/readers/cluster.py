"""Files read by the workers of a cluster that is there already; each file is one pure task."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Generator, Iterable
from concurrent.futures import CancelledError
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from taperback.common.errors import InputError, UsageError
from taperback.importer.file.one_file import Job
from taperback.importer.readers.worker import Answer, do_job
from taperback.importer.readers.workers import Processes, longest_s
from taperback.importer.store.made_of import made_of

_CONNECT_S = 15
_LOOK_S = 2.0
_IN_FLIGHT = 8
"""Tasks on their way for each thread of the cluster, so that none waits for the next one."""


class Cluster:
    """Readers behind the address of a Dask scheduler.

    Whatever happens to the cluster costs time and no file: a task whose worker dies is done by
    another one, and what the cluster did not answer is read here, where a file that kills or
    holds up its reader costs that file only.
    """

    def __init__(self, address: str) -> None:
        """Connects to the scheduler and asks all its workers whether they read as we do.

        Raises:
            UsageError: the cluster cannot be used; the message says what to do.
        """
        try:
            from distributed import Client
        except ImportError:
            raise UsageError(
                "--scheduler needs Dask, which is not installed here; "
                "install Taperback with its extra 'cluster'"
            ) from None
        try:
            self._client: Any = Client(address, timeout=_CONNECT_S, set_as_default=False)
        except (OSError, ValueError, TimeoutError):
            raise UsageError(
                f"no Dask scheduler answers at {address}; "
                "start one, or name the address that it prints, such as tcp://127.0.0.1:8786"
            ) from None
        try:
            self._check_workers(address)
        except BaseException:
            self.close()
            raise

    def _check_workers(self, address: str) -> None:
        told = self._client.run(_says, on_error="return")
        if not told:
            raise UsageError(f"the scheduler at {address} has no worker; start at least one")
        for worker, says in sorted(told.items()):
            if says != made_of():
                raise UsageError(
                    f"the worker {worker} has another Taperback, or none; "
                    "install there what is installed here"
                )

    def answers(self, jobs: Iterable[Job], known: frozenset[str]) -> Generator[Answer, None, None]:
        """Answers in the order they come; every job gets exactly one, or its members one each.

        Raises:
            InputError: a worker does not see the folder.
        """
        by_size = sorted(jobs, key=lambda job: -job.size)
        if not by_size:
            return
        todo = deque(job for job in by_size if not job.lost)
        # What cost its reader once may do no harm to the cluster's workers.
        unanswered = [job for job in by_size if job.lost]
        flying: dict[Any, Job] = {}
        with suppress(OSError, CancelledError):  # the cluster has gone
            self._check_sight(by_size[0])
            # A task and not data handed over, so that it can be made anew when its worker dies.
            there = self._client.submit(frozenset, sorted(known))
            most = _IN_FLIGHT * max(sum(self._client.nthreads().values()), 1)
            while todo or flying:
                while todo and len(flying) < most:
                    job = todo.popleft()
                    flying[self._send(job, there)] = job
                for future in self._landed(flying):
                    try:
                        answer = self._answer(future, flying[future])
                    except _NotYetError:
                        continue
                    job = flying.pop(future)
                    if answer is None:
                        unanswered.append(job)
                    else:
                        yield answer
        unanswered += (*flying.values(), *todo)
        if unanswered:
            with Processes(at_once=True) as here:
                yield from here.answers(unanswered, known)

    def _check_sight(self, job: Job) -> None:
        path = str(Path(job.path).resolve())
        for worker, sees in sorted(self._client.run(_sees, path).items()):
            if not sees:
                raise InputError(
                    f"the worker {worker} does not see it",
                    "every worker of the cluster needs the folder at the same path",
                    job.name,
                )

    def _send(self, job: Job, known: Any) -> Any:
        there = replace(job, path=str(Path(job.path).resolve()))
        return self._client.submit(do_job, there, known, pure=True, retries=1)

    def _landed(self, flying: dict[Any, Job]) -> list[Any]:
        """Futures that have come to an end.

        Raises:
            OSError: none did for longer than any file may take.
        """
        from distributed import wait

        end = time.monotonic() + longest_s(max(job.members for job in flying.values()))
        while time.monotonic() < end:
            try:
                with self._client.as_current():
                    landed = wait(list(flying), _LOOK_S, return_when="FIRST_COMPLETED").done
                return list(landed)
            except TimeoutError:
                self._check_life()
        self._client.cancel(list(flying), force=True)
        raise OSError("the workers are held up")

    def _answer(self, future: Any, job: Job) -> Answer | None:
        """What came of a task, told of our own path; None when its workers died.

        Raises:
            _NotYetError: whoever held the answer died, and it is made anew.
        """
        if future.status in ("error", "cancelled"):
            return None
        try:
            answer: Answer = future.result(timeout=_LOOK_S)
        except TimeoutError:
            self._check_life()
            raise _NotYetError from None
        except CancelledError:
            return None
        return answer._replace(row=answer.row._replace(job=job))

    def _check_life(self) -> None:
        if not self._client.nthreads():
            raise OSError("no worker is left")

    def close(self) -> None:
        """Leaves the cluster, which goes on without us."""
        self._client.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()


class _NotYetError(Exception):
    """An answer that is still to come."""


def _says() -> str:
    """What decides how this worker reads."""
    return made_of()


def _sees(path: str) -> bool:
    """Whether this worker can reach a file."""
    return Path(path).exists()
