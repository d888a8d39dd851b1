"""What a squad costs again, when nothing has changed or one file has come, beside the first time.

Invented squads of three races each are written into a folder of their own, which is taken away
afterwards. Each is reviewed by the command: with nothing read before; again; again into another
folder; with one more file; and with nothing kept of the athletes but what was read, as if the
version had changed. All that it writes must be the same bytes. Times are of the clock and of the
processors, memory is what the command and its processes hold together at their peak; the last
columns say them as a share of the first time.

python tests/benchmarks/squad.py [--sizes 10 50 200]
"""

from __future__ import annotations

import argparse
import hashlib
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]


class Run(NamedTuple):
    """One review of a squad."""

    wall_s: float
    cpu_s: float
    peak_mb: float


def main() -> None:
    """Prints a line for each size and run."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--sizes", type=int, nargs="+", default=[10, 50, 200])
    sizes = sorted(asked.parse_args().sizes)
    print("athletes  run                files    wall s     cpu s   peak MB    wall     cpu")
    for size in sizes:
        with tempfile.TemporaryDirectory() as place:
            _runs(Path(place), size)


def _runs(place: Path, size: int) -> None:
    """One squad reviewed in every way."""
    folder, cache = place / "athletes", place / "cache"
    _generate(folder, size)
    first: Run | None = None
    bytes_before: dict[str, str] = {}
    for name, prepare in (
        ("first", lambda: None),
        ("again", lambda: None),
        ("another folder", lambda: (place / "out").rename(place / "before")),
        ("one file more", lambda: _one_more(folder)),
        ("reviewed anew", lambda: [path.unlink() for path in cache.rglob("*.study")]),
    ):
        prepare()
        files = sum(1 for _ in folder.rglob("*.*"))
        run = review_squad(folder, place / "out", cache)
        first = first or run
        print(
            f"{size:8d}  {name:15s}  {files:8d}  {run.wall_s:8.1f}  {run.cpu_s:8.1f}  "
            f"{run.peak_mb:8.0f}  1/{first.wall_s / run.wall_s:4.1f}  "
            f"1/{first.cpu_s / run.cpu_s:4.1f}",
            flush=True,
        )
        if name in ("again", "another folder", "reviewed anew"):
            _expect_same(place / "out", bytes_before)
        bytes_before = _digests(place / "out")


def _one_more(folder: Path) -> None:
    """The first athlete gets a file of the last one's."""
    some = sorted(folder.rglob("*.fit"))
    own = [path for path in some if path.parent == some[0].parent]
    own[-1].with_name("added.fit").write_bytes(some[-1].read_bytes())


def _digests(out: Path) -> dict[str, str]:
    return {
        path.relative_to(out).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in out.rglob("*")
        if path.is_file()
    }


def _expect_same(out: Path, before: dict[str, str]) -> None:
    now = _digests(out)
    other = [name for name in now.keys() | before.keys() if now.get(name) != before.get(name)]
    if other:
        raise SystemExit(f"other bytes: {sorted(other)[:9]}")


def _generate(folder: Path, size: int) -> None:
    words = ["--squad", str(folder), "--athletes", str(size), "--races", "3"]
    made = [sys.executable, str(ROOT / "sample_data" / "generate.py"), *words]
    subprocess.run(made, check=True, stdout=subprocess.DEVNULL)


def review_squad(folder: Path, out: Path, cache: Path) -> Run:
    """Runs the command and watches its processes."""
    words = ["-m", "taperback", "squad", str(folder), "--out", str(out)]
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *words],
        env=os.environ
        | {
            "PYTHONPATH": str(ROOT / "analysis"),
            "OMP_NUM_THREADS": "1",
            "XDG_CACHE_HOME": str(cache),
        },
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    peak_kb = [0]
    watch = threading.Thread(target=_watch, args=(process.pid, peak_kb), daemon=True)
    watch.start()
    _, status, used = os.wait4(process.pid, 0)
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        raise SystemExit(f"the squad's review ended with {status}")
    wall = time.perf_counter() - start
    return Run(wall, used.ru_utime + used.ru_stime, peak_kb[0] / 1024)


def _watch(pid: int, peak_kb: list[int]) -> None:
    """Notes the most memory that the process and its children hold, shared pages counted once."""
    while Path(f"/proc/{pid}").exists():
        peak_kb[0] = max(peak_kb[0], sum(map(_held_kb, _family(pid))))
        time.sleep(0.2)


def _family(pid: int) -> Iterator[int]:
    yield pid
    for task in Path(f"/proc/{pid}/task").glob("*"):
        try:
            children = (task / "children").read_text().split()
        except OSError:
            continue
        for child in children:
            yield from _family(int(child))


def _held_kb(pid: int) -> int:
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("Pss:")).split()[1])
    except (OSError, StopIteration):
        return 0


if __name__ == "__main__":
    main()
