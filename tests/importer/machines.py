"""A cluster on loopback: a scheduler and its workers, each a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from distributed import Client

LONGEST_START_S = 60


class Machines:
    """The running processes.

    Attributes:
        address: where the scheduler listens.
        scheduler, workers: the processes.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._file = folder / "scheduler.json"
        self.workers: list[subprocess.Popen] = []
        self.scheduler = self._start("scheduler", "--port", "0")
        self.address = self._told_address()

    def add_workers(self, count: int, *words: str) -> None:
        """Starts workers and waits until the scheduler knows them."""
        mine = ("--local-directory", str(self._folder), "--nthreads", "1", *words)
        self.workers += [self._start("worker", *mine) for _ in range(count)]
        if not self.workers:
            return
        with Client(self.address, set_as_default=False) as client:
            client.wait_for_workers(len(self.workers), timeout=LONGEST_START_S)

    def _start(self, which: str, *words: str) -> subprocess.Popen:
        paths = os.pathsep.join(path for path in sys.path if path)
        place = ("--host", "127.0.0.1", "--no-dashboard", "--scheduler-file", str(self._file))
        return subprocess.Popen(
            [sys.executable, "-m", "dask", which, *place, *words],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=os.environ
            | {"PYTHONPATH": paths, "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1"},
        )

    def _told_address(self) -> str:
        end = time.monotonic() + LONGEST_START_S
        while time.monotonic() < end:
            try:
                return json.loads(self._file.read_text(encoding="utf-8"))["address"]
            except (OSError, ValueError):
                time.sleep(0.05)
        raise AssertionError("the scheduler did not start")

    def stop(self) -> None:
        """Ends everything, whatever it is doing."""
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()


@contextmanager
def machines(folder: Path, workers: int = 2, *words: str) -> Iterator[Machines]:
    """A scheduler with so many workers, which are gone afterwards."""
    folder.mkdir()
    them = Machines(folder)
    try:
        them.add_workers(workers, *(words or ("--no-nanny",)))
        yield them
    finally:
        them.stop()
