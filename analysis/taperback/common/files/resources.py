"""The values that analysis, report, tests and the sample's generator all read from `shared/`."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from taperback.common.errors import TaperbackError

_PACKAGE = Path(__file__).resolve().parents[2]
# An installed wheel carries the folder inside the package; a checkout has it at the top level.
_PLACES = (_PACKAGE / "shared", _PACKAGE.parent.parent / "shared")


def shared_file(name: str) -> Path:
    """Where the shared file of that name lies, installed or in a checkout.

    Raises:
        TaperbackError: the file is in neither place, so the installation is broken.
    """
    for place in _PLACES:
        if (place / name).is_file():
            return place / name
    raise TaperbackError(f"{name} is missing from this installation; install taperback again")


@cache
def shared_toml(name: str) -> dict[str, Any]:
    """The contents of a shared TOML file, read once. Treat it as read-only."""
    return tomllib.loads(shared_file(name).read_text(encoding="utf-8"))
