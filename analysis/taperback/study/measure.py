"""The first part of the way, from a folder to its race weeks; it needs no statistics."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.importer.readers.workers import Readers
from taperback.journal.model import Journal
from taperback.proposals.folder import read_unwritten
from taperback.proposals.propose import propose
from taperback.raceweek.ahead import RaceAhead, part_ahead
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.result.doubts import last_recorded_day
from taperback.raceweek.table import race_weeks, with_files_word


@dataclass(frozen=True)
class MeasuredFolder:
    """A folder's race weeks, and what they were made from; attributes as `Study` has them."""

    journal: Journal
    imported: Imported
    weeks: tuple[RaceWeek, ...]
    unconfirmed: bool
    ahead: tuple[RaceAhead, ...]
    last_day: date | None


def measure_folder(
    folder: Path,
    *,
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> MeasuredFolder:
    """Every race week of one athlete's folder; arguments and errors as `review` has them."""
    imported, journal = read_unwritten(folder, workers=workers, readers=readers, progress=progress)
    last_day = last_recorded_day(imported)
    past, ahead = part_ahead(journal, last_day)
    unconfirmed = not len(past.races) and not journal.lost_rows("races")
    if unconfirmed:
        journal = propose(imported, journal).added_to(journal)
        past, _ = part_ahead(journal, last_day)
    weeks = race_weeks(imported, past)
    return MeasuredFolder(
        with_files_word(journal, weeks),
        imported,
        weeks,
        unconfirmed and bool(weeks),
        ahead,
        last_day,
    )
