"""How each column of a leg's summary is kept: as a number, text or bytes, and back.

On the way back every value is looked at, since a store may have been edited by somebody: what later
stages rely on without asking, such as how long an array is, is a ValueError or TypeError here.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from taperback.common.notices import Level, Notice
from taperback.importer.local_day import is_zone
from taperback.importer.model import BEST_DURATIONS_S, SUMMARY_COLUMNS, Bout

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_DAY_S = 86_400
_FIRST_YEAR, _LAST_YEAR = pd.Timestamp.min.year, pd.Timestamp.max.year
_bout_values = attrgetter(*(field.name for field in fields(Bout)))


class Codec(NamedTuple):
    """How one column is kept: its SQL type, and the way there and back."""

    sql: str
    encode: Callable[[Any], Any]
    decode: Callable[[Any], Any]


def _same(value: Any) -> Any:
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError("no text")
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int):
        raise TypeError("no whole number")
    return value


def to_number(value: float) -> float | None:
    """SQL has no NaN and no negative nought."""
    return value + 0.0 if value == value else None


def from_number(value: float | None) -> float:
    """A number as it was, NaN where none was kept."""
    return float("nan") if value is None else float(value)


def finite_number(value: float) -> float:
    """A number that is one.

    Raises:
        ValueError, TypeError: it is not.
    """
    if not math.isfinite(value):
        raise ValueError("not finite")
    return float(value)


def from_offset(value: float | None) -> float:
    """An offset from UTC [s] as it was, NaN where none was kept.

    Raises:
        ValueError: no clock has it.
    """
    offset = from_number(value)
    if abs(offset) > _DAY_S:
        raise ValueError("no offset of a clock")
    return offset


def _counts(array: np.ndarray | None) -> bytes | None:
    return None if array is None else array.astype("<i4").tobytes()


def _from_counts(data: bytes | None) -> np.ndarray | None:
    return None if data is None else np.frombuffer(data, "<i4")


def _floats(array: np.ndarray) -> bytes:
    return array.astype("<f8").tobytes()


def _from_floats(length: int) -> Callable[[bytes], np.ndarray]:
    def decode(data: bytes) -> np.ndarray:
        array = np.frombuffer(data, "<f8")
        if len(array) != length:
            raise ValueError(f"not {length} numbers")
        return array

    return decode


def to_microseconds(moment: datetime) -> int:
    """Microseconds since 1970, UTC."""
    return (moment - _EPOCH) // _MICROSECOND


def from_microseconds(microseconds: int) -> datetime:
    """The moment, timezone-aware in UTC.

    Raises:
        ValueError, TypeError, OverflowError: it is outside what a table's clock can tell.
    """
    moment = _EPOCH + timedelta(microseconds=microseconds)
    if not _FIRST_YEAR < moment.year < _LAST_YEAR:
        raise ValueError("outside every calendar")
    return moment


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
    """Remarks about that file.

    Raises:
        ValueError, TypeError, RecursionError: they were not made by `pack_remarks`.
    """
    if text == "[]":
        return ()
    return tuple(_remark(file, *kept) for kept in json.loads(text))


def _remark(file: str, row: int, *texts: str) -> Notice:
    column, code, found, remedy, level = map(_text, texts)
    return Notice(file, _whole(row), column, code, found, remedy, Level(level))


def _from_json(text: str) -> dict[str, float]:
    numbers = {} if text == "{}" else json.loads(text)
    return {name: float(value) for name, value in numbers.items()}


def _from_zone(name: str) -> str:
    if name and not is_zone(name):
        raise ValueError("no zone")
    return name


_TEXT = Codec("TEXT NOT NULL", _same, _text)
_WHOLE = Codec("INTEGER NOT NULL", _same, _whole)
_NUMBER = Codec("REAL", to_number, from_number)
_COUNTS = Codec("BLOB", _counts, _from_counts)
_BESTS = Codec("BLOB NOT NULL", _floats, _from_floats(len(BEST_DURATIONS_S)))
_HALVES = Codec("BLOB NOT NULL", _floats, _from_floats(2))
_JSON = Codec("TEXT NOT NULL", json.dumps, _from_json)

LEG_CODECS = {
    "leg_index": _WHOLE,
    "legs_in_file": _WHOLE,
    "file_format": _TEXT,
    "sport": _TEXT,
    "sub_sport": _TEXT,
    "start_utc": Codec("INTEGER NOT NULL", to_microseconds, from_microseconds),
    "file_utc_offset_s": Codec("REAL", to_number, from_offset),
    "zone": Codec("TEXT NOT NULL", _same, _from_zone),
    "elapsed_s": Codec("REAL", to_number, finite_number),
    "moving_s": _NUMBER,
    "distance_m": _NUMBER,
    "ascent_m": _NUMBER,
    "power_seconds": _COUNTS,
    "heart_rate_seconds": _COUNTS,
    "speed_seconds": _COUNTS,
    "best_power_w": _BESTS,
    "best_speed_mps": _BESTS,
    "mean_heart_rate_bpm": _NUMBER,
    "max_heart_rate_bpm": _NUMBER,
    "mean_power_w": _NUMBER,
    "half_speed_mps": _HALVES,
    "half_power_w": _HALVES,
    "half_heart_rate_bpm": _HALVES,
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
