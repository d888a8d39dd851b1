"""`taperback check`: what is wrong in a folder, what is missing, what adding it would unlock."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import typer

from taperback.cli.progress import reading_bar
from taperback.cli.tell import line_of, tell
from taperback.common.notices import Level, Notice
from taperback.common.wording import number_of
from taperback.importer.clocks import lines_to_write
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.proposals.folder import read_unwritten
from taperback.proposals.propose import propose
from taperback.raceweek.ahead import RaceAhead, part_ahead
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.result.doubts import last_recorded_day, seen_today
from taperback.raceweek.table import race_weeks, with_files_word
from taperback.raceweek.window.counting import hours_by_activity, hours_words
from taperback.study.missing import Gap, gaps


def check(folder: Path) -> None:
    """Says file by file what is wrong, and race by race what is unknown and would make it known."""
    with reading_bar() as progress:
        imported, journal = read_unwritten(folder, progress=progress)
    today = today_in(journal.athlete.home_zone)
    last_day = last_recorded_day(imported)
    past, ahead = part_ahead(journal, last_day)
    weeks = seen_today(race_weeks(imported, past), today, journal.files["races"])
    journal = with_files_word(journal, weeks)
    races = race_lines(weeks, journal.files)
    recorded = [f"Last recorded day: {last_day}"] if last_day else []
    remarks = notice_lines((*journal.notices, *imported.notices))
    left_out = left_out_lines(imported, journal)
    for line in (*remarks, *left_out, *recorded, *races, *ahead_lines(ahead, today)):
        tell(line)
    for line in clock_lines(imported):
        tell(line)
    if imported.many_unread:
        tell(imported.many_unread_words)
    tell(what_next(folder, journal) if races else without_races(imported, journal, folder))
    if journal.has_faults or imported.many_unread:
        raise typer.Exit(1)


def today_in(zone: str) -> date:
    """Today's date where the athlete lives: there a race may be over that is elsewhere to come."""
    return datetime.now(ZoneInfo(zone)).date()


def notice_lines(notices: tuple[Notice, ...]) -> list[str]:
    """The remarks, gravest first, each group under its heading."""
    headings = {
        Level.FAULT: "To be put right",
        Level.UNUSED: "Not used",
        Level.NOTE: "Used, with a remark",
    }
    lines: list[str] = []
    for level, heading in headings.items():
        group = [str(notice) for notice in notices if notice.level is level]
        if group:
            lines += [f"{heading}:", *(f"  {line}" for line in group)]
    return lines


def left_out_lines(imported: Imported, journal: Journal) -> list[str]:
    """What does not count as training, in hours; no line where everything does."""
    _, besides = hours_by_activity(imported.legs, journal.athlete.counted)
    if not besides:
        return []
    which = "is none of the sports" if journal.athlete.counted else "is no endurance sport"
    return [
        f"Left out of training, since it {which}: {hours_words(besides)}. "
        "What should count is typed as sports in athlete.toml."
    ]


def clock_lines(imported: Imported) -> list[str]:
    """What to paste into athlete.toml where clocks were wrong, as a name tells it."""
    if not imported.wrong_clocks:
        return []
    entries = [["", *lines_to_write(clock)] for clock in imported.wrong_clocks]
    return [
        "",
        "Wrong clocks are put right by these lines at the end of athlete.toml. Day and hour are",
        "from the file's name, where it holds them; check each, by your watch:",
        *(f"  {line}".rstrip() for entry in entries for line in entry),
        "",
    ]


SHARED_BY = 3
"""A reason that so many races share is said once, before them."""


def race_lines(weeks: tuple[RaceWeek, ...], files: Mapping[str, str]) -> list[str]:
    """What many races lack alike; then each race: all known, or what is not and what would help."""
    missing = gaps(weeks, files)
    alike: dict[tuple[str, str], list[Gap]] = {}
    for gap in missing:
        alike.setdefault(_cause(gap), []).append(gap)
    lines = []
    for (label, reason), group in alike.items():
        if len(group) >= SHARED_BY:
            lines.append(f"{len(group)} races: {label} is unknown: {reason}")
            lines += _remedy_of_all(group, files)
    for week in weeks:
        if why := week.race.get("leave_out"):
            lines.append(f"{week.race_id} {week.name}: left out: {why}")
            continue
        own = [gap for gap in missing if gap.race_id == week.race_id]
        unknown = f"{number_of(len(own), 'measure is', 'measures are')} unknown"
        standing = unknown if own else "everything that evidence rests on is known"
        lines.append(f"{week.race_id} {week.name}: {standing}")
        for gap in own:
            if len(alike[_cause(gap)]) < SHARED_BY:
                lines.append(f"  {gap.label} is unknown: {gap.reason}")
                lines += [f"    {gap.remedy}"] if gap.remedy else []
    return lines


def ahead_lines(ahead: tuple[RaceAhead, ...], today: date) -> list[str]:
    """The races after the last recorded day, and what is missing of one that may be over."""
    return [
        f"{race.race_id} {race.name}: ahead, {number_of(race.days_to_go, 'day')} after the last "
        "recorded day"
        + (
            "; if it is over, type its finish_time or add its files"
            if race.day0 < today and race.race["status"] == "finished"
            else ""
        )
        for race in ahead
    ]


def _cause(gap: Gap) -> tuple[str, str]:
    """What is unknown, and why, without the names that differ from race to race."""
    return gap.label, "other races lie in their usual weeks" if gap.lost_to else gap.reason


def _remedy_of_all(group: list[Gap], files: Mapping[str, str]) -> list[str]:
    """What would help races that lack the same for the same reason."""
    lost_to = dict.fromkeys(name for gap in group for name in gap.lost_to)
    if lost_to:
        return [
            f"    these races: {', '.join(lost_to)}",
            f"    tune-up under aim in {files['races']}, for those that were trained through, "
            f"would make {group[0].label} known for {number_of(len(group), 'race')}",
        ]
    return [f"    {group[0].remedy}; so for the others"] if group[0].remedy else []


def what_next(folder: Path, journal: Journal) -> str:
    """What to do after a check."""
    if journal.has_faults:
        return f"Next: correct what is to be put right, then: {line_of('check', folder)}"
    return f"Next: {line_of('review', folder)}"


def without_races(imported: Imported, journal: Journal, folder: Path) -> str:
    """What to do where no race is typed: read what is, confirm what files show, or type one."""
    table = journal.files["races"]
    if journal.lost_rows("races"):
        return f"No race can be read: put right what is said of {table}."
    shown = len(propose(imported, journal).races)
    draft = f"{line_of('draft', folder)} writes them to {table}"
    which = "No past race" if len(journal.races) else "No race"
    if shown:
        races = "one race" if shown == 1 else f"{shown} races"
        return f"{which} is typed. The files show {races}: {draft}."
    return f"{which} is typed, and the files show none: write each into {table}, its date at least."
