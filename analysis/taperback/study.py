"""The whole way in, from a folder to an answer."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from taperback.evidence.model import Evidence
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.next_week import NextWeek
from taperback.notices import Notice
from taperback.raceweek.model import RaceWeek

SCHEMA_VERSION = 1
"""Version of `study.json`; it rises when a field changes its meaning or goes."""

OUTCOMES = {"result": "result_pct", "rpe": "race_rpe"}
"""What a person asks for, and the measure that answers."""


@dataclass(frozen=True)
class Study:
    """The one answer: everything that the report says, as values.

    Attributes:
        journal: what the athlete typed.
        imported: what the files held.
        weeks: one per race, in order of date.
        table: `weeks` as a table, one row a race, all measures.
        outcome: the outcome asked for, a key of `OUTCOMES`.
        result: the evidence on race results; rpe: the evidence on race RPE.
        next_week: the rule in hours and minutes.
        notices: all remarks, of the journal and then of the files.
        versions: name -> version of what made it.
    """

    journal: Journal
    imported: Imported
    weeks: tuple[RaceWeek, ...]
    table: pd.DataFrame
    outcome: str
    result: Evidence
    rpe: Evidence
    next_week: NextWeek
    notices: tuple[Notice, ...]
    versions: dict[str, str]
