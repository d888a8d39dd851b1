"""A folder without a journal is read once, and home is where most legs start."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import generate
from taperback.common.errors import InputError
from taperback.importer import folder as importer_folder
from taperback.proposals import propose as proposals_propose
from taperback.proposals.folder import read_unwritten
from taperback.proposals.propose import propose

SAMPLE = Path(generate.__file__).parent / "tove"


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """The sample's activity files of one year alone."""
    shutil.copytree(SAMPLE / "2024", tmp_path / "mara" / "2024")
    return tmp_path / "mara"


def test_files_alone_say_who_the_athlete_may_be(bare: Path):
    _, journal = read_unwritten(bare)
    athlete = journal.athlete
    assert (athlete.name, athlete.home_zone, athlete.typed) == ("mara", "Europe/Lisbon", False)
    assert set(athlete.sports) == {"swimming", "cycling", "running"}
    assert not len(journal.races)


def test_the_folder_is_read_and_the_races_are_laid_out_once(
    bare: Path, monkeypatch: pytest.MonkeyPatch
):
    calls = []
    for module, name in ((importer_folder, "find_files"), (proposals_propose, "windows")):
        monkeypatch.setattr(module, name, _counted(getattr(module, name), calls))
    found = propose(*read_unwritten(bare))
    assert found.races and 'home_zone = "Europe/Lisbon"' in found.athlete_toml
    assert calls == ["find_files", "windows"]


def _counted(function, calls: list[str]):
    def counted(*given):
        calls.append(function.__name__)
        return function(*given)

    return counted


def test_a_folder_without_any_activity_says_what_to_put_into_it(tmp_path: Path):
    with pytest.raises(InputError, match="it holds no activity that can be read; put FIT, TCX"):
        read_unwritten(tmp_path)


def test_without_any_position_home_is_a_guess_and_says_so(tmp_path: Path):
    shutil.copy(next((SAMPLE / "2024").glob("*-swimming.fit")), tmp_path)
    imported, journal = read_unwritten(tmp_path)
    assert journal.athlete.home_guess.startswith("since no file has a position")
    toml = propose(imported, journal).athlete_toml
    assert f"# A guess, {journal.athlete.home_guess}; put it right.\nhome_zone = " in toml


def test_a_typed_athlete_is_believed_before_the_files(bare: Path):
    (bare / "athlete.toml").write_text('name = "Mara"\nhome_zone = "Asia/Tokyo"\n')
    imported, journal = read_unwritten(bare)
    assert journal.athlete.typed and journal.athlete.home_zone == "Asia/Tokyo"
    assert propose(imported, journal).athlete_toml == ""
