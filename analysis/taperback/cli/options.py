"""The options that several commands share, and the readers behind a scheduler's address."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import Annotated

import typer

from taperback.cli.tell import tell
from taperback.importer.readers.workers import Readers


class Outcome(StrEnum):
    """What race weeks are related to."""

    RESULT = "result"
    RPE = "rpe"


Replace = Annotated[
    bool, typer.Option("--replace", help="Write over files that Taperback did not write.")
]
Workers = Annotated[
    int | None, typer.Option(min=1, help="Number of processes; one per core by default.")
]
Scheduler = Annotated[
    str | None,
    typer.Option(help="Address of a Dask scheduler whose workers read the files instead."),
]


@contextmanager
def readers_at(scheduler: str | None) -> Iterator[Readers | None]:
    """The readers behind a scheduler's address, or None where none was named."""
    if scheduler is None:
        yield None
        return
    from taperback.importer.readers.cluster import Cluster

    with Cluster(scheduler) as cluster:
        yield cluster
        for notice in cluster.notices:
            tell(str(notice), error=True)
