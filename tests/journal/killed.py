"""Writes a journal in processes that are killed at every step, and says what each left behind.

Run as a program it prints one JSON line a kill: the moment, whether the process was still writing,
and for every file `old`, `new` or `half`, for its backup `old`, `none` or `half`.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import FrameType
from typing import Any

from taperback.journal.columns import TABLES
from taperback.journal.draft import BACKUPS, with_rows, write_whole

OURS = str(Path("taperback") / "")
ROWS = 4000
OLD: dict[str, bytes | None] = {
    "athlete.toml": None,
    "races.csv": b"date;name\r\n" + b"2030-06-02;Cove, with a word of mine\r\n" * ROWS,
    "nights.csv": b"date,sleep_h\n" + b"2030-06-01,7.5\n" * ROWS,
    "sessions.csv": None,
    "days.csv": b"# mine\n",
}
ADDED = [{"date": f"20{year}-07-01", "proposed": "so a file says"} for year in range(31, 99)]
NEW = {
    "athlete.toml": b'home_zone = "Europe/Lisbon"\n' * ROWS,
    "races.csv": with_rows(OLD["races.csv"] or b"", ADDED, TABLES["races"]),
    "nights.csv": with_rows(OLD["nights.csv"] or b"", ADDED, TABLES["nights"]),
    "sessions.csv": with_rows(b"", (), TABLES["sessions"]),
    "days.csv": with_rows(b"# mine\n", (), TABLES["days"]),
}


def put_old(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    for name, data in OLD.items():
        if data is not None:
            (folder / name).write_bytes(data)


def write_new(folder: Path) -> None:
    for name, data in NEW.items():
        if _is(folder / name, name) != "new":  # a draft that has nothing to add writes nothing
            write_whole(folder, name, data)


def left(folder: Path) -> dict[str, dict[str, str]]:
    return {name: {"is": _is(folder / name, name), "backup": _backup(folder, name)} for name in NEW}


def _is(path: Path, name: str) -> str:
    data = path.read_bytes() if path.exists() else None
    return "old" if data == OLD[name] else "new" if data == NEW[name] else "half"


def _backup(folder: Path, name: str) -> str:
    path = folder / BACKUPS / name
    if not path.exists():
        return "none"
    return "old" if path.read_bytes() == OLD[name] else "half"


def dies_at(step: int, folder: Path, *, only_ours: bool) -> None:
    """Writes, and is killed at this line: of Taperback's alone, or of all that are run."""
    count = 0

    def trace(frame: FrameType, event: str, _argument: Any) -> Any:
        nonlocal count
        count += event == "line" and not (only_ours and OURS not in frame.f_code.co_filename)
        if event == "line" and count == step:
            os.kill(os.getpid(), signal.SIGKILL)
        return trace

    sys.settrace(trace)
    write_new(folder)
    sys.settrace(None)


def in_a_process(work: Callable[[], None], wait: Callable[[int], None] = lambda _: None) -> bool:
    """Whether a process that does the work was killed before it was done."""
    told, tells = os.pipe()
    pid = os.fork()
    if not pid:
        os.write(tells, b"begun")
        work()
        os._exit(0)
    os.read(told, 5)
    wait(pid)
    os.close(told), os.close(tells)
    return os.WIFSIGNALED(os.waitpid(pid, 0)[1])


def kill_after(seconds: float) -> Callable[[int], None]:
    def wait(pid: int) -> None:
        time.sleep(seconds)
        os.kill(pid, signal.SIGKILL)

    return wait


def tell(moment: str, killed: bool, folder: Path) -> None:
    found = left(folder)
    write_new(folder)  # who starts again is not kept from finishing
    told = {"moment": moment, "killed": killed, "left": found, "then": left(folder)}
    sys.stdout.write(json.dumps(told) + "\n")


def main() -> None:
    quick = "/dev/shm"  # noqa: S108 - memory, where flushing costs nothing
    with tempfile.TemporaryDirectory(dir=quick if Path(quick).is_dir() else None) as name:
        folder = Path(name)
        for stride, only_ours in ((1, True), (29, False)):
            step, killed = 1, True
            while killed:
                put_old(folder)
                killed = in_a_process(partial(dies_at, step, folder, only_ours=only_ours))
                tell(f"{'our ' if only_ours else ''}line {step}", killed, folder)
                step += stride
        put_old(folder)
        start = time.perf_counter()
        write_new(folder)
        whole_s = time.perf_counter() - start
        for part in range(60):
            put_old(folder)
            killed = in_a_process(partial(write_new, folder), kill_after(whole_s * part / 50))
            tell(f"{part / 50:.0%} of the time", killed, folder)


if __name__ == "__main__":
    main()
