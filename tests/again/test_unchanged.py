"""A squad again: who has not changed is not reviewed again, and no byte tells the difference."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from again.squads import ALL, Reviewed, made_anew, squad_of, swap
from importer.test_folder import later_run, put
from importer.test_workers import harmed
from squad_athletes import draw_squad
from squad_folder import write_squad as write_folders
from taperback.common.limits import LIMITS
from taperback.report.own_reports import OwnReports
from taperback.squad import codec, kept
from taperback.squad.review import review_squad
from taperback.study.review import Study


def test_of_twelve_every_byte_is_the_same_first_again_and_after_changes(
    cache: pytest.MonkeyPatch, tmp_path: Path, reviewed: Reviewed
) -> None:
    folder = tmp_path / "athletes"
    write_folders(folder, draw_squad(12, seed=12, races=1))
    names = sorted(path.name for path in folder.iterdir() if path.is_dir())
    first = squad_of(folder, tmp_path / "first")
    assert reviewed == names
    reviewed.clear()
    assert squad_of(folder, tmp_path / "first") == first
    assert squad_of(folder, tmp_path / "elsewhere") == first
    assert reviewed == []

    touched, shorter, longer, worse, *_ = names
    next((folder / shorter).rglob("*.fit")).unlink()
    put(folder / longer, {"new.fit": later_run(30)})
    races = folder / worse / "races.csv"
    races.write_text(races.read_text().replace("Quern", "Fern", 1) + "\n")
    (folder / worse / "nights.csv").write_text("date,sleep_h\n2024-05-01,7.5\n")
    os.utime(next((folder / touched).rglob("*.fit")), (1, 1))
    again = squad_of(folder, tmp_path / "first")
    assert reviewed == [touched, shorter, longer, worse]
    assert again != first
    assert again == made_anew(folder, tmp_path / "anew")
    reviewed.clear()
    assert squad_of(folder, tmp_path / "first") == again
    assert reviewed == []


def test_reports_that_lie_there_already_are_not_written_again(
    athletes: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    squad_of(athletes, out)
    before = {path: path.stat().st_mtime_ns for path in out.glob("*/*")}
    (out / "bo/report.html").write_text("somebody else's")
    again = squad_of(athletes, out)
    assert again == made_anew(athletes, tmp_path / "anew")
    changed = {path.parent.name for path in before if path.stat().st_mtime_ns != before[path]}
    assert changed == {"bo"}


def test_a_report_that_became_a_link_is_put_back_and_the_link_not_followed(
    athletes: Path, tmp_path: Path
) -> None:
    out, theirs = tmp_path / "out", tmp_path / "theirs.html"
    whole = squad_of(athletes, out)
    page = out / "ada/report.html"
    shutil.move(page, theirs)
    page.symlink_to(theirs)
    assert squad_of(athletes, out) == whole
    assert not page.is_symlink()


def test_what_a_run_without_reports_kept_is_no_report(
    athletes: Path, tmp_path: Path, reviewed: Reviewed
) -> None:
    (athletes / "bo/nights.csv").write_text("date,sleep_h\n2030-05-01,6.5\n")
    review_squad(athletes, workers=1)
    reviewed.clear()
    review_squad(athletes, workers=1)
    assert reviewed == []
    squad_of(athletes, tmp_path / "out")
    assert reviewed == ["bo"]
    review_squad(athletes, workers=1)
    assert reviewed == ["bo"]


def test_another_outcome_and_another_version_are_kept_apart(
    athletes: Path, tmp_path: Path, reviewed: Reviewed, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = squad_of(athletes, tmp_path / "out")
    reviewed.clear()
    by_rpe = squad_of(athletes, tmp_path / "rpe", outcome="rpe")
    assert reviewed == ["ada", "bo"]
    assert by_rpe["ada/study.json"] != whole["ada/study.json"]
    with monkeypatch.context() as patch:
        patch.setattr("taperback.importer.store.place.study_made_of", lambda: "another")
        assert squad_of(athletes, tmp_path / "out") == whole
        assert reviewed == ["ada", "bo"] * 2
    assert squad_of(athletes, tmp_path / "out") == whole
    assert squad_of(athletes, tmp_path / "rpe", outcome="rpe") == by_rpe
    assert reviewed == ["ada", "bo"] * 2


CHANGES: dict[str, Callable[[Path], object]] = {
    "a file's size": lambda f: (f / "a.fit").write_bytes(later_run(200)),
    "a file's time": lambda f: os.utime(f / "a.fit", (3, 3)),
    "a file's name": lambda f: (f / "a.fit").rename(f / "g.fit"),
    "a file more": lambda f: put(f, {"x/y/new.fit": later_run(300)}),
    "a file less": lambda f: (f / "d.gpx").unlink(),
    "one letter of athlete.toml": lambda f: swap(f / "athlete.toml", "Ada", "Ado"),
    "one digit of nights.csv": lambda f: swap(f / "nights.csv", "7.5", "7.6"),
    "a table more": lambda f: put(f, {"days.csv": b"date,fatigue\n2030-04-30,3\n"}),
    "a table as a workbook": lambda f: put(f, {"trips.xlsx": b"no workbook"}),
    "a table of no use": lambda f: put(f, {"races.ods": b""}),
    "a name that goes on": lambda f: put(f, {"b.fit.old": b""}),
    "no athlete.toml": lambda f: (f / "athlete.toml").unlink(),
    "an old store inside": lambda f: put(f, {".taperback/legs.sqlite": b""}),
    "a link out": lambda f: (f / "out.fit").symlink_to("/dev/null"),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_any_change_that_could_matter_makes_another_state(
    tmp_path: Path, change: Callable[[Path], object]
) -> None:
    folder = put(tmp_path / "ada", ALL)
    before = kept.state(folder, "result")
    assert before == kept.state(folder, "result")
    change(folder)
    assert kept.state(folder, "result") != before


def test_what_cannot_matter_makes_no_other_state(tmp_path: Path) -> None:
    folder = put(tmp_path / "ada", ALL)
    before = kept.state(folder, "result")
    put(folder, {"plan.docx": b"x", ".hidden.fit": b"x", "b/photo.jpg": b"x"})
    os.utime(folder / "races.csv", (5, 5))
    assert kept.state(folder, "result") == before


@dataclass(frozen=True)
class TypingMeanwhile(OwnReports):
    """Reports during whose making somebody goes on typing."""

    typed: Path = Path()

    def made(self, study: Study) -> codec.Files:
        swap(self.typed, "7.5", "6.5")
        return super().made(study)


def test_nothing_is_kept_of_a_folder_that_changes_meanwhile(
    tmp_path: Path, reviewed: Reviewed
) -> None:
    folder = put(tmp_path / "squad", {f"ada/{name}": data for name, data in ALL.items()})
    typing = TypingMeanwhile(tmp_path / "out", folder / "ada/nights.csv")
    review_squad(folder, workers=1, reports=typing)
    assert reviewed == ["ada"]
    assert squad_of(folder, tmp_path / "out") == made_anew(folder, tmp_path / "anew")
    assert reviewed == ["ada"] * 3


def test_nothing_is_kept_as_long_as_a_file_is_tried_again(
    tmp_path: Path, reviewed: Reviewed, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = put(tmp_path / "squad", {f"ada/{name}": data for name, data in ALL.items()})
    harmed(monkeypatch, "os._exit(9)", "job.name.endswith('a.fit')")
    monkeypatch.setitem(vars(LIMITS.reading), "fewest_bytes_for_workers", 0)
    times = [review_squad(folder, workers=1) and len(reviewed) for _ in range(4)]
    assert times == [1, 2, 2, 2], "its reader died for the second time in the first review"
