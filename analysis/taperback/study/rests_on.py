"""What a study rests on beside the code, as a digest: the files, and what is typed beside them."""

from __future__ import annotations

import hashlib
import os
import zoneinfo
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path

from taperback.common.errors import InputError
from taperback.importer.find import find_files
from taperback.importer.home import zone_of_this_computer
from taperback.importer.store.place import OLD
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.columns import TABLES
from taperback.journal.files import TABLE_SUFFIXES, read_typed, table_file
from taperback.proposals.several import athletes_inside


def rests_on(folder: Path, outcome: str) -> bytes:
    """A digest that is another one as soon as a study of the folder could be another one.

    Activity files are known by name, size and time of change, as the importer knows them; what is
    typed is known by its bytes. It does not tell what made the study: `study_made_of` does.

    Raises:
        InputError: there is no such folder.
        OSError: it cannot be looked into.
    """
    files, passed_over = find_files(folder)
    parts = (
        folder.resolve().name,
        outcome,
        [(each.name, each.size, each.mtime_ns) for each in files],
        passed_over,
        list(_typed(folder)),
        athletes_inside(folder),
        os.path.lexists(folder / OLD),
        _zones(),
    )
    return hashlib.sha256(repr(parts).encode("utf-8", errors="backslashreplace")).digest()


def _typed(folder: Path) -> Iterator[tuple[str, object]]:
    """(name, digest or why it is not read) of what is typed, and the name of what is like it."""
    for name in (ATHLETE, *(table_file(folder, table) for table in TABLES)):
        try:
            data = read_typed(folder / name)
            yield name, data if data is None else hashlib.sha256(data).hexdigest()
        except InputError as error:
            yield name, str(error)
    for name in sorted(os.listdir(folder)):  # noqa: PTH208 - names only
        if name.lower().endswith(TABLE_SUFFIXES):
            yield name, ""


@cache
def _zones() -> tuple[object, ...]:
    """Which zone this computer is in, and when the system's table of zones was last changed."""
    changed = []
    for path in zoneinfo.TZPATH:
        with suppress(OSError):
            changed.append((path, os.stat(path).st_mtime_ns))  # noqa: PTH116
    return (zone_of_this_computer(), *changed)
