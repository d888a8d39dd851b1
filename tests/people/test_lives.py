"""People with a life beside training, clocks that were wrong and places that were invented.

Each goes through all four commands; every figure is held against the test's own sums.
"""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime, timedelta

import pytest

from people import everyday
from people.folders import Person, day

OWN = {"finish_time": "2:00:00", "expected_time": "2:05:00"}
RESULT = 4.0
"""Percent: five minutes of 2:05."""
OPEN = {"date": day(0), "name": "Open", "sports": "running"}


def typed_life(folder) -> Person:
    """The athlete of `everyday.py` as a diary: three races, commutes, strength and yoga."""
    person = Person(folder, "Eve")
    races = []
    for place, cut in enumerate(everyday.CUTS):
        k0 = everyday.RACES[place]
        for week in range(-8, 0):
            share = 1 - cut if week == -1 else 1.0
            for weekday, sport, hours, hard in everyday.WEEK:
                k = k0 + 7 * week + weekday
                person.session(k, sport, hours * share, hard_min=f"{hard:g}")
        for k in range(k0 - 56, k0 + 3):
            for sport, hours in (("e-bike", 0.4), ("walk", 0.25), ("e-bike", 0.4), ("walk", 0.25)):
                person.session(k, sport, hours)
            if (k - k0) % 7 in (1, 6):
                person.session(k, "strength" if (k - k0) % 7 == 1 else "yoga", 1.0)
        person.session(k0 + 2, "running", 0.5)
        races.append({"date": day(k0), "name": f"Race {place + 1}", "sports": "running"} | OWN)
    person.write(*races)
    return person


def test_everyday_life_beside_training_is_shown_apart_and_counts_for_nothing(tmp_path, say, same):
    person = typed_life(tmp_path / "eve")
    it = say.through(person.folder, "Race 1", "volume_cut")
    assert len(it.study["races"]) == 3
    for race, cut in zip(it.study["races"], everyday.CUTS, strict=True):
        same(race, "baseline_weekly_h", everyday.USUAL_H, 2e-3)
        same(race, "volume_h", everyday.USUAL_H * (1 - cut), 2e-3)
        same(race, "volume_cut", cut, 1e-3)
        same(race, "hard_min", everyday.HARD_MIN)
        same(race, "baseline_hard_min", everyday.HARD_MIN)
        same(race, "hard_minutes_kept", 1.0)
        same(race, "intensity_kept", 1 / (1 - cut), 5e-3)
        same(race, "other_h", everyday.OTHER_H)
        same(race, "on_feet_h", 3 * 2 * 0.25)
        same(race, "panic_sessions", 1.0)  # the hard ride of day -3, kept whole
        same(race, "result_pct", RESULT)
    days = 3 * 59  # of each race 56 days before it, its own and two after it
    assert (
        f"Left out of training, since it is no endurance sport: e-biking {days * 0.8:.0f} h, "
        f"walking {days * 0.5:.0f} h, strength training {3 * 9} h, yoga {3 * 8} h. What should "
        "count is typed as sports in athlete.toml." in it.check.out
    )
    assert f"Besides: {everyday.OTHER_H:.1f} h a week of e-biking, walking, strength" in it.page
    lines = it.explain.out.splitlines()
    usual, cut = everyday.USUAL_H, everyday.CUTS[0]
    assert f"usual weeks: {6 * usual:.2f} h in 30 legs; 6 weeks, median {usual:.2f} h" in lines
    assert f"race week: {usual * (1 - cut):.2f} h in 5 legs" in lines


HARD_BPM, EASY_LIFE_BPM = 180, 100
"""93.5% of the highest heart rate is 168."""


def by_heart(folder) -> Person:
    """One race of the same life from files with heart rate and nothing else."""
    person = Person(folder, "Eve")
    for week in range(-8, 0):
        share = 1 - everyday.CUTS[0] if week == -1 else 1.0
        for weekday, sport, hours, hard in everyday.WEEK:
            k = 7 * week + weekday
            person.gpx(k, sport, hours * share, beats=[(hard, HARD_BPM)])
            person.count(k, hours * share)
        for k in range(7 * week, 7 * week + 7):
            person.gpx(k, "e bike ride", 0.4, beats=[(60, EASY_LIFE_BPM)], at=17.0)
            person.gpx(k, "walking", 0.25, beats=[(60, EASY_LIFE_BPM)], at=18.0)
    person.gpx(0, "running", 2.0, at=10.0)
    person.gpx(2, "running", 0.5)
    person.write(OPEN | OWN)
    return person


def test_an_easy_sports_easy_highest_heart_rate_makes_no_easy_work_hard(tmp_path, say, same):
    it = say.through(by_heart(tmp_path / "eve").folder, "Open", "hard_min")
    (race,) = it.study["races"]
    same(race, "hard_min", everyday.HARD_MIN, 0.5)
    same(race, "baseline_hard_min", everyday.HARD_MIN, 0.5)
    same(race, "baseline_weekly_h", everyday.USUAL_H, 0.02)
    same(race, "volume_cut", everyday.CUTS[0], 0.003)
    same(race, "panic_sessions", 1.0)
    assert "28 min hard" in it.explain.out


@pytest.mark.parametrize("easy", ["hiking", "cycling", "running"])
def test_an_easy_day_before_the_race_in_a_second_sport_is_no_panic(tmp_path, say, same, easy):
    hard = "running" if easy != "running" else "cycling"
    person = Person(tmp_path / "ed", "Ed")
    person.more = 'sports = ["running", "cycling"]\n'
    for k in range(-63, 3):
        if k == 0:
            person.gpx(0, hard, 2.0, beats=[(120, 175)])
        elif k % 2:
            hours = 0.5 if -7 <= k < 0 else 1.0
            person.gpx(k, hard, hours, beats=[(6, HARD_BPM)])
            person.count(k, hours)
        if k % 2 or k == -2:
            person.gpx(k, easy, 0.5, beats=[(60, 120)], at=17.0)
            if easy != "hiking":
                person.count(k, 0.5)
    folder = person.write(OPEN | {"sports": hard} | OWN)
    it = say.through(folder, "Open", "panic_sessions")
    (race,) = it.study["races"]
    same(race, "panic_sessions", 0.0)
    same(race, "hard_min", 6.0 * sum(1 for k in range(-7, 0) if k % 2), 0.5)
    same(race, "volume_h", person.between(-7, -1), 0.02)
    weeks = sorted(person.between(first, first + 6) for first in range(-56, -20, 7))
    same(race, "baseline_weekly_h", (weeks[2] + weeks[3]) / 2, 0.02)
    assert "no rule caught any" in it.explain.out


def pool_swimmer(folder) -> Person:
    """Twenty minutes in the pool a day, half in race week; no file has a position."""
    person = Person(folder, toml=False)
    for k in range(-60, 4):
        if k:
            lengths = 24 if -7 <= k < 0 else 48
            person.pool(k, lengths, 25.0)
            person.count(k, lengths * 25 / 3600)
    person.pool(0, 4, 14.0, at=10.0)
    return person


def test_a_pool_swimmer_without_any_position_comes_from_bare_files_to_a_page(tmp_path, say, same):
    person = pool_swimmer(tmp_path / "pia")
    folder = person.folder
    ran = say("review", folder)
    assert ran.code == 0 and (tmp_path / "pia-report" / "report.html").exists()
    drafted = say("draft", folder)
    assert drafted.code == 0
    assert "A guess, since no file has a position" in (folder / "athlete.toml").read_text()
    assert f"  {day(0)}: 100 m in 0:00:56, " in drafted.out
    assert "Each finish_time is the file's until you type the official one." in drafted.out
    person.write(OPEN | {"sports": "swimming", "distance": "100 m", "finish_time": "0:00:56"})
    it = say.through(folder, "Open", "volume_cut")
    (race,) = it.study["races"]
    same(race, "volume_cut", 0.5, 0.01)
    same(race, "volume_h", person.between(-7, -1), 0.01)
    assert it.check.out.splitlines()[-1] == f"Next: taperback review {folder}", it.check.out


def reset(folder, named: bool) -> Person:
    """A run a day; the clock of race week's last three began anew in 2000."""
    person = Person(folder, "Rex")
    for k in range(-60, 5):
        if not k:
            continue
        hours = 0.5 if -7 <= k < 0 else 1.0
        wrong = datetime(2000, 1, 1, 1, tzinfo=UTC) + timedelta(days=k + 3)
        name = "" if named else f"ride{k + 60}.gpx"
        person.gpx(k, "running", hours, clock=wrong if k in (-3, -2, -1) else None, name=name)
        person.count(k, hours)
    person.gpx(0, "running", 2.0, at=10.0)
    person.write(OPEN | OWN)
    return person


@pytest.mark.parametrize("named", [True, False])
def test_a_clock_that_was_reset_in_race_week_makes_no_rest_days(tmp_path, say, same, named):
    person = reset(tmp_path / "rex", named)
    it = say.through(person.folder, "Open", "volume_cut")
    (race,) = it.study["races"]
    same(race, "volume_cut", None)
    assert "A clock that was probably wrong dated three files (2000-01-01 to 2000-01-03)" in it.page
    assert it.check.out.count("right_start = ") == 2 * 3, "in the remark and to copy"
    if not named:
        return
    lines = it.check.out.split("by your watch:\n")[1].split("\nNext: ")[0]
    toml = person.folder / "athlete.toml"
    text = toml.read_text() + "\n".join(line.strip() for line in lines.splitlines())
    toml.write_text(text)
    it = say.through(person.folder, "Open", "volume_cut")
    (race,) = it.study["races"]
    same(race, "volume_h", person.between(-7, -1), 0.01)
    same(race, "volume_cut", 0.5, 0.005)


def test_a_clock_that_was_never_set_is_put_right_by_the_lines_of_check(tmp_path, say, same):
    person = Person(tmp_path / "nia", "Nia")
    for k in range(-60, 5):
        if k:
            hours = 0.5 if -7 <= k < 0 else 1.0
            never = datetime(1989, 12, 31, tzinfo=UTC) + timedelta(hours=3)
            person.gpx(k, "running", hours, clock=never if k == -2 else None)
            person.count(k, hours)
    person.gpx(0, "running", 2.0, at=10.0)
    folder = person.write(OPEN | OWN)
    lost = say.through(folder, "Open", "volume_cut")
    same(lost.study["races"][0], "volume_cut", None)
    assert "it is dated 1989-12-31, so its clock was not set" in lost.check.out
    lines = lost.check.out.split("by your watch:\n")[1].split("\nNext: ")[0]
    toml = folder / "athlete.toml"
    toml.write_text(toml.read_text() + "\n".join(line.strip() for line in lines.splitlines()))
    it = say.through(folder, "Open", "volume_cut")
    same(it.study["races"][0], "volume_cut", 0.5, 0.005)
    assert "its clock" not in it.check.out


def test_virtual_rides_on_an_island_move_nobody(tmp_path, say, same):
    person = Person(tmp_path / "vic", "Vic")
    for k in range(-60, 3):
        hours = 2.0 if not k else 0.5 if -7 <= k < 0 else 1.0
        person.gpx(k, "running", hours)
        person.count(k, hours)
        if -21 <= k < -1:
            person.gpx(k, "virtual ride", 0.5, at=15.0, where=(-11.66, 166.95))
            person.count(k, 0.5)
    folder = person.write(OPEN | OWN)
    it = say.through(folder, "Open", "travel_km")
    (race,) = it.study["races"]
    same(race, "travel_km", 0.0)
    same(race, "zones_crossed", 0.0)
    same(race, "body_clock_lag_h", 0.0)
    same(race, "volume_h", person.between(-7, -1), 0.02)
    weeks = sorted(person.between(first, first + 6) for first in range(-56, -20, 7))
    same(race, "baseline_weekly_h", (weeks[2] + weeks[3]) / 2, 0.02)
    assert "from home" not in it.review.err
    assert "trips.csv: 0 rows added" in it.draft.out


def test_who_forgot_the_watch_types_the_session(tmp_path, say, same):
    person = Person(tmp_path / "fay", "Fay")
    for k in range(-60, 3):
        hours = 2.0 if not k else 0.5 if -7 <= k < 0 else 1.0
        if k == -4:
            person.session(k, "running", hours, hard_min="0", notes="forgot the watch")
        else:
            person.gpx(k, "running", hours)
            person.count(k, hours)
    person.session(-5, "running", 0.51)  # told twice: the file knows it, too
    person.hours[day(-5)] -= 0.51
    folder = person.write(OPEN | OWN)
    it = say.through(folder, "Open", "volume_cut")
    (race,) = it.study["races"]
    same(race, "volume_h", person.between(-7, -1), 0.01)
    same(race, "volume_cut", 0.5, 0.005)
    every = say("explain", folder, "Open", "volume_cut", "--all").out.splitlines()
    assert sum(line.endswith("sessions.csv") for line in every) == 1
    assert f"  {day(-4)}  {'running':<12} {30:6.1f} min  sessions.csv" in every
    assert "sessions.csv, row 3" in it.check.out, it.check.out


def test_a_squad_with_broken_folders_has_a_row_for_each(tmp_path, say, compared):
    squad = tmp_path / "squad"
    for name in ("ada", "bo"):
        person = Person(squad / name, name)
        for k in range(-60, 3):
            person.session(k, "running", 0.5 if -7 <= k < 0 else 1.0)
        person.write(OPEN | OWN)
    shutil.copytree(squad / "bo", squad / "cy")
    (squad / "cy" / "athlete.toml").write_text("name = Cy\n")
    (squad / "di").mkdir()
    (squad / "ed").symlink_to(squad / "ada")
    for command in ("draft", "check", "review"):
        ran = say(command, squad)
        assert ran.code == 1 and "use taperback squad for all of them" in ran.err
    ran = say("squad", squad, "--out", tmp_path / "out", "--workers", 1)
    assert ran.code == 1
    whole = json.loads((tmp_path / "out" / "squad.json").read_text())
    told = [(one["folder"], one["text"]) for one in whole["broken"]]
    assert told == [
        (
            "cy",
            "cy/athlete.toml, row 1: it cannot be read (invalid value); put that line right; text "
            'stands in quotes, as in name = "Ada"',
        ),
        ("di", "di: it holds no activity that can be read; put FIT, TCX or GPX files in it"),
        (
            "ed",
            "ed: it is a link, and links are not followed; put the athlete's folder itself here",
        ),
    ]
    rows = (tmp_path / "out" / "squad.csv").read_text().splitlines()[1:]
    assert [row.split(",")[0].strip('"') for row in rows] == ["ada", "bo", "cy", "di", "ed"]
    page = (tmp_path / "out" / "squad.html").read_text()
    table = page[page.index('<table class="cards sortable">') :]
    table = table[: table.index("</table>")]
    assert table.count("<tr>") == 1 + 5
    assert all(f"could not be used: {name}" in table for name in ("cy", "di", "ed"))
    compared("rows of a squad's table", table.count("<tr>") - 1, 5)
