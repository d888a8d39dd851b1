"""How each column of a leg's summary is kept: as a number, text or bytes, and back."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np

from taperback.importer.model import SUMMARY_COLUMNS, Bout
from taperback.notices import Level, Notice

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_bout_values = attrgetter(*(field.name for field in fields(Bout)))


class Codec(NamedTuple):
    """How one column is kept: its SQL type, and the way there and back."""

    sql: str
    encode: Callable[[Any], Any]
    decode: Callable[[Any], Any]


def _same(value: Any) -> Any:
    return value


def to_number(value: float) -> float | None:
    """SQL has no NaN and no negative nought."""
    return value + 0.0 if value == value else None


def from_number(value: float | None) -> float:
    """A number as it was, NaN where none was kept."""
    return float("nan") if value is None else float(value)


def _counts(array: np.ndarray | None) -> bytes | None:
    return None if array is None else array.astype("<i4").tobytes()


def _from_counts(data: bytes | None) -> np.ndarray | None:
    return None if data is None else np.frombuffer(data, "<i4")


def _floats(array: np.ndarray) -> bytes:
    return array.astype("<f8").tobytes()


def _from_floats(data: bytes) -> np.ndarray:
    return np.frombuffer(data, "<f8")


def to_microseconds(moment: datetime) -> int:
    """Microseconds since 1970, UTC."""
    return (moment - _EPOCH) // _MICROSECOND


def from_microseconds(microseconds: int) -> datetime:
    """The moment, timezone-aware in UTC."""
    return _EPOCH + timedelta(microseconds=microseconds)


_BOUT_WIDTH = len(fields(Bout))


def _bouts(bouts: tuple[Bout, ...]) -> bytes:
    return np.array([_bout_values(bout) for bout in bouts], "<f8").tobytes()


def _from_bouts(data: bytes) -> tuple[Bout, ...]:
    # Most sessions have none, and the table of a long history is unpacked at every run.
    if not data:
        return ()
    rows = np.frombuffer(data, "<f8").reshape(-1, _BOUT_WIDTH).tolist()
    return tuple(Bout(*row) for row in rows)


def pack_remarks(remarks: tuple[Notice, ...]) -> str:
    """Remarks as JSON, without the name of the file, which may change."""
    kept = [(r.row, r.column, r.code, r.found, r.remedy, r.level.value) for r in remarks]
    return json.dumps(kept)


def unpack_remarks(text: str, file: str = "") -> tuple[Notice, ...]:
    """Remarks about that file."""
    if text == "[]":
        return ()
    return tuple(
        Notice(file, row, column, code, found, remedy, Level(level))
        for row, column, code, found, remedy, level in json.loads(text)
    )


def _from_json(text: str) -> object:
    return {} if text == "{}" else json.loads(text)


_TEXT = Codec("TEXT NOT NULL", _same, _same)
_WHOLE = Codec("INTEGER NOT NULL", _same, _same)
_NUMBER = Codec("REAL", to_number, from_number)
_COUNTS = Codec("BLOB", _counts, _from_counts)
_FLOATS = Codec("BLOB NOT NULL", _floats, _from_floats)
_JSON = Codec("TEXT NOT NULL", json.dumps, _from_json)

LEG_CODECS = {
    "leg_index": _WHOLE,
    "legs_in_file": _WHOLE,
    "file_format": _TEXT,
    "sport": _TEXT,
    "sub_sport": _TEXT,
    "start_utc": Codec("INTEGER NOT NULL", to_microseconds, from_microseconds),
    "file_utc_offset_s": _NUMBER,
    "zone": _TEXT,
    "elapsed_s": _NUMBER,
    "moving_s": _NUMBER,
    "distance_m": _NUMBER,
    "ascent_m": _NUMBER,
    "power_seconds": _COUNTS,
    "heart_rate_seconds": _COUNTS,
    "speed_seconds": _COUNTS,
    "best_power_w": _FLOATS,
    "best_speed_mps": _FLOATS,
    "mean_heart_rate_bpm": _NUMBER,
    "max_heart_rate_bpm": _NUMBER,
    "mean_power_w": _NUMBER,
    "half_speed_mps": _FLOATS,
    "half_power_w": _FLOATS,
    "half_heart_rate_bpm": _FLOATS,
    "bouts": Codec("BLOB NOT NULL", _bouts, _from_bouts),
    "pool_length_m": _NUMBER,
    "start_lat": _NUMBER,
    "start_lon": _NUMBER,
    "end_lat": _NUMBER,
    "end_lon": _NUMBER,
    "session_rpe": _NUMBER,
    "feel": _NUMBER,
    "file_thresholds": _JSON,
    "removed_s": _JSON,
    "remarks": Codec("TEXT NOT NULL", pack_remarks, unpack_remarks),
}
"""How each column of a summary is kept; `file` and `digest` are known from elsewhere."""

LEG_COLUMNS = tuple(name for name in SUMMARY_COLUMNS if name not in ("file", "digest"))
