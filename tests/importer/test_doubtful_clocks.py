"""Clocks that were reset: reported with the lines to write, and put right by them."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

from importer.test_folder import put
from importer.test_unread import ATHLETE, RACE, RACES, run_on
from taperback.importer.clocks import RightClock
from taperback.importer.folder import read_folder
from taperback.study.review import review

RESET = date(2020, 1, 1)


def season(named: bool) -> dict[str, bytes]:
    """A run a day for ten weeks; a clock reset on the eve of the race dates that run years back."""
    days = [RACE - timedelta(days=back) for back in range(70)]
    files = {f"{day}-run.fit": run_on(day) for day in days}
    eve = f"{RACE - timedelta(days=1)}-run.fit"
    del files[eve]
    return files | {eve if named else "0107.fit": run_on(RESET)}


def test_a_date_far_from_the_files_own_name_is_reported_with_the_lines_to_write(
    tmp_path: Path,
) -> None:
    imported = read_folder(put(tmp_path, season(named=True)), "Etc/UTC", workers=1)
    (line,) = (str(n) for n in imported.notices if n.code == "clock-doubtful")
    assert line == (
        "2030-05-11-run.fit: it is dated 2020-01-01, while its name says 2030-05-11, so its clock "
        'was probably wrong; write into athlete.toml [[clocks]], files = ["2030-05-11-run.fit"], '
        "right_start = 2030-05-11T07:00:00"
    )
    assert imported.unread_days == {date(2030, 5, 11)}


def test_a_lonely_date_is_reported(tmp_path: Path) -> None:
    imported = read_folder(put(tmp_path, season(named=False)), "Etc/UTC", workers=1)
    (line,) = (str(n) for n in imported.notices if n.code == "clock-doubtful")
    assert "it is dated 2020-01-01, years from all other files" in line


def test_an_athlete_who_came_back_after_years_is_not_doubted(tmp_path: Path) -> None:
    days = [date(2030, 1, 1) + timedelta(days=k) for k in range(20)]
    before = [day.replace(year=2027) for day in days]
    files = {f"{k}.fit": run_on(day) for k, day in enumerate([*before, *days])}
    imported = read_folder(put(tmp_path, files), "Etc/UTC", workers=1)
    assert not [n for n in imported.notices if n.code == "clock-doubtful"]


def test_right_clocks_put_files_right(tmp_path: Path) -> None:
    folder = put(tmp_path, season(named=False))
    hours = (date(2030, 5, 11) - RESET).days * 24.0
    for clock in (
        RightClock(("0107.fit",), shift_h=hours),
        RightClock(("01*.fit",), datetime.fromisoformat("2030-05-11T07:00:00")),
    ):
        imported = read_folder(folder, "Etc/UTC", clocks=[clock], workers=1)
        assert date(2030, 5, 11) in set(imported.legs["local_day"])
        assert not [n for n in imported.notices if n.code == "clock-doubtful"]


def test_a_race_week_with_a_reset_clock_is_unknown_until_it_is_put_right(tmp_path: Path) -> None:
    files = season(named=True) | {"athlete.toml": ATHLETE, "races.csv": RACES}
    folder = put(tmp_path, files)
    (week,) = review(folder, workers=1).weeks
    states = week.days.set_index("days_to_race")["state"].to_dict()
    assert states[-1] == "unknown"
    clocks = b'[[clocks]]\nfiles = ["2030-05-11-run.fit"]\nright_start = 2030-05-11T07:00:00\n'
    put(folder, {"athlete.toml": ATHLETE + clocks})
    (week,) = review(folder, workers=1).weeks
    assert week.days.set_index("days_to_race")["state"].to_dict()[-1] == "recorded"
