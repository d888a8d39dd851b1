"""The athletes' folders of a squad, and what lies among them and is none.

A coach unpacks what athletes send: one folder may cost itself only, and never in silence.
"""

from __future__ import annotations

import re
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.files.plain_file import read_start
from taperback.common.lines import printable
from taperback.common.notices import Notice, unused
from taperback.journal.athlete import FILE as ATHLETE
from taperback.squad.files import SQUAD_FILES
from taperback.squad.model import Broken

_PAGES = (".html", ".csv", ".json", ".ics")
"""What a folder of a report holds and nothing else, but folders of reports."""


def athlete_folders(folder: Path) -> list[Path]:
    """The folders in it, in order of name, that `passed_over` does not leave out.

    Raises:
        InputError: there is no such folder, none in it, or it is one athlete's own.
    """
    if not folder.is_dir():
        raise InputError("there is no such folder", "name the squad's folder", str(folder))
    folders = [path for path in _folders(folder) if not _why_not(path)]
    if ATHLETE in _names(folder) and not any(ATHLETE in _names(path) for path in folders):
        raise InputError(
            "it is the folder of one athlete",
            "use taperback review, or name the folder above it",
            str(folder),
        )
    if not folders:
        raise InputError(
            "it holds no athlete's folder", "put each athlete's folder into it", str(folder)
        )
    return folders


def passed_over(folder: Path) -> tuple[list[Broken], list[Notice]]:
    """(folders that may be an athlete's and are not read, folders that are no athlete's)."""
    broken, left_out = [], []
    for path in _folders(folder):
        name, why = printable(path.name), _why_not(path)
        if why and (path.name.startswith(".") or _is_report(path)):
            left_out.append(unused(name, "passed-over", *why))
        elif why:
            broken.append(Broken(name, unused(name, "passed-over", *why)))
    return broken, left_out


def _folders(folder: Path) -> list[Path]:
    return [path for path in sorted(folder.iterdir()) if path.is_dir()]


def _why_not(path: Path) -> tuple[str, str] | None:
    """(finding, remedy) where it is no athlete's folder; None where it is taken for one."""
    if path.is_symlink():
        return "it is a link, and links are not followed", "put the athlete's folder itself here"
    if path.name.startswith("."):
        return "it is a hidden folder", "rename it if it is an athlete's"
    if path.name.lower() in SQUAD_FILES:
        return f"the squad's report has a file named {path.name.lower()}", "rename the folder"
    if _is_report(path):
        return "it is a report of Taperback and no athlete's folder", ""
    return None


def _is_report(folder: Path, *, of_squad: bool = True) -> bool:
    """Whether it is a report of ours, or a squad's with the athletes' reports in it.

    Athletes may keep their own report among their files; a folder for it holds nothing else.
    """
    names = _names(folder)
    only_pages = all(
        name.endswith(_PAGES) or (of_squad and _is_report(folder / name, of_squad=False))
        for name in names
    )
    return only_pages and any(_begins_as_ours(folder / name) for name in names & _STARTS.keys())


_STARTS = {"study.json": "schema_version", "squad.json": "squad_schema_version"}


def _begins_as_ours(path: Path) -> bool:
    try:
        start = read_start(path, 200).decode("utf-8", errors="replace")
    except OSError:
        return False
    return bool(re.match(rf'\{{\s*"{_STARTS[path.name]}": \d+,', start))


def _names(folder: Path) -> set[str]:
    """What lies in it and is not hidden; a folder that may not be looked into is an athlete's."""
    try:
        return {path.name for path in folder.iterdir() if not path.name.startswith(".")}
    except OSError:
        return set()
