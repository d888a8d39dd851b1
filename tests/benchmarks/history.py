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

import fastcrc
import fitdecode
import numpy as np

from fit_writer import FIT_EPOCH_S, FitWriter, degrees
from taperback.importer.fit_stream import index_parts

SECONDS = 3600
FIRST_DAY_S = 1_577_862_000  # 2020-01-01T07:00:00Z
TIMESTAMP, SPEED, POWER, HEART_RATE, START_TIME, RECORD, SESSION = 253, 6, 7, 3, 2, 20, 18

_IMPORT = """
import json, os, sys, threading, time
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
start = time.perf_counter()
imported = read_folder(Path(sys.argv[1]), "Europe/Lisbon")
spent = time.perf_counter() - start
time.sleep(0.3)
print(json.dumps([spent, peak[0] / 1024, len(imported.legs), float(imported.legs.moving_s.sum())]))
"""


def one_hour() -> bytes:
    """An hour-long ride at one record a second, with the channels that devices usually write."""
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=FIRST_DAY_S)
    for second in range(SECONDS):
        writer.message(
            "record",
            timestamp=FIRST_DAY_S + second,
            position_lat=degrees(40.5 + second * 7e-5),
            position_long=degrees(-8.25),
            altitude=100 + 20 * np.sin(second / 300),
            distance=second * 8.0,
            speed=8.0,
            power=200,
            heart_rate=140,
            cadence=88,
        )
    writer.message(
        "session",
        timestamp=FIRST_DAY_S + SECONDS,
        start_time=FIRST_DAY_S,
        sport="cycling",
        total_elapsed_time=SECONDS,
        total_timer_time=SECONDS,
        total_distance=8.0 * SECONDS,
    )
    writer.message("activity", timestamp=FIRST_DAY_S, local_timestamp=FIRST_DAY_S)
    return writer.bytes()


def write_history(folder: Path, count: int) -> None:
    """So many hour-long files, no two alike: a session every 17 hours, a third with intervals."""
    template = one_hour()
    (part,) = index_parts(template)
    layouts = {definition.number: definition for definition in part.definitions}
    records = layouts[RECORD]
    second = np.arange(SECONDS)
    folder.mkdir(parents=True)
    for place in range(count):
        rng = np.random.default_rng(place)
        hard = 90 * ((second // 240) % 2) if place % 3 == 0 else 0
        power = 170 + hard + 25 * rng.standard_normal(SECONDS)
        rate = 120 + power / 8 + 3 * np.sin(second / 60)
        start = FIRST_DAY_S + place * 17 * 3600 - FIT_EPOCH_S
        data = np.frombuffer(bytearray(template), np.uint8)
        data.flags.writeable = True
        at = records.offsets
        _put(data, at, records, TIMESTAMP, start + second, "<u4")
        _put(data, at, records, POWER, np.clip(power, 0, 2000), "<u2")
        _put(data, at, records, HEART_RATE, rate, "<u1")
        _put(data, at, records, SPEED, 1000 * (7 + power / 150), "<u2")
        session = layouts[SESSION]
        _put(data, session.offsets, session, START_TIME, np.array([start]), "<u4")
        _put(data, session.offsets, session, TIMESTAMP, np.array([start + SECONDS]), "<u4")
        body = data[:-2].tobytes()
        checksum = fastcrc.crc16.arc(body).to_bytes(2, "little")
        (folder / f"{place:05d}.fit").write_bytes(body + checksum)


def _put(data, at, layout, number, values, dtype) -> None:
    (field,) = layout.fields({number})
    raw = np.ascontiguousarray(values.astype(dtype)).view(np.uint8).reshape(len(at), field.size)
    data[at[:, None] + field.offset + np.arange(field.size)] = raw


def bare_fitdecode_s(folder: Path, count: int) -> float:
    """Seconds that a loop over fitdecode's frames takes for a file, over so many of them."""
    files = sorted(folder.glob("*.fit"))[:count]
    start = time.perf_counter()
    for path in files:
        with fitdecode.FitReader(path) as reader:
            for frame in reader:
                if isinstance(frame, fitdecode.FitDataMessage):
                    for field in frame.fields:
                        _ = field.value
    return (time.perf_counter() - start) / len(files)


def run_import(folder: Path) -> tuple[float, float, int, float]:
    """(seconds, peak of proportional memory of all processes [MB], legs, seconds trained)."""
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
        bare = None
        for size in sizes:
            folder = Path(place, str(size))
            write_history(folder, size)
            if bare is None:
                bare = bare_fitdecode_s(folder, min(bare_files, size))
                print(f"bare fitdecode: {1000 * bare:.0f} ms a file, over {bare_files} files")
            first, peak, legs, trained = run_import(folder)
            second, peak_again, legs_again, _ = run_import(folder)
            print(
                f"{size:6d} files, {trained / 3600:6.0f} h, {legs} legs: "
                f"first {first:6.2f} s ({1000 * first / size:.2f} ms a file, "
                f"{bare * size / first:.0f} times faster than bare fitdecode), "
                f"second {second:.2f} s (1/{first / second:.0f}), "
                f"peak {max(peak, peak_again):.0f} MB"
                + ("" if legs == legs_again else f"; SECOND RUN DIFFERS: {legs_again} legs")
            )
