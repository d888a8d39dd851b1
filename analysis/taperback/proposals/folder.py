"""A folder whose journal may not be written yet: all that it holds, read once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from taperback.common.errors import InputError
from taperback.common.wording import number_of, some
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
        InputError: `athlete.toml` cannot be read; or there is none, and no activity either, or the
            folders in it are athletes.
    """
    if read_typed(folder / ATHLETE) is not None:
        journal = read_journal(folder)
        home_zone = journal.athlete.home_zone
        clocks = [RightClock(c.files, c.right_start, c.shift_h) for c in journal.clocks]
        imported = read_folder(
            folder, home_zone, clocks=clocks, workers=workers, readers=readers, progress=progress
        )
        return with_sessions(imported, journal), journal
    _refuse_a_squad(folder)
    contents = read_files(folder, workers=workers, readers=readers, progress=progress)
    if not contents.legs and not any((folder / file).exists() for file in DEFAULT_FILES.values()):
        raise InputError(
            "it holds no activity that can be read", "put FIT, TCX or GPX files in it", str(folder)
        )
    home = likely_home(contents.legs)
    imported = contents.on_calendar(home.zone)
    name = folder.resolve().name
    journal = read_journal(folder, first_athlete(imported.legs, name, home))
    imported = with_sessions(imported, journal)
    sports = first_athlete(imported.legs, name, home).sports
    return imported, replace(journal, athlete=replace(journal.athlete, sports=sports))


def _refuse_a_squad(folder: Path) -> None:
    """Nothing where the folder may be one athlete's: with a journal, or with none below it.

    Raises:
        InputError: folders in it have an athlete's journal, so that their files are several
            people's.
    """
    names = (ATHLETE, *DEFAULT_FILES.values())
    if any((folder / name).exists() for name in names):
        return
    athletes = [
        path.name
        for path in sorted(folder.glob("*"))  # a folder that is gone is said by whoever reads it
        if path.is_dir() and not path.name.startswith(".")
        if any((path / name).is_file() for name in (ATHLETE, DEFAULT_FILES["races"]))
    ]
    if athletes:
        raise InputError(
            f"it holds the folder of {number_of(len(athletes), 'athlete')} ({some(athletes)}), and "
            "is none itself",
            "use taperback squad for all of them, or name the folder of one",
            str(folder),
        )
