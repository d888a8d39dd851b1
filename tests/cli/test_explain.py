"""`taperback explain` by week: each sum against the test's own, from a planted diary."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

RACE = date(2024, 6, 30)
HARD = {-5: 12, -12: 20}  # days before the race with hard minutes beside those of usual weeks
LOST = (-31, -30)  # days of which nothing is known


@pytest.fixture
def diary(tmp_path: Path) -> Path:
    """1 h a day in usual weeks, 24 min a day in race week, no session on two days."""
    folder = tmp_path / "ada"
    folder.mkdir()
    (folder / "athlete.toml").write_text('name = "Ada"\nhome_zone = "Europe/Lisbon"\n')
    (folder / "races.csv").write_text(f"date,name,sports\n{RACE},Open,running\n")
    rows, nights = ["date,sport,duration,hard_min"], ["date,sleep_h"]
    for k in range(-60, 9):
        day = RACE + timedelta(days=k)
        if k not in LOST and k != 0:
            hard = HARD.get(k, 10 if k < -14 and k % 7 == 0 else 0)
            rows.append(f"{day},running,{'0:24:00' if -7 <= k < 0 else '1:00:00'},{hard}")
        nights.append(f"{day},{8.0 if k > -7 else 7.0 + 0.1 * (k % 3)}")
    (folder / "sessions.csv").write_text("\n".join(rows) + "\n")
    (folder / "nights.csv").write_text("\n".join(nights) + "\n")
    days = [RACE + timedelta(days=k) for k in LOST]
    (folder / "periods.csv").write_text(f"first,last,kind\n{days[0]},{days[1]},rest\n")
    return folder


def test_usual_weeks_and_race_week_stand_apart_each_with_its_sum(taperback, diary: Path) -> None:
    lines = taperback("explain", diary, "open", "volume cut").out.splitlines()
    weeks = [7.0] * 6
    weeks[3] -= 2  # days -35 to -29 hold the two days off
    usual = lines.index("usual weeks: 40.00 h in 40 legs; 6 weeks, median 7.00 h")
    for place, hours in enumerate(weeks):
        first = RACE - timedelta(days=56 - 7 * place)
        told = f"  {first} to {first + timedelta(days=6)}  {hours:.2f} h in {hours:.0f} legs"
        assert lines[usual + 1 + place] == told
    race_week = lines.index("race week: 2.80 h in 7 legs")
    assert race_week == usual + 7
    assert lines[race_week + 1] == f"  {RACE - timedelta(days=7)}                0.40 h in 1 leg"
    assert not any("hard" in line for line in lines[3:])


def test_hard_minutes_stand_where_the_measure_is_about_them(taperback, diary: Path) -> None:
    lines = taperback("explain", diary, "open", "intensity kept").out.splitlines()
    # six usual weeks, each with one day of 10 hard minutes
    assert (
        "usual weeks: 40.00 h in 40 legs, 60 min hard; 6 weeks, median 7.00 h and 10 min hard"
        in lines
    )
    assert "race week: 2.80 h in 7 legs, 12 min hard" in lines
    assert f"  {RACE - timedelta(days=5)}                0.40 h in 1 leg, 12 min hard" in lines


def test_nights_are_told_by_week_race_week_with_those_that_end_on_its_days(
    taperback, diary: Path
) -> None:
    lines = taperback("explain", diary, "open", "sleep change").out.splitlines()
    usual = [7.0 + 0.1 * (k % 3) for k in range(-56, -14)]
    mean = sum(usual) / len(usual)
    assert f"usual weeks: 42 nights, mean {mean:.2f} h, median 7.10 h" in lines
    place = lines.index("race week: 7 nights, mean 8.00 h, median 8.00 h")
    assert lines[place + 7] == f"  {RACE}                8.00 h"
    assert lines[place + 1] == f"  {RACE - timedelta(days=6)}                8.00 h"


def test_what_only_some_sessions_show_is_told_of_these(taperback, diary: Path) -> None:
    lines = taperback("explain", diary, "open", "last hard session").out.splitlines()
    assert "race week: 0.40 h in 1 leg, 12 min hard" in lines
    rest = taperback("explain", diary, "open", "baseline_weekly_h", "--all").out.splitlines()
    assert sum(line.endswith("sessions.csv") for line in rest) == 40


def test_the_pages_own_words_are_taken_and_what_is_unknown_says_what_would_help(
    taperback, diary: Path
) -> None:
    flags = taperback("explain", diary, "Open", "panic flags")
    assert flags.code == 0
    assert flags.out.splitlines()[1].startswith("panic sessions: ")
    lacking = taperback("explain", diary, "Open", "body clock").out.splitlines()
    assert lacking[1].startswith("body clock behind: unknown: ")
    assert lacking[-1].startswith("what would help: a trip that ends before 30 June 2024 in trips")


def test_a_race_typed_as_a_session_without_duration_has_unknown_hours(
    taperback, diary: Path
) -> None:
    with (diary / "sessions.csv").open("a") as typed:
        typed.write(f"{RACE},running,,7\n")
    sessions = (diary / "sessions.csv").read_text().replace("hard_min", "rpe")
    (diary / "sessions.csv").write_text(sessions)
    lines = taperback("explain", diary, "open", "race RPE").out.splitlines()
    assert "made from: session RPE 7.0 in the race's session in sessions.csv" in lines
    assert "race day: unknown hours in 1 leg" in lines
    assert "files: 1 leg, 0.00 h of moving time, that of 1 leg unknown" in lines
    assert f"  {RACE}  running         unknown  sessions.csv" in lines
