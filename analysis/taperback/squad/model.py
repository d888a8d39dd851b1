"""A squad as values: its athletes, each with what a coach needs, and what all say together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from taperback.common.notices import Level, Notice
from taperback.common.outcomes import RESULT
from taperback.evidence.model import Rule, RulePart
from taperback.evidence.points import Points
from taperback.evidence.priors import FACTORS
from taperback.evidence.squad import SquadEvidence
from taperback.squad.weeks import Weeks
from taperback.study.missing import Gap

OUTCOME = RESULT
"""Squads are judged by results: how hard a race felt is nobody else's scale."""


NO_POINTS = Points((), np.empty((0, len(FACTORS))), np.empty(0), np.empty(0))
"""What is left of an athlete's races in a squad for showing."""


@dataclass(frozen=True)
class NextRace:
    """The race to prepare for.

    Attributes:
        days_to_go: days from the last recorded one.
        target_h, hard_min: hours of its race week and minutes of it hard, as the athlete's own
            report plans it; None where that is unknown.
    """

    name: str
    day: date
    days_to_go: int
    target_h: float | None = None
    hard_min: float | None = None


@dataclass(frozen=True)
class SeenFlag:
    """One panic flag: which rule, how many days before the race, and what the session was."""

    rule: str
    day_before: int
    session: str


@dataclass(frozen=True)
class PastRace:
    """One race that is over, the panic flags before it, and whether all could be looked at."""

    name: str
    day: date | None
    flags: tuple[SeenFlag, ...]
    looked_at: bool = True


@dataclass(frozen=True)
class Member:
    """One athlete of a squad.

    Attributes:
        key: name of the athlete's folder.
        name: as the athlete's own report prints it.
        weeks: the athlete's race weeks, one row a race, as in `race_weeks.csv`.
        rule: what the athlete's own races and published studies give; None where there is none.
        results: races with a result that can be compared.
        points: the race weeks with a result, as the evidence sees them; none in one for showing.
        races: the races that are over, in order of date.
        next_race: the race to come, if the journal has one.
        gaps: what is unknown about the races that are over.
        notices: what is wrong in the folder or could not be used.
        last_day: the last day of which a session is recorded; None where none is.
    """

    key: str
    name: str
    weeks: Weeks
    rule: Rule | None
    results: int
    points: Points
    races: tuple[PastRace, ...]
    next_race: NextRace | None
    gaps: tuple[Gap, ...]
    notices: tuple[Notice, ...]
    last_day: date | None = None

    @property
    def table(self) -> pd.DataFrame:
        """The race weeks as a table."""
        return self.weeks.table()

    @property
    def own_cut(self) -> RulePart | None:
        """The range of volume cut that the athlete's own rule gives; None where there is none."""
        return self.rule.part("volume_cut") if self.rule else None

    @property
    def has_faults(self) -> bool:
        """Whether something typed should be put right."""
        return any(notice.level is Level.FAULT for notice in self.notices)


@dataclass(frozen=True)
class Broken:
    """An athlete's folder that could not be used, and why."""

    folder: str
    why: Notice


@dataclass(frozen=True)
class Squad:
    """All athletes of a folder, each alone and all together.

    Attributes:
        members: the athletes, in order of folder name.
        evidence: what all races say together; `None` where no athlete could be used.
        broken: athletes' folders that could not be used, in order of name.
        left_out: folders that are taken for no athlete's, and why.
        versions: name -> version of what made it.
        alone_in_numbers: of a squad for showing, how many athletes have numbers that no other has,
            so that whoever holds one of their own reports can tell which they are; else None.
        remarks: about what was kept of earlier runs, which changes no answer and is in no file.
    """

    members: tuple[Member, ...]
    evidence: SquadEvidence | None
    broken: tuple[Broken, ...]
    left_out: tuple[Notice, ...]
    versions: dict[str, str]
    alone_in_numbers: int | None = None
    remarks: tuple[Notice, ...] = ()
