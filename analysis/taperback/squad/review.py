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
from typing import Any, Protocol

import joblib
from joblib.externals.loky.process_executor import TerminatedWorkerError

from taperback.common.errors import InputError, TaperbackError, why_refused
from taperback.common.files.safe_path import NothingFromHere
from taperback.common.lines import printable
from taperback.common.notices import Level, Notice
from taperback.evidence.squad import assess_squad
from taperback.importer.folder import read_files
from taperback.importer.readers.workers import Processes, Readers, cores
from taperback.importer.store.codec import NotOursError
from taperback.squad.codec import Files, pack, unpack
from taperback.squad.folders import athlete_folders, passed_over
from taperback.squad.kept import forget, keep, load, state
from taperback.squad.members import member_of, races_of
from taperback.squad.model import Broken, Member, Squad
from taperback.study.review import Study, expect_outcome, review, versions

_BY_ITSELF = "review this folder by itself, and see what it says"

Each = Callable[[str, Study], None]
"""Called with an athlete's folder name and study, in whichever process made it."""

_FOUND = "what was kept of an athlete could not be read, so the athlete was reviewed anew"
_ANEW = Notice("cache of what was read", 0, "", "study", _FOUND, "")


class Reports(Protocol):
    """Whoever makes the athletes' own reports, in whichever process the study is."""

    def made(self, study: Study) -> Files:
        """The files of one athlete's report."""

    def put(self, key: str, files: Files) -> None:
        """Puts them in place for the athlete of that folder name.

        Raises:
            ValueError: `made` did not make them.
        """


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
    reports: Reports | None = None,
    progress: Callable[[SquadProgress], None] | None = None,
) -> Squad:
    """What the athletes of a folder say, each alone and all together.

    Of an athlete who has not changed since an earlier run, what that kept is taken. Of the others
    first all files are read, each once in its life, by processes that all athletes share or by a
    cluster; then they are reviewed, several at once. The answer is always the same.

    Args:
        folder: holds one folder for each athlete.
        outcome: what leads each athlete's own report, `result` or `rpe`.
        workers: processes on this machine, one per core by default; with 1 the athletes are
            reviewed in this one.
        cluster: who reads the files instead, such as `importer.cluster.Cluster`.
        each: called with every athlete's study, so that all are reviewed; it must be picklable,
            unless `workers` is 1. reports: makes and puts the athletes' own reports; as well.
        progress: called after each athlete.

    Raises:
        InputError: there is no such folder, no athlete in it, or it is one athlete's own.
        ValueError: there is no such outcome.
    """
    expect_outcome(outcome)
    folders = athlete_folders(Path(folder))
    asked = _Asked(outcome, each, reports)
    say = progress or (lambda _: None)
    with nullcontext(cluster) if cluster else Processes(workers) as hands:
        unchanged, remarks = _unchanged(folders, asked, hands, say)
    answers: list[Member | Broken] = []
    reviewed = _reviewed([path for path in folders if path not in unchanged], asked, workers)
    for path in folders:
        answers.append(unchanged[path] if path in unchanged else next(reviewed))
        say(SquadProgress(len(folders), len(answers), len(folders)))
    members = tuple(one for one in answers if isinstance(one, Member))
    broken, left_out = passed_over(Path(folder))
    broken += (one for one in answers if isinstance(one, Broken))
    in_order = tuple(sorted(broken, key=lambda one: one.folder))
    evidence = assess_squad({m.key: races_of(m) for m in members}) if members else None
    return Squad(members, evidence, in_order, tuple(left_out), versions(), remarks=remarks)


@dataclass(frozen=True)
class _Asked:
    """What is asked for of each athlete."""

    outcome: str
    each: Each | None
    reports: Reports | None


def _unchanged(
    folders: list[Path], asked: _Asked, hands: Readers, say: Callable[[SquadProgress], None]
) -> tuple[dict[Path, Member | Broken], tuple[Notice, ...]]:
    """(answers of those who have not changed, remarks about what was kept); of the others, all
    files are read."""
    unchanged: dict[Path, Member | Broken] = {}
    remarks: list[Notice] = []
    for done, athlete in enumerate(folders, 1):
        if (answer := _kept(athlete, asked, remarks)) is not None:
            unchanged[athlete] = answer
        else:
            _read(athlete, hands)
        say(SquadProgress(done, 0, len(folders)))
    return unchanged, tuple(remarks[:1])


def _kept(folder: Path, asked: _Asked, remarks: list[Notice]) -> Member | Broken | None:
    """The athlete's answer as an earlier run kept it; None where the athlete has to be reviewed."""
    if asked.each is not None:
        return None
    try:
        packed = load(folder, asked.outcome)
        if not packed:
            return None
        member, files = unpack(folder.name, packed)
        if asked.reports is not None:
            if not files:  # that run was not asked for reports
                return None
            asked.reports.put(folder.name, files)
        return member
    except (NotOursError, ValueError):
        forget(folder, asked.outcome)
        remarks.append(_ANEW)
        return None
    except OSError as error:
        return _broken(folder, why_refused(error), "check the disk")


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


def _reviewed(folders: list[Path], asked: _Asked, workers: int | None) -> Iterator[Member | Broken]:
    """Each athlete's answer, in order; a process that dies costs its athlete only.

    Whose fault it was is not known, so all that may have been under way are tried one by one.
    """
    number = min(workers or cores(), len(folders))
    task = partial(joblib.delayed(_member), parent=os.getpid())
    rest = list(folders)
    while rest:
        pool = joblib.Parallel(n_jobs=number, return_as="generator", pre_dispatch=2 * number)
        try:
            for answer in pool(task(path, asked) for path in tuple(rest)):
                rest.pop(0)
                yield answer
        except TerminatedWorkerError:
            suspects, rest = rest[: 2 * number], rest[2 * number :]
            yield from (_alone(path, task(path, asked)) for path in suspects)


def _alone(folder: Path, task: Any) -> Member | Broken:
    """One athlete's answer from a process that does nothing else."""
    try:
        answer: Member | Broken = joblib.Parallel(n_jobs=2)([task])[0]
        return answer
    except TerminatedWorkerError:
        return _broken(folder, "reviewing it stopped the process")


def _member(folder: Path, asked: _Asked, parent: int) -> Member | Broken:
    """One athlete's answer, or why there is none; whatever goes wrong costs this athlete only."""
    if os.getpid() != parent:
        _end_with(parent)
    try:
        before = state(folder, asked.outcome)
        # What is left to read, say where nothing can be kept, may do its reader harm.
        with Processes(1, at_once=True) as hands:
            study = review(folder, outcome=asked.outcome, readers=hands)
        if asked.each is not None:
            asked.each(folder.name, study)
        files: Files = {}
        if asked.reports is not None:
            files = asked.reports.made(study)
            asked.reports.put(folder.name, files)
        member = member_of(folder.name, study)
        try:
            packed, as_kept = pack(member, files)
        except NotOursError:  # what cannot be kept is of use once
            return member
        if study.imported.settled and asked.each is None:
            keep(folder, asked.outcome, before, packed)
        return as_kept
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
