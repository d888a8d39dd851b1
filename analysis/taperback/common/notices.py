"""Remarks as data: what a reader noticed, where, and what the athlete can do about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from taperback.common.lines import printable


class Level(StrEnum):
    """How much a notice matters to the answer."""

    NOTE = "note"  # used, and worth knowing
    UNUSED = "unused"  # left out, with the reason; everything beside it is used
    FAULT = "fault"  # something typed is wrong and should be put right


@dataclass(frozen=True, order=True)
class Notice:
    """One remark about one place in the athlete's folder.

    Attributes:
        file: path relative to the athlete's folder, `archive.zip!inner.fit` inside an archive.
        row: line of a table as a text editor counts it (the header is 1), 0 where there is none.
        column: name of the column or setting, empty where there is none.
        code: short stable name of the kind of remark, such as `fit-crc`.
        found: what was found, in a few words.
        remedy: what was expected, or what to do; empty where nothing needs doing.
        level: how much it matters.
    """

    file: str
    row: int
    column: str
    code: str
    found: str
    remedy: str = ""
    level: Level = Level.NOTE

    def __str__(self) -> str:
        place = self.file
        if self.row:
            place += f", row {self.row}"
        if self.column:
            place += f", {self.column}"
        advice = f"; {self.remedy}" if self.remedy else ""
        return printable(f"{place}: {self.found}{advice}")

    def at(self, file: str) -> Notice:
        """The same remark about another file name."""
        return replace(self, file=file)


def note(code: str, found: str, remedy: str = "") -> Notice:
    """A remark about a whole file whose name the caller will add with `Notice.at`."""
    return Notice("", 0, "", code, found, remedy)


def unused(file: str, code: str, found: str, remedy: str) -> Notice:
    """Why a file, or something in it, is left out; `file` may be empty as in `note`."""
    return Notice(file, 0, "", code, found, remedy, Level.UNUSED)


def fault(file: str, row: int, column: str, code: str, found: str, remedy: str) -> Notice:
    """What is wrong in something typed; row and column as `Notice` has them."""
    return Notice(file, row, column, code, found, remedy, Level.FAULT)
