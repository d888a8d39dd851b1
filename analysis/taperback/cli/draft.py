"""`taperback draft`: the files propose a journal; a person puts it right."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import typer

from taperback.cli.progress import reading_bar
from taperback.cli.tell import line_of, tell
from taperback.common.errors import InputError
from taperback.common.wording import listing
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.columns import TABLES
from taperback.journal.draft import BACKUPS, with_rows, write_whole
from taperback.journal.files import read_typed
from taperback.journal.model import Journal
from taperback.journal.proposed import Cells
from taperback.proposals.folder import read_unwritten
from taperback.proposals.propose import Proposals, propose

ASKED = (
    "finish_time and race_rpe of each race, and an expected_time or the field's reference_time to "
    "compare with, or place and field_size where no time tells the result"
)
"""What files cannot know of a race."""


def draft(folder: Path, show: bool) -> None:
    """Adds the rows that files propose to the journal's tables, or only says which they are."""
    with reading_bar() as progress:
        imported, journal = read_unwritten(folder, progress=progress)
    proposals = propose(imported, journal)
    if proposals.athlete_toml and show:
        for line in ("athlete.toml would be:", *proposals.athlete_toml.split("\n")):
            tell(line)
    elif proposals.athlete_toml:
        write_whole(folder, ATHLETE, proposals.athlete_toml.encode())
        tell(f"{ATHLETE}: written; check the home zone, and that all files are one person's")
    sound = {
        name: _add(folder, journal, name, _rows(proposals, name), show)
        for name, table in TABLES.items()
        if table.proposed
    }
    begun = [_begin(folder, journal, name, show) for name in TABLES if not _rows(proposals, name)]
    if files := [file for file in begun if file]:
        done = "would be written" if show else "written"
        tell(f"{listing(files)}: {done} with {'its' if len(files) == 1 else 'their'} columns only")
    if len(journal.races) and not any((*begun, *(_rows(proposals, name) for name in TABLES))):
        tell("The files show nothing that the journal does not have.")
    for line in _what_to_type(folder, journal, proposals.races, sound["races"]):
        tell(line)
    if not all(sound.values()):
        raise typer.Exit(1)


def _rows(proposals: Proposals, table: str) -> tuple[Cells, ...]:
    """The rows that files propose for a table; none where they cannot know any."""
    return getattr(proposals, table) if TABLES[table].proposed else ()


def _begin(folder: Path, journal: Journal, table: str, show: bool) -> str:
    """Puts a table without any row in place with its columns; its file, empty where it is there."""
    name = journal.files[table]
    if name != TABLES[table].file or journal.lost_rows(table):
        return ""
    typed = read_typed(folder / name) or b""
    begun = with_rows(typed, (), TABLES[table])
    if begun == typed:
        return ""
    if not show:
        write_whole(folder, name, begun)
    return name


def _what_to_type(
    folder: Path, journal: Journal, proposed: tuple[Cells, ...], sound: bool
) -> Iterator[str]:
    """What a person does next, in order."""
    file = journal.files["races"]
    if proposed and sound:
        yield (
            f"Type into {file} what files cannot know: {ASKED}. Each finish_time is the file's "
            "until you type the official one. The files may show a race that was not one: write "
            "any word in leave_out. If a race is missing, add a row with its date."
        )
        if any(map(_doubtful, proposed)):
            yield "A race marked perhaps is left out until you empty its leave_out."
    elif sound and not len(journal.races):
        yield f"The files show no race: add a row with its date to {file}, with {ASKED}."
    if sound:
        yield f"Then run: {line_of('check', folder)}"


def _add(folder: Path, journal: Journal, table: str, rows: tuple[Cells, ...], show: bool) -> bool:
    """Adds the rows to a table, or says why it cannot; whether it can.

    What cannot be read may be about the same days, so nothing is added beside it.
    """
    name = journal.files[table]
    lost = journal.lost_rows(table)
    for notice in lost:
        tell(str(notice), error=True)
    if lost:
        why = "since not all that is typed can be read; put that right first"
        tell(f"{name}: 0 rows {_done(show)}, {why}")
    elif name == f"{table}.csv":
        try:
            longer = with_rows(read_typed(folder / name) or b"", rows, TABLES[table])
        except InputError as error:
            tell(f"taperback: {error.at(name)}", error=True)
            return False
        _table(folder, name, rows, longer, show)
    else:
        count = f"{len(rows)} row{'' if len(rows) == 1 else 's'} to add by hand"
        tell(f"{name}: a workbook is never written to; {count}, or save it as CSV")
        for row in rows:
            tell(f"  {', '.join(f'{column} {cell}' for column, cell in row.items() if cell)}")
    return not lost


def _doubtful(row: Cells) -> bool:
    """Whether the files show a race only perhaps; such rows come after the sure ones."""
    return bool(row.get("leave_out"))


def _done(show: bool) -> str:
    return "proposed" if show else "added"


def _table(folder: Path, name: str, rows: tuple[Cells, ...], longer: bytes, show: bool) -> None:
    """Puts the longer table in place and says what was added, or what would be."""
    kept = (folder / name).exists() and rows and not show
    if rows and not show:
        write_whole(folder, name, longer)
    tell(f"{name}: {len(rows)} row{'' if len(rows) == 1 else 's'} {_done(show)}")
    if name != "nights.csv":
        for row in sorted(rows, key=_doubtful):
            day = row.get("date") or row.get("arrive_date")
            tell(f"  {'perhaps ' if _doubtful(row) else ''}{day}: {row['proposed']}")
    if kept:
        tell(f"  the table as it was before the first draft: {BACKUPS / name}")
