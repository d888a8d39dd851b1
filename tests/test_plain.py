"""Values become plain JSON without losing what they mean."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

import numpy as np
import pandas as pd
import pytest

from taperback.common.notices import Level
from taperback.common.plain import plain


@dataclass(frozen=True)
class Pair:
    """Two values."""

    left: object
    right: object


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, None),
        (True, True),
        (3, 3),
        (0.5, 0.5),
        (float("nan"), None),
        (float("inf"), None),
        (np.float64(0.25), 0.25),
        (np.float64("nan"), None),
        (np.int64(4), 4),
        (np.bool_(True), True),
        (pd.NaT, None),
        (date(2024, 5, 1), "2024-05-01"),
        (datetime(2024, 5, 1, 6, 30, tzinfo=UTC), "2024-05-01T06:30:00+00:00"),
        (Level.FAULT, "fault"),
        (np.array([1.0, np.nan]), [1.0, None]),
        ((1, "two"), [1, "two"]),
        ({"a": np.float32(2)}, {"a": 2.0}),
        (Pair(1, (date(2024, 5, 1),)), {"left": 1, "right": ["2024-05-01"]}),
    ],
)
def test_plain_form(value: object, expected: object) -> None:
    assert plain(value) == expected
    json.dumps(plain(value), allow_nan=False)


def test_a_table_becomes_a_list_of_rows() -> None:
    table = pd.DataFrame({"day": [date(2024, 5, 1)], "hours": [float("nan")]})
    assert plain(table) == [{"day": "2024-05-01", "hours": None}]


def test_an_unknown_kind_of_value_is_a_fault_of_ours() -> None:
    with pytest.raises(TypeError, match="no plain form for set"):
        plain({1, 2})


def test_a_time_of_day_is_written_as_iso_8601() -> None:
    assert plain(time(7, 30)) == "07:30:00"
