"""All commands run once, without a network, over the sample with planted files in it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

import generate
import taperback
from privacy.planted import plant
from taperback.journal.columns import TABLES

SAMPLE = Path(generate.__file__).parent / "tove"
GUARD = Path(__file__).parent / "guard"
TYPED = (*(table.file for table in TABLES.values()), "athlete.toml")


def _without_interfaces() -> list[str]:
    """Words that run a command in a network namespace of its own; empty where that is forbidden."""
    words = ["unshare", "--map-root-user", "--net"]
    if not shutil.which("unshare"):
        return []
    done = subprocess.run([*words, "true"], capture_output=True, check=False)
    return words if done.returncode == 0 else []


WITHOUT_INTERFACES = _without_interfaces()


@dataclass(frozen=True)
class Ran:
    """One command: its exit code, all it said, and what it asked of the network."""

    code: int
    told: str
    attempts: str


def run_python(words: Sequence[object], attempts: Path) -> Ran:
    """Runs Python with the network forbidden and, where permitted, with no interface at all."""
    package = Path(taperback.__file__).parents[1]
    settings = os.environ | {
        "PYTHONPATH": os.pathsep.join([str(GUARD), str(package)]),
        "NETWORK_ATTEMPTS": str(attempts),
    }
    attempts.write_text("")
    command = [*WITHOUT_INTERFACES, sys.executable, *map(str, words)]
    done = subprocess.run(command, env=settings, capture_output=True, text=True, check=False)
    return Ran(done.returncode, done.stdout + done.stderr, attempts.read_text())


@dataclass(frozen=True)
class Everything:
    """What all commands made of one athlete.

    Attributes:
        ran: by command.
        drafted: the drafted journal's files, name -> text.
        folder: the athlete's folder, with the journal typed. out: the report's folder.
        squad, showing: what was written of a squad of one, with names and without.
    """

    ran: dict[str, Ran]
    drafted: dict[str, str]
    folder: Path
    out: Path
    squad: Path
    showing: Path


@pytest.fixture(scope="session")
def everything(tmp_path_factory: pytest.TempPathFactory) -> Everything:
    """A bare folder is drafted; then, with the sample's journal, checked, reviewed, explained."""
    place = tmp_path_factory.mktemp("privacy")
    athletes, out, attempts = place / "athletes", place / "report", place / "attempts"
    folder, squad, showing = athletes / "tove", place / "squad", place / "showing"
    shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns(".taperback", *TYPED))
    plant(folder)
    ran = {"draft": run_python(["-m", "taperback", "draft", folder], attempts)}
    drafted = {name: (folder / name).read_text() for name in TYPED if (folder / name).exists()}
    for name in TYPED:
        if (SAMPLE / name).exists():
            shutil.copy(SAMPLE / name, folder / name)
    for words in (
        ("check", folder),
        ("review", folder, "--out", out),
        ("explain", folder, "2024-07-28", "volume_h", "--all"),
        ("squad", athletes, "--out", squad),
        ("squad --anonymous", athletes, "--out", showing),
    ):
        ran[words[0]] = run_python(["-m", "taperback", *words[0].split(), *words[1:]], attempts)
    return Everything(ran, drafted, folder, out, squad, showing)
