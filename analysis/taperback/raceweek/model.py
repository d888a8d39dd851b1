"""One row per race: each measure with what it rests on, or the reason why it is unknown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from taperback.common.notices import Notice
from taperback.journal.columns import RATINGS


@dataclass(frozen=True)
class Measured:
    """One measure of one race week.

    Attributes:
        name: a key of `taperback.common.quantities.QUANTITIES`.
        value: the number or word, or None where it is unknown.
        reason: why it is unknown, as a clause that can follow "unknown: "; empty where known.
        basis: one sentence that says how the value was made (rule, threshold, signal, source).
        days: the local days it rests on, in order.
        legs: ids of the legs it rests on, in order.
        caveat: a few words that stand wherever the value does, such as "older weeks"; mostly empty.
    """

    name: str
    value: float | str | None
    reason: str = ""
    basis: str = ""
    days: tuple[date, ...] = ()
    legs: tuple[str, ...] = ()
    caveat: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a value."""
        return self.value is not None


def unknown(name: str, reason: str, days: tuple[date, ...] = ()) -> Measured:
    """A measure that is not known, with the reason."""
    return Measured(name, None, reason, days=days)


@dataclass(frozen=True)
class Flag:
    """A session in the last ten days that left the athlete's own habit.

    Attributes:
        rule: `long`, `hard`, `late`, `catching_up`, `first_time` or `on_feet`.
        day: local day of the session.
        day_before: days before the race as a positive number.
        legs: ids of the legs it rests on.
        session: what the session was, in a few words.
        figure: what was measured, in `unit`.
        limit: what the rule allows, in `unit`.
        unit: unit of figure and limit.
        seen_before: how many sessions of the baseline were like it or beyond it; days for `late`
            and `on_feet`, pairs of weeks for `catching_up`.
        out_of: how many sessions, days or pairs of weeks of the baseline it was compared with.
    """

    rule: str
    day: date
    day_before: int
    legs: tuple[str, ...]
    session: str
    figure: float
    limit: float
    unit: str
    seen_before: int
    out_of: int


DAY_COLUMNS = (
    "day",
    "days_to_race",
    "state",
    "hours",
    "besides",
    "hard_min",
    "sleep_h",
    "sleep_source",
    "travel",
)
"""Columns of `RaceWeek.days`, one row a day from -56, or the first older week, to 0 in order.

Local day (`datetime.date`); days to the race (up to 0); state (`recorded`, `rest` or `unknown`);
hours of training by sport (a dict; on day 0 the race itself is out); hours of what does not
count, by activity (a dict); minutes above the second threshold (NaN
where unknown); hours slept in the night that ended on the day (NaN where unknown) and its source
(`journal`, `file` or empty); what travel fell on the day (`depart`, `arrive`, `away` or empty)."""


DIARY_COLUMNS = (
    "day",
    "days_to_race",
    *RATINGS,
    "hooper_index",
    "resting_hr_bpm",
    "on_feet_h",
    "massage",
    "notes",
)
"""Columns of `RaceWeek.diary`, one row for each day from -21 to 0 of which something was typed.

The columns of `Journal.days` as they were typed; NaN, None or empty where nothing was."""


def no_diary() -> pd.DataFrame:
    """The diary of a race week of which nothing was typed."""
    return pd.DataFrame(columns=list(DIARY_COLUMNS))


@dataclass(frozen=True)
class RaceWeek:
    """One race and the weeks before it, measured.

    Attributes:
        race_id: stable name for links and tables: the date, with `-2` where a date holds two.
        name: the race's name as typed, or "race of <date>".
        day0: the race's local date.
        race: the race's row of the journal, by column name.
        measures: every measure by name, in the order of the table.
        days: one row a day, columns `DAY_COLUMNS`.
        flags: panic training, in order of day.
        race_legs: ids of the legs that are the race itself.
        facts: sentences of description that no measure carries, such as a shared baseline.
        notices: what the files say against the race's row of the journal.
        doubted_column: column of that row that is not believed for it; empty where all is.
        lost_to: as `Window` has it.
        scale: what the races' results are compared by, a name of `SCALES`; empty without any.
        diary: what the athlete typed of the last three weeks' days, columns `DIARY_COLUMNS`; it is
            shown and never tested.
    """

    race_id: str
    name: str
    day0: date
    race: Mapping[str, object]
    measures: Mapping[str, Measured]
    days: pd.DataFrame
    flags: tuple[Flag, ...]
    race_legs: tuple[str, ...]
    facts: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()
    doubted_column: str = ""
    scale: str = ""
    diary: pd.DataFrame = field(default_factory=no_diary)
    lost_to: tuple[str, ...] = ()

    @property
    def looked_at(self) -> bool:
        """Whether panic training could be looked for in all of the last days."""
        sessions = self.measures.get("panic_sessions")
        return sessions is not None and sessions.known

    def number(self, name: str) -> float | None:
        """One measure as a number; None where it is unknown, a word, or not measured."""
        measured = self.measures.get(name)
        value = measured.value if measured else None
        return float(value) if isinstance(value, (int, float)) else None
