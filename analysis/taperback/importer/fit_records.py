"""The `record` messages of a FIT file, read in bulk: bytes to columns, no message objects.

Names, scales and offsets come from fitdecode's profile and base types, so that every value equals
fitdecode's. What is unusual is left to fitdecode: see `bulk_can_read`.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from fitdecode.profile import MESSAGE_TYPES
from fitdecode.types import BASE_TYPES

from taperback.importer.fit_stream import Definition, Part

RECORD = 20
TIMESTAMP = 253

_PACKED_SPEED_DISTANCE = 8
_FIELDS = MESSAGE_TYPES[RECORD].fields

RECORD_FIELDS = {
    "timestamp": TIMESTAMP,
    "position_lat": 0,
    "position_long": 1,
    "altitude": 2,
    "heart_rate": 3,
    "cadence": 4,
    "distance": 5,
    "speed": 6,
    "power": 7,
    "fractional_cadence": 53,
    "enhanced_speed": 73,
    "enhanced_altitude": 78,
}
"""Fields of a record that Taperback uses: name in the profile -> field number."""

_KIND = {
    "sint8": "i1", "uint8": "u1", "uint8z": "u1", "enum": "u1", "byte": "u1",
    "sint16": "i2", "uint16": "u2", "uint16z": "u2",
    "sint32": "i4", "uint32": "u4", "uint32z": "u4", "float32": "f4",
    "sint64": "i8", "uint64": "u8", "uint64z": "u8", "float64": "f8",
}  # fmt: skip


def bulk_can_read(parts: Iterable[Part]) -> bool:
    """Whether the records need nothing that only fitdecode does.

    Compressed timestamps, packed speed and distance, array fields, strings, and records without a
    timestamp are left to fitdecode.
    """
    return not any(
        part.compressed or not all(_is_plain(d) for d in part.definitions if _has_records(d))
        for part in parts
    )


def _has_records(definition: Definition) -> bool:
    return definition.number == RECORD and bool(definition.runs)


def _is_plain(definition: Definition) -> bool:
    used = [field for field in definition.fields if field.base_type >= 0]
    numbers = [field.number for field in used]
    if TIMESTAMP not in numbers or _PACKED_SPEED_DISTANCE in numbers:
        return False
    if len(set(numbers)) < len(numbers):
        return False
    wanted = [field for field in used if field.number in RECORD_FIELDS.values()]
    return all(
        (base := BASE_TYPES.get(field.base_type)) is not None
        and base.name in _KIND
        and base.name != "byte"
        and base.size == field.size
        for field in wanted
    )


def read_records(data: bytes, parts: Iterable[Part]) -> dict[str, np.ndarray]:
    """All records in file order: name of `RECORD_FIELDS` -> values, float64, shape (n,).

    Scaled and shifted as fitdecode does; what a file marks invalid, or a layout lacks, is NaN.
    Positions stay in semicircles and times in FIT seconds.
    """
    layouts = [d for part in parts for d in part.definitions if _has_records(d)]
    offsets = [layout.offsets() for layout in layouts]
    order = np.argsort(np.concatenate([*offsets, np.empty(0, np.int64)]), kind="stable")
    tables = [_read_layout(data, *pair) for pair in zip(layouts, offsets, strict=True)]
    columns = {}
    for name in RECORD_FIELDS:
        pieces = [
            table.get(name, np.full(len(at), np.nan))
            for table, at in zip(tables, offsets, strict=True)
        ]
        columns[name] = np.concatenate([*pieces, np.empty(0)])[order]
    return columns


def _read_layout(data: bytes, layout: Definition, offsets: np.ndarray) -> dict[str, np.ndarray]:
    """The used columns of the records that share one layout."""
    numbers = {number: name for name, number in RECORD_FIELDS.items()}
    used = [f for f in layout.fields if f.base_type >= 0 and f.number in numbers]
    order = ">" if layout.big_endian else "<"
    dtype = np.dtype(
        {
            "names": [numbers[f.number] for f in used],
            "formats": [order + _KIND[BASE_TYPES[f.base_type].name] for f in used],
            "offsets": [f.offset for f in used],
            "itemsize": layout.size,
        }
    )
    if len(layout.runs) == 1:
        table = np.frombuffer(data, dtype, len(offsets), int(offsets[0]))
    else:
        bytes_ = np.frombuffer(data, np.uint8)
        rows = bytes_[offsets[:, None] + np.arange(layout.size)]
        table = np.ascontiguousarray(rows).view(dtype)[:, 0]
    return {
        numbers[f.number]: _values(table[numbers[f.number]], f.number, f.base_type) for f in used
    }


def _values(raw: np.ndarray, number: int, base_type: int) -> np.ndarray:
    """Raw integers as scaled floats, NaN where they mark an invalid value."""
    values = raw.astype(np.float64)
    invalid = _invalid(BASE_TYPES[base_type].name, raw.dtype)
    missing = np.isnan(values) if invalid is None else raw == invalid
    field = _FIELDS[number]
    if field.scale:
        values /= field.scale
    if field.offset:
        values -= field.offset
    values[missing] = np.nan
    return values


def _invalid(base_name: str, dtype: np.dtype) -> int | None:
    """The raw value that means "not measured"; None for floats, whose NaN says it."""
    if dtype.kind == "f":
        return None
    if base_name.endswith("z"):
        return 0
    return int(np.iinfo(dtype).max)


def small_stream(data: bytes, parts: Iterable[Part], wanted: frozenset[int]) -> bytes:
    """A FIT stream of only the wanted messages, chained as before, for fitdecode to read.

    Definitions of wanted messages are kept where they stood. Timer events only are kept of the
    `event` messages, since some devices write thousands of other events.
    """
    return b"".join(_small_part(data, part, wanted) for part in parts)


def _small_part(data: bytes, part: Part, wanted: frozenset[int]) -> bytes:
    pieces: list[tuple[int, bytes]] = []
    for definition in part.definitions:
        if definition.number not in wanted or not definition.runs:
            continue
        pieces.append((definition.start, data[definition.start : definition.stop]))
        for at in _wanted_offsets(data, definition):
            pieces.append((at, data[at : at + definition.size]))
    pieces.sort(key=lambda piece: piece[0])
    body = b"".join(piece for _, piece in pieces)
    header = data[part.start : part.body]
    return header[:4] + len(body).to_bytes(4, "little") + header[8:] + body + b"\0\0"


_EVENT = 21


def _wanted_offsets(data: bytes, definition: Definition) -> list[int]:
    offsets = definition.offsets()
    kind = next((f for f in definition.fields if f.number == 0 and f.base_type == 0), None)
    if definition.number == _EVENT and kind is not None:
        offsets = offsets[np.frombuffer(data, np.uint8)[offsets + kind.offset] == 0]
    return offsets.tolist()
