"""Activity files inside archives, unpacked in memory within bounds.

Nothing is written to disk, so no path of an archive can lead anywhere; sizes are counted while
unpacking, since what an archive says of itself need not be true.
"""

from __future__ import annotations

import gzip
import io
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from taperback.importer.found import PACKED, SUFFIXES
from taperback.notices import Level, Notice
from taperback.resources import shared_toml

_BROKEN = (OSError, EOFError, zlib.error, zipfile.BadZipFile, NotImplementedError, RuntimeError)


@dataclass(frozen=True)
class Member:
    """One activity file's bytes and the name it is told by."""

    name: str
    data: bytes


def members(name: str, data: bytes, depth: int = 0) -> Iterator[Member | Notice]:
    """The activity files that these bytes are or hold; a notice for each that is refused."""
    if data[:2] == b"\x1f\x8b":
        yield from _gunzip(name, data, depth)
    elif data[:4] in (b"PK\x03\x04", b"PK\x05\x06"):
        yield from _unzip(name, data, depth)
    else:
        yield Member(name, data)


def _gunzip(name: str, data: bytes, depth: int) -> Iterator[Member | Notice]:
    limits = _limits()
    if depth > limits["deepest"]:
        yield _refused(name, "it is packed more than once over")
        return
    most = _most_bytes(len(data), limits)
    try:
        with gzip.open(io.BytesIO(data)) as file:
            content = file.read(most + 1)
    except _BROKEN:
        yield _refused(name, "it is broken as a gzip archive")
        return
    if len(content) > most:
        yield _refused(name, "it unpacks to far more than an activity holds")
        return
    yield from members(name, content, depth + 1)


def _unzip(name: str, data: bytes, depth: int) -> Iterator[Member | Notice]:
    limits = _limits()
    if depth > limits["deepest"]:
        yield _refused(name, "it is packed more than once over")
        return
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        infos = [info for info in archive.infolist() if _may_hold(info)]
    except _BROKEN:
        yield _refused(name, "it is broken as a zip archive")
        return
    if len(infos) > limits["most_members"]:
        yield _refused(name, f"it holds more than {limits['most_members']} activity files")
        return
    total = 0
    for info in sorted(infos, key=lambda info: info.filename):
        shown = f"{name}!{info.filename}"
        if info.filename.startswith("/") or ".." in info.filename.split("/"):
            yield _refused(shown, "its path leads out of the archive")
            continue
        most = _most_bytes(max(info.compress_size, 1), limits)
        try:
            with archive.open(info) as file:
                content = file.read(most + 1)
        except _BROKEN:
            yield _refused(shown, "it cannot be unpacked")
            continue
        total += len(content)
        if len(content) > most or total > limits["most_bytes_in_all"]:
            yield _refused(shown, "it unpacks to far more than an activity holds")
            continue
        yield from members(shown, content, depth + 1)


def _may_hold(info: zipfile.ZipInfo) -> bool:
    return not info.is_dir() and info.filename.lower().endswith((*SUFFIXES, *PACKED))


def _limits() -> dict:
    return shared_toml("limits.toml")["archives"]


def _most_bytes(packed: int, limits: dict) -> int:
    """How much these packed bytes may become."""
    return min(limits["most_bytes"], max(packed * limits["highest_ratio"], limits["always_bytes"]))


def _refused(name: str, found: str) -> Notice:
    return Notice(name, 0, "", "archive", found, "unpack it by hand", Level.UNUSED)
