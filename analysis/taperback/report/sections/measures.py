"""Everything that was measured, race beside race: a table for each group, and how it was made."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from taperback.common.quantities import GROUPS
from taperback.common.wording import listing
from taperback.raceweek.model import RaceWeek
from taperback.report.words.cells import Cell, RaceRef, label_of, measure_cell, number_notes
from taperback.report.words.wording import races_named, sentence

SHORTEST_SHARED = 25
"""A basis of fewer letters than this is no more than a name: it is printed wherever it stands."""

MOST_DIFFERING = 3
"""Lines that differ in more numbers than this are easier to read one by one."""


@dataclass(frozen=True)
class MeasureRow:
    """One measure over all races."""

    label: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class MeasureGroup:
    """Measures about one thing: `bases` has (measures, races, how they were made), once each."""

    title: str
    rows: tuple[MeasureRow, ...]
    bases: tuple[tuple[str, str, str], ...]


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
    """How each measure was made, clause by clause; what another measure alone says of itself is
    called by that one's name.

    The volume cut of "8.6 h in 8 legs, against a usual week of 10.9 h" so becomes one of "the
    race-week volume, against the usual week", which have lines of their own.
    """
    made = {name: one.basis.split("; ") for name, one in week.measures.items() if one.basis}
    owners: dict[str, list[str]] = {}
    for name, clauses in made.items():
        for clause in clauses:
            owners.setdefault(clause, []).append(name)
    shared = sorted((c for c in owners if len(c) >= SHORTEST_SHARED), key=len, reverse=True)
    named = {c: f"the {label_of(owners[c][0])}" for c in shared if len(owners[c]) == 1}
    for clauses in made.values():
        for place, clause in enumerate(clauses):
            for other, name in named.items():
                if len(other) < len(clause):
                    clauses[place] = clauses[place].replace(other, name)
    return made


def _bases(
    names: list[str], made: Mapping[str, Mapping[str, list[str]]], refs: Mapping[str, RaceRef]
) -> Iterator[tuple[str, str, str]]:
    """Which clauses hold for which measures of which races, as finished lines; each clause once."""
    held: dict[str, list[tuple[str, str]]] = {}
    for name in names:
        for race, of_race in made.items():
            for clause in of_race.get(name, ()):
                held.setdefault(clause, []).append((name, race))
    together: dict[tuple[str, ...], list[Line]] = {}
    for clause, where in held.items():
        of = tuple(dict.fromkeys(name for name, _ in where))
        races = tuple(dict.fromkeys(race for _, race in where))
        together.setdefault(of, []).append(Line(races, _NUMBER.split(clause)))
    for of, lines in together.items():
        by_races: dict[tuple[str, ...], list[str]] = {}
        for line in _merged(lines):
            by_races.setdefault(line.races, []).append("".join(line.pieces))
        for races, clauses in by_races.items():
            keys = [refs[race].key for race in races]
            every = len(keys) == len(refs) > 1
            yield (
                listing(map(label_of, of)),
                "all races" if every else races_named(keys),
                sentence("; ".join(clauses)),
            )


_NUMBER = re.compile(r"([+\u2212]?\d(?:[\d.:-]*\d)?)")
"""A number, a time or a date: every second piece of a text that is split by it."""


class Line(NamedTuple):
    """Races and what holds for them, cut at its numbers."""

    races: tuple[str, ...]
    pieces: list[str]


def _merged(lines: list[Line]) -> list[Line]:
    """Lines that differ in few numbers as one, which has those of each race in order."""
    clusters: list[list[Line]] = []
    for line in lines:
        for cluster in clusters:
            if cluster[0].pieces[::2] == line.pieces[::2] and _can_be_woven([*cluster, line]):
                cluster.append(line)
                break
        else:
            clusters.append([line])
    return [_one(cluster) for cluster in clusters]


def _can_be_woven(lines: list[Line]) -> bool:
    """Whether they differ in few numbers, none of which stands in a list."""
    pieces = lines[0].pieces
    places = _differing(lines)
    return len(places) <= MOST_DIFFERING and not any(
        pieces[n - 1].endswith((", ", "(")) and pieces[n + 1].startswith(", ") for n in places
    )


def _differing(lines: list[Line]) -> list[int]:
    """The places at which the lines have not all the same."""
    columns = zip(*(line.pieces for line in lines), strict=True)
    return [place for place, texts in enumerate(columns) if len(set(texts)) > 1]


def _one(cluster: list[Line]) -> Line:
    by_race = sorted((race, line.pieces) for line in cluster for race in line.races)
    pieces = list(cluster[0].pieces)
    for place in _differing(cluster):
        pieces[place] = listing(of_race[place] for _, of_race in by_race)
    return Line(tuple(race for race, _ in by_race), pieces)
