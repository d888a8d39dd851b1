"""Faults at the edge to the operating system, for a process that is there to suffer them.

Each function changes the process that calls it, and nobody else: mounts are its own, rights are
given up for good.
"""

from __future__ import annotations

import ctypes
import errno
import importlib
import itertools
import os
import shutil
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

CANNOT = 77
"""Exit code of a process that this system does not let bring the fault about."""

_NEW_MOUNTS, _NEW_USER = 0x20000, 0x10000000
_READ_ONLY, _REMOUNT, _BIND, _REC, _PRIVATE = 1, 32, 4096, 16384, 1 << 18
_CAPABILITY_VERSION = 0x20080522
_WRITES = {"os.mkdir": 0, "os.chmod": 0, "os.remove": 0, "os.rename": 1, "sqlite3.connect": 0}
"""Events of Python's audit hooks that change a disk, and where each tells the path."""
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def full_disk(place: Path) -> None:
    """From here on `place` lies on a disk of its own, with the same files and not a byte free."""
    inside = place.with_name(f"{place.name}-before")
    shutil.copytree(place, inside)
    _own_mounts()
    _call("mount", b"tmpfs", os.fsencode(place), b"tmpfs", 0, b"size=64m")
    shutil.copytree(inside, place, dirs_exist_ok=True)
    shutil.rmtree(inside)
    with (place / ".filler").open("wb", buffering=0) as filler:
        try:
            while True:
                filler.write(bytes(4096))
        except OSError as error:
            if error.errno != errno.ENOSPC:
                raise


def read_only_disk(place: Path) -> None:
    """From here on `place` lies on a disk that cannot be written to."""
    _own_mounts()
    _call("mount", os.fsencode(place), os.fsencode(place), None, _BIND, None)
    _call("mount", None, os.fsencode(place), None, _BIND | _REMOUNT | _READ_ONLY, None)


def _own_mounts() -> None:
    uid, gid = os.getuid(), os.getgid()
    _call("unshare", _NEW_MOUNTS | (_NEW_USER if uid else 0))
    if uid:
        Path("/proc/self/setgroups").write_text("deny")
        Path("/proc/self/uid_map").write_text(f"0 {uid} 1")
        Path("/proc/self/gid_map").write_text(f"0 {gid} 1")
    _call("mount", b"none", b"/", None, _REC | _PRIVATE, None)


def _call(name: str, *values: object) -> None:
    """A system call; ends the process where it is not to be had here."""
    try:
        library = ctypes.CDLL(None, use_errno=True)
        failed = getattr(library, name)(*values)
    except (AttributeError, OSError):
        failed = True
    if failed:
        os._exit(CANNOT)


def without_rights() -> None:
    """From here on even root may only do what the permissions of a file allow."""
    if os.getuid() != 0:
        return
    header = (ctypes.c_uint32 * 2)(_CAPABILITY_VERSION, 0)
    nothing = (ctypes.c_uint32 * 6)()
    _call("capset", header, nothing)


def killed_at(write: int, place: Path) -> None:
    """The process is killed before it changes the disk below `place` for the so-manieth time."""
    count = itertools.count(1)

    def look(event: str, values: tuple) -> None:
        path = _changed(event, values)
        if path.startswith(f"{place}/") and next(count) == write:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(look)


def _changed(event: str, values: tuple) -> str:
    """The path that an event is about to change, empty where it changes none."""
    if event == "open" and isinstance(values[2], int) and values[2] & _WRITING:
        path = values[0]
    else:
        path = values[_WRITES[event]] if event in _WRITES else ""
    return os.fsdecode(path) if isinstance(path, (str, bytes, os.PathLike)) else ""


def killed_in(module: str, function: str) -> None:
    """The process is killed when it calls the function for the second time."""
    room = importlib.import_module(module)
    whole, calls = getattr(room, function), itertools.count(1)

    def killed(*values: object, **named: object) -> object:
        if next(calls) == 2:
            os.kill(os.getpid(), signal.SIGKILL)
        return whole(*values, **named)

    setattr(room, function, killed)


def once_found(change: Callable[[], object]) -> None:
    """Between finding the files of a folder and reading them, something changes there."""
    from taperback.importer import folder

    find = folder.find_files

    def found_and_changed(place: Path) -> object:
        found = find(place)
        change()
        return found

    folder.find_files = found_and_changed  # type: ignore[assignment]


def clock_backwards() -> None:
    """Every look at the clock is a minute before the one before, from 2001 on backwards."""
    seconds = itertools.count(1_000_000_000, -60)
    time.time = lambda: float(next(seconds))
    time.time_ns = lambda: next(seconds) * 1_000_000_000
