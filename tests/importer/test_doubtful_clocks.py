"""Clocks that were reset: reported with the lines to write, and put right by them."""

from __future__ import annotations

import io
import re
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest
from typer.testing import CliRunner

from fit_writer import FitWriter
from importer.fit_files import add_records, session
from importer.test_folder import put
from importer.test_unread import ATHLETE, RACE, RACES, run_on
from taperback.cli.main import app
from taperback.common.lines import printable
from taperback.common.notices import Level
from taperback.importer.clocks import RightClock
from taperback.importer.file_names import Moment
from taperback.importer.fit.clock import FIT_EPOCH_S
from taperback.importer.folder import read_folder
from taperback.proposals.folder import read_unwritten
from taperback.report.view import page_view
from taperback.study.review import review

RESET = date(2020, 1, 1)
MOMENT = datetime(2030, 5, 11, 18, 15, tzinfo=UTC)


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


def never_set(seconds: int = 1800) -> bytes:
    """A run by a device that counts from its maker's first day and knows no date."""
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=FIT_EPOCH_S + 500)
    add_records(writer, seconds, start_s=FIT_EPOCH_S + 500)
    session(writer, seconds, start_s=FIT_EPOCH_S + 500)
    return writer.bytes()


def test_a_clock_that_was_never_set_waits_for_the_lines_that_put_it_right(tmp_path: Path) -> None:
    folder = put(tmp_path, season(named=True) | {"2030-05-11-1815-run.fit": never_set()})
    (folder / "2030-05-11-run.fit").unlink()
    imported = read_folder(folder, "Etc/UTC", workers=1)
    (line,) = (str(n) for n in imported.notices if n.level is Level.UNUSED)
    assert line == (
        "2030-05-11-1815-run.fit: it is dated 1989-12-31, so its clock was not set; write into "
        'athlete.toml [[clocks]], files = ["2030-05-11-1815-run.fit"], '
        "right_start = 2030-05-11T18:15:00"
    )
    assert imported.unread_days == {date(2030, 5, 11)}
    assert imported.unread["file"].tolist() == ["2030-05-11-1815-run.fit"]
    assert date(1989, 12, 31) not in set(imported.legs["local_day"])


def test_the_lines_that_check_writes_put_a_clock_right(tmp_path: Path) -> None:
    files = season(named=True) | {"athlete.toml": ATHLETE, "races.csv": RACES}
    del files["2030-05-11-run.fit"]
    folder = put(tmp_path / "a", files | {"2030-05-11-1815-run.fit": never_set()})
    told = CliRunner().invoke(app, ["check", str(folder)]).output
    lines = told[told.index("  [[clocks]]") :].split("\n\n")[0]
    put(folder, {"athlete.toml": ATHLETE + lines.replace("\n  ", "\n").strip().encode() + b"\n"})
    (week,) = review(folder, workers=1).weeks
    assert week.days.set_index("days_to_race")["state"].to_dict()[-1] == "recorded"
    assert "[[clocks]]" not in CliRunner().invoke(app, ["check", str(folder)]).output
    legs = read_folder(
        folder,
        "Etc/UTC",
        clocks=[RightClock(("*1815*",), MOMENT)],
        workers=1,
    ).legs
    right = legs.loc[legs["file"] == "2030-05-11-1815-run.fit", "start_utc"]
    assert right.tolist() == [MOMENT]


def test_lines_without_a_moment_are_refused_until_it_is_typed(tmp_path: Path) -> None:
    files = season(named=False) | {"athlete.toml": ATHLETE, "races.csv": RACES}
    folder = put(tmp_path / "a", files)
    told = CliRunner().invoke(app, ["check", str(folder)]).output
    entry = '\n[[clocks]]\nfiles = ["0107.fit"]\nright_start = "the day and time that it began"\n'
    assert entry.replace("\n", "\n  ").rstrip() in told
    put(folder, {"athlete.toml": ATHLETE + entry.encode()})
    told = CliRunner().invoke(app, ["check", str(folder)]).output
    assert "write a date and time such as 2030-05-31T07:30:00" in told


@pytest.mark.parametrize(
    "name", ["run [1].fit", "2*2?.fit", "[[]].fit", " run.fit", "my\xa0run.fit", "a\x07\nb.fit"]
)
def test_lines_for_a_name_with_odd_signs_put_that_file_right(tmp_path: Path, name: str) -> None:
    folder = put(
        tmp_path / "a", season(named=True) | {name: never_set(), "run 1.fit": run_on(RACE)}
    )
    (folder / "2030-05-11-run.fit").unlink()
    put(folder, {"athlete.toml": ATHLETE, "races.csv": RACES})
    told = CliRunner().invoke(app, ["check", str(folder)]).output
    (files,) = re.findall(r"^  (files = .*)$", told, flags=re.MULTILINE)
    entry = f"\n[[clocks]]\n{files}\nright_start = 2030-05-11T18:15:00\n"
    put(folder, {"athlete.toml": ATHLETE + entry.encode()})
    _, journal = read_unwritten(folder, workers=1)
    assert journal.notices == ()
    legs = read_unwritten(folder, workers=1)[0].legs
    right = legs.loc[legs["file"] == printable(name), "start_utc"]
    assert right.tolist() == [MOMENT]
    assert MOMENT not in set(legs.loc[legs["file"] == "run 1.fit", "start_utc"])


def test_an_archive_of_one_file_names_its_day_and_an_export_of_many_does_not(
    tmp_path: Path,
) -> None:
    one, many = io.BytesIO(), io.BytesIO()
    with ZipFile(one, "w") as archive:
        archive.writestr("0107.fit", never_set(1700))
    with ZipFile(many, "w") as archive:
        for seconds in (1500, 1600):
            archive.writestr(f"{seconds}.fit", never_set(seconds))
    packed = {"2030-05-11_0630.zip": one.getvalue(), "2030-06-30.zip": many.getvalue()}
    imported = read_folder(put(tmp_path, season(named=True) | packed), "Etc/UTC", workers=1)
    named = {clock.file: clock.named for clock in imported.wrong_clocks if clock.never_set}
    assert named == {
        "2030-05-11_0630.zip!0107.fit": Moment(date(2030, 5, 11), time(6, 30)),
        "2030-06-30.zip!1500.fit": None,
        "2030-06-30.zip!1600.fit": None,
    }


def fallen_silent(clock: bytes = b"") -> dict[str, bytes]:
    """A run a day; those of race week but its last two are dated 2020, and no name tells a day."""
    days = [RACE - timedelta(days=back) for back in range(70)]
    files = {f"{place}.fit": run_on(day) for place, day in enumerate(days)}
    for back in range(3, 8):
        files[f"{back}.fit"] = run_on(RESET + timedelta(days=7 - back))
    return files | {"athlete.toml": ATHLETE + clock, "races.csv": RACES}


def test_a_race_week_that_falls_silent_while_files_lie_on_a_lonely_date_is_unknown(
    tmp_path: Path,
) -> None:
    study = review(put(tmp_path / "a", fallen_silent()), workers=1)
    (week,) = study.weeks
    states = week.days.set_index("days_to_race")["state"].to_dict()
    assert [states[day] for day in range(-8, 0)] == [
        "recorded",
        *["unknown"] * 5,
        *["recorded"] * 2,
    ]
    assert week.measures["volume_cut"].value is None
    (line,) = page_view(study).first
    assert line == (
        "A clock that was probably wrong dated five files (2020-01-01 to 2020-01-05), so what was "
        "trained on five days is not known. taperback check writes the lines that put this right."
    )


def test_the_cut_of_a_race_week_whose_clock_was_put_right_is_right(tmp_path: Path) -> None:
    hours = (RACE - timedelta(days=7) - RESET).days * 24
    clock = f'[[clocks]]\nfiles = ["[3-7].fit"]\nshift_h = {hours}\n'.encode()
    study = review(put(tmp_path / "a", fallen_silent(clock)), workers=1)
    assert study.weeks[0].measures["volume_cut"].value == pytest.approx(0.0, abs=0.02)
    assert page_view(study).first == ()


def test_days_off_that_the_journal_explains_stay_known(tmp_path: Path) -> None:
    period = b'[[periods]]\nfirst = 2030-05-05\nlast = 2030-05-09\nkind = "rest"\n'
    study = review(put(tmp_path / "a", fallen_silent(period)), workers=1)
    states = study.weeks[0].days.set_index("days_to_race")["state"].to_dict()
    assert [states[day] for day in range(-7, -2)] == ["rest"] * 5


def test_a_silence_much_longer_than_the_lost_sessions_is_not_theirs(tmp_path: Path) -> None:
    files = fallen_silent()
    for back in (3, 4, 5):
        del files[f"{back}.fit"]
    imported = read_folder(put(tmp_path, files), "Etc/UTC", workers=1)
    assert len(imported.wrong_clocks) == 2
    assert imported.silent_days == frozenset()


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
