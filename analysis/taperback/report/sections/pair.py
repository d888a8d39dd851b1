"""The best and the worst race week side by side, point by point."""

from __future__ import annotations

from dataclasses import dataclass

from taperback.common.wording import count
from taperback.evidence.model import Evidence
from taperback.journal.columns import RATINGS
from taperback.raceweek.model import RaceWeek
from taperback.report.sections.glance import best_and_worst, flags_text
from taperback.report.words.cells import Cell, RaceRef, label_of, measure_cell, number_notes
from taperback.report.words.wording import sentence

_ORDER = (
    "volume_h",
    "baseline_weekly_h",
    "volume_cut",
    "volume_cut_swimming",
    "volume_cut_cycling",
    "volume_cut_running",
    "volume_cut_week_3",
    "volume_cut_week_2",
    "taper_shape",
    "taper_days",
    "sessions_kept",
    "rest_days",
    "last_long_d",
    "intensity_kept",
    "hard_min",
    "hard_minutes_kept",
    "usual_night_h",
    "sleep_change_h",
    "last_night_h",
    "last_three_h",
    "travel_km",
    "travel_h",
    "zones_crossed",
    "days_since_arrival",
    "body_clock_lag_h",
    *RATINGS,
    "hooper_index",
    "resting_hr_change_bpm",
)
"""Points of the comparison, in order; a point that neither week knows is left out."""


@dataclass(frozen=True)
class Pair:
    """Two race weeks and what they are called, one row a point; without `best` only `reason`."""

    marks: tuple[str, str]
    best: RaceRef | None
    worst: RaceRef | None
    rows: tuple[tuple[str, Cell, Cell], ...]
    notes: tuple[str, ...]
    reason: str


def pair(weeks: tuple[RaceWeek, ...], evidence: Evidence, refs: dict[str, RaceRef]) -> Pair:
    """The week before the best race beside the week before the worst."""
    marks = evidence.outcome.ends
    best, worst = best_and_worst(weeks, evidence)
    if best is None or worst is None:
        why = f"{count(evidence.n, 'race')} with a comparable outcome; two are needed"
        return Pair(marks, None, None, (), (), sentence(why))
    names = [
        name
        for name in (evidence.outcome.name, *_ORDER)
        if any(week.measures[name].known for week in (best, worst) if name in week.measures)
    ]
    cells = [[measure_cell(best, name), measure_cell(worst, name)] for name in names]
    numbered, notes = number_notes(cells)
    rows = [(label_of(name), a, b) for name, (a, b) in zip(names, numbered, strict=True)]
    flags = [Cell("panic flags", flags_text(week)) for week in (best, worst)]
    rows.append(("panic flags", flags[0], flags[1]))
    return Pair(marks, refs[best.race_id], refs[worst.race_id], tuple(rows), notes, "")
