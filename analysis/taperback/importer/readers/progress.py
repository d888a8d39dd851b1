"""How far an import has come, for whoever watches it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from taperback.importer.readers.worker import Answer
from taperback.importer.store.columns import LEG_COLUMNS
from taperback.importer.store.rows import ContentRow

_MOVING = LEG_COLUMNS.index("moving_s")


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
    """How far the run has come, told to whoever asked."""

    def __init__(self, files: int, tell: Callable[[Progress], None] | None) -> None:
        self._files = files
        self._tell = tell
        self._done = 0
        self._training_s = 0.0

    def add(self, answer: Answer) -> None:
        """Counts what came, and tells it."""
        self._done += answer.row.job.members
        self._training_s += _training_s(answer.contents)
        if self._tell is not None:
            self._tell(Progress(self._done, self._files, self._training_s / 3600))


def _training_s(contents: Iterable[ContentRow]) -> float:
    return sum(leg[_MOVING] or 0.0 for content in contents for leg in content.legs)
