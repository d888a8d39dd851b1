"""The folders that a command is given: one to read, and one to write into."""

from __future__ import annotations

from pathlib import Path

from taperback.common.errors import InputError, UsageError


def expect_folder(folder: Path) -> None:
    """Nothing where it is a folder.

    Raises:
        InputError: it is not.
    """
    if folder.is_file():
        found = "it is a file and not a folder"
        raise InputError(found, "name the folder of one athlete", str(folder))
    if not folder.is_dir():
        raise InputError("there is no such folder", "name the athlete's folder", str(folder))


def expect_out(out: Path) -> None:
    """Nothing where it is a folder or can become one.

    Raises:
        UsageError: a file stands there, or in place of a folder above it.
    """
    file = next((path for path in (out, *out.parents) if path.exists() and not path.is_dir()), None)
    if file is not None:
        raise UsageError(f"--out {out}: {file} is a file; name a folder")
