"""A published value is given with its unit, source and status, or not at all."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from taperback.common.errors import TaperbackError
from taperback.common.files.resources import shared_toml
from taperback.common.published import PUBLISHED, STATUSES, read_published

ENTRIES = [
    (group, name) for group, names in shared_toml("published.toml").items() for name in names
]


def tables() -> dict[str, Any]:
    return copy.deepcopy(shared_toml("published.toml"))


def test_what_the_file_says_is_what_is_used() -> None:
    assert read_published(tables()) == PUBLISHED
    entry = shared_toml("published.toml")["noise"]["race_to_race"]
    noise = PUBLISHED.noise.race_to_race
    assert {name: getattr(noise, name) for name in entry} == entry
    assert PUBLISHED.taper.dose_response.high[-1] == 0.9


@pytest.mark.parametrize(("group", "name"), ENTRIES)
@pytest.mark.parametrize("missing", ["unit", "source", "status"])
@pytest.mark.parametrize("how", ["absent", "blank"])
def test_any_value_without_unit_source_or_status_is_refused(
    group: str, name: str, missing: str, how: str
) -> None:
    changed = tables()
    if how == "blank":
        changed[group][name][missing] = "  "
    else:
        del changed[group][name][missing]
    message = rf"^{group}\.{name} in published\.toml has no {missing}, so it is not used$"
    with pytest.raises(TaperbackError, match=message):
        read_published(changed)


def test_a_status_is_one_of_four() -> None:
    changed = tables()
    for status in STATUSES:
        changed["noise"]["race_to_race"]["status"] = status
        assert read_published(changed).noise.race_to_race.status == status
    changed["noise"]["race_to_race"]["status"] = "hearsay"
    message = r"^noise\.race_to_race in published\.toml has the unknown status 'hearsay'$"
    with pytest.raises(TaperbackError, match=message):
        read_published(changed)


def test_a_value_that_no_field_asks_for_is_refused() -> None:
    changed = tables()
    changed["noise"]["day_to_day"] = changed["noise"]["race_to_race"]
    with pytest.raises(TaperbackError, match=r"^published\.toml, noise has day_to_day, which"):
        read_published(changed)
