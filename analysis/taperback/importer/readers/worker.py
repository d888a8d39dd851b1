"""A process that reads files for another: jobs come in on its input, rows go out on its output.

It is started afresh and not as a copy of its parent, so that threads and open files of the parent
cannot harm it.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Container, Iterable
from dataclasses import replace
from typing import NamedTuple

from taperback.common.files.bounded import bound_memory
from taperback.common.limits import LIMITS
from taperback.importer.file.one_file import Content, Job, read_job
from taperback.importer.store.codec import pack, pack_rows
from taperback.importer.store.rows import ContentRow, JobRow, PieceRow


class Answer(NamedTuple):
    """What came of one job: its row, the contents that were not known before, and the training in
    those [s]."""

    row: JobRow
    contents: tuple[ContentRow, ...]
    training_s: float = 0.0


def do_job(job: Job, known: Container[str]) -> Answer:
    """Reads the job's files; contents whose digest is known are left out."""
    pieces = read_job(job, known)
    rows = tuple(PieceRow(p.name, p.digest, p.remarks) for p in pieces)
    contents = {p.digest: p.content for p in pieces if p.content is not None}.values()
    row = JobRow(replace(job, lost=0), rows)
    return Answer(row, tuple(map(pack, contents)), training_s(contents))


def training_s(contents: Iterable[Content]) -> float:
    """Seconds of training in contents, as far as they are known."""
    moving_s = [leg.moving_s for content in contents for leg in content.legs]
    return sum(seconds for seconds in moving_s if seconds == seconds)


def do_afar(job: Job, known: frozenset[str]) -> bytes:
    """What a worker of a cluster answers: the contents that were not known, in plain bytes."""
    return pack_rows(do_job(job, known).contents)


def main() -> None:
    """Does jobs until the input ends, which it also does when the parent dies.

    A set on the input tells which contents are known from then on.
    """
    jobs, answers = sys.stdin.buffer, os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # a library that prints must not garble
    bound_memory(LIMITS.reading.most_memory_bytes)
    try:
        # Only our own parent writes here, so that unpickling is safe.
        known: frozenset[str] = frozenset()
        while True:
            question = pickle.load(jobs)  # noqa: S301
            if isinstance(question, frozenset):
                known, answer = question, None
            else:
                answer = do_job(question, known)
            pickle.dump(answer, answers, protocol=5)
            answers.flush()
    except (EOFError, BrokenPipeError):
        return
