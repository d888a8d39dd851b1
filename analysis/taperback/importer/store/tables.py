"""The store's tables: how rows go into SQLite and come back."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from taperback.common.limits import LIMITS
from taperback.importer.file.one_file import Job
from taperback.importer.store.columns import LEG_CODECS, LEG_COLUMNS
from taperback.importer.store.rows import ContentRow, JobRow, Kept, PieceRow

_SCHEMA = f"""
CREATE TABLE made_by (stamp TEXT NOT NULL);
CREATE TABLE jobs (
    name TEXT NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL, of INTEGER NOT NULL,
    size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL, lost INTEGER NOT NULL, pieces TEXT NOT NULL,
    PRIMARY KEY (name, first)
);
CREATE TABLE contents (
    digest TEXT PRIMARY KEY, file_format TEXT NOT NULL, sleeps TEXT NOT NULL,
    remarks TEXT NOT NULL
);
CREATE TABLE legs (
    digest TEXT NOT NULL,
    {", ".join(f"{name} {LEG_CODECS[name].sql}" for name in LEG_COLUMNS)},
    PRIMARY KEY (digest, leg_index)
);
"""


def connect(path: Path, busy_s: float) -> sqlite3.Connection:
    """The store in that file, waiting so long [s] for another run that writes."""
    db = sqlite3.connect(path, timeout=busy_s)
    # The file may have come with a folder from somebody else.
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA synchronous = NORMAL")
    return db


def stamp_in(db: sqlite3.Connection) -> list | None:
    """The stamp of the tool that made the store; None where it is empty.

    Raises:
        sqlite3.Error, ValueError, TypeError, LookupError: it is no store of ours.
    """
    if not db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        return None
    theirs = json.loads(db.execute("SELECT stamp FROM made_by").fetchone()[0])
    if [type(part) for part in theirs] != [list, str]:
        raise ValueError("no stamp of ours")
    return theirs


def make_tables(db: sqlite3.Connection, ours: list) -> None:
    """Empty tables, in one step: a store that is cut off here is whole before or after."""
    tables = ("made_by", "jobs", "contents", "legs")
    steps = [f"DROP TABLE IF EXISTS {name}" for name in tables] + _SCHEMA.split(";")
    with db:
        db.execute("BEGIN IMMEDIATE")
        for step in steps:
            db.execute(step)
        db.execute("INSERT INTO made_by VALUES (?)", (json.dumps(ours),))


def contents_in(db: sqlite3.Connection) -> dict[str, ContentRow]:
    """Digest -> content."""
    legs: dict[str, list[tuple]] = {}
    columns = ", ".join(LEG_COLUMNS)
    for digest, *row in db.execute(f"SELECT digest, {columns} FROM legs ORDER BY 1, 2"):  # noqa: S608
        legs.setdefault(digest, []).append(tuple(row))
    return {
        digest: ContentRow(digest, file_format, sleeps, remarks, tuple(legs.get(digest, ())))
        for digest, file_format, sleeps, remarks in db.execute(
            "SELECT digest, file_format, sleeps, remarks FROM contents"
        )
    }


def jobs_in(db: sqlite3.Connection) -> dict[tuple[str, int], JobRow]:
    """(name, first member) -> job.

    Raises:
        NOT_OURS of `rows`: somebody changed them.
    """
    query = "SELECT name, first, last, of, size, mtime_ns, lost, pieces FROM jobs"
    rows = [_job_row(*values) for values in db.execute(query)]
    return {(row.job.name, row.job.first): row for row in rows}


def _job_row(name: str, *values: Any) -> JobRow:
    *numbers, pieces = values
    first, last, of, size, mtime_ns, lost = numbers
    if not isinstance(name, str) or {type(number) for number in numbers} != {int}:
        raise TypeError("no job of ours")
    if not 0 <= first < last <= of <= LIMITS.archives.most_members:
        raise ValueError("no members of an archive")
    rows = tuple(PieceRow(*piece) for piece in json.loads(pieces))
    if not all(isinstance(text, str) for row in rows for text in row):
        raise TypeError("no pieces of ours")
    return JobRow(Job("", name, size, mtime_ns, first, last, of, lost), rows)


def insert_content(db: sqlite3.Connection, content: ContentRow) -> None:
    """Adds a content, in place of an earlier one of that digest."""
    db.execute("DELETE FROM legs WHERE digest = ?", (content.digest,))
    db.execute("REPLACE INTO contents VALUES (?,?,?,?)", content[:4])
    holes = ",".join("?" * (1 + len(LEG_COLUMNS)))
    rows = ((content.digest, *leg) for leg in content.legs)
    db.executemany(f"INSERT INTO legs VALUES ({holes})", rows)  # noqa: S608


def insert_jobs(db: sqlite3.Connection, jobs: Iterable[JobRow]) -> None:
    """Adds jobs, in place of earlier ones of the same names."""
    db.executemany("REPLACE INTO jobs VALUES (?,?,?,?,?,?,?,?)", map(_job_values, jobs))


def _job_values(row: JobRow) -> tuple:
    job = row.job
    about = (job.name, job.first, job.last, job.of, job.size, job.mtime_ns, job.lost)
    return *about, json.dumps(row.pieces)


def delete_all_but(db: sqlite3.Connection, kept: Kept) -> None:
    """Drops every job and content that is not among these."""
    gone = _missing(db, "SELECT name, first FROM jobs", set(kept.jobs))
    db.executemany("DELETE FROM jobs WHERE name = ? AND first = ?", gone)
    gone = _missing(db, "SELECT digest FROM contents", {(digest,) for digest in kept.contents})
    db.executemany("DELETE FROM contents WHERE digest = ?", gone)
    db.executemany("DELETE FROM legs WHERE digest = ?", gone)


def _missing(db: sqlite3.Connection, query: str, wanted: set[tuple]) -> list[tuple]:
    return [key for key in db.execute(query).fetchall() if key not in wanted]
