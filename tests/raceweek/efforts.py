"""Windows with their effort, and legs with repetitions, in a few words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from build import going_on, imported, journal, leg
from taperback.importer.model import Bout, LegSummary
from taperback.journal.model import Journal
from taperback.raceweek.effort.effort import Effort, effort_by_race
from taperback.raceweek.model import Measured
from taperback.raceweek.race import Race, races_of
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.window import Window

NAN = float("nan")


def window_and_effort(legs: list[LegSummary], book: Journal | None = None) -> tuple[Window, Effort]:
    """The last race of the journal and how hard the training before it was."""
    all_windows = windows(imported(going_on(legs)), book or journal())
    return all_windows[-1], effort_by_race(all_windows)[all_windows[-1].race_id]


def last_race(legs: list[LegSummary], book: Journal | None = None) -> Race:
    """The last race of the journal."""
    return races_of(windows(imported(going_on(legs)), book or journal()))[-1]


def measured_by(
    factor: Callable[[Race], tuple[Measured, ...]],
    legs: list[LegSummary],
    book: Journal | None = None,
) -> dict[str, Measured]:
    """A factor's measures by name."""
    return {each.name: each for each in factor(last_race(legs, book))}


def kilometres(days_to_race: int, count: int, pace_s: float, **changes: Any) -> LegSummary:
    """An hour's run with that many kilometres at that pace [s/km]; they are hard minutes."""
    bouts = tuple(
        Bout(900.0 + 400 * k, pace_s, 1000.0, 1000 / pace_s, NAN, 172) for k in range(count)
    )
    hard = round(count * pace_s / 60)
    fixed: dict[str, Any] = {"hours": 1.0, "hard_min": hard, "bouts": bouts}
    return leg(days_to_race, "running", **(fixed | changes))
