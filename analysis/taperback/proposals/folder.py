"""A folder whose journal may not be written yet: all that it holds, read once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from taperback.common.errors import InputError
from taperback.importer.clocks import RightClock
from taperback.importer.folder import read_files, read_folder
from taperback.importer.home import likely_home
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.importer.readers.workers import Readers
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.files import read_typed
from taperback.journal.load import read_journal
from taperback.journal.model import DEFAULT_FILES, Journal
from taperback.proposals.athlete_toml import first_athlete
from taperback.proposals.several import refuse_athletes_folders, refuse_several_people
from taperback.raceweek.window.typed_legs import with_sessions


def read_unwritten(
    folder: Path,
    *,
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> tuple[Imported, Journal]:
    """The files, the journal's sessions among their legs, and the journal.

    Without an `athlete.toml`, files say where home is.

    Args:
        folder, workers, readers, progress: as `read_folder` has them.

    Raises:
        InputError: `athlete.toml` cannot be read; or there is none, and no activity either; or the
            folders in it are several people's.
    """
    refuse_athletes_folders(folder)
    if read_typed(folder / ATHLETE) is not None:
        journal = read_journal(folder)
        home_zone = journal.athlete.home_zone
        clocks = [RightClock(c.files, c.right_start, c.shift_h) for c in journal.clocks]
        imported = read_folder(
            folder, home_zone, clocks=clocks, workers=workers, readers=readers, progress=progress
        )
        return with_sessions(imported, journal), journal
    contents = read_files(folder, workers=workers, readers=readers, progress=progress)
    if not any((folder / file).exists() for file in DEFAULT_FILES.values()):
        refuse_several_people(folder, contents.legs)
        if not contents.legs:
            remedy = "put FIT, TCX or GPX files in it"
            raise InputError("it holds no activity that can be read", remedy, str(folder))
    home = likely_home(contents.legs)
    imported = contents.on_calendar(home.zone)
    name = folder.resolve().name
    journal = read_journal(folder, first_athlete(imported.legs, name, home))
    imported = with_sessions(imported, journal)
    sports = first_athlete(imported.legs, name, home).sports
    return imported, replace(journal, athlete=replace(journal.athlete, sports=sports))
