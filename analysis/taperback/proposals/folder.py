"""A folder whose journal may not be written yet: all that it holds, read once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from taperback.common.errors import InputError
from taperback.importer.folder import read_files, read_folder
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.journal.athlete import FILE as ATHLETE
from taperback.journal.files import read_typed
from taperback.journal.load import read_journal
from taperback.journal.model import Journal
from taperback.proposals.athlete_toml import first_athlete


def read_unwritten(
    folder: Path, progress: Callable[[Progress], None] | None = None
) -> tuple[Imported, Journal]:
    """The files and the journal; without an `athlete.toml`, files say where home is.

    Raises:
        InputError: `athlete.toml` cannot be read; or there is none, and no file has a position.
    """
    if read_typed(folder / ATHLETE) is not None:
        journal = read_journal(folder)
        return read_folder(folder, journal.athlete.home_zone, progress=progress), journal
    contents = read_files(folder, progress=progress)
    home = contents.likely_home()
    if not home:
        raise _homeless(folder, any(content.legs for _, content in contents.files))
    imported = contents.on_calendar(home)
    return imported, read_journal(folder, first_athlete(imported.legs, folder.resolve().name, home))


def _homeless(folder: Path, has_legs: bool) -> InputError:
    if not has_legs:
        found = "it holds no activity that can be read"
        return InputError(found, "put FIT, TCX or GPX files in it", str(folder))
    return InputError(
        "no file has a position, so where home is cannot be told",
        'write athlete.toml with two lines: name = "…" and home_zone = "Europe/Lisbon"',
        str(folder),
    )
