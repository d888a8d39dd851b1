"""How far a long run is, for whoever watches a terminal; nothing where nobody does."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from taperback.importer.readers.progress import Progress
    from taperback.squad.review import SquadProgress


@contextmanager
def reading_bar() -> Iterator[Callable[[Progress], None] | None]:
    """What to call with each step of an import, or None where the error stream is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from taperback.cli.bars import bar_of

    with bar_of("reading", "files, {task.fields[hours]:,.0f} h of training") as bar:
        task = bar.add_task("reading", total=None, hours=0.0)

        def step(progress: Progress) -> None:
            done, total = progress.files_done, progress.files
            bar.update(task, completed=done, total=total, hours=progress.training_h)

        yield step


@contextmanager
def squad_bar() -> Iterator[Callable[[SquadProgress], None] | None]:
    """What to call with each athlete of a squad, or None where the error stream is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from taperback.cli.bars import bar_of

    with bar_of("{task.description}", "athletes") as bar:
        reading = bar.add_task("reading", total=None)
        reviewing = bar.add_task("reviewing", total=None)

        def step(progress: SquadProgress) -> None:
            bar.update(reading, completed=progress.read, total=progress.athletes)
            bar.update(reviewing, completed=progress.reviewed, total=progress.athletes)

        yield step
