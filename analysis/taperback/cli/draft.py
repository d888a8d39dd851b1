"""`taperback draft`: the files propose a journal; a person puts it right."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from taperback.cli.folders import expect_folder
from taperback.cli.progress import reading_bar
from taperback.cli.tell import tell
from taperback.common.errors import InputError
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.columns import TABLES
from taperback.journal.draft import BACKUPS, with_rows, write_whole
from taperback.journal.files import read_typed
from taperback.journal.model import Journal
from taperback.journal.proposed import Cells
from taperback.proposals.folder import read_unwritten
from taperback.proposals.propose import propose

ASKED = ("finish_time", "race_rpe")
"""What files cannot know of a race."""


def draft(
    folder: Annotated[
        Path, typer.Argument(help="One athlete's folder of activity files.", readable=False)
    ],
    show: Annotated[
        bool, typer.Option("--show", help="Say what would be written, and write nothing.")
    ] = False,
) -> None:
    """Propose the journal from the files: races, nights, trips, and athlete.toml if there is none.

    Rows are added, each with its evidence under "proposed"; nothing typed is changed.

    Example: taperback draft my-seasons
    """
    expect_folder(folder)
    with reading_bar() as progress:
        imported, journal = read_unwritten(folder, progress=progress)
    proposals = propose(imported, journal)
    if proposals.athlete_toml and show:
        for line in ("athlete.toml would be:", *proposals.athlete_toml.split("\n")):
            tell(line)
    elif proposals.athlete_toml:
        write_whole(folder, ATHLETE, proposals.athlete_toml.encode())
        tell(f"{ATHLETE}: written; check the home zone")
    tables = {"races": proposals.races, "nights": proposals.nights, "trips": proposals.trips}
    sound = {name: _add(folder, journal, name, rows, show) for name, rows in tables.items()}
    if proposals.races and sound["races"]:
        tell(
            f"Type into {journal.files['races']} what files cannot know: {' and '.join(ASKED)} of "
            "each race, and an expected_time or the field's reference_time to compare with. Files "
            "may show too many races and too few: one that was none is told by a word under "
            "leave_out, and one that is not there gets a row with its date."
        )
    if not all(sound.values()):
        raise typer.Exit(1)


def _add(folder: Path, journal: Journal, table: str, rows: tuple[Cells, ...], show: bool) -> bool:
    """Adds the rows to a table, or says why it cannot; whether it can.

    What cannot be read may tell of the same days, so that nothing is added beside it.
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
        _workbook(name, rows)
    return not lost


def _done(show: bool) -> str:
    return "proposed" if show else "added"


def _workbook(name: str, rows: tuple[Cells, ...]) -> None:
    """Says what could be added to a workbook, which is the athlete's to change."""
    count = f"{len(rows)} row{'' if len(rows) == 1 else 's'} to add by hand"
    tell(f"{name}: a workbook is never written to; {count}, or save it as CSV")
    for row in rows:
        told = ", ".join(f"{column} {cell}" for column, cell in row.items() if cell)
        tell(f"  {told}")


def _table(folder: Path, name: str, rows: tuple[Cells, ...], longer: bytes, show: bool) -> None:
    """Puts the longer table in place and says what was added, or what would be."""
    kept = (folder / name).exists() and rows and not show
    if rows and not show:
        write_whole(folder, name, longer)
    tell(f"{name}: {len(rows)} row{'' if len(rows) == 1 else 's'} {_done(show)}")
    if name != "nights.csv":
        for row in rows:
            day = row.get("date") or row.get("arrive_date")
            tell(f"  {day}: {row['proposed']}")
    if kept:
        tell(f"  the table as it was before the first draft: {BACKUPS / name}")
