"""What is known before a race ahead: the usual week and its hard sessions, the nights, the trip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median, median_low

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.raceweek.ahead import RaceAhead
from taperback.raceweek.effort.effort import effort_by_race
from taperback.raceweek.effort.repetitions import Repetitions
from taperback.raceweek.factors.intensity import intensity
from taperback.raceweek.factors.intervals import Session, sessions_in
from taperback.raceweek.factors.sleep import usual_night
from taperback.raceweek.model import Measured
from taperback.raceweek.race import race_of
from taperback.raceweek.table import day_rows, with_caveat
from taperback.raceweek.travel.trips import Trip
from taperback.raceweek.window.calendar import windows


@dataclass(frozen=True)
class UsualRepetitions:
    """A session of repetitions that the athlete does again and again in usual weeks.

    Attributes:
        what: the session, its number and level the medians of all that are like it.
        hard_min_each: hard minutes of one repetition; its length where they are not known.
        sessions: how many sessions were like it.
    """

    what: Repetitions
    hard_min_each: float
    sessions: int

    def with_hard_min(self, hard_min: float) -> str:
        """What so many hard minutes are: fewer of the repetitions, at the usual level.

        What is too little for one of them is said by the level alone.
        """
        each, most = self.hard_min_each, self.what.count
        near = min(max(round(hard_min / each), 1), most)
        if abs(near * each - hard_min) <= LIMITS.next_week.near_share * hard_min:
            return str(replace(self.what, count=near))
        whole = min(int(hard_min / each), most)
        if not whole:
            return f"at {self.what.level_words(self.what.level)}"
        return f"{replace(self.what, count=whole)}, and {hard_min - whole * each:.0f} min more"


@dataclass(frozen=True)
class RunUp:
    """The way to a race ahead, as far as it is recorded and typed.

    Attributes:
        race: the race.
        weekly: `baseline_weekly_h`, hard: `baseline_hard_min`, night: `usual_night_h`, of the
            latest usual weeks before the race.
        days: one row a day, columns `DAY_COLUMNS`.
        repetitions: the most usual repetitions of each sport.
        trip: the typed trip to the race; None where none is typed.
    """

    race: RaceAhead
    weekly: Measured
    hard: Measured
    night: Measured
    days: pd.DataFrame
    repetitions: tuple[UsualRepetitions, ...]
    trip: Trip | None


def run_up(
    imported: Imported, journal: Journal, ahead: Sequence[RaceAhead], race: RaceAhead
) -> RunUp:
    """What is known before one of the races ahead, of which the others play no part.

    Args:
        imported, journal: as `race_weeks` takes them, the races ahead among the journal's.
        ahead: all races ahead.
        race: the one that is prepared for.
    """
    others = {row for other in ahead if other != race for row in other.rows}
    races = journal.races[~journal.races["row"].isin(others)].reset_index(drop=True)
    all_windows = windows(imported, replace(journal, races=races))
    window = next(one for one in all_windows if one.race["row"] == race.race["row"])
    effort = effort_by_race(all_windows)[window.race_id]
    made = race_of(window, effort)
    hard = next(one for one in intensity(made) if one.name == "baseline_hard_min")
    return RunUp(
        race=race,
        weekly=with_caveat(made.usual_h, window),
        hard=with_caveat(hard, window),
        night=with_caveat(usual_night(window), window),
        days=day_rows(made),
        repetitions=usual_repetitions(sessions_in(window.baseline, effort)),
        trip=made.trip if made.trip.source == "journal" else None,
    )


def usual_repetitions(sessions: Sequence[Session]) -> tuple[UsualRepetitions, ...]:
    """The repetitions that each sport is done in most often, of as many alike the latest."""
    best: dict[str, UsualRepetitions] = {}
    for last in reversed(sessions):
        like = [one for one in sessions if one.what.like(last.what)]
        sport = last.what.sport
        if sport in best and len(like) <= best[sport].sessions:
            continue
        each = [
            (one.hard_min if one.hard_min > 0 else one.what.work_s / 60) / one.what.count
            for one in like
        ]
        number = median_low([one.what.count for one in like])
        level = median([one.what.level for one in like])
        what = replace(last.what, count=number, level=level)
        best[sport] = UsualRepetitions(what, median(each), len(like))
    return tuple(best[sport] for sport in sorted(best))
