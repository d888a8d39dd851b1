"""Values as plain JSON: what a dataclass, table or array looks like outside Python."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from enum import Enum

import numpy as np
import pandas as pd

from taperback.common.lines import undisguised


def plain(value: object) -> object:
    """The value in lists, dicts, strings, numbers and None only.

    A number that is not finite becomes None, since JSON has no word for it; days and times become
    ISO 8601 text; a table becomes a list of rows.

    Raises:
        TypeError: a kind of value that has no plain form, which is a fault of ours.
    """
    kind = type(value)  # nearly all values are one of these, and to ask so is the quickest
    if kind is str:
        return undisguised(value)  # type: ignore[arg-type]
    if kind in _PLAIN:
        return value
    if kind is float:
        return value if math.isfinite(value) else None  # type: ignore[arg-type]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, str):
        return undisguised(value)
    if isinstance(value, int):
        return value
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if value is pd.NaT or value is pd.NA:
        return None
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    return _collection(value)


_PLAIN = {type(None), bool, int}


def _collection(value: object) -> object:
    if isinstance(value, pd.DataFrame):
        return [plain(row) for row in value.to_dict("records")]
    if isinstance(value, Mapping):
        return {undisguised(str(key)): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value.tolist()]
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    raise TypeError(f"no plain form for {type(value).__name__}")
