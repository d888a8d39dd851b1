"""Where stores and studies lie: in the user's own cache folder, one folder of ours for each
athlete's folder.

What arrives with an athlete's folder is input and no memory of ours, so nothing is kept there.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from itertools import chain
from pathlib import Path

from platformdirs import user_cache_path

from taperback.common.limits import LIMITS
from taperback.importer.store.made_of import made_of, study_made_of
from taperback.importer.store.tables import remove

OLD = ".taperback/legs.sqlite"
"""Where an earlier version kept its store, inside the athlete's folder."""

_STORE, _STUDY = ".sqlite", ".study"
_ABOUT = "folder"
"""The file beside a store that names the athlete's folder, so that it can go when that is gone."""

_DAY_S = 86_400


def cache_folder() -> Path:
    """The folder of all stores, which may be deleted at any time."""
    return user_cache_path("taperback", appauthor=False) / "read-before"


def store_path(folder: Path) -> Path | None:
    """Where what was read of this folder by this version is kept; None where nothing can be."""
    return _kept_path(folder, f"{made_of()}{_STORE}")


def study_path(folder: Path, outcome: str) -> Path | None:
    """Where this version's study of the folder is kept; None where nothing can be."""
    return _kept_path(folder, f"{study_made_of()}-{outcome}{_STUDY}")


def _kept_path(folder: Path, name: str) -> Path | None:
    """The file of that name in our folder for the athlete's folder; None where nothing can be kept.

    Our folder is made, and what nobody needs any more is taken away.
    """
    where = str(folder.resolve())
    base = cache_folder()
    key = hashlib.sha256(os.fsencode(where)).hexdigest()[:32]
    place = base / key
    try:
        if not base.is_absolute():  # a user without a home
            return None
        for path in (base.parent, base, place):
            if not path.is_dir():
                path.mkdir(mode=0o700, parents=path == base.parent, exist_ok=True)
            _make_private(path)
        if not (place / _ABOUT).exists():
            descriptor = os.open(place / _ABOUT, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            os.write(descriptor, os.fsencode(where))
            os.close(descriptor)
        path = place / name
        if path.exists():
            os.utime(path)  # when it was last of use
        else:
            tidy(base)
    except OSError:
        return None
    return path if os.access(place, os.W_OK | os.R_OK) else None


def _make_private(path: Path) -> None:
    """Nobody but the user looks into it.

    Raises:
        PermissionError: it is somebody else's.
    """
    if hasattr(os, "getuid"):
        about = path.stat()
        if about.st_uid != os.getuid():
            raise PermissionError(13, "somebody else's folder", str(path))
        if about.st_mode & 0o077:
            path.chmod(0o700)


@cache
def tidy(base: Path) -> None:
    """Takes away what is long unused, of folders long gone, or beyond the room for all.

    Done once a run, and only when something new is about to be kept.
    """
    limits = LIMITS.store
    left, now = limits.most_bytes_in_all, time.time()
    ours = (made_of(), study_made_of())
    for used, size, path in sorted(_kept(base), reverse=True):
        unused_days = (now - used) / _DAY_S
        left -= size
        needed = path.name.startswith(ours) and _folder_exists(path.parent)
        gone = unused_days > limits.keep_gone_days and not needed
        if left < 0 or gone or unused_days > limits.keep_unused_days:
            with suppress(OSError):
                remove(path)
                if not any(_kept(base, path.parent.name)):
                    (path.parent / _ABOUT).unlink(missing_ok=True)
                    path.parent.rmdir()


def _kept(base: Path, place: str = "*") -> Iterator[tuple[float, int, Path]]:
    """(when it was last of use, bytes, path) of every store and study."""
    for path in chain(*(base.glob(f"{place}/*{kind}") for kind in (_STORE, _STUDY))):
        with suppress(OSError):
            about = path.lstat()
            yield about.st_mtime, about.st_size, path


def _folder_exists(place: Path) -> bool:
    try:
        return Path(os.fsdecode((place / _ABOUT).read_bytes())).is_dir()
    except (OSError, ValueError):
        return False
