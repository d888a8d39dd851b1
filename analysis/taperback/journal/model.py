"""What a person typed: the athlete, and one table each of races, nights, trips and the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial

import pandas as pd

from taperback.common.notices import Level, Notice
from taperback.journal.columns import PERIOD_KINDS, TABLES
from taperback.journal.sports import Sport

RACE_COLUMNS = ("row", *TABLES["races"].stored, "expected_source")
"""Columns of `Journal.races`, one row a race.

`row` is the line in the file, here and in every table; `date` a `datetime.date`; `sports` a tuple
of FIT sport names; `finish_time_s`, `expected_time_s` and `reference_time_s` seconds, with
hundredths where they were typed; `status` one of `STATUSES`; `aim` one of `AIMS`; rows with the
same `event`, spelt the same, are stages or heats of one event; `start_time` a `datetime.time` on
the athlete's watch or None; `breakfast_h` hours from the last meal to the start. Text that was not
typed is empty, a number that was not typed is NaN. `expected_source` says of what an expected time
is an estimate, and is empty where it was typed.
"""

NIGHT_COLUMNS = ("row", *TABLES["nights"].stored)
"""Columns of `Journal.nights`, one row a night: `date` is the day of waking, `sleep_h` hours,
`quality` from 1 (bad) to 5 (good)."""

TRIP_COLUMNS = ("row", *TABLES["trips"].stored)
"""Columns of `Journal.trips`: `depart_date` a `datetime.date` or None, `arrive_date`, which lies a
day before it on some ways east over the date line; `from_zone` and `to_zone` IANA zones or empty;
`travel_h` door to door; `mode` and `notes` as typed."""

SESSION_COLUMNS = ("row", *TABLES["sessions"].stored, "sub_sport")
"""Columns of `Journal.sessions`, one row a session, several a day: `sport` and `sub_sport` by the
FIT profile's names, `sport` the typed word where none is known and empty where none was typed;
`duration_s` seconds, NaN where not known, so that the hours of its day are not known either;
`distance_km`, `hard_min` (minutes above the second threshold, as the athlete saw it), `rpe` from 0
to 10."""

DAY_COLUMNS = ("row", *TABLES["days"].stored, "hooper_index")
"""Columns of `Journal.days`, one row a day: `fatigue`, `stress`, `soreness` and `poor_sleep` from 1
(very, very low) to 7 (very, very high); `resting_hr_bpm`; `on_feet_h`; `massage` True, False or
None; `hooper_index` the sum of the four ratings, NaN unless all four are typed."""


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

    @property
    def words(self) -> str:
        """Its kind, as a sentence says it."""
        return next(words for words, kind in PERIOD_KINDS.items() if kind == self.kind)


@dataclass(frozen=True)
class Clock:
    """Recordings that a wrong clock dated, and what puts them right; one of the two is set.

    Attributes:
        files: names or patterns (`*`, `?`) of files, as they lie in the athlete's folder.
        right_start: when the one file began: on the athlete's watch, or with an offset.
        shift_h: hours to add to every time of the files.
    """

    files: tuple[str, ...]
    right_start: datetime | None = None
    shift_h: float | None = None


@dataclass(frozen=True)
class Athlete:
    """One athlete, as `athlete.toml` says, or as activity files propose.

    Attributes:
        name: as the report should print it.
        home_zone: IANA zone of the athlete's home.
        sports: FIT sport names in the order that the report lists them.
        counted: what the athlete typed as `sports`, that is, what counts as training; with a
            `sub_sport` only where that alone is meant, as in yoga, which is a kind of `training`.
            Empty where nothing was typed.
        sex: `female`, `male` or empty; only the constants of Banister's TRIMP use it.
        thresholds: personal limits, each with the day from which it holds.
        periods: stretches of illness, injury, rest, or missing records, of `athlete.toml` and
            `periods.csv` together, each once, in order.
        clocks: recordings whose clock was wrong.
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
    counted: tuple[Sport, ...] = ()
    clocks: tuple[Clock, ...] = ()
    typed: bool = True
    home_guess: str = ""


_ROWS_LOST = ("unreadable", "empty", "no-column", "no-header", "open-quote", "not-read")
"""Remarks for which a file, or a row of whose day they are, could not be used."""


def empty(columns: tuple[str, ...]) -> pd.DataFrame:
    """A table without rows."""
    return pd.DataFrame(columns=list(columns))


DEFAULT_FILES = {table.name: table.file for table in TABLES.values()}
"""Table -> the file that holds it, unless the athlete keeps a workbook."""


@dataclass(frozen=True)
class Journal:
    """Everything that was typed and could be read.

    Attributes:
        athlete: the athlete.
        races, nights, trips: tables with `RACE_COLUMNS`, `NIGHT_COLUMNS`, `TRIP_COLUMNS`, in
            order of date.
        sessions: what no watch recorded, with `SESSION_COLUMNS`; days: the diary of race weeks,
            with `DAY_COLUMNS`; both in order of date.
        no_trips: whether the athlete keeps a table of trips in which there are none, so that there
            were none; a table as it was drafted does not say so.
        notices: what is wrong or doubtful, in order of file and row.
        files: table -> the file that holds it, whether it exists or not.
    """

    athlete: Athlete
    races: pd.DataFrame
    nights: pd.DataFrame
    trips: pd.DataFrame
    notices: tuple[Notice, ...] = ()
    files: Mapping[str, str] = field(default_factory=lambda: dict(DEFAULT_FILES))
    sessions: pd.DataFrame = field(default_factory=partial(empty, SESSION_COLUMNS))
    days: pd.DataFrame = field(default_factory=partial(empty, DAY_COLUMNS))
    no_trips: bool = False

    @property
    def clocks(self) -> tuple[Clock, ...]:
        """Recordings whose clock was wrong."""
        return self.athlete.clocks

    @property
    def periods(self) -> tuple[Period, ...]:
        """Stretches of days that the athlete explains, wherever they were typed."""
        return self.athlete.periods

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
