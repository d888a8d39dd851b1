"""How far an import has come, for whoever watches it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from taperback.importer.readers.worker import Answer


@dataclass(frozen=True)
class Progress:
    """How far an import has come.

    Attributes:
        files_done, files: activity files read in this run, and how many there are to read.
        training_h: hours of training in those read.
    """

    files_done: int
    files: int
    training_h: float


class Count:
    """How far the run has come, for whoever asked."""

    def __init__(self, files: int, tell: Callable[[Progress], None] | None) -> None:
        self._files = files
        self._tell = tell
        self._done = 0
        self._training_s = 0.0

    def add(self, answer: Answer) -> None:
        """Counts what came, and tells it."""
        self._done += answer.row.job.members
        self._training_s += answer.training_s
        if self._tell is not None:
            self._tell(Progress(self._done, self._files, self._training_s / 3600))
