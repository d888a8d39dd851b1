"""Everything in an athlete's folder, read once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from taperback.importer.copies import drop_copies
from taperback.importer.found import Found, find_files
from taperback.importer.model import Imported, legs_frame
from taperback.importer.nights import nights_frame
from taperback.importer.place import place_legs
from taperback.importer.reading import FileResult, read_one
from taperback.notices import Level, Notice


@dataclass(frozen=True)
class Progress:
    """How far an import has come."""

    files_done: int
    files: int
    training_h: float


def read_folder(
    folder: Path,
    home_zone: str,
    *,
    workers: int | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> Imported:
    """All legs and nights of a folder, each activity once.

    Args:
        folder: one athlete's folder; activity files lie in it at any depth.
        home_zone: IANA zone used where neither file nor position tells the local clock.
        workers: processes to read with; by default one a core.
        progress: called after each file.
    """
    found, notices = find_files(folder)
    results = list(_read_all(found, workers, progress))
    return gather(results, notices, home_zone)


def _read_all(
    found: list[Found],
    workers: int | None,
    progress: Callable[[Progress], None] | None,
) -> Iterable[FileResult]:
    hours = 0.0
    for done, results in enumerate(map(read_one, found), 1):
        hours += sum(leg.moving_s for result in results for leg in result.legs) / 3600
        if progress:
            progress(Progress(done, len(found), hours))
        yield from results


def gather(results: list[FileResult], notices: list[Notice], home_zone: str) -> Imported:
    """The results of all files as one set of tables, in an order that no worker can change."""
    results = sorted(results, key=lambda result: result.file)
    legs = legs_frame([leg for result in results for leg in result.legs])
    legs = place_legs(legs, home_zone)
    kept, copies = drop_copies(legs)
    sleeps = [(result.file, sleep) for result in results for sleep in result.sleeps]
    remarks = [*notices, *(remark for result in results for remark in result.remarks)]
    return Imported(
        legs=kept.sort_values(["start_utc", "leg_id"], ignore_index=True),
        nights=nights_frame(sleeps, home_zone),
        files=_files_frame(results, set(kept["file"])),
        copies=copies,
        notices=tuple(sorted(remarks)),
    )


def _files_frame(results: list[FileResult], used: set[str]) -> pd.DataFrame:
    """One row a file: what it was and whether it was used."""
    rows = []
    for result in results:
        unused = any(remark.level is Level.UNUSED for remark in result.remarks)
        kept = result.file in used or bool(result.sleeps)
        status = "used" if kept else "unused" if unused or not result.legs else "copy"
        hours = sum(leg.moving_s for leg in result.legs if leg.moving_s == leg.moving_s)
        rows.append(
            (result.file, result.digest, result.file_format, status, len(result.legs), hours)
        )
    columns = ["file", "digest", "file_format", "status", "legs", "training_s"]
    return pd.DataFrame(rows, columns=columns)
