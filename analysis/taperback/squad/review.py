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

from taperback.common.errors import InputError, TaperbackError, why_refused
from taperback.common.files.safe_path import NothingFromHere
from taperback.common.lines import printable
from taperback.common.notices import Level, Notice
from taperback.evidence.squad import assess_squad
from taperback.importer.folder import read_files
from taperback.importer.readers.workers import Processes, Readers, cores
from taperback.squad.folders import athlete_folders, passed_over
from taperback.squad.members import member_of, races_of
from taperback.squad.model import Broken, Member, Squad
from taperback.study.review import Study, expect_outcome, review, versions

_BY_ITSELF = "review this folder by itself, and see what it says"

Each = Callable[[str, Study], None]
"""Called with an athlete's folder name and study, in whichever process made it."""


@dataclass(frozen=True)
class SquadProgress:
    """How far a squad has come: athletes read and reviewed, and how many there are."""

    read: int
    reviewed: int
    athletes: int


@NothingFromHere()
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
        workers: processes on this machine, one per core by default; with 1 the athletes are
            reviewed in this one.
        cluster: who reads the files instead, such as `importer.cluster.Cluster`.
        each: called with every athlete's study; it must be picklable, unless `workers` is 1.
        progress: called after each athlete.

    Raises:
        InputError: there is no such folder, no athlete in it, or it is one athlete's own.
        ValueError: there is no such outcome.
    """
    expect_outcome(outcome)
    folders = athlete_folders(Path(folder))
    say = progress or (lambda _: None)
    with nullcontext(cluster) if cluster else Processes(workers) as hands:
        for done, athlete in enumerate(folders, 1):
            _read(athlete, hands)
            say(SquadProgress(done, 0, len(folders)))
    members: list[Member] = []
    broken, left_out = passed_over(Path(folder))
    for done, answer in enumerate(_reviewed(folders, outcome, each, workers), 1):
        if isinstance(answer, Member):
            members.append(answer)
        else:
            broken.append(answer)
        say(SquadProgress(len(folders), done, len(folders)))
    evidence = assess_squad({m.key: races_of(m) for m in members}) if members else None
    in_order = tuple(sorted(broken, key=lambda one: one.folder))
    return Squad(tuple(members), evidence, in_order, tuple(left_out), versions())


def _read(athlete: Path, hands: Readers) -> None:
    """Fills the athlete's store; what is wrong with the folder is said when it is reviewed."""
    try:
        read_files(athlete, readers=hands)
    except InputError:
        return
    except TaperbackError:  # no athlete's fault, such as a broken installation
        raise
    except Exception:
        return


def _reviewed(
    folders: list[Path], outcome: str, each: Each | None, workers: int | None
) -> Iterator[Member | Broken]:
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


def _alone(folder: Path, task: Any) -> Member | Broken:
    """One athlete's answer from a process that does nothing else."""
    try:
        answer: Member | Broken = joblib.Parallel(n_jobs=2)([task])[0]
        return answer
    except TerminatedWorkerError:
        return _broken(folder, "reviewing it stopped the process")


def _member(folder: Path, outcome: str, each: Each | None, parent: int) -> Member | Broken:
    """One athlete's answer, or why there is none; whatever goes wrong costs this athlete only."""
    if os.getpid() != parent:
        _end_with(parent)
    try:
        # What is left to read, say where nothing can be kept, may do its reader harm.
        with Processes(1, at_once=True) as hands:
            study = review(folder, outcome=outcome, readers=hands)
        if each is not None:
            each(folder.name, study)
        return member_of(folder.name, study)
    except InputError as error:
        inside = "" if error.file in ("", str(folder)) else f"/{error.file}"
        return _broken(folder, error.found, error.remedy, inside)
    except TaperbackError:  # no athlete's fault, such as a broken installation
        raise
    except OSError as error:
        return _broken(folder, why_refused(error), "check the disk")
    except Exception as error:
        return _broken(folder, f"it could not be understood ({type(error).__name__})")


def _broken(folder: Path, found: str, remedy: str = _BY_ITSELF, inside: str = "") -> Broken:
    """Why the folder, or the file inside it, could not be used."""
    where = f"{folder.name}{inside}"
    notice = Notice(where, 0, "", "athlete", found, remedy, Level.FAULT)
    return Broken(printable(folder.name), notice)


@cache
def _end_with(parent: int) -> None:
    """Ends this process soon after its parent, which joblib does not see to if that is killed."""

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(1)
        os._exit(1)

    threading.Thread(target=watch, name="parent-watch", daemon=True).start()
