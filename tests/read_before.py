"""A copy of an athlete's folder that was read before, so that reading it again is quick."""

from __future__ import annotations

import shutil
from pathlib import Path

from taperback.importer.store.place import store_path


def copy_read(folder: Path, into: Path, *without: str) -> Path:
    """The folder without files of these patterns, and what is kept of it."""
    shutil.copytree(folder, into, ignore=shutil.ignore_patterns(*without))
    kept, ours = store_path(folder), store_path(into)
    if kept is not None and ours is not None and kept.exists():
        shutil.copy(kept, ours)
    return into
