"""A store that somebody or something changed is never believed, wherever it lies."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from importer.hot_journal import leave_hot_journal
from importer.stores import place, read, told
from importer.tables import as_text
from taperback.importer.store.codec import framed, unframed
from taperback.importer.store.place import OLD, cache_folder

ANEW = "cache of what was read: what was kept from earlier runs could not be read and is made anew"

pytestmark = pytest.mark.usefixtures("cache")


def sql(*steps: str) -> Callable[[Path], None]:
    """Somebody who changes the store with these statements."""

    def harm(path: Path) -> None:
        with sqlite3.connect(path) as db:
            for step in steps:
                db.execute(step)
        db.close()

    return harm


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:9000])


def garbage(path: Path) -> None:
    path.write_bytes(os.urandom(5000))


def foreign(path: Path) -> None:
    path.unlink()
    sql("CREATE TABLE something (else_ TEXT)")(path)


def sparse(path: Path) -> None:
    with path.open("r+b") as file:
        file.truncate(3_000_000_000)


def keeps_a_log(path: Path) -> None:
    db = sqlite3.connect(path)
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("DELETE FROM jobs")
    db.close()


def has_a_log_beside_it(path: Path) -> None:
    path.with_name(f"{path.name}-wal").write_bytes(b"7\x7f\x06\x82" + bytes(5000))


def journal_is_a_pipe(path: Path) -> None:
    os.mkfifo(path.with_name(f"{path.name}-journal"))


def moving_times_three(path: Path) -> None:
    """Every leg lasts three times as long, in bytes that are otherwise whole."""
    db = sqlite3.connect(path)
    for digest, packed in db.execute("SELECT * FROM contents").fetchall():
        plain = msgspec.msgpack.decode(unframed(packed))
        for leg in plain[1]:
            leg[9] *= 3e6
        changed = framed(msgspec.msgpack.encode(plain))
        db.execute("UPDATE contents SET packed = ? WHERE digest = ?", (changed, digest))
    db.commit()
    db.close()


def a_bit_flips(path: Path) -> None:
    db = sqlite3.connect(path)
    for digest, packed in db.execute("SELECT * FROM contents").fetchall():
        changed = bytearray(packed)
        changed[-40] ^= 1
        db.execute("UPDATE contents SET packed = ? WHERE digest = ?", (changed, digest))
    db.commit()
    db.close()


def job_of(**changes: object) -> Callable[[Path], None]:
    """Somebody who changes what every job says of itself."""

    def harm(path: Path) -> None:
        db = sqlite3.connect(path)
        for name, packed in db.execute("SELECT name, packed FROM jobs").fetchall():
            job, pieces = msgspec.msgpack.decode(unframed(packed))
            pieces = changes.get("pieces", pieces)
            job |= {key: value for key, value in changes.items() if key != "pieces"}
            changed = framed(msgspec.msgpack.encode((job, pieces)))
            db.execute("UPDATE jobs SET packed = ? WHERE name = ?", (changed, name))
        db.commit()
        db.close()

    return harm


ENDLESS = (
    "CREATE VIEW jobs AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
    "SELECT 'a' AS name, i AS first, x'00' AS packed FROM n"
)
POISON = {
    "cut off": cut,
    "garbage": garbage,
    "another program's": foreign,
    "too large": sparse,
    "keeps a log": keeps_a_log,
    "a log beside it": has_a_log_beside_it,
    "its journal is a pipe": journal_is_a_pipe,
    "numbers changed": moving_times_three,
    "a bit flips": a_bit_flips,
    "a trigger": sql(
        "CREATE TRIGGER t AFTER INSERT ON jobs BEGIN DELETE FROM contents; END",
    ),
    "an endless view": sql("DROP TABLE jobs", ENDLESS),
    "an endless column": sql(
        "DROP TABLE contents",
        "CREATE TABLE contents (digest TEXT, packed BLOB AS (zeroblob(900000000)))",
        "INSERT INTO contents VALUES ('d')",
    ),
    "one more table": sql("CREATE TABLE more (x)"),
    "one more index": sql("CREATE INDEX more ON jobs (packed)"),
    "no blob": sql("UPDATE contents SET packed = 'text'"),
    "no row": sql("UPDATE contents SET packed = x'00'"),
    "no job": sql("UPDATE jobs SET packed = x'7b'"),
    "a job that counts in words": job_of(lost="often"),
    "a job without end": job_of(last=10**12),
    "a job's digest is a list": job_of(pieces=[["a.fit", ["d"], []]]),
    "a job's remark moves the cursor": job_of(
        pieces=[["a.fit", "", [{"file": "a", "row": 0, "column": "", "code": "", "found": "\x1b"}]]]
    ),
}


@pytest.mark.parametrize("harm", POISON.values(), ids=POISON)
def test_a_store_that_cannot_be_ours_is_made_anew_and_said(
    folder: Path, harm: Callable[[Path], None]
) -> None:
    first, _ = read(folder)
    harm(place(folder))
    second, looked_at = read(folder)
    assert looked_at == 6
    assert told(second) == [ANEW]
    third, looked_at = read(folder)
    assert looked_at == 0
    assert as_text(third) == as_text(first)


@pytest.mark.parametrize("harm", POISON.values(), ids=POISON)
def test_a_store_that_came_with_the_folder_is_not_opened_and_mentioned_once(
    folder: Path, tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    clean, _ = read(folder)
    (folder / OLD).parent.mkdir()
    shutil.copy(place(folder), folder / OLD)
    harm(folder / OLD)
    shutil.rmtree(cache_folder())
    before = {path: path.stat().st_mtime_ns for path in (folder / OLD).parent.iterdir()}
    imported, looked_at = read(folder)
    assert looked_at == 6
    assert told(imported) == [
        ".taperback/legs.sqlite: what was read is kept in your own cache folder now, so this was "
        "not opened; delete it"
    ]
    assert imported.legs.equals(clean.legs)
    assert before == {path: path.stat().st_mtime_ns for path in (folder / OLD).parent.iterdir()}


@pytest.mark.parametrize("inside", [True, False])
def test_a_hot_journal_deletes_no_file_that_it_names(
    folder: Path, tmp_path: Path, inside: bool
) -> None:
    victim = tmp_path / "thesis.doc"
    victim.write_bytes(b"years of work")
    read(folder)
    path = place(folder)
    if inside:
        (folder / OLD).parent.mkdir()
        path = Path(shutil.copy(path, folder / OLD))
    leave_hot_journal(path, victim)
    imported, _ = read(folder)
    assert victim.read_bytes() == b"years of work"
    assert len(imported.legs) == 4
    assert len(told(imported)) == 1


def test_that_journal_would_have_deleted_it(folder: Path, tmp_path: Path) -> None:
    """Else the test above could not fail."""
    victim = tmp_path / "thesis.doc"
    victim.write_bytes(b"years of work")
    path = tmp_path / "any.sqlite"
    sql("CREATE TABLE a (b)")(path)
    leave_hot_journal(path, victim)
    sql("SELECT * FROM a")(path)
    assert not victim.exists()
