"""What was read before, so that an unchanged file is not read again.

One SQLite file for each athlete's folder: a row for each content, keyed on the digest of the file's
bytes, and a row for each file on disk. It is never the only copy of anything: whatever is wrong
with it, the files are read anew.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from taperback.common.notices import Notice
from taperback.importer.store.codec import NotOursError
from taperback.importer.store.place import OLD, store_path
from taperback.importer.store.rows import ContentRow, JobRow, Kept
from taperback.importer.store.tables import connect, delete_all_but, insert, read_all, remove

BUSY_S = 10.0
"""How long to wait for another run that writes [s]."""

_ANEW = "what was kept from earlier runs could not be read and is made anew"


class Store:
    """The rows kept for one folder. Its methods never raise for what is wrong with the file.

    Attributes:
        notices: what a person should know about it.
        troubled: whether it could not be used as it was.
    """

    def __init__(self, folder: Path) -> None:
        self.notices: list[Notice] = []
        self.troubled = False
        self._db: sqlite3.Connection | None = None
        self._path = store_path(folder)
        if self._path is None:
            self._tell("nothing can be kept for the next run, which will read every file again")
        if os.path.lexists(folder / OLD):
            found = "what was read is kept in your own cache folder now, so this was not opened"
            self.notices.append(Notice(OLD, 0, "", "store-inside", found, "delete it"))

    def load(self) -> Kept:
        """Everything kept by this version of the tool."""
        if self._path is None:
            return Kept({}, {})
        for attempt in (1, 2):
            try:
                self._db = connect(self._path, BUSY_S)
                return read_all(self._db)
            except (sqlite3.Error, NotOursError, OSError) as error:
                self.close()
                busy = isinstance(error, sqlite3.OperationalError) and "locked" in str(error)
                if busy or attempt == 2 or not self._remove():
                    break
                self._tell(_ANEW)
        self._tell("it cannot be used now, so every file is read")
        return Kept({}, {})

    def start_anew(self) -> Kept:
        """Empties the store, whose rows turned out not to be ours."""
        self.close()
        self._remove()
        self._tell(_ANEW)
        if self._path is not None:
            try:
                self._db = connect(self._path, BUSY_S)
            except (sqlite3.Error, NotOursError, OSError):
                self.close()
        return Kept({}, {})

    def keep(self, jobs: Iterable[JobRow], contents: Iterable[ContentRow]) -> None:
        """Adds these, all or none of them."""
        if self._db is None:
            return
        try:
            with self._db as db:
                insert(db, jobs, contents)
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
            remove(self._path or Path())
        except OSError:
            return False
        return True

    def _tell(self, found: str) -> None:
        self.troubled = True
        self.notices.append(Notice("cache of what was read", 0, "", "store", found))
