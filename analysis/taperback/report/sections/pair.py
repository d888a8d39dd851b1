"""The best and the worst race week side by side: what differed, the largest difference first."""

from __future__ import annotations

import statistics
from dataclasses import dataclass

from taperback.common.quantities import GROUPS, PRIMARY_FACTORS
from taperback.common.wording import count
from taperback.evidence.model import Evidence
from taperback.raceweek.model import RaceWeek
from taperback.report.sections.glance import best_and_worst, flags_text
from taperback.report.words.cells import Cell, RaceRef, label_of, measure_cell, number_notes
from taperback.report.words.wording import sentence

LEAST_SHOWN = 0.2
"""A difference of less than a fifth is hardly one, save that of a primary factor."""

MOST_MORE = 12
"""So many more differences are named; the table of everything measured has the others."""

Row = tuple[str, Cell, Cell]
"""What a point is called, and what the best and the worst week had of it."""


@dataclass(frozen=True)
class Pair:
    """Two race weeks and what they are called; without `best` only `reason`.

    Attributes:
        rows: the outcome, the primary factors that differed, and the largest difference of every
            other kind, the largest first.
        more: what else differed clearly, the largest first.
    """

    marks: tuple[str, str]
    best: RaceRef | None
    worst: RaceRef | None
    rows: tuple[Row, ...]
    more: tuple[Row, ...]
    notes: tuple[str, ...]
    reason: str


def pair(weeks: tuple[RaceWeek, ...], evidence: Evidence, refs: dict[str, RaceRef]) -> Pair:
    """The week before the best race beside the week before the worst."""
    marks = evidence.outcome.ends
    best, worst = best_and_worst(weeks, evidence)
    if best is None or worst is None:
        alike = "all went alike" if evidence.n > 1 else "two are needed"
        why = f"{count(evidence.n, 'race')} with a comparable outcome; {alike}"
        return Pair(marks, None, None, (), (), (), sentence(why))
    outcome = evidence.outcome.name
    known = [
        name
        for name in {**best.measures, **worst.measures}
        if any(week.measures[name].known for week in (best, worst) if name in week.measures)
    ]
    cells = {name: (_cell(best, name), _cell(worst, name)) for name in known}
    differ = [name for name in known if cells[name][0].text != cells[name][1].text]
    sizes = {name: _size(name, best, worst, weeks) for name in differ if name != outcome}
    largest = sorted(sizes, key=lambda name: -sizes[name])
    clear = [name for name in largest if sizes[name] >= LEAST_SHOWN]
    kinds = [{quantity.name for quantity in quantities} for _, quantities in GROUPS]
    largest_of_each = [next((name for name in clear if name in kind), "") for kind in kinds]
    shown = {*PRIMARY_FACTORS, *largest_of_each}
    first = [outcome, *(name for name in largest if name in shown)]
    more = [name for name in clear if name not in shown][:MOST_MORE]
    numbered, notes = number_notes([list(cells[name]) for name in (*first, *more)])
    rows = tuple(
        (_label(name), a, b) for name, (a, b) in zip((*first, *more), numbered, strict=True)
    )
    return Pair(
        marks,
        refs[best.race_id],
        refs[worst.race_id],
        rows[: len(first)],
        rows[len(first) :],
        notes,
        "",
    )


def _cell(week: RaceWeek, name: str) -> Cell:
    if name == "panic_sessions" and week.looked_at:
        return Cell(_label(name), flags_text(week))
    return measure_cell(week, name)


def _label(name: str) -> str:
    return "panic flags" if name == "panic_sessions" else label_of(name)


def _size(name: str, best: RaceWeek, worst: RaceWeek, weeks: tuple[RaceWeek, ...]) -> float:
    """How far two weeks lie apart: the lesser of their difference in proportion to the larger of
    the two, and in standard deviations over all the athlete's race weeks.

    So neither a hundredth of what never varies nor twice next to nothing comes first. What is no
    number, or not known of both, comes last of what is shown.
    """
    a, b = best.number(name), worst.number(name)
    if a is None or b is None or a == b:
        return LEAST_SHOWN
    values = [value for week in weeks if (value := week.number(name)) is not None]
    apart = abs(a - b)
    return min(apart / max(abs(a), abs(b)), apart / statistics.pstdev(values))
