"""What a cluster's worker answers, believed as far as a look at the file here bears it out."""

from __future__ import annotations

from taperback.importer.file.one_file import Job
from taperback.importer.readers.worker import Answer, do_job, training_s
from taperback.importer.store.codec import NotOursError, unpack, unpack_rows


class _Everything:
    def __contains__(self, digest: object) -> bool:
        return True


def believed(packed: object, job: Job, known: frozenset[str]) -> Answer:
    """The answer to a job, made of what a worker sent and of what is seen here.

    Which files there are, and the digest of each, is seen here: unpacking and hashing cost little
    beside reading. Of the worker are the contents of exactly these digests, each of the types and
    within the bounds of `LegSummary`. Whether its numbers are right cannot be seen without reading
    the file again.

    Raises:
        NotOursError: it does not fit the job; the words say what is wrong.
    """
    row = do_job(job, _Everything()).row
    rows = {content.digest: content for content in unpack_rows(packed)}
    wanted = {piece.digest for piece in row.pieces if piece.digest} - known
    if rows.keys() - wanted:
        raise NotOursError("rows of another file")
    if wanted - rows.keys():
        raise NotOursError("rows are missing")
    try:
        contents = unpack((job.name, content) for content in rows.values())
    except NotOursError:
        raise NotOursError("values that no activity has") from None
    return Answer(row, tuple(rows.values()), training_s(contents))
