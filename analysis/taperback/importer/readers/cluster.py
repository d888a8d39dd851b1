"""Files read by the workers of a cluster that is there already; each file is one pure task."""

from __future__ import annotations

import logging
import os
import time
from collections import deque
from collections.abc import Generator, Iterable
from concurrent.futures import CancelledError
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from taperback.common.errors import InputError, UsageError
from taperback.common.notices import Notice, unused
from taperback.common.wording import count
from taperback.importer.file.one_file import Job
from taperback.importer.readers.believed import believed
from taperback.importer.readers.worker import Answer, do_afar
from taperback.importer.readers.workers import Processes, longest_s
from taperback.importer.store.codec import NotOursError
from taperback.importer.store.made_of import made_of

_PLAIN = ["msgpack", "error"]
"""The ways of Dask to read an answer that cannot run code."""
_CONNECT_S = 15
_LOOK_S = 2.0
_IN_FLIGHT = 8
"""Tasks on their way for each thread of the cluster, so that none waits for the next one."""


class Cluster:
    """Readers behind the address of a Dask scheduler.

    Whatever happens to the cluster costs time and no file: a task whose worker dies is done by
    another one, and what the cluster did not answer is read here, where a file that kills or
    holds up its reader costs that file only. So is what it answered in a way that cannot be right;
    `notices` tells of that.

    Answers are plain bytes, in which no code can be. Dask itself, however, unpickles what a
    scheduler says beside them (a task's error, say), so that one has to be trusted as far as
    anybody who may run programs here.
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
            # Dask logs nothing to the user's terminal, tracebacks of what it met least of all.
            for name in ("distributed", "distributed.client"):
                logging.getLogger(name).setLevel(logging.CRITICAL + 1)
            self._client: Any = Client(
                address, timeout=_CONNECT_S, set_as_default=False, deserializers=_PLAIN
            )
        except (OSError, ValueError, TimeoutError):
            raise UsageError(
                f"no Dask scheduler answers at {address}; "
                "start one, or name the address that it prints, such as tcp://127.0.0.1:8786"
            ) from None
        self._doubts: dict[str, str] = {}
        try:
            self._check_workers(address)
        except UsageError:
            self.close()
            raise
        except BaseException as error:
            self.close()
            if not isinstance(error, Exception):
                raise
            raise UsageError(
                f"the scheduler at {address} does not answer as Dask does; look at its own log"
            ) from None

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What was odd about the cluster's answers, in one line; empty where nothing was."""
        if not self._doubts:
            return ()
        (name, reason), more = next(iter(self._doubts.items())), len(self._doubts) - 1
        others = f" and about {count(more, 'other')}" if more else ""
        found = f"what the cluster answered about it{others} cannot be right ({reason})"
        remedy = f"this machine read {'them' if more else 'it'}; look at the workers"
        return (unused(name, "cluster", found, remedy),)

    def _check_workers(self, address: str) -> None:
        answers = self._client.run(_says, on_error="return")
        if not answers:
            raise UsageError(f"the scheduler at {address} has no worker; start at least one")
        for worker, says in sorted(answers.items()):
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
        try:
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
                        answer = self._answer(future, flying[future], known)
                    except _NotYetError:
                        continue
                    job = flying.pop(future)
                    if answer is None:
                        unanswered.append(job)
                    else:
                        yield answer
        except (OSError, CancelledError):  # the cluster has gone
            pass
        except InputError:
            raise
        except Exception:  # whatever a strange scheduler leads its client to raise
            self._doubts[by_size[0].name] = "no answer of Dask"
        unanswered += (*flying.values(), *todo)
        if unanswered:
            with Processes(at_once=True) as here:
                yield from here.answers(unanswered, known)

    def _check_sight(self, job: Job) -> None:
        path = str(Path(job.path).resolve())
        seen = self._client.run(os.path.exists, path, on_error="return")
        for worker, sees in sorted(seen.items()):
            if sees is not True:
                raise InputError(
                    f"the worker {worker} does not see it",
                    "every worker of the cluster needs the folder at the same path",
                    job.name,
                )

    def _send(self, job: Job, known: Any) -> Any:
        there = replace(job, path=str(Path(job.path).resolve()))
        return self._client.submit(do_afar, there, known, pure=True, retries=1)

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

    def _answer(self, future: Any, job: Job, known: frozenset[str]) -> Answer | None:
        """What came of a task; None when its workers died, or answered what cannot be right.

        Raises:
            _NotYetError: whoever held the answer died, and it is made anew.
        """
        if future.status in ("error", "cancelled"):
            return None
        try:
            return believed(future.result(timeout=_LOOK_S), job, known)
        except TimeoutError:
            self._check_life()
            raise _NotYetError from None
        except CancelledError:
            return None
        except NotOursError as error:
            self._doubts[job.name] = str(error)
        except OSError:
            raise
        except Exception:  # whatever else it is that a worker sent
            self._doubts[job.name] = "no plain values"
        return None

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
