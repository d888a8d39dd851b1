"""Recordings that a wrong clock dated: which they probably are, and how they are put right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from fnmatch import fnmatchcase
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.importer.local_day import unix_seconds
from taperback.importer.model import LegSummary, day_in_name


@dataclass(frozen=True)
class RightClock:
    """What puts the clock of some files right; one of the two last is set.

    Attributes:
        files: names or patterns (`*`, `?`), as they lie in the athlete's folder.
        right_start: when the file began; without an offset, by the clock at home.
        shift_h: hours to add to every time.
    """

    files: tuple[str, ...]
    right_start: datetime | None = None
    shift_h: float | None = None

    def holds(self, file: str) -> bool:
        """Whether the file is meant, by its path or its own name."""
        names = (file, file.replace("!", "/").rpartition("/")[2])
        return any(fnmatchcase(name, pattern) for name in names for pattern in self.files)


def put_right(
    legs: Sequence[LegSummary], clocks: Iterable[RightClock], home_zone: str
) -> list[LegSummary]:
    """The legs with the times that the athlete says are right; the first clock that fits counts."""
    clocks = tuple(clocks)
    if not clocks:
        return list(legs)
    starts: dict[str, datetime] = {}
    for leg in legs:
        starts[leg.file] = min(leg.start_utc, starts.get(leg.file, leg.start_utc))
    return [_moved(leg, starts[leg.file], clocks, home_zone) for leg in legs]


def _moved(
    leg: LegSummary, file_start: datetime, clocks: tuple[RightClock, ...], home_zone: str
) -> LegSummary:
    clock = next((clock for clock in clocks if clock.holds(leg.file)), None)
    if clock is None:
        return leg
    if clock.right_start is not None:
        right = clock.right_start
        right = right if right.tzinfo else right.replace(tzinfo=ZoneInfo(home_zone))
        return replace(leg, start_utc=leg.start_utc + (right.astimezone(UTC) - file_start))
    return replace(leg, start_utc=leg.start_utc + timedelta(hours=clock.shift_h or 0.0))


def doubtful_clocks(legs: pd.DataFrame) -> list[Notice]:
    """Files dated years from all others, or far from the day in their own name, with what to write.

    Args:
        legs: columns `PLACED_COLUMNS`.
    """
    limits = LIMITS.clocks
    lonely = _lonely(unix_seconds(legs["start_utc"]))
    notices: dict[str, Notice] = {}
    for file, day, alone in zip(legs["file"], legs["local_day"], lonely, strict=True):
        named = day_in_name(file)
        far = named is not None and abs((day - named).days) > limits.name_apart_days
        if not (far or alone):
            continue
        why = f"while its name says {named}" if far else "years from all other files"
        right = f"{named}T07:00:00" if far else "the day and time that it began"
        found = f"it is dated {day}, {why}, so its clock was probably wrong"
        remedy = f'write into athlete.toml [[clocks]], files = ["{file}"], right_start = {right}'
        notices[file] = Notice(file, 0, "", "clock-doubtful", found, remedy)
    return list(notices.values())


def _lonely(starts_s: np.ndarray) -> np.ndarray:
    """Which legs lie in a small group that is years from the rest; bool, shape (n,)."""
    limits = LIMITS.clocks
    order = np.argsort(starts_s, kind="stable")
    apart = np.diff(starts_s[order]) > limits.lonely_days * 86_400
    group = np.concatenate([[0], np.cumsum(apart)])[: len(order)]
    sizes = np.bincount(group, minlength=1)
    lonely = np.zeros(len(starts_s), bool)
    lonely[order] = sizes[group] <= limits.lonely_share * len(starts_s)
    return lonely
