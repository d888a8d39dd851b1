"""A cluster reads as one process does, whichever of its workers dies."""

from __future__ import annotations

import re
import signal
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from importer.fit_files import run_file
from importer.machines import Machines, machines
from importer.tables import as_text
from importer.test_folder import HOME, later_run, put, zipped
from taperback.common.errors import InputError, UsageError
from taperback.common.limits import LIMITS
from taperback.importer.file.one_file import Job
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.importer.readers import cluster
from taperback.importer.readers.cluster import Cluster
from taperback.importer.readers.progress import Progress
from taperback.importer.readers.workers import Processes

FILES = {f"{hour:02d}.fit": later_run(hour) for hour in range(30)} | {
    "z.zip": zipped({f"{hour}.fit": later_run(hour) for hour in range(30, 36)}),
    "broken.fit": run_file(600)[:-50],
    "empty.gpx": b"",
}


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    with machines(tmp_path_factory.mktemp("cluster") / "two") as them:
        yield them


@pytest.fixture(scope="module")
def expected(tmp_path_factory: pytest.TempPathFactory) -> str:
    return as_text(read_folder(put(tmp_path_factory.mktemp("serial"), FILES), HOME, workers=1))


def read_by(
    address: str, folder: Path, progress: Callable[[Progress], None] | None = None
) -> Imported:
    with Cluster(address) as readers:
        return read_folder(put(folder, FILES), HOME, readers=readers, progress=progress)


def test_serially_by_processes_and_by_a_cluster_the_tables_are_the_same(
    two: Machines, expected: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 0)
    with Processes(2) as readers:
        by_processes = read_folder(put(tmp_path / "processes", FILES), HOME, readers=readers)
    assert as_text(by_processes) == expected
    assert as_text(read_by(two.address, tmp_path / "cluster")) == expected


def test_what_a_cluster_read_is_not_read_again(two: Machines, tmp_path: Path) -> None:
    read_by(two.address, tmp_path)
    again: list[Progress] = []
    read_folder(tmp_path, HOME, progress=again.append)
    assert sum(step.files for step in again[:1]) <= 2, "only what could not be used"


def after(answers: int, do: Callable[[], object]) -> Callable[[Progress], None]:
    """A progress that does something once so many files are done; one answer may hold several."""
    to_do = [do]

    def step(progress: Progress) -> None:
        if progress.files_done >= answers and to_do:
            to_do.pop()()

    return step


def test_one_worker_killed_half_way_changes_nothing(expected: str, tmp_path: Path) -> None:
    with machines(tmp_path / "m") as them:
        killed = after(15, them.workers[0].kill)
        assert as_text(read_by(them.address, tmp_path / "athlete", killed)) == expected
        assert them.workers[0].wait(10) == -signal.SIGKILL


@pytest.mark.parametrize("gone", ["workers", "scheduler"])
def test_what_a_cluster_that_has_gone_did_not_answer_is_read_here(
    gone: str, expected: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster, "_LOOK_S", 0.2)
    with machines(tmp_path / "m") as them:
        doomed = them.workers if gone == "workers" else [them.scheduler]
        killed = after(10, lambda: [process.kill() for process in doomed])
        assert as_text(read_by(them.address, tmp_path / "athlete", killed)) == expected


HARMED = """
import os, time
import taperback.importer.readers.worker as worker
def harmed(job, known, read=worker.do_job):
    if job.name == "05.fit" or job.name == "z.zip" and job.first <= 2 < job.last:
        {harm}
    return read(job, known)
worker.do_job = harmed
"""


@pytest.mark.parametrize("harm", ["os._exit(9)", "time.sleep(99)"])
def test_a_task_that_kills_or_holds_up_its_workers_is_done_here(
    harm: str, expected: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "longest_s", 1)
    preload = tmp_path / "harm.py"
    preload.write_text(HARMED.format(harm=harm), encoding="utf-8")
    with machines(tmp_path / "m", 2, "--preload", str(preload)) as them:
        assert as_text(read_by(them.address, tmp_path / "athlete")) == expected


def test_a_file_that_cost_a_reader_before_is_read_here(
    two: Machines, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent: list[str] = []
    send = Cluster._send
    monkeypatch.setattr(
        Cluster, "_send", lambda self, job, known: sent.append(job.name) or send(self, job, known)
    )
    put(tmp_path, {"a.fit": later_run(1), "b.fit": later_run(2)})
    jobs = [Job(str(tmp_path / f"{name}.fit"), f"{name}.fit", 9, 9) for name in "ab"]
    jobs[1] = replace(jobs[1], lost=1)
    with Cluster(two.address) as readers:
        answers = list(readers.answers(jobs, frozenset()))
    assert sent == ["a.fit"]
    assert [len(answer.contents) for answer in answers] == [1, 1]


def test_a_worker_that_does_not_see_the_folder_is_named(two: Machines) -> None:
    with Cluster(two.address) as readers, pytest.raises(InputError) as told:
        next(readers.answers([Job("/nowhere/a.fit", "a.fit", 1, 1)], frozenset()))
    assert re.fullmatch(
        r"a\.fit: the worker tcp://127\.0\.0\.1:\d+ does not see it; "
        "every worker of the cluster needs the folder at the same path",
        str(told.value),
    )


def test_a_worker_that_reads_differently_is_refused(
    two: Machines, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster, "made_of", lambda: "another")
    with pytest.raises(UsageError, match=r"^the worker tcp://\S+ has another Taperback, or none; "):
        Cluster(two.address)


def test_an_address_where_nobody_answers_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "_CONNECT_S", 1)
    with pytest.raises(UsageError, match=r"^no Dask scheduler answers at tcp://127\.0\.0\.1:9; "):
        Cluster("tcp://127.0.0.1:9")


def test_a_cluster_without_workers_is_one_line(tmp_path: Path) -> None:
    with machines(tmp_path / "m", 0) as them, pytest.raises(UsageError, match="has no worker"):
        Cluster(them.address)
