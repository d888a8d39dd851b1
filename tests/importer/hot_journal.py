"""A database that a run seems to have left half-written, and that names another file."""

from __future__ import annotations

import os
import struct
from pathlib import Path


def leave_hot_journal(path: Path, victim: Path) -> None:
    """A run seems to have been killed that changed this database and `victim` in one step.

    SQLite file format, 3: a header, then a super-journal's name, its length, its sum, magic bytes.
    """
    magic, name = bytes.fromhex("d9d505f920a163d7"), os.fsencode(victim)
    pages = path.stat().st_size // 4096
    head = magic + struct.pack(">5I", 0, 0, pages, 512, 4096)
    end = struct.pack(">I", 262_145) + name + struct.pack(">2I", len(name), sum(name))
    path.with_name(f"{path.name}-journal").write_bytes(head.ljust(512, b"\0") + end + magic)
