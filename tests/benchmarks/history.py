"""A ten-year history of training as FIT files, and how long its import takes.

Files are made in a folder of their own and taken away afterwards. Each import runs in a fresh
process, and is timed there from the call to the answer.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import fitdecode
import numpy as np

from fit_writer import FIT_EPOCH_S, FitWriter, degrees

SECONDS = 3600
FIRST_DAY_S = 1_577_862_000  # 2020-01-01T07:00:00Z
CHANNELS = {
    "timestamp": "<u4",
    "position_lat": "<i4",
    "position_long": "<i4",
    "altitude": "<u2",
    "distance": "<u4",
    "speed": "<u2",
    "power": "<u2",
    "heart_rate": "u1",
    "cadence": "u1",
}
RECORD = np.dtype([("header", "u1"), *CHANNELS.items()])

_IMPORT = """
import json, resource, sys, threading, time
from pathlib import Path
from taperback.importer.folder import read_folder

peak = [0]

def proportional_kb(pid):
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    return int(next(line for line in lines if line.startswith("Pss:")).split()[1])

def children():
    for task in Path("/proc/self/task").iterdir():
        try:
            yield from (task / "children").read_text().split()
        except OSError:
            continue

def watch():
    while True:
        total = 0
        for pid in ["self", *children()]:
            try:
                total += proportional_kb(pid)
            except (OSError, StopIteration):
                continue
        peak[0] = max(peak[0], total)
        time.sleep(0.25)

threading.Thread(target=watch, daemon=True).start()
def cpu_s():
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(used.ru_utime + used.ru_stime for used in both)

start, used = time.perf_counter(), cpu_s()
imported = read_folder(Path(sys.argv[1]), "Europe/Lisbon")
spent = time.perf_counter() - start
time.sleep(0.3)
legs = imported.legs
print(json.dumps([spent, cpu_s() - used, peak[0] / 1024, len(legs), float(legs.moving_s.sum())]))
"""


def write_history(folder: Path, count: int) -> None:
    """So many hour-long rides, no two alike: one every 17 hours, a third of them with intervals."""
    folder.mkdir(parents=True)
    for place in range(count):
        start_s = FIRST_DAY_S + place * 17 * 3600
        (folder / f"{place:05d}.fit").write_bytes(one_hour(start_s, place))


def one_hour(start_s: int, seed: int) -> bytes:
    """A ride at one record a second, with the channels that devices usually write."""
    rng = np.random.default_rng(seed)
    second = np.arange(SECONDS)
    hard = 90 * ((second // 240) % 2) if seed % 3 == 0 else 0
    power = np.clip(170 + hard + 25 * rng.standard_normal(SECONDS), 0, 2000)
    speed = 7 + power / 150
    records = np.zeros(SECONDS, RECORD)
    records["timestamp"] = start_s - FIT_EPOCH_S + second
    records["position_lat"] = degrees(40.5) + 800 * second
    records["position_long"] = degrees(-8.25)
    records["altitude"] = 5 * (600 + 20 * np.sin(second / 300))
    records["distance"] = 100 * np.cumsum(speed)
    records["speed"] = 1000 * speed
    records["power"] = power
    records["heart_rate"] = 120 + power / 8 + 3 * np.sin(second / 60)
    records["cadence"] = 88
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=start_s)
    # The first record brings its definition along; all of them are then put in its place.
    writer.message("record", **dict.fromkeys(CHANNELS))
    records["header"] = writer.body[-RECORD.itemsize]
    del writer.body[-RECORD.itemsize :]
    writer.body += records.tobytes()
    writer.message(
        "session",
        timestamp=start_s + SECONDS,
        start_time=start_s,
        sport="cycling",
        total_elapsed_time=SECONDS,
        total_timer_time=SECONDS,
        total_distance=float(speed.sum()),
    )
    writer.message("activity", timestamp=start_s, local_timestamp=start_s)
    return writer.bytes()


def bare_fitdecode_s(folder: Path, count: int) -> tuple[float, float]:
    """(seconds, processor seconds) that a loop over fitdecode's frames takes for a file."""
    files = sorted(folder.glob("*.fit"))[:count]
    start, used = time.perf_counter(), time.process_time()
    for path in files:
        with fitdecode.FitReader(path) as reader:
            for frame in reader:
                if isinstance(frame, fitdecode.FitDataMessage):
                    for field in frame.fields:
                        _ = field.value
    spent = time.perf_counter() - start, time.process_time() - used
    return spent[0] / len(files), spent[1] / len(files)


def run_import(folder: Path) -> tuple[float, float, float, int, float]:
    """(seconds, processor seconds and peak memory [MB] of all processes, legs, seconds trained).

    Memory is proportional set size: what processes share is counted once.
    """
    done = subprocess.run(
        [sys.executable, "-c", _IMPORT, str(folder)],
        stdout=subprocess.PIPE,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )
    return tuple(json.loads(done.stdout))


def history(sizes: list[int], bare_files: int) -> None:
    """Prints first and second import, and peak memory, for each number of files."""
    with tempfile.TemporaryDirectory(prefix="history-") as place:
        bare, bare_cpu = None, None
        for size in sizes:
            folder = Path(place, str(size))
            write_history(folder, size)
            if bare is None:
                bare, bare_cpu = bare_fitdecode_s(folder, min(bare_files, size))
                print(f"bare fitdecode: {1000 * bare:.0f} ms a file", flush=True)
            first, cpu, peak, legs, trained = run_import(folder)
            second, _, peak_again, legs_again, _ = run_import(folder)
            print(
                f"{size:6d} files, {trained / 3600:6.0f} h, {legs} legs: "
                f"first {first:6.2f} s ({1000 * first / size:.2f} ms a file, "
                f"{bare * size / first:.0f} times faster than bare fitdecode; "
                f"{bare_cpu * size / cpu:.0f} times by processor time), "
                f"second {second:.2f} s (1/{first / second:.0f}), "
                f"peak {max(peak, peak_again):.0f} MB"
                + ("" if legs == legs_again else f"; SECOND RUN DIFFERS: {legs_again} legs"),
                flush=True,
            )
