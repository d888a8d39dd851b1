"""What somebody waits for: an answer at the door, a second review, and each race of many.

Each is told as a ratio to something on the same machine in the same run. Of several starts of a
process the one counts that took the least; processor time is that of all its threads. Processes
load modules that are compiled already, as an installation does.

python tests/benchmarks/waiting.py [--times 7] [--races 1 5 25 100] [--out reports/waiting.csv]
"""

from __future__ import annotations

import argparse
import csv
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
COMMAND = [sys.executable, "-m", "taperback"]
LIBRARIES = {
    "typer and rich": "import typer, rich",
    "pandas, SciPy and statsmodels": "import pandas, scipy.stats, statsmodels.api",
}
MEASURE = """
import json, resource, sys, time
from dataclasses import replace
from pathlib import Path
from taperback.proposals.folder import read_unwritten
from taperback.raceweek.table import race_weeks

imported, journal = read_unwritten(Path(sys.argv[1]))
race_weeks(imported, replace(journal, races=journal.races.iloc[:1]))
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
spent = []
for _ in range(int(sys.argv[2])):
    wall, cpu = time.perf_counter(), time.process_time()
    races = len(race_weeks(imported, journal))
    spent.append((time.perf_counter() - wall, time.process_time() - cpu))
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps([*map(min, zip(*spent)), races, len(imported.legs), before / 1024, after / 1024]))
"""


class Row(NamedTuple):
    """One line of the table; ratios are to `against`."""

    what: str
    races: int
    wall_s: float
    cpu_s: float
    peak_mb: float
    against: str
    wall_ratio: float
    cpu_ratio: float


class Run(NamedTuple):
    """How long a process took, and the most memory that it held."""

    wall_s: float
    cpu_s: float
    peak_mb: float


def main() -> None:
    """Prints the table, and writes it where a file is named."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--times", type=int, default=7)
    asked.add_argument("--races", type=int, nargs="+", default=[1, 5, 25, 100])
    asked.add_argument("--out", type=Path)
    words = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="waiting-") as place:
        rows = [*starts(Path(place), words.times), *growth(Path(place), sorted(words.races))]
    if words.out:
        with words.out.open("w", newline="", encoding="utf-8") as file:
            table = csv.writer(file, lineterminator="\n")
            table.writerow(Row._fields)
            table.writerows(
                [f"{x:.4g}" if isinstance(x, float) else x for x in row] for row in rows
            )


def starts(place: Path, times: int) -> list[Row]:
    """The door and the second review, each against the libraries that it cannot do without."""
    folder = place / "tove"
    shutil.copytree(ROOT / "sample_data" / "tove", folder)
    typer, statistics = LIBRARIES
    commands = {name: [sys.executable, "-c", code] for name, code in LIBRARIES.items()} | {
        "taperback --help": [*COMMAND, "--help"],
        "taperback --version": [*COMMAND, "--version"],
        "taperback, a word mistyped": [*COMMAND, "reviwe"],
        "taperback explain": [*COMMAND, "explain", str(folder), "2024-07-28", "volume cut"],
        "taperback review, again": [*COMMAND, "review", str(folder), "--out", str(place / "out")],
    }
    for command in commands.values():
        _run(command, place)  # what is read, kept and compiled once
    runs = [
        {name: _run(command, place) for name, command in commands.items()} for _ in range(times)
    ]
    least = {
        name: Run(*map(min, zip(*(run[name] for run in runs), strict=True))) for name in commands
    }
    rows = []
    for name, run in least.items():
        against = statistics if name.endswith(("explain", "again", statistics)) else typer
        rows.append(_row(name, 0, run, against, least[against], 1))
    return rows


def growth(place: Path, sizes: list[int]) -> list[Row]:
    """What measuring costs by race, against the athlete with the fewest."""
    rows: list[Row] = []
    least: Run | None = None
    for size in sizes:
        folder = _athlete(place, size)
        words = [sys.executable, "-c", MEASURE, str(folder), "3" if size < 100 else "1"]
        _run(words, place)  # files are read in the first run and only looked up in the second
        told = subprocess.run(words, env=_environment(place), stdout=subprocess.PIPE, check=True)
        wall_s, cpu_s, races, legs, before_mb, peak_mb = json.loads(told.stdout)
        run = Run(wall_s / races, cpu_s / races, peak_mb)
        least = least or run
        name = f"measuring one of {races} races, {legs} legs"
        rows.append(_row(name, races, run, f"one of {sizes[0]}", least, peak_mb - before_mb))
    return rows


def _athlete(place: Path, races: int) -> Path:
    """The folder of an invented athlete who has raced so often."""
    squad = place / f"races-{races}"
    made = [sys.executable, str(ROOT / "sample_data" / "generate.py"), "--squad", str(squad)]
    made += ["--athletes", "1", "--races", str(races)]
    subprocess.run(made, check=True, stdout=subprocess.DEVNULL)
    return next(path for path in squad.iterdir() if path.is_dir())


def _row(name: str, races: int, run: Run, against: str, other: Run, more_mb: float) -> Row:
    """One line, printed."""
    wall, cpu = run.wall_s / other.wall_s, run.cpu_s / other.cpu_s
    print(
        f"{name:42s} {1000 * run.wall_s:8.1f} ms, {1000 * run.cpu_s:8.1f} ms of processor, "
        f"{run.peak_mb:4.0f} MB; {wall:5.2f} times {against} ({cpu:.2f} by processor)"
        + (f"; {more_mb:.0f} MB more than before it" if races else ""),
        flush=True,
    )
    return Row(name, races, *run, against, wall, cpu)


def _environment(place: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {
        "PYTHONPATH": str(ROOT / "analysis"),
        "PYTHONPYCACHEPREFIX": str(place / "compiled"),
        "XDG_CACHE_HOME": str(place / "cache"),
    }


def _run(command: list[str], place: Path) -> Run:
    start = time.perf_counter()
    process = subprocess.Popen(
        command, env=_environment(place), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    _, _, used = os.wait4(process.pid, 0)
    spent = time.perf_counter() - start
    return Run(spent, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


if __name__ == "__main__":
    main()
