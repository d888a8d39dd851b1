"""What lies already where a report is to be written: an earlier one of ours, or anybody's files."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path

from taperback.common.errors import UsageError
from taperback.common.files.plain_file import read_start
from taperback.report.page import REPORT_FILES
from taperback.squad.files import SQUAD_FILES

_PROOF_OF_A_REPORT = ("study.json", ("schema_version", "athlete"))
"""The file by which an athlete's report is known as ours, and what it begins with."""

_START = 200
"""So many bytes show what a file begins with; nobody knows what else a folder holds."""


def refuse_foreign_report(out: Path) -> None:
    """Nothing where an athlete's report can be written: no file of its names, or our own.

    Raises:
        UsageError: files of these names are not an earlier report of ours.
    """
    _refuse_foreign(out, REPORT_FILES, *_PROOF_OF_A_REPORT)


def refuse_foreign_squad(out: Path) -> None:
    """Nothing where a squad's page can be written: no file of its names, or our own.

    Raises:
        UsageError: files of these names are not an earlier report of ours.
    """
    _refuse_foreign(out, SQUAD_FILES, "squad.json", ("squad_schema_version", "athletes"))


def refuse_named_reports(out: Path) -> None:
    """Nothing where no athlete's own report would lie beside a page for showing.

    Raises:
        UsageError: reports that give athletes away lie there.
    """
    proof, keys = _PROOF_OF_A_REPORT
    inside = sorted(out.iterdir()) if out.is_dir() else []
    named = [path.name for path in inside if _holds(path / proof, keys)]
    if named:
        more = f" and {len(named) - 1} more" if named[1:] else ""
        raise UsageError(
            f"{out} holds athletes' own reports ({named[0]}{more}), which would lie beside the "
            "page for showing; choose another --out, or take them away"
        )


def _refuse_foreign(out: Path, names: Sequence[str], proof: str, keys: tuple[str, str]) -> None:
    """Refuses to write over files unless the one named `proof` begins with these keys."""
    there = [name for name in names if os.path.lexists(out / name)]
    if there and not _holds(out / proof, keys):
        raise UsageError(
            f"{out} holds a {there[0]} that Taperback did not write; "
            "choose another --out, or add --replace to write over it"
        )


def _holds(path: Path, keys: tuple[str, str]) -> bool:
    """Whether a plain file begins with these two keys, as a file of ours does."""
    try:
        start = read_start(path, _START).decode("utf-8", errors="replace")
    except OSError:
        return False
    first, second = keys
    return bool(re.match(rf'\{{\s*"{first}": \d+,\s*"{second}": ', start))
