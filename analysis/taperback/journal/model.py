"""What a person typed: the athlete, the races, the nights and the trips."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from taperback.common.notices import Level, Notice
from taperback.journal.columns import TABLES

RACE_COLUMNS = ("row", *TABLES["races"].stored, "expected_source")
"""Columns of `Journal.races`. `row` is the line in the file, `date` a `datetime.date`, `sports` a
tuple of FIT sport names, times in seconds, `status` one of `STATUSES`; text that was not typed is
empty, a number that was not typed is NaN; `expected_source` says of what an
expected time is an estimate, and is empty where it was typed."""

NIGHT_COLUMNS = ("row", *TABLES["nights"].stored)
TRIP_COLUMNS = ("row", *TABLES["trips"].stored)


@dataclass(frozen=True)
class Threshold:
    """A personal limit and the day from which it holds.

    Attributes:
        since: first day on which it holds.
        sport: FIT sport name, or empty for all sports.
        name: `critical_power_w`, `critical_speed_mps`, `first_threshold_heart_rate_bpm`,
            `second_threshold_heart_rate_bpm`, `max_heart_rate_bpm` or `resting_heart_rate_bpm`.
        value: in the unit that the name ends with.
    """

    since: date
    sport: str
    name: str
    value: float


@dataclass(frozen=True)
class Period:
    """A stretch of days, first and last included, that the athlete explains."""

    first: date
    last: date
    kind: str
    notes: str = ""


@dataclass(frozen=True)
class Athlete:
    """One athlete, as `athlete.toml` says, or as activity files propose.

    Attributes:
        name: as the report should print it.
        home_zone: IANA zone of the athlete's home.
        sports: FIT sport names in the order that the report lists them.
        sex: `female`, `male` or empty; only the constants of Banister's TRIMP use it.
        thresholds: personal limits, each with the day from which it holds.
        periods: stretches of illness, injury, rest, or missing records.
        panic_limits: the athlete's own limits for panic training, by name; the others are shared.
        typed: whether a person wrote it; what activity files propose is not.
        home_guess: what the home zone is guessed from, where no position tells it; else empty.
    """

    name: str
    home_zone: str
    sports: tuple[str, ...] = ()
    sex: str = ""
    thresholds: tuple[Threshold, ...] = ()
    periods: tuple[Period, ...] = ()
    panic_limits: Mapping[str, float] = field(default_factory=dict)
    typed: bool = True
    home_guess: str = ""


_ROWS_LOST = ("unreadable", "empty", "no-column", "no-header", "open-quote", "not-read")
"""Remarks for which a file, or a row whose day they are told of, could not be used."""

DEFAULT_FILES = {table.name: table.file for table in TABLES.values()}
"""Table -> the file that holds it, unless the athlete keeps a workbook."""


@dataclass(frozen=True)
class Journal:
    """Everything that was typed and could be read.

    Attributes:
        athlete: the athlete.
        races, nights, trips: tables with `RACE_COLUMNS`, `NIGHT_COLUMNS`, `TRIP_COLUMNS`, in
            order of date.
        notices: what is wrong or doubtful, in order of file and row.
        files: table -> the file that holds it, whether it exists or not.
    """

    athlete: Athlete
    races: pd.DataFrame
    nights: pd.DataFrame
    trips: pd.DataFrame
    notices: tuple[Notice, ...] = ()
    files: Mapping[str, str] = field(default_factory=lambda: dict(DEFAULT_FILES))

    @property
    def has_faults(self) -> bool:
        """Whether something typed should be put right."""
        return any(notice.level is Level.FAULT for notice in self.notices)

    def lost_rows(self, table: str) -> tuple[Notice, ...]:
        """Why rows that were typed into a table, or all of them, could not be read."""
        return tuple(
            notice
            for notice in self.notices
            if notice.file.partition(".")[0].lower() == table
            and notice.code in _ROWS_LOST
            and notice.column in ("", *TABLES[table].required)
        )
