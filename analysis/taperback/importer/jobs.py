"""Which files have to be read: the others were read before and have not changed since."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from taperback.importer.archives import count_members
from taperback.importer.found import Found
from taperback.importer.reading import Job
from taperback.importer.rows import JobRow, Kept
from taperback.resources import shared_toml


def sort_out(found: list[Found], kept: Kept) -> tuple[dict[tuple[str, int], JobRow], list[Job]]:
    """(rows of what is unchanged by size and time, jobs for the rest)."""
    by_name: dict[str, list[JobRow]] = {}
    for row in kept.jobs.values():
        by_name.setdefault(row.job.name, []).append(row)
    done: dict[tuple[str, int], JobRow] = {}
    todo: list[Job] = []
    for item in found:
        same = [row for row in by_name.get(item.name, ()) if _is_same(row, item, kept)]
        done |= {(row.job.name, row.job.first): row for row in same}
        if not same or sum(row.job.members for row in same) < same[0].job.of:
            spans = {(row.job.first, row.job.last) for row in same}
            todo += _jobs(item, spans)
    return done, todo


def _is_same(row: JobRow, item: Found, kept: Kept) -> bool:
    unchanged = (row.job.size, row.job.mtime_ns) == (item.size, item.mtime_ns)
    return unchanged and all(p.digest in kept.contents for p in row.pieces if p.digest)


def _jobs(item: Found, spans: set[tuple[int, int]]) -> Iterator[Job]:
    """One job for a file, several for a large archive; without the spans that were done."""
    packed = item.name.lower().endswith(".zip")
    number = count_members(Path(item.path)) if packed else 1
    step = shared_toml("limits.toml")["reading"]["members_a_job"]
    done = {at for first, last in spans for at in range(first, last)}
    edges = sorted({*range(0, number, step), number} | {e for span in spans for e in span})
    for first, last in pairwise(edges):
        if first not in done:
            yield Job(item.path, item.name, item.size, item.mtime_ns, first, last, number)
