"""No code is taken from the folder that somebody happens to stand in.

Python looks for modules there first where it is started with `-m` or `-c`, as pools of processes
are; a folder that was handed over may hold a `numpy.py`.
"""

from __future__ import annotations

import os
import sys
from contextlib import ContextDecorator
from pathlib import Path
from typing import Self

_OURS = Path(__file__).resolve().parents[3]


def trusted_path() -> list[str]:
    """The folders that Python looks for modules in, less the current one.

    That stays where this package lies in it, as it does for somebody who works on it.
    """
    return [folder for folder in sys.path if Path(folder).is_absolute() and not _is_here(folder)]


def safe_environment() -> dict[str, str]:
    """The environment of a process that finds what this one finds, and nothing of the current
    folder."""
    paths = os.pathsep.join(trusted_path())
    return os.environ | {"PYTHONPATH": paths, "PYTHONSAFEPATH": "1"}


class NothingFromHere(ContextDecorator):
    """While this is open, or the function runs that it decorates, neither this process nor those
    that it starts take modules from the current folder; also where a library starts them."""

    def __enter__(self) -> Self:
        self._path = sys.path[:]
        self._names = {name: os.environ.get(name) for name in ("PYTHONPATH", "PYTHONSAFEPATH")}
        safe = safe_environment()
        sys.path[:] = trusted_path()
        os.environ.update((name, safe[name]) for name in self._names)
        return self

    def __exit__(self, *error: object) -> None:
        sys.path[:] = self._path
        for name, value in self._names.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value

    def _recreate_cm(self) -> Self:
        return type(self)()  # one for each call, since calls may lie within each other


def _is_here(folder: str) -> bool:
    try:
        return Path(folder).samefile(Path.cwd()) and not Path(folder).samefile(_OURS)
    except OSError:  # one of the two is not there
        return False
