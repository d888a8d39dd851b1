"""The folders that a command is given: one to read, and one to write into."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from taperback.errors import InputError, UsageError
from taperback.report.page import REPORT_FILES
from taperback.report.squad_page import SQUAD_FILES


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


def refuse_foreign_report(out: Path) -> None:
    """Nothing where an athlete's report can be written: no file of its names, or our own.

    Raises:
        UsageError: files of these names are not an earlier report of ours.
    """
    _refuse_foreign(out, REPORT_FILES, "study.json", ("schema_version", "evidence"))


def refuse_foreign_squad(out: Path) -> None:
    """Nothing where a squad's page can be written: no file of its names, or our own.

    Raises:
        UsageError: files of these names are not an earlier report of ours.
    """
    _refuse_foreign(out, SQUAD_FILES, "squad.json", ("squad_schema_version",))


def _refuse_foreign(out: Path, names: Sequence[str], told_in: str, keys: Sequence[str]) -> None:
    """Refuses to write over files unless the one named `told_in` holds these keys of ours."""
    there = [name for name in names if (out / name).exists()]
    if there and not _holds(out / told_in, keys):
        raise UsageError(
            f"{out} holds a {there[0]} that Taperback did not write; "
            "choose another --out, or add --replace to write over it"
        )


def _holds(path: Path, keys: Sequence[str]) -> bool:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and all(key in told for key in keys)
