"""Which files of a folder may hold activities or nights."""

from __future__ import annotations

import errno
import os
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from taperback.common.errors import InputError, why_refused
from taperback.common.limits import LIMITS
from taperback.common.lines import printable
from taperback.common.notices import Notice, unused
from taperback.importer.formats.formats import SUFFIXES

PACKED = (".gz", ".zip")
_SUFFIX_WITHIN = re.compile(r"(\.fit|\.tcx|\.gpx)[ .(]", re.IGNORECASE)


@dataclass(frozen=True)
class Found:
    """One file on disk that may hold activities.

    Attributes:
        path: where it lies.
        name: its path relative to the athlete's folder, with forward slashes, printable.
        size: in bytes. mtime_ns: when it was last changed.
    """

    path: str
    name: str
    size: int
    mtime_ns: int


def find_files(folder: Path) -> tuple[list[Found], list[Notice]]:
    """Activity files and archives at any depth, in order of name, and what was passed over.

    Hidden files and folders are left alone. A link that leads out of the folder is refused, so
    that a folder handed over cannot reach the rest of a disk; a link to a folder inside is passed
    over, since its files are found where they lie.

    Raises:
        InputError: there is no such folder.
    """
    if not folder.is_dir():
        raise InputError("there is no such folder", "name the athlete's folder", str(folder))
    root = folder.resolve()
    items = list(_walk(root, "", root))
    found = [item for item in items if isinstance(item, Found)]
    notices = [item for item in items if isinstance(item, Notice)]
    return sorted(found, key=lambda item: item.name), notices


def _walk(place: Path, within: str, root: Path) -> Iterator[Found | Notice]:
    deepest = LIMITS.reading.deepest_folder
    if within.count("/") > deepest:
        found, remedy = f"it lies more than {deepest} folders deep", "move its files further up"
        yield unused(within, "folder", found, remedy)
        return
    try:
        with os.scandir(place) as listing:
            entries = sorted(listing, key=lambda entry: entry.name)
    except OSError as error:
        found = f"it cannot be looked into ({why_refused(error)})"
        yield unused(within, "folder", found, "allow reading it")
        return
    for entry in entries:
        if not entry.name.startswith("."):
            yield from _look(entry, f"{within}{printable(entry.name)}", root)


def _look(entry: os.DirEntry[str], name: str, root: Path) -> Iterator[Found | Notice]:
    looks_useful = name.lower().endswith((*SUFFIXES, *PACKED))
    try:
        if entry.is_symlink() and not Path(entry.path).resolve().is_relative_to(root):
            if looks_useful or entry.is_dir():
                reason = "it is a link that leads out of the folder"
                yield unused(name, "link-outside", reason, "copy the file itself")
        elif entry.is_dir(follow_symlinks=False):
            yield from _walk(Path(entry.path), f"{name}/", root)
        elif looks_useful and not entry.is_dir():
            about = entry.stat()
            if stat.S_ISREG(about.st_mode):
                yield Found(entry.path, name, about.st_size, about.st_mtime_ns)
            else:
                yield unused(name, "no-file", "it is not a file that can be read", "leave it out")
        elif (within := _SUFFIX_WITHIN.search(entry.name)) and entry.is_file():
            found = f"its name goes on after {within[1].lower()}, so it was not read"
            yield unused(name, "other-suffix", found, "rename it, or unpack it")
    except (OSError, RuntimeError) as error:  # a link that leads nowhere, or to itself
        # Up to Python 3.12 a link to itself is a RuntimeError.
        reason = "a link that leads back to itself"
        if isinstance(error, OSError) and error.errno != errno.ELOOP:
            reason = why_refused(error)
        yield unused(name, "unreadable", f"it cannot be opened ({reason})", "copy the file itself")
