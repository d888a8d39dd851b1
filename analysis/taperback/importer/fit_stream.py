"""Where each message of a FIT file lies: one pass over the message headers, decoding nothing.

References:
    FIT protocol description: file header, record header bits, definition messages.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

import numpy as np

COMPRESSED = 0x80
DEFINITION = 0x40
DEVELOPER = 0x20
LOCAL = 0x0F

MOST_DEFINITIONS = 20_000
"""A file with more definitions than this is not a recording of anything; real ones have tens."""

_FIRST_LOOK = 32
_LONGEST_LOOK = 1 << 16


@dataclass(frozen=True)
class FieldLayout:
    """One field of a definition: its number, where it starts after the header byte, size, type.

    `base_type` is -1 for a developer field.
    """

    number: int
    offset: int
    size: int
    base_type: int


@dataclass
class Definition:
    """One definition message and the data messages that follow it.

    Attributes:
        number: global message number.
        big_endian: byte order of its data messages.
        size: bytes of a data message, its header byte included.
        fields: layouts of its fields, developer fields last.
        start, stop: where the definition message itself lies.
        runs: (offset of the first message, how many follow each other).
    """

    number: int
    big_endian: bool
    size: int
    fields: tuple[FieldLayout, ...]
    start: int
    stop: int
    runs: list[tuple[int, int]] = field(default_factory=list)

    def offsets(self) -> np.ndarray:
        """Offsets of all its data messages, in file order; shape (n,)."""
        if not self.runs:
            return np.empty(0, np.int64)
        return np.concatenate(
            [first + self.size * np.arange(count, dtype=np.int64) for first, count in self.runs]
        )


@dataclass(frozen=True)
class Part:
    """One FIT file of a possibly chained stream.

    Attributes:
        start: where its header starts. body: where its messages start.
        stop: where its messages end; stated_stop: where its header says that they end.
        definitions: in file order.
        compressed: whether any message has a compressed timestamp.
        broken: what stopped the pass early, empty where nothing did.
    """

    start: int
    body: int
    stop: int
    stated_stop: int
    definitions: tuple[Definition, ...]
    compressed: bool
    broken: str


def index_parts(data: bytes) -> tuple[Part, ...]:
    """The parts of a FIT stream, each with its definitions and where their messages lie.

    An empty tuple means that the bytes do not start with a FIT header.
    """
    parts: list[Part] = []
    start = 0
    while (header := _header(data, start)) is not None:
        body, size = header
        part = _index_part(data, start, body, body + size if size else len(data) - 2)
        parts.append(part)
        start = part.stated_stop + 2
    return tuple(parts)


def _header(data: bytes, start: int) -> tuple[int, int] | None:
    """(start of the messages, their size in bytes) of the header at `start`."""
    if len(data) < start + 12 or data[start + 8 : start + 12] != b".FIT":
        return None
    size = data[start]
    if size < 12:
        return None
    return start + size, int.from_bytes(data[start + 4 : start + 8], "little")


def _index_part(data: bytes, start: int, body: int, stated_stop: int) -> Part:
    view = np.frombuffer(data, np.uint8)
    stop = min(stated_stop, len(data))
    known: dict[int, Definition] = {}
    found: list[Definition] = []
    compressed = False
    broken = "" if stated_stop + 2 <= len(data) else "it ends before its header says so"
    at = body
    while at < stop:
        header = data[at]
        if header & COMPRESSED:
            compressed = True
            local, run_limit = header >> 5 & 0x3, 1
        elif header & DEFINITION:
            definition = _definition(data, at, stop)
            if definition is None:
                broken = "a definition is cut off"
                break
            if len(found) >= MOST_DEFINITIONS:
                broken = f"it has more than {MOST_DEFINITIONS} definitions"
                break
            known[header & LOCAL] = definition
            found.append(definition)
            at = definition.stop
            continue
        else:
            local, run_limit = header & LOCAL, (stop - at)
        current = known.get(local)
        if current is None:
            broken = f"a message at byte {at} has no definition"
            break
        count = _run_length(view, at, stop, current.size, run_limit // current.size)
        if count == 0:
            broken = broken or "its last message is cut off"
            break
        current.runs.append((at, count))
        at += count * current.size
    return Part(start, body, at, max(stated_stop, body), tuple(found), compressed, broken)


def _definition(data: bytes, at: int, stop: int) -> Definition | None:
    """The definition message at `at`, or None where it is cut off."""
    if at + 6 > stop:
        return None
    big_endian = data[at + 2] == 1
    (number,) = struct.unpack_from(">H" if big_endian else "<H", data, at + 3)
    triples, end = _triples(data, at + 5, stop)
    if triples is None:
        return None
    developer, end = _triples(data, end, stop) if data[at] & DEVELOPER else ([], end)
    if developer is None:
        return None
    fields, offset = [], 1
    for number_, size, base_type in triples:
        fields.append(FieldLayout(number_, offset, size, base_type))
        offset += size
    for number_, size, _ in developer:
        fields.append(FieldLayout(number_, offset, size, -1))
        offset += size
    return Definition(number, big_endian, offset, tuple(fields), at, end)


def _triples(data: bytes, at: int, stop: int) -> tuple[list[tuple[int, int, int]] | None, int]:
    """A count byte and that many three-byte field definitions."""
    end = at + 1 + 3 * data[at] if at < stop else stop + 1
    if end > stop:
        return None, at
    flat = data[at + 1 : end]
    return list(zip(flat[0::3], flat[1::3], flat[2::3], strict=True)), end


def _run_length(view: np.ndarray, at: int, stop: int, size: int, limit: int) -> int:
    """How many whole messages with this header byte follow each other from `at`.

    The look ahead doubles, so that the bytes of a run are looked at once, and those behind it
    hardly at all.
    """
    if at + size > stop:
        return 0
    header, count, look = view[at], 1, _FIRST_LOOK
    limit = max(limit, 1)
    while count < limit:
        ahead = view[at + count * size : min(at + (count + look) * size, stop) : size]
        ahead = ahead[: limit - count]
        other = np.flatnonzero(ahead != header)
        if other.size:
            return count + int(other[0])
        count += ahead.size
        if ahead.size < look:
            break
        look = min(look * 2, _LONGEST_LOOK)
    return count
