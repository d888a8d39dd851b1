"""What decides how bytes become rows, and rows a report, in one word each: code, limits, libraries.

What is kept is named by it, so that what another version kept is neither believed nor touched.
"""

from __future__ import annotations

import hashlib
import platform
import re
import sys
from collections.abc import Iterable
from contextlib import suppress
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
    parts = [code.decode(), platform.python_version()]
    imported = {name.decode() for name in _IMPORTS.findall(code)}
    for name in sorted(imported - sys.stdlib_module_names - {"taperback"}):
        with suppress(PackageNotFoundError):  # an extra, or a word of a docstring
            parts.append(f"{name} {version(name)}")
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:16]
