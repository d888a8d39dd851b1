"""Machines that are not the developer's: another clock and locale, odd names, no right to write.

Every command runs as a process of its own, as a user starts it.
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import taperback as package
from people.folders import Person

LONG = "Läufe & Rennen – für Ömer" + 172 * "x"
"""A folder's name of 197 letters, 201 bytes, with blanks, umlauts and a sign that a shell reads."""
PLAIN = {"TZ": "UTC", "LC_ALL": "C.UTF-8"}
ELSEWHERE = {
    "a day ahead": {"TZ": "Pacific/Apia", "LC_ALL": "tr_TR.UTF-8"},
    "letters of English only": {
        "TZ": "America/St_Johns",
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
    },
}
NOBODY = 65534


@dataclass(frozen=True)
class Ran:
    """What every command said, and every byte that came of them by the name of its file."""

    said: list[str]
    files: dict[str, bytes]


def athlete(folder: Path) -> None:
    """Three races with half a year before them, typed but for one run from a file."""
    person = Person(folder, name="Zoë Ğ")
    for week in range(-30, 0):
        for k, hours in ((0, 1.0), (2, 1.5), (5, 2.0)):
            person.session(7 * week + k, "running", hours * (0.6 if week in (-1, -11) else 1))
    made = person.tcx(-3, "running", 3600, 10_000)
    (folder / made).rename(folder / "Läufe am Fluß.tcx")
    run = {"sports": "running", "expected_time": "0:41:00"}
    person.write(
        run | {"date": "2024-06-30", "name": "Süd – Ğ", "finish_time": "0:40:00"},
        run | {"date": "2024-04-21", "name": "Straße", "finish_time": "0:41:00"},
        run | {"date": "2024-02-11", "name": "Ilk İş", "finish_time": "0:41:30"},
    )


def taperback(place: Path, env: dict[str, str], *words: str, before: tuple[str, ...] = ()):
    """The command, started in a folder."""
    bare = {"PATH": os.environ["PATH"], "HOME": str(place / "home"), "COLUMNS": "100"}
    paths = {"PYTHONPATH": str(Path(package.__file__).parents[1]), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [*before, sys.executable, "-m", "taperback", *words],
        cwd=place,
        env=bare | paths | env,
        capture_output=True,
        check=False,
    )


def commands(place: Path, env: dict[str, str], *before: str) -> Ran:
    """Each command once, on an athlete alone and in a squad of two."""
    lines = (
        ("draft", LONG),
        ("check", LONG),
        ("review", LONG, "--workers", "1"),
        ("explain", LONG, "Süd – Ğ", "volume cut"),
        ("squad", "squad", "--out", "all", "--workers", "1"),
    )
    said = []
    for words in lines:
        ran = taperback(place, env, *words, before=before)
        said.append(f"{words[0]} {ran.returncode}\n{ran.stdout.decode()}{ran.stderr.decode()}")
    made = sorted(path for path in place.rglob("*") if path.is_file())
    inside = [path.relative_to(place) for path in made if place / "home" not in path.parents]
    return Ran(said, {str(path): (place / path).read_bytes() for path in inside})


def put(place: Path) -> Path:
    for folder in (place / LONG, place / "squad" / LONG, place / "squad" / "bo"):
        athlete(folder)
    (place / "home").mkdir()
    return place


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """What the commands say and write on this machine."""
    return commands(put(tmp_path_factory.mktemp("here")), PLAIN)


def test_every_command_ends_well_whatever_the_folder_is_called(here: Ran) -> None:
    assert [said.splitlines()[0].split()[1] for said in here.said] == ["0"] * 5, here.said
    assert not any("\\u" in said for said in here.said)
    assert {f"{LONG}-report/report.html", "all/squad.html"} <= set(here.files)


def test_the_commands_that_are_said_can_be_pasted_into_a_shell(here: Ran) -> None:
    (after_draft,) = [line for line in here.said[0].splitlines() if line.startswith("Then run: ")]
    (after_check,) = [line for line in here.said[1].splitlines() if line.startswith("Next: ")]
    assert shlex.split(after_draft.removeprefix("Then run: ")) == ["taperback", "check", LONG]
    assert shlex.split(after_check.removeprefix("Next: ")) == ["taperback", "review", LONG]


@pytest.mark.parametrize("place", ELSEWHERE)
def test_another_clock_and_locale_change_no_letter(place: str, here: Ran, tmp_path: Path) -> None:
    ran = commands(put(tmp_path), ELSEWHERE[place])
    assert ran.said == here.said
    assert ran.files == here.files


@pytest.fixture
def theirs() -> Iterator[tuple[Path, tuple[str, ...]]]:
    """(a folder that an ordinary user owns, what makes a command theirs): they may read whatever
    there is, so that they find Python, and write nowhere else."""
    if os.geteuid() or not shutil.which("setpriv"):
        pytest.skip("only root can become another user, by util-linux's setpriv")
    with tempfile.TemporaryDirectory() as folder:  # not below pytest's own, which is root's alone
        place = put(Path(folder))
        for path in (place, *place.rglob("*")):
            os.chown(path, NOBODY, NOBODY)
        yield (
            place,
            (
                "setpriv",
                *(f"--reuid={NOBODY}", f"--regid={NOBODY}", "--clear-groups"),
                *("--inh-caps=-all,+dac_read_search", "--ambient-caps=-all,+dac_read_search"),
            ),
        )


def test_an_ordinary_user_gets_the_same_from_an_installation_that_is_not_theirs(
    here: Ran, theirs: tuple[Path, tuple[str, ...]]
) -> None:
    place, become = theirs
    code = Path(package.__file__).parent / "written by anybody"
    assert subprocess.run([*become, "touch", code], capture_output=True, check=False).returncode
    ran = commands(place, PLAIN, *become)
    assert ran.said == here.said
    assert ran.files == here.files


def test_a_user_without_a_home_gets_an_answer_and_is_told_that_nothing_is_kept(
    theirs: tuple[Path, tuple[str, ...]],
) -> None:
    place, become = theirs
    ran = taperback(place, {"HOME": "/nonexistent"}, "check", LONG, before=become)
    assert ran.returncode == 0, ran.stderr
    assert "nothing can be kept for the next run" in ran.stdout.decode()
