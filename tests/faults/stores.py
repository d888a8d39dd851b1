"""Faults of the store in the user's cache folder, and of one that comes with the athlete's."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path

from faults.boundary import without_rights
from faults.stage import Ran, Stage
from importer.hot_journal import leave_hot_journal
from importer.test_folder import later_run, put
from taperback.importer.store.place import OLD


def another_versions_store(stage: Stage) -> Ran:
    stage.run("review")
    theirs = stage.store().rename(stage.store().with_name("another.sqlite"))
    kept = theirs.read_bytes()
    ran = stage.run("review")
    assert theirs.read_bytes() == kept, "the other version's store was changed"
    theirs.unlink()
    return ran


def garbage_store(stage: Stage) -> Ran:
    stage.run("review")
    stage.store().write_bytes(b"garbage" * 999)
    return stage.run("review")


def store_in_the_folder(stage: Stage) -> Ran:
    """Somebody hands over a folder with a store in it that would delete a file when opened."""
    precious = stage.place / "precious.txt"
    put(stage.place, {"precious.txt": b"years of work", f"athlete/{OLD}": b""})
    leave_hot_journal(stage.folder / OLD, precious)
    ran = stage.run("review")
    assert precious.read_bytes() == b"years of work"
    shutil.rmtree((stage.folder / OLD).parent)
    return ran


def cache_with(act: Callable[[Path], None], command: str, stage: Stage) -> Ran:
    put(stage.place, {"cache/other": b"of another program"})
    return stage.run(command, partial(act, stage.place / "cache"))


def kept_then(act: Callable[[Path], None], stage: Stage) -> Ran:
    """Athletes were reviewed before, and one has changed when something befalls the cache."""
    stage.run("squad")
    put(stage.folder, {"bo/g.fit": later_run(150)})
    return stage.run("squad", partial(act, stage.place / "cache"))


def kept_study_of_mode_zero(stage: Stage) -> Ran:
    stage.run("squad")
    for study in stage.studies():
        study.chmod(0)
    return stage.run("squad", without_rights)


def garbage_studies(stage: Stage) -> Ran:
    stage.run("squad")
    for study in stage.studies():
        study.write_bytes(study.read_bytes()[:32] + b"garbage" * 999)
    return stage.run("squad")


def another_versions_study(stage: Stage) -> Ran:
    stage.run("squad")
    theirs = [study.rename(study.with_name("another-result.study")) for study in stage.studies()]
    kept = [study.read_bytes() for study in theirs]
    ran = stage.run("squad")
    assert [study.read_bytes() for study in theirs] == kept, "another version's study was changed"
    return ran
