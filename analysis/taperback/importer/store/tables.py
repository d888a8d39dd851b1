"""The store's two tables: how rows go into SQLite and come back.

A store is opened only if it can be ours: a plain file with a rollback journal at most, the two
tables and nothing else, no larger than a lifetime of activities. What is in it is bounded while it
is read.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec

from taperback.common.limits import LIMITS
from taperback.importer.file.one_file import Job
from taperback.importer.store.checks import check_remarks
from taperback.importer.store.codec import NotOursError, encode, framed, unframed
from taperback.importer.store.rows import ContentRow, JobRow, Kept, PieceRow

_SCHEMA = (
    "CREATE TABLE jobs (name TEXT NOT NULL, first INTEGER NOT NULL, packed BLOB NOT NULL, "
    "PRIMARY KEY (name, first)) WITHOUT ROWID",
    "CREATE TABLE contents (digest TEXT NOT NULL PRIMARY KEY, packed BLOB NOT NULL) WITHOUT ROWID",
)
_HEAD = b"SQLite format 3\0"
_ROLLBACK = b"\1\1"
"""Bytes 18 and 19 of a database that keeps a rollback journal (SQLite file format, 1.3.3)."""
_SUPER_JOURNAL = bytes.fromhex("d9d505f920a163d7")
"""Ends a rollback journal that names another file, which SQLite would delete (file format, 3)."""
_STEPS_A_LOOK = 100_000
_JOB = msgspec.msgpack.Decoder(tuple[Job, tuple[PieceRow, ...]])


def connect(path: Path, busy_s: float) -> sqlite3.Connection:
    """The store in that file, made where there is none, waiting so long [s] for another run.

    Raises:
        NotOursError: it cannot be ours.
        sqlite3.Error, OSError: it cannot be opened.
    """
    _expect_ours(path)
    # Made beforehand, so that it is nobody else's to read; SQLite gives its journal the same mode.
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    db = sqlite3.connect(path, timeout=busy_s)
    try:
        db.execute("PRAGMA trusted_schema = OFF")
        db.execute("PRAGMA synchronous = NORMAL")
        most = LIMITS.store.most_bytes_a_row
        db.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, most)
        _expect_schema(db)
    except BaseException:
        db.close()
        raise
    return db


def remove(path: Path) -> None:
    """Takes the store away, and whatever lies beside it in its name.

    Raises:
        OSError: it cannot be taken away.
    """
    for end in ("", "-journal", "-wal", "-shm"):
        path.with_name(path.name + end).unlink(missing_ok=True)


def _expect_ours(path: Path) -> None:
    for end in ("", "-journal", "-wal", "-shm"):
        side = path.with_name(path.name + end)
        with suppress(FileNotFoundError):
            about = side.lstat()
            if not stat.S_ISREG(about.st_mode) or end in ("-wal", "-shm"):
                raise NotOursError(f"{side.name} was not made by us")
            if about.st_size > LIMITS.store.most_bytes:
                raise NotOursError(f"{side.name} is too large")
    head, _ = _ends(path, 20)
    if head and (head[:16] != _HEAD or head[18:20] != _ROLLBACK):
        raise NotOursError("no database of ours")
    _, tail = _ends(path.with_name(path.name + "-journal"), len(_SUPER_JOURNAL))
    if tail == _SUPER_JOURNAL:
        raise NotOursError("its journal names another file")


def _ends(path: Path, size: int) -> tuple[bytes, bytes]:
    """The first and the last bytes of a file, as far as it has any."""
    try:
        with path.open("rb") as file:
            head = file.read(size)
            file.seek(max(file.seek(0, os.SEEK_END) - size, 0))
            return head, file.read(size)
    except FileNotFoundError:
        return b"", b""


def _expect_schema(db: sqlite3.Connection) -> None:
    """Makes the tables in an empty store.

    Raises:
        NotOursError: anything else is in it.
    """
    query = "SELECT type, sql FROM sqlite_schema LIMIT 9"
    if not db.execute(query).fetchall():
        with db:
            db.execute("BEGIN IMMEDIATE")
            if not db.execute(query).fetchall():  # another run may have been faster
                for step in _SCHEMA:
                    db.execute(step)
    if sorted(db.execute(query)) != sorted(("table", step) for step in _SCHEMA):
        raise NotOursError("no tables of ours")


def read_all(db: sqlite3.Connection) -> Kept:
    """Everything in the store.

    Raises:
        NotOursError: somebody or something changed it.
    """
    due = time.monotonic() + LIMITS.store.longest_s
    db.set_progress_handler(lambda: time.monotonic() > due, _STEPS_A_LOOK)
    contents = {digest: ContentRow(digest, packed) for digest, packed in _rows(db, "contents")}
    most = LIMITS.archives.most_members
    jobs = {}
    try:
        for *_, packed in _rows(db, "jobs"):
            job, pieces = _JOB.decode(unframed(packed))
            if not 0 <= job.first < job.last <= job.of <= most or job.lost < 0:
                raise NotOursError("no members of an archive")
            check_remarks(remark for piece in pieces for remark in piece.remarks)
            jobs[job.name, job.first] = JobRow(job, pieces)
    except (msgspec.MsgspecError, ValueError, TypeError, RecursionError) as error:
        raise NotOursError(str(error)) from error
    db.set_progress_handler(None, 0)
    return Kept(contents, jobs)


def _rows(db: sqlite3.Connection, table: str) -> Iterator[tuple[Any, ...]]:
    """Its rows, as many as fit into the file: a broken tree may hold the same ones without end."""
    pages, size = (db.execute(f"PRAGMA page_{word}").fetchone()[0] for word in ("count", "size"))
    room = pages * size
    for *key, packed in db.execute(f"SELECT * FROM {table}"):  # noqa: S608
        if not isinstance(packed, bytes) or not isinstance(key[0], str):
            raise NotOursError("no row of ours")
        room -= len(packed)
        if room < 0:
            raise NotOursError("more rows than there is room for")
        yield (*key, packed)


def insert(db: sqlite3.Connection, jobs: Iterable[JobRow], contents: Iterable[ContentRow]) -> None:
    """Adds jobs and contents, in place of earlier ones of the same names and digests."""
    db.executemany("REPLACE INTO contents VALUES (?,?)", contents)
    db.executemany(
        "REPLACE INTO jobs VALUES (?,?,?)",
        (
            # Where it lies is found anew by each run, and a path need not be text.
            (row.job.name, row.job.first, framed(encode((replace(row.job, path=""), row.pieces))))
            for row in jobs
        ),
    )


def delete_all_but(db: sqlite3.Connection, kept: Kept) -> None:
    """Drops every job and content that is not among these."""
    gone = _missing(db, "SELECT name, first FROM jobs", set(kept.jobs))
    db.executemany("DELETE FROM jobs WHERE name = ? AND first = ?", gone)
    gone = _missing(db, "SELECT digest FROM contents", {(digest,) for digest in kept.contents})
    db.executemany("DELETE FROM contents WHERE digest = ?", gone)


def _missing(
    db: sqlite3.Connection, query: str, wanted: set[tuple[Any, ...]]
) -> list[tuple[Any, ...]]:
    return [key for key in db.execute(query).fetchall() if key not in wanted]
