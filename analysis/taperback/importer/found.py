"""Which files of a folder are activities, and their bytes, unpacked in memory only."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from taperback.notices import Level, Notice

SUFFIXES = (".fit", ".tcx", ".gpx")
PACKED = (".gz", ".zip")


@dataclass(frozen=True)
class Found:
    """One file on disk that may hold activities.

    Attributes:
        path: where it lies.
        name: its path relative to the athlete's folder, with forward slashes.
    """

    path: Path
    name: str


def find_files(folder: Path) -> tuple[list[Found], list[Notice]]:
    """Activity files and archives at any depth, in order of name, and what was passed over.

    Hidden files and folders are left alone. A link that leads out of the folder is refused, so
    that a folder handed over cannot reach the rest of a disk.
    """
    root = folder.resolve()
    found: list[Found] = []
    notices: list[Notice] = []
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if name.startswith(".") or not name.lower().endswith((*SUFFIXES, *PACKED)):
                continue
            path = Path(place, name)
            shown = path.relative_to(folder).as_posix()
            if not path.resolve().is_relative_to(root):
                reason = "it is a link that leads out of the folder"
                notices.append(_unused(shown, "link-outside", reason, "copy the file itself"))
            else:
                found.append(Found(path, shown))
    return sorted(found, key=lambda item: item.name), notices


def _unused(file: str, code: str, found: str, remedy: str) -> Notice:
    return Notice(file, 0, "", code, found, remedy, Level.UNUSED)
