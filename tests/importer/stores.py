"""A folder that is read, and its store in a cache of its own."""

from __future__ import annotations

from pathlib import Path

from importer.test_folder import HOME, later_run, zipped
from importer.xml_texts import gpx
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.importer.store.place import store_path

FILES = {
    "a.fit": later_run(0),
    "b/c.fit": later_run(30),
    "d.gpx": gpx(),
    "broken.fit": b"no",
    "z.zip": zipped({"e.fit": later_run(60), "f.fit": later_run(90)}),
}


def read(folder: Path) -> tuple[Imported, int]:
    """The import, and how many files had to be read for it."""
    steps: list[Progress] = []
    imported = read_folder(folder, HOME, progress=steps.append)
    return imported, sum(1 for _ in steps) and steps[-1].files_done


def place(folder: Path) -> Path:
    path = store_path(folder)
    assert path is not None
    return path


def told(imported: Imported) -> list[str]:
    return [str(notice) for notice in imported.notices if notice.code.startswith("store")]


ANEW = "cache of what was read: what was kept from earlier runs could not be read and is made anew"
