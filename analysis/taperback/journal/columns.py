"""The journal's tables: their columns, and how a typed cell of each is read."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from functools import partial

from taperback.journal import cells, sports, times
from taperback.journal.days import day, day_reader

NAN = float("nan")

STATUSES = ("finished", "dnf", "dns", "short_course", "cancelled")
"""How a race ended; an empty cell means finished."""

NOT_STARTED = ("dns", "cancelled")
"""Of these, the races that the athlete did not start."""

AIMS = ("main", "tune-up")
"""What a race is for; an empty cell means main. A tune-up is trained through."""

PERIOD_KINDS = {"illness": "illness", "injury": "injury", "rest": "rest", "no records": "gap"}
"""Why a stretch of days is not ordinary training, as typed and as stored: `gap` means that records
are missing; `rest` means that the athlete did nothing on purpose: its days are rest days."""

Read = Callable[[str], object]


@dataclass(frozen=True)
class Column:
    """One column of a journal table.

    Attributes:
        read: what turns a typed cell into a value; raises `InputError` without a place.
        absent: the value of an empty or unreadable cell.
        required: whether a row without it cannot be used.
        choose: what picks the reader from all cells of the column, where one cell cannot tell.
        stored: what the journal calls it, where that is not the name that people type.
        also: further names that people give it; with a reader where the name tells a unit.
        wanted: what is not known while the cell is empty, where that is worth a line.
        remark: what is noted of a cell that is used: (finding, remedy), or None.
    """

    read: Read
    absent: object
    required: bool = False
    choose: Callable[[list[str]], Read] | None = None
    stored: str = ""
    also: Mapping[str, Read | None] = field(default_factory=dict)
    wanted: str = ""
    remark: Callable[[str], tuple[str, str] | None] | None = None


def period_kind(cell: str) -> str:
    """Why a stretch of days is not ordinary training, as stored.

    >>> period_kind("No records"), period_kind("gap")
    ('gap', 'gap')
    """
    if cell.strip().lower() in PERIOD_KINDS.values():
        return cell.strip().lower()
    return PERIOD_KINDS[cells.choice(cell, words=tuple(PERIOD_KINDS))]


def _named(*names: str) -> Mapping[str, Read | None]:
    return dict.fromkeys(names)


def _distance(scale_km: float) -> Read:
    most = 2000.0
    what = f"a distance of up to {most:g} km, as a number"
    read = cells.bounded(0, most / scale_km, what)
    return lambda cell: read(cell) * scale_km


_day = partial(Column, day, None, required=True, choose=day_reader)
_text = Column(cells.text, "")
_notes = Column(cells.text, "", also=_named("note", "comment", "comments", "remarks"))
_taken = partial(Column, times.duration_s, NAN)
_rpe = partial(Column, cells.bounded(0, 10, "a number from 0 to 10"), NAN)
_rating = Column(partial(cells.whole, most=7), NAN)

RACES = {
    "date": _day(),
    "name": _text,
    "sports": Column(
        sports.race_sports, (), also=_named("sport", "discipline"), remark=sports.race_remark
    ),
    "distance": _text,
    "finish_time": _taken(stored="finish_time_s"),
    "expected_time": _taken(stored="expected_time_s"),
    "reference_time": _taken(stored="reference_time_s"),
    "reference": _text,
    "place": Column(cells.whole, NAN),
    "field_size": Column(cells.whole, NAN),
    "temp_c": Column(cells.bounded(-40, 55, "degrees Celsius from -40 to 55"), NAN),
    "race_rpe": _rpe(also=_named("rpe", "session_rpe")),
    "status": Column(lambda cell: cells.choice(cell, words=STATUSES), "finished"),
    "aim": Column(lambda cell: cells.choice(cell, words=AIMS), "main"),
    "event": _text,
    "start_time": Column(times.time_of_day, None),
    "breakfast_h": Column(lambda cell: times.hours(cell, most=24), NAN),
    "leave_out": Column(cells.unless_no, ""),
    "notes": _notes,
}
NIGHTS = {
    "date": _day(),
    "sleep_h": Column(
        lambda cell: times.hours(cell, most=24), NAN, also=_named("sleep", "hours", "hours_slept")
    ),
    "quality": Column(
        cells.bounded(1, 5, "a number from 1 to 5"), NAN, also=_named("sleep_quality")
    ),
    "notes": _notes,
}
TRIPS = {
    "depart_date": _day(required=False),
    "arrive_date": _day(),
    "from_zone": Column(cells.zone, ""),
    "to_zone": Column(cells.zone, ""),
    "travel_h": Column(lambda cell: times.hours(cell, most=120), NAN),
    "mode": _text,
    "notes": _notes,
}
SESSIONS = {
    "date": _day(),
    "sport": Column(
        sports.one_sport,
        sports.Sport(""),
        also=_named("sports", "activity", "discipline"),
        wanted="whether the session counts as training",
        remark=sports.remark,
    ),
    "duration": Column(
        times.duration_s,
        NAN,
        choose=times.session_reader,
        stored="duration_s",
        also={
            **_named("moving_time"),
            **dict.fromkeys(("duration_min", "minutes", "mins"), times.minutes_s),
            **dict.fromkeys(("duration_h", "hours"), times.hours_s),
        },
        wanted="how long the athlete trained on that day",
    ),
    "distance_km": Column(
        _distance(1),
        NAN,
        also={
            **_named("km", "kilometres", "kilometers"),
            **dict.fromkeys(("distance_miles", "distance_mi", "miles"), _distance(1.609344)),
            **dict.fromkeys(("distance_m", "metres", "meters"), _distance(0.001)),
        },
    ),
    "hard_min": Column(
        cells.bounded(0, 1440, "minutes from 0 to 1440"), NAN, also=_named("hard_minutes")
    ),
    "rpe": _rpe(also=_named("session_rpe")),
    "notes": _notes,
}
RATINGS = ("fatigue", "stress", "soreness", "poor_sleep")
"""The four ratings of the Hooper index, each from 1 (very, very low) to 7 (very, very high).

References:
    Hooper & Mackinnon 1995, Sports Med 20:321-327 (from memory).
"""
DAYS = {
    "date": _day(),
    **dict.fromkeys(RATINGS, _rating),
    "resting_hr_bpm": Column(
        cells.bounded(25, 110, "beats a minute from 25 to 110"),
        NAN,
        also=_named("resting_hr", "rhr", "resting_heart_rate", "resting_heart_rate_bpm"),
    ),
    "on_feet_h": Column(lambda cell: times.hours(cell, most=24), NAN),
    "massage": Column(cells.yes_or_no, None),
    "notes": _notes,
}
PERIODS = {
    "first": _day(),
    "last": _day(),
    "kind": Column(period_kind, None, required=True),
    "notes": _notes,
}

PROPOSED = "proposed"
"""A column that may stand in any table and is not read: the evidence of a proposed row."""

UNSURE = "# no trip is known: delete this line if there was none"
"""Stands in a drafted table of trips; one that has its header and no such line says: no trips."""


@dataclass(frozen=True)
class Table:
    """One table of the journal.

    Attributes:
        name: as the journal has it; the file is called the same.
        columns: how each column is read, by name.
        day: the column by whose days the rows are in order.
        key: columns, as stored, that no two rows have all alike; none where rows may repeat.
        event_key: further ones for rows that have an `event`: heats have a date and a name alike.
        proposed: whether files can propose rows of it.
        unsure: a remark below its header that takes back what a table without rows would say.
    """

    name: str
    columns: Mapping[str, Column]
    day: str = "date"
    key: tuple[str, ...] = ("date",)
    event_key: tuple[str, ...] = ()
    proposed: bool = False
    unsure: str = ""

    @property
    def file(self) -> str:
        """The file that holds it, unless the athlete keeps a workbook."""
        return f"{self.name}.csv"

    @property
    def header(self) -> tuple[str, ...]:
        """The columns of a table that is written anew."""
        return (*self.columns, PROPOSED) if self.proposed else tuple(self.columns)

    @property
    def stored(self) -> Mapping[str, Column]:
        """The same columns by the names that the journal has for them."""
        return {column.stored or name: column for name, column in self.columns.items()}

    @property
    def required(self) -> tuple[str, ...]:
        """The columns without which a row cannot be used."""
        return tuple(name for name, column in self.columns.items() if column.required)

    @property
    def absent(self) -> Mapping[str, object]:
        """A row in which nothing is typed, by stored names."""
        return {name: column.absent for name, column in self.stored.items()}

    def key_of(self, row: Mapping[str, object]) -> tuple[Hashable, ...]:
        """What rows that say the same have in common; the case of letters makes no difference."""
        names = self.key + (self.event_key if row.get("event") else ())
        values = (row[name] for name in names)
        return tuple(
            value.casefold() if isinstance(value, str) else value if value == value else None
            for value in values
        )

    def says(self, row: Mapping[str, object]) -> bool:
        """Whether a row has anything beside its key."""
        return any(
            _is_typed(row[name], column)
            for name, column in self.stored.items()
            if name not in self.key
        )

    def typed_key(self, row: Mapping[str, object]) -> tuple[str, ...]:
        """The columns of its key that a row has something in, as people name them."""
        return tuple(
            name
            for name, column in self.columns.items()
            if (stored := column.stored or name) in self.key and _is_typed(row[stored], column)
        )


def _is_typed(value: object, column: Column) -> bool:
    """Whether a value is there and not what an empty cell is read as."""
    return value == value and value != column.absent


TABLES = {
    table.name: table
    for table in (
        Table(
            "races",
            RACES,
            key=("date", "name", "sports", "distance", "start_time", "event"),
            event_key=("finish_time_s",),
            proposed=True,
        ),
        Table("nights", NIGHTS, proposed=True),
        Table("trips", TRIPS, day="arrive_date", key=(), proposed=True, unsure=UNSURE),
        Table("sessions", SESSIONS, key=()),
        Table("days", DAYS),
        Table("periods", PERIODS, day="first", key=()),
    )
}
"""Every table of the journal, by name, in the order in which they are read and said."""
