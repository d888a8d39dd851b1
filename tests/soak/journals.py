"""Typed journals as hurried people leave them: python tests/soak/journals.py [--count 500].

Each is a season with cells left empty, of the wrong kind, of another column, or far off. `check`,
`review` and `explain` of some measures must each answer, or refuse in one line, and no answer may
hold a number that is none. What breaks is kept in a folder, whose name is printed.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import random
import re
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import typer

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from taperback.cli.check import check  # noqa: E402
from taperback.cli.explain import explain  # noqa: E402
from taperback.common.errors import InputError, UsageError  # noqa: E402
from taperback.journal.columns import AIMS, PERIOD_KINDS, STATUSES, TABLES  # noqa: E402
from taperback.report.page import write_report  # noqa: E402
from taperback.study.review import review  # noqa: E402

LAST = date(2025, 6, 1)
ODD = ("x", "-1", "0", "1e9", "99", "24:00", "?", "none", "no", "a; b", "1:00:00", "½", "=1+1")
SPORTS = ("running", "cycling", "swimming", "rowing", "walking", "strength_training", "chess")
ZONES = ("Europe/Lisbon", "Asia/Dhaka", "America/New_York", "Pacific/Apia", "Pacific/Auckland")
SETTINGS = (
    'sports = ["running"]',
    'sports = ["running", "cycling", "walking"]',
    'sex = "female"',
    "resting_heart_rate = 48",
    "[panic]\nlate_hard_min = 10",
    "[[thresholds]]\nsince = 2024-01-01\nsport = 'running'\nhr_bpm = 165",
    "[[clocks]]\nfiles = 'a.fit'\nshift_h = 24",
)
NONE = re.compile(r"\b(nan|NaT|None|inf)\b")


def journal(seed: int) -> dict[str, str]:
    """The typed files of one season, by name."""
    rng = random.Random(seed)
    empty = rng.choice((0.02, 0.15, 0.5))
    odd = rng.choice((0.0, 0.03, 0.2))

    def cell(column: str, day: date) -> str:
        luck = rng.random()
        if luck < empty:
            return ""
        return rng.choice(ODD) if luck < empty + odd else _cell(rng, column, day)

    def rows(table: str, days: list[date]) -> str:
        header = [name for name in TABLES[table].columns if rng.random() > 0.15 or "date" in name]
        lines = [",".join(header)]
        lines += [",".join(f'"{cell(name, day)}"' for name in header) for day in days]
        return "\n".join(lines) + "\n"

    every = [LAST - timedelta(days=back) for back in range(150)]
    days = {
        "races": sorted(rng.sample(every[:100], rng.randint(1, 6))),
        "nights": [day for day in every if rng.random() < 0.8],
        "sessions": [day for day in every for _ in range(rng.choice((0, 1, 1, 1, 2)))],
        "days": [day for day in every if rng.random() < 0.3],
        "trips": rng.sample(every[:100], rng.randint(0, 3)),
        "periods": rng.sample(every, rng.randint(0, 2)),
    }
    typed = {f"{table}.csv": rows(table, days[table]) for table in TABLES if rng.random() > 0.1}
    settings = rng.sample(SETTINGS, rng.randint(0, 3))
    plain = [line for line in settings if not line.startswith("[")]
    tables = [line for line in settings if line.startswith("[")]
    head = f'home_zone = "{rng.choice(ZONES)}"'
    return typed | {"athlete.toml": "\n".join([head, *plain, *tables]) + "\n"}


def _cell(rng: random.Random, column: str, day: date) -> str:
    """A cell as it should be typed."""
    near = day + timedelta(days=rng.choice((0, 0, 1, 3)))
    made: dict[str, Callable[[], str]] = {
        "sport": partial(rng.choice, SPORTS),
        "sports": lambda: "; ".join(rng.sample(SPORTS[:4], rng.choice((1, 1, 1, 3)))),
        "duration": partial(rng.choice, ("45 min", "1:10:00", "2 h", "0:20:00", "23:00:00")),
        "status": partial(rng.choice, STATUSES),
        "aim": partial(rng.choice, AIMS),
        "kind": partial(rng.choice, tuple(PERIOD_KINDS)),
        "event": partial(rng.choice, ("", "", "Three days", "Heats")),
        "name": partial(rng.choice, ("Cove Run", "Hill Race")),
        "massage": partial(rng.choice, ("yes", "no")),
        "leave_out": partial(rng.choice, ("", "", "", "ill")),
        "start_time": partial(rng.choice, ("8:30", "23:45")),
        "distance": partial(rng.choice, ("10 km", "marathon", "1500 m")),
        "resting_hr_bpm": lambda: str(rng.randint(40, 60)),
        "hard_min": partial(rng.choice, ("0", "12", "40")),
        "notes": partial(rng.choice, ("", "felt good", "<b>&")),
    }
    if column in made:
        return made[column]()
    if column in ("date", "arrive_date", "depart_date", "first", "last"):
        return (day if column in ("date", "depart_date", "first") else near).isoformat()
    if column.endswith("_time"):
        return rng.choice(("0:40:00", "0:41:12", "2:03:11", "59.8"))
    if column.endswith("_zone"):
        return rng.choice(ZONES)
    if column.endswith("_h"):
        return f"{rng.uniform(0, 10):.1f}"
    return str(rng.randint(1, 7))


def try_one(seed: int, place: Path) -> str:
    """What came of it: used, or refused in one line; raises where something is wrong."""
    for name, text in journal(seed).items():
        (place / name).write_text(text, encoding="utf-8")
    _said(partial(check, place))
    try:
        study = review(place, workers=1)
    except InputError as error:
        of_numbers(str(error))
        return "refused"
    for path in write_report(study, place / "report"):
        if path.suffix in (".csv", ".json", ".ics"):
            of_numbers(path.read_text(encoding="utf-8"))
    rng = random.Random(seed)
    for week in rng.sample(study.weeks, min(2, len(study.weeks))):
        for measure in rng.sample(sorted(week.measures), 2):
            _said(partial(explain, place, week.race_id, measure, every_file=False))
    return "used"


def _said(command: Callable[[], None]) -> None:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            command()
        except (InputError, UsageError) as error:
            print(error)
        except typer.Exit:
            pass
    of_numbers(out.getvalue())


def of_numbers(text: str) -> None:
    """Refuses text with a number that is none, where nobody typed it."""
    for line in text.splitlines():
        none = NONE.search(re.sub(r"'[^']*'|\"[^\"]*\"", "", line))
        assert none is None, f"{none[0]} in: {line}"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--count", type=int, default=500)
    given = asked.parse_args()
    came: Counter[str] = Counter()
    for seed in range(given.first, given.first + given.count):
        place = Path(tempfile.mkdtemp(prefix=f"journal-{seed}-"))
        try:
            came[try_one(seed, place)] += 1
        except Exception:
            came["broken"] += 1
            print(seed, place, *traceback.format_exc().splitlines()[-3:], sep="\n  ", flush=True)
    print(dict(came))


if __name__ == "__main__":
    main()
