"""What was read before, so that an unchanged file is not read again.

One SQLite file a folder: a row a leg, keyed on the digest of the file's bytes, and a row a file on
disk. It is never the only copy of anything: whatever is wrong with it, the files are read anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import sys
from collections.abc import Iterable
from importlib.metadata import version
from pathlib import Path

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.plain import plain
from taperback.importer.file.one_file import READER_VERSION
from taperback.importer.store.rows import NOT_OURS, ContentRow, JobRow, Kept
from taperback.importer.store.tables import (
    connect,
    contents_in,
    delete_all_but,
    insert_content,
    insert_jobs,
    jobs_in,
    make_tables,
    stamp_in,
)
from taperback.importer.summary.summary import SUMMARY_VERSION

FOLDER = ".taperback"
FILE = "legs.sqlite"

STORE_VERSION = 2
"""Rises whenever the tables change."""

BUSY_S = 10.0
"""How long to wait for another run that writes [s]."""

_ANEW = "what was kept from earlier runs could not be read and is made anew"
_DECIDING = ("cleaning", "bouts", "archives", "fit", "formats", "sleep_json")


def stamp() -> list:
    """What decides how a file's bytes become rows; a newer tool's is greater in its first part."""
    limits = {name: plain(getattr(LIMITS, name)) for name in _DECIDING}
    made_of = json.dumps([limits, *(version(name) for name in ("fitdecode", "tzfpy", "numpy"))])
    return [
        [STORE_VERSION, READER_VERSION, SUMMARY_VERSION],
        hashlib.sha256(made_of.encode()).hexdigest()[:16],
    ]


class Store:
    """The rows kept for one folder. Its methods never raise for what is wrong with the file.

    Attributes:
        notices: what a person should know about it.
    """

    def __init__(self, folder: Path) -> None:
        self.notices: list[Notice] = []
        self._db: sqlite3.Connection | None = None
        self._path = _place(folder)
        if self._path is None:
            self._tell("nothing can be kept for the next run, which will read every file again")

    def load(self) -> Kept:
        """Everything kept by this version of the tool; nothing where another one kept it."""
        if self._path is None:
            return Kept({}, {})
        for attempt in (1, 2):
            try:
                self._db = connect(self._path, BUSY_S)
                return self._load(self._db)
            except (sqlite3.Error, *NOT_OURS) as error:
                self.close()
                if _is_busy(error) or attempt == 2 or not self._remove():
                    break
                self._tell(_ANEW)
        self._tell("it cannot be used now, so every file is read")
        return Kept({}, {})

    def _load(self, db: sqlite3.Connection) -> Kept:
        ours, theirs = stamp(), stamp_in(db)
        if theirs is not None and theirs[0] > ours[0]:
            self._tell("a newer version of this tool keeps its results here; it was left alone")
            self.close()
            return Kept({}, {})
        if theirs != ours:
            make_tables(db, ours)
        return Kept(contents_in(db), jobs_in(db))

    def start_anew(self) -> Kept:
        """Empties the store, whose rows turned out not to be ours."""
        self._tell(_ANEW)
        if self._db is not None:
            try:
                make_tables(self._db, stamp())
            except sqlite3.Error:
                self.close()
        return Kept({}, {})

    def keep(self, jobs: Iterable[JobRow], contents: Iterable[ContentRow]) -> None:
        """Adds these, all or none of them."""
        if self._db is None:
            return
        try:
            with self._db as db:
                for content in contents:
                    insert_content(db, content)
                insert_jobs(db, jobs)
        except (sqlite3.Error, UnicodeError) as error:
            self.close()
            self._tell(f"what was read could not be kept ({error}); the next run reads it again")

    def forget_all_but(self, kept: Kept) -> None:
        """Drops what belongs to files that are gone."""
        if self._db is None:
            return
        try:
            with self._db as db:
                delete_all_but(db, kept)
        except sqlite3.Error as error:
            self._tell(f"it could not be tidied ({error})")

    def close(self) -> None:
        """Lets go of the file; what was kept stays."""
        if self._db is not None:
            self._db.close()
            self._db = None

    def _remove(self) -> bool:
        try:
            for name in (FILE, f"{FILE}-journal"):
                (self._path or Path()).with_name(name).unlink(missing_ok=True)
        except OSError:
            return False
        return True

    def _tell(self, found: str) -> None:
        self.notices.append(Notice(f"{FOLDER}/{FILE}", 0, "", "store", found))


def _place(folder: Path) -> Path | None:
    """Where the folder's store lies: inside it, else in the user's cache, else nowhere.

    A folder handed over may hold a link in the store's place; nothing is written through it.
    """
    inside = folder / FOLDER
    linked = inside.is_symlink() or (inside / FILE).is_symlink()
    name = hashlib.sha256(str(folder.resolve()).encode(errors="replace")).hexdigest()[:16]
    for place in ([] if linked else [inside]) + [_cache_folder() / name]:
        try:
            # The athlete's folder is never made: its disk may just have been taken out.
            place.mkdir(parents=place != inside, exist_ok=True)
            if os.access(place, os.W_OK) and os.access(place, os.R_OK):
                return place / FILE
        except OSError:
            continue
    return None


def _cache_folder() -> Path:
    """The user's folder for files that can be made again."""
    try:
        home = Path.home()
    except RuntimeError:
        home = Path(os.devnull)
    usual = {"darwin": home / "Library" / "Caches", "win32": home / "AppData" / "Local"}
    given = os.environ.get("XDG_CACHE_HOME")
    base = Path(given) if given else usual.get(sys.platform, home / ".cache")
    return base / "taperback"


def _is_busy(error: Exception) -> bool:
    return isinstance(error, sqlite3.OperationalError) and "locked" in str(error)
