"""The files that a person types: which they are, and their bytes, read safely.

A folder may have come from anybody.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from taperback.common.errors import InputError, why_refused
from taperback.common.files.plain_file import read_start
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, unused

TABLE_SUFFIXES = (".csv", ".xlsx", ".xls", ".ods", ".numbers", ".tsv", ".txt")
"""What spreadsheets save tables as; of these, the first two are read."""

_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")


def table_file(folder: Path, name: str) -> str:
    """The file that holds a table: `races.csv`, or `races.xlsx` where there is no such."""
    workbook = f"{name}.xlsx"
    only_workbook = _is_there(folder / workbook) and not _is_there(folder / f"{name}.csv")
    return workbook if only_workbook else f"{name}.csv"


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def passed_over(folder: Path, files: Mapping[str, str]) -> list[Notice]:
    """Files that are named like a table and are not read."""
    notices = []
    for path in sorted(folder.iterdir()):
        name, suffix = path.stem.lower(), path.suffix.lower()
        used = files.get(name, path.name)
        if path.name == used or suffix not in TABLE_SUFFIXES:
            continue
        code, found = "not-read", "it is not read"
        remedy = f"save it as {name}.csv or {name}.xlsx"
        if _is_there(folder / used):
            code, found = "passed-over", f"it is not read, since {used} is there"
            remedy = "keep one of the two"
        notices.append(unused(path.name, code, found, remedy))
    return notices


def read_text(path: Path) -> str | None:
    """The file's text, whatever common encoding a spreadsheet gave it; None if there is no file.

    Raises:
        InputError: as `read_typed` has it, or it is UTF-16 and does not say so.
    """
    data = read_typed(path)
    return None if data is None else as_text(data, path.name)


def as_text(data: bytes, file: str) -> str:
    """The bytes of a file as text.

    Raises:
        InputError: it is UTF-16 and does not say so.
    """
    if data[:2] in _UTF16_MARKS:
        return data.decode("utf-16", errors="replace")
    if 0 in data[:2]:  # half of a letter, where UTF-16 begins without its mark
        raise InputError("it is text in UTF-16 without a mark", "save it as UTF-8", file)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def read_typed(path: Path) -> bytes | None:
    """The file's bytes; None if there is no file of that name.

    Raises:
        InputError: it is a link that leads out of its folder or nowhere, no file (a device or pipe
            could be read without end), far bigger than what anyone types, or cannot be opened.
    """
    try:
        return _read(path)
    except OSError as error:
        found = f"it cannot be opened ({why_refused(error)})"
        raise InputError(found, "allow reading it", path.name) from None


def _read(path: Path) -> bytes | None:
    if path.is_symlink() and not _leads_to_a_file_inside(path):
        found = "it is a link that leads out of the folder, or nowhere"
        raise InputError(found, "copy the file itself", path.name)
    if not path.exists():
        return None
    if not path.is_file():
        raise InputError("it is not a file that can be read", "take it out", path.name)
    most = LIMITS.journal.most_bytes[path.suffix[1:]]
    # of a link within the folder the file itself; whatever has come in its place is not followed
    data = read_start(path.resolve(), most + 1)
    if len(data) > most:
        size = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"
        found = f"it is bigger than {size}, which nobody types"
        remedy = "save the table as CSV" if path.suffix == ".xlsx" else "take it out"
        raise InputError(found, remedy, path.name)
    return data


def _leads_to_a_file_inside(path: Path) -> bool:
    try:
        target = path.resolve(strict=True)
    except (OSError, RuntimeError):  # nowhere, or round and round
        return False
    return target.is_relative_to(path.parent.resolve())
