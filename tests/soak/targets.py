"""What a fuzzer may feed and what must hold: one function of bytes a reader.

A target raises nothing, whatever the bytes: the one error that a reader documents, `InputError`,
is caught here, and its line is looked at. `read_bytes` is not used on purpose, since it would turn
a fault of ours into a line.
"""

from __future__ import annotations

import atexit
import hashlib
import io
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import vobject

from faults.stage import FILES
from importer.fit_files import run_file
from importer.test_folder import put
from journal.test_workbook import RACES
from journal.test_workbook import workbook as workbook_of
from report.ahead import study_ahead
from report.squads import member, together
from taperback.common.errors import InputError
from taperback.common.lines import printable
from taperback.common.notices import Notice, note
from taperback.common.sinks import calendar_word
from taperback.importer.clocks import RightClock, lines_to_write
from taperback.importer.file.archives import Member, count_members, members, members_of
from taperback.importer.file.one_file import Content, read_bytes
from taperback.importer.fit.read import read_fit
from taperback.importer.formats.formats import claim
from taperback.importer.formats.gpx import read_gpx
from taperback.importer.formats.sleep_json import read_sleep_json
from taperback.importer.formats.tcx import read_tcx
from taperback.importer.history import FolderContents
from taperback.importer.model import LegSummary
from taperback.importer.recording import FileContent
from taperback.importer.store.codec import NotOursError, framed, pack, unpack
from taperback.importer.summary.summary import summarise
from taperback.journal.columns import TABLES
from taperback.journal.draft import with_rows
from taperback.journal.load import read_journal
from taperback.report.calendar_file import next_week_ics
from taperback.report.page import write_report
from taperback.report.squad_page import write_squad
from taperback.report.words.plan import session_words
from taperback.squad import codec as squad_codec
from taperback.study.review import review

HOME = "Europe/Lisbon"
BOOK = ("xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml")
JOURNAL = ("athlete.toml", *(table.file for table in TABLES.values()))
BETWEEN = b"\0\0\0"
"""What parts the files of a journal in one input."""

_MEMORY = Path("/dev/shm")


@cache
def scratch() -> Path:
    """A folder for what a reader wants to find on disk, in memory where the system has that."""
    place = Path(tempfile.mkdtemp(prefix="fuzz-", dir=_MEMORY if _MEMORY.is_dir() else None))
    atexit.register(shutil.rmtree, place)
    return place


def one_line(told: object) -> None:
    """A remark must be a line that any terminal can show."""
    assert str(told).isprintable(), f"not one line: {str(told)!r}"


def activity(reader: Callable[[bytes], FileContent], data: bytes) -> None:
    """A file's bytes become the rows of tables, or one line."""
    try:
        content = reader(data)
    except InputError as error:
        one_line(error)
        return
    legs: list[LegSummary] = []
    refused: list[Notice] = []
    for place, recording in enumerate(content.recordings):
        where = (place, len(content.recordings))
        try:
            leg = summarise(recording, file="", digest="0", place=where, file_format="fit")
        except InputError as error:
            one_line(error)
            refused.append(note("unreadable", error.found, error.remedy))
        else:
            legs.append(leg)
    kept = Content("0", "fit", tuple(legs), content.sleeps, (*content.remarks, *refused))
    (again,) = unpack([("a.fit", pack(kept))])
    assert len(again.legs) == len(legs)
    assert legs or again.sleeps or again.remarks, "neither used nor told"
    for notice in FolderContents([("a.fit", again)], list(again.remarks)).on_calendar(HOME).notices:
        one_line(notice)


def fit(data: bytes) -> None:
    activity(read_fit, data)


def tcx(data: bytes) -> None:
    activity(read_tcx, data)


def gpx(data: bytes) -> None:
    activity(read_gpx, data)


def sleep(data: bytes) -> None:
    activity(read_sleep_json, data)


def archives(data: bytes) -> None:
    """An archive on disk and the same bytes in memory hold the same, part by part and whole."""
    held = list(members("a.zip", data))
    for item in held:
        one_line(item.name if isinstance(item, Member) else item)
        if isinstance(item, Member):
            with suppress(InputError):
                claim(item.data)
    path = scratch() / "a.zip"
    path.write_bytes(data)
    count = count_members(path)
    assert _members(members_of(path, "a.zip", 0, count)) == _members(held)
    if 1 < count < 9:
        apart = [item for at in range(count) for item in members_of(path, "a.zip", at, at + 1)]
        assert _members(apart) == _members(held)


def _members(items: Iterable[Member | Notice]) -> list[Member | str]:
    """What was unpacked, and the names of what was refused: bytes and file give other reasons."""
    return [item if isinstance(item, Member) else item.file for item in items]


def journal(data: bytes) -> None:
    """Typed files are read as far as they go, and rows can be added to what stands there."""
    parts = data.split(BETWEEN, len(JOURNAL) - 1)
    for name, part in zip(JOURNAL, parts, strict=False):
        (scratch() / name).write_bytes(part)
    try:
        for notice in read_journal(scratch()).notices:
            one_line(notice)
    except InputError as error:
        one_line(error)
    for table, part in zip(TABLES.values(), parts[1:], strict=False):
        row = dict.fromkeys(table.header, "x")
        try:
            longer = with_rows(part, [row], table)
        except InputError as error:
            one_line(error)
            continue
        pairs = enumerate(zip(part, longer, strict=False))
        same = next((at for at, (one, other) in pairs if one != other), len(part))
        assert part[same:] in longer[same:], "a typed byte is lost"
    for name in JOURNAL:
        (scratch() / name).unlink(missing_ok=True)


def study(data: bytes) -> None:
    """Whatever the typed files say, a folder of activities becomes a report, or one line."""
    folder = scratch() / "athlete"
    if not folder.exists():
        put(folder, FILES)
    for name, part in zip(JOURNAL, data.split(BETWEEN, len(JOURNAL) - 1), strict=False):
        (folder / name).write_bytes(part)
    try:
        write_report(review(folder, workers=1), scratch() / "report")
    except InputError as error:
        one_line(error)
    for name in JOURNAL:
        (folder / name).unlink(missing_ok=True)


def clocks(data: bytes) -> None:
    """A file's name and what is typed about its clock give a calendar or lines; the lines that are
    to be written for a doubtful clock are read, and the file then has the day of its name."""
    named, _, typed = data.partition(BETWEEN)
    name = printable(named.decode("utf-8", "replace")).strip("/") or "a.fit"
    files = _clocked(name)
    told = f'home_zone = "{HOME}"\n'.encode()
    try:
        first = files.on_calendar(HOME, _typed_clocks(told + typed))
    except InputError as error:
        one_line(error)
        return
    for notice in first.notices:
        one_line(notice)
    for clock in files.on_calendar(HOME).wrong_clocks:
        if clock.file != name or clock.named is None:
            continue
        lines = "\n".join(map(printable, lines_to_write(clock)))
        again = files.on_calendar(HOME, _typed_clocks(told + lines.encode()))
        days = set(again.legs.loc[again.legs["file"] == name, "local_day"])
        assert days == {clock.named.day}, f"{lines!r} gives {days}"


def _typed_clocks(text: bytes) -> tuple[RightClock, ...]:
    (scratch() / "athlete.toml").write_bytes(text)
    journal = read_journal(scratch())
    for notice in journal.notices:
        one_line(notice)
    return tuple(
        RightClock(clock.files, clock.right_start, clock.shift_h) for clock in journal.clocks
    )


def _clocked(name: str) -> FolderContents:
    """A file of that name whose clock was never set, beside two that are well.

    They begin at no full hour: a file whose name holds a day and no hour would be their twin.
    """
    day = datetime(2030, 5, 1, 6, 13, 27, tzinfo=UTC)
    starts = {
        "b.fit": day,
        "c/d.fit": day + timedelta(days=1),
        name: datetime(1989, 12, 31, 1, tzinfo=UTC),
    }
    return FolderContents(
        [(file, _content_of(file, at)) for file, at in sorted(starts.items())], []
    )


@cache
def _one_leg() -> LegSummary:
    (leg,) = read_bytes(run_file(60), "d" * 64).legs
    return leg


def _content_of(name: str, start: datetime) -> Content:
    digest = hashlib.sha256(name.encode()).hexdigest()
    leg = replace(_one_leg(), file=name, digest=digest, start_utc=start)
    return Content(digest, "fit", (leg,))


def calendar(data: bytes) -> None:
    """Whatever a session is called, another reader finds each entry and its words in the file."""
    words = [part.decode("utf-8", "surrogateescape") for part in data.split(BETWEEN, 2)]
    sport, work, athlete = (*words, "", "", "")[:3]
    week = study_ahead().next_week
    sessions = tuple(replace(session, sport=sport, work=work) for session in week.sessions)
    text = next_week_ics(replace(week, sessions=sessions), athlete)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    found = vobject.readOne(text).vevent_list
    told = [calendar_word(session_words(session)) for session in sessions]
    assert [entry.summary.value for entry in found] == told
    assert len({entry.uid.value for entry in found}) == len(sessions)


def kept(data: bytes) -> None:
    """Whatever lies where an athlete's study was kept is refused, or makes a squad and its page."""
    packed = framed(zlib.compress(data, 1))
    try:
        one, _ = squad_codec.unpack("zed", packed)
    except NotOursError as error:
        one_line(printable(str(error)))
        return
    write_squad(together(member(0), one), scratch() / "squad")


def workbook(data: bytes) -> None:
    """A table kept as a workbook, whose parts may say anything, is read as far as it goes."""
    with zipfile.ZipFile(scratch() / "races.xlsx", "w") as book:
        for name, part in _frame().items():
            book.writestr(name, part)
        for name, part in zip(BOOK, data.split(BETWEEN, len(BOOK) - 1), strict=False):
            book.writestr(name, part)
    (scratch() / "athlete.toml").write_text(f'home_zone = "{HOME}"')
    for notice in read_journal(scratch()).notices:
        one_line(notice)
    for name in ("races.xlsx", "athlete.toml"):
        (scratch() / name).unlink()


def book_parts() -> dict[str, bytes]:
    """The parts of a small workbook, by name."""
    made = io.BytesIO()
    workbook_of(RACES, formats={"D2": "h:mm"}).save(made)
    with zipfile.ZipFile(made) as book:
        return {name: book.read(name) for name in book.namelist()}


@cache
def _frame() -> dict[str, bytes]:
    """The parts that are always the same."""
    return {name: part for name, part in book_parts().items() if name not in BOOK}


TARGETS = {
    "fit": fit,
    "tcx": tcx,
    "gpx": gpx,
    "sleep": sleep,
    "archives": archives,
    "journal": journal,
    "workbook": workbook,
    "study": study,
    "clocks": clocks,
    "calendar": calendar,
    "kept": kept,
}
