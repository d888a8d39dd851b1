"""Squads reviewed with what was kept before, or anew, and all that comes of it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from faults.stage import FILES, TYPED
from taperback.report.own_reports import OwnReports
from taperback.report.squad_page import write_squad
from taperback.squad.review import review_squad

Reviewed = list[str]
ALL = {**TYPED, **FILES}


def squad_of(folder: Path, out: Path, **given: object) -> dict[str, bytes]:
    """Everything that a squad's review writes, by name."""
    squad = review_squad(folder, workers=1, reports=OwnReports(out), **given)  # type: ignore[arg-type]
    write_squad(squad, out)
    return written(out)


def written(out: Path) -> dict[str, bytes]:
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


def made_anew(folder: Path, out: Path) -> dict[str, bytes]:
    """The same with nothing kept by anybody."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(out.with_name(f"{out.name}-cache")))
        return squad_of(folder, out)


def swap(path: Path, old: str, new: str) -> None:
    """Changes a word and leaves size and time as they were."""
    about = path.stat()
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))
    os.utime(path, ns=(about.st_atime_ns, about.st_mtime_ns))
