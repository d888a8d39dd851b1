"""Activity files inside archives, unpacked in memory within bounds.

Nothing is written to disk, so no path of an archive can lead anywhere; sizes are counted while
unpacking, since what an archive says of itself need not be true.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from taperback.common.limits import LIMITS
from taperback.common.lines import printable
from taperback.common.notices import Notice, note, unused
from taperback.importer.find import PACKED
from taperback.importer.formats.formats import SUFFIXES

_GZIP = b"\x1f\x8b"
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")
_END, _END_64 = b"PK\x05\x06", b"PK\x06\x07"
_LONGEST_END = (1 << 16) + 22 + 76
_SLICE = 1 << 16
_ZEROS = re.compile(rb"\0*")


@dataclass(frozen=True)
class Member:
    """One activity file: its bytes, its name in messages, and what was odd about its wrapping."""

    name: str
    data: bytes
    remarks: tuple[Notice, ...] = ()


def is_small(path: Path, most: int) -> bool:
    """Whether a file holds no more than so many bytes once unpacked, and nothing packed twice.

    One that cannot be opened holds none.
    """
    try:
        with path.open("rb") as file:
            head = file.read(4)
            if head.startswith(_GZIP):
                content, _ = _inflate(head + file.read(most), most)
                return len(content) <= most and not _is_packed(content)
            if head in _ZIP:
                archive, infos = _directory(file)
                inside = sum(info.file_size for info in infos) <= most
                return inside and not any(_is_packed(archive.open(i).read(4)) for i in infos)
            return file.seek(0, io.SEEK_END) <= most
    except OSError:
        return True
    except Exception:  # whatever a broken byte leads zipfile and its unpackers to raise
        return False


def _is_packed(data: bytes) -> bool:
    return data.startswith((_GZIP, *_ZIP))


def count_members(path: Path) -> int:
    """How many files of a zip archive may hold activities; 1 for what is reported as one."""
    try:
        with path.open("rb") as file:
            if file.read(4) not in _ZIP:
                return 1
            _, infos = _directory(file)
            return 1 if _why_not(infos) else len(infos)
    except Exception:  # whatever a broken byte leads zipfile and its unpackers to raise
        return 1


def members_of(path: Path, name: str, first: int, last: int) -> Iterator[Member | Notice]:
    """The activity files that a file on disk is or holds; a notice for each that is refused.

    Of a zip archive only the members numbered from `first` up to but not `last`, in order of name.
    """
    with path.open("rb") as file:
        if file.read(4) in _ZIP:
            yield from _unzip(name, file, 0, (first, last))
            return
        most = LIMITS.archives.most_bytes
        size = file.seek(0, io.SEEK_END)
        file.seek(0)
        data = file.read(size) if size <= most else b""
    if size > most:
        yield _refused(name, "it is far bigger than an activity", "leave it out")
    else:
        yield from members(name, data)


def members(name: str, data: bytes, depth: int = 0) -> Iterator[Member | Notice]:
    """The activity files that these bytes are or hold; a notice for each that is refused."""
    if data[:4] in _ZIP:
        yield from _unzip(name, io.BytesIO(data), depth)
        return
    if data[:2] != _GZIP:
        yield Member(name, data)
        return
    if depth > LIMITS.archives.deepest:
        yield _refused(name, "it is packed more than once over")
        return
    most = _most_bytes(len(data))
    content, whole = _inflate(data, most)
    if len(content) > most:
        yield _refused(name, "it unpacks to far more than an activity holds")
    elif whole:
        yield from members(name, content, depth + 1)
    elif not content or content[:4] in _ZIP or content[:2] == _GZIP:
        yield _refused(name, "it is broken as a gzip archive")
    else:
        found = "its gzip wrapping is cut off or damaged; what could be unpacked was used"
        yield Member(name, content, (note("gzip-broken", found).at(name),))


def _inflate(data: bytes, most: int) -> tuple[bytes, bool]:
    """(what the gzip bytes hold, at most a byte more than `most`; whether they are whole).

    They may be several gzip members in a row, with zeros between, which are one file's parts.
    """
    content = bytearray()
    at = 0
    for _ in range(LIMITS.archives.most_members):
        end = _inflate_one(data, at, most, content)
        if end is None:
            break
        if not data.startswith(_GZIP, end):
            return bytes(content), True
        at = end
    return bytes(content), False


def _inflate_one(data: bytes, at: int, most: int, content: bytearray) -> int | None:
    """Adds what the gzip member there holds to `content`; where what follows it begins.

    None where the member is damaged, cut off, or more than `most` has come together.
    """
    unpacker = zlib.decompressobj(wbits=31)
    for start in range(at, len(data), _SLICE):
        piece = data[start : start + _SLICE]
        try:
            content += unpacker.decompress(piece, most + 1 - len(content))
        except zlib.error:
            return None
        if len(content) > most:
            return None
        if unpacker.eof:
            end = start + len(piece) - len(unpacker.unused_data)
            zeros = _ZEROS.match(data, end)
            return zeros.end() if zeros else end
    return None


def _unzip(
    name: str, file: BinaryIO, depth: int, part: tuple[int, int] | None = None
) -> Iterator[Member | Notice]:
    if depth > LIMITS.archives.deepest:
        yield _refused(name, "it is packed more than once over")
        return
    try:
        archive, infos = _directory(file)
    except Exception:
        yield _refused(name, "it is broken as a zip archive")
        return
    if reason := _why_not(infos):
        yield _refused(name, reason, "leave it out" if not infos else "unpack it by hand")
    else:
        for info in infos[slice(*part)] if part else infos:
            yield from _member(name, archive, info, depth)


def _why_not(infos: list[zipfile.ZipInfo]) -> str:
    """Why an archive with these members is not opened, empty where it is."""
    limits = LIMITS.archives
    if not infos:
        return "it holds no activity files"
    if len(infos) > limits.most_members:
        return f"it holds more than {limits.most_members} activity files"
    if sum(info.file_size for info in infos) > limits.most_bytes_in_all:
        return "it unpacks to far more than a lifetime of activities"
    return ""


def _member(
    name: str, archive: zipfile.ZipFile, info: zipfile.ZipInfo, depth: int
) -> Iterator[Member | Notice]:
    shown = f"{name}!{printable(info.filename)}"
    parts = _parts(info)
    if not parts[0] or ".." in parts or parts[0].endswith(":"):
        yield _refused(shown, "its path leads out of the archive")
        return
    most = _most_bytes(max(info.compress_size, 1))
    try:
        # What is read is bounded by the size that the directory states, and by ours.
        with archive.open(info) as file:
            content = file.read(most + 1)
    except Exception:
        yield _refused(shown, "it cannot be unpacked")
        return
    if len(content) > most:
        yield _refused(shown, "it unpacks to far more than an activity holds")
    else:
        yield from members(shown, content, depth + 1)


def _directory(file: BinaryIO) -> tuple[zipfile.ZipFile, list[zipfile.ZipInfo]]:
    """The archive and its members that may hold activities, in order of name.

    Raises:
        ValueError: the directory is larger than any of activities; an entry of 46 bytes becomes an
            object many times as large.
    """
    if _directory_bytes(file) > LIMITS.archives.most_directory_bytes:
        raise ValueError("too large a directory")
    archive = zipfile.ZipFile(file)
    infos = []
    for info in archive.infolist():
        # Hidden members are left alone, such as the shadow files that some systems add.
        hidden = any(part.startswith(".") and part != ".." for part in _parts(info))
        wanted = info.filename.lower().endswith((*SUFFIXES, *PACKED))
        if wanted and not hidden and not info.is_dir():
            infos.append(info)
    return archive, sorted(infos, key=lambda info: (info.filename, info.header_offset))


def _directory_bytes(file: BinaryIO) -> int:
    """How large a zip archive's directory says to be, as `zipfile` will believe it.

    The two records behind the directory are those of PKWARE's APPNOTE.TXT, 4.3.14 to 4.3.16.
    """
    size = file.seek(0, io.SEEK_END)
    file.seek(max(size - _LONGEST_END, 0))
    tail = file.read(_LONGEST_END)
    plain = len(tail) - 22  # an archive without a comment ends with its record
    at = plain if tail[plain:].startswith(_END) else tail.rfind(_END)
    stated = tail[at + 12 : at + 16] if at >= 0 else b""
    large = tail[at - 76 : at - 20] if at >= 76 and tail[at - 20 : at - 16] == _END_64 else b""
    return max(int.from_bytes(stated, "little"), int.from_bytes(large[40:48], "little"))


def _parts(info: zipfile.ZipInfo) -> list[str]:
    return info.filename.replace("\\", "/").split("/")


def _most_bytes(packed: int) -> int:
    """How much these packed bytes may become."""
    limits = LIMITS.archives
    return min(limits.most_bytes, max(packed * limits.highest_ratio, limits.always_bytes))


def _refused(name: str, found: str, remedy: str = "unpack it by hand") -> Notice:
    return unused(name, "archive", found, remedy)
