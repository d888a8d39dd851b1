"""The whole way in, from a folder to an answer."""

from __future__ import annotations

import platform
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path

import pandas as pd

from taperback.common.files.safe_path import NothingFromHere
from taperback.common.notices import Notice
from taperback.common.outcomes import OUTCOMES, RESULT, RPE, Outcome
from taperback.common.version import __version__
from taperback.evidence.assess import assess
from taperback.evidence.model import Evidence
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.importer.readers.workers import Readers
from taperback.journal.model import Journal
from taperback.raceweek.ahead import RaceAhead, next_race
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.run_up import run_up
from taperback.raceweek.table import as_table
from taperback.study.besides import NOTHING, Besides, besides
from taperback.study.measure import measure_folder
from taperback.study.next_week import NextWeek, plan_next_week
from taperback.study.points import points

SCHEMA_VERSION = 3
"""Version of `study.json`; it rises when a field changes its meaning or goes."""


@dataclass(frozen=True)
class Study:
    """The one answer: everything that the report says, as values.

    Attributes:
        journal: what the athlete typed.
        imported: what the files held.
        weeks: one per race that is looked back on, in order of date.
        table: `weeks` as a table, one row a race, all measures.
        outcome: the outcome asked for.
        result: the evidence on race results; rpe: the evidence on race RPE.
        next_week: the rule in hours and minutes.
        notices: all remarks, of the journal and then of the files.
        versions: name -> version of what made it.
        besides: what the athlete does beside training, in hours a week.
        unconfirmed: whether the races are those that the files propose, since none was typed.
        ahead: the races after `last_day`, in order of date; they count in nothing else.
        last_day: the last day of which a session is recorded; None where none is.
    """

    journal: Journal
    imported: Imported
    weeks: tuple[RaceWeek, ...]
    table: pd.DataFrame
    outcome: Outcome
    result: Evidence
    rpe: Evidence
    next_week: NextWeek
    notices: tuple[Notice, ...]
    versions: dict[str, str]
    unconfirmed: bool = False
    besides: Besides = NOTHING
    ahead: tuple[RaceAhead, ...] = ()
    last_day: date | None = None

    @property
    def asked(self) -> Evidence:
        """The evidence on the outcome asked for."""
        return self.result if self.outcome == RESULT else self.rpe

    @property
    def other(self) -> Evidence:
        """The evidence on the outcome that was not asked for."""
        return self.rpe if self.outcome == RESULT else self.result


@NothingFromHere()
def review(
    folder: Path | str,
    *,
    outcome: str = "result",
    workers: int | None = None,
    readers: Readers | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> Study:
    """What one athlete's folder says about the race weeks in it.

    Args:
        folder: one athlete: activity files at any depth, and what is typed of `athlete.toml` and
            the journal's tables. Where no race is typed, those that the files propose are used.
        outcome: `result` or `rpe`; both are related, the one asked for leads the report.
        workers: processes that read files; by default one a core.
        readers: who reads instead of such processes, such as a cluster, and stays open.
        progress: called now and then while files are read.

    Raises:
        InputError: the folder holds nothing that can be reviewed.
        ValueError: there is no such outcome.
    """
    expect_outcome(outcome)
    measured = measure_folder(Path(folder), workers=workers, readers=readers, progress=progress)
    journal, imported, weeks = measured.journal, measured.imported, measured.weeks
    race = next_race(measured.ahead)
    coming = run_up(imported, journal, measured.ahead, race) if race else None
    result = relate(weeks, RESULT)
    return Study(
        journal=journal,
        imported=imported,
        weeks=weeks,
        table=as_table(weeks),
        outcome=OUTCOMES[outcome],
        result=result,
        rpe=relate(weeks, RPE),
        next_week=plan_next_week(weeks, result.rule, coming),
        notices=(*journal.notices, *imported.notices),
        versions=versions(),
        unconfirmed=measured.unconfirmed,
        besides=besides(weeks),
        ahead=measured.ahead,
        last_day=measured.last_day,
    )


def expect_outcome(outcome: str) -> None:
    """Nothing where it is a key of `OUTCOMES`.

    Raises:
        ValueError: it is not.
    """
    if outcome not in OUTCOMES:
        raise ValueError(f"outcome is one of {', '.join(OUTCOMES)}, and not {outcome!r}")


def relate(weeks: tuple[RaceWeek, ...], outcome: Outcome) -> Evidence:
    """What the race weeks say about one outcome."""
    return assess(
        points(weeks, outcome),
        outcome,
        left_out=tuple(
            (week.race_id, week.measures[outcome.name].reason)
            for week in weeks
            if not week.measures[outcome.name].known
        ),
    )


def versions() -> dict[str, str]:
    """What made the study: Python, Taperback and the packages that shape a number."""
    packages = ("fitdecode", "numpy", "pandas", "plotly", "scipy", "statsmodels")
    ours = {"taperback": __version__, "python": platform.python_version()}
    return ours | {name: version(name) for name in packages}
