"""People whose races lie close together, each figure held against the test's own sums."""

from __future__ import annotations

import csv

import pytest

from people.folders import Person, clock, day

RIDE = {"sports": "cycling", "expected_time": "3:00:00"}


def rider(folder, aims) -> Person:
    """Rides 1 h a day and races 3 h every second Sunday, with a quiet season before them."""
    person = Person(folder, "Rita")
    days = [14 * n for n in range(len(aims))]
    for k in range(-60, days[-1] + 8):
        person.session(k, "cycling", 3.0 if k in days else 1.0, hard_min="0")
    person.write(
        *(
            RIDE
            | {
                "date": day(k),
                "name": f"R{n + 1}",
                "finish_time": clock(10800 + 30 * (-1) ** n),
                "race_rpe": 5 + n % 3,
                "aim": aim,
            }
            for n, (k, aim) in enumerate(zip(days, aims, strict=True))
        )
    )
    return person


def test_fortnightly_rider_with_tune_ups_typed_has_all_fifteen_weeks(tmp_path, say, same):
    person = rider(tmp_path / "rita", ["tune-up"] * 14 + ["main"])
    it = say.through(person.folder, "R8", "volume_cut")
    study, page = it.study, it.page
    assert len(study["races"]) == 15
    for n, race in enumerate(study["races"]):
        k = 14 * n
        weeks = sorted(person.between(k + first, k + first + 6) for first in range(-56, -20, 7))
        usual = (weeks[2] + weeks[3]) / 2
        same(race, "baseline_weekly_h", usual)
        same(race, "volume_h", person.between(k - 7, k - 1))
        same(race, "volume_cut", 1 - person.between(k - 7, k - 1) / usual)
        same(race, "result_pct", 100 * (1 - (10800 + 30 * (-1) ** n) / 10800))
    assert "of your 15 races tell both" not in page
    assert "tune-up under aim" not in it.check.out
    k = 14 * 7
    weeks = [person.between(k + first, k + first + 6) for first in range(-56, -20, 7)]
    median = (sorted(weeks)[2] + sorted(weeks)[3]) / 2
    assert f"usual weeks: {sum(weeks):.2f} h in 42 legs; 6 weeks, median {median:.2f} h" in (
        it.explain.out.splitlines()
    )
    assert f"race week: {person.between(k - 7, k - 1):.2f} h in 7 legs" in it.explain.out


def test_fortnightly_rider_without_tune_ups_is_told_what_they_would_make_known(tmp_path, say):
    person = rider(tmp_path / "rita", ["main"] * 15)
    it = say.through(person.folder, "R15", "volume_cut")
    study, page, told = it.study, it.page, it.check.out
    lost = [r for r in study["races"] if r["measures"]["volume_cut"]["value"] is None]
    known = 15 - len(lost)
    assert 0 < known < 15
    assert f"{len(lost)} races: volume cut is unknown: other races lie in their usual weeks" in told
    assert (
        "tune-up under aim in races.csv, for those that were trained through, would make volume cut"
        f" known for {len(lost)} races" in told
    )
    assert "of your 15 races tell both how they went and how much was cut before them" in page
    assert "could not be looked at in full" in page
    assert it.explain.out.splitlines()[1].startswith("volume cut: unknown: only ")


def swimmer(folder) -> Person:
    """Five meets of three races on one day, 1 h in the water a day before them."""
    person = Person(folder, "Sven")
    person.more = 'sports = ["swimming"]\n'
    rows = []
    for meet in range(5):
        k0 = 70 * meet
        lighter = 0.4 + 0.1 * meet
        for k in range(k0 - 60, k0 + 9):
            hours = lighter if k0 - 7 <= k < k0 else 1.0
            if k != k0:
                person.session(k, "swimming", hours, hard_min=str(round(6 * hours)))
        for heat, metres in enumerate((50, 100, 200)):
            seconds = 30 * (2**heat) * (1 + 0.004 * meet)
            rows.append(
                {
                    "date": day(k0),
                    "name": f"Meet {meet + 1} {metres} m",
                    "sports": "swimming",
                    "distance": f"{metres} m",
                    "finish_time": f"{seconds:.2f}"
                    if seconds < 60
                    else f"0:0{seconds // 60:.0f}:{seconds % 60:05.2f}",
                    "expected_time": f"{30 * 2**heat:.2f}" if heat == 0 else f"0:0{heat}:00",
                }
            )
    person.write(*rows)
    return person


def test_swimmers_fifteen_rows_are_five_points(tmp_path, say, same):
    person = swimmer(tmp_path / "sven")
    it = say.through(person.folder, "Meet 3 100 m", "volume_cut")
    study, page = it.study, it.page
    assert len(study["races"]) == 15
    cuts = [1 - 7 * (0.4 + 0.1 * meet) / 7 for meet in range(5)]
    for n, race in enumerate(study["races"]):
        same(race, "volume_cut", cuts[n // 3], 0.001)
        same(race, "result_pct", -0.4 * (n // 3), 0.02)
    result = study["evidence"]["result"]
    assert result["n"] == 5
    assert [len(point) for point in result["points"]] == [3] * 5
    for factor in result["factors"]:
        assert factor["strength"] not in ("supported", "strong")
        if "p" in factor["ranked"]:
            assert factor["ranked"]["p"] >= 1 / 60 - 1e-9
    assert "five race weeks" in page.lower()
    assert f"volume cut: {100 * cuts[2]:.0f}%" in it.explain.out
    assert "race week: 4.20 h in 7 legs" in it.explain.out
    assert not it.review.err


def test_swimmers_warm_up_is_not_the_race_and_the_sprinters_time_is_read(tmp_path, say, same):
    person = Person(tmp_path / "sprint", "Sid")
    for k in range(-60, 0):
        person.session(k, "swimming", 1.0 if k < -7 else 0.5)
    person.pool(0, 72, 26.0, at=9.0)
    person.pool(0, 4, 15.0, at=10.0)
    person.pool(1, 40, 30.0)
    folder = person.write(
        {
            "date": day(0),
            "name": "Hundred",
            "sports": "swimming",
            "distance": "100 m",
            "finish_time": "59.87",
            "expected_time": "1:00.50",
        }
    )
    it = say.through(folder, "Hundred", "result_pct")
    (race,) = it.study["races"]
    same(race, "result_pct", 100 * (1 - 59.87 / 60.5))
    same(race, "volume_cut", 0.5)
    assert "59.87" in race["measures"]["result_pct"]["basis"]
    assert len(race["race_legs"]) == 1
    assert "59.87 against an expected 1:00.50" in it.explain.out
    assert "59.87" in it.page


def ultra(folder) -> Person:
    """A race of four stages over four days, the last in two files; 1.5 h a day before it."""
    person = Person(folder, "Uma")
    for k in range(-56, 0):
        hours = 1.5 if k < -7 else 0.25
        person.tcx(k, "running", 3600 * hours, 10000 * hours)
        person.count(k, hours)
    for stage, hours in enumerate((6.0, 5.0, 7.0)):
        person.tcx(stage, "running", 3600 * hours, 8000 * hours)
    person.tcx(3, "running", 3600 * 3, 24000, at=8)
    person.tcx(3, "running", 3600 * 2, 16000, at=11 + 0.1)
    for k in range(12, 20):
        person.tcx(k, "running", 1800, 5000)
    return person


def test_ultra_runners_stages_are_one_event_with_its_own_cut(tmp_path, say, same):
    person = ultra(tmp_path / "uma")
    times = (6.0, 5.0, 7.0, 5.1)
    folder = person.write(
        *(
            {
                "date": day(stage),
                "name": f"Stage {stage + 1}",
                "event": "Ridge",
                "sports": "running",
                "finish_time": clock(3600 * hours),
                "expected_time": clock(3960 * hours),
            }
            for stage, hours in enumerate(times)
        )
    )
    it = say.through(folder, "Ridge", "volume_cut")
    (race,) = it.study["races"]
    assert (race["name"], len(race["race_legs"])) == ("Ridge", 5)
    same(race, "baseline_weekly_h", person.between(-56, -15) / 6, 0.01)
    same(race, "volume_cut", 1 - person.between(-7, -1) / (person.between(-56, -15) / 6), 0.002)
    same(race, "result_pct", 100 * (1 - 3600 / 3960))
    assert race["measures"]["panic_sessions"]["value"] == 0
    # 23.1 h of racing, and its files last as long
    assert "the time of its file" in race["measures"]["result_pct"]["basis"]


def test_ultra_runners_stages_are_proposed_as_one_event_from_files_alone(tmp_path, say):
    person = ultra(tmp_path / "uma")
    ran = say("draft", person.folder)
    assert ran.code == 0
    with (person.folder / "races.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["date"] for row in rows] == [day(k).isoformat() for k in range(4)]
    assert len({row["event"] for row in rows}) == 1 and rows[0]["event"]
    assert rows[3]["finish_time"] == "5:06:00"


@pytest.mark.parametrize("names", [("A", "Autumn A", "Area"), ("Circuit 1", "Circuit 10", "X")])
def test_an_exact_name_wins_in_explain(tmp_path, say, names):
    person = Person(tmp_path / "names")
    for k in range(-60, 30):
        person.session(k, "running", 1.0)
    folder = person.write(
        *(
            {"date": day(14 * n), "name": name, "sports": "running", "aim": "tune-up"}
            for n, name in enumerate(names)
        )
    )
    it = say.through(folder, names[0], "volume_h")
    assert it.explain.out.splitlines()[0] == f"{names[0]}, {day(0)}"
    assert "race week: 7.00 h in 7 legs" in it.explain.out


def test_two_races_each_with_a_panic_flag_still_give_a_week(tmp_path, say, same):
    person = Person(tmp_path / "nervous", "Nina")
    for k in range(-60, 78):
        late = k in (-2, 68)
        person.session(
            k,
            "running",
            2.5 if late else 0.5 if k % 70 > 62 else 1.0,
            hard_min="40" if late else "0",
        )
    folder = person.write(
        *(
            {
                "date": day(k),
                "name": f"N{k}",
                "sports": "running",
                "finish_time": "3:00:00",
                "expected_time": "3:05:00",
            }
            for k in (0, 70)
        )
    )
    it = say.through(folder, "N70", "panic_sessions", perhaps=2)
    study, page = it.study, it.page
    left_out = [race for race in study["races"] if not race["name"].startswith("N")]
    assert [race["date"] for race in left_out] == [str(day(-2)), str(day(68))]
    raced = [race for race in study["races"] if race["name"].startswith("N")]
    for race, k in zip(raced, (0, 70), strict=True):
        same(race, "volume_h", person.between(k - 7, k - 1))
        assert race["measures"]["panic_sessions"]["value"] >= 1
    week = study["next_week"]
    assert week["pattern_race"] == "" and week["pattern_day"]
    with (folder.with_name("nervous-report") / "next_week.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    # a usual week of 7 h, a session of 1 h a day, each scaled alike and rounded to five minutes
    own = 5 * round(60 * week["target_h"] / 7 / 5)
    assert [int(row["minutes"]) for row in rows] == [own] * 7
    assert "so the days are those of a usual week of yours" in page
