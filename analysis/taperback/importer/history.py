"""The contents of all files as one set of tables, in an order that no worker can change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.importer.clocks import (
    RightClock,
    about_clocks,
    doubtful_clocks,
    put_right,
    silent_days,
    with_clock_set,
)
from taperback.importer.duplicates import drop_copies
from taperback.importer.file.one_file import Content
from taperback.importer.formats.formats import OTHER_JSON, OWN
from taperback.importer.local_day import place_legs
from taperback.importer.model import Imported, LegSummary, legs_frame
from taperback.importer.nights import clock_of, nights_frame
from taperback.importer.store.codec import unpack
from taperback.importer.store.rows import Kept

FILE_COLUMNS = ("file", "digest", "file_format", "status", "legs", "training_s")


def unpack_all(kept: Kept) -> list[tuple[str, Content]]:
    """(name, content) of every activity file, in order of name.

    Raises:
        NotOursError: the rows were not made by us.
    """
    pieces = sorted(piece for row in kept.jobs.values() for piece in row.pieces)
    read = [(piece.name, kept.contents[piece.digest]) for piece in pieces if piece.digest]
    contents = iter(unpack(read))
    files = []
    for piece in pieces:
        content = next(contents) if piece.digest else Content("", "")
        if piece.remarks:
            content = replace(content, remarks=(*piece.remarks, *content.remarks))
        files.append((piece.name, content))
    return files


@dataclass(frozen=True)
class FolderContents:
    """All that an athlete's files hold, as long as nobody has said which clock home has.

    Attributes:
        files: (name, content) of every activity file, in order of name.
        notices: remarks about the folder and its store.
        settled: as `Imported` has it.
    """

    files: list[tuple[str, Content]]
    notices: list[Notice]
    settled: bool = False

    @property
    def legs(self) -> list[LegSummary]:
        """Every leg of every file whose clock was set, copies among them."""
        return with_clock_set(self._all_legs)[0]

    @property
    def _all_legs(self) -> list[LegSummary]:
        return [leg for _, content in self.files for leg in content.legs]

    def on_calendar(self, home_zone: str, clocks: Iterable[RightClock] = ()) -> Imported:
        """Each activity once, on the local day that it has where `home_zone` is home.

        `clocks` put files right that a wrong clock dated.
        """
        files = self.files
        remarks = [*self.notices, *_remarks(files)]
        dated, never_set = with_clock_set(put_right(self._all_legs, clocks, home_zone))
        legs = place_legs(legs_frame(dated), home_zone)
        sleeps = [(name, sleep) for name, content in files for sleep in content.sleeps]
        nights, naps = nights_frame(sleeps, clock_of(legs, home_zone))
        legs, copies = drop_copies(legs)
        if len(copies):  # a copy may know the local clock better
            legs = place_legs(legs, home_zone)
        wrong = tuple(sorted((*never_set, *doubtful_clocks(legs))))
        remarks += [*_about_legs(legs), *about_clocks(wrong)]
        return Imported(
            legs=legs.sort_values(["start_utc", "leg_id"], ignore_index=True),
            nights=nights,
            files=_files_frame(files, set(legs["file"]), set(copies["file"])),
            copies=copies,
            notices=tuple(sorted([*remarks, *naps])),
            wrong_clocks=wrong,
            silent_days=silent_days(legs, wrong),
            settled=self.settled,
        )


def _remarks(files: list[tuple[str, Content]]) -> list[Notice]:
    """What was noticed about all files; many JSON files about something else share one line."""
    others = [content for _, content in files if content.file_format == OTHER_JSON]
    about_others = sorted(remark for content in others for remark in content.remarks)
    if len(others) > LIMITS.sleep_json.most_foreign:
        first, more = about_others[0], len(others) - 1
        about_others = [replace(first, found=f"{first.found}, nor do {more} more files", remedy="")]
    rest = (content for _, content in files if content.file_format != OTHER_JSON)
    return [*about_others, *(remark for content in rest for remark in content.remarks)]


def _about_legs(legs: pd.DataFrame) -> list[Notice]:
    """What was noticed about the legs that are used; a remark that many share is one line."""
    by_code: dict[str, list[Notice]] = {}
    for remarks in legs["remarks"]:
        for remark in remarks:
            by_code.setdefault(remark.code, []).append(remark)
    lines = []
    for alike in by_code.values():
        alike.sort()
        more = len(alike) - LIMITS.formats.most_alike
        if more <= 1:
            lines += alike
            continue
        lines += alike[:-more]
        found = f"{alike[-more].found}; the like is true of {more - 1} more sessions"
        lines.append(replace(alike[-more], found=found))
    return lines


def _files_frame(
    files: list[tuple[str, Content]], used: set[str], copies: set[str]
) -> pd.DataFrame:
    """One row a file: what it was and whether it was used."""
    rows = []
    for name, content in files:
        if content.file_format == OWN:
            continue
        kept = name in used or bool(content.sleeps)
        status = "used" if kept else "copy" if name in copies else "unused"
        training_s = sum(leg.moving_s for leg in content.legs if leg.moving_s == leg.moving_s)
        legs = len(content.legs)
        rows.append((name, content.digest, content.file_format, status, legs, training_s))
    return pd.DataFrame(rows, columns=list(FILE_COLUMNS))
