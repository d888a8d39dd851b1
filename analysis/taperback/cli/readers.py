"""Who reads the files of a command: processes of this machine, or workers behind a scheduler."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from taperback.cli.tell import tell
from taperback.importer.readers.workers import Readers


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
