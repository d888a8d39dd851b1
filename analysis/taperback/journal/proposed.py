"""The journal as it would be with rows that files propose."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pandas as pd

from taperback.journal.columns import TABLES, Table
from taperback.journal.expected import with_estimates
from taperback.journal.model import Journal

Cells = dict[str, str]
"""One proposed row: cells by column as they would be typed, its evidence under `proposed`."""

DOUBTFUL = "not sure it was a race: empty this cell if it was"
"""What stands under `leave_out` of a race that files show only perhaps. Until somebody empties it,
what was done that day is training."""


def with_proposed(journal: Journal, rows: Mapping[str, Sequence[Cells]]) -> Journal:
    """The journal with the rows in its tables, each read as a typed one; their `row` is 0.

    Args:
        journal: what a person typed.
        rows: for each table by name, the rows that are added to it.
    """
    races = _longer(journal.races, rows.get("races", ()), TABLES["races"])
    if rows.get("races"):
        estimated = [isinstance(words, str) and bool(words) for words in races["expected_source"]]
        typed = races.assign(expected_time_s=races["expected_time_s"].mask(estimated))
        races, _ = with_estimates(typed.drop(columns="expected_source"))
    return replace(
        journal,
        races=races,
        nights=_longer(journal.nights, rows.get("nights", ()), TABLES["nights"]),
        trips=_longer(journal.trips, rows.get("trips", ()), TABLES["trips"]),
    )


def _longer(typed: pd.DataFrame, rows: Sequence[Cells], table: Table) -> pd.DataFrame:
    if not rows:
        return typed
    read = [
        {"row": 0}
        | {
            column.stored or name: column.read(cell)
            if (cell := cells.get(name, ""))
            else column.absent
            for name, column in table.columns.items()
        }
        for cells in rows
    ]
    frames = [frame for frame in (typed, pd.DataFrame(read)) if len(frame)]
    longer = pd.concat(frames, ignore_index=True).reindex(columns=typed.columns)
    return longer.sort_values([table.day, "row"], ignore_index=True)
