"""Where each message of a FIT file lies: one pass over the message headers, decoding nothing.

A pass costs time and memory in proportion to the bytes, whatever they hold: what no recording ever
has (too many messages, definitions or chained files) ends it with a reason.

References:
    FIT protocol description: file header, record header bits.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.fit.layout import LOCAL, Definition, read_definition

COMPRESSED = 0x80
DEFINITION = 0x40

_WORTH_A_RUN = 16
_FIRST_LOOK = 64
_LONGEST_LOOK = 1 << 16


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
    limits = LIMITS.fit
    parts: list[Part] = []
    start, messages, definitions = 0, limits.most_messages, limits.most_definitions
    while len(parts) < limits.most_parts and (header := _header(data, start)) is not None:
        body, size = header
        if not size and _header(data, body + 2) is None:
            # A device that lost its power has not yet written the size.
            size = max(len(data) - 2 - body, 0)
        stated_stop = body + size
        walk = _Walk(data, body, stated_stop, messages, definitions)
        walk.run()
        messages, definitions = walk.messages_left, walk.definitions_left
        parts.append(
            Part(
                start=start,
                body=body,
                stop=walk.at,
                stated_stop=stated_stop,
                definitions=tuple(walk.found),
                compressed=walk.compressed,
                broken=walk.broken,
            )
        )
        start = stated_stop + 2
    return tuple(parts)


def _header(data: bytes, start: int) -> tuple[int, int] | None:
    """(start of the messages, their size in bytes) of the header at `start`."""
    if len(data) < start + 12 or data[start + 8 : start + 12] != b".FIT":
        return None
    size = data[start]
    if size < 12:
        return None
    return start + size, int.from_bytes(data[start + 4 : start + 8], "little")


class _Walk:
    """The pass over one part, from message to message.

    Two tables by header byte say how long a data message with that header is (0: not known so far)
    and where to note its offset, so that a message costs one step of a plain loop.
    """

    def __init__(
        self, data: bytes, body: int, stated_stop: int, messages: int, definitions: int
    ) -> None:
        self.at = body
        self.messages_left = messages
        self.definitions_left = definitions
        self.found: list[Definition] = []
        self.compressed = False
        self.broken = "" if stated_stop + 2 <= len(data) else "it ends before its header says so"
        self._data = data
        self._view = np.frombuffer(data, np.uint8)
        self._stop = min(stated_stop, len(data))
        self._sizes = [0] * 256
        self._notes: list[Callable[[int], None]] = [array("q").append] * 256
        self._by_header: list[Definition | None] = [None] * 256

    def run(self) -> None:
        """Goes on until the end, or until something stops it."""
        while self.at < self._stop and self._go_on():
            pass

    def _go_on(self) -> bool:
        """Takes what comes next; False where nothing more can be taken."""
        self._take_singles()
        if self.at >= self._stop:
            return False
        header = self._data[self.at]
        size = self._sizes[header]
        if size and not self.messages_left:
            return self._break("it has more messages than any recording")
        if size and self.at + size > self._stop:
            return self._break(self.broken or "its last message is cut off")
        if size:
            return self._take_run(self._by_header[header], size)
        if header & DEFINITION and not header & COMPRESSED:
            return self._define()
        owner = self._by_header[header >> 5 & 0x3] if header & COMPRESSED else None
        if owner is None:
            return self._break(f"a message at byte {self.at} has no definition")
        # From now on all headers are known whose compressed timestamp is of this local number.
        self.compressed = True
        first = header & 0xE0
        self._set(range(first, first + 32), owner)
        return True

    def _break(self, reason: str) -> bool:
        self.broken = reason
        return False

    def _take_singles(self) -> None:
        """Takes data messages up to a run of one kind, or to anything else."""
        data, sizes, notes, stop, at = self._data, self._sizes, self._notes, self._stop, self.at
        left = self.messages_left
        while at < stop and left:
            header = data[at]
            size = sizes[header]
            end = at + size
            if not size or end > stop:
                break
            ahead = at + size * _WORTH_A_RUN
            if ahead < stop and data[ahead] == header == data[end]:
                break
            notes[header](at)
            at = end
            left -= 1
        self.at, self.messages_left = at, left

    def _take_run(self, owner: Definition | None, size: int) -> bool:
        """Takes the whole messages of this header byte that follow each other, at least one.

        The look ahead doubles, so that the bytes of a run are looked at once, and those behind it
        hardly at all.
        """
        count, look, other = 1, _FIRST_LOOK, np.empty(0, bool)
        most = min((self._stop - self.at) // size, self.messages_left)
        while count < most and not other.any():
            end = self.at + min(count + look, most) * size
            other = self._view[self.at + count * size : end : size] != self._view[self.at]
            count += int(other.argmax()) if other.any() else len(other)
            look = min(look * 2, _LONGEST_LOOK)
        if owner:
            owner.runs.append((self.at, count))
        self.at += count * size
        self.messages_left -= count
        return True

    def _define(self) -> bool:
        if not self.definitions_left:
            return self._break("it has more definitions than any recording")
        definition = read_definition(self._data, self.at, self._stop)
        if definition is None:
            return self._break("a definition is cut off")
        local = self._data[self.at] & LOCAL
        self._set(range(local, 64, 16), definition)
        if local < 4:
            # Compressed headers of this number are met, and so noticed, anew.
            self._sizes[COMPRESSED | local << 5 : (COMPRESSED | local << 5) + 32] = [0] * 32
        self.found.append(definition)
        self.definitions_left -= 1
        self.at += len(definition.head)
        return True

    def _set(self, headers: range, owner: Definition) -> None:
        for header in headers:
            self._by_header[header] = owner
            self._sizes[header] = owner.size
            self._notes[header] = owner.singles.append
