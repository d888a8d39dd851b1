"""The `record` messages of a FIT file, read in bulk: bytes to columns, no message objects.

Names, scales and offsets come from fitdecode's profile and base types, so that every value equals
fitdecode's. What is unusual is left to fitdecode: see `bulk_can_read`.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from fitdecode.profile import MESSAGE_TYPES
from fitdecode.types import BASE_TYPE_BYTE, BASE_TYPES

from taperback.importer.fit.layout import Definition, FieldLayout
from taperback.importer.fit.stream import Part

RECORD = 20

_FIELDS = MESSAGE_TYPES[RECORD].fields
_PACKED_SPEED_DISTANCE = 8

RECORD_FIELDS = {
    "timestamp": 253,
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

_NAMES = {number: name for name, number in RECORD_FIELDS.items()}

# Base type of the FIT protocol -> (its kind in NumPy, the value that means "not measured").
# For floats that is NaN itself. Eight-byte types are left to fitdecode: float64 cannot hold them.
_KINDS = {
    "enum": ("u1", 0xFF),
    "sint8": ("i1", 0x7F),
    "uint8": ("u1", 0xFF),
    "uint8z": ("u1", 0),
    "sint16": ("i2", 0x7FFF),
    "uint16": ("u2", 0xFFFF),
    "uint16z": ("u2", 0),
    "sint32": ("i4", 0x7FFFFFFF),
    "uint32": ("u4", 0xFFFFFFFF),
    "uint32z": ("u4", 0),
    "float32": ("f4", None),
    "float64": ("f8", None),
}


def bulk_can_read(data: bytes, parts: Iterable[Part]) -> bool:
    """Whether the records need nothing that only fitdecode does.

    Left to it are compressed timestamps, speed and distance packed into one field, fields that
    come twice, and fields whose size or type is not one number's.
    """
    if any(part.compressed for part in parts):
        return False
    for definitions in _layouts(parts):
        fields = definitions[0].fields(_NAMES)
        if len({field.number for field in fields}) < len(fields):
            return False
        for field in fields:
            base = BASE_TYPES.get(field.base_type)
            if base is None or base.name not in _KINDS or base.size != field.size:
                return False
        for field in definitions[0].fields({_PACKED_SPEED_DISTANCE}):
            # Some programs write it throughout as "not measured".
            size, of_bytes = field.size, field.base_type == BASE_TYPE_BYTE.identifier
            places = _offsets(definitions)[:, None] + np.arange(field.offset, field.offset + size)
            if not of_bytes or (np.frombuffer(data, np.uint8)[places] != 0xFF).any():
                return False
    return True


def _layouts(parts: Iterable[Part]) -> list[list[Definition]]:
    """The definitions of records, those of one layout together."""
    layouts: dict[bytes, list[Definition]] = {}
    for part in parts:
        for definition in part.definitions:
            if definition.number == RECORD and definition.used:
                layouts.setdefault(definition.layout, []).append(definition)
    return list(layouts.values())


def read_records(data: bytes, parts: Iterable[Part]) -> dict[str, np.ndarray]:
    """All records in file order: name of `RECORD_FIELDS` -> values, float64, shape (n,).

    Scaled and shifted as fitdecode does; what a file marks invalid, or a layout lacks, is NaN.
    Positions stay in semicircles and times in FIT seconds.
    """
    layouts = _layouts(parts)
    if len(layouts) == 1:
        return _read_layout(data, layouts[0])
    tables = [_read_layout(data, definitions) for definitions in layouts]
    places = [_offsets(definitions) for definitions in layouts]
    order = np.argsort(np.concatenate([np.empty(0, np.int64), *places]), kind="stable")
    return {
        name: np.concatenate([np.empty(0), *(table[name] for table in tables)])[order]
        for name in RECORD_FIELDS
    }


def _offsets(definitions: list[Definition]) -> np.ndarray:
    if len(definitions) == 1:
        return definitions[0].offsets
    return np.sort(np.concatenate([definition.offsets for definition in definitions]))


def _read_layout(data: bytes, definitions: list[Definition]) -> dict[str, np.ndarray]:
    """All columns of the records that share one layout."""
    layout, offsets = definitions[0], _offsets(definitions)
    used = {_NAMES[field.number]: field for field in layout.fields(_NAMES)}
    order = ">" if layout.big_endian else "<"
    kinds = [_KINDS[BASE_TYPES[field.base_type].name][0] for field in used.values()]
    dtype = np.dtype(
        {
            "names": list(used),
            "formats": [order + kind for kind in kinds],
            "offsets": [field.offset for field in used.values()],
            "itemsize": layout.size,
        }
    )
    first, last = int(offsets[0]), int(offsets[-1])
    if last - first == (len(offsets) - 1) * layout.size:  # one run, of which no copy is needed
        table = np.frombuffer(data, dtype, len(offsets), first)
    else:
        view = np.frombuffer(data, np.uint8)
        windows = np.lib.stride_tricks.sliding_window_view(view, layout.size)
        table = np.ascontiguousarray(windows[offsets]).view(dtype)[:, 0]
    return {
        name: _values(table[name], used[name]) if name in used else np.full(len(offsets), np.nan)
        for name in RECORD_FIELDS
    }


def _values(raw: np.ndarray, field: FieldLayout) -> np.ndarray:
    """Raw numbers as scaled floats, NaN where they say "not measured"."""
    invalid = _KINDS[BASE_TYPES[field.base_type].name][1]
    known = _FIELDS[field.number]
    values = raw.astype(np.float64)
    if known.scale:
        values /= known.scale
    if known.offset:
        values -= known.offset
    if invalid is not None:
        values[raw == invalid] = np.nan
    return values
