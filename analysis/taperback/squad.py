"""A coach's folder of athletes: each one's answer, and what they say together."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

import joblib
import numpy as np
import pandas as pd
from joblib.externals.loky.process_executor import TerminatedWorkerError

from taperback.errors import InputError
from taperback.evidence.model import Rule
from taperback.evidence.squad import Races, SquadEvidence, assess_squad
from taperback.importer.folder import read_folder
from taperback.importer.workers import Processes, Readers
from taperback.missing import Gap, gaps
from taperback.notices import Level, Notice
from taperback.quantities import QUANTITIES
from taperback.raceweek.model import PRIMARY_FACTORS, RaceWeek
from taperback.study import Study, review, versions

OUTCOME = "result_pct"
"""Squads are judged by results: how hard a race felt is nobody else's scale."""


@dataclass(frozen=True)
class NextRace:
    """The first race of the journal that is still to come."""

    name: str
    day: date


@dataclass(frozen=True)
class SeenFlag:
    """One panic flag: which rule, how many days before the race, and what the session was."""

    rule: str
    day_before: int
    session: str


@dataclass(frozen=True)
class PastRace:
    """One race that is over, and the panic flags before it."""

    name: str
    day: date | None
    flags: tuple[SeenFlag, ...]


@dataclass(frozen=True)
class Member:
    """One athlete of a squad.

    Attributes:
        key: name of the athlete's folder.
        name: as the athlete's own report prints it.
        table: the athlete's race weeks, one row a race, as in `race_weeks.csv`.
        rule: what the athlete's own races and published studies give; None where there is none.
        races: the races that are over, in order of date.
        next_race: the race to come, if the journal has one.
        gaps: what is unknown about the races that are over.
        notices: what is wrong in the folder or could not be used.
    """

    key: str
    name: str
    table: pd.DataFrame
    rule: Rule | None
    races: tuple[PastRace, ...]
    next_race: NextRace | None
    gaps: tuple[Gap, ...]
    notices: tuple[Notice, ...]

    @property
    def results(self) -> int:
        """Races with a result that can be compared."""
        return int(self.table[OUTCOME].notna().sum()) if OUTCOME in self.table else 0

    @property
    def has_faults(self) -> bool:
        """Whether something typed should be put right."""
        return any(notice.level is Level.FAULT for notice in self.notices)


@dataclass(frozen=True)
class Squad:
    """All athletes of a folder, each alone and all together.

    Attributes:
        members: the athletes, in order of folder name.
        evidence: what all races say together; `None` where no athlete could be used.
        left_out: athletes' folders that could not be used, and why.
        versions: name -> version of what made it.
    """

    members: tuple[Member, ...]
    evidence: SquadEvidence | None
    left_out: tuple[Notice, ...]
    versions: dict[str, str]


Each = Callable[[str, Study], None]
"""Called with an athlete's folder name and study, in whichever process made it."""


@dataclass(frozen=True)
class SquadProgress:
    """How far a squad has come: athletes read and reviewed, and how many there are."""

    read: int
    reviewed: int
    athletes: int


def review_squad(
    folder: Path | str,
    *,
    outcome: str = "result",
    workers: int | None = None,
    cluster: Readers | None = None,
    each: Each | None = None,
    progress: Callable[[SquadProgress], None] | None = None,
) -> Squad:
    """What the athletes of a folder say, each alone and all together.

    First all files are read, each once in its life, by processes that all athletes share or by a
    cluster; then the athletes are reviewed, several at once. The answer is the same either way.

    Args:
        folder: holds one folder for each athlete.
        outcome: what leads each athlete's own report, `result` or `rpe`.
        workers: processes on this machine, one a core by default; with 1 all is done in this one.
        cluster: who reads the files instead, such as `importer.cluster.Cluster`.
        each: called with every athlete's study; it must be picklable, unless `workers` is 1.
        progress: called after each athlete.

    Raises:
        InputError: there is no such folder, or no athlete in it.
    """
    folders = athlete_folders(Path(folder))
    told = progress or (lambda _: None)
    with nullcontext(cluster) if cluster else Processes(workers) as hands:
        for done, athlete in enumerate(folders, 1):
            _read(athlete, hands)
            told(SquadProgress(done, 0, len(folders)))
    members: list[Member] = []
    left_out: list[Notice] = []
    for done, answer in enumerate(_reviewed(folders, outcome, each, workers), 1):
        if isinstance(answer, Member):
            members.append(answer)
        else:
            left_out.append(answer)
        told(SquadProgress(len(folders), done, len(folders)))
    evidence = assess_squad({m.key: races_of(m) for m in members}) if members else None
    return Squad(tuple(members), evidence, tuple(left_out), versions())


def athlete_folders(folder: Path) -> list[Path]:
    """The folders in it, in order of name; hidden ones and a squad's own report are none.

    Raises:
        InputError: there is no such folder, or none in it.
    """
    if not folder.is_dir():
        raise InputError("there is no such folder", "name the squad's folder", str(folder))
    found = [
        path
        for path in sorted(folder.iterdir())
        if path.is_dir() and not path.name.startswith(".") and not (path / "squad.json").exists()
    ]
    if not found:
        raise InputError(
            "it holds no athlete's folder", "put each athlete's folder into it", str(folder)
        )
    return found


def _read(athlete: Path, hands: Readers) -> None:
    """Fills the athlete's store; what is wrong with the folder is told when it is reviewed."""
    try:
        read_folder(athlete, "UTC", readers=hands)
    except OSError:
        return


def _reviewed(
    folders: list[Path], outcome: str, each: Each | None, workers: int | None
) -> Iterator[Member | Notice]:
    """Each athlete's answer, in order; a process that dies costs its athlete only.

    Whose fault it was is not known, so all that may have been under way are tried one by one.
    """
    number = min(workers or os.cpu_count() or 1, len(folders))
    task = joblib.delayed(_member)
    rest = list(folders)
    while rest:
        pool = joblib.Parallel(n_jobs=number, return_as="generator", pre_dispatch=2 * number)
        try:
            for answer in pool(task(path, outcome, each) for path in tuple(rest)):
                rest.pop(0)
                yield answer
        except TerminatedWorkerError:
            suspects, rest = rest[: 2 * number], rest[2 * number :]
            yield from (_alone(path, task(path, outcome, each)) for path in suspects)


def _alone(folder: Path, task: Any) -> Member | Notice:
    """One athlete's answer from a process that does nothing else."""
    try:
        return joblib.Parallel(n_jobs=2)([task])[0]
    except TerminatedWorkerError:
        found = "reviewing it stopped the process"
        remedy = "review this folder by itself, and see what it says"
        return Notice(folder.name, 0, "", "athlete", found, remedy, Level.FAULT)


def _member(folder: Path, outcome: str, each: Each | None) -> Member | Notice:
    """One athlete's answer, or why there is none."""
    try:
        study = review(folder, outcome=outcome, workers=1)
        if each is not None:
            each(folder.name, study)
    except InputError as error:
        where = f"{folder.name}/{error.file}" if error.file else folder.name
        return Notice(where, 0, "", "athlete", error.found, error.remedy, Level.FAULT)
    except OSError as error:
        found = (error.strerror or "it cannot be used").lower()
        return Notice(folder.name, 0, "", "athlete", found, "check the disk", Level.FAULT)
    return member_of(folder.name, study)


def member_of(key: str, study: Study) -> Member:
    """What a squad keeps of one athlete's study: enough for the coach, without the days."""
    over, to_come = _parted(study)
    return Member(
        key=key,
        name=study.journal.athlete.name,
        table=study.table,
        rule=study.result.rule,
        races=tuple(_past(week) for week in over),
        next_race=NextRace(to_come[0].name, to_come[0].day0) if to_come else None,
        gaps=gaps(over),
        notices=tuple(n for n in study.notices if n.level is not Level.NOTE),
    )


def _parted(study: Study) -> tuple[tuple[RaceWeek, ...], tuple[RaceWeek, ...]]:
    """(race weeks that are over, those to come): to come is what lies after the last recorded day.

    The clock is the files' and not today's, so that the same folder gives the same page.
    """
    days = study.imported.legs["local_day"]
    last = max(days) if len(days) else date.min

    def over(week: RaceWeek) -> bool:
        return week.day0 <= last or week.measures[OUTCOME].known

    return tuple(filter(over, study.weeks)), tuple(w for w in study.weeks if not over(w))


def _past(week: RaceWeek) -> PastRace:
    flags = (SeenFlag(flag.rule, flag.day_before, flag.session) for flag in week.flags)
    return PastRace(week.name, week.day0, tuple(flags))


FEWEST_RESULTS = 3
"""Below this an athlete's own races hardly say anything, so more of them is what would help."""


def is_thin(member: Member) -> bool:
    """Whether something is unknown that the athlete's evidence would rest on."""
    return member.has_faults or bool(member.gaps) or member.results < FEWEST_RESULTS


def flags_by_rule(members: Iterable[Member]) -> dict[str, Counter[int]]:
    """Rule -> how often it was broken on which day before the race, over all athletes."""
    seen: dict[str, Counter[int]] = {}
    for member in members:
        for race in member.races:
            for flag in race.flags:
                seen.setdefault(flag.rule, Counter())[flag.day_before] += 1
    return dict(sorted(seen.items()))


def races_of(member: Member) -> Races:
    """(exposures, outcomes) of the athlete's races with a result, as the evidence wants them."""
    if not member.results:
        return np.empty((0, len(PRIMARY_FACTORS))), np.empty(0)
    told = member.table[member.table[OUTCOME].notna()]
    return told[list(PRIMARY_FACTORS)].to_numpy(float), told[OUTCOME].to_numpy(float)


def squad_table(members: Iterable[Member]) -> pd.DataFrame:
    """Every athlete's race weeks in one table, the first column naming the athlete's folder."""
    tables = {m.key: m.table for m in members if len(m.table)}
    if not tables:
        return pd.DataFrame({"athlete": []})
    whole = pd.concat(tables, names=["athlete"]).reset_index("athlete").reset_index(drop=True)
    return whole[[name for name in whole if not str(name).endswith("_reason")]]


def anonymous(squad: Squad) -> Squad:
    """The squad for showing: numbers for names; no race, day, file or typed word is left.

    The order is by a digest of the folder names, since the alphabet would give athletes away.
    """
    order = sorted(squad.members, key=lambda m: sha256(m.key.encode(errors="replace")).digest())
    names = {member.key: str(place) for place, member in enumerate(order, 1)}
    evidence = squad.evidence
    if evidence is not None:
        factors = (
            replace(f, athletes={names[key]: one for key, one in f.athletes.items()})
            for f in evidence.factors
        )
        cuts = {names[key]: cut for key, cut in evidence.cuts.items()}
        evidence = replace(evidence, factors=tuple(factors), cuts=cuts)
    unnamed = tuple(
        Notice("an athlete's folder", 0, "", notice.code, "it could not be used", "", notice.level)
        for notice in squad.left_out
    )
    return replace(
        squad,
        members=tuple(_anonymous(member, names[member.key]) for member in order),
        evidence=evidence,
        left_out=unnamed,
    )


def _anonymous(member: Member, number: str) -> Member:
    numbers = [name for name in member.table if name in QUANTITIES and QUANTITIES[name].unit]
    return replace(
        member,
        key=number,
        name=f"Athlete {number}",
        table=member.table[numbers],
        races=tuple(
            PastRace(f"race {place}", None, tuple(replace(f, session="") for f in race.flags))
            for place, race in enumerate(member.races, 1)
        ),
        next_race=None,
        gaps=tuple(replace(gap, race_id="", race="", reason="", remedy="") for gap in member.gaps),
        notices=(),
    )
