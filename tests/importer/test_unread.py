"""Files that could not be read: their days are unknown and not rest, and many of them are said."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from fit_writer import FitWriter
from importer.fit_files import START_S, add_records, session
from importer.test_folder import put
from taperback.cli.main import app
from taperback.importer.folder import read_folder
from taperback.study.review import review

RACE = date(2030, 5, 12)
ATHLETE = b'name = "A"\nhome_zone = "Etc/UTC"\nsports = ["running"]\n'
RACES = b"date,name,sports\n2030-05-12,R,running\n"


def run_on(day: date) -> bytes:
    start = START_S + (day - date(2030, 5, 1)).days * 86_400
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=start)
    add_records(writer, 1800, start_s=start)
    session(writer, 1800, start_s=start)
    return writer.bytes()


def season(broken: int) -> dict[str, bytes]:
    """A run a day for ten weeks up to a race; in race week so many files are broken."""
    days = [RACE - timedelta(days=back) for back in range(70)]
    files = {f"{day}-run.fit": run_on(day) for day in days}
    for back in range(1, broken + 1):
        files[f"{RACE - timedelta(days=back)}-run.fit"] = b"no longer a recording"
    return files | {"athlete.toml": ATHLETE, "races.csv": RACES}


@pytest.fixture
def folder(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    return put(tmp_path / "a", season(request.param))


@pytest.mark.parametrize("folder", [3], indirect=True)
def test_days_whose_file_could_not_be_read_are_unknown_and_no_rest(folder: Path) -> None:
    (week,) = review(folder, workers=1).weeks
    states = week.days.set_index("days_to_race")["state"].to_dict()
    assert [states[day] for day in (-1, -2, -3, -4)] == ["unknown"] * 3 + ["recorded"]


@pytest.mark.parametrize("folder", [1], indirect=True)
def test_a_sound_file_of_another_kind_is_no_unread_day(folder: Path) -> None:
    route = b"<gpx><rte></rte></gpx>"
    put(folder, {"2030-05-10-route.gpx": route, "photo-2030-05-10.json": b'{"a": 1}'})
    imported = read_folder(folder, "Etc/UTC", workers=1)
    assert imported.unread["file"].tolist() == ["2030-05-11-run.fit"]
    assert imported.unread_days == {date(2030, 5, 11)}
    assert not imported.many_unread


@pytest.mark.parametrize("folder", [8], indirect=True)
@pytest.mark.parametrize("command", ["check", "review"])
def test_many_unread_files_are_counted_first_and_in_the_exit_code(
    folder: Path, command: str
) -> None:
    out = ["--out", str(folder.parent / "out")] if command == "review" else []
    result = CliRunner().invoke(app, [command, str(folder), *out])
    assert result.exit_code == 1
    assert "8 of 70 files could not be read" in result.output
    if command == "review":
        page = (folder.parent / "out" / "report.html").read_text(encoding="utf-8")
        assert 0 < page.index("8 of 70 files could not be read") < page.index('class="rule"')
