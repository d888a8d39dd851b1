"""Four strangers from files to rule, each figure against what was planted."""

from __future__ import annotations

from statistics import median

from people.folders import Person, day
from people.strangers import (
    CUPS,
    CUTS,
    NIGHT_CUTS,
    NIGHT_TIMES_S,
    NIGHTS_OUT,
    RACES,
    REGATTAS,
    family,
    night_races,
    night_runner,
    pentathlete,
    rower,
)


def own_cut(person: Person, race: int) -> float:
    """The cut of the planted hours, by this sum alone."""
    usual = median(person.between(race - 56 + 7 * n, race - 50 + 7 * n) for n in range(6))
    return 1 - person.between(race - 7, race - 1) / usual


def expect_cuts(person: Person, study: dict, same) -> None:
    races = {race["race_id"]: race for race in study["races"]}
    assert len(races) == len(RACES)
    for race, planted, (_, found) in zip(
        RACES, CUTS, sorted(races.items(), reverse=True), strict=True
    ):
        assert abs(own_cut(person, race) - planted) < 0.01
        same(found, "volume_cut", own_cut(person, race), within=1e-3)


def test_a_pentathlete_is_compared_by_places_and_counts_what_she_types(tmp_path, say, same):
    person = pentathlete(tmp_path / "ana")
    drafted = say("draft", person.folder)
    assert "or place and field_size where no time tells the result" in drafted.out
    toml = person.folder / "athlete.toml"
    counted = '"swimming", "running", "fencing", "shooting"'
    text = toml.read_text(encoding="utf-8").replace('"swimming", "running"', counted)
    toml.write_text(text, encoding="utf-8")
    person.table("races.csv", CUPS)
    assert say("check", person.folder).code == 0
    ran, study, page = say.review(person.folder)
    assert ran.code == 0
    expect_cuts(person, study, same)
    assert "compared by place" in page


def test_a_paced_heart_is_said_to_tell_nothing_and_no_minute_is_hard(tmp_path, say, same):
    person = rower(tmp_path / "bo")
    say("draft", person.folder)
    person.table("races.csv", REGATTAS)
    checked = say("check", person.folder)
    assert "none was recorded" not in checked.out
    assert "stayed the same for minutes on end, as that of a pacemaker" in checked.out
    assert "a second_threshold_heart_rate_bpm or critical_power_w" in checked.out
    _, study, _ = say.review(person.folder)
    expect_cuts(person, study, same)
    for race in study["races"]:
        same(race, "intensity_kept", None)


def test_a_paced_heart_that_wavers_is_no_measure_of_hard_work(tmp_path, say, same):
    person = rower(tmp_path / "bo", waver=3)
    say("draft", person.folder)
    person.table("races.csv", REGATTAS)
    checked = say("check", person.folder)
    assert "the highest seen, 73 bpm, is none of hard work" in checked.out
    _, study, _ = say.review(person.folder)
    for race in study["races"]:
        same(race, "intensity_kept", None)
        same(race, "hard_min", None)


def test_a_family_with_one_watch_is_asked_whose_files_these_are(tmp_path, say, same):
    person = family(tmp_path / "all")
    assert (
        "check the home zone, and that all files are one person's"
        in say("draft", person.folder).out
    )
    _, study, page = say.review(person.folder)
    assert "so no best week is named" in page, "the five results are the same"
    assert "Your best race" not in page
    mine = tmp_path / "cleo"
    mine.mkdir()
    for name in ("athlete.toml", "races.csv"):
        (person.folder / name).rename(mine / name)
    for path in person.folder.glob("*-running.tcx"):
        if not path.name[11:].startswith("19"):
            path.rename(mine / path.name)
    _, study, _ = say.review(mine)
    expect_cuts(person, study, same)


def test_a_night_runner_keeps_her_words_her_tables_and_a_race_that_ends_the_next_day(
    tmp_path, say, same
):
    person = night_runner(tmp_path / "greta")
    drafted = say("draft", person.folder).out
    assert "races.csv: 3 rows added" in drafted
    assert all(f"  {day(k)}: " in drafted for k in NIGHTS_OUT), "the day on which they start"
    night_races(person.folder)
    checked = say("check", person.folder)
    assert checked.code == 0, "semicolons, decimal commas, days and letters of her spreadsheet"
    assert "the race's file lasts 5:30:00, and 11:20:00 is typed" in checked.out
    _, study, page = say.review(person.folder)
    assert "Besides: 0.9 h a week of radfahren, which does not count as training." in page
    toml = person.folder / "athlete.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text.replace('"running"', '"running", "Radfahren"'), encoding="utf-8")
    assert "add it to sports" not in say("check", person.folder).out, "no circle"
    _, study, page = say.review(person.folder)
    races = {race["race_id"]: race for race in study["races"]}
    assert set(races) == {str(day(k)) for k in NIGHTS_OUT}
    for k, planted, seconds in zip(NIGHTS_OUT, NIGHT_CUTS, NIGHT_TIMES_S, strict=True):
        found = races[str(day(k))]
        assert abs(own_cut(person, k) - planted) < 0.01
        same(found, "volume_cut", own_cut(person, k), within=1e-3)
        same(found, "sleep_change_h", -0.5)
        same(found, "race_rpe", 8.5)
        same(found, "result_pct", 100 * (1 - seconds / 40_200), within=1e-6)
    assert "Föhnlauf" in page and "radfahren" in page
