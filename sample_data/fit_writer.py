"""Writes FIT files: the sample's and those that tests need, byte for byte the same each time.

Message and field names, base types, scales and offsets come from fitdecode's profile, so that the
writer and the reader cannot disagree about them by a typing mistake.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Any, NamedTuple

from fitdecode import profile, types

FIT_EPOCH_S = 631_065_600
"""1989-12-31T00:00:00Z, the start of FIT time, in Unix seconds."""

MESSAGE_NUMBERS = {message.name: number for number, message in profile.MESSAGE_TYPES.items()}

_CRC_NIBBLES = (
    0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401,
    0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400,
)  # fmt: skip


def _crc_table() -> tuple[int, ...]:
    table = []
    for byte in range(256):
        low = _CRC_NIBBLES[byte & 0xF]
        table.append((low >> 4) ^ _CRC_NIBBLES[low & 0xF] ^ _CRC_NIBBLES[byte >> 4])
    return tuple(table)


_CRC_TABLE = _crc_table()


def crc16(data: bytes) -> int:
    """CRC-16/ARC, as FIT uses it.

    >>> hex(crc16(b"123456789"))
    '0xbb3d'
    """
    crc = 0
    for byte in data:
        crc = (crc >> 8) ^ _CRC_TABLE[(crc ^ byte) & 0xFF]
    return crc


class _Layout(NamedTuple):
    """How one field of a message is written."""

    number: int
    base: types.BaseType
    raw_of: Mapping[str, int]
    is_time: bool
    scale: float
    offset: float


@cache
def _layout(message: int, name: str) -> _Layout:
    """Where the profile has a field; looked up once, since a recording has thousands of them."""
    fields = profile.MESSAGE_TYPES[message].fields.values()
    field = next(field for field in fields if field.name == name)
    kind: Any = field.type
    scale = field.scale or 1
    return _Layout(
        field.def_num,
        getattr(kind, "base_type", kind),
        {label: raw for raw, label in (getattr(kind, "enum", None) or {}).items()},
        getattr(kind, "name", "") in ("date_time", "local_date_time"),
        1 if isinstance(scale, (tuple, list)) else scale,
        field.offset or 0,
    )


def degrees(value: float) -> int:
    """Decimal degrees as FIT stores them: semicircles."""
    return round(value * 2**31 / 180)


def wrap(body: bytes, *, header_crc: bool = True) -> bytes:
    """A whole FIT file around a stream of definition and data messages."""
    header = struct.pack("<BBHI4s", 14, 0x20, 2171, len(body), b".FIT")
    header += struct.pack("<H", crc16(header) if header_crc else 0)
    return header + body + struct.pack("<H", crc16(header + body))


class FitWriter:
    """Collects messages and gives the file's bytes.

    A definition is written whenever the layout of a local message number changes; `local` picks
    the number, so that a test can make messages share one or interleave.
    """

    def __init__(self, *, big_endian: bool = False) -> None:
        self.body = bytearray()
        self._order = ">" if big_endian else "<"
        self._layouts: dict[int, object] = {}
        self._locals: dict[str, int] = {}

    def message(
        self,
        name: str | int,
        *,
        local: int | None = None,
        developer: Sequence[tuple[int, int, int, float]] = (),
        raw: Mapping[int, tuple[int, int]] | None = None,
        **values: object,
    ) -> FitWriter:
        """Adds one message with these field values, in their own units; None writes "invalid".

        Args:
            name: message name or number.
            local: local message number; by default one per name.
            developer: developer fields: (field number, developer index, base type, raw value).
            raw: fields the profile does not know: field number -> (base type, raw value).
            values: field name -> value; a timestamp may be a `datetime` or Unix seconds.
        """
        number = MESSAGE_NUMBERS[name] if isinstance(name, str) else name
        fields = [self._encode(number, key, value) for key, value in values.items()]
        fields += [(num, *self._pack(kind, value)) for num, (kind, value) in (raw or {}).items()]
        extra = [(num, index, *self._pack(kind, value)) for num, index, kind, value in developer]
        if local is None:
            local = self._locals.setdefault(str(name), len(self._locals) % 16)
        self._define(number, local, fields, extra)
        self.body.append(local)
        for *_, data in (*fields, *extra):
            self.body += data
        return self

    def bytes(self, *, header_crc: bool = True) -> bytes:
        """The finished file."""
        return wrap(bytes(self.body), header_crc=header_crc)

    def _define(self, number: int, local: int, fields: list, extra: list) -> None:
        layout = (
            number,
            [(num, kind, len(data)) for num, kind, data in fields],
            [(num, index, len(data)) for num, index, _, data in extra],
        )
        if self._layouts.get(local) == layout:
            return
        self._layouts[local] = layout
        big = self._order == ">"
        self.body += bytes([0x40 | (0x20 if extra else 0) | local, 0, int(big)])
        self.body += struct.pack(self._order + "HB", number, len(fields))
        for num, kind, data in fields:
            self.body += bytes([num, len(data), kind])
        if extra:
            self.body.append(len(extra))
            for num, index, _, data in extra:
                self.body += bytes([num, len(data), index])

    def _encode(self, message: int, name: str, value: object) -> tuple:
        field = _layout(message, name)
        if isinstance(value, datetime):
            value = value.timestamp()
        if isinstance(value, str) and field.raw_of:
            value = field.raw_of[value]
        elif value is not None and not isinstance(value, (str, bytes, list)):
            number = float(value)  # type: ignore[arg-type]
            value = number - FIT_EPOCH_S if field.is_time else (number + field.offset) * field.scale
        return (field.number, *self._pack(field.base.identifier, value))

    def _pack(self, kind: int, value: object) -> tuple[int, bytes]:
        """(base type, bytes) of one value, or of a list of values as an array field."""
        base = types.BASE_TYPES[kind]
        if base.name == "string":
            return kind, str(value).encode() + b"\0"
        if isinstance(value, bytes):
            return kind, value
        if isinstance(value, list):
            return kind, b"".join(self._pack(kind, item)[1] for item in value)
        if value is None:
            return kind, self._invalid(base)
        number = float(value) if base.fmt in "fd" else round(float(value))  # type: ignore[arg-type]
        return kind, struct.pack(self._order + base.fmt, number)

    def _invalid(self, base: types.BaseType) -> bytes:
        if base.name.endswith("z"):
            return b"\0" * base.size
        if base.name.startswith("sint"):
            top = b"\x7f" + b"\xff" * (base.size - 1)
            return top if self._order == ">" else top[::-1]
        return b"\xff" * base.size
