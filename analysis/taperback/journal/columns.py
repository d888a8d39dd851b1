"""The columns of the journal's tables, and how a typed cell of each is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from taperback.journal import cells
from taperback.journal.days import day, day_reader

NAN = float("nan")

STATUSES = ("finished", "dnf", "dns", "short_course")
"""How a race ended; an empty cell means finished."""

PERIOD_KINDS = ("illness", "injury", "gap", "rest")
"""Why a stretch of days is not ordinary training. `gap` means that records are missing; `rest`
means that the athlete did nothing on purpose, so that the days count as rest days."""


@dataclass(frozen=True)
class Column:
    """One column of a journal table.

    Attributes:
        read: what turns a typed cell into a value; raises `InputError` without a place.
        absent: the value of an empty or unreadable cell.
        required: whether a row without it cannot be used.
        choose: what picks the reader from all cells of the column, where one cell cannot tell.
        stored: what the journal calls it, where that is not the name that people type.
    """

    read: Callable[[str], object]
    absent: object
    required: bool = False
    choose: Callable[[list[str]], Callable[[str], object]] | None = None
    stored: str = ""


RACES = {
    "date": Column(day, None, required=True, choose=day_reader),
    "name": Column(cells.text, ""),
    "sports": Column(cells.sports, ()),
    "distance": Column(cells.text, ""),
    "finish_time": Column(cells.duration_s, NAN, stored="finish_time_s"),
    "expected_time": Column(cells.duration_s, NAN, stored="expected_time_s"),
    "reference_time": Column(cells.duration_s, NAN, stored="reference_time_s"),
    "reference": Column(cells.text, ""),
    "place": Column(cells.whole, NAN),
    "field_size": Column(cells.whole, NAN),
    "temp_c": Column(cells.bounded(-40, 55, "degrees Celsius from -40 to 55"), NAN),
    "race_rpe": Column(cells.bounded(0, 10, "a number from 0 to 10 (CR-10)"), NAN),
    "status": Column(lambda cell: cells.choice(cell, words=STATUSES), "finished"),
    "leave_out": Column(cells.unless_no, ""),
    "notes": Column(cells.text, ""),
}
NIGHTS = {
    "date": Column(day, None, required=True, choose=day_reader),
    "sleep_h": Column(lambda cell: cells.hours(cell, most=24), NAN),
    "quality": Column(cells.bounded(1, 5, "a number from 1 to 5"), NAN),
    "notes": Column(cells.text, ""),
}
TRIPS = {
    "depart_date": Column(day, None, choose=day_reader),
    "arrive_date": Column(day, None, required=True, choose=day_reader),
    "from_zone": Column(cells.zone, ""),
    "to_zone": Column(cells.zone, ""),
    "travel_h": Column(lambda cell: cells.hours(cell, most=120), NAN),
    "mode": Column(cells.text, ""),
    "notes": Column(cells.text, ""),
}

PROPOSED = "proposed"
"""A column that may stand in any table and is not read: the evidence of a proposed row."""


@dataclass(frozen=True)
class Table:
    """One table of the journal.

    Attributes:
        name: as the journal has it; the file is called the same.
        columns: how each column is read, by name.
        day: the column by whose days the rows are in order.
        key: columns that no two rows have all alike.
        proposed: whether files can propose rows of it.
    """

    name: str
    columns: Mapping[str, Column]
    day: str = "date"
    key: tuple[str, ...] = ("date",)
    proposed: bool = False

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


TABLES = {
    table.name: table
    for table in (
        Table("races", RACES, key=("date", "name"), proposed=True),
        Table("nights", NIGHTS, proposed=True),
        Table("trips", TRIPS, day="arrive_date", key=(), proposed=True),
    )
}
"""Every table of the journal, by name, in the order in which they are read and said."""
