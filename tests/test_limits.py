"""Limits are read once, and a slip in the file or in its fields is refused at once."""

from __future__ import annotations

import copy
from dataclasses import FrozenInstanceError
from typing import Any

import pytest

from taperback.common.errors import TaperbackError
from taperback.common.files.resources import shared_toml
from taperback.common.files.typed_toml import as_dataclass
from taperback.common.limits import LIMITS, Limits
from taperback.common.plain import plain


def tables() -> dict[str, Any]:
    return copy.deepcopy(shared_toml("limits.toml"))


def read(changed: object) -> Limits:
    return as_dataclass(Limits, changed, "limits.toml")


def test_every_limit_of_the_file_has_its_field_and_its_value() -> None:
    assert read(tables()) == LIMITS
    assert plain(LIMITS) == shared_toml("limits.toml")


def test_a_limit_cannot_be_changed_by_mistake() -> None:
    with pytest.raises(FrozenInstanceError):
        LIMITS.sleep.fewest_race_nights = 1  # type: ignore[misc]


def change(section: str, name: str, value: object) -> dict[str, Any]:
    changed = tables()
    changed[section][name] = value
    return changed


@pytest.mark.parametrize(
    ("section", "name", "value", "message"),
    [
        ("sleep", "fewest_rac_nights", 5, "sleep has fewest_rac_nights, which Sleep has no field"),
        ("sleep", "fewest_race_nights", "5", "sleep.fewest_race_nights is '5', which is no int"),
        ("sleep", "fewest_race_nights", True, "sleep.fewest_race_nights is True, which is no int"),
        ("sleep", "fewest_race_nights", 5.5, "sleep.fewest_race_nights is 5.5, which is no int"),
        ("sleep", "sources_apart_h", False, "sleep.sources_apart_h is False, which is no float"),
        ("journal", "finish_share", [1.0], "journal.finish_share is [1.0], which is no tuple"),
        ("journal", "finish_share", 1.0, "journal.finish_share is 1.0, which is no tuple"),
        ("taper", "time_constants_d", [3, 4.5], "taper.time_constants_d is 4.5, which is no int"),
        ("critical", "reserve", 3, "critical.reserve is 3, which is no Mapping"),
        ("critical", "reserve", {"power": [1]}, "critical.reserve.power is [1], which is no tuple"),
    ],
)
def test_a_limit_that_does_not_fit_its_field_is_refused(
    section: str, name: str, value: object, message: str
) -> None:
    with pytest.raises(TaperbackError) as refused:
        read(change(section, name, value))
    assert str(refused.value).startswith(f"limits.toml, {message}")


def test_a_limit_that_is_missing_is_refused() -> None:
    changed = tables()
    del changed["sleep"]["fewest_race_nights"]
    with pytest.raises(TaperbackError, match=r"^limits\.toml, sleep has no fewest_race_nights$"):
        read(changed)
    with pytest.raises(TaperbackError, match=r"^limits\.toml, sleep is not a table$"):
        read(tables() | {"sleep": 5})


def test_a_whole_number_serves_where_a_fraction_may_stand() -> None:
    assert read(change("sleep", "sources_apart_h", 1)).sleep.sources_apart_h == 1
