"""A coach's folder of athletes: each one's answer, and what they say together."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any

import joblib
from joblib.externals.loky.process_executor import TerminatedWorkerError

from taperback.errors import InputError
from taperback.evidence.squad import assess_squad
from taperback.importer.folder import read_folder
from taperback.importer.workers import Processes, Readers, cores
from taperback.journal.athlete import FILE as ATHLETE
from taperback.notices import Level, Notice
from taperback.squad.members import member_of, races_of
from taperback.squad.model import Member, Squad
from taperback.study import Study, review, versions

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
        workers: processes on this machine, one a core by default; with 1 the athletes are
            reviewed in this one.
        cluster: who reads the files instead, such as `importer.cluster.Cluster`.
        each: called with every athlete's study; it must be picklable, unless `workers` is 1.
        progress: called after each athlete.

    Raises:
        InputError: there is no such folder, no athlete in it, or it is one athlete's own.
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
        InputError: there is no such folder, none in it, or it is one athlete's own.
    """
    if not folder.is_dir():
        raise InputError("there is no such folder", "name the squad's folder", str(folder))
    found = [
        path
        for path in sorted(folder.iterdir())
        if path.is_dir() and not path.name.startswith(".") and not _holds(path, "squad.json")
    ]
    if _holds(folder, ATHLETE) and not any(_holds(path, ATHLETE) for path in found):
        raise InputError(
            "it is the folder of one athlete",
            "use taperback review, or name the folder above it",
            str(folder),
        )
    if not found:
        raise InputError(
            "it holds no athlete's folder", "put each athlete's folder into it", str(folder)
        )
    return found


def _holds(folder: Path, name: str) -> bool:
    """Whether such a file lies in it; one that may not be looked into is told as an athlete."""
    try:
        return (folder / name).exists()
    except OSError:
        return False


def _read(athlete: Path, hands: Readers) -> None:
    """Fills the athlete's store; what is wrong with the folder is told when it is reviewed."""
    try:
        read_folder(athlete, "UTC", readers=hands)
    except (OSError, InputError):
        return


def _reviewed(
    folders: list[Path], outcome: str, each: Each | None, workers: int | None
) -> Iterator[Member | Notice]:
    """Each athlete's answer, in order; a process that dies costs its athlete only.

    Whose fault it was is not known, so all that may have been under way are tried one by one.
    """
    number = min(workers or cores(), len(folders))
    task = partial(joblib.delayed(_member), parent=os.getpid())
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


def _member(folder: Path, outcome: str, each: Each | None, parent: int) -> Member | Notice:
    """One athlete's answer, or why there is none."""
    if os.getpid() != parent:
        _end_with(parent)
    try:
        # What is left to read, say where nothing can be kept, may do its reader harm.
        with Processes(1, at_once=True) as hands:
            study = review(folder, outcome=outcome, readers=hands)
        if each is not None:
            each(folder.name, study)
    except InputError as error:
        inside = error.file not in ("", str(folder))
        where = f"{folder.name}/{error.file}" if inside else folder.name
        return Notice(where, 0, "", "athlete", error.found, error.remedy, Level.FAULT)
    except OSError as error:
        found = (error.strerror or "it cannot be used").lower()
        return Notice(folder.name, 0, "", "athlete", found, "check the disk", Level.FAULT)
    return member_of(folder.name, study)


@cache
def _end_with(parent: int) -> None:
    """Ends this process soon after its parent, which joblib does not see to if that is killed."""

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(1)
        os._exit(1)

    threading.Thread(target=watch, name="parent-watch", daemon=True).start()
