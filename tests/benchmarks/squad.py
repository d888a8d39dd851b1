"""How time and memory of a squad grow with its athletes.

Invented squads of three races each are written into a folder of their own, which is taken away
afterwards. Each is reviewed by the command, twice: with nothing read before, and again. Times are
of the clock and of the processors, memory is what the command and its processes hold together at
their peak; the last columns say them by athlete, as a ratio to the smallest squad.

python tests/benchmarks/squad.py [--sizes 10 50 200]
"""

from __future__ import annotations

import argparse
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
    print("athletes  run      files    wall s     cpu s   peak MB  wall/athlete  cpu/athlete")
    least: dict[str, Run] = {}
    sizes = sorted(asked.parse_args().sizes)
    for size in sizes:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "athletes"
            _generate(folder, size)
            files = sum(1 for _ in folder.rglob("*.*"))
            for name in ("first", "again"):
                run = _review(folder, Path(place) / name)
                first = least.setdefault(name, run)
                wall, cpu = (
                    (mine / size) / (theirs / sizes[0])
                    for mine, theirs in ((run.wall_s, first.wall_s), (run.cpu_s, first.cpu_s))
                )
                print(
                    f"{size:8d}  {name}  {files:8d}  {run.wall_s:8.1f}  {run.cpu_s:8.1f}  "
                    f"{run.peak_mb:8.0f}  {wall:12.2f}  {cpu:11.2f}",
                    flush=True,
                )


def _generate(folder: Path, size: int) -> None:
    words = ["--squad", str(folder), "--athletes", str(size), "--races", "3"]
    made = [sys.executable, str(ROOT / "sample_data" / "generate.py"), *words]
    subprocess.run(made, check=True, stdout=subprocess.DEVNULL)


def _review(folder: Path, out: Path) -> Run:
    """Runs the command and watches its processes."""
    words = ["-m", "taperback", "squad", str(folder), "--out", str(out)]
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *words],
        env=os.environ | {"PYTHONPATH": str(ROOT / "analysis"), "OMP_NUM_THREADS": "1"},
        stdout=subprocess.DEVNULL,
    )
    peak_kb = [0]
    watch = threading.Thread(target=_watch, args=(process.pid, peak_kb), daemon=True)
    watch.start()
    _, status, used = os.wait4(process.pid, 0)
    if status:
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
