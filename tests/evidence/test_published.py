"""A published value is given with its source, or not at all."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.common.errors import TaperbackError
from taperback.evidence.published import STATUSES, published

ENTRY = {
    "value": 2,
    "steps": [1, 2.5],
    "note": "a word",
    "unit": "percent",
    "source": "a paper",
    "status": "confirmed",
}


def test_numbers_are_apart_from_words() -> None:
    value = published("taper.gain", {"taper": {"gain": ENTRY}})
    assert (value.name, value.unit, value.source) == ("taper.gain", "percent", "a paper")
    assert value.status == "confirmed"
    assert value.numbers == {"value": 2.0, "steps": (1.0, 2.5)}
    assert value["value"] == 2.0
    assert value.array("steps").tolist() == [1.0, 2.5]
    assert value.array("value").tolist() == [2.0]
    assert value.array("value").dtype == np.float64
    with pytest.raises(KeyError, match=r"taper\.gain\.steps is a list"):
        value["steps"]


def test_only_the_first_dot_parts_the_group() -> None:
    assert published("a.b.c", {"a": {"b.c": ENTRY}}).name == "a.b.c"


@pytest.mark.parametrize("name", ["taper.loss", "sleep.gain", "taper", ""])
def test_what_is_not_there_is_refused(name: str) -> None:
    with pytest.raises(TaperbackError, match=f"^{name} is not in published.toml$"):
        published(name, {"taper": {"gain": ENTRY}})


@pytest.mark.parametrize("missing", ["unit", "source", "status"])
@pytest.mark.parametrize("how", ["absent", "blank"])
def test_a_value_without_unit_source_or_status_is_refused(missing: str, how: str) -> None:
    entry = {key: value for key, value in ENTRY.items() if key != missing}
    if how == "blank":
        entry[missing] = "  "
    message = f"^taper.gain in published.toml has no {missing}, so it is not used$"
    with pytest.raises(TaperbackError, match=message):
        published("taper.gain", {"taper": {"gain": entry}})


def test_a_status_is_one_of_four() -> None:
    for status in STATUSES:
        assert published("a.b", {"a": {"b": ENTRY | {"status": status}}}).status == status
    with pytest.raises(
        TaperbackError, match=r"^a\.b in published\.toml has the unknown status 'hearsay'$"
    ):
        published("a.b", {"a": {"b": ENTRY | {"status": "hearsay"}}})
