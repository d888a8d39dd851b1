"""One measured value as a table shows it: text, or "unknown" with the reason within reach."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from taperback.common.dates import day_month_year
from taperback.common.quantities import QUANTITIES
from taperback.evidence.model import Evidence, FactorEvidence
from taperback.raceweek.model import Measured, RaceWeek
from taperback.report.words.wording import race_key, readable, sentence, short

UNKNOWN = "unknown"


@dataclass(frozen=True)
class Cell:
    """A finished value.

    Attributes:
        label: what it is.
        text: the value with its unit, or "unknown".
        reason: why it is unknown; empty where it is known.
        basis: how it was made; may be empty.
        note: number of the footnote that gives the reason, 0 where there is none.
    """

    label: str
    text: str
    reason: str = ""
    basis: str = ""
    note: int = 0


@dataclass(frozen=True)
class RaceRef:
    """How the page names a race: its letter, name, date, and the anchor of its week."""

    key: str
    race_id: str
    name: str
    date: str
    anchor: str


def race_refs(weeks: Iterable[RaceWeek]) -> dict[str, RaceRef]:
    """Every race by its id."""
    return {
        week.race_id: RaceRef(
            race_key(place),
            week.race_id,
            short(week.name),
            day_month_year(week.day0),
            f"week-{week.race_id}",
        )
        for place, week in enumerate(weeks)
    }


def point_keys(evidence: Evidence, refs: Mapping[str, RaceRef]) -> dict[str, str]:
    """The letter of every race by its id; races that share a week stand together: "B+C"."""
    together = {
        races[0]: "+".join(refs[race].key for race in races if race in refs)
        for races in evidence.points
        if len(races) > 1
    }
    return {race_id: ref.key for race_id, ref in refs.items()} | together


def missing_races(factor: FactorEvidence, weeks: Iterable[RaceWeek]) -> tuple[tuple[str, str], ...]:
    """(label, why) of each race that lacks a factor; why is the race week's own reason, if any."""
    reasons = {week.race_id: week.measures.get(factor.factor) for week in weeks}
    return tuple(
        (label, readable((own.reason if (own := reasons.get(label)) else "") or why))
        for label, why in factor.missing
    )


def label_of(name: str) -> str:
    """What a measure is called, also one that has no printed form yet."""
    quantity = QUANTITIES.get(name)
    return quantity.label if quantity else name.replace("_", " ")


def value_text(name: str, value: object) -> str:
    """A known value as a person reads it."""
    if isinstance(value, str):
        return value.replace("_", " ")
    quantity = QUANTITIES.get(name)
    number = float(value)  # type: ignore[arg-type]
    return quantity.show(number) if quantity else f"{number:.4g}"


def measure_cell(week: RaceWeek, name: str) -> Cell:
    """One measure of a race week; a measure that the week lacks is unknown, too."""
    measured = week.measures.get(name)
    if measured is None:
        return Cell(label_of(name), UNKNOWN, "Not measured.")
    return cell_of(measured)


def cell_of(measured: Measured) -> Cell:
    """A measure as a cell."""
    label = label_of(measured.name)
    if measured.value is None:
        return Cell(label, UNKNOWN, readable(measured.reason or "no reason was given"))
    text = value_text(measured.name, measured.value)
    if measured.caveat:
        text = f"{text} ({measured.caveat})"
    return Cell(label, text, basis=sentence(measured.basis))


def number_notes(rows: list[list[Cell]]) -> tuple[list[list[Cell]], tuple[str, ...]]:
    """The rows with a footnote number on each unknown cell, and the footnotes' texts in order."""
    notes: dict[str, int] = {}
    numbered = [
        [
            replace(cell, note=notes.setdefault(cell.reason, len(notes) + 1))
            if cell.reason
            else cell
            for cell in row
        ]
        for row in rows
    ]
    return numbered, tuple(notes)
