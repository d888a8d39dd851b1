"""The folder that a command is given."""

from __future__ import annotations

from pathlib import Path

from taperback.errors import InputError


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
