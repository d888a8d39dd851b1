"""What each day was: recorded, rest or unknown; which weeks are a baseline; how the nights were."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.wording import number_of
from taperback.journal.model import Period


@dataclass(frozen=True)
class Block:
    """One week of the baseline, as days to the race.

    Attributes:
        first, last: days to the race, both included.
        kind: what keeps it out: `recovery`, `illness`, `injury`, `gap`, `unknown`, or empty.
        reason: the same in words, of the week itself without its subject; empty where it counts.
    """

    first: int
    last: int
    kind: str = ""
    reason: str = ""

    @property
    def usable(self) -> bool:
        """Whether the week counts."""
        return not self.reason

    def why_not(self, which: str) -> str:
        """The reason as a clause, in which the week is called that: it, one, each."""
        own = self.kind in ("recovery", "unknown")
        return f"{which} {self.reason}" if own else self.reason


Blocks = tuple[Block, ...]


def day_states(
    span: Sequence[date],
    recorded: set[date],
    periods: Iterable[Period],
    *,
    took_place: bool = False,
) -> pd.DataFrame:
    """One row a day of `span`, which ends on the race: `day`, `days_to_race`, `state`, `word`,
    `partial`.

    A day with a file is recorded. A day without one is rest where the journal explains it or where
    files lie close by on both sides; in a stretch as long as `unknown_run_days` without a word,
    before the first file and after the last one, it is unknown. A recorded day is partial where the
    journal says that records of it are missing.

    Args:
        span: local days.
        recorded: days with a file, those after the race included.
        periods: what the athlete explains.
        took_place: the journal says how the race went, so that it can close a short stretch.
    """
    word_of: dict[date, str] = {}
    for period in periods:
        word_of |= {day: period.kind for day in span if period.first <= day <= period.last}
    accounted = sorted(recorded | {day for day, kind in word_of.items() if kind != "gap"})
    race_day = span[-1]
    if took_place and _joins(race_day, recorded, accounted):
        accounted = sorted({*accounted, race_day})
    last = date.max if race_day in accounted else max(recorded, default=date.max)
    bounds = (min(recorded, default=None), last)
    rows = []
    for day in span:
        state, word = _state(day, recorded, word_of, accounted, bounds)
        partial = state == "recorded" and word_of.get(day) == "gap"
        rows.append((day, (day - race_day).days, state, word, partial))
    return pd.DataFrame(rows, columns=["day", "days_to_race", "state", "word", "partial"])


def _joins(race_day: date, recorded: set[date], accounted: list[date]) -> bool:
    """Whether a race without a file shows that recording went on up to it.

    It does where files soon go on after it. Where they do not, nobody can tell days off from files
    that are missing as the race's is, but for the day or two that many take off before a race.
    """
    limits = LIMITS.calendar
    after = min((day for day in recorded if day >= race_day), default=None)
    if after and (after - race_day).days <= limits.unknown_run_days:
        return True
    before = max((day for day in accounted if day < race_day), default=None)
    return before is not None and (race_day - before).days - 1 <= limits.open_days


def _state(
    day: date,
    recorded: set[date],
    word_of: dict[date, str],
    accounted: list[date],
    bounds: tuple[date | None, date],
) -> tuple[str, str]:
    """State and word of a day; `bounds`: the first and the last day that files tell of."""
    first, last = bounds
    kind = word_of.get(day, "")
    if day in recorded:
        return "recorded", "records are missing, says the journal" if kind == "gap" else ""
    if kind == "gap":
        return "unknown", "records are missing, says the journal"
    if kind:
        return "rest", f"the journal says {kind}"
    if first is None:
        return "unknown", "no file was found"
    if day < first:
        return "unknown", "before the first file"
    if day > last:
        return "unknown", "after the last file"
    place = bisect_left(accounted, day)
    run = (accounted[place] - accounted[place - 1]).days - 1
    if run >= LIMITS.calendar.unknown_run_days:
        return "unknown", f"{run} days without a file or a word in the journal"
    return "rest", "no file, and files lie close by"


def mark_blocks(
    days: pd.DataFrame, periods: Iterable[Period], races: Iterable[tuple[date, str]]
) -> Blocks:
    """The weeks of the baseline, earliest first, each with why it cannot be used.

    They are the six before the taper. Where too few of them can be used, older weeks come before
    them, back to the nearest that make up for it; where none do, the six are all.

    Args:
        days: as `day_states` gives them, from `older_first_day` on.
        periods: what the athlete explains.
        races: (date, name) of the athlete's other races that leave recovery behind them.
    """
    limits = LIMITS.baseline
    day0, begins = days["day"].iloc[-1], int(days["days_to_race"].iloc[0])
    lacking = days[(days["state"] == "unknown") | days["partial"]]
    not_known = list(zip(lacking["days_to_race"], lacking["word"], strict=True))
    periods, races, marked = list(periods), sorted(races), []
    for first in range(max(limits.older_first_day, begins), limits.last_day + 1, limits.block_days):
        last = first + limits.block_days - 1
        span = (day0 + timedelta(days=first), day0 + timedelta(days=last))
        unknown = [word for day, word in not_known if first <= day <= last]
        marked.append(Block(first, last, *_why_unusable(span, races, periods, unknown)))
    six = [block for block in marked if block.first >= limits.first_day]
    more = limits.fewest_blocks - sum(block.usable for block in six)
    older = [block for block in marked if block.first < limits.first_day and block.usable]
    if more <= 0 or len(older) < more:
        return tuple(six)
    return tuple(block for block in marked if block.first >= older[-more].first)


def _why_unusable(
    span: tuple[date, date],
    races: list[tuple[date, str]],
    periods: list[Period],
    unknown: list[str],
) -> tuple[str, str]:
    """`kind` and `reason` of a week; empty where nothing keeps it out of the baseline."""
    days = LIMITS.baseline.recovery_days
    for day, name in races:
        if day <= span[1] and day + timedelta(days=days) >= span[0]:
            return "recovery", f"holds {name} or the {days} days after it"
    for period in periods:
        if period.kind != "rest" and period.first <= span[1] and period.last >= span[0]:
            words = f"the journal says {period.words} from {period.first} to {period.last}"
            return period.kind, words
    if unknown:
        return "unknown", f"has {number_of(len(unknown), 'unknown day')} ({unknown[0]})"
    return "", ""
