"""What decides how bytes become rows, and rows a report, in one word each: code, limits, libraries.

What is kept is named by it, so that what another version kept is neither believed nor touched.
"""

from __future__ import annotations

import hashlib
import platform
import re
import sys
from collections.abc import Iterable
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from taperback.common.files.resources import shared_file

_PACKAGE = Path(__file__).parents[2]
_ROOMS = ("importer", "common")
"""Rooms that all code from bytes to rows lies in, with all that they know."""

_IMPORTS = re.compile(rb"^\s*(?:from|import) (\w+)", re.MULTILINE)


@cache
def made_of() -> str:
    """A digest of whatever could make another row of the same bytes, and of a little more."""
    paths = sorted(path for room in _ROOMS for path in (_PACKAGE / room).rglob("*.py"))
    shared = (shared_file(name) for name in ("limits.toml", "sports.toml"))
    return _digest((*paths, *shared))


@cache
def study_made_of() -> str:
    """A digest of whatever could make another study or report of the same rows and journal."""
    kinds = ("*.py", "*.html", "*.css", "*.js")
    paths = sorted(path for kind in kinds for path in _PACKAGE.rglob(kind))
    shared = sorted(shared_file("limits.toml").parent.glob("*.toml"))
    return _digest((*paths, *shared))


def _digest(paths: Iterable[Path]) -> str:
    code = b"\0".join(path.read_bytes() for path in paths)
    parts = (code.decode(), platform.python_version(), *_versions(code))
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:16]


def _versions(code: bytes) -> list[str]:
    """The version of every library that the code imports and that is installed."""
    names = {name.decode() for name in _IMPORTS.findall(code)}
    found = []
    for name in sorted(names - sys.stdlib_module_names - {"taperback"}):
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:  # an extra, or a word of a docstring
            continue
    return found
