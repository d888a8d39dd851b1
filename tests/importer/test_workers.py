"""Several processes read as one would, and one that dies costs one file."""

from __future__ import annotations

import gzip
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from importer.fit_files import run_file
from importer.tables import as_text
from importer.test_folder import HOME, later_run, lines, put, zipped
from importer.xml_texts import gpx
from taperback.common.limits import LIMITS
from taperback.importer.file.one_file import Job
from taperback.importer.folder import read_folder
from taperback.importer.readers import workers
from taperback.importer.readers.worker import Answer
from taperback.importer.store.rows import JobRow

FILES = {f"{hour:02d}.fit": later_run(hour) for hour in range(12)} | {
    "z.zip": zipped({f"{hour}.fit": later_run(hour) for hour in range(20, 26)})
}

HARMED = """
import os, time
import taperback.importer.readers.worker as worker
real = worker.do_job
def do_job(job, known):
    at_fault = {at_fault}
    if at_fault:
        {harm}
    return real(job, known)
worker.do_job = do_job
worker.main()
"""


@pytest.fixture(autouse=True)
def always_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 0)
    monkeypatch.setitem(vars(LIMITS.reading), "members_a_job", 4)


def test_any_number_of_workers_gives_the_same(tmp_path: Path) -> None:
    texts = {
        as_text(read_folder(put(tmp_path / str(number), FILES), HOME, workers=number))
        for number in (1, 2, 3)
    }
    assert len(texts) == 1


def test_the_same_processes_read_one_folder_after_another(tmp_path: Path) -> None:
    alone = [as_text(read_folder(put(tmp_path / f"alone {n}", FILES), HOME)) for n in (1, 2)]
    with workers.Processes(2) as readers:
        together = [
            as_text(read_folder(put(tmp_path / f"shared {n}", FILES), HOME, readers=readers))
            for n in (1, 2)
        ]
        again = as_text(read_folder(tmp_path / "shared 1", HOME, readers=readers))
    assert together == alone
    assert again == alone[0]


def test_small_folders_start_no_process_until_they_have_come_to_much(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started: list[int] = []
    monkeypatch.setattr(workers._Process, "__init__", lambda self: started.append(1) or _no())
    plain = {name: data for name, data in FILES.items() if not name.endswith(".zip")}
    size = sum(len(data) for data in plain.values())
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", size + size // 2)
    with workers.Processes(2) as readers:
        read_folder(put(tmp_path / "first", plain), HOME, readers=readers)
        assert not started
        read_folder(put(tmp_path / "second", plain), HOME, readers=readers)
        assert started


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.gpx", gpx() + b" " * 1_000_000),
        ("a.zip", zipped({"a.gpx": gpx() + b" " * 1_000_000})),
        ("a.fit", gzip.compress(gpx() + b" " * 1_000_000)),
        ("a.zip", zipped({"a.fit": gzip.compress(run_file(60))})),
        ("a.gz", gzip.compress(zipped({"a.fit": run_file(60)}))),
    ],
)
def test_what_is_large_or_packed_twice_is_read_by_a_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, data: bytes
) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 10**9)
    harmed(monkeypatch, "os._exit(9)", "True")
    imported = read_folder(put(tmp_path, {name: data, "b.fit": later_run(9)}), HOME)
    assert lines(imported) == [
        f"{name}: reading it stopped the reader; export it again, or leave it out"
    ]
    assert imported.legs["file"].tolist() == ["b.fit"]


def test_what_is_small_is_read_here_packed_or_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 10**9)
    harmed(monkeypatch, "os._exit(9)", "True")
    files = {"a.zip": zipped({"a.fit": later_run(1)}), "b.gz": gzip.compress(later_run(2))}
    broken = {"c.zip": zipped({"c.fit": later_run(3)})[:200]}
    imported = read_folder(put(tmp_path, files | broken | {"d.fit": later_run(4)}), HOME)
    assert len(imported.legs) == 3
    assert len(lines(imported)) == 1


def _no() -> None:
    raise OSError("no process to be had")


def harmed(monkeypatch: pytest.MonkeyPatch, harm: str, at_fault: str) -> None:
    monkeypatch.setattr(workers, "_RUN", HARMED.format(harm=harm, at_fault=at_fault))


STOPPED = "05.fit: reading it stopped the reader; export it again, or leave it out"


@pytest.mark.parametrize("number", [1, 2])
def test_a_worker_that_dies_costs_one_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    harmed(monkeypatch, "os._exit(9)", "job.name == '05.fit'")
    imported = read_folder(put(tmp_path, FILES), HOME, workers=number)
    assert lines(imported) == [STOPPED]
    assert len(imported.legs) == 17


def test_a_single_large_file_is_read_by_a_worker_that_may_die(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    harmed(monkeypatch, "os._exit(9)", "True")
    imported = read_folder(put(tmp_path, {"05.fit": later_run(5)}), HOME)
    assert lines(imported) == [STOPPED]


def test_a_member_that_kills_its_worker_costs_no_other_member(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    harmed(monkeypatch, "os._exit(9)", "job.first <= 2 < job.last")
    imported = read_folder(put(tmp_path, FILES), HOME, workers=2)
    assert len(imported.legs) == 17
    assert [line.split(":")[0] for line in lines(imported)] == ["z.zip"]


def test_a_file_that_takes_too_long_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    harmed(monkeypatch, "time.sleep(60)", "job.name == '05.fit'")
    monkeypatch.setitem(vars(LIMITS.reading), "longest_s", 1.5)
    start = time.monotonic()
    imported = read_folder(put(tmp_path, FILES), HOME, workers=2)
    assert time.monotonic() - start < 30
    assert lines(imported) == ["05.fit: reading it took too long; export it again, or leave it out"]
    assert len(imported.legs) == 17


def test_an_answer_at_the_last_moment_does_not_cost_the_next_job_its_worker(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    limits = vars(LIMITS.reading)
    monkeypatch.setitem(limits, "longest_s", 0)
    monkeypatch.setitem(limits, "longest_s_a_member", 60)
    seen_late = threading.Event()

    class Moment(float):
        def __gt__(self, due: float) -> bool:
            late = float(self) > due
            if late:
                seen_late.set()
                time.sleep(0.3)  # in which the answer comes
            return late

    class Worker:
        def __init__(self) -> None:
            self.killed = threading.Event()

        def ask(self, question: object) -> Answer | None:
            if not isinstance(question, Job):
                return None
            if question.name == "first":
                seen_late.wait(9)
            elif self.killed.wait(1):
                raise EOFError
            return Answer(JobRow(question, ()), ())

        def kill(self) -> None:
            self.killed.set()

        def close(self) -> None: ...

    monkeypatch.setattr(workers, "_started", Worker)
    now = SimpleNamespace(monotonic=lambda: Moment(time.monotonic()))
    monkeypatch.setattr(workers, "time", now)
    jobs = [Job("", "first", 9, 0), Job("", "second", 1, 0, 0, 2, 2)]
    crew = workers._Crew(1)
    crew.begin(jobs, frozenset())
    assert [answer.row.job for answer in crew.answers()] == jobs
    crew.dismiss()


def test_where_no_process_can_be_started_files_are_read_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workers, "_RUN", "import sys; sys.exit(3)")
    assert len(read_folder(put(tmp_path, FILES), HOME, workers=2).legs) == 18


def test_what_a_dead_reader_left_is_tried_again_next_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path, FILES)
    with monkeypatch.context() as patch:
        harmed(patch, "os._exit(9)", "job.name == '05.fit'")
        read_folder(tmp_path, HOME, workers=2)
    steps: list = []
    imported = read_folder(tmp_path, HOME, workers=2, progress=steps.append)
    assert len(imported.legs) == 18
    assert lines(imported) == []
    assert steps[-1].files == 1
    read_folder(tmp_path, HOME, workers=2, progress=steps.append)
    assert len(steps) == 1


@pytest.mark.parametrize(
    ("at_fault", "name"),
    [("job.name == '05.fit'", "05.fit"), ("job.first <= 2 < job.last", "z.zip")],
)
def test_what_cost_its_reader_twice_is_told_without_being_read_until_it_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at_fault: str, name: str
) -> None:
    put(tmp_path, FILES)
    steps: list = []
    with monkeypatch.context() as patch:
        harmed(patch, "os._exit(9)", at_fault)
        first = read_folder(tmp_path, HOME, workers=2)
        # So little to read would be read by this process, which may hang or die as well.
        patch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 10**9)
        again = read_folder(tmp_path, HOME, workers=1, progress=steps.append)
    assert steps[-1].files == 1
    third = read_folder(tmp_path, HOME, progress=steps.append)
    assert len(steps) == 1
    assert len(lines(first)) == 1
    assert as_text(first) == as_text(again) == as_text(third)
    os.utime(tmp_path / name, (9, 9))
    assert len(read_folder(tmp_path, HOME).legs) == 18


def test_what_cost_its_reader_is_not_read_here_where_no_process_can_be_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path, FILES)
    with monkeypatch.context() as patch:
        harmed(patch, "os._exit(9)", "job.name == '05.fit'")
        read_folder(tmp_path, HOME, workers=2)
        patch.setattr(workers, "_RUN", "import sys; sys.exit(3)")
        assert lines(read_folder(tmp_path, HOME, workers=2)) == [STOPPED]
    assert lines(read_folder(tmp_path, HOME, workers=2)) == []


IMPORT = """
import sys
from pathlib import Path
from taperback.importer.folder import read_folder
from taperback.common.limits import LIMITS
vars(LIMITS.reading).update(fewest_bytes_for_workers=0, write_every_s=0.0)
read_folder(Path(sys.argv[1]), "Europe/Lisbon", workers=2, progress=lambda step: print(step))
"""


def start_import(folder: Path) -> subprocess.Popen:
    paths = os.pathsep.join(path for path in sys.path if path)
    return subprocess.Popen(
        [sys.executable, "-c", IMPORT, str(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": paths, "PYTHONUNBUFFERED": "1"},
    )


@pytest.mark.parametrize("after", [1, 5])
def test_killed_at_any_moment_the_next_run_gives_the_undisturbed_table(
    tmp_path: Path, after: int
) -> None:
    folder = put(tmp_path / "killed", FILES)
    process = start_import(folder)
    for _ in range(after):
        assert process.stdout.readline()
    process.kill()
    process.communicate()
    fresh = read_folder(put(tmp_path / "fresh", FILES), HOME)
    assert as_text(read_folder(folder, HOME)) == as_text(fresh)


def test_ctrl_c_keeps_what_was_read_and_leaves_no_worker_behind(tmp_path: Path) -> None:
    folder = put(tmp_path, FILES | {"slow.fit": run_file(8_000)})
    process = start_import(folder)
    for _ in range(3):
        assert process.stdout.readline()
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=20)
    assert b"KeyboardInterrupt" in errors
    assert errors.count(b"Traceback") == 1
    steps: list = []
    read_folder(folder, HOME, progress=steps.append)
    assert steps[-1].files < 19
