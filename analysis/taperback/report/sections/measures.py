"""Everything that was measured, race beside race: a table for each group, and how it was made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from taperback.common.quantities import GROUPS
from taperback.common.wording import listing
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import Cell, RaceRef, label_of, measure_cell, number_notes
from taperback.report.words.weave import Said, weave
from taperback.report.words.wording import races_named, readable
from taperback.study.missing import ASKED

SHORTEST_SHARED = 25
"""A basis of fewer letters than this is no more than a name: it is printed wherever it stands."""


@dataclass(frozen=True)
class MeasureRow:
    """One measure over all races."""

    label: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class MeasureGroup:
    """Measures about one thing: `bases` has (which of which races, how they were made) of those
    that evidence rests on, once each."""

    title: str
    rows: tuple[MeasureRow, ...]
    bases: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Measures:
    """All groups, the letters that head their columns, and why some values are unknown."""

    keys: tuple[str, ...]
    groups: tuple[MeasureGroup, ...]
    notes: tuple[str, ...]


def measures(weeks: tuple[RaceWeek, ...], refs: Mapping[str, RaceRef]) -> Measures:
    """Every measure of every race, in the order of the one list of factors."""
    order = list(dict.fromkeys(name for week in weeks for name in week.measures))
    cells, notes = number_notes([[measure_cell(week, name) for week in weeks] for name in order])
    rows = {
        name: MeasureRow(label_of(name), tuple(row)) for name, row in zip(order, cells, strict=True)
    }
    made = {week.race_id: _clauses(week) for week in weeks}
    groups = []
    for title, quantities in GROUPS:
        of_group = {quantity.name for quantity in quantities}
        names = [name for name in order if name in of_group]
        if names:
            lines = tuple(_bases(names, made, refs))
            groups.append(MeasureGroup(title, tuple(rows[name] for name in names), lines))
    keys = tuple(refs[week.race_id].key for week in weeks)
    return Measures(keys, tuple(groups), notes)


def _clauses(week: RaceWeek) -> dict[str, list[str]]:
    """How what evidence rests on was made, clause by clause, and what that rests on in turn.

    What another measure alone says of itself is called by that one's name: the volume cut of
    "8.6 h in 8 legs, against a usual week of 10.9 h" becomes one of "the race-week volume, against
    the usual week", which have lines of their own.
    """
    made = {name: one.basis.split("; ") for name, one in week.measures.items() if one.basis}
    owners: dict[str, list[str]] = {}
    for name, clauses in made.items():
        for clause in clauses:
            owners.setdefault(clause, []).append(name)
    shared = sorted((c for c in owners if len(c) >= SHORTEST_SHARED), key=len, reverse=True)
    named = {clause: owners[clause][0] for clause in shared if len(owners[clause]) == 1}
    asked = [name for name in ASKED if name in made]
    for name in asked:  # grows by what is called by its name
        for place, clause in enumerate(made[name]):
            for other, owner in named.items():
                if len(other) < len(clause) and other in made[name][place]:
                    made[name][place] = made[name][place].replace(other, f"the {label_of(owner)}")
                    asked += [owner] if owner not in asked else []
    return {name: made[name] for name in asked}


def _bases(
    names: list[str], made: Mapping[str, Mapping[str, list[str]]], refs: Mapping[str, RaceRef]
) -> Iterator[tuple[str, str]]:
    """Which clauses hold for which measures of which races, as finished lines; each clause once."""
    held: dict[str, list[tuple[str, str]]] = {}
    for name in names:
        for race, of_race in made.items():
            for clause in of_race.get(name, ()):
                held.setdefault(clause, []).append((name, race))
    together: dict[tuple[str, ...], list[Said]] = {}
    for clause, where in held.items():
        of = tuple(dict.fromkeys(name for name, _ in where))
        races = tuple(dict.fromkeys(race for _, race in where))
        together.setdefault(of, []).append(Said(races, clause))
    for of, said in together.items():
        by_races: dict[tuple[str, ...], list[str]] = {}
        for one in weave(said):
            by_races.setdefault(one.races, []).append(one.text)
        for races, clauses in by_races.items():
            keys = [refs[race].key for race in races]
            labels = listing(map(label_of, of))
            whose = labels if len(keys) == len(refs) else f"{labels}, {races_named(keys)}"
            yield whose, " ".join(map(readable, clauses))
