"""What may befall a run, one fault each, and what is looked at afterwards."""

from __future__ import annotations

import json
import os
import shutil
import signal
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from faults.boundary import (
    clock_backwards,
    full_disk,
    killed_at,
    killed_in,
    once_found,
    read_only_disk,
    without_rights,
)
from faults.stage import TYPED, Act, Ran, Stage
from faults.stores import (
    another_versions_store,
    another_versions_study,
    cache_with,
    garbage_store,
    garbage_studies,
    kept_study_of_mode_zero,
    kept_then,
    store_in_the_folder,
)
from faults.strange_files import bombs, links
from importer.test_folder import later_run
from taperback.journal.draft import BACKUPS


@dataclass(frozen=True)
class Fault:
    """One fault.

    Attributes:
        name: as the table tells it.
        command: the command that suffers it.
        provoke: brings it about and runs the command.
        changed: files that the fault itself changes, so that they cannot be as before.
        lines: how many lines are told, one for each thing that is wrong.
    """

    name: str
    command: str
    provoke: Callable[[Stage], Ran]
    changed: tuple[str, ...] = ()
    lines: int = 1


@dataclass(frozen=True)
class Outcome:
    """What came of a fault: a row of the table."""

    fault: str
    command: str
    code: int
    said: tuple[str, ...]
    noted: tuple[str, ...]
    lost: tuple[str, ...]
    next_is_whole: bool


def outcome(fault: Fault, place: Path) -> Outcome:
    """Tries one fault in an empty folder."""
    stage = Stage(place, squad=fault.command == "squad")
    ran = fault.provoke(stage)
    lost = tuple(sorted(_lost(stage) - set(fault.changed)))
    noted = _noted(stage) if ran.code == 0 else ()
    after = stage.run(fault.command)
    whole = after.code == 0 and stage.answer(fault.command) == stage.undisturbed(fault.command)
    return Outcome(fault.name, fault.command, ran.code, ran.lines, noted, lost, whole)


def _noted(stage: Stage) -> tuple[str, ...]:
    """What the report remarks without anybody having to do something."""
    path = stage.out / "study.json"
    told = json.loads(path.read_text(encoding="utf-8"))["notices"] if path.exists() else []
    return tuple(each["text"] for each in told if each["notice"]["level"] == "note")


def _lost(stage: Stage) -> set[str]:
    """The athlete's files that are not as before; to a typed table rows may have been added."""
    before = Stage(stage.place / "before", squad=stage.squad).files()
    shutil.rmtree(stage.place / "before")
    now = stage.files()
    return {name for name in before if now.get(name) != before[name] and not _added(stage, name)}


def _added(stage: Stage, name: str) -> bool:
    path, kept = stage.folder / name, stage.folder / BACKUPS / name
    if name not in TYPED or not path.exists() or not kept.exists():
        return False
    rows = TYPED[name].splitlines()[1:]
    return kept.read_bytes() == TYPED[name] and all(row in path.read_bytes() for row in rows)


def after_a_report(command: str, act: Callable[[Path], None], stage: Stage) -> Ran:
    """A report is there, then something happens to its folder; the old one must stay whole."""
    stage.run(command)
    before = _contents(stage.out)
    ran = stage.run(command, partial(act, stage.out))
    assert _contents(stage.out) == before, "the earlier report is not as it was"
    return ran


def _contents(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def with_mode(mode: int, name: str, command: str, stage: Stage) -> Ran:
    """A file or folder has other permissions while the command runs."""
    path = stage.place / name
    path.mkdir(exist_ok=True) if not path.exists() else None
    before = path.stat().st_mode
    path.chmod(mode)
    try:
        return stage.run(command, without_rights)
    finally:
        path.chmod(before)


def store_of_mode_zero(stage: Stage) -> Ran:
    stage.run("review")
    return with_mode(0, str(stage.store().relative_to(stage.place)), "review", stage)


def changing(change: Callable[[Path], object], stage: Stage) -> Ran:
    """Something changes in the folder while it is read."""
    return stage.run("review", partial(once_found, partial(change, stage.folder)))


def cut(name: str, folder: Path) -> None:
    path = folder / name
    path.write_bytes(path.read_bytes()[:700])


def replaced(name: str, folder: Path) -> None:
    (folder / name).write_bytes(later_run(200))


def gone(name: str, folder: Path) -> None:
    path = folder / name
    shutil.rmtree(path) if path.is_dir() else path.unlink()


def folder_gone(stage: Stage) -> Ran:
    """The whole folder goes away, as with a disk that is pulled out, and comes back later."""
    away = stage.place / "away"
    ran = stage.run("review", partial(once_found, partial(os.rename, stage.folder, away)))
    shutil.rmtree(stage.folder, ignore_errors=True)
    away.rename(stage.folder)
    return ran


def times_set_back(stage: Stage) -> Ran:
    """A file changes between two runs, and its time is long before that of the first."""
    stage.run("review")
    path = stage.folder / "a.fit"
    path.write_bytes(later_run(200))
    os.utime(path, (1, 1))
    return stage.run("review")


def two_at_once(command: str, stage: Stage) -> Ran:
    both = [stage.start(command) for _ in range(2)]
    first, second = map(stage.end, both)
    return Ran(max(first.code, second.code), (*first.lines, *second.lines))


def killed_everywhere(command: str, stage: Stage) -> Ran:
    """Killed before each change of the disk in turn; each next run must be whole."""
    whole = Stage(stage.place / "whole", squad=stage.squad)
    whole.run(command)
    answer = whole.answer(command)
    for write in range(1, 199):
        tried = Stage(stage.place / str(write), squad=stage.squad)
        ran = tried.run(command, partial(killed_at, write, tried.place))
        if ran.code != -signal.SIGKILL:
            assert ran.code == 0 and write > 5, f"killed only {write - 1} times: {ran}"
            return Ran(-signal.SIGKILL, ())
        _assert_whole_after(tried, command, answer)
    raise AssertionError("it never came to its end")


def killed_while_it_keeps(stage: Stage) -> Ran:
    act = partial(killed_in, "taperback.importer.store.tables", "framed")
    return stage.run("review", act)


def _assert_whole_after(stage: Stage, command: str, answer: object) -> None:
    assert not _lost(stage)
    ran = stage.run(command)
    assert ran.code == 0, ran
    assert stage.answer(command) == answer
    shutil.rmtree(stage.place)


def review_with(act: Callable[[Path], None], stage: Stage) -> Ran:
    return stage.run("review", partial(act, stage.folder))


def draft_with(act: Callable[[Path], None], stage: Stage) -> Ran:
    return stage.run("draft", partial(act, stage.folder))


def review_under(act: Act, stage: Stage) -> Ran:
    return stage.run("review", act)


def athlete_gone(stage: Stage) -> Ran:
    """One athlete's folder goes while it is read, and comes back later."""
    bo, away = stage.folder / "bo", stage.place / "away"
    change = partial(_once_below, bo, away)
    ran = stage.run("squad", partial(once_found, change))
    away.rename(bo)
    return ran


def _once_below(bo: Path, away: Path) -> None:
    if bo.exists():
        bo.rename(away)


FAULTS = (
    Fault(
        "disk full, an earlier report is there",
        "review",
        partial(after_a_report, "review", full_disk),
    ),
    Fault("disk of the folder full", "review", partial(review_with, full_disk), lines=0),
    Fault("disk of the folder full", "draft", partial(draft_with, full_disk)),
    Fault("folder on a read-only disk", "review", partial(review_with, read_only_disk), lines=0),
    Fault("folder on a read-only disk", "draft", partial(draft_with, read_only_disk)),
    Fault(
        "report into a read-only disk", "review", partial(after_a_report, "review", read_only_disk)
    ),
    Fault("no right to write the report", "review", partial(with_mode, 0o555, "report", "review")),
    Fault("no right to write the folder", "draft", partial(with_mode, 0o555, "athlete", "draft")),
    Fault("no right to look into the folder", "review", partial(with_mode, 0, "athlete", "review")),
    Fault("no right to read one file", "review", partial(with_mode, 0, "athlete/a.fit", "review")),
    Fault("no right to read a subfolder", "review", partial(with_mode, 0, "athlete/b", "review")),
    Fault(
        "no right to read nights.csv",
        "review",
        partial(with_mode, 0, "athlete/nights.csv", "review"),
    ),
    Fault(
        "no right to read athlete.toml",
        "review",
        partial(with_mode, 0, "athlete/athlete.toml", "review"),
    ),
    Fault("no right to read the store", "review", store_of_mode_zero, lines=0),
    Fault("disk of the cache full", "review", partial(cache_with, full_disk, "review"), lines=0),
    Fault(
        "cache on a read-only disk",
        "review",
        partial(cache_with, read_only_disk, "review"),
        lines=0,
    ),
    Fault(
        "no right to write the cache",
        "review",
        partial(with_mode, 0o555, "cache", "review"),
        lines=0,
    ),
    Fault(
        "file goes while it is read",
        "review",
        partial(changing, partial(gone, "a.fit")),
        ("a.fit",),
    ),
    Fault(
        "subfolder goes while it is read",
        "review",
        partial(changing, partial(gone, "b")),
        ("b/c.fit",),
    ),
    Fault(
        "archive goes while it is read",
        "review",
        partial(changing, partial(gone, "z.zip")),
        ("z.zip",),
    ),
    Fault(
        "file is cut off while it is read",
        "review",
        partial(changing, partial(cut, "a.fit")),
        ("a.fit",),
        lines=0,
    ),
    Fault(
        "file is written anew while it is read",
        "review",
        partial(changing, partial(replaced, "a.fit")),
        ("a.fit",),
        lines=0,
    ),
    Fault(
        "nights.csv goes during the run",
        "review",
        partial(changing, partial(gone, "nights.csv")),
        ("nights.csv",),
        lines=0,
    ),
    Fault("the whole folder goes during the run", "review", folder_gone),
    Fault("clock goes backwards", "review", partial(review_under, clock_backwards), lines=0),
    Fault(
        "file changes, and its time goes backwards", "review", times_set_back, ("a.fit",), lines=0
    ),
    Fault("store of another version", "review", another_versions_store, lines=0),
    Fault("store full of garbage", "review", garbage_store, lines=0),
    Fault("folder with a store of its own", "review", store_in_the_folder, lines=0),
    Fault("two runs at once", "review", partial(two_at_once, "review"), lines=0),
    Fault("two runs at once", "draft", partial(two_at_once, "draft"), lines=0),
    Fault(
        "killed before every change of the disk",
        "review",
        partial(killed_everywhere, "review"),
        lines=0,
    ),
    Fault(
        "killed before every change of the disk",
        "draft",
        partial(killed_everywhere, "draft"),
        lines=0,
    ),
    Fault(
        "killed before every change of the disk",
        "squad",
        partial(killed_everywhere, "squad"),
        lines=0,
    ),
    Fault("killed while the store is written", "review", killed_while_it_keeps, lines=0),
    Fault(
        "disk full, an earlier report is there",
        "squad",
        partial(after_a_report, "squad", full_disk),
        lines=1,
    ),
    Fault(
        "no right to look into one athlete's folder",
        "squad",
        partial(with_mode, 0, "athlete/bo", "squad"),
    ),
    Fault("one athlete's folder goes while it is read", "squad", athlete_gone),
    Fault("disk of the cache full", "squad", partial(cache_with, full_disk, "squad"), lines=0),
    Fault(
        "disk of the cache full, athletes kept, one changed",
        "squad",
        partial(kept_then, full_disk),
        ("bo/g.fit",),
        lines=0,
    ),
    Fault(
        "cache on a read-only disk, athletes kept, one changed",
        "squad",
        partial(kept_then, read_only_disk),
        ("bo/g.fit",),
        lines=0,
    ),
    Fault("no right to read what was kept of athletes", "squad", kept_study_of_mode_zero),
    Fault("what was kept of athletes is garbage", "squad", garbage_studies),
    Fault("athletes kept by another version", "squad", another_versions_study, lines=0),
    Fault("links out, round and to a device; a pipe", "review", links, lines=6),
    Fault("archives that are bombs or nested", "review", bombs, lines=4),
)
