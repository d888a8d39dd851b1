"""An athlete's folder to try faults on, and commands that run in processes of their own."""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import multiprocessing.context
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, partial
from multiprocessing import forkserver
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from unittest.mock import patch

from importer.fit_files import run_file
from importer.test_folder import later_run, put, zipped
from importer.test_sleep_json import point
from importer.xml_texts import gpx
from taperback.journal.draft import BACKUPS

Act = Callable[[], object]
OURS = BACKUPS.parts[0]
LONGEST_S = 120
REPORTS = {"review": "study.json", "squad": "squad.json"}
"""Commands that write a report, and the file of it that says everything."""

DIARY = "".join(f"{date(2030, 5, 1) - timedelta(k)},running,0:40:00,5\n" for k in range(60, 1, -2))
"""Two months of sessions that no watch recorded, so that there is a usual week to plan from."""

TYPED = {
    "athlete.toml": b'name = "Ada Example"\nhome_zone = "Europe/Lisbon"\nsports = ["running"]\n',
    "races.csv": b"date,name,sports,finish_time,race_rpe\n2030-05-01,Cove Run,running,0:01:00,8\n"
    b"2030-05-22,Far Cove Run,running,,\n",
    "sessions.csv": f"date,sport,duration,hard_min\n{DIARY}".encode(),
    "nights.csv": b"date,sleep_h\n2030-05-01,7.5\n",
}
FILES = {
    "a.fit": run_file(60),
    "b/c.fit": later_run(30),
    "d.gpx": gpx(),
    "z.zip": zipped({"e.fit": later_run(60), "f.fit": later_run(90)}),
    "night.json": json.dumps(point()).encode(),
}


@dataclass(frozen=True)
class Ran:
    """How a command ended, and the lines of its error stream, with `place` taken out of them."""

    code: int
    lines: tuple[str, ...]


class Stage:
    """A place with an athlete's folder in it, and the commands that are tried on it."""

    def __init__(self, place: Path, *, squad: bool = False) -> None:
        self.place = place
        self.squad = squad
        files = {**TYPED, **FILES}
        if squad:
            files = {f"{name}/{file}": files[file] for name in ("ada", "bo") for file in files}
        self.folder = put(place / "athlete", files)
        self.out = place / "report"

    def words(self, command: str) -> list[str]:
        out = ["--out", str(self.out)] if command in REPORTS else []
        here = ["--workers", "1"] if command == "squad" else []
        return [command, str(self.folder), *out, *here]

    def run(self, command: str, *before: Act) -> Ran:
        """The command, in a process that first does these things to itself."""
        return self.end(self.start(command, *before))

    def start(self, command: str, *before: Act) -> ForkServerProcess:
        acts = (partial(os.chdir, self.place), *before)
        work = partial(_command, self.words(command), self.place, acts)
        process = _ready().Process(target=work)
        process.start()
        return process

    def end(self, process: ForkServerProcess) -> Ran:
        process.join(LONGEST_S)
        if process.exitcode is None:
            process.kill()
            raise AssertionError("the run hung")
        told = self.place / f"told-{process.pid}"
        lines = told.read_text(errors="replace").replace(f"{self.place}/", "").splitlines()
        told.unlink()
        _bring_back(self.folder)
        _bring_back(self.out)
        return Ran(process.exitcode or 0, tuple(lines))

    def store(self) -> Path:
        """Where what was read of the folder is kept."""
        (path,) = (self.place / "cache").rglob("*.sqlite")
        return path

    def studies(self) -> list[Path]:
        """What is kept of the squad's athletes."""
        found = sorted((self.place / "cache").rglob("*.study"))
        assert len(found) == 2
        return found

    def files(self) -> dict[str, str]:
        """Digest of every file that is the athlete's, by name."""
        return {
            path.relative_to(self.folder).as_posix(): _digest(path)
            for path in sorted(self.folder.rglob("*"))
            if path.is_file() and OURS not in path.parts
        }

    def answer(self, command: str) -> object:
        """What the command made: the study, remarks aside, or the typed tables."""
        if command in REPORTS:
            told = json.loads((self.out / REPORTS[command]).read_text(encoding="utf-8"))
            return {name: value for name, value in told.items() if name != "notices"}
        return {path.name: path.read_bytes() for path in sorted(self.folder.glob("*.csv"))}

    def undisturbed(self, command: str) -> object:
        """What the command makes of the folder as it is now, where nothing was kept before."""
        fresh = Stage(self.place / "fresh", squad=self.squad)
        shutil.rmtree(fresh.folder)
        hidden = shutil.ignore_patterns(OURS)
        shutil.copytree(self.folder, fresh.folder, ignore=hidden)
        ran = fresh.run(command)
        assert ran.code == 0, ran
        answer = fresh.answer(command)
        shutil.rmtree(fresh.place)
        return answer


@cache
def _ready() -> multiprocessing.context.ForkServerContext:
    """Processes that have everything imported already, and no thread yet."""
    context = multiprocessing.get_context("forkserver")
    commands = [f"taperback.cli.{name}" for name in ("check", "draft", "review", "squad")]
    context.set_forkserver_preload(
        ["taperback.cli.main", *commands, "faults.boundary", "faults.warm"]
    )
    paths = os.pathsep.join(sys.path)
    with (
        tempfile.TemporaryDirectory(prefix="cache-") as cache_folder,
        patch.dict(os.environ, PYTHONPATH=paths, OMP_NUM_THREADS="1", XDG_CACHE_HOME=cache_folder),
    ):
        forkserver.ensure_running()
    return context


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _command(words: Sequence[str], place: Path, acts: Sequence[Act]) -> None:
    """Runs the command in this process."""
    from taperback.cli.main import run

    told = os.open(place / f"told-{os.getpid()}", os.O_CREAT | os.O_WRONLY)
    os.dup2(told, 2)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    os.environ["XDG_CACHE_HOME"] = str(place / "cache")
    for act in acts:
        act()
    sys.argv = ["taperback", *words]
    try:
        run()
    finally:
        sys.stderr.flush()
        _take_out(place / "athlete")
        _take_out(place / "report")


def _take_out(folder: Path) -> None:
    """What lies on a disk that only this process sees is copied to where others see it."""
    filler = folder / ".filler"
    if os.access(folder, os.X_OK) and filler.exists():
        filler.unlink()
        shutil.copytree(folder, folder.with_name(f"{folder.name}-seen"))


def _bring_back(folder: Path) -> None:
    seen = folder.with_name(f"{folder.name}-seen")
    if seen.exists():
        shutil.rmtree(folder)
        seen.rename(folder)
