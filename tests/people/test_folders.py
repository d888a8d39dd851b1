"""Folders without a journal, or of several people: what is said, and what is typed next."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from people.folders import LISBON, Person, day


def commands_for_one(folder: Path) -> tuple[tuple[object, ...], ...]:
    out = folder.with_name("out")
    return (
        ("draft", folder),
        ("check", folder),
        ("review", folder, "--out", out),
        ("explain", folder, "A", "volume_h"),
    )


def test_a_folder_of_athletes_is_refused_by_every_command_for_one(tmp_path, say):
    for name in ("anna", "bo"):
        person = Person(tmp_path / "squad" / name, name)
        person.session(0, "running", 1.0)
        person.write({"date": day(0), "name": "A", "sports": "running"})
    squad = tmp_path / "squad"
    for words in commands_for_one(squad):
        ran = say(*words)
        assert (ran.code, ran.out) == (1, "")
        assert ran.err == (
            f"taperback: {squad}: it holds the folder of 2 athletes (anna and bo), and is none "
            "itself; use taperback squad for all of them, or name the folder of one\n"
        )
    assert not list(squad.glob("*.csv"))


def test_a_folder_of_athletes_with_a_journal_of_its_own_is_refused_and_one_copy_is_none(
    tmp_path, say
):
    coach = Person(tmp_path / "coach", "Cleo")
    for k in range(-60, 1):
        coach.session(k, "running", 1.0)
    coach.write({"date": day(0), "name": "A", "sports": "running"})
    shutil.copytree(coach.folder, tmp_path / "copy")
    shutil.move(tmp_path / "copy", coach.folder / "copy")
    assert say("explain", coach.folder, "A", "volume_h").code == 0
    shutil.copytree(coach.folder / "copy", coach.folder / "bo")
    ran = say("check", coach.folder)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == (
        f"taperback: {coach.folder}: it holds the folder of 2 athletes (bo and copy), and has a "
        "journal of its own beside them; use taperback squad for all of them, or name the folder "
        "of one\n"
    )


def bare(folder: Path, hours: float, *, at: float = 8.0, sport: str = "running") -> None:
    """A session a day for ten days in a folder without any journal."""
    person = Person(folder, toml=False)
    for k in range(10):
        person.tcx(k, sport, 3600 * hours, 10000 * hours, at=at)


def test_bare_folders_of_several_people_are_refused_by_every_command_for_one(tmp_path, say):
    for name, hours in (("anna", 1.0), ("bo", 1.5), ("cy", 0.8)):
        bare(tmp_path / "squad" / name, hours)
    squad = tmp_path / "squad"
    for words in commands_for_one(squad):
        ran = say(*words)
        assert (ran.code, ran.out) == (1, "")
        assert ran.err == (
            f"taperback: {squad}: its folders look like those of several people (anna, bo and cy), "
            "whose sessions lie at the same time; use taperback squad for all of them, or name the "
            "folder of one; if all are one athlete's, write athlete.toml into it with a name and a "
            "home_zone\n"
        )
    assert not list(squad.glob("*.*")) and not (tmp_path / "out").exists()
    ran = say("squad", squad, "--out", tmp_path / "page", "--workers", 1)
    assert ran.code == 0, ran.err
    (squad / "athlete.toml").write_text('name = "All"\nhome_zone = "Europe/Lisbon"\n')
    assert say("check", squad).code == 0, "no circle: what was said to write is enough"


@pytest.mark.parametrize("folders", [("2024 watch", "bike computer"), ("running", "cycling")])
def test_one_athletes_folders_for_each_device_or_sport_are_one_athletes(tmp_path, say, folders):
    first, second = (tmp_path / "mia" / name for name in folders)
    bare(first, 1.0)
    if folders[1] == "cycling":
        bare(second, 2.0, at=17.0, sport="cycling")
    else:
        bare(second, 0.97, at=8.02)
    ran = say("draft", tmp_path / "mia")
    assert ran.code == 0, ran.err


def test_marathons_with_tracks_one_percent_short_and_no_position_are_found(tmp_path, say, same):
    person = Person(tmp_path / "mia", toml=False)
    for k in range(-60, 10):
        if k and k not in (-1, 1, 2, 3, 4, 5):
            easy = 0.4 if -7 <= k < 0 else 1.0
            person.tcx(k, "running", 3600 * easy, 10000 * easy, where=None)
            person.count(k, easy)
    person.tcx(0, "running", 11400, 42195 * 0.99, where=None)
    ran = say("draft", person.folder)
    assert ran.code == 0
    assert f"  {day(0)}: marathon in 3:10:00" in ran.out
    assert "Each finish_time is the file's until you type the official one." in ran.out
    assert "A guess, since no file has a position" in (person.folder / "athlete.toml").read_text()
    again = say("draft", person.folder)
    assert "The files show nothing that the journal does not have." in again.out
    assert again.out.splitlines()[-1] == f"Then run: taperback check {person.folder}"
    told = say("check", person.folder)
    assert (told.code, told.out.splitlines()[-1]) == (0, f"Next: taperback review {person.folder}")
    ran, study, page = say.review(person.folder)
    assert ran.code == 0
    assert "Nobody has confirmed" not in page, "the drafted table is the journal"
    (race,) = study["races"]
    same(race, "volume_h", person.between(-7, -1), 0.01)
    usual = [person.between(first, first + 6) for first in range(-56, -20, 7)]
    same(race, "baseline_weekly_h", sorted(usual)[3], 0.01)
    out = say("explain", person.folder, race["race_id"], "volume cut").out
    assert f"race week: {person.between(-7, -1):.2f} h in 6 legs" in out


def test_from_bare_files_to_a_page_in_one_command_with_and_without_positions(tmp_path, say, same):
    for name, where in (("placed", LISBON), ("unplaced", None)):
        person = Person(tmp_path / name, toml=False)
        for k in range(-60, 10):
            easy = 0.4 if -7 <= k < 0 else 1.0
            if k:
                person.tcx(k, "running", 3600 * easy, 10000 * easy, where=where)
                person.count(k, easy)
        person.tcx(0, "running", 11400, 42195, where=where)
        ran = say("review", person.folder)
        out = tmp_path / f"{name}-report"
        assert ran.code == 0
        assert ran.out.splitlines()[-1] == f"report: {out / 'report.html'}"
        assert ran.out.startswith("rule: In the last seven days, train ")
        assert not list(person.folder.glob("*.csv")), "nothing is written beside the files"
        page = (out / "report.html").read_text(encoding="utf-8")
        assert page.index("Nobody has confirmed these races") < page.index('class="rule"')
        (race,) = json.loads((out / "study.json").read_text())["races"]
        same(race, "volume_h", person.between(-7, -1), 0.01)
        same(race, "baseline_weekly_h", 7.0, 0.01)
        same(race, "volume_cut", 0.6, 0.002)
