"""A file opened as what it is said to be: no link, no pipe and no device in its place."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Sequence
from pathlib import Path


def read_start(path: Path, most: int) -> bytes:
    """The first bytes of a plain file, `most` of them or fewer.

    It never waits: a pipe that nobody writes into is refused as a link and a device are.

    Raises:
        OSError: there is none, it is a link or no plain file, or it cannot be opened.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(path, flags | getattr(os, "O_BINARY", 0)), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(errno.EINVAL, "it is no plain file", str(path))
        return file.read(most)


def holds(path: Path, parts: Sequence[bytes]) -> bool:
    """Whether it is a plain file that holds these bytes, part after part, and nothing else."""
    size = sum(map(len, parts))
    try:
        if path.lstat().st_size != size:
            return False
        data = read_start(path, size + 1)
    except OSError:
        return False
    at = 0
    for part in parts:
        if not data.startswith(part, at):
            return False
        at += len(part)
    return len(data) == size
