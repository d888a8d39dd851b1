"""A folder of athletes: the same answer whoever reads it, and nobody's fault costs another."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from importer.machines import machines
from importer.test_workers import harmed
from marks import mark, trip_over_ivo
from squad_athletes import draw_squad
from squad_folder import write_squad as write_folders
from taperback.common.errors import InputError, TaperbackError
from taperback.common.limits import LIMITS
from taperback.evidence.squad import Borrowed, compare
from taperback.importer.folder import read_files
from taperback.importer.history import FolderContents
from taperback.importer.readers.cluster import Cluster
from taperback.journal.model import Journal
from taperback.report.charts.figures import plotly_script
from taperback.report.own_reports import OwnReports
from taperback.report.page import write_report
from taperback.report.squad_page import write_squad
from taperback.squad import review as squad_review
from taperback.squad.folders import athlete_folders
from taperback.squad.members import races_of
from taperback.squad.model import Member, Squad
from taperback.squad.review import SquadProgress, review_squad
from taperback.squad.tables import squad_table
from taperback.study.review import Study, review

SHOWN = ("bertok", "ivo", "linnea")
"""One with three races, one who panics, one without a result."""


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three athletes with two races each."""
    into = tmp_path_factory.mktemp("squad") / "athletes"
    drawn = draw_squad(12, seed=12, races=2)
    write_folders(into, [one for one in drawn if one.profile.folder in SHOWN])
    return into


@pytest.fixture(scope="module")
def squad(folders: Path) -> Squad:
    return review_squad(folders, workers=1)


def fresh(folders: Path, into: Path) -> Path:
    """A copy of the athletes that nobody has read yet."""
    shutil.copytree(folders, into, ignore=shutil.ignore_patterns(".taperback"))
    return into


def whole(squad: Squad, out: Path) -> list[bytes]:
    """Every byte of a squad's report."""
    return [path.read_bytes() for path in write_squad(squad, out)]


def test_athletes_come_in_order_of_their_folders(squad: Squad) -> None:
    assert [member.key for member in squad.members] == list(SHOWN)
    assert (squad.broken, squad.left_out) == ((), ())


def test_an_athlete_alone_has_the_same_answer_as_in_the_squad(squad: Squad, folders: Path) -> None:
    alone = review(folders / "ivo", workers=1)
    member = squad.members[1]
    assert member.table.equals(alone.table)
    assert member.rule == alone.result.rule
    seen = [flag.rule for race in member.races for flag in race.flags]
    assert seen == [flag.rule for week in alone.weeks for flag in week.flags]
    assert seen, "ivo panics"


def test_the_race_to_come_is_told_and_not_counted_as_thin(squad: Squad) -> None:
    for member in squad.members:
        assert member.next_race is not None
        assert len(member.races) == 2
        assert all(race.day and race.day < member.next_race.day for race in member.races)
        assert all(gap.race_id < member.next_race.day.isoformat() for gap in member.gaps)
    assert [len(races_of(member)[1]) for member in squad.members] == [2, 2, 0]


def test_serially_by_processes_and_by_a_cluster_every_byte_is_the_same(
    squad: Squad, folders: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = whole(squad, tmp_path / "serial")
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 0)
    by_processes = review_squad(fresh(folders, tmp_path / "a"), workers=2)
    assert whole(by_processes, tmp_path / "processes") == expected
    with machines(tmp_path / "two") as two, Cluster(two.address) as cluster:
        by_cluster = review_squad(fresh(folders, tmp_path / "b"), workers=1, cluster=cluster)
    assert whole(by_cluster, tmp_path / "cluster") == expected


def test_a_worker_of_the_cluster_killed_half_way_changes_no_byte(
    squad: Squad, folders: Path, tmp_path: Path
) -> None:
    killed = []

    def kill_one(progress: SquadProgress) -> None:
        if progress.read == 1 and not killed:
            two.workers[0].kill()
            killed.append(two.workers[0].wait())

    with machines(tmp_path / "two") as two, Cluster(two.address) as cluster:
        again = review_squad(
            fresh(folders, tmp_path / "c"), workers=1, cluster=cluster, progress=kill_one
        )
    assert killed == [-9]
    assert whole(again, tmp_path / "killed") == whole(squad, tmp_path / "serial")


def test_no_more_athletes_are_reviewed_at_once_than_this_process_has_cores(
    folders: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    jobs: list[int] = []
    parallel = squad_review.joblib.Parallel
    monkeypatch.setattr(squad_review, "cores", lambda: 1)
    monkeypatch.setattr(
        squad_review.joblib,
        "Parallel",
        lambda n_jobs, **words: jobs.append(n_jobs) or parallel(n_jobs=n_jobs, **words),
    )
    review_squad(fresh(folders, tmp_path / "new"))
    assert jobs == [1]


def test_a_process_that_dies_costs_its_athlete_a_second_try(
    squad: Squad, folders: Path, tmp_path: Path
) -> None:
    into = tmp_path / "left"
    into.mkdir()
    found = review_squad(folders, workers=2, each=partial(mark, into=into, kills=1))
    assert sorted(path.name for path in into.iterdir()) == [*SHOWN, "tried-ivo"]
    assert whole(found, tmp_path / "a") == whole(squad, tmp_path / "b")


def test_a_squad_that_is_killed_leaves_no_process_behind(folders: Path, tmp_path: Path) -> None:
    words = ["-m", "taperback", "squad", str(folders), "--out", str(tmp_path), "--workers", "2"]
    paths = os.pathsep.join(path for path in sys.path if path)
    squad = subprocess.Popen([sys.executable, *words], env=os.environ | {"PYTHONPATH": paths})
    _wait_for(lambda: len(_reviewers(squad.pid)) == 2 and any(tmp_path.iterdir()))
    reviewers = _reviewers(squad.pid)
    squad.kill()
    squad.wait()
    _wait_for(lambda: not any(Path(f"/proc/{pid}").exists() for pid in reviewers))


def _reviewers(parent: int) -> list[int]:
    """The processes of that one that review athletes."""
    every = Path(f"/proc/{parent}/task").glob("*/children")
    children = [int(pid) for path in every for pid in path.read_text().split()]
    return [pid for pid in children if b"LokyProcess" in Path(f"/proc/{pid}/cmdline").read_bytes()]


def _wait_for(true: Callable[[], bool]) -> None:
    end = time.monotonic() + 120
    while not true():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.1)


def test_an_athlete_whose_review_always_kills_its_process_costs_one_line(
    folders: Path, tmp_path: Path
) -> None:
    found = review_squad(folders, workers=2, each=partial(mark, into=tmp_path, kills=9))
    assert [member.key for member in found.members] == ["bertok", "linnea"]
    assert [str(one.why) for one in found.broken] == [
        "ivo: reviewing it stopped the process; review this folder by itself, and see what it says"
    ]


def test_what_cost_its_reader_is_not_read_by_whoever_reviews_the_athlete(
    folders: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(folders / "ivo", tmp_path / "squad/ivo")
    (tmp_path / "cache").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    files = sorted((tmp_path / "squad/ivo").rglob("*.fit"))
    harmed(monkeypatch, "os._exit(9)", f"job.name.endswith('{files[0].name}')")
    studies: list[Study] = []
    review_squad(tmp_path / "squad", workers=1, each=lambda _, study: studies.append(study))
    told = [notice for notice in studies[0].notices if notice.code == "unreadable"]
    assert [notice.found for notice in told] == ["reading it stopped the reader"]


def test_a_fault_of_ours_costs_its_athlete_one_line(folders: Path) -> None:
    for workers in (1, 2):
        found = review_squad(folders, workers=workers, each=trip_over_ivo)
        assert [member.key for member in found.members] == ["bertok", "linnea"]
        assert [str(one.why) for one in found.broken] == [
            "ivo: it could not be understood (ZeroDivisionError); review this folder by itself, "
            "and see what it says"
        ]


def test_a_fault_of_ours_while_reading_is_told_when_the_athlete_is_reviewed(
    folders: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read(folder: Path, *given: object, **named: object) -> FolderContents:
        return 1 // 0 if folder.name == "ivo" else read_files(folder, *given, **named)

    monkeypatch.setattr("taperback.squad.review.read_files", read)
    monkeypatch.setattr("taperback.importer.folder.read_files", read)
    found = review_squad(fresh(folders, tmp_path / "new"), workers=1)
    assert [member.key for member in found.members] == ["bertok", "linnea"]
    assert ["ZeroDivisionError" in str(one.why) for one in found.broken] == [True]


def test_what_is_no_athletes_fault_ends_the_squad(
    folders: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(folder: Path) -> Journal:
        raise TaperbackError("limits.toml is missing from this installation")

    monkeypatch.setattr("taperback.proposals.folder.read_journal", broken)
    with pytest.raises(TaperbackError, match="missing from this installation"):
        review_squad(fresh(folders, tmp_path / "new"), workers=1)


def test_an_outcome_that_there_is_not_is_refused_at_the_door(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="outcome is one of result, rpe, and not 'RPE'"):
        review_squad(tmp_path / "none", outcome="RPE")


def test_a_report_beside_the_athletes_is_none_of_them(
    squad: Squad, folders: Path, tmp_path: Path
) -> None:
    into = fresh(folders, tmp_path / "athletes")
    study = review(into / "ivo", workers=1)
    write_report(study, into / "ivo-report")
    write_report(study, into / "ivo")
    write_squad(squad, into / "squad")
    assert [path.name for path in athlete_folders(into)] == list(SHOWN)
    (into / "ivo" / "athlete.toml").unlink()
    assert [path.name for path in athlete_folders(into)] == list(SHOWN), "never passed in silence"


def test_a_folder_that_is_no_athletes_costs_one_line(
    squad: Squad, folders: Path, tmp_path: Path
) -> None:
    messy = fresh(folders, tmp_path / "messy")
    (messy / "notes").mkdir()
    (messy / ".hidden").mkdir()
    (messy / "report").mkdir()
    (messy / "report" / "squad.json").write_text("{}", encoding="utf-8")
    (messy / "loose.txt").write_text("not a folder", encoding="utf-8")
    found = review_squad(messy, workers=1)
    assert [one.folder for one in found.broken] == ["notes", "report"]
    assert {one.why.level.value for one in found.broken} == {"fault"}
    assert [notice.file for notice in found.left_out] == [".hidden"]
    assert [member.key for member in found.members] == list(SHOWN)
    table = whole(found, tmp_path / "a")[1]
    assert table.startswith(alone := whole(squad, tmp_path / "b")[1])
    assert table[len(alone) :].count(b"\n") == 2, "a row for each folder"


def test_progress_counts_athletes_read_and_then_reviewed(folders: Path) -> None:
    steps: list[SquadProgress] = []
    review_squad(folders, workers=1, progress=steps.append)
    assert [(step.read, step.reviewed) for step in steps] == [
        *((1, 0), (2, 0), (3, 0)),
        *((3, 1), (3, 2), (3, 3)),
    ]
    assert {step.athletes for step in steps} == {3}


def test_no_folder_and_an_empty_one_are_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"there is no such folder; name the squad's folder$"):
        athlete_folders(tmp_path / "nowhere")
    with pytest.raises(InputError, match=r"it holds no athlete's folder; put each athlete's"):
        athlete_folders(tmp_path)


def test_every_race_week_is_in_one_table(squad: Squad) -> None:
    table = squad_table(squad.members)
    assert table["athlete"].tolist() == [key for key in SHOWN for _ in range(2)]
    assert table["volume_cut"].notna().sum() == 6, "a race ahead is no race week to look back on"
    assert len(squad_table(())) == 0


def test_of_the_twelve_what_is_planted_is_found(tmp_path: Path) -> None:
    """One test, since the whole invented squad takes long to read."""
    write_folders(tmp_path / "athletes", draw_squad(12, seed=12))
    truth = tomllib.loads((tmp_path / "athletes" / "TRUTH.toml").read_text(encoding="utf-8"))
    squad = review_squad(tmp_path / "athletes")
    evidence = squad.evidence
    assert evidence is not None
    _shared_effects_lie_in_their_intervals(squad, truth)
    _mixed_model_agrees_or_the_page_says_why(squad, tmp_path / "report")
    named = {member.key: member for member in squad.members}
    assert _panicked(named["ivo"]) == 1
    assert _panicked(named["rafe"]) == 2
    assert sum(_panicked(member) for member in squad.members) == 3


def _shared_effects_lie_in_their_intervals(squad: Squad, truth: dict) -> None:
    evidence = squad.evidence
    assert evidence is not None
    for factor in evidence.factors:
        planted = truth["shared"]["assessed"][factor.factor]
        assert factor.shared.low <= planted <= factor.shared.high, factor.factor
        few = [member.key for member in squad.members if member.results == 3]
        assert few == ["bertok", "maelis"]
        for key in few:
            _pulled_as_stated(factor.athletes[key], factor.factor)
            if factor.factor in ("volume_cut", "sleep_change_h"):  # all tried much the same
                assert factor.athletes[key].pulled > factor.athletes["tamsel"].pulled
        assert factor.athletes["linnea"].pulled == pytest.approx(1.0), "she has no result"


def _pulled_as_stated(one: Borrowed, factor: str) -> None:
    """With the squad the interval is narrower by the share that is said to be borrowed."""
    alone, together = one.alone.high - one.alone.low, one.together.high - one.together.low
    assert 1 - (together / alone) ** 2 == pytest.approx(one.borrowed, abs=0.02), factor
    assert one.borrowed > 0.2


def _panicked(member: Member) -> int:
    return sum(1 for race in member.races if race.flags)


def _mixed_model_agrees_or_the_page_says_why(squad: Squad, out: Path) -> None:
    assert squad.evidence is not None
    beside = compare(squad.evidence)
    assert len(beside) == 4
    page = write_squad(squad, out)[0].read_text(encoding="utf-8")
    assert page.count("it agrees within its standard error") == sum(
        one.apart_se <= 1 for one in beside.values()
    )
    assert page.count("It takes one factor at a time") == sum(
        one.apart_se > 1 for one in beside.values()
    )
    assert all(one.apart_se < 2 for one in beside.values())


def test_an_athletes_own_page_holds_nothing_of_another(
    folders: Path, squad: Squad, tmp_path: Path
) -> None:
    review_squad(folders, workers=1, reports=OwnReports(tmp_path))
    for member in squad.members:
        others = [other.name for other in squad.members if other is not member]
        others += [other.key for other in squad.members if other is not member]
        for path in (tmp_path / member.key).iterdir():
            text = path.read_text(encoding="utf-8").replace(plotly_script(), "")
            assert [name for name in others if re.search(rf"\b{name}\b", text)] == [], path
        told = json.loads((tmp_path / member.key / "study.json").read_text(encoding="utf-8"))
        assert told["athlete"]["name"] == member.name
