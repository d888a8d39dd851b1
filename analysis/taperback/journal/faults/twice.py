"""Rows that say again what another row says: one of them is used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pandas as pd

from taperback.common.notices import Level, Notice, fault
from taperback.common.wording import listing
from taperback.journal.columns import Table


def first_valid(
    rows: pd.DataFrame, table: Table, file: str, notices: Iterable[Notice]
) -> tuple[pd.DataFrame, list[Notice]]:
    """Of rows with the same key the first that says something and has no fault; what is said.

    Args:
        rows: as `read_table` gives them.
        table: which table it is; without a key nothing is said twice.
        file: the file that holds it.
        notices: what is wrong in single rows.
    """
    faulty = {notice.row for notice in notices if notice.level is Level.FAULT}
    alike: dict[tuple[Any, ...], list[dict[str, Any]]] = defaultdict(list)
    for row in rows.to_dict("records"):
        alike[table.key_of(row)].append(row)
    said, unused = [], set()
    for group in alike.values() if table.key else ():
        best = min(group, key=lambda row: row["row"] in faulty or not table.says(row))
        unused |= {row["row"] for row in group} - {best["row"]}
        for row in group[1:]:
            found = f"row {group[0]['row']} has the same {listing(table.typed_key(row))}"
            remedy = f"delete one; the first valid one is used (row {best['row']})"
            said.append(fault(file, row["row"], table.key[0], "repeated", found, remedy))
    return rows[~rows["row"].isin(unused)], said
