"""Which files have to be read: the others were read before and have not changed since.

One that cost its reader is tried again in a later run, since that may have died of something else;
one that did so again is reported from then on without being read, until it changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from taperback.common.limits import LIMITS
from taperback.importer.file.archives import count_members
from taperback.importer.file.one_file import Job
from taperback.importer.find import Found
from taperback.importer.store.rows import JobRow, Kept


def sort_out(found: list[Found], kept: Kept) -> tuple[dict[tuple[str, int], JobRow], list[Job]]:
    """(rows of what is unchanged by size and time, jobs for the rest)."""
    by_name: dict[str, list[JobRow]] = {}
    for row in kept.jobs.values():
        by_name.setdefault(row.job.name, []).append(row)
    most = LIMITS.reading.most_tries
    done: dict[tuple[str, int], JobRow] = {}
    todo: list[Job] = []
    for item in found:
        stamp = (item.size, item.mtime_ns)
        known = [
            row
            for row in by_name.get(item.name, ())
            if (row.job.size, row.job.mtime_ns) == stamp
            and all(piece.digest in kept.contents for piece in row.pieces if piece.digest)
        ]
        same = [row for row in known if not 0 < row.job.lost < most]
        done |= {(row.job.name, row.job.first): row for row in same}
        again = {row.job.first: row.job.lost for row in known if 0 < row.job.lost < most}
        if not same or sum(row.job.members for row in same) < same[0].job.of:
            spans = {(row.job.first, row.job.last) for row in same}
            todo += _jobs(item, spans, again)
    return done, todo


def _jobs(item: Found, spans: set[tuple[int, int]], again: dict[int, int]) -> Iterator[Job]:
    """One job for a file, several for a large archive; without the spans that were done.

    Each job reads the archive's directory, so they are few however many members there are.
    Members that cost a reader, `again`, get a job each that says how many.
    """
    packed = item.name.lower().endswith(".zip")
    number = count_members(Path(item.path)) if packed else 1
    limits = LIMITS.reading
    step = max(limits.members_a_job, -(-number // limits.most_jobs_an_archive))
    done = {at for first, last in spans for at in range(first, last)}
    edges = {*range(0, number, step), number} | {e for span in spans for e in span}
    edges |= {edge for at in again if at < number for edge in (at, at + 1)}
    for first, last in pairwise(sorted(edges)):
        if first not in done:
            lost = again.get(first, 0)
            yield Job(item.path, item.name, item.size, item.mtime_ns, first, last, number, lost)
