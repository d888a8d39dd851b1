"""A squad as tables: one row per athlete, and one per race."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from taperback.evidence.squad import borrows
from taperback.squad.attention import attention, in_order
from taperback.squad.model import Member, Squad
from taperback.squad.weeks import joined


def athletes_table(squad: Squad) -> pd.DataFrame:
    """One row per athlete's folder: own rule, range with the squad, effects alone and together.

    Columns: `athlete` (folder), `name`, `races`, `results`, `strength`, `own_cut_low`, `_high`,
    `_best` and `squad_cut_low`, `_high`, `_best` (fractions), `use` (which of the two: `own` or
    `squad`), `look_at` (1 for the athlete to look at first), `next_race`, `next_race_date`,
    `next_race_week_h` and `next_race_hard_min` (the hours to aim for in its week, and the hard
    minutes), `last_recorded_day`, `panic_flags`, `flagged_races`, `unknown_measures`, `faults`,
    `could_not_be_used` (why; nothing else is in its row); then for each factor the effect per its
    unit `<factor>_alone`, `_alone_low`, `_alone_high`, `_together`, `_together_low`,
    `_together_high` (percent of the result), `_borrowed` and `_pulled` (fractions).
    """
    place = {member.key: place for place, member in enumerate(in_order(squad), 1)}
    rows = [_row(squad, member) | {"look_at": place[member.key]} for member in squad.members]
    rows += [{"athlete": one.folder, "could_not_be_used": str(one.why)} for one in squad.broken]
    table = pd.DataFrame(rows)
    counts = table.columns.intersection(_COUNTS)
    return table.astype(dict.fromkeys(counts, "Int64"))


_COUNTS = ("look_at", "races", "results", "panic_flags", "flagged_races", "unknown_measures")
"""Columns of whole numbers, which a row without any does not make fractions."""


_NEXT_RACE = ("next_race", "next_race_date", "next_race_week_h", "next_race_hard_min")


def _row(squad: Squad, member: Member) -> dict[str, object]:
    part = member.own_cut
    own = (part.low, part.high, part.best) if part else (None, None, None)
    row: dict[str, object] = {
        "athlete": member.key,
        "name": member.name,
        "races": len(member.races),
        "results": member.results,
        "strength": part.strength if part else None,
    }
    row |= dict(zip(("own_cut_low", "own_cut_high", "own_cut_best"), own, strict=True))
    if squad.evidence is not None:
        cut = squad.evidence.cuts[member.key]
        row |= {"squad_cut_low": cut.low, "squad_cut_high": cut.high, "squad_cut_best": cut.best}
        row |= {"use": "squad" if borrows(squad.evidence, member.key) else "own"}
    race, look = member.next_race, attention(member)
    coming = (race.name, race.day, race.target_h, race.hard_min) if race else (None,) * 4
    row |= dict(zip(_NEXT_RACE, coming, strict=True))
    row |= {
        "last_recorded_day": member.last_day,
        "panic_flags": look.flags,
        "flagged_races": look.flagged_races,
        "unknown_measures": look.unknown,
        "faults": look.faults,
        "could_not_be_used": None,
    }
    for factor in squad.evidence.factors if squad.evidence else ():
        one = factor.athletes[member.key]
        for how, estimate in (("alone", one.alone), ("together", one.together)):
            name = f"{factor.factor}_{how}"
            row |= {name: estimate.mean, f"{name}_low": estimate.low, f"{name}_high": estimate.high}
        row[f"{factor.factor}_borrowed"] = one.borrowed
        row[f"{factor.factor}_pulled"] = one.pulled
    return row


def squad_table(members: Iterable[Member]) -> pd.DataFrame:
    """Every athlete's race weeks in one table, the first column naming the athlete's folder."""
    weeks = {member.key: member.weeks.without("_reason") for member in members if member.weeks}
    return joined(weeks, "athlete") if weeks else pd.DataFrame({"athlete": []})
