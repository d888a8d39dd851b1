"""Folders without a journal, or of several people: what is said, and what is typed next."""

from __future__ import annotations

from people.folders import Person, day


def test_a_folder_of_athletes_is_refused_by_every_command_for_one(tmp_path, say):
    for name in ("anna", "bo"):
        person = Person(tmp_path / "squad" / name, name)
        person.session(0, "running", 1.0)
        person.write({"date": day(0), "name": "A", "sports": "running"})
    squad = tmp_path / "squad"
    for words in (("draft", squad), ("check", squad), ("explain", squad, "A", "volume_h")):
        ran = say(*words)
        assert (ran.code, ran.out) == (1, "")
        assert ran.err == (
            f"taperback: {squad}: it holds the folder of 2 athletes (anna and bo), and is none "
            "itself; use taperback squad for all of them, or name the folder of one\n"
        )
    assert not list(squad.glob("*.csv"))


def test_marathons_with_tracks_one_percent_short_and_no_position_are_found(tmp_path, say):
    person = Person(tmp_path / "mia", toml=False)
    for k in range(-60, 10):
        if k and k not in (-1, 1, 2, 3, 4, 5):
            easy = 0.4 if -7 <= k < 0 else 1.0
            person.tcx(k, "running", 3600 * easy, 10000 * easy, where=None)
    person.tcx(0, "running", 11400, 42195 * 0.99, where=None)
    ran = say("draft", person.folder)
    assert ran.code == 0
    assert f"  {day(0)}: marathon in 3:10:01" in ran.out
    assert "Each finish_time is the file's until you type the official one." in ran.out
    assert "A guess, since no file has a position" in (person.folder / "athlete.toml").read_text()
    again = say("draft", person.folder)
    assert "The files show nothing that the journal does not have." in again.out
    assert again.out.splitlines()[-1] == f"Then run: taperback check {person.folder}"
    told = say("check", person.folder)
    assert (told.code, told.out.splitlines()[-1]) == (0, f"Next: taperback review {person.folder}")
