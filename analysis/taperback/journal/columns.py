"""The columns of the journal's tables, and how a typed cell of each is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from taperback.journal import cells
from taperback.journal.days import day, day_reader
from taperback.journal.model import STATUSES

NAN = float("nan")


@dataclass(frozen=True)
class Column:
    """One column of a journal table.

    Attributes:
        read: what turns a typed cell into a value; raises `InputError` without a place.
        absent: the value of an empty or unreadable cell.
        required: whether a row without it cannot be used.
        choose: what picks the reader from all cells of the column, where one cell cannot tell.
    """

    read: Callable[[str], object]
    absent: object
    required: bool = False
    choose: Callable[[list[str]], Callable[[str], object]] | None = None


RACES = {
    "date": Column(day, None, required=True, choose=day_reader),
    "name": Column(cells.text, ""),
    "sports": Column(cells.sports, ()),
    "distance": Column(cells.text, ""),
    "finish_time": Column(cells.duration_s, NAN),
    "expected_time": Column(cells.duration_s, NAN),
    "reference_time": Column(cells.duration_s, NAN),
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

TABLES = {"races": RACES, "nights": NIGHTS, "trips": TRIPS}
"""Table -> its columns, by name."""

EXTRA = ("proposed",)
"""Columns that may stand in any table and are not read: the evidence of rows that files propose."""
