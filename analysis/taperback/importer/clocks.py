"""Recordings that a wrong clock dated: which they probably are, and how they are put right."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from fnmatch import fnmatchcase
from glob import escape
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, unused
from taperback.importer.file_names import Moment, named_moment
from taperback.importer.local_day import unix_seconds
from taperback.importer.model import LegSummary, WrongClock


@dataclass(frozen=True)
class RightClock:
    """What puts the clock of some files right; one of the two last is set.

    Attributes:
        files: names or patterns (`*`, `?`, `[1-3]`), as they lie in the athlete's folder; where a
            name holds such a sign it stands in brackets, as in `[[]` or `[*]`.
        right_start: when the file began; without an offset, by the clock at home.
        shift_h: hours to add to every time.
    """

    files: tuple[str, ...]
    right_start: datetime | None = None
    shift_h: float | None = None

    def holds(self, file: str) -> bool:
        """Whether the file is meant, by its path or its own name."""
        names = (file, file.replace("!", "/").rpartition("/")[2])
        return any(
            name == pattern or fnmatchcase(name, pattern)
            for name in names
            for pattern in self.files
        )


def put_right(
    legs: Sequence[LegSummary], clocks: Iterable[RightClock], home_zone: str
) -> list[LegSummary]:
    """The legs with the times that the athlete says are right; the first clock that fits counts."""
    clocks = tuple(clocks)
    starts: dict[str, datetime] = {}
    for leg in legs:
        starts[leg.file] = min(leg.start_utc, starts.get(leg.file, leg.start_utc))
    moved = []
    for leg in legs:
        clock = next((clock for clock in clocks if clock.holds(leg.file)), RightClock(()))
        shift = timedelta(hours=clock.shift_h or 0.0)
        if (right := clock.right_start) is not None:
            right = right if right.tzinfo else right.replace(tzinfo=ZoneInfo(home_zone))
            shift = right.astimezone(UTC) - starts[leg.file]
        moved.append(replace(leg, start_utc=leg.start_utc + shift) if shift else leg)
    return moved


def with_clock_set(
    legs: Sequence[LegSummary],
) -> tuple[list[LegSummary], tuple[WrongClock, ...]]:
    """(legs that have a date, files whose clock was never set, none of whose legs has one)."""
    first = LIMITS.cleaning.first_year
    names = {leg.file for leg in legs}
    unset = {
        leg.file: WrongClock(leg.file, leg.start_utc.date(), _named(leg.file, names), True)
        for leg in legs
        if leg.start_utc.year < first
    }
    return [leg for leg in legs if leg.file not in unset], tuple(unset.values())


def doubtful_clocks(legs: pd.DataFrame) -> tuple[WrongClock, ...]:
    """Files dated years from all others, or far from the day in their own name.

    Args:
        legs: columns `PLACED_COLUMNS`.
    """
    limits, names, starts_s = LIMITS.clocks, set(legs["file"]), unix_seconds(legs["start_utc"])
    # Those stand alone that lie in a small group which is years from the rest.
    order = np.argsort(starts_s, kind="stable")
    apart = np.diff(starts_s[order]) > limits.lonely_days * 86_400
    group = np.concatenate([[0], np.cumsum(apart)])[: len(order)]
    lonely = np.zeros(len(order), bool)
    most = min(limits.lonely_files, limits.lonely_share * len(order))
    lonely[order] = np.bincount(group, minlength=1)[group] <= most
    found: dict[str, WrongClock] = {}
    for file, day, alone in zip(legs["file"], legs["local_day"], lonely, strict=True):
        named = _named(file, names)
        far = named is not None and abs((day - named.day).days) > limits.name_apart_days
        if far or (alone and named is None):
            found[file] = WrongClock(file, day, named)
    return tuple(found.values())


def silent_days(legs: pd.DataFrame, clocks: Sequence[WrongClock]) -> frozenset[date]:
    """Days without a file that sessions of wrong clocks may be of, where no name tells their day.

    In the habit of somebody who trains on most days, a silence of some days is taken for theirs,
    unless it has more than twice as many days as there are such sessions.

    Args:
        legs: columns `PLACED_COLUMNS`.
        clocks: every wrong clock.
    """
    limits = LIMITS.clocks
    unnamed = {clock.file for clock in clocks if clock.named is None}
    lost = sum(1 for clock in clocks if clock.never_set and clock.named is None)
    lost += int(legs["file"].isin(unnamed).sum())
    days = sorted(set(legs.loc[~legs["file"].isin(unnamed), "local_day"]))
    silent: set[date] = set()
    for place, (before, after) in enumerate(pairwise(days)):
        length = (after - before).days - 1
        if not limits.silent_days <= length <= 2 * lost:
            continue
        since = before - timedelta(days=limits.habit_days)
        habit = place + 1 - bisect_right(days, since)
        if habit >= limits.habit_share * limits.habit_days:
            silent |= {before + timedelta(days=k + 1) for k in range(length)}
    return frozenset(silent)


def about_clocks(clocks: Iterable[WrongClock]) -> list[Notice]:
    """A line for each wrong clock, with what to write."""
    notices = []
    for clock in clocks:
        words = f"write into athlete.toml {', '.join(lines_to_write(clock))}"
        if clock.never_set:
            found = f"it is dated {clock.dated}, so its clock was not set"
            notices.append(unused(clock.file, "clock-unset", found, words))
            continue
        why = "years from all other files"
        if clock.named is not None:
            why = f"while its name says {clock.named.day}"
        found = f"it is dated {clock.dated}, {why}, so its clock was probably wrong"
        notices.append(Notice(clock.file, 0, "", "clock-doubtful", found, words))
    return notices


def lines_to_write(clock: WrongClock) -> tuple[str, str, str]:
    """The entry of `athlete.toml` that puts the file right, with the moment that its name gives.

    >>> lines_to_write(WrongClock("a.fit", date(2020, 1, 1), Moment(date(2030, 5, 1), time(7, 30))))
    ('[[clocks]]', 'files = ["a.fit"]', 'right_start = 2030-05-01T07:30:00')
    """
    right = '"the day and time that it began"'  # refused by athlete.toml until it is one
    if clock.named is not None:
        right = f"{clock.named.day}T{clock.named.hour or _NO_HOUR}"
    name = escape(clock.file).replace("\\", "\\\\").replace('"', '\\"')
    return "[[clocks]]", f'files = ["{name}"]', f"right_start = {right}"


_NO_HOUR = time(7)


def names_one_file(pattern: str) -> bool:
    """Whether it is a file's name, in which signs of a pattern stand in brackets.

    >>> names_one_file("run [[]1].fit"), names_one_file("run [1].fit")
    (True, False)
    """
    return not re.search(r"[*?[]", re.sub(r"\[[*?[]\]", "", pattern))


def _named(file: str, names: Collection[str]) -> Moment | None:
    """What the file's name gives, or its archive's where that holds nothing else."""
    archive = file.rpartition("!")[0]
    alone = archive and sum(name.startswith(f"{archive}!") for name in names) == 1
    return named_moment(file) or (named_moment(archive) if alone else None)
