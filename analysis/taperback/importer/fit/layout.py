"""The layout that a FIT file's definition message gives to the data messages behind it.

References:
    FIT protocol description: definition messages, developer data.
"""

from __future__ import annotations

from array import array
from collections.abc import Container
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

import numpy as np

DEVELOPER = 0x20
LOCAL = 0x0F


class FieldLayout(NamedTuple):
    """One field of a definition: its number, where it starts in a data message, size, base type."""

    number: int
    offset: int
    size: int
    base_type: int


@dataclass(eq=False)
class Definition:
    """One definition message and the data messages that follow it.

    Attributes:
        number: global message number.
        big_endian: byte order of its data messages.
        size: bytes of a data message, its header byte included.
        head: bytes of the definition message. layout: the same without its local number, so that
            two definitions with one layout can be told.
        start: where the definition message lies.
        runs: (offset of the first message, how many follow each other).
        singles: offsets of messages that stand alone.
    """

    number: int
    big_endian: bool
    size: int
    head: bytes
    start: int
    runs: list[tuple[int, int]] = field(default_factory=list)
    singles: array[int] = field(default_factory=lambda: array("q"))

    @property
    def layout(self) -> bytes:
        """What two definitions of one layout share."""
        return bytes([self.head[0] & DEVELOPER]) + self.head[1:]

    @property
    def used(self) -> bool:
        """Whether any data message follows it."""
        return bool(self.runs) or bool(self.singles)

    def fields(self, numbers: Container[int]) -> list[FieldLayout]:
        """Layouts of its own fields of these numbers; developer fields are never among them."""
        triples = self.head[6 : 6 + 3 * self.head[5]]
        sizes = triples[1::3]
        return [
            FieldLayout(number, offset, size, base_type)
            for number, size, base_type, offset in zip(
                triples[0::3], sizes, triples[2::3], accumulate(sizes, initial=1), strict=False
            )
            if number in numbers
        ]

    @cached_property
    def offsets(self) -> np.ndarray:
        """Offsets of all its data messages, in file order; int64, shape (n,)."""
        pieces = [np.arange(at, at + n * self.size, self.size) for at, n in self.runs]
        if self.singles:
            pieces.append(np.frombuffer(self.singles, np.int64))
        if len(pieces) == 1:
            return pieces[0]
        return np.sort(np.concatenate([np.empty(0, np.int64), *pieces]))


def read_definition(data: bytes, at: int, stop: int) -> Definition | None:
    """The definition message at `at`, or None where it is cut off."""
    if at + 6 > stop:
        return None
    end = at + 6 + 3 * data[at + 5]
    if end > stop:
        return None
    size = 1 + sum(data[at + 7 : end : 3])
    if data[at] & DEVELOPER:
        if end >= stop:
            return None
        own, end = end + 1, end + 1 + 3 * data[end]
        if end > stop:
            return None
        size += sum(data[own + 1 : end : 3])
    big_endian = data[at + 2] != 0
    number = int.from_bytes(data[at + 3 : at + 5], "big" if big_endian else "little")
    return Definition(number, big_endian, size, data[at:end], at)
