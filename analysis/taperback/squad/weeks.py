"""Race weeks as plain columns: light enough to keep, and to be joined by the hundred.

A table of pandas has its price by the column, and one of race weeks has more columns than rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

import pandas as pd

from taperback.common.plain import plain

Cell = None | bool | int | float | str
DAY = "date"
"""Kind of a column of days, which is written as ISO 8601; the other kinds are pandas' own."""


class Column(NamedTuple):
    """One column: its name, what kind its cells are of, and the cells."""

    name: str
    kind: str
    cells: tuple[Cell, ...]

    def values(self) -> list[Any]:
        """The cells as a table holds them."""
        if self.kind == DAY:
            return [date.fromisoformat(str(cell)) for cell in self.cells]
        return list(self.cells)


@dataclass(frozen=True)
class Weeks:
    """One athlete's race weeks, a row a race, as `race_weeks.csv` has them."""

    columns: tuple[Column, ...] = ()

    def __len__(self) -> int:
        return len(self.columns[0].cells) if self.columns else 0

    def without(self, ending: str) -> Weeks:
        """The columns whose names do not end like that."""
        return Weeks(tuple(each for each in self.columns if not each.name.endswith(ending)))

    def known(self, name: str) -> int:
        """In how many rows that column holds something; zero where there is no such column."""
        cells = next((each.cells for each in self.columns if each.name == name), ())
        return sum(cell is not None and cell == cell for cell in cells)

    def rows(self) -> list[dict[str, object]]:
        """A dict a row, in plain values."""
        names = [column.name for column in self.columns]
        cells = zip(*(column.cells for column in self.columns), strict=True)
        return [dict(zip(names, map(plain, row), strict=True)) for row in cells]

    def table(self) -> pd.DataFrame:
        """The race weeks as a table, as they were measured."""
        return pd.DataFrame(
            {c.name: pd.Series(c.values(), dtype=_dtype({c.kind})) for c in self.columns}
        )


def weeks_of(table: pd.DataFrame) -> Weeks:
    """The columns of a table of race weeks."""
    columns = []
    for name in table:
        values, kind = table[name].tolist(), str(table[name].dtype)
        if values and all(type(value) is date for value in values):
            values, kind = [value.isoformat() for value in values], DAY
        elif kind == "str":
            values = [None if value != value else value for value in values]
        columns.append(Column(str(name), kind, tuple(values)))
    return Weeks(tuple(columns))


def joined(weeks: Mapping[str, Weeks], key: str) -> pd.DataFrame:
    """All of them in one table, one below the other, the first column `key` saying whose they are.

    A column that an athlete lacks is empty there.
    """
    rows = {name: len(each) for name, each in weeks.items()}
    kinds: dict[str, set[str]] = {}
    for each in weeks.values():
        for column in each.columns:
            kinds.setdefault(column.name, set()).add(column.kind)
    values: dict[str, list[Any]] = {name: [] for name in kinds}
    for whose, each in weeks.items():
        there = {column.name: column for column in each.columns}
        for name, cells in values.items():
            cells += there[name].values() if name in there else [float("nan")] * rows[whose]
    made = {name: pd.Series(cells, dtype=_dtype(kinds[name])) for name, cells in values.items()}
    whose_rows = [name for name, number in rows.items() for _ in range(number)]
    return pd.DataFrame({key: pd.Series(whose_rows, dtype="str"), **made})


def _dtype(kinds: set[str]) -> Any:
    """What pandas stores cells of these kinds in."""
    (kind,) = kinds if len(kinds) == 1 else ("object",)
    return "object" if kind == DAY else kind
