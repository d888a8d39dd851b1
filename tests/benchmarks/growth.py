"""How time and memory grow with an athlete's races, and with a squad's athletes.

Athletes are made small: a diary of three months before each race and the journal beside it, no
recordings (reading those is what importing.py measures). Every size runs in a process of its own.
Times are of the processors; `grows` is the power by which a part grew since the size before: 1 is
as its input, 2 as its square. Parts that take less than 20 ms say nothing.

python tests/benchmarks/growth.py [--races 1 5 25 100] [--athletes 10 50 200 1000] [--write]

`--write` puts each row into reports/growth.csv; sizes that are not asked for stay there.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "analysis"), str(Path(__file__).parent)]
TABLE = ROOT / "reports" / "growth.csv"
LEAST_S = 0.02


class Row(NamedTuple):
    """One part of one size."""

    what: str
    size: int
    part: str
    cpu_s: float
    grows: str
    peak_mb: float


def main() -> None:
    """Prints a line for each size and part."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--races", type=int, nargs="*", default=[1, 5, 25, 100])
    asked.add_argument("--athletes", type=int, nargs="*", default=[10, 50, 200, 1000])
    asked.add_argument("--write", action="store_true")
    asked.add_argument("--one", nargs=2, metavar=("WHAT", "FOLDER"), help="for its own processes")
    given = asked.parse_args()
    if given.one:
        what, folder = given.one
        print(json.dumps(MEASURED[what](Path(folder))))
        return
    for row in chain(_rows("races", given.races), _rows("athletes", given.athletes)):
        if given.write:
            _write(row)


def _write(row: Row) -> None:
    """Puts one row in place of that of the same part and size; other sizes stay as they were."""
    rows = {row[:3]: [str(cell) for cell in row]}
    if TABLE.exists():
        with TABLE.open(newline="") as file:
            _, *there = csv.reader(file)
        rows = {
            (what, int(size), part): [what, size, part, *rest] for what, size, part, *rest in there
        } | rows
    with TABLE.open("w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(Row._fields)
        table.writerows(
            sorted(rows.values(), key=lambda cells: (cells[0] != "races", int(cells[1])))
        )


def _rows(what: str, sizes: list[int]) -> Iterator[Row]:
    before: dict[str, float] = {}
    last = 0
    for size in sorted(sizes):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "made"
            if what == "races":
                small_athlete(folder, size, seed=1)
            else:
                for seed in range(size):
                    small_athlete(folder / f"athlete-{seed:04d}", 3, seed)
            words = [sys.executable, __file__, "--one", what, str(folder)]
            env = os.environ | {"OMP_NUM_THREADS": "1", "XDG_CACHE_HOME": f"{place}/cache"}
            ran = subprocess.run(words, env=env, check=True, capture_output=True, text=True)
            told = json.loads(ran.stdout.splitlines()[-1])
        for part, seconds in told["cpu_s"].items():
            long_enough = min(seconds, before.get(part, 0.0)) >= LEAST_S
            power = (
                math.log(seconds / before[part]) / math.log(size / last) if long_enough else None
            )
            grows = "" if power is None else f"{power:.2f}"
            row = Row(what, size, part, round(seconds, 3), grows, round(told["peak_mb"]))
            print(f"{size:5d} {what:9s} {part:28s} {seconds:9.3f} s  {grows:>5s}  {row.peak_mb} MB")
            yield row
        sys.stdout.flush()
        before, last = told["cpu_s"], size


def small_athlete(folder: Path, races: int, seed: int) -> None:
    """A runner's journal: a race every thirteen weeks, a session and a night for each day."""
    rng = np.random.default_rng(seed)
    folder.mkdir(parents=True)
    days = [date(2024, 12, 1) - timedelta(weeks=13 * back) for back in reversed(range(races))]
    lines = ["date,name,sports,distance,finish_time,expected_time,race_rpe"]
    sessions, nights = ["date,sport,duration,hard_min,rpe"], ["date,sleep_h"]
    for number, day in enumerate(days):
        cut, finish = rng.uniform(0.1, 0.7), 2400 + rng.normal(0, 40)
        lines.append(
            f"{day},Race {number},running,10 km,{_clock(finish)},0:40:00,{rng.integers(6, 10)}"
        )
        for back in range(1, 85):
            before = day - timedelta(days=back)
            minutes = rng.uniform(30, 90) * ((1 - cut) if back <= 7 else 1)
            sessions.append(f"{before},running,{minutes:.0f} min,{minutes / 6:.0f},5")
            nights.append(f"{before},{rng.normal(7.5, 0.6):.1f}")
    name = f'name = "Athlete {seed}"\nhome_zone = "Europe/Lisbon"\nsports = ["running"]\n'
    (folder / "athlete.toml").write_text(name)
    for table, rows in (("races", lines), ("sessions", sessions), ("nights", nights)):
        (folder / f"{table}.csv").write_text("\n".join(rows) + "\n")
    (folder / "trips.csv").write_text("depart_date,arrive_date,from_zone,to_zone,travel_h\n")


def _clock(seconds: float) -> str:
    return f"0:{int(seconds) // 60:02d}:{int(seconds) % 60:02d}"


class _Parts:
    """Processor time of functions, while they are called through their modules."""

    def __init__(self) -> None:
        self.cpu_s: dict[str, float] = {}

    def of(self, part: str, module: Any, name: str) -> None:
        """Times that function of the module from here on."""
        whole = getattr(module, name)

        def timed(*given: object, **named: object) -> object:
            start = time.process_time()
            try:
                return whole(*given, **named)
            finally:
                self.add(part, time.process_time() - start)

        setattr(module, name, timed)

    def add(self, part: str, seconds: float) -> None:
        self.cpu_s[part] = self.cpu_s.get(part, 0.0) + seconds


def _races(folder: Path) -> dict[str, object]:
    """One athlete's review, part by part."""
    from taperback.report import page
    from taperback.study import measure
    from taperback.study import review as study

    parts = _Parts()
    for part, module, name in (
        ("journal and legs", measure, "read_unwritten"),
        ("measuring", measure, "race_weeks"),
        ("evidence", study, "relate"),
        ("next week", study, "plan_next_week"),
        ("page", page, "page_view"),
        ("page as HTML", page, "page_html"),
        ("study.json", page, "to_json"),
        ("study.json as text", page, "json_text"),
    ):
        parts.of(part, module, name)
    start = time.process_time()
    page.write_report(study.review(folder, workers=1), folder.parent / "report")
    parts.add("all", time.process_time() - start)
    return {"cpu_s": parts.cpu_s, "peak_mb": _peak_mb()}


def _athletes(folder: Path) -> dict[str, object]:
    """A squad's review the first time and again; the part over all athletes by itself."""
    from squad import review_squad as command

    from taperback.report import squad_page
    from taperback.squad import review as squad

    out, cache = folder.parent / "out", Path(os.environ["XDG_CACHE_HOME"])
    runs = {name: command(folder, out, cache) for name in ("first", "again")}
    parts = _Parts()
    parts.add("first", runs["first"].cpu_s)
    parts.add("again, nothing changed", runs["again"].cpu_s)
    for part, module, name in (
        ("who has not changed", squad, "_unchanged"),
        ("evidence over all", squad, "assess_squad"),
        ("the squad's page", squad_page, "squad_view"),
        ("the squad's page as HTML", squad_page, "squad_html"),
        ("squad.json", squad_page, "squad_json"),
        ("tables", squad_page, "squad_table"),
    ):
        parts.of(part, module, name)
    squad_page.write_squad(squad.review_squad(folder), folder.parent / "squad")
    return {"cpu_s": parts.cpu_s, "peak_mb": runs["first"].peak_mb}


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


MEASURED: dict[str, Callable[[Path], dict[str, object]]] = {"races": _races, "athletes": _athletes}


if __name__ == "__main__":
    main()
