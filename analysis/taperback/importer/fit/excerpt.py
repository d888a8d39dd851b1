"""Smaller FIT streams cut out of a file's own bytes, for fitdecode to read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from taperback.importer.fit.layout import LOCAL
from taperback.importer.fit.stream import Part


@dataclass(frozen=True)
class Wanted:
    """What to keep of one kind of message.

    Attributes:
        fields: numbers of the fields to keep.
        only: (number of a one-byte field, raw value): keep just the messages where it has it.
    """

    fields: frozenset[int]
    only: tuple[int, int] | None = None


def excerpt(data: bytes, parts: Iterable[Part], wanted: Mapping[int, Wanted]) -> bytes:
    """A FIT stream of only the wanted fields of the wanted messages, in the file's order.

    Files hold many messages that nobody needs, and messages with a hundred fields of which three
    are needed; decoding them would cost more than everything else.
    """
    return b"".join(_stream(part, data, _kept(data, part, wanted)) for part in parts)


def mended(data: bytes, parts: Iterable[Part]) -> bytes:
    """The whole stream, each part with a header that states the size it really has."""
    return b"".join(_stream(part, data, data[part.body : part.stop]) for part in parts)


def _stream(part: Part, data: bytes, body: bytes) -> bytes:
    versions = data[part.start + 1 : part.start + 4]
    header = bytes([12]) + versions + len(body).to_bytes(4, "little") + b".FIT"
    return header + body + b"\0\0"


def _kept(data: bytes, part: Part, wanted: Mapping[int, Wanted]) -> bytes:
    """The wanted definitions and their messages, cut down to the fields to keep."""
    view = np.frombuffer(data, np.uint8)
    pieces: list[tuple[int, bytes]] = []
    for definition in part.definitions:
        want = wanted.get(definition.number)
        if want is None or not definition.used:
            continue
        kept, head, local = (
            definition.fields(want.fields),
            definition.head,
            definition.head[0] & LOCAL,
        )
        fields = b"".join(bytes([f.number, f.size, f.base_type]) for f in kept)
        start = bytes([0x40 | local]) + head[1:5] + bytes([len(kept)])
        pieces.append((definition.start, start + fields))
        number, value = want.only or (-1, 0)  # no field has that number
        offsets = definition.offsets
        for kind in definition.fields({number}):
            offsets = offsets[view[offsets + kind.offset] == value]
        columns = [np.arange(f.offset, f.offset + f.size) for f in kept]
        table = view[offsets[:, None] + np.concatenate([np.empty(0, np.int64), *columns])]
        messages = zip(offsets.tolist(), table, strict=True)
        pieces += [(at, bytes([local]) + row.tobytes()) for at, row in messages]
    return b"".join(piece for _, piece in sorted(pieces))
